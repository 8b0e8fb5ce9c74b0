"""Remedies once each, and nothing paid twice."""

from __future__ import annotations

from dataclasses import replace

import pytest

from heatersel.cautions import Severity
from heatersel.cautions.remedies import REMEDIES, remedies, without_doubles


def test_two_cautions_that_share_a_remedy_pay_for_it_once(house):
    # a high pressure asks for regulator and expansion tank, the closed system for the tank too
    changes = {"home.static_pressure": "90 psi", "home.backflow_preventer": True}
    report = house("gas-tank-50", changes)
    asked = [r for caution in report.cautions for r in caution.remedy_ids]
    assert asked.count("expansion_tank") == 2
    assert remedies({"a": report.cautions})["a"].count("expansion_tank") == 1


def test_each_option_has_its_own_remedies(house):
    tank, pump = house("gas-tank-50"), house("heat-pump-50", {"home.site.condensate_drain": False})
    found = remedies({"tank": tank.cautions, "pump": pump.cautions})
    assert found == {"tank": ("permit",), "pump": ("condensate_pump", "permit")}


def test_notes_add_nothing_to_the_price(house):
    report = house("gas-tank-40", {"home.hardness": "20 grain/gal"})
    must = next(c for c in report.cautions if c.remedy_ids)
    note = replace(must, severity=Severity.NOTE, remedy_ids=("stand",))
    assert "stand" not in remedies({"x": (*report.cautions, note)})["x"]


@pytest.mark.parametrize(
    ("given", "left"),
    [
        (["condensate_drain", "condensate_pump"], ("condensate_pump",)),
        (["new_gas_line", "gas_line_upsize"], ("new_gas_line",)),
        (["subpanel", "panel_upgrade"], ("panel_upgrade",)),
        (["permit", "permit"], ("permit",)),
        ([], ()),
    ],
)
def test_a_larger_remedy_includes_the_smaller(given, left):
    assert without_doubles(given) == left


def test_remedies_are_named_in_plain_words():
    assert all((words and words[0].islower()) or words[:3].isdigit() for words in REMEDIES.values())
