"""The room's heat balance: limits, directions and ranges."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.climate import climate
from heatersel.errors import OutOfRangeError
from heatersel.job.models import HeaterLocation
from heatersel.simulation.around import Around, around
from heatersel.simulation.room import AirPath, CoilDuty, room_air, room_for

DULUTH = around(climate("Duluth, MN").monthly_air_c)
INDOORS = [HeaterLocation.CLOSET, HeaterLocation.UTILITY_ROOM, HeaterLocation.BASEMENT]
WINTER, SUMMER = 20, 200


def steady(temp_c, ratio=0.006):
    """Return surroundings that are the same everywhere and always."""
    temps, ratios = np.full(365, temp_c), np.full(365, ratio)
    return Around(
        outdoor_c=temps, house_c=temps, ground_c=temps,
        outdoor_humidity_ratio=ratios, house_humidity_ratio=ratios,
    )  # fmt: skip


def coil(duty=0.3, sensible_kw=0.9, dried_kg_per_h=200.0, surface_ratio=0.005):
    return CoilDuty(
        duty=np.full(365, duty),
        sensible_kw=np.full(365, sensible_kw),
        dried_kg_per_h=np.full(365, dried_kg_per_h),
        surface_ratio=np.full(365, surface_ratio),
    )


@pytest.mark.parametrize("location", list(HeaterLocation))
def test_without_gains_a_room_takes_the_temperature_around_it(location):
    room = room_for(location)
    air = room_air(room, steady(15.0))
    rise_k = room.gains_w / room.w_per_k if room else 0.0
    assert air.mean_c == pytest.approx(np.full(365, 15.0 + rise_k))
    assert air.entering_c == pytest.approx(air.mean_c)


def test_outdoors_there_is_no_room():
    assert room_for(HeaterLocation.OUTDOORS) is None
    assert room_air(None, DULUTH).mean_c == pytest.approx(DULUTH.outdoor_c)


def test_a_cold_basement_lies_between_house_and_ground():
    mean_c = room_air(room_for(HeaterLocation.BASEMENT), DULUTH).mean_c
    assert DULUTH.ground_c[WINTER] < mean_c[WINTER] < DULUTH.house_c[WINTER]
    assert 8.0 < mean_c[WINTER] < 16.0
    assert 16.0 < mean_c[SUMMER] < 23.0


def test_a_garage_follows_the_weather_and_a_closet_the_house():
    garage = room_air(room_for(HeaterLocation.GARAGE), DULUTH).mean_c
    closet = room_air(room_for(HeaterLocation.CLOSET), DULUTH).mean_c
    assert abs(garage[WINTER] - DULUTH.outdoor_c[WINTER]) < 5.0
    assert closet == pytest.approx(DULUTH.house_c)


def test_standby_heat_warms_the_room():
    room = room_for(HeaterLocation.CLOSET)
    warmed = room_air(room, steady(20.0), gained_kwh=np.full(365, 2.4))
    assert warmed.mean_c[0] - 20.0 == pytest.approx(100.0 / room.w_per_k)


def test_mean_drop_is_the_heat_taken_over_the_conductance():
    room = room_for(HeaterLocation.UTILITY_ROOM)
    before = room_air(room, steady(20.0)).mean_c
    after = room_air(room, steady(20.0), coil=coil()).mean_c
    assert before - after == pytest.approx(np.full(365, 1000.0 * 0.3 * 0.9 / room.w_per_k))


def test_the_air_is_coldest_while_the_compressor_runs():
    """Colder than the day's mean, and never below what an endless run would reach."""
    room = room_for(HeaterLocation.UTILITY_ROOM)
    untouched = room_air(room, steady(20.0)).mean_c
    air = room_air(room, steady(20.0), coil=coil())
    assert np.all(air.entering_c < air.mean_c)
    assert np.all(untouched - air.entering_c < 1000.0 * 0.9 / room.w_per_k)


def test_a_compressor_that_never_stops_sees_the_steady_drop():
    room = room_for(HeaterLocation.UTILITY_ROOM)
    air = room_air(room, steady(20.0), coil=coil(duty=1.0))
    assert air.entering_c == pytest.approx(air.mean_c)


@given(st.floats(3.0, 300.0), st.floats(1.05, 4.0))
def test_a_smaller_room_falls_further(volume_m3, factor):
    small = room_for(HeaterLocation.CLOSET, volume_m3)
    large = room_for(HeaterLocation.CLOSET, volume_m3 * factor)
    drops = [20.0 - room_air(r, steady(20.0), coil=coil()).entering_c[0] for r in (small, large)]
    assert drops[0] > drops[1] > 0.0


@pytest.mark.parametrize("location", INDOORS)
def test_a_louvred_door_or_a_duct_eases_the_drop(location):
    drops = []
    for path in (AirPath.ROOM, AirPath.LOUVRED, AirPath.DUCT_OUT):
        room = room_for(location, 15.0, path)
        without = room_air(room, DULUTH).entering_c
        drops.append(float(np.mean(without - room_air(room, DULUTH, coil=coil()).entering_c)))
    assert drops[0] > drops[1] > drops[2] > 0.0


def test_ducts_bring_air_from_where_they_lead():
    house = room_for(HeaterLocation.BASEMENT, air_path=AirPath.DUCT_HOUSE)
    out = room_for(HeaterLocation.BASEMENT, air_path=AirPath.DUCT_OUTDOORS)
    assert room_air(house, DULUTH, coil=coil()).entering_c == pytest.approx(DULUTH.house_c)
    assert room_air(out, DULUTH, coil=coil()).entering_c == pytest.approx(DULUTH.outdoor_c)


def test_the_coil_dries_a_tight_room_towards_its_surface():
    humid = steady(20.0, ratio=0.009)
    tight = room_for(HeaterLocation.CLOSET, 6.0)
    airy = room_for(HeaterLocation.CLOSET, 6.0, AirPath.DUCT_OUT)
    dried = [
        1.0 - room_air(room, humid, coil=coil(sensible_kw=0.0)).entering_humidity[0]
        / room_air(room, humid).entering_humidity[0]
        for room in (tight, airy)
    ]  # fmt: skip
    assert dried[0] > dried[1] > 0.0
    assert dried[0] < 1.0 - 0.005 / 0.009


@pytest.mark.parametrize("volume_m3", [0.1, 6000.0, float("nan")])
def test_impossible_volume_is_refused(volume_m3):
    with pytest.raises(OutOfRangeError, match="length x width x height"):
        room_for(HeaterLocation.CLOSET, volume_m3)


def test_humidity_stays_between_dry_and_saturated():
    for location in HeaterLocation:
        humidity = room_air(room_for(location), DULUTH).entering_humidity
        assert np.all((humidity > 0.05) & (humidity <= 1.0))
