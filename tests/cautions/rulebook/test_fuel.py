"""Fuel that is missing."""

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
