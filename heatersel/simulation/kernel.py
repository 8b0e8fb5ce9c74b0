"""The compiled tank: plug-flow segments that move with each draw, stepped from event to event.

The water stands in segments of even temperature, warmest on top. A draw takes from the top
segment and lets cold water in at the bottom; nothing diffuses numerically, so run-out is sharp.
Between events each segment decays exactly towards its surroundings. Heat enters at the height of
burner, element or condenser, warms the segment there up to the next one above, joins it and goes
on. Steps end where something happens: a draw begins or ends, the top segment is used up, a
thermostat closes, the day changes.

Heat capacity per litre is constant through a run. Not modelled: conduction through the water
(0.6 to 1.1 % of energy on a node model) and the heat stored in the tank's wall.

Units and records are those of arrays.py. All that is compiled stands in this one file, since the
cache of compiled code does not notice a change in another.
"""

# mypy: disable-error-code="no-any-return"
# Records have no type outside the compiler.

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numba import prange

from heatersel.simulation.arrays import (
    AS_IT_COMES_C,
    BOTTOM_DRAW,
    BURNER,
    CONDENSER,
    N_MIXES,
    N_SEGMENTS,
    N_WATERS,
    RUN,
    Grain,
    Outputs,
    Scene,
)  # fmt: skip
from heatersel.simulation.compiler import compiled, inlined

__all__ = ["cut_draws", "run_first_hours", "run_years"]

Record = Any
"""One element of a structured array: the compiler passes it by reference."""

_HOUR_S = 3600.0
_DAY_S = 86400.0
_MORNING_S = (5.0 * _HOUR_S, 11.0 * _HOUR_S)
_NEVER = 1e300
_TINY_L = 1e-7
_SLIVER_L = 1e-3


class _Now(NamedTuple):
    """Conditions that hold through one stretch of time."""

    inlet_c: float
    room_c: float
    setpoint_c: float
    main_on_c: float  # the thermostats close at these
    upper_on_c: float
    use_c: float
    compressor: bool
    elements: bool


# --- segments ------------------------------------------------------------------------------


@inlined
def _segment_at(run: Record, height_l: float) -> tuple[int, float]:
    """Return the segment at a height and the height of its lower edge."""
    i = run.end - 1
    upper_l = run.volume_l[i]
    while upper_l <= height_l and i > run.top:
        i -= 1
        upper_l += run.volume_l[i]
    return i, upper_l - run.volume_l[i]


@inlined
def _mean_below(run: Record, height_l: float) -> tuple[float, float]:
    """Return the mean temperature of the water below a height, and the temperature there."""
    i = run.end - 1
    left_l, total = height_l - run.volume_l[i], run.volume_l[i] * run.temp_c[i]
    while left_l > 0.0 and i > run.top:
        i -= 1
        total += run.volume_l[i] * run.temp_c[i]
        left_l -= run.volume_l[i]
    return (total + left_l * run.temp_c[i]) / height_l, run.temp_c[i]


@inlined
def _stored_kj(tank: Record, run: Record) -> float:
    total = 0.0
    for i in range(run.top, run.end):
        total += run.volume_l[i] * run.temp_c[i]
    return total * tank.water_kj_per_l_k


@inlined
def _make_room(run: Record) -> None:
    """Move the segments to the middle of their buffer when they reach an end of it."""
    if run.top > 0 and run.end < N_SEGMENTS - 2:
        return
    first, n = run.top, run.end - run.top
    to = (N_SEGMENTS - n) // 2
    order = range(n) if to < first else range(n - 1, -1, -1)
    for i in order:
        run.volume_l[to + i] = run.volume_l[first + i]
        run.temp_c[to + i] = run.temp_c[first + i]
    run.top, run.end = to, to + n


@inlined
def _join(run: Record, i: int) -> None:
    """Mix segment i into the one above it."""
    both_l = run.volume_l[i - 1] + run.volume_l[i]
    run.temp_c[i - 1] += (run.temp_c[i] - run.temp_c[i - 1]) * (run.volume_l[i] / both_l)
    run.volume_l[i - 1] = both_l
    run.end -= 1
    while i < run.end:
        run.volume_l[i] = run.volume_l[i + 1]
        run.temp_c[i] = run.temp_c[i + 1]
        i += 1


@inlined
def _insert(run: Record, i: int, litres: float, temp_c: float) -> None:
    """Put a segment in at place i; those from there on move down."""
    j = run.end
    while j > i:
        run.volume_l[j] = run.volume_l[j - 1]
        run.temp_c[j] = run.temp_c[j - 1]
        j -= 1
    run.volume_l[i] = litres
    run.temp_c[i] = temp_c
    run.end += 1


@inlined
def _tidy(run: Record, segments: int) -> None:
    """Join the neighbours that differ least until few enough are left."""
    while run.end - run.top > segments:
        best, least = run.top + 1, _NEVER
        for i in range(run.top + 1, run.end):
            step_k = abs(run.temp_c[i - 1] - run.temp_c[i])
            blur = step_k * min(run.volume_l[i - 1], run.volume_l[i])
            if blur < least:
                best, least = i, blur
        _join(run, best)
    _make_room(run)


# --- losses --------------------------------------------------------------------------------


@inlined
def _gone(x: float) -> float:
    """Return 1 - exp(-x), by its series to 4e-10 where x is small."""
    if abs(x) > 0.05:
        return -math.expm1(-x)
    return x * (1.0 + x * (-1 / 2 + x * (1 / 6 + x * (-1 / 24 + x * (1 / 120)))))


@inlined
def _decay(tank: Record, run: Record, book: Record, room_c: float) -> None:
    """Let the pending time pass: exact decay, with its loss and the pilot's heat."""
    seconds, rate, still_c, pilot_kj = run.pending_s, run.firing_per_s, room_c, 0.0
    if not run.main_on:
        rate = run.idle_per_s
        still_c += run.pilot_k
        pilot_kj = tank.pilot_kw * seconds
    run.pending_s = 0.0
    gone = _gone(rate * seconds)
    total = 0.0
    for i in range(run.top, run.end):
        above_k = run.temp_c[i] - still_c
        total += run.volume_l[i] * above_k
        run.temp_c[i] -= above_k * gone
    book.loss_kj += pilot_kj + tank.water_kj_per_l_k * total * gone
    book.pilot_kj += pilot_kj


@inlined
def _decay_if_due(tank: Record, run: Record, book: Record, grain: Grain, room_c: float) -> None:
    """Let the pending time pass once there is enough of it to matter."""
    if run.pending_s > grain.decay_s:
        _decay(tank, run, book, room_c)


# --- draws ---------------------------------------------------------------------------------


@inlined
def _hot_flow(tank: Record, piece: Record, inlet_c: float, out_c: float) -> float:
    """Return the flow from the tank that the running fixtures mix from."""
    flow, rise_k = 0.0, out_c - inlet_c
    for m in range(piece.n):
        wanted_k = min(piece.temp_c[m], tank.valve_c) - inlet_c
        if wanted_k >= rise_k:
            flow += piece.flow_l_per_s[m]
        elif wanted_k > 0.0:
            flow += piece.flow_l_per_s[m] * (wanted_k / rise_k)
    return flow


@inlined
def _book_draws(
    tank: Record, run: Record, book: Record, piece: Record, now: _Now, out_c: float, seconds: float
) -> None:
    """Add up what the running fixtures missed."""
    supply_c = max(min(out_c, tank.valve_c), now.inlet_c)
    run.supply_c = min(run.supply_c, supply_c)
    is_short = False
    for m in range(piece.n):
        asked_c = piece.temp_c[m]
        if supply_c < asked_c < AS_IT_COMES_C:
            litres = piece.flow_l_per_s[m] * seconds
            book.missed_kj += tank.water_kj_per_l_k * litres * (asked_c - supply_c)
            if supply_c < now.use_c:
                is_short = True
                book.short_l += litres
    if is_short:
        book.short_s += seconds
        run.short_s += seconds
        run.coldest_c = min(run.coldest_c, supply_c)


@inlined
def _shape_zone(run: Record, mixing_l: float) -> None:
    """Make the bottom segment the zone that incoming water stirs."""
    z = run.end - 1
    if run.volume_l[z] > mixing_l + _TINY_L:
        run.volume_l[z] -= mixing_l
        _insert(run, run.end, mixing_l, run.temp_c[z])
    while run.volume_l[run.end - 1] < mixing_l - _TINY_L and run.end - run.top > 1:
        z = run.end - 1
        part_l = min(mixing_l - run.volume_l[z], run.volume_l[z - 1])
        run.temp_c[z] += (run.temp_c[z - 1] - run.temp_c[z]) * part_l / (part_l + run.volume_l[z])
        run.volume_l[z] += part_l
        run.volume_l[z - 1] -= part_l
        if run.volume_l[z - 1] <= _TINY_L:
            _join(run, z)


@inlined
def _displace(run: Record, grain: Grain, has_zone: bool, litres: float, inlet_c: float) -> None:
    """Let as much water out at the top as comes in at the bottom."""
    run.volume_l[run.top] -= litres
    slab, slab_c, bottom = run.end, inlet_c, run.end - 1
    is_warm = inlet_c > run.temp_c[bottom]
    if has_zone:
        # The zone is stirred, so it gives way to the inlet exponentially; what it pushes up has
        # the mean temperature of that time.
        gone = _gone(litres / run.volume_l[bottom])
        above_k = run.temp_c[bottom] - inlet_c
        slab_c += above_k * gone * run.volume_l[bottom] / litres
        run.temp_c[bottom] -= above_k * gone
        slab = bottom
    if slab > run.top and abs(run.temp_c[slab - 1] - slab_c) < grain.inflow_k:
        both_l = run.volume_l[slab - 1] + litres
        run.temp_c[slab - 1] += (slab_c - run.temp_c[slab - 1]) * litres / both_l
        run.volume_l[slab - 1] = both_l
    else:
        _insert(run, slab, litres, slab_c)
    _drop_sliver(run)
    if is_warm:
        _overturn(run)
    _tidy(run, grain.segments)


@inlined
def _drop_sliver(run: Record) -> None:
    """Mix the top segment into the next when next to nothing is left of it."""
    top = run.top
    if run.volume_l[top] < _SLIVER_L and run.end - top > 1:
        both_l = run.volume_l[top] + run.volume_l[top + 1]
        step_k = run.temp_c[top] - run.temp_c[top + 1]
        run.temp_c[top + 1] += step_k * run.volume_l[top] / both_l
        run.volume_l[top + 1] = both_l
        run.top += 1


@inlined
def _overturn(run: Record) -> None:
    """Mix upwards whatever came in warmer than what lies above it."""
    i = run.end - 1
    while i > run.top and (run.temp_c[i] > run.temp_c[i - 1] or i == run.end - 1):
        if run.temp_c[i] > run.temp_c[i - 1]:
            _join(run, i)
        i -= 1


# --- heating -------------------------------------------------------------------------------


@inlined
def _heat(
    tank: Record, run: Record, height_l: float, sensor_l: float, setpoint_c: float, energy_kj: float
) -> float:
    """Heat upwards from a height until the sensor is at the setpoint; return what is left."""
    i, base_l = _segment_at(run, height_l)
    if height_l - base_l > _TINY_L:
        run.volume_l[i] -= height_l - base_l
        _insert(run, i + 1, height_l - base_l, run.temp_c[i])
        base_l = height_l
    while True:
        capacity = run.volume_l[i] * tank.water_kj_per_l_k
        to_next = capacity * (run.temp_c[i - 1] - run.temp_c[i]) if i > run.top else _NEVER
        to_end = _NEVER
        if base_l + run.volume_l[i] > sensor_l:
            to_end = max(capacity * (setpoint_c - run.temp_c[i]), 0.0)
        if energy_kj <= min(to_next, to_end):
            run.temp_c[i] += energy_kj / capacity
            return 0.0
        if to_end <= to_next:
            run.temp_c[i] = max(run.temp_c[i], setpoint_c)
            return energy_kj - to_end
        energy_kj -= to_next
        run.temp_c[i] = run.temp_c[i - 1]
        _join(run, i)
        i -= 1


@inlined
def _output(tank: Record, pump: Record, water_c: float) -> tuple[float, float]:
    """Return a heat pump's heat and COP at a water temperature, held at the table's ends."""
    place = (water_c - pump.first_c) * pump.per_k
    j = min(max(int(place), 0), N_WATERS - 2)
    part = min(max(place - j, 0.0), 1.0)
    heat_kw = pump.heat_kw[j] + (pump.heat_kw[j + 1] - pump.heat_kw[j]) * part
    cop = pump.cop[j] + (pump.cop[j + 1] - pump.cop[j]) * part
    return heat_kw, cop * tank.main_conversion


@inlined
def _compress(
    tank: Record, run: Record, pump: Record, setpoint_c: float, seconds: float
) -> tuple[float, float, float]:
    """Warm the tank through its condenser; return heat, energy, time."""
    water_c, _ = _mean_below(run, tank.condenser_top_l)
    # The COP at the start of a step would flatter it: take the middle of what it will warm.
    warming_k = run.pump_kw * seconds * run.l_k_per_kj / tank.condenser_top_l
    warming_k = min(warming_k, max(setpoint_c - water_c, 0.0))
    heat_kw, cop = _output(tank, pump, water_c + 0.5 * warming_k)
    run.pump_kw = heat_kw
    asked_kj = heat_kw * seconds
    left_kj = _heat(tank, run, tank.main_height_l, tank.main_sensor_l, setpoint_c, asked_kj)
    if left_kj > 0.0:
        seconds -= left_kj / heat_kw
    return asked_kj - left_kj, (asked_kj - left_kj) / cop, seconds


@inlined
def _lift(
    tank: Record, run: Record, grain: Grain, pump: Record, setpoint_c: float, seconds: float
) -> tuple[float, float, float]:
    """Draw from the bottom, heat to the setpoint, return on top; return heat, energy, time."""
    heat_kj, energy_kj, left_s = 0.0, 0.0, seconds
    above_l = tank.volume_l - tank.main_sensor_l
    while left_s > 0.0:
        bottom = run.end - 1
        water_c = run.temp_c[bottom]
        rise_k = setpoint_c - water_c
        sensor, _ = _segment_at(run, tank.main_sensor_l)
        if run.temp_c[sensor] >= setpoint_c - grain.merge_k or rise_k < 0.5 * tank.main_deadband_k:
            break
        heat_kw, cop = _output(tank, pump, water_c)
        litres_per_s = heat_kw / (tank.water_kj_per_l_k * rise_k)
        # The hot water on top grows until it reaches the sensor.
        is_hot = run.temp_c[run.top] > setpoint_c - grain.merge_k
        reach_l = above_l - run.volume_l[run.top] if is_hot else above_l
        litres = min(min(run.volume_l[bottom], reach_l + _SLIVER_L), litres_per_s * left_s)
        used_s = litres / litres_per_s
        heat_kj += heat_kw * used_s
        energy_kj += heat_kw * used_s / cop
        left_s = left_s - used_s if left_s - used_s > 1e-6 else 0.0
        run.volume_l[bottom] -= litres
        if run.volume_l[bottom] <= _TINY_L and bottom > run.top:
            _join(run, bottom)
        if is_hot:
            run.temp_c[run.top] += (
                (setpoint_c - run.temp_c[run.top]) * litres / (litres + run.volume_l[run.top])
            )
            run.volume_l[run.top] += litres
        else:
            run.top -= 1
            run.volume_l[run.top] = litres
            run.temp_c[run.top] = setpoint_c
            _drop_sliver(run)
            _tidy(run, grain.segments)
    return heat_kj, energy_kj, seconds - left_s


@inlined
def _element(
    tank: Record, run: Record, height_l: float, sensor_l: float, heat_kw: float,
    setpoint_c: float, seconds: float,
) -> tuple[float, float]:  # fmt: skip
    """Heat with constant power; return heat and time."""
    left_kj = _heat(tank, run, height_l, sensor_l, setpoint_c, heat_kw * seconds)
    used_s = seconds - left_kj / heat_kw if left_kj > 0.0 else seconds
    return heat_kw * seconds - left_kj, used_s


@inlined
def _book_heat(
    run: Record, book: Record, heat_kj: float, main_kj: float, upper_kj: float, used_s: float
) -> None:
    book.heat_kj += heat_kj
    book.main_kj += main_kj
    book.upper_kj += upper_kj
    if main_kj > 0.0:
        book.main_s += used_s
    run.fired_kj, run.fired_s = main_kj + upper_kj, used_s


@inlined
def _warm_inflow(
    tank: Record, run: Record, book: Record, grain: Grain, pump: Record, now: _Now,
    litres: float, seconds: float,
) -> bool:  # fmt: skip
    """Draw while heat from below warms the inflow; return False where it would rise further."""
    is_pump = tank.main == CONDENSER and now.compressor
    if run.upper_on or not run.main_on or not (is_pump or tank.main == BURNER):
        return False
    heat_kw, conversion = tank.main_kw, tank.main_conversion
    if is_pump:
        water_c, edge_c = _mean_below(run, tank.condenser_top_l)
        cooling_k = litres * (edge_c - now.inlet_c) / tank.condenser_top_l
        heat_kw, conversion = _output(tank, pump, water_c - 0.5 * cooling_k)
    source_c = now.inlet_c + heat_kw * seconds * run.l_k_per_kj / litres
    above = run.end - (2 if tank.mixing_l > 0.0 else 1)
    is_below = tank.main_height_l <= 0.0 or tank.main_height_l < tank.mixing_l
    if not is_below or above < run.top or source_c >= run.temp_c[above]:
        return False
    _displace(run, grain, tank.mixing_l > 0.0, litres, source_c)
    heat_kj = heat_kw * seconds
    main_kj = heat_kj / conversion
    if is_pump:
        book.air_kj += heat_kj - main_kj
    _book_heat(run, book, heat_kj, main_kj, 0.0, seconds)
    return True


@inlined
def _fire(
    tank: Record, run: Record, book: Record, grain: Grain, pump: Record, now: _Now, seconds: float,
    aim_c: float, is_drawing: bool,
) -> float:  # fmt: skip
    """Run whichever source is on, at most so long; return how long."""
    main_kj, upper_kj, height_l = 0.0, 0.0, tank.main_height_l
    if is_drawing and height_l < tank.mixing_l:
        height_l = 0.0  # the inlet stirs the zone around the element
    if run.upper_on:
        heat_kj, used_s = _element(
            tank,
            run,
            tank.upper_height_l,
            tank.upper_sensor_l,
            tank.upper_kw,
            aim_c,
            seconds,
        )
        upper_kj = heat_kj / tank.element_conversion
    elif tank.main == BURNER:
        heat_kj, used_s = _element(
            tank, run, height_l, tank.main_sensor_l, tank.main_kw, aim_c, seconds
        )
        main_kj = heat_kj / tank.main_conversion
    elif now.compressor:
        if tank.main == CONDENSER:
            heat_kj, main_kj, used_s = _compress(tank, run, pump, aim_c, seconds)
        else:
            heat_kj, main_kj, used_s = _lift(tank, run, grain, pump, aim_c, seconds)
        book.air_kj += heat_kj - main_kj
    elif tank.lower_kw > 0.0 and now.elements:
        heat_kj, used_s = _element(
            tank,
            run,
            tank.lower_height_l,
            tank.main_sensor_l,
            tank.lower_kw,
            aim_c,
            seconds,
        )
        upper_kj = heat_kj / tank.element_conversion
    else:
        return seconds
    _book_heat(run, book, heat_kj, main_kj, upper_kj, used_s)
    return used_s


# --- control -------------------------------------------------------------------------------


@inlined
def _cold_reach(run: Record, zone_l: float, inlet_c: float, sensor_l: float, on_c: float) -> float:
    """Return the litres that may be drawn before a sensor turns cold; 0 if it is."""
    cold_l = 0.0
    i = run.end - 1
    while i >= run.top and run.temp_c[i] <= on_c:
        cold_l += run.volume_l[i]
        if cold_l > sensor_l:
            return 0.0
        i -= 1
    if on_c <= inlet_c:
        return _NEVER
    if cold_l > 0.0 or zone_l <= 0.0:
        return sensor_l - cold_l + _TINY_L
    # Stop where the zone turns cold, so that no segment is cold only on the average.
    zone_k = run.temp_c[run.end - 1] - inlet_c
    return zone_l * math.log(zone_k / (on_c - inlet_c)) + _TINY_L


@inlined
def _time_to_cold(run: Record, now: _Now, sensor_l: float, on_c: float, seconds: float) -> float:
    """Return the seconds of rest until a sensor calls for heat, if within so many."""
    i, _ = _segment_at(run, sensor_l)
    temp_c = run.temp_c[i]
    if temp_c <= on_c:
        return 0.0
    if run.idle_per_s <= 0.0:
        return _NEVER
    still_c = now.room_c + run.pilot_k
    if on_c <= still_c:
        return _NEVER
    # Cooling at the first rate throughout would get there sooner: a bound, without a logarithm.
    if temp_c - on_c > (temp_c - still_c) * run.idle_per_s * (run.pending_s + seconds):
        return _NEVER
    return math.log((temp_c - still_c) / (on_c - still_c)) / run.idle_per_s - run.pending_s


@inlined
def _switch_on(
    tank: Record, run: Record, book: Record, room_c: float, main: bool, upper: bool
) -> None:
    if main and not run.main_on:
        _decay(tank, run, book, room_c)
        run.main_on = 1
        book.starts += 1.0
    if upper:
        run.upper_on = 1


@inlined
def _switch_off(tank: Record, run: Record, book: Record, room_c: float) -> None:
    """End the heating that reached its setpoint; the upper element goes first."""
    _decay(tank, run, book, room_c)
    if run.upper_on:
        run.upper_on = 0
    else:
        run.main_on = 0


@inlined
def _look_up(tank: Record, run: Record, book: Record, now: _Now) -> None:
    """See whether new conditions call for the upper element or forbid heating."""
    if now.setpoint_c <= now.inlet_c:
        _decay(tank, run, book, now.room_c)
        run.main_on, run.upper_on = 0, 0
    elif not now.elements:
        run.upper_on = 0
    elif tank.upper_kw > 0.0:
        i, _ = _segment_at(run, tank.upper_sensor_l)
        _switch_on(tank, run, book, now.room_c, False, run.temp_c[i] <= now.upper_on_c)


@inlined
def _close_balance(tank: Record, run: Record, book: Record) -> None:
    """Keep the largest error of the balance since the sums began."""
    stored_kj = _stored_kj(tank, run) - run.stored_kj
    flows_kj = book.heat_kj + book.pilot_kj - book.loss_kj - book.out_kj
    book.residual_kj = max(book.residual_kj, abs(stored_kj - flows_kj))


# --- steps ---------------------------------------------------------------------------------


@inlined
def _draw_step(
    tank: Record, run: Record, book: Record, grain: Grain, pump: Record, piece: Record, now: _Now,
    seconds: float,
) -> float:  # fmt: skip
    """Draw until something changes, half of the decay before and half after; return how long."""
    slice_l = grain.slice_frac * tank.volume_l
    # All of the mixed flow is a little more than what the tank will give.
    before_s = 0.5 * min(seconds, slice_l / max(_hot_flow(tank, piece, now.inlet_c, -_NEVER), 1e-9))
    run.pending_s += before_s
    _decay_if_due(tank, run, book, grain, now.room_c)
    main_l, upper_l = _NEVER, _NEVER
    if not run.main_on:
        main_l = _cold_reach(run, tank.mixing_l, now.inlet_c, tank.main_sensor_l, now.main_on_c)
    if tank.upper_kw > 0.0 and now.elements and not run.upper_on:
        upper_l = _cold_reach(run, 0.0, now.inlet_c, tank.upper_sensor_l, now.upper_on_c)
    _switch_on(tank, run, book, now.room_c, main_l <= 0.0, upper_l <= 0.0)
    if tank.mixing_l > 0.0:
        _shape_zone(run, tank.mixing_l)
    out_c = run.temp_c[run.top]
    limit_l = min(run.volume_l[run.top], slice_l)
    if main_l > 0.0:
        limit_l = min(limit_l, main_l)
    if upper_l > 0.0:
        limit_l = min(limit_l, upper_l)
    flow = _hot_flow(tank, piece, now.inlet_c, out_c)
    litres = flow * seconds
    if litres > limit_l:
        litres = limit_l
        seconds = limit_l / flow
    _book_draws(tank, run, book, piece, now, out_c, seconds)
    used_s = 0.0
    if litres > 0.0:
        book.hot_l += litres
        book.out_kj += tank.water_kj_per_l_k * litres * (out_c - now.inlet_c)
        if _warm_inflow(tank, run, book, grain, pump, now, litres, seconds):
            run.pending_s += seconds - before_s
            return seconds
        _displace(run, grain, tank.mixing_l > 0.0, litres, now.inlet_c)
    if run.main_on or run.upper_on:
        used_s = _fire(tank, run, book, grain, pump, now, seconds, now.setpoint_c, True)
        run.pending_s += used_s - before_s
        before_s = 0.0
        if used_s < seconds:
            _switch_off(tank, run, book, now.room_c)
    run.pending_s += seconds - used_s - before_s
    return seconds


@inlined
def _heat_time(tank: Record, run: Record, grain: Grain, pump: Record, now: _Now) -> float:
    """Return the time for a step of heating at rest: not much past the cut-out.

    A pump that lifts from the bottom stops where hot water reaches the sensor; only a short step
    finds that.
    """
    if tank.main == CONDENSER and now.compressor and not run.upper_on:
        capacity = tank.condenser_top_l * tank.water_kj_per_l_k
        return min(grain.heat_s, grain.pump_k * capacity / max(run.pump_kw, 1.0))
    height_l, heat_kw = tank.main_height_l, tank.main_kw
    if run.upper_on:
        height_l, heat_kw = tank.upper_height_l, tank.upper_kw
    elif tank.main == BOTTOM_DRAW and now.compressor:
        return grain.heat_s / 3.0
    elif tank.main != BURNER and not now.compressor:
        height_l, heat_kw = tank.lower_height_l, tank.lower_kw
    if heat_kw <= 0.0:
        return grain.heat_s
    needed, left_l = 0.0, tank.volume_l - height_l
    for i in range(run.top, run.end):
        needed += min(run.volume_l[i], left_l) * (now.setpoint_c - run.temp_c[i])
        left_l -= min(run.volume_l[i], left_l)
    return min(grain.heat_s, 10.0 + 1.05 * max(needed, 0.0) * tank.water_kj_per_l_k / heat_kw)


@inlined
def _heat_step(
    tank: Record, run: Record, book: Record, grain: Grain, pump: Record, now: _Now, seconds: float
) -> tuple[float, bool]:
    """Heat at rest, half of the decay before and half after; return time, and if it cut out."""
    seconds = min(seconds, _heat_time(tank, run, grain, pump, now))
    run.pending_s += 0.5 * seconds
    _decay_if_due(tank, run, book, grain, now.room_c)
    # What is still to be lost must be made before the cut-out.
    rate, still_c = run.idle_per_s, now.room_c + run.pilot_k
    if run.main_on:
        rate, still_c = run.firing_per_s, now.room_c
    to_lose_s = run.pending_s + 0.5 * seconds
    aim_c = now.setpoint_c + (now.setpoint_c - still_c) * rate * to_lose_s
    used_s = _fire(tank, run, book, grain, pump, now, seconds, aim_c, False)
    run.pending_s += used_s - 0.5 * seconds
    if used_s < seconds:
        _switch_off(tank, run, book, now.room_c)
        return used_s, True
    return seconds, False


@inlined
def _rest_step(tank: Record, run: Record, book: Record, now: _Now, seconds: float) -> float:
    """Let time pass until heat is called for; return how long."""
    main_s = _time_to_cold(run, now, tank.main_sensor_l, now.main_on_c, seconds)
    upper_s = _NEVER
    if tank.upper_kw > 0.0 and now.elements:
        upper_s = _time_to_cold(run, now, tank.upper_sensor_l, now.upper_on_c, seconds)
    if min(main_s, upper_s) > seconds:
        run.pending_s += seconds
        return seconds
    passed_s = max(min(main_s, upper_s), 0.0)
    run.pending_s += passed_s
    _switch_on(tank, run, book, now.room_c, main_s <= upper_s, upper_s <= main_s)
    return passed_s


@inlined
def _step(
    tank: Record, run: Record, book: Record, grain: Grain, pump: Record, piece: Record, now: _Now,
    is_drawing: bool, seconds: float,
) -> tuple[float, bool]:  # fmt: skip
    """Go on to the next event, at most so far; return the time, and if heating cut out."""
    run.fired_kj = 0.0
    cut_out = False
    if is_drawing:
        seconds = _draw_step(tank, run, book, grain, pump, piece, now, seconds)
    elif run.main_on or run.upper_on:
        seconds, cut_out = _heat_step(tank, run, book, grain, pump, now, seconds)
    else:
        seconds = _rest_step(tank, run, book, now, seconds)
    if grain.check:
        _decay(tank, run, book, now.room_c)
        _close_balance(tank, run, book)
    return seconds, cut_out


# --- whole runs ----------------------------------------------------------------------------


@inlined
def _fill(tank: Record, run: Record, temp_c: float) -> None:
    """Fill a run's tank with water of one temperature."""
    run.top, run.end = N_SEGMENTS // 2, N_SEGMENTS // 2 + 1
    run.volume_l[run.top] = tank.volume_l
    run.temp_c[run.top] = temp_c
    run.pending_s, run.pump_kw, run.main_on, run.upper_on = 0.0, 0.0, 0, 0
    run.coldest_c = _NEVER
    run.l_k_per_kj = 1.0 / tank.water_kj_per_l_k
    run.idle_per_s = tank.loss_idle_kw_per_k * run.l_k_per_kj / tank.volume_l
    run.firing_per_s = tank.loss_firing_kw_per_k * run.l_k_per_kj / tank.volume_l
    run.pilot_k = 0.0
    if tank.loss_idle_kw_per_k > 0.0:
        run.pilot_k = tank.pilot_kw / tank.loss_idle_kw_per_k
    run.stored_kj = _stored_kj(tank, run)


@inlined
def _conditions(tank: Record, span: Record, place: Record, pump: Record, use_c: float) -> _Now:
    return _Now(
        span.inlet_c, place.room_c, place.setpoint_c, place.setpoint_c - tank.main_deadband_k,
        place.setpoint_c - tank.upper_drop_k, use_c, pump.runs > 0 and place.compressor > 0,
        place.elements > 0,
    )  # fmt: skip


@inlined
def _spread(hourly_kj: Record, t: float, seconds: float, energy_kj: float) -> None:
    """Share energy out over the hours that a step touches."""
    kw = energy_kj / max(seconds, 1e-9)
    hour = int(t / _HOUR_S)
    while seconds > 0.0 and hour < hourly_kj.size:
        part_s = min(seconds, _HOUR_S * (hour + 1) - t)
        hourly_kj[hour] += kw * part_s
        t += part_s
        seconds -= part_s
        hour += 1


@inlined
def _run_year(
    tank: Record, run: Record, books: Record, grain: Grain, scene: Scene, heater: int, year: int,
    short_s: Record, hourly_kj: Record, supply_c: Record, trace: Record,
) -> None:  # fmt: skip
    """Run one heater through the draws of one year, and sum up by month."""
    pieces, spans, places, pump_days = scene.pieces, scene.spans, scene.places, scene.pump_days
    first, last = scene.years[year], scene.years[year + 1]
    p = first
    start_c = places[heater, 0].setpoint_c
    for s in range(spans.size):
        start_c = max(start_c, places[heater, s].setpoint_c)  # heating may be forbidden at first
    _fill(tank, run, start_c)
    t = spans[0].start_s
    for s in range(spans.size):
        span, place = spans[s], places[heater, s]
        book = books[span.month]
        pump = pump_days[tank.pump, min(span.day, pump_days.shape[1] - 1)]
        now = _conditions(tank, span, place, pump, scene.use_c)
        _look_up(tank, run, book, now)
        while t < span.end_s:
            piece = pieces[min(p, pieces.size - 1)]
            is_drawing = p < last and piece.start_s <= t
            stop_s = span.end_s
            if is_drawing:
                stop_s = min(stop_s, piece.end_s)
            elif p < last:
                stop_s = min(stop_s, piece.start_s)
            run.short_s, run.supply_c = 0.0, _NEVER
            while t < stop_s:
                seconds, _ = _step(tank, run, book, grain, pump, piece, now, is_drawing, stop_s - t)
                if hourly_kj.size and run.fired_kj > 0.0:
                    _spread(hourly_kj, t, run.fired_s, run.fired_kj)
                t += seconds
            t = stop_s
            if is_drawing:
                if supply_c.size:
                    supply_c[p - first] = min(supply_c[p - first], run.supply_c)
                if run.short_s > 0.0 and short_s.size:
                    short_s[span.day, 0] += run.short_s
                    if _MORNING_S[0] <= t % _DAY_S < _MORNING_S[1]:
                        short_s[span.day, 1] += run.short_s
                if piece.end_s <= t:
                    p += 1
        _decay(tank, run, book, place.room_c)
        if trace.size:
            trace[s, 0] = run.temp_c[run.top]
            trace[s, 1] = _stored_kj(tank, run) / (tank.volume_l * tank.water_kj_per_l_k)
            trace[s, 2] = book.main_kj + book.upper_kj
        if s == spans.size - 1 or spans[s + 1].month != span.month:
            _close_balance(tank, run, book)
            run.stored_kj = _stored_kj(tank, run)


@compiled(parallel=True)
def run_years(tanks: Record, pairs: Record, grain: Grain, scene: Scene, out: Outputs) -> None:
    """Run each heater and year of `pairs` into the row of its third column.

    Hours are kept of the first year only. A run depends on nothing but its heater and year,
    whatever the number of threads.
    """
    totals, short_s, hourly_kj, supply_c = out.totals, out.short_s, out.hourly_kj, out.supply_c
    trace, coldest_c, end_mean_c = out.trace, out.coldest_c, out.end_mean_c
    for k in prange(pairs.shape[0]):
        run = np.empty(1, RUN)[0]
        heater, year, n = pairs[k, 0], pairs[k, 1], pairs[k, 2]
        tank = tanks[heater]
        hours = hourly_kj.shape[1] if year == 0 else 0
        _run_year(
            tank, run, totals[n], grain, scene, heater, year,
            short_s[n], hourly_kj[n, :hours], supply_c[n], trace[n],
        )  # fmt: skip
        coldest_c[n] = run.coldest_c
        end_mean_c[n] = _stored_kj(tank, run) / (tank.volume_l * tank.water_kj_per_l_k)


@inlined
def _add_mix(piece: Record, flow_l_per_s: float, temp_c: float) -> None:
    """Add a running fixture to a piece; flows at the same temperature are one."""
    for m in range(piece.n):
        if piece.temp_c[m] == temp_c:
            piece.flow_l_per_s[m] += flow_l_per_s
            return
    if piece.n < N_MIXES:
        piece.flow_l_per_s[piece.n] = flow_l_per_s
        piece.temp_c[piece.n] = temp_c
        piece.n += 1
        return
    # One temperature too many: join the nearest at the mean, so that the heat stays the same.
    near = 0
    for m in range(1, piece.n):
        if abs(piece.temp_c[m] - temp_c) < abs(piece.temp_c[near] - temp_c):
            near = m
    both = piece.flow_l_per_s[near] + flow_l_per_s
    piece.temp_c[near] += (temp_c - piece.temp_c[near]) * flow_l_per_s / both
    piece.flow_l_per_s[near] = both


@compiled(parallel=False)
def cut_draws(
    start_s: Record, end_s: Record, flow_l_per_s: Record, temp_c: Record, pieces: Record
) -> int:
    """Cut draws in order of their start into pieces; return how many. Room for 2 n is enough."""
    running = np.empty(start_s.size, np.int64)
    n_running, n_pieces, coming, t = 0, 0, 0, 0.0
    while coming < start_s.size or n_running > 0:
        if n_running == 0:
            t = start_s[coming]
        while coming < start_s.size and start_s[coming] <= t:
            running[n_running] = coming
            n_running += 1
            coming += 1
        until = start_s[coming] if coming < start_s.size else _NEVER
        for k in range(n_running):
            until = min(until, end_s[running[k]])
        if until > t:
            piece = pieces[n_pieces]
            piece.start_s, piece.end_s, piece.n = t, until, 0
            for k in range(n_running):
                _add_mix(piece, flow_l_per_s[running[k]], temp_c[running[k]])
            n_pieces += 1
            t = until
        left = 0
        for k in range(n_running):
            if end_s[running[k]] > t:
                running[left] = running[k]
                left += 1
        n_running = left
    return n_pieces


@inlined
def _first_hour(
    tank: Record, run: Record, book: Record, grain: Grain, pump: Record, piece: Record, now: _Now,
    drop_k: float,
) -> float:  # fmt: skip
    """Return the first-hour rating: draw, recover, draw again, for an hour."""
    _fill(tank, run, now.setpoint_c)
    t, total_l, stop_c, mean_c, end_c = 0.0, 0.0, 0.0, 0.0, 0.0
    while True:
        _decay(tank, run, book, now.room_c)
        is_last = t >= _HOUR_S
        if not is_last:
            stop_c = run.temp_c[run.top] - drop_k
        before_l, before_kj = book.hot_l, book.out_kj
        while run.temp_c[run.top] >= stop_c and t < _DAY_S:
            seconds, _ = _step(tank, run, book, grain, pump, piece, now, True, _DAY_S)
            _decay(tank, run, book, now.room_c)
            t += seconds
        litres = book.hot_l - before_l
        out_c = now.inlet_c
        if litres > 0.0:
            out_c += (book.out_kj - before_kj) / (tank.water_kj_per_l_k * litres)
        if is_last:
            # It counts by how much warmer it was than the end of the draw before.
            return total_l + max(litres * (out_c - end_c) / (mean_c - end_c), 0.0)
        total_l += litres
        mean_c, end_c = out_c, stop_c
        if t >= _HOUR_S:
            return total_l
        cut_out = False
        while t < _HOUR_S and not cut_out and (run.main_on or run.upper_on):
            seconds, cut_out = _step(tank, run, book, grain, pump, piece, now, False, _HOUR_S - t)
            t += seconds
        if not cut_out:
            t = _HOUR_S


@compiled(parallel=True)
def run_first_hours(
    tanks: Record, pieces: Record, drop_k: float, grain: Grain, scene: Scene, books: Record,
    rating_l: Record,
) -> None:  # fmt: skip
    """Run the first-hour test of each heater with its piece of draw; the books start at zero."""
    for n in prange(pieces.size):
        run = np.empty(1, RUN)[0]
        pump = scene.pump_days[tanks[n].pump, 0]
        now = _conditions(tanks[n], scene.spans[0], scene.places[n, 0], pump, scene.use_c)
        rating_l[n] = _first_hour(
            tanks[n], run, books[n], grain, pump, scene.pieces[pieces[n]], now, drop_k
        )
