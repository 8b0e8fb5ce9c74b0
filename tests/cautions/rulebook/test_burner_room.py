"""Where a burner may stand."""

from __future__ import annotations

import pytest

GARAGE = {"home.heater_location": "garage", "home.site.ignition_height": "6 inch"}


@pytest.mark.parametrize("heater", ["gas-direct-vent-40", "gas-tankless-199", "heat-pump-50"])
def test_sealed_and_electric_heaters_may_stand_off_a_bedroom(raised, heater):
    assert "room-prohibited" not in raised(heater, {"home.site.opens_to": "bedroom"})


def test_a_sealed_enclosure_lifts_the_stop(raised):
    changes = {"home.heater_location": "closet", "home.site.sealed_enclosure": True}
    assert "room-prohibited" not in raised("gas-tank-40", changes)


def test_a_closet_is_stopped_even_if_nobody_said_where_it_opens(raised, asked):
    changes = {"home.heater_location": "closet", "home.site.opens_to": ...}
    assert "room-prohibited" in raised("gas-tank-40", changes)
    assert {"home.site.opens_to", "home.site.sealed_enclosure"} <= asked("gas-tank-40", changes)


def test_vapour_resistant_heaters_may_stand_low_in_the_us_alone(raised):
    listed = {**GARAGE, "home.site.vapor_resistant": True}
    assert "garage-ignition" not in raised("gas-tank-40", listed)
    canada = {**listed, "place.climate": "Toronto, ON"}
    assert "garage-ignition-canada" in raised("gas-tank-40", canada)


def test_a_room_that_opens_to_the_garage_counts_as_garage(raised):
    changes = {"home.site.opens_to": "garage", "home.site.ignition_height": "6 inch",
               "home.site.vapor_resistant": False}  # fmt: skip
    assert "garage-ignition" in raised("gas-tank-40", changes)


def test_an_alarm_is_owed_wherever_something_burns(raised):
    silent = {"home.site.co_alarm": False}
    assert "co-alarm" in raised("electric-tank-50", silent)  # the furnace still burns
    nothing = {**silent, "home.other_gas_input": "0 Btu/h", "home.site.room_other_input": "0 Btu/h"}
    assert "co-alarm" not in raised("electric-tank-50", nothing)


@pytest.mark.parametrize(
    ("drain", "expected"),
    [(True, {"neutralizer", "condensate_drain"}), (False, {"neutralizer", "condensate_pump"})],
)
def test_condensate_goes_by_gravity_or_by_pump(house, drain, expected):
    report = house("gas-condensing-50", {"home.site.condensate_drain": drain})
    found = next(c for c in report.cautions if c.id == "condensate-acid")
    assert set(found.remedy_ids) == expected


def test_a_neutralizer_that_is_there_is_not_sold_again(house):
    report = house("gas-condensing-50", {"home.site.neutralizer": True})
    found = next(c for c in report.cautions if c.id == "condensate-acid")
    assert "neutralizer" not in found.remedy_ids


@pytest.mark.parametrize(
    ("changes", "asks"),
    [
        ({"home.heating": {"energy_source": "natural_gas"}}, True),
        (
            {
                "home.heating": {"energy_source": "fuel_oil"},
                "home.other_gas_input": "0 Btu/h",
                "home.site.room_other_input": "0 Btu/h",
            },
            True,
        ),
        ({"home.site.chimney_shared": True}, True),
        ({}, True),  # gas is in the house, and nobody has said that nothing burns it
        ({"home.other_gas_input": "0 Btu/h", "home.site.room_other_input": "0 Btu/h"}, False),
        ({"home.fuels": ["electricity"]}, False),
    ],
)
def test_a_house_in_which_something_may_burn_has_an_alarm(asked, changes, asks):
    unknown = {"home.other_gas_input": ..., "home.site.room_other_input": ...,
               "home.site.co_alarm": ...}  # fmt: skip
    assert ("home.site.co_alarm" in asked("electric-tank-50", unknown | changes)) is asks


def test_a_listing_for_vapour_is_that_of_a_gas_tank(raised):
    low = {"home.heater_location": "garage", "home.site.ignition_height": "4 inch",
           "home.site.vapor_resistant": True, "home.site.vehicle_guard": True}  # fmt: skip
    assert "garage-ignition" not in raised("gas-tank-40", low)
    for heater in ("oil-tank-50", "gas-tankless-199", "electric-tank-50"):
        assert "garage-ignition" in raised(heater, low)


@pytest.mark.parametrize(("below", "told"), [(True, True), (False, False), (..., False)])
def test_propane_collects_in_any_low_place(raised, asked, below, told):
    place = {"home.heater_location": "utility_room", "home.site.below_grade": below}
    assert ("propane-below-grade" in raised("propane-tank-40", place)) is told
    assert ("home.site.below_grade" in asked("propane-tank-40", place)) is (below is ...)
