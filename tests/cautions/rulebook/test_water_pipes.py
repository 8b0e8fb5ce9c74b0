"""Shutoff, bonding, vacuum and scale."""

from __future__ import annotations

import pytest

from heatersel.cautions.remedies import remedies


@pytest.mark.parametrize(
    ("changes", "rule", "remedy"),
    [
        ({"home.site.shutoff_valve": False}, "shutoff-valve", "shutoff_valve"),
        ({"home.site.bonding_jumper": False}, "bonding", "bonding_jumper"),
        ({"home.site.galvanized_pipe": True}, "bonding", "bonding_jumper"),
        ({"home.site.above_fixtures": True}, "vacuum-relief", "vacuum_relief"),
    ],
)
def test_duty_and_its_remedy(house, changes, rule, remedy):
    found = next(c for c in house("gas-tank-40", changes).cautions if c.id == rule)
    assert found.remedy_ids == (remedy,)


def test_a_vacuum_relief_that_is_there_is_enough(raised):
    changes = {"home.site.above_fixtures": True, "home.site.vacuum_relief": True}
    assert "vacuum-relief" not in raised("electric-tank-40", changes)


def test_scale_is_an_upper_guide_and_tankless_heaters_get_service_valves(house):
    hard = {"home.hardness": "20 grain/gal"}
    for heater, fitted in (("gas-tankless-199", True), ("gas-tank-40", False)):
        found = {c.id: c for c in house(heater, hard).cautions}
        assert "Upper guide" in found["hardness"].trade_message
        valves = remedies({"x": found.values()})["x"]
        assert ("isolation_valves" in valves) is fitted


def test_without_a_hardness_nobody_says_that_valves_are_needless(asked, raised):
    assert "home.hardness" in asked("gas-tankless-199", {"home.hardness": ...})
    assert "descaling-valves" not in raised("gas-tankless-199", {"home.hardness": "7 grain/gal"})
