"""A heat pump and its room, settled together: the colder the air, the less heat for the power.

The unit cools the room it draws from, which lowers its own COP and lengthens its runs. A few
rounds between the room's heat balance and the performance table settle the year, on half-months,
since climate and demand are known no finer; the result is by day.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heatersel.heaters.heater import Heater, HeaterClass
from heatersel.simulation.around import Around
from heatersel.simulation.heat_pump import DEFROST_PENALTY_FRAC, HeatPumpDays, daily_tables
from heatersel.simulation.moist_air import enthalpy_kj_per_kg, humidity_ratio
from heatersel.simulation.room import CoilDuty, Room, RoomAir, room_air

__all__ = ["HeatPumpAir", "condensate_l", "remarks", "settle"]

Floats = NDArray[np.float64]

_ROUNDS = 4
_SURFACE_FOLLOWS = 0.35
_MOST_DUTY = 0.85  # share of a day that a compressor can run, as in the closed-form balance
_MEAN_BELOW_SETPOINT_K = 8.0  # water beside the condenser, mean over its runs (assumption)
_LATENT_KWH_PER_KG = 0.686  # evaporation of water near 15 °C, 2.47 MJ/kg (from memory)
_FAN_SHARE = 0.09  # of the electricity; its heat stays in the air that passes the coil

_EDGES = np.round(np.linspace(0.0, 365.0, 25)).astype(np.int64)
_MIDDLES = 0.5 * (_EDGES[1:] + _EDGES[:-1])
_NOONS = np.arange(365) + 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatPumpAir:
    """A heat pump's year of air, and what it can do in it.

    Parameters
    ----------
    mean_c : array of shape (365,)
        Air around the tank, mean of the day. [°C]
    entering_c : array of shape (365,)
        Air that the unit draws in while it runs. [°C]
    days : HeatPumpDays
        Tables for the tank simulation.
    taken_kwh, latent_kwh : array of shape (365,)
        Heat taken from the air (heat into the water less electricity), and the part of the
        coil's heat that dried the air. [kWh/day]
    untouched_cop, cop : array of shape (365,)
        COP at the mean water temperature in the untouched and in the cooled room. [-]
    starved : array of bool, shape (365,)
        Days on which the room would fall to the compressor's low cut-off and cannot feed it.
    """

    mean_c: Floats
    entering_c: Floats
    days: HeatPumpDays
    taken_kwh: Floats
    latent_kwh: Floats
    untouched_cop: Floats
    cop: Floats
    starved: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Case:
    """What stays the same from round to round."""

    heater: Heater
    room: Room | None
    near: Around
    heat_kwh: Floats
    lost_kwh: Floats
    untouched_c: Floats
    water_c: float
    cop_scale: float
    defrost_penalty_frac: float


@dataclass(frozen=True, slots=True)
class _Round:
    air: RoomAir
    coil: CoilDuty
    cop: Floats
    starved_k: Floats


def settle(
    heater: Heater,
    room: Room | None,
    near: Around,
    *,
    heat_kwh: Floats,
    lost_kwh: Floats,
    setpoint_c: float,
    cop_scale: float = 1.0,
    defrost_penalty_frac: float = DEFROST_PENALTY_FRAC,
) -> HeatPumpAir:
    """Return the air that a heat pump meets by day, cooled by its own work.

    Parameters
    ----------
    heater : Heater
        Heat-pump row; a split unit draws its air outdoors, wherever the tank stands.
    room : Room or None
        Room of the tank.
    near : Around
        House, outdoors, ground.
    heat_kwh : array of shape (365,)
        Heat that the compressor is to put into the water, losses included. [kWh/day]
    lost_kwh : array of shape (365,)
        Standby heat of the tank, which warms the room. [kWh/day]
    setpoint_c : float
        Store temperature. [°C]
    cop_scale, defrost_penalty_frac : float
        As for :func:`heatersel.simulation.heat_pump.daily_tables`.

    Returns
    -------
    HeatPumpAir

    Raises
    ------
    UnknownChoiceError, InconsistentRatingError
        As for :func:`heatersel.simulation.heat_pump.daily_tables`.

    Notes
    -----
    Elements are left out here: heat that they make in the simulation cools no room, so the drop
    is slightly overstated on busy days. Where the room would fall to the low cut-off, the air is
    held there and the days are marked: the unit then waits for its room, and less heat comes
    than the table says.

    Against a laboratory that shrank a closed room from 700 to 450 ft3 (COP 3.21 to 2.96 at 55
    gal/day, 2.63 to 2.26 at 84), the fall of COP has the right direction and 0.6 to 0.9 times the
    size, with uninsulated partitions, insulated ceiling, 0.5 air changes and no element.
    """
    outdoors = room is None or heater.heater_class is HeaterClass.HEAT_PUMP_SPLIT
    own_room = None if outdoors else room
    sampled = Around(**{name: _sample(getattr(near, name)) for name in Around.__slots__})
    gained_kwh = _sample(lost_kwh)
    untouched = room_air(own_room, sampled, gained_kwh=gained_kwh)
    case = _Case(
        heater, own_room, sampled, _sample(heat_kwh), gained_kwh, untouched.entering_c,
        setpoint_c - _MEAN_BELOW_SETPOINT_K, cop_scale, defrost_penalty_frac,
    )  # fmt: skip
    first = last = _round(case, None)
    for _ in range(0 if outdoors else _ROUNDS):
        last = _round(case, last.coil)
    by_day = room_air(own_room, near, gained_kwh=lost_kwh)
    entering_c = by_day.entering_c + _daily(last.air.entering_c - untouched.entering_c)
    dried = _daily(last.air.entering_humidity / untouched.entering_humidity)
    humidity = np.minimum(by_day.entering_humidity * dried, 1.0)
    days = daily_tables(heater, entering_c, humidity, cop_scale=cop_scale,
                        defrost_penalty_frac=defrost_penalty_frac)  # fmt: skip
    standing_c = room_air(room, near, gained_kwh=lost_kwh).mean_c if outdoors else by_day.mean_c
    cooled_k = 0.0 if outdoors else _daily(last.air.mean_c - untouched.mean_c)
    cop, heat_kw = _at_water(days, case.water_c)
    made_kwh = 24.0 * heat_kw * _duty(days, heat_kwh, heat_kw)
    return HeatPumpAir(
        mean_c=standing_c + cooled_k,
        entering_c=entering_c,
        days=days,
        taken_kwh=made_kwh * (1.0 - 1.0 / cop),
        latent_kwh=_coil_share(cop) * made_kwh * (1.0 - days.sensible_frac),
        untouched_cop=_daily(first.cop),
        cop=cop,
        starved=_daily(last.starved_k) > 0.0,
    )


def condensate_l(latent_kwh: Floats) -> Floats:
    """Return the water that the coil condenses.

    Parameters
    ----------
    latent_kwh : array
        Heat that dried the air. [kWh]

    Returns
    -------
    array
        Condensate, at 2.47 MJ/kg (from memory, within 1 %). [L]

    Examples
    --------
    >>> round(float(condensate_l(np.array([1.0]))[0]), 2)
    1.46
    """
    return latent_kwh / _LATENT_KWH_PER_KG


def remarks(heater: Heater, settled: HeatPumpAir) -> tuple[str, ...]:
    """Return what a customer should know about a heat pump's air, in plain words.

    Parameters
    ----------
    heater : Heater
        The unit.
    settled : HeatPumpAir
        Its year in its room.

    Returns
    -------
    tuple of str
        Cooling, condensate and drying, lock-out, a room too small, noise; only what applies.
    """
    found = []
    lost = 1.0 - float(np.mean(settled.cop) / np.mean(settled.untouched_cop))
    if lost >= 0.005:
        found.append(
            f"cools its own air, and so makes {lost:.0%} less heat of each kWh over the year"
        )
    if condensate_l(settled.latent_kwh).sum() >= 1.0:
        outdoors = heater.heater_class is HeaterClass.HEAT_PUMP_SPLIT
        found.append(
            "its outdoor coil drips, and the water must not freeze where people walk"
            if outdoors
            else "dries the air: its condensate needs a drain that cannot freeze"
        )
    locked = int(settled.days.locked_out.sum())
    if locked:
        found.append(f"its air is outside the compressor's range on {locked} days")
    starved = int((settled.starved & ~settled.days.locked_out).sum())
    if starved:
        found.append(f"the room cannot feed it on {starved} days: give it a louvred door or ducts")
    if heater.noise_dba > 0.0 and np.any(settled.taken_kwh > 0.0):
        found.append(
            f"while it runs its fan and compressor make {heater.noise_dba:.0f} dB(A) of noise"
        )
    return tuple(found)


def _round(case: _Case, before: CoilDuty | None) -> _Round:
    """Return the room as the coil of the round before leaves it, and the coil's work in it."""
    air = room_air(case.room, case.near, gained_kwh=case.lost_kwh, coil=before)
    floor_c = np.minimum(case.untouched_c, case.heater.min_air_temp_c)
    starved_k = np.maximum(floor_c - air.entering_c, 0.0)
    air = replace(air, entering_c=np.maximum(air.entering_c, floor_c))
    days = daily_tables(
        case.heater,
        air.entering_c,
        air.entering_humidity,
        cop_scale=case.cop_scale,
        defrost_penalty_frac=case.defrost_penalty_frac,
    )
    cop, heat_kw = _at_water(days, case.water_c)
    coil = _coil(air, days, _duty(days, case.heat_kwh, heat_kw), heat_kw, cop)
    if before is not None:
        coil = _nearer(case, before, coil)
    return _Round(air, coil, cop, starved_k)


def _nearer(case: _Case, before: CoilDuty, after: CoilDuty) -> CoilDuty:
    """Return the next guess: half-way for heat, which swings; further for moisture, which creeps.

    A drier room makes a colder coil, about 0.35 of the change in humidity ratio; the rest of the
    way is taken at once.
    """
    through = after.duty * after.dried_kg_per_h
    leak = case.room.air_kg_per_h if case.room else np.inf
    step = 1.0 / (1.0 - _SURFACE_FOLLOWS * through / (leak + through))
    return CoilDuty(
        duty=0.5 * (before.duty + after.duty),
        sensible_kw=0.5 * (before.sensible_kw + after.sensible_kw),
        dried_kg_per_h=after.dried_kg_per_h,
        surface_ratio=before.surface_ratio + step * (after.surface_ratio - before.surface_ratio),
    )


def _coil(air: RoomAir, days: HeatPumpDays, duty: Floats, heat_kw: Floats, cop: Floats) -> CoilDuty:
    """Return the coil's work on the air it meets."""
    coil_kw = heat_kw * _coil_share(cop)
    entering = np.asarray(humidity_ratio(air.entering_c, air.entering_humidity))
    saturated = np.asarray(humidity_ratio(days.surface_c, 1.0))
    fall_kj_per_kg = np.asarray(enthalpy_kj_per_kg(air.entering_c, entering)) - enthalpy_kj_per_kg(
        days.surface_c, np.minimum(entering, saturated)
    )
    return CoilDuty(
        duty=duty,
        sensible_kw=coil_kw * days.sensible_frac - heat_kw * _FAN_SHARE / cop,
        dried_kg_per_h=3600.0 * coil_kw / fall_kj_per_kg,
        surface_ratio=saturated,
    )


def _coil_share(cop: Floats) -> Floats:
    """Return what the coil takes, over the heat into the water: all but the compressor's part."""
    return 1.0 - (1.0 - _FAN_SHARE) / cop


def _duty(days: HeatPumpDays, heat_kwh: Floats, heat_kw: Floats) -> Floats:
    """Return the share of each day that the compressor runs."""
    wanted = np.minimum(heat_kwh / (24.0 * heat_kw), _MOST_DUTY)
    return np.where(days.locked_out, 0.0, wanted)


def _at_water(days: HeatPumpDays, water_c: float) -> tuple[Floats, Floats]:
    """Return COP and heat of each day at one water temperature."""
    grid = days.water_c
    cell = int(np.clip(np.searchsorted(grid, water_c) - 1, 0, len(grid) - 2))
    share = float(np.clip((water_c - grid[cell]) / (grid[cell + 1] - grid[cell]), 0.0, 1.0))
    cop = (1.0 - share) * days.cop[:, cell] + share * days.cop[:, cell + 1]
    heat = (1.0 - share) * days.heat_kw[:, cell] + share * days.heat_kw[:, cell + 1]
    return cop, heat


def _sample(daily: Floats) -> Floats:
    """Return the means of half-months."""
    means: Floats = np.add.reduceat(daily, _EDGES[:-1]) / np.diff(_EDGES)
    return means


def _daily(sampled: Floats) -> Floats:
    """Return a year by day from half-months."""
    by_day: Floats = np.interp(_NOONS, _MIDDLES, sampled, period=365.0)
    return by_day
