"""Shutoff, bonding, vacuum and scale."""

from __future__ import annotations

import pytest


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
    for heater, ids in (("gas-tankless-199", ("isolation_valves",)), ("gas-tank-40", ())):
        found = next(c for c in house(heater, hard).cautions if c.id == "hardness")
        assert found.remedy_ids == ids
        assert "Upper guide" in found.trade_message
