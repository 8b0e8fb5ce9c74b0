"""Labels packed into the records of the compiled tank."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from heatersel.errors import InconsistentRatingError
from heatersel.heaters.catalogue import load_heaters
from heatersel.simulation.arrays import BOTTOM_DRAW, BURNER, CONDENSER, N_WATERS
from heatersel.simulation.heat_pump import daily_tables
from heatersel.simulation.tank import pack_pumps, pack_tanks, uncalibrated

HEATERS = {heater.id: heater for heater in load_heaters().heaters}
IDS = ("gas-tank-40", "electric-tank-50", "heat-pump-50", "split-heat-pump-45")
MODELS = [uncalibrated(HEATERS[id_]) for id_ in IDS]
AIR = (np.full(365, 18.0), np.full(365, 0.5))


def test_each_class_heats_in_its_own_way():
    tanks = pack_tanks(MODELS, 4.13)
    assert tanks["main"].tolist() == [BURNER, BURNER, CONDENSER, BOTTOM_DRAW]
    assert tanks["pump"].tolist() == [0, 0, 0, 1]


def test_sensors_stand_above_their_heat():
    tanks = pack_tanks([uncalibrated(h) for h in HEATERS.values() if not h.is_tankless], 4.13)
    assert np.all(tanks["main_sensor_l"] > tanks["main_height_l"])
    assert np.all(tanks["main_sensor_l"] > tanks["lower_height_l"])
    assert np.all((tanks["upper_sensor_l"] > tanks["upper_height_l"]) | (tanks["upper_kw"] == 0.0))


def test_recovery_efficiency_counts_the_fan():
    # RE = heat / (fuel + electricity): the fan's 90 W on 11.7 kW of gas are 0.8 %.
    model = uncalibrated(HEATERS["gas-power-vent-40"])
    heat_kw = pack_tanks([model], 4.13)["main_kw"][0]
    assert heat_kw == pytest.approx(0.80 * (model.heater.input_kw + 0.090))


def test_altitude_takes_input_but_not_efficiency():
    thin = pack_tanks([replace(MODELS[0], input_frac=0.8)], 4.13)
    full = pack_tanks([MODELS[0]], 4.13)
    assert thin["main_kw"][0] == pytest.approx(0.8 * full["main_kw"][0])
    assert thin["main_conversion"][0] == full["main_conversion"][0]


def test_a_flue_stops_losing_while_the_burner_fires():
    gas, electric = pack_tanks(MODELS[:2], 4.13)
    assert gas["loss_firing_kw_per_k"] == pytest.approx(0.57 * gas["loss_idle_kw_per_k"])
    assert electric["loss_firing_kw_per_k"] == electric["loss_idle_kw_per_k"]


def test_a_tempering_valve_is_off_unless_given():
    off, on = pack_tanks([MODELS[0], replace(MODELS[0], tempering_valve_c=49.0)], 4.13)
    assert off["valve_c"] > 100.0
    assert on["valve_c"] == 49.0


def test_heat_pump_tables_are_packed_unchanged():
    days = daily_tables(HEATERS["heat-pump-50"], *AIR)
    packed = pack_pumps([days])
    assert packed.shape == (1, 365)
    assert packed["cop"][0] == pytest.approx(days.cop)
    assert packed["runs"].all()


def test_other_water_temperatures_are_interpolated():
    days = daily_tables(HEATERS["heat-pump-50"], *AIR)
    coarse = replace(
        days, water_c=days.water_c[::3], cop=days.cop[:, ::3], heat_kw=days.heat_kw[:, ::3]
    )
    packed = pack_pumps([coarse])
    assert packed["cop"].shape == (1, 365, N_WATERS)
    assert packed["cop"][0] == pytest.approx(days.cop, rel=0.06)


def test_without_heat_pumps_one_empty_row_stands_in():
    assert pack_pumps([]).shape == (1, 1)


def test_a_label_that_contradicts_itself_makes_no_tank():
    with pytest.raises(InconsistentRatingError):
        uncalibrated(replace(HEATERS["gas-tank-40"], uef=0.9))
