"""Tankless flow at the rise against published examples."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.heaters.heater import (
    DrawPattern,
    EnergySource,
    Heater,
    HeaterClass,
    Kind,
    VentType,
    in_parallel,
)
from heatersel.heaters.rated import DELIVERY_TEMP_C, INLET_TEMP_C
from heatersel.sizing.tankless import flow_at_rise_l_per_min, size_tankless, smallest_parallel
from heatersel.sizing.verdict import Verdict

L_PER_GAL = 3.785411784

TANKLESS = Heater(
    id="tankless",
    name="tankless gas",
    kind=Kind.TANKLESS,
    heater_class=HeaterClass.TANKLESS_CONDENSING,
    energy_source=EnergySource.NATURAL_GAS,
    vent_type=VentType.DIRECT_VENT,
    draw_pattern=DrawPattern.HIGH,
    volume_l=0.0,
    input_kw=58.32,
    uef=0.95,
    max_flow_l_per_min=5.6 * L_PER_GAL,
    recovery_efficiency=0.95,
)


def test_flow_at_the_rated_rise_is_the_rated_flow() -> None:
    flow = flow_at_rise_l_per_min(TANKLESS, INLET_TEMP_C, DELIVERY_TEMP_C)

    assert flow == pytest.approx(TANKLESS.max_flow_l_per_min)


def test_flow_scales_with_67_over_the_rise() -> None:
    """10 CFR 430 Subpart B Appendix E rates at 67 degF; 67/82 of it is left at 82 degF."""
    inlet_c = (38.0 - 32.0) / 1.8
    setpoint_c = inlet_c + 82.0 / 1.8

    flow = flow_at_rise_l_per_min(TANKLESS, inlet_c, setpoint_c)

    assert flow == pytest.approx(TANKLESS.max_flow_l_per_min * 67.0 / 82.0, rel=0.01)


def test_heat_at_full_flow_is_499_8_btu_per_gallon_degree() -> None:
    """Btu/h = 499.8 x gal/min x rise (reference equation, 8.33 lb/gal), within 1.5 %."""
    flow = flow_at_rise_l_per_min(TANKLESS, 5.0, 55.0) / L_PER_GAL

    assert 499.8 * flow * 90.0 / 3412.14 == pytest.approx(58.32 * 0.95, rel=0.03)


@given(st.floats(1.0, 25.0), st.floats(0.1, 10.0))
def test_a_colder_inlet_never_raises_the_flow(inlet_c: float, colder_k: float) -> None:
    warm = flow_at_rise_l_per_min(TANKLESS, inlet_c, 50.0)

    assert flow_at_rise_l_per_min(TANKLESS, max(inlet_c - colder_k, 0.5), 50.0) <= warm


def test_a_small_rise_is_capped_by_the_limiter() -> None:
    flow = flow_at_rise_l_per_min(TANKLESS, 38.0, 45.0)

    assert flow == pytest.approx(1.15 * TANKLESS.max_flow_l_per_min)


def test_two_stand_in_parallel_where_one_is_short() -> None:
    peak = 1.6 * TANKLESS.max_flow_l_per_min

    pair = smallest_parallel(TANKLESS, peak, INLET_TEMP_C, DELIVERY_TEMP_C)

    assert pair.units == 2
    assert pair.id == "tankless-x2"
    assert size_tankless(pair, peak, INLET_TEMP_C, DELIVERY_TEMP_C).verdict is not Verdict.SHORT


def test_one_is_kept_where_two_are_short_as_well() -> None:
    peak = 3.0 * TANKLESS.max_flow_l_per_min

    assert smallest_parallel(TANKLESS, peak, INLET_TEMP_C, DELIVERY_TEMP_C).units == 1


def test_altitude_takes_its_share() -> None:
    sea = flow_at_rise_l_per_min(TANKLESS, 5.0, 50.0)

    assert flow_at_rise_l_per_min(TANKLESS, 5.0, 50.0, 0.2) == pytest.approx(0.8 * sea)


@pytest.mark.parametrize(("least", "cold"), [(None, False), (1.4, True), (1.6, False)])
def test_a_tap_below_the_minimum_flow_stays_cold(least: float | None, cold: bool) -> None:
    """0.4 gal/min = 1.51 L/min: below it the burner stays off; the verdict is that of the peak."""
    unit = replace(TANKLESS, min_flow_l_per_min=0.4 * L_PER_GAL)

    sizing = size_tankless(unit, 10.0, 10.0, 50.0, least_draw_l_per_min=least)

    assert sizing.leaves_a_tap_cold is cold
    assert sizing.verdict is size_tankless(unit, 10.0, 10.0, 50.0).verdict
    assert sizing.steps[-1][0] == "minimum flow"
    assert sizing.steps[-1][2] == pytest.approx(0.4 * L_PER_GAL)


def test_two_side_by_side_start_at_the_minimum_flow_of_one() -> None:
    unit = replace(TANKLESS, min_flow_l_per_min=1.5)

    assert size_tankless(in_parallel(unit, 2), 10.0, 10.0, 50.0).starts_at == 1.5
