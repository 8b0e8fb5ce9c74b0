"""The compiled tankless heater: a lumped heat exchanger, stepped from draw to draw.

The exchanger and the water in it stand at one temperature, which is also the outlet's. Within a
piece of constant flow and power it moves exponentially, so each piece takes a handful of exact
steps: ignition delay, warming at full power, holding the setpoint, or sagging where full power is
not enough. A buffer tank, where there is one, is part of the same lump and is kept warm by an
element between draws.

Inside this module: temperatures in °C, volumes in L, flows in L/s, time in s from the start of
the year, power in kW, energy in kJ. Left out: waves of temperature inside the exchanger, the
control's overshoot, and the pipe (see the distribution model).

Everything that is compiled stands in this file, because the cache of compiled code does not
notice a change in another one.
"""

# mypy: disable-error-code="no-untyped-def,no-untyped-call"
# The compiler infers the types of the small functions; the entry point states its own.

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numba import prange
from numpy.typing import NDArray

from heatersel.simulation.compiler import compiled, inlined

__all__ = [
    "BUFFER_KJ", "COLDEST_C", "FIRING_S", "HEAT_KJ", "HOT_L", "INPUT_KJ", "LOSS_KJ", "LOW_FIRE_S",
    "MISSED_KJ", "N_TOTALS", "OUT_KJ", "RESIDUAL_KJ", "SHORT_L", "SHORT_S", "SLUGS", "STARTS",
    "THROTTLED_L", "UNFIRED", "UNFIRED_L", "WAIT_KJ", "WAIT_L", "WAIT_S", "Unit", "Weather",
    "run_tankless",
]  # fmt: skip

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Totals of a month.
INPUT_KJ, HEAT_KJ, OUT_KJ, LOSS_KJ, BUFFER_KJ, MISSED_KJ, WAIT_KJ = range(7)
HOT_L, SHORT_L, UNFIRED_L, THROTTLED_L, WAIT_L = range(7, 12)
SHORT_S, WAIT_S, FIRING_S, LOW_FIRE_S = range(12, 16)
STARTS, UNFIRED, SLUGS, COLDEST_C, RESIDUAL_KJ = range(16, 21)
N_TOTALS = 21

# A run is one array: the totals of the month, then the state between pieces. Arrays inside a
# named tuple would be counted in and out at each access, which costs more than the physics.
_TEMP_C, _FIRING, _END_S, _STORED_KJ = range(N_TOTALS, N_TOTALS + 4)
_N_RUN = N_TOTALS + 4

_AS_IT_COMES_C = 900.0  # a draw that asks for more than this takes hot water as it comes
_MORNING_S = (5.0 * 3600.0, 11.0 * 3600.0)
_GAP_S = 0.5  # a pause shorter than this does not close the flow switch
_CLOSE_K = 0.02
_HALVINGS = 16
_WARMING_STEPS = 4


class Unit(NamedTuple):
    """A tankless heater as the kernel sees it."""

    input_kw: float  # at the site's altitude
    least_kw: float  # lowest input of the burner
    stored_kj_per_k: float  # exchanger, its water, and a buffer tank
    loss_kw_per_k: float
    delay_s: float  # from flow to fire
    purge_frac: float  # of the stored heat that the fan carries off after a draw
    start_l_per_s: float  # flow that closes the switch
    stop_l_per_s: float  # flow below which it opens again
    throttles: float  # 1: the flow is cut to hold the setpoint; 0: the outlet sags
    buffer_keep_k: float  # a buffer's element holds it this far below the setpoint
    buffer_kw: float  # 0 without a buffer
    water_kj_per_l_k: float


class Weather(NamedTuple):
    """Conditions by day, and per heater where they differ."""

    month: Ints  # (days,)
    inlet_c: Floats  # (days,)
    room_c: Floats  # (heaters, days)
    setpoint_c: Floats  # (heaters, days)
    efficiency: Floats  # (heaters, days), heat per input while firing
    use_c: float


class _Now(NamedTuple):
    """Conditions that hold through one piece."""

    inlet_c: float
    room_c: float
    setpoint_c: float
    efficiency: float
    use_c: float


class _Ask(NamedTuple):
    """What the running fixtures ask for together."""

    full: float  # flow if all of them took hot water only
    unmixed: float  # flow of those that take it as it comes
    mixing: float  # flow times rise of those that mix, L K/s
    mildest_c: float  # lowest and highest temperature asked for; machines ask for the setpoint
    warmest_c: float


@inlined
def _asked(piece, now):
    """Return what the running fixtures ask for."""
    full, unmixed, mixing = 0.0, 0.0, 0.0
    mildest_c, warmest_c = now.setpoint_c, now.inlet_c
    for m in range(piece.n):
        flow, asked_c = piece.flow_l_per_s[m], piece.temp_c[m]
        if asked_c > now.inlet_c:
            full += flow
            if asked_c >= now.setpoint_c:
                unmixed += flow
                warmest_c = now.setpoint_c
            else:
                mixing += flow * (asked_c - now.inlet_c)
                warmest_c = max(warmest_c, asked_c)
                mildest_c = min(mildest_c, asked_c)
    return _Ask(full, unmixed, mixing, mildest_c, warmest_c)


@inlined
def _hot_flow(piece, now, ask, out_c):
    """Return the flow through the heater that the running fixtures mix from."""
    if out_c >= ask.warmest_c:
        return ask.unmixed + ask.mixing / (out_c - now.inlet_c)
    if out_c <= ask.mildest_c:
        return ask.full
    flow = 0.0
    for m in range(piece.n):
        wanted_k = piece.temp_c[m] - now.inlet_c
        if wanted_k > 0.0:
            rise_k = out_c - now.inlet_c
            flow += piece.flow_l_per_s[m] * (wanted_k / rise_k if rise_k > wanted_k else 1.0)
    return flow


@inlined
def _settles_at(unit, now, flow, heat_kw):
    """Return the temperature that flow and power would settle at."""
    carried = flow * unit.water_kj_per_l_k
    return (heat_kw + unit.loss_kw_per_k * now.room_c + carried * now.inlet_c) / (
        unit.loss_kw_per_k + carried
    )


@inlined
def _flow_on(unit, run, now, flow, heat_kw, seconds):
    """Let water flow at constant power; return the mean outlet temperature."""
    conducted = unit.loss_kw_per_k + flow * unit.water_kj_per_l_k
    still_c = _settles_at(unit, now, flow, heat_kw)
    gone = -math.expm1(-conducted * seconds / unit.stored_kj_per_k)
    change_k = (still_c - run[_TEMP_C]) * gone
    return _move(unit, run, now, flow, heat_kw, still_c, change_k, seconds)


@inlined
def _move(unit, run, now, flow, heat_kw, still_c, change_k, seconds):
    """Book an exponential step of known change; return the mean outlet temperature."""
    conducted = unit.loss_kw_per_k + flow * unit.water_kj_per_l_k
    mean_c = still_c - change_k * unit.stored_kj_per_k / (conducted * seconds)
    run[_TEMP_C] += change_k
    run[HEAT_KJ] += heat_kw * seconds
    run[LOSS_KJ] += unit.loss_kw_per_k * (mean_c - now.room_c) * seconds
    run[OUT_KJ] += flow * unit.water_kj_per_l_k * (mean_c - now.inlet_c) * seconds
    run[HOT_L] += flow * seconds
    return mean_c


@inlined
def _fire(run, now, heat_kw, seconds):
    """Book the input of a burner that gives heat at a rate."""
    run[INPUT_KJ] += heat_kw / now.efficiency * seconds
    run[FIRING_S] += seconds


@inlined
def _missing_kj(unit, piece, now, out_c, seconds):
    """Return the heat that the fixtures asked for and did not get."""
    missing = 0.0
    for m in range(piece.n):
        asked_c = piece.temp_c[m]
        if now.inlet_c < asked_c < _AS_IT_COMES_C and out_c < asked_c:
            short_k = asked_c - max(out_c, now.inlet_c)
            missing += piece.flow_l_per_s[m] * short_k
    return missing * unit.water_kj_per_l_k * seconds


@inlined
def _wait(unit, piece, run, now, ask, out_c, seconds):
    """Book a start in which the outlet is still too cold to use."""
    if out_c < ask.warmest_c:
        run[WAIT_KJ] += _missing_kj(unit, piece, now, out_c, seconds)
    if out_c < min(ask.warmest_c, now.use_c):
        run[WAIT_S] += seconds
        run[WAIT_L] += _hot_flow(piece, now, ask, out_c) * seconds


@inlined
def _fall_short(unit, piece, run, now, ask, out_c, settled_c, seconds):
    """Book a draw that the heater cannot keep warm."""
    run[MISSED_KJ] += _missing_kj(unit, piece, now, out_c, seconds)
    short = False
    for m in range(piece.n):
        asked_c = piece.temp_c[m]
        if asked_c < _AS_IT_COMES_C and settled_c < min(asked_c, now.use_c) - 1e-6:
            short = True
            run[SHORT_L] += piece.flow_l_per_s[m] * seconds
            run[COLDEST_C] = min(run[COLDEST_C], max(settled_c, now.inlet_c))
    if short:
        run[SHORT_S] += seconds


@inlined
def _overloaded(unit, piece, run, now, ask, full_kw, seconds):
    """Run at full power where the fixtures ask for more; sag, or throttle the flow."""
    wanted = _hot_flow(piece, now, ask, now.setpoint_c)
    if unit.throttles > 0.0:
        loss_kw = unit.loss_kw_per_k * (now.setpoint_c - now.room_c)
        rise_k = now.setpoint_c - now.inlet_c
        flow = max(full_kw - loss_kw, 0.0) / (unit.water_kj_per_l_k * rise_k)
        cut = 1.0 - flow / wanted
        _flow_on(unit, run, now, flow, full_kw, seconds)
        asked_l = 0.0
        for m in range(piece.n):
            asked_l += piece.flow_l_per_s[m] * seconds
        run[THROTTLED_L] += cut * asked_l
        run[MISSED_KJ] += cut * wanted * unit.water_kj_per_l_k * rise_k * seconds
    else:
        low_c = _settles_at(unit, now, ask.full, full_kw)
        if low_c > ask.mildest_c:  # some fixtures still mix
            high_c = now.setpoint_c
            low_c = now.inlet_c
            for _ in range(_HALVINGS):
                middle_c = 0.5 * (low_c + high_c)
                flow = _hot_flow(piece, now, ask, middle_c)
                if _settles_at(unit, now, flow, full_kw) > middle_c:
                    low_c = middle_c
                else:
                    high_c = middle_c
        flow = _hot_flow(piece, now, ask, low_c)
        mean_c = _flow_on(unit, run, now, flow, full_kw, seconds)
        _fall_short(unit, piece, run, now, ask, mean_c, low_c, seconds)
    _fire(run, now, full_kw, seconds)


@inlined
def _warm_up(unit, piece, run, now, ask, full_kw, seconds):
    """Fire at full power until the setpoint is reached; return the time it took."""
    used_s = 0.0
    for _ in range(_WARMING_STEPS):
        temp_c = run[_TEMP_C]
        if used_s >= seconds or temp_c >= now.setpoint_c - _CLOSE_K:
            break
        goal_c = ask.warmest_c if temp_c < ask.warmest_c - _CLOSE_K else now.setpoint_c
        flow = _hot_flow(piece, now, ask, 0.5 * (temp_c + goal_c))
        still_c = _settles_at(unit, now, flow, full_kw)
        if still_c <= goal_c + _CLOSE_K:
            break
        conducted = unit.loss_kw_per_k + flow * unit.water_kj_per_l_k
        step_s = (
            math.log((still_c - temp_c) / (still_c - goal_c)) * unit.stored_kj_per_k / conducted
        )
        if step_s <= seconds - used_s:
            rise_k = goal_c - temp_c
            mean_c = _move(unit, run, now, flow, full_kw, still_c, rise_k, step_s)
        else:
            step_s = seconds - used_s
            mean_c = _flow_on(unit, run, now, flow, full_kw, step_s)
        _fire(run, now, full_kw, step_s)
        _wait(unit, piece, run, now, ask, mean_c, step_s)
        used_s += step_s
    return used_s


@inlined
def _hold(unit, piece, run, now, ask, full_kw, seconds):
    """Hold the setpoint, or fall short at full power."""
    flow = _hot_flow(piece, now, ask, now.setpoint_c)
    carried_kw = flow * unit.water_kj_per_l_k * (now.setpoint_c - now.inlet_c)
    heat_kw = carried_kw + unit.loss_kw_per_k * (now.setpoint_c - now.room_c)
    if heat_kw > full_kw or run[_TEMP_C] < now.setpoint_c - 2.0 * _CLOSE_K:
        _overloaded(unit, piece, run, now, ask, full_kw, seconds)
        return
    # The temperature stands still, once the last hundredth of a kelvin is made up.
    run[HEAT_KJ] += heat_kw * seconds + unit.stored_kj_per_k * (now.setpoint_c - run[_TEMP_C])
    run[LOSS_KJ] += (heat_kw - carried_kw) * seconds
    run[OUT_KJ] += carried_kw * seconds
    run[HOT_L] += flow * seconds
    run[_TEMP_C] = now.setpoint_c
    _fire(run, now, heat_kw, seconds)
    if heat_kw < unit.least_kw * now.efficiency:
        run[LOW_FIRE_S] += seconds


@inlined
def _serve(unit, piece, run, now, seconds, after_pause):
    """Serve the running fixtures through one piece."""
    ask = _asked(piece, now)
    if ask.full <= 0.0:
        return
    mixed = _hot_flow(piece, now, ask, now.setpoint_c)
    if run[_FIRING] > 0.0 and mixed < unit.stop_l_per_s:
        run[_FIRING] = 0.0
    if run[_FIRING] <= 0.0 and (ask.full < unit.start_l_per_s or mixed < unit.stop_l_per_s):
        flow = _hot_flow(piece, now, ask, run[_TEMP_C])
        mean_c = _flow_on(unit, run, now, flow, 0.0, seconds)
        run[MISSED_KJ] += _missing_kj(unit, piece, now, mean_c, seconds)
        if mean_c < min(ask.warmest_c, now.use_c):
            run[UNFIRED] += 1.0 if after_pause else 0.0
            run[UNFIRED_L] += ask.full * seconds
        return
    full_kw = unit.input_kw * now.efficiency
    if run[_FIRING] <= 0.0:
        run[_FIRING] = 1.0
        run[STARTS] += 1.0
        usable_c = min(ask.warmest_c, now.use_c)
        was_warm = run[_TEMP_C] >= usable_c
        step_s = min(unit.delay_s, seconds)
        if step_s > 0.0:
            flow = _hot_flow(piece, now, ask, run[_TEMP_C])
            mean_c = _flow_on(unit, run, now, flow, 0.0, step_s)
            _wait(unit, piece, run, now, ask, mean_c, step_s)
            seconds -= step_s
        if was_warm and run[_TEMP_C] < usable_c:
            run[SLUGS] += 1.0
    if seconds > 0.0:
        used_s = _warm_up(unit, piece, run, now, ask, full_kw, seconds)
        if seconds - used_s > 1e-9:
            _hold(unit, piece, run, now, ask, full_kw, seconds - used_s)


@inlined
def _pause(unit, run, room_c, setpoint_c, seconds):
    """Let a pause pass: purge, cool-down, and the element of a buffer tank."""
    if run[_FIRING] > 0.0:
        run[_FIRING] = 0.0
        purged_k = unit.purge_frac * (run[_TEMP_C] - room_c)
        run[_TEMP_C] -= purged_k
        run[LOSS_KJ] += unit.stored_kj_per_k * purged_k
    rate = unit.loss_kw_per_k / unit.stored_kj_per_k
    if unit.buffer_kw > 0.0:
        keep_c = setpoint_c - unit.buffer_keep_k
        if run[_TEMP_C] < keep_c:
            net_kw = unit.buffer_kw - unit.loss_kw_per_k * (keep_c - room_c)
            step_s = (keep_c - run[_TEMP_C]) * unit.stored_kj_per_k / max(net_kw, 1e-6)
            step_s = min(step_s, seconds)
            seconds -= _cool(unit, run, room_c, unit.buffer_kw, step_s)
        if seconds > 0.0 and run[_TEMP_C] > keep_c > room_c:
            step_s = math.log((run[_TEMP_C] - room_c) / (keep_c - room_c)) / rate
            seconds -= _cool(unit, run, room_c, 0.0, min(step_s, seconds))
        if seconds > 0.0:
            held_kw = unit.loss_kw_per_k * max(run[_TEMP_C] - room_c, 0.0)
            _cool(unit, run, room_c, min(held_kw, unit.buffer_kw), seconds)
    else:
        _cool(unit, run, room_c, 0.0, seconds)


@inlined
def _cool(unit, run, room_c, heat_kw, seconds):
    """Let time pass without flow, at constant power; return it."""
    if seconds <= 0.0:
        return 0.0
    still_c = room_c + heat_kw / unit.loss_kw_per_k
    gone = -math.expm1(-unit.loss_kw_per_k * seconds / unit.stored_kj_per_k)
    change_k = (still_c - run[_TEMP_C]) * gone
    run[_TEMP_C] += change_k
    heat_kj = heat_kw * seconds
    run[BUFFER_KJ] += heat_kj
    run[LOSS_KJ] += heat_kj - unit.stored_kj_per_k * change_k
    return seconds


@inlined
def _unit(row):
    """Return the heater of a row of numbers."""
    return Unit(
        row[0], row[1], row[2], row[3], row[4], row[5], row[6], row[7], row[8], row[9], row[10],
        row[11],
    )  # fmt: skip


@inlined
def _close_month(unit, run, totals, month):
    """Add the sums to a month, with the error of its heat balance."""
    stored_kj = unit.stored_kj_per_k * run[_TEMP_C]
    flows_kj = run[HEAT_KJ] + run[BUFFER_KJ] - run[LOSS_KJ] - run[OUT_KJ]
    run[RESIDUAL_KJ] = abs(stored_kj - run[_STORED_KJ] - flows_kj)
    for i in range(N_TOTALS):
        totals[month, i] = run[i]
        run[i] = 0.0
    run[COLDEST_C] = 1e300
    run[_STORED_KJ] = stored_kj


@inlined
def _run_year(unit, heater, pieces, weather, totals, short_s, hourly_kj):
    """Serve the pieces of one year."""
    month, inlet_c, rooms_c, setpoints_c, efficiencies, use_c = weather
    room_c, setpoint_c, efficiency = rooms_c[heater], setpoints_c[heater], efficiencies[heater]
    run = np.zeros(_N_RUN)
    run[_TEMP_C] = room_c[0]
    run[_END_S] = -2.0 * _GAP_S  # a draw at midnight starts anew
    run[_STORED_KJ] = unit.stored_kj_per_k * room_c[0]
    run[COLDEST_C] = 1e300
    n_days = month.size
    open_month = month[0]
    for n in range(pieces.size):
        piece = pieces[n]
        day = min(int(piece.start_s / 86400.0), n_days - 1)
        if month[day] != open_month:
            _close_month(unit, run, totals, open_month)
            open_month = month[day]
        pause_s = piece.start_s - run[_END_S]
        if pause_s > _GAP_S:
            _pause(unit, run, room_c[day], setpoint_c[day], pause_s)
        now = _Now(inlet_c[day], room_c[day], setpoint_c[day], efficiency[day], use_c)
        short_before_s, input_before_kj = run[SHORT_S], run[INPUT_KJ]
        _serve(unit, piece, run, now, piece.end_s - piece.start_s, pause_s > _GAP_S)
        if short_s.size:
            clock_s = piece.start_s - 86400.0 * day
            short_s[day, 0] += run[SHORT_S] - short_before_s
            if _MORNING_S[0] <= clock_s < _MORNING_S[1]:
                short_s[day, 1] += run[SHORT_S] - short_before_s
        if hourly_kj.size:
            hour = min(int(piece.start_s / 3600.0), hourly_kj.size - 1)
            hourly_kj[hour] += run[INPUT_KJ] - input_before_kj
        run[_END_S] = piece.end_s
    last_s = 86400.0 * n_days - run[_END_S]
    if last_s > 0.0:
        _pause(unit, run, room_c[-1], setpoint_c[-1], last_s)
    _close_month(unit, run, totals, open_month)


@compiled(parallel=True)
def run_tankless(
    units: Floats,
    pairs: Ints,
    first: Ints,
    pieces: NDArray[np.void],
    weather: Weather,
    totals: Floats,
    short_s: Floats,
    hourly_kj: Floats,
) -> None:
    """Run each pair of heater and year, in parallel; a run depends on nothing but its pair.

    `first` says where each year's PIECE records begin, with one more at the end.
    """
    for n in prange(pairs.shape[0]):
        heater, year = pairs[n, 0], pairs[n, 1]
        hours = hourly_kj.shape[1] if year == 0 else 0
        _run_year(
            _unit(units[heater]), heater, pieces[first[year] : first[year + 1]], weather,
            totals[n], short_s[n], hourly_kj[n, :hours],
        )  # fmt: skip
