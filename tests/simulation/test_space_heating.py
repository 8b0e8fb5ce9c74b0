"""The house pays or gains: signs, seasons and the switch."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.climate import climate
from heatersel.errors import OutOfRangeError
from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import EnergySource
from heatersel.job.models import HeaterLocation
from heatersel.simulation.around import around
from heatersel.simulation.room import AirPath, room_for
from heatersel.simulation.space_heating import (
    HouseSystem,
    cooling_share,
    heating_share,
    house_shares,
    space_effect,
)

GAS = HouseSystem(energy_source=EnergySource.NATURAL_GAS, heating_efficiency=0.8, cooling_cop=3.5)
TAKEN, GIVEN = np.full(365, 6.0), np.full(365, 1.0)
OUTDOOR_C = around(climate("Duluth, MN").monthly_air_c).outdoor_c
HEAT_PUMP, SPLIT = (
    next(h for h in load_heaters().heaters if h.id == id_)
    for id_ in ("heat-pump-50", "split-heat-pump-45")
)


def effect(shares=(1.0, 1.0), outdoor_c=OUTDOOR_C, system=GAS):
    return space_effect(TAKEN, GIVEN, shares=shares, outdoor_c=outdoor_c, system=system)


def test_a_winter_day_charges_the_heat_at_the_furnaces_efficiency():
    cold = np.full(365, -10.0)
    result = effect(outdoor_c=cold)
    assert result.house_heat_kwh == pytest.approx(-5.0 * 365.0)
    assert result.energy_kwh[EnergySource.NATURAL_GAS] == pytest.approx(5.0 * 365.0 / 0.8)
    assert result.energy_kwh[EnergySource.ELECTRICITY] == 0.0


def test_a_summer_day_credits_the_cooling():
    result = effect(outdoor_c=np.full(365, 30.0))
    assert result.house_heat_kwh == 0.0
    assert result.energy_kwh[EnergySource.ELECTRICITY] == pytest.approx(-5.0 * 365.0 / 3.5)


def test_standby_heat_alone_helps_in_winter():
    result = space_effect(
        np.zeros(365), GIVEN, shares=(1.0, 1.0), outdoor_c=np.full(365, 0.0), system=GAS
    )
    assert result.house_heat_kwh == pytest.approx(365.0)
    assert result.energy_kwh[EnergySource.NATURAL_GAS] < 0.0


def test_share_zero_switches_the_effect_off():
    result = effect(shares=(0.0, 0.0))
    assert result.house_heat_kwh == 0.0
    assert all(kwh == 0.0 for kwh in result.energy_kwh.values())


def test_a_house_without_cooling_gets_no_credit():
    system = HouseSystem(energy_source=EnergySource.PROPANE, heating_efficiency=0.9)
    assert set(effect(system=system).monthly_kwh) == {EnergySource.PROPANE}


def test_electric_heating_and_cooling_share_one_line():
    system = HouseSystem(
        energy_source=EnergySource.ELECTRICITY, heating_efficiency=2.5, cooling_cop=3.5
    )
    warm = around(climate("Atlanta, GA").monthly_air_c).outdoor_c
    months = effect(system=system, outdoor_c=warm).monthly_kwh[EnergySource.ELECTRICITY]
    assert months[0] > 0.0 > months[6]


def test_cold_region_effect_falls_in_winter():
    months = effect().monthly_kwh[EnergySource.NATURAL_GAS]
    assert months[0] == pytest.approx(31 * 5.0 / 0.8)
    assert 0.0 <= months[6] < 0.25 * months[0]


@given(st.floats(-40.0, 45.0))
def test_no_day_is_both_a_heating_and_a_cooling_day(temp_c):
    day = np.array([temp_c])
    assert heating_share(day)[0] * cooling_share(day)[0] == 0.0


def test_shares_follow_the_place_and_the_air_path():
    closet, garage = room_for(HeaterLocation.CLOSET), room_for(HeaterLocation.GARAGE)
    assert house_shares(HEAT_PUMP, closet) == (1.0, 1.0)
    assert max(house_shares(HEAT_PUMP, garage)) < 0.1
    assert 0.3 <= house_shares(HEAT_PUMP, room_for(HeaterLocation.BASEMENT))[0] <= 0.7
    assert house_shares(HEAT_PUMP, None) == (0.0, 0.0)


def test_a_split_unit_and_ducts_outdoors_take_nothing_from_the_house():
    basement = room_for(HeaterLocation.BASEMENT)
    ducted = room_for(HeaterLocation.BASEMENT, air_path=AirPath.DUCT_OUTDOORS)
    assert house_shares(SPLIT, basement)[0] == 0.0
    assert house_shares(HEAT_PUMP, ducted)[0] == 0.0
    assert house_shares(SPLIT, basement)[1] == basement.house_share


def test_ducts_to_the_house_take_all_from_it():
    garage = room_for(HeaterLocation.GARAGE, air_path=AirPath.DUCT_HOUSE)
    assert house_shares(HEAT_PUMP, garage)[0] == 1.0


@pytest.mark.parametrize("shares", [(1.1, 0.0), (0.0, -0.1), (60.0, 0.0)])
def test_share_in_percent_is_refused(shares):
    with pytest.raises(OutOfRangeError, match="0 switches the effect off"):
        effect(shares=shares)


@pytest.mark.parametrize(
    ("efficiency", "cop", "hint"), [(80.0, 3.0, r"80 % as 0\.8"), (0.8, 14.0, "SEER")]
)
def test_impossible_house_system_is_refused(efficiency, cop, hint):
    with pytest.raises(OutOfRangeError, match=hint):
        HouseSystem(
            energy_source=EnergySource.NATURAL_GAS, heating_efficiency=efficiency, cooling_cop=cop
        )
