"""Water properties: interpolation, mixing and the errors for wrong temperatures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.errors import OutOfRangeError
from heatersel.water import (
    WATER_KWH_PER_L_K,
    density_kg_per_l,
    enthalpy_kj_per_kg,
    heat_capacity_kj_per_kg_k,
    heat_kwh,
    mixing_hot_fraction,
)

temps = st.floats(0.0, 99.0)
LOOKUPS = (density_kg_per_l, heat_capacity_kj_per_kg_k, enthalpy_kj_per_kg)


@pytest.mark.parametrize("lookup", LOOKUPS)
def test_array_equals_loop_of_scalars(lookup):
    grid = np.linspace(0.0, 99.0, 37)
    assert lookup(grid) == pytest.approx([lookup(float(t)) for t in grid], abs=0.0)


@pytest.mark.parametrize("lookup", LOOKUPS)
def test_scalar_gives_a_plain_float(lookup):
    assert type(lookup(40.0)) is float
    assert type(heat_kwh(1.0, 10.0, 50.0)) is float
    assert type(mixing_hot_fraction(40.0, 50.0, 10.0)) is float


@pytest.mark.parametrize("bad", [-0.1, 99.1, 120.0, float("nan")])
@pytest.mark.parametrize("lookup", LOOKUPS)
def test_temperature_outside_the_table_is_refused(lookup, bad):
    with pytest.raises(OutOfRangeError, match="0 to 99 °C"):
        lookup(bad)


def test_error_names_the_offending_value_of_an_array():
    with pytest.raises(OutOfRangeError, match="120 °C"):
        density_kg_per_l(np.array([10.0, 120.0]))


@given(temps, temps)
def test_enthalpy_rises_with_temperature(a, b):
    if b - a > 1e-9:
        assert enthalpy_kj_per_kg(a) < enthalpy_kj_per_kg(b)


@given(temps, temps, temps)
def test_mass_of_one_meter_reading_gains_the_sum_of_its_steps(a, b, c):
    """Heat is a difference of enthalpy: going by way of `b` costs the same per kilogram."""
    per_kg = lambda start, end: heat_kwh(1.0, start, end) / density_kg_per_l(end)  # noqa: E731
    assert per_kg(a, b) + per_kg(b, c) == pytest.approx(per_kg(a, c), abs=1e-12)


def test_bulk_constant_is_the_federal_test_rise():
    # 58 and 125 degF, 10 CFR 430 Subpart B Appendix E (memory, sure)
    cold_c, hot_c = (58.0 - 32.0) / 1.8, (125.0 - 32.0) / 1.8
    assert pytest.approx(heat_kwh(1.0, cold_c, hot_c) / (hot_c - cold_c), rel=1e-5) == (
        WATER_KWH_PER_L_K
    )


def test_bulk_constant_holds_its_stated_band():
    cold, hot = np.meshgrid(np.arange(2.0, 46.0), np.arange(22.0, 66.0))
    apart = hot - cold >= 20.0
    cold, hot = cold[apart], hot[apart]
    off = heat_kwh(1.0, cold, hot) / (WATER_KWH_PER_L_K * (hot - cold)) - 1.0
    assert np.abs(off).max() < 0.014


@given(mixed=temps, hot=temps, cold=temps)
def test_hot_share_stays_between_none_and_all(mixed, hot, cold):
    share = mixing_hot_fraction(mixed, hot, cold)
    assert 0.0 <= share <= 1.0
    if cold < mixed < hot:
        assert share * hot + (1.0 - share) * cold == pytest.approx(mixed, abs=1e-9)


def test_lukewarm_supply_is_used_whole():
    assert mixing_hot_fraction(40.0, 35.0, 10.0) == 1.0
    assert mixing_hot_fraction(40.0, 10.0, 10.0) == 1.0


def test_warm_inlet_needs_no_hot_water():
    assert mixing_hot_fraction(20.0, 50.0, 25.0) == 0.0
