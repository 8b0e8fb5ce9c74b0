"""Expansion and its tank against CoolProp, Boyle's law by hand and a published example."""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cautions.pressure import (
    MAX_STATIC_US_KPA,
    acceptance_factor,
    atmospheric_kpa,
    expansion_l,
    expansion_tank_l,
)
from heatersel.errors import OutOfRangeError

KPA = 6.894757


@pytest.mark.parametrize(("cold_c", "hot_c"), [(4.44, 48.9), (4.44, 60.0), (10.0, 60.0), (2.0, 71)])
def test_expansion_follows_coolprop_densities(cold_c, hot_c):
    cold, hot = (PropsSI("D", "T", t + 273.15, "P", 300e3, "Water") for t in (cold_c, hot_c))
    assert expansion_l(100.0, cold_c, hot_c) == pytest.approx(100.0 * (cold / hot - 1.0), rel=2e-3)


def test_unheated_water_does_not_grow():
    assert expansion_l(200.0, 20.0, 20.0) == 0.0


def test_cooling_is_refused():
    with pytest.raises(OutOfRangeError, match="at least 50"):
        expansion_l(200.0, 50.0, 40.0)


def test_factor_with_precharge_at_supply_is_one_less_the_ratio():
    factor = acceptance_factor(60 * KPA, 80 * KPA, 60 * KPA)
    assert factor == pytest.approx(1 - 74.7 / 94.7, abs=1e-4)  # psia


def test_supply_at_the_limit_leaves_no_room():
    with pytest.raises(OutOfRangeError, match="regulator"):
        expansion_tank_l(3.0, MAX_STATIC_US_KPA, MAX_STATIC_US_KPA)


def test_precharge_above_the_supply_is_refused():
    with pytest.raises(OutOfRangeError, match="let air out"):
        expansion_tank_l(3.0, 400.0, 551.0, precharge_kpa=450.0)


def test_thinner_air_needs_a_smaller_tank_at_the_same_gauge_pressures():
    # Lower absolute pressures: the ratio of supply to limit falls.
    low, high = (expansion_tank_l(3.0, 414.0, 551.0, elevation_m=h) for h in (0.0, 2000.0))
    assert high < low


@pytest.mark.parametrize(("metres", "kpa"), [(0.0, 101.325), (1500.0, 84.556), (3000.0, 70.121)])
def test_air_pressure_is_the_standard_atmosphere(metres, kpa):
    # ICAO standard atmosphere (from memory); 14.7 psi at sea level is 0.03 % more.
    assert atmospheric_kpa(metres) == pytest.approx(kpa, rel=2e-3)


@given(st.floats(150.0, 500.0), st.floats(0.3, 0.99))
def test_an_undercharged_tank_is_never_smaller(supply, share):
    charged = expansion_tank_l(3.0, supply)
    assert expansion_tank_l(3.0, supply, precharge_kpa=share * supply) >= charged
