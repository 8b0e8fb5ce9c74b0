"""Water damage, weight, earthquake, frost, and the way in and out."""

from __future__ import annotations

import pytest


@pytest.mark.parametrize(
    ("changes", "owed"),
    [
        ({"home.site.leak_damages": True}, True),
        ({"home.site.upper_floor": True}, True),
        ({"home.heater_location": "attic"}, True),
        ({"home.site.leak_damages": True, "home.site.drain_pan": True}, False),
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


def test_headroom_is_the_heaters_height_and_its_pipes(raised, heater_of):
    height_m = heater_of("gas-tank-40").height_m + 0.15
    for ceiling, stops in ((height_m + 0.01, False), (height_m - 0.01, True)):
        changes = {"home.ceiling_height": f"{ceiling:.3f} m"}
        assert ("headroom" in raised("gas-tank-40", changes)) is stops


def test_outdoors_there_is_no_ceiling(raised):
    changes = {"home.heater_location": "outdoors", "home.ceiling_height": "5 ft"}
    assert "headroom" not in raised("gas-tank-40", changes)


def test_old_tank_is_carried_by_two_from_a_basement(house):
    changes = {"home.site.outgoing_tank": "75 gal"}
    found = next(c for c in house("gas-tank-40", changes).cautions if c.id == "way-out")
    assert "up the stairs" in found.message
