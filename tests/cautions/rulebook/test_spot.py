"""Water damage, weight, earthquake, frost, and the way in and out."""

from __future__ import annotations

from dataclasses import replace

import pytest


@pytest.mark.parametrize(
    ("changes", "owed"),
    [
        ({"home.site.leak_damages": True}, True),
        ({"home.site.upper_floor": True}, True),
        ({"home.heater_location": "attic"}, True),
        ({"home.site.leak_damages": True, "home.site.drain_pan": True}, True),
        (
            {
                "home.site.leak_damages": True,
                "home.site.drain_pan": True,
                "home.site.pan_drain": False,
            },
            True,
        ),
        (
            {
                "home.site.leak_damages": True,
                "home.site.drain_pan": True,
                "home.site.pan_drain": True,
            },
            False,
        ),
        ({}, False),
    ],
)
def test_pan(raised, changes, owed):
    assert ("drain-pan" in raised("gas-tank-40", changes)) is owed


def test_tankless_heaters_need_no_pan(raised):
    assert "drain-pan" not in raised("gas-tankless-199", {"home.site.leak_damages": True})


def test_straps_by_place_and_by_word(raised, asked):
    coast = {"place.climate": "Los Angeles, CA", "home.site.seismic": ...}
    assert "seismic-straps" in raised("gas-tank-40", coast)
    assert "seismic-straps" not in raised("gas-tank-40", {**coast, "home.site.straps": True})
    assert "home.site.seismic" in asked("gas-tank-40", {"place.climate": "Toronto, ON",
                                                        "home.site.seismic": ...})  # fmt: skip
    assert "home.site.seismic" not in asked("gas-tank-40", {"home.site.seismic": ...})


def test_a_checked_floor_is_not_noted(raised):
    upper = {"home.heater_location": "utility_room", "home.site.upper_floor": True}
    assert "floor-load" in raised("gas-tank-75", upper)
    assert "floor-load" not in raised("gas-tank-75", {**upper, "home.site.floor_checked": True})


def test_outdoors_frost_follows_the_climate_when_nobody_looked(raised):
    outdoors = {"home.heater_location": "outdoors", "home.site.freezing_space": ...,
                "home.site.room_min_temperature": ...}  # fmt: skip
    assert "frost" in raised("gas-tankless-199", outdoors, coldest_air_c=-12.0)
    assert "frost" not in raised("gas-tankless-199", outdoors, coldest_air_c=12.0)


def frost_of(report):
    return next((c for c in report.cautions if c.id == "frost"), None)


def test_a_cold_that_nobody_knows_is_asked_for_and_not_written_as_a_number(house, asked):
    outdoors = {"home.heater_location": "outdoors", "home.site.freezing_space": ...,
                "home.site.room_min_temperature": ...}  # fmt: skip
    for known in ({"coldest_air_c": -12.0}, {"coldest_air_c": None}):
        found = frost_of(house("gas-tankless-199", outdoors, **known))
        assert found is not None
        assert found.numbers == ()
    assert "home.site.freezing_space" in asked("gas-tankless-199", outdoors)


def test_a_room_measured_below_freezing_is_told_wherever_it_is(house):
    basement = {"home.site.freezing_space": ..., "home.site.room_min_temperature": "28 degF"}
    found = frost_of(house("gas-tank-40", basement))
    assert found is not None
    assert [(name, round(value, 1)) for name, value, _ in found.numbers] == [("coldest_c", -2.2)]
    warm = basement | {"home.site.room_min_temperature": "40 degF"}
    assert frost_of(house("gas-tank-40", warm)) is None


def test_headroom_is_the_heaters_height_and_its_pipes(raised, heater_of):
    height_m = heater_of("gas-tank-40").height_m + 0.15
    for ceiling, stops in ((height_m + 0.01, False), (height_m - 0.01, True)):
        changes = {"home.ceiling_height": f"{ceiling:.3f} m"}
        assert ("headroom" in raised("gas-tank-40", changes)) is stops


@pytest.mark.parametrize(("heater", "pipes"), [("gas-tank-40", True), ("gas-tankless-199", False)])
def test_the_trade_reads_the_height_that_was_compared(house, heater_of, heater, pipes):
    tall = replace(heater_of(heater), height_m=1.5)
    report = house(tall, {"home.ceiling_height": "1.4 m"})
    found = next(c for c in report.cautions if c.id == "headroom")
    needed = next(value for name, value, _ in found.numbers if name == "needed_m")
    assert (needed > tall.height_m) is pipes
    assert ("for connections" in found.trade_message) is pipes
    assert ("with its pipes" in found.message) is pipes


def test_outdoors_there_is_no_ceiling(raised):
    changes = {"home.heater_location": "outdoors", "home.ceiling_height": "5 ft"}
    assert "headroom" not in raised("gas-tank-40", changes)


def test_old_tank_is_carried_by_two_from_a_basement(house):
    changes = {"home.site.outgoing_tank": "75 gal"}
    found = next(c for c in house("gas-tank-40", changes).cautions if c.id == "way-out")
    assert "up the stairs" in found.message


def test_a_place_that_nobody_named_is_asked_for_and_said_to_be_assumed(house, raised):
    report = house("electric-tank-50", {"home.heater_location": ...})
    assert "home.heater_location" in {measure.field for measure in report.to_measure}
    found = next(c for c in report.cautions if c.id == "place-unstated")
    assert "basement" in found.message
    assert "place-unstated" not in raised("electric-tank-50")


@pytest.mark.parametrize(("coldest_c", "stopped"), [(0.0, True), (0.1, False), (None, True)])
def test_outdoors_is_for_mild_winters_and_listed_models(house, coldest_c, stopped):
    report = house("gas-tank-50", {"home.heater_location": "outdoors"}, coldest_air_c=coldest_c)
    assert ("outdoors-freezing" in {c.id for c in report.stops}) is stopped
    assert "outdoors-listing" in {c.id for c in report.cautions}


def test_the_colder_of_two_answers_counts(house):
    changes = {"home.heater_location": "garage", "home.site.freezing_space": False,
               "home.site.room_min_temperature": "-10 degF"}  # fmt: skip
    found = next(c for c in house("gas-tankless-199", changes).cautions if c.id == "frost")
    assert "home.site.freezing_space" in found.trade_message


def test_an_attic_lies_above_the_taps(raised):
    changes = {"home.heater_location": "attic", "home.site.above_fixtures": False}
    assert "vacuum-relief" in raised("electric-tank-50", changes)
