"""Fuel that is missing, and the permit that always is needed."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(
    ("heater", "fuel"),
    [
        ("gas-tank-40", "natural gas"),
        ("propane-tank-40", "propane"),
        ("oil-tank-30", "heating oil"),
    ],
)
def test_missing_fuel_is_named_with_what_would_lift_it(house, heater, fuel):
    report = house(heater, {"home.fuels": ["electricity"]})
    assert fuel in report.stops[0].message
    assert fuel in report.excluded_because


def test_present_fuel_stops_nothing(raised):
    assert "fuel-missing" not in raised("gas-tank-40")


def test_every_heater_needs_a_permit_and_prints_whose_rules(house, heaters):
    for heater in heaters:
        permit = next(c for c in house(heater).cautions if c.id == "permit")
        assert permit.remedy_ids == ("permit",)
        assert "MN, US (UPC 2021)" in permit.trade_message
