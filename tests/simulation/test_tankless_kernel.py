"""The compiled tankless heater against a differential equation, and its balance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from heatersel.simulation import tankless_kernel as k
from heatersel.simulation.pieces import Events, cut_events

UNIT = k.Unit(
    input_kw=40.0,
    least_kw=4.0,
    stored_kj_per_k=8.36,
    loss_kw_per_k=12.99 / 3600.0,
    delay_s=3.0,
    purge_frac=0.1,
    start_l_per_s=2.0 / 60.0,
    stop_l_per_s=1.5 / 60.0,
    throttles=0.0,
    buffer_keep_k=0.0,
    buffer_kw=0.0,
    water_kj_per_l_k=4.13,
)
INLET_C, ROOM_C, SETPOINT_C, USE_C, EFFICIENCY = 10.0, 18.0, 50.0, 40.0, 0.8


def draws_of(*pieces):
    """Return pieces of (start, seconds, flow in L/min, temperature asked for)."""
    rows = np.array(pieces, dtype=float)
    return cut_events([Events(rows[:, 0], rows[:, 1], rows[:, 2] / 60.0, rows[:, 3])])


def run(draws, unit=UNIT, inlet_c=INLET_C, days=1, runs=1):
    ones = np.ones((1, days))
    weather = k.Weather(
        month=np.zeros(days, dtype=np.int64),
        inlet_c=np.full(days, inlet_c),
        room_c=ROOM_C * ones,
        setpoint_c=SETPOINT_C * ones,
        efficiency=EFFICIENCY * ones,
        use_c=USE_C,
    )
    totals = np.zeros((runs, 1, k.N_TOTALS))
    pairs = np.zeros((runs, 2), dtype=np.int64)
    k.run_tankless(
        np.array([unit]), pairs, *draws, weather, totals, np.zeros((runs, days, 2)),
        np.zeros((runs, 24 * days)),
    )  # fmt: skip
    return totals[0, 0] if runs == 1 else totals[:, 0]


def by_differential_equation(seconds, flow_l_per_min, asked_c):
    """Return input, heat out and final temperature of one draw from cold."""
    carried = flow_l_per_min / 60.0 * UNIT.water_kj_per_l_k
    full_kw = UNIT.input_kw * EFFICIENCY

    def flow_share(temp_c):
        if asked_c > SETPOINT_C or temp_c <= asked_c:
            return 1.0
        return (asked_c - INLET_C) / (temp_c - INLET_C)

    def heat_of(fires):
        def slope(_, y):
            temp_c = y[0]
            out = carried * flow_share(temp_c) * (temp_c - INLET_C)
            power = full_kw if fires else 0.0
            change = power - UNIT.loss_kw_per_k * (temp_c - ROOM_C) - out
            return [change / UNIT.stored_kj_per_k, out, power]

        return slope

    def at_setpoint(_, y):
        return y[0] - SETPOINT_C

    at_setpoint.terminal = True
    tight = {"rtol": 1e-10, "atol": 1e-10}
    idle = solve_ivp(heat_of(False), (0.0, UNIT.delay_s), [ROOM_C, 0.0, 0.0], **tight)
    warm = solve_ivp(
        heat_of(True), (UNIT.delay_s, seconds), idle.y[:, -1], events=at_setpoint, **tight
    )
    temp_c, out_kj, heat_kj = warm.y[:, -1]
    left_s = seconds - warm.t[-1]
    if left_s > 1e-9:
        out_kw = carried * flow_share(SETPOINT_C) * (SETPOINT_C - INLET_C)
        out_kj += out_kw * left_s
        heat_kj += (out_kw + UNIT.loss_kw_per_k * (SETPOINT_C - ROOM_C)) * left_s
    return heat_kj / EFFICIENCY, out_kj, temp_c


@pytest.mark.parametrize("seconds", [8.0, 40.0, 400.0])
@pytest.mark.parametrize("flow", [3.0, 6.0, 9.0])
def test_hot_draw_against_a_differential_equation(seconds, flow):
    """Constant flow: the steps are exact, up to the 0.02 K at which the setpoint counts as met."""
    totals = run(draws_of((0.0, seconds, flow, 1000.0)))
    input_kj, out_kj, _ = by_differential_equation(seconds, flow, 1000.0)
    assert totals[k.OUT_KJ] == pytest.approx(out_kj, rel=1e-3)
    assert totals[k.INPUT_KJ] == pytest.approx(input_kj, rel=1e-3)


@pytest.mark.parametrize("seconds", [20.0, 60.0, 400.0])
def test_mixed_draw_against_a_differential_equation(seconds):
    """While the outlet warms beyond the mix the flow falls; its mean is good to 1 %."""
    totals = run(draws_of((0.0, seconds, 7.5, 40.0)))
    input_kj, out_kj, _ = by_differential_equation(seconds, 7.5, 40.0)
    assert totals[k.OUT_KJ] == pytest.approx(out_kj, rel=0.01)
    assert totals[k.INPUT_KJ] == pytest.approx(input_kj, rel=0.01)


def test_cool_down_between_draws_is_exponential():
    """Two short hot draws an hour apart: the second start finds exp(-t UA/C) of the first."""
    totals = run(draws_of((0.0, 300.0, 6.0, 1000.0)))
    later = run(draws_of((0.0, 300.0, 6.0, 1000.0), (3900.0, 300.0, 6.0, 1000.0)))
    rest_s = 86400.0 - 300.0
    left = np.exp(-rest_s * UNIT.loss_kw_per_k / UNIT.stored_kj_per_k)
    above_k = SETPOINT_C - ROOM_C
    lost_kj = UNIT.stored_kj_per_k * above_k * (1.0 - 0.9 * left)
    lost_kj += UNIT.loss_kw_per_k * above_k * 300.0
    running_kj = totals[k.HEAT_KJ] - totals[k.OUT_KJ] - totals[k.LOSS_KJ]
    assert totals[k.LOSS_KJ] == pytest.approx(lost_kj, rel=0.01)
    assert abs(running_kj) < 1e-3
    assert later[k.INPUT_KJ] < 2.0 * totals[k.INPUT_KJ]


def test_too_small_a_draw_leaves_it_cold():
    totals = run(draws_of((0.0, 60.0, 1.9, 40.0)))
    assert totals[k.INPUT_KJ] == 0.0
    assert totals[k.UNFIRED] == 1.0
    assert totals[k.UNFIRED_L] == pytest.approx(1.9)
    assert totals[k.MISSED_KJ] > 0.0


def test_mixing_down_below_the_stop_flow_keeps_it_off():
    """2.2 L/min at 30 °C needs only 1.1 L/min of hot water: the switch would open again."""
    assert run(draws_of((0.0, 60.0, 2.2, 30.0)))[k.STARTS] == 0.0
    assert run(draws_of((0.0, 60.0, 2.2, 45.0)))[k.STARTS] == 1.0


def test_overload_sags_to_the_heat_balance():
    """20 L/min of mixed water at 40 °C: full input warms it to Tin + P/(q c), all of it hot."""
    totals = run(draws_of((0.0, 600.0, 20.0, 40.0)))
    carried = 20.0 / 60.0 * UNIT.water_kj_per_l_k
    settled = (32.0 + UNIT.loss_kw_per_k * ROOM_C + carried * INLET_C) / (
        UNIT.loss_kw_per_k + carried
    )
    assert totals[k.COLDEST_C] == pytest.approx(settled, abs=0.01)
    assert totals[k.SHORT_S] > 590.0
    assert totals[k.MISSED_KJ] == pytest.approx(carried * (40.0 - settled) * 600.0, rel=0.03)


def test_overload_can_throttle_instead():
    totals = run(draws_of((0.0, 600.0, 20.0, 40.0)), unit=UNIT._replace(throttles=1.0))
    assert totals[k.SHORT_S] == 0.0
    held_l = 32.0 / (UNIT.water_kj_per_l_k * 30.0) * 600.0
    assert totals[k.THROTTLED_L] == pytest.approx(200.0 - held_l, rel=0.02)


def test_buffer_serves_what_the_burner_would_miss():
    """With eight warm litres behind it, a small draw is warm and a start has no cold slug."""
    buffered = UNIT._replace(
        stored_kj_per_k=8.36 + 8.0 * 4.13, loss_kw_per_k=UNIT.loss_kw_per_k + 0.0005,
        buffer_keep_k=3.0, buffer_kw=1.4,
    )  # fmt: skip
    quiet = ((20000.0, 60.0, 1.9, 40.0), (40000.0, 120.0, 6.0, 40.0))
    with_buffer, without = run(draws_of(*quiet), unit=buffered), run(draws_of(*quiet))
    assert with_buffer[k.MISSED_KJ] == 0.0 < without[k.MISSED_KJ]
    assert with_buffer[k.WAIT_S] == 0.0 < without[k.WAIT_S]
    assert with_buffer[k.BUFFER_KJ] > 0.0 == without[k.BUFFER_KJ]


def test_a_short_pause_brings_a_cold_slug():
    totals = run(draws_of((0.0, 300.0, 6.0, 40.0), (540.0, 300.0, 6.0, 40.0)))
    assert totals[k.SLUGS] == 1.0


def test_every_run_of_a_pair_is_the_same():
    draws = draws_of((0.0, 300.0, 6.0, 40.0), (900.0, 30.0, 12.0, 40.0))
    totals = run(draws, runs=8)
    assert np.all(totals == totals[0])


pieces = st.lists(
    st.tuples(
        st.floats(1.0, 3000.0), st.floats(1.0, 900.0), st.floats(0.3, 40.0),
        st.sampled_from([35.0, 40.0, 44.0, 1000.0]),
    ),
    min_size=1, max_size=12,
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(pieces, st.floats(1.0, 28.0), st.booleans(), st.booleans())
def test_balance_closes_for_any_draws(found, inlet_c, throttles, buffered):
    start, rows = 0.0, []
    for pause_s, seconds, flow, asked_c in found:
        start += pause_s
        rows.append((start, seconds, flow, asked_c))
        start += seconds
    unit = UNIT._replace(throttles=float(throttles))
    if buffered:
        unit = unit._replace(stored_kj_per_k=40.0, buffer_keep_k=3.0, buffer_kw=1.4)
    totals = run(draws_of(*rows), unit=unit, inlet_c=inlet_c)
    assert np.all(np.isfinite(totals))
    assert totals[k.RESIDUAL_KJ] < 1e-7 * max(totals[k.HEAT_KJ], 1.0)
    assert totals[k.INPUT_KJ] * EFFICIENCY == pytest.approx(totals[k.HEAT_KJ], abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(st.floats(2.0, 25.0), st.floats(0.5, 15.0), st.floats(6.0, 40.0))
def test_colder_inlet_never_leaves_more_warm_water(inlet_c, colder_k, flow):
    """Of draws that fire it: lukewarm water needs so little hot water that it may stay unfired."""
    warmer_c = inlet_c + colder_k
    hot_l_per_min = flow * max(USE_C - warmer_c, 0.0) / (SETPOINT_C - warmer_c)
    assume(warmer_c >= USE_C or hot_l_per_min > 60.0 * UNIT.start_l_per_s)
    draws = draws_of((0.0, 900.0, flow, USE_C))
    warm, cold = run(draws, inlet_c=warmer_c), run(draws, inlet_c=inlet_c)
    assert cold[k.MISSED_KJ] >= warm[k.MISSED_KJ] - 1e-6
    assert cold[k.SHORT_L] >= warm[k.SHORT_L] - 1e-6
