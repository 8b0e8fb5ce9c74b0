"""The refrigerant cycle: shipped tables are reproduced, and balances hold."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from heatersel.errors import ModelError, OutOfRangeError
from heatersel.properties_build import heat_pump_rows
from heatersel.reference import dataset_path, sidecar
from heatersel.simulation.heat_pump import daily_tables, read_table
from heatersel.simulation.heat_pump_cycle import (
    gas_cooler_pinch_k,
    open_fluid,
    performance_table,
    subcritical_cycle,
    transcritical_cycle,
)
from heatersel.simulation.heat_pump_settings import SETTINGS, CycleSettings


@pytest.mark.parametrize("name", sorted(SETTINGS))
def test_shipped_table_is_what_its_settings_give(name):
    """To the digits printed, save the last: property libraries differ there by release."""
    path = dataset_path(f"properties/heat_pump_{name.lower()}.csv")
    shipped = np.loadtxt(path, delimiter=",", skiprows=1)
    computed = np.array(heat_pump_rows(performance_table(SETTINGS[name])), dtype=float)
    assert computed == pytest.approx(shipped, abs=2e-4, rel=2e-4)


@pytest.mark.parametrize("name", sorted(SETTINGS))
def test_source_sheet_states_the_settings(name):
    sheet = sidecar(f"properties/heat_pump_{name.lower()}")["settings"]
    tuples = {key: tuple(v) if isinstance(v, list) else v for key, v in sheet.items()}
    assert CycleSettings(**tuples) == SETTINGS[name]


@pytest.mark.parametrize("name", ["R134a", "R744"])
def test_linear_interpolation_stays_near_the_cycle(name):
    """Between the grid's points, within 2 % (R744, whose pressure control has steps, 3 %)."""
    fine = dataclasses.replace(
        SETTINGS[name], air_c=(2.5, 12.5, 22.5), humidity=(0.4, 0.625), water_c=(12.5, 32.5, 52.5)
    )
    direct, shipped = performance_table(fine), read_table(name)
    band = 0.03 if name == "R744" else 0.02
    for t, air_c in enumerate(fine.air_c):
        for h, rel in enumerate(fine.humidity):
            row = shipped.at_air(np.array([air_c]), np.array([rel]))[0]
            read = np.interp(fine.water_c, shipped.water_c, row[: shipped.water_c.size])
            assert read == pytest.approx(direct.cop[t, h], rel=band)


def test_heat_is_work_plus_what_the_coil_took():
    settings = SETTINGS["R290"]
    fluid = open_fluid(settings)
    cycle = subcritical_cycle(fluid, settings, 2.0, 55.0)
    assert 0.0 < cycle.work_kj_per_kg < cycle.heat_kj_per_kg
    assert cycle.pressure_ratio > 1.0
    assert cycle.discharge_c > 55.0


def test_perfect_compressor_still_obeys_carnot():
    settings = dataclasses.replace(SETTINGS["R134a"], peak_efficiency=1.0, efficiency_fall=0.0)
    fluid = open_fluid(settings)
    for low, high in ((-10.0, 40.0), (7.0, 55.0), (15.0, 70.0)):
        cop = subcritical_cycle(fluid, settings, low, high).cop
        assert cop < (high + 273.15) / (high - low)


def test_higher_pressure_opens_the_gas_cooler():
    settings = SETTINGS["R744"]
    fluid = open_fluid(settings)
    pinches = [
        gas_cooler_pinch_k(
            fluid, transcritical_cycle(fluid, settings, 3.5, 18.0, high), 18.0, 14.0, 65.0
        )
        for high in (7500.0, 8500.0, 9500.0)
    ]
    assert pinches[0] < 0.0 < pinches[-1]
    assert pinches == sorted(pinches)


def test_settings_of_ones_own_make_a_table_that_runs(heat_pump):
    better = dataclasses.replace(SETTINGS["R134a"], evaporator_approach_k=6.0)
    table = performance_table(better)
    air = np.array([15.0]), np.array([0.5])
    assert np.all(
        daily_tables(heat_pump, *air, table=table).cop > daily_tables(heat_pump, *air).cop
    )


def test_unknown_fluid_is_named():
    with pytest.raises(ModelError, match="check the name"):
        open_fluid(CycleSettings(refrigerant="X", fluid="no such fluid"))


def test_pressure_that_cannot_heat_the_water_is_refused():
    timid = dataclasses.replace(SETTINGS["R744"], high_pressures_kpa=(7500.0, 7600.0))
    with pytest.raises(OutOfRangeError, match="add higher pressures"):
        performance_table(timid)


@pytest.fixture
def heat_pump():
    from heatersel.heaters.catalogue import load_heaters

    return next(h for h in load_heaters().heaters if h.id == "heat-pump-50")
