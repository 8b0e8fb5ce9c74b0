"""Refrigerant classes and their charge limits."""

from __future__ import annotations

import pytest

from heatersel.cautions.heat_pump_site import ROOM_MINIMUM_M3, ROOM_USUAL_M3, refrigerant
from heatersel.heaters.heater import Kind

FT3 = 0.028316846592


def test_every_heat_pump_of_the_list_has_a_known_refrigerant(heaters):
    pumps = [heater for heater in heaters if heater.kind is Kind.HEAT_PUMP_STORAGE]
    assert pumps
    assert all(refrigerant(heater.refrigerant) is not None for heater in pumps)


@pytest.mark.parametrize(
    ("name", "safety_class", "burns"),
    [("R-134a", "A1", False), ("R744", "A1", False), ("r-32", "A2L", True), ("R 290", "A3", True)],
)
def test_class_by_any_spelling(name, safety_class, burns):
    # ASHRAE 34 (memory)
    found = refrigerant(name)
    assert found.safety_class == safety_class
    assert found.is_flammable is burns


def test_us_limit_of_propane_is_three_m3_of_its_lower_limit():
    # 114 g (seen in trade news)
    assert refrigerant("R-290").us_charge_limit_g == pytest.approx(114)
    assert refrigerant("R-32").us_charge_limit_g is None


def test_what_does_not_burn_has_no_charge_limit():
    assert refrigerant("R-134a").free_charge_g == 0.0
    assert refrigerant("R-134a").largest_charge_g == 0.0


def test_unknown_refrigerant_is_not_guessed():
    assert refrigerant("R-9999") is None


def test_room_thresholds_are_450_and_700_ft3():
    # federal efficiency-label guide for new houses, as copied (seen)
    assert pytest.approx(450 * FT3, abs=1e-3) == ROOM_MINIMUM_M3
    assert pytest.approx(700 * FT3, abs=1e-3) == ROOM_USUAL_M3
