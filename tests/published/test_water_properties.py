"""The water table against two property libraries and the printed values of the standard."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.properties_build import water_rows
from heatersel.reference import dataset_path
from heatersel.water import (
    density_kg_per_l,
    enthalpy_kj_per_kg,
    heat_capacity_kj_per_kg_k,
    heat_kwh,
    mixing_hot_fraction,
)

PRESSURE_PA = 300e3
BETWEEN_ROWS_C = np.arange(0.5, 99.0, 7.0)


def test_shipped_table_is_what_the_command_writes():
    printed = dataset_path("properties/water.csv").read_text(encoding="utf-8").splitlines()[1:]
    assert [line.split(",") for line in printed] == [list(row) for row in water_rows()]


def test_interpolation_against_coolprop():
    from CoolProp.CoolProp import PropsSI

    kelvin = BETWEEN_ROWS_C + 273.15
    density = PropsSI("D", "T", kelvin, "P", PRESSURE_PA, "Water") / 1000.0
    capacity = PropsSI("C", "T", kelvin, "P", PRESSURE_PA, "Water") / 1000.0
    enthalpy = PropsSI("H", "T", kelvin, "P", PRESSURE_PA, "Water") / 1000.0
    # the bands that heatersel.water states
    assert np.abs(density_kg_per_l(BETWEEN_ROWS_C) - density).max() < 3e-6
    assert np.abs(heat_capacity_kj_per_kg_k(BETWEEN_ROWS_C) - capacity).max() < 2e-4
    assert np.abs(enthalpy_kj_per_kg(BETWEEN_ROWS_C) - enthalpy).max() < 6e-4


def test_against_the_industrial_formulation():
    """IAPWS-IF97 is a separate set of equations; it agrees within 0.002 % and 0.06 %."""
    from iapws import IAPWS97

    for temp_c in (4.0, 10.0, 25.0, 40.0, 60.0, 80.0):
        water = IAPWS97(T=temp_c + 273.15, P=PRESSURE_PA / 1e6)
        assert density_kg_per_l(temp_c) == pytest.approx(water.rho / 1000.0, rel=3e-5)
        assert heat_capacity_kj_per_kg_k(temp_c) == pytest.approx(water.cp, rel=1e-3)
        assert enthalpy_kj_per_kg(temp_c) == pytest.approx(water.h, rel=2e-3, abs=0.02)


def test_heat_of_the_federal_rise():
    """58 to 125 degF: 66.895 Btu/lb at 8.2393 lb/gal (computed with IAPWS-IF97)."""
    btu_per_gallon = 66.895 * 8.2393
    kwh_per_l = btu_per_gallon / 3412.1416 / 3.785411784
    assert heat_kwh(1.0, 14.0 + 4.0 / 9.0, 51.0 + 2.0 / 3.0) == pytest.approx(kwh_per_l, rel=3e-4)


@pytest.mark.parametrize(
    ("mixed_f", "hot_f", "cold_f", "share"),
    [(105.0, 125.0, 58.0, 0.7015), (105.0, 120.0, 50.0, 0.786), (105.0, 140.0, 40.0, 0.65)],
)
def test_hot_share_of_a_shower(mixed_f, hot_f, cold_f, share):
    # mixing equation of ASHRAE Handbook, HVAC Applications, Service Water Heating (memory);
    # the shares are hand arithmetic
    assert mixing_hot_fraction(mixed_f, hot_f, cold_f) == pytest.approx(share, abs=6e-4)
