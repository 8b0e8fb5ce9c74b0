"""A job's words put into the room model."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.climate import climate
from heatersel.heaters.heater import EnergySource
from heatersel.job.load import parse_job
from heatersel.simulation.house_air import air_path_of, house_air, likely_system
from heatersel.simulation.room import AirPath

DULUTH = climate("Duluth, MN").monthly_air_c


def home(**words):
    return parse_job(
        {"household": {"occupants": 2}, "place": {"climate": "Duluth, MN"}, "home": words}
    ).home


def test_a_basement_is_cool_and_a_closet_is_warm():
    basement, closet = (
        house_air(home(heater_location=where), DULUTH).air.mean_c
        for where in ("basement", "closet")
    )
    assert basement[15] < 16.0 < closet[15]


def test_outdoors_there_is_no_room():
    found = house_air(home(heater_location="outdoors"), DULUTH)
    assert found.room is None
    assert found.air.mean_c == pytest.approx(found.near.outdoor_c)


def test_a_missing_volume_is_named():
    assert any("170 m3" in note for note in house_air(home(), DULUTH).notes)
    assert not any("assumed" in n for n in house_air(home(room_volume="3000 ft3"), DULUTH).notes)


def test_a_winter_reading_is_met():
    found = house_air(home(site={"room_min_temperature": "8 degC"}), DULUTH)
    assert np.min(found.air.mean_c) == pytest.approx(8.0)
    assert "room temperature fitted to the readings" in found.notes


def test_two_readings_are_missed_alike():
    readings = {"room_min_temperature": "8 degC", "room_max_temperature": "28 degC"}
    mean_c = house_air(home(site=readings), DULUTH).air.mean_c
    assert np.min(mean_c) - 8.0 == pytest.approx(28.0 - np.max(mean_c))


@pytest.mark.parametrize(
    ("site", "path"),
    [
        ({}, AirPath.ROOM),
        ({"louvered": True}, AirPath.LOUVRED),
        ({"ducting": "one_side"}, AirPath.DUCT_OUT),
        ({"ducting": "both_sides", "louvered": True}, AirPath.DUCT_HOUSE),
    ],
)
def test_door_and_ducts_decide_the_air_path(site, path):
    assert air_path_of(home(site=site)) is path


@pytest.mark.parametrize(
    ("fuels", "source"),
    [
        ({EnergySource.ELECTRICITY, EnergySource.NATURAL_GAS}, EnergySource.NATURAL_GAS),
        ({EnergySource.ELECTRICITY, EnergySource.PROPANE}, EnergySource.PROPANE),
        ({EnergySource.ELECTRICITY}, EnergySource.ELECTRICITY),
        (set(), EnergySource.ELECTRICITY),
    ],
)
def test_likely_heating_follows_the_fuels(fuels, source):
    assert likely_system(fuels).energy_source is source
    assert likely_system(fuels, cools=False).cooling_cop == 0.0
