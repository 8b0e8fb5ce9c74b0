"""Cold-water temperature at the heater on every day of the year, four ways.

Which way is used: own readings if there are any; else the well's temperature if the house has a
well; else the soil at the burial depth if the job states a depth, since whoever knows how deep
the street main lies knows more of this street than a regional correlation does; else the mains
correlation, which was fitted to measured tap water. :func:`inlet_by_method` gives all of them
side by side, so that the choice and its effect can be seen.

Correlation and soil share the measured yearly mean of tap water; they differ in swing and
delay, which depend on the depth. Day 0 is 1 January.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.soil import TAP_ABOVE_AIR_K, main_temp_c, typical_main_depth_m
from heatersel.errors import InputError

if TYPE_CHECKING:
    from heatersel.climate import Climate
    from heatersel.job.models import Place

__all__ = [
    "COLDEST_INLET_C",
    "DEPTHS_SHOWN_M",
    "DepthEffect",
    "Inlet",
    "InletMethod",
    "depth_effect",
    "inlet_by_method",
    "inlet_for",
    "mains_correlation_c",
    "readings_c",
]

COLDEST_INLET_C = 0.5
"""Water that still runs; every method is held here or above."""

DEPTHS_SHOWN_M = (0.9144, 1.524, 2.1336, 2.4384)
"""3, 5, 7 and 8 ft."""

GROUND_WATER_ABOVE_AIR_K = 2.0 / 1.8
"""Ground water at 10 to 20 m above the mean air: about 2 degF (1 to 4), Collins (1925), US
Geological Survey Water-Supply Paper 520-F (memory)."""

DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

_DAY = np.arange(1, 366, dtype=float)
_MONTH_OF_DAY = np.repeat(np.arange(12), DAYS_IN_MONTH)
_MID_MONTH = np.cumsum(DAYS_IN_MONTH) - np.asarray(DAYS_IN_MONTH) / 2.0
_DATA_RANGE_C = (4.4, 23.9)


class InletMethod(StrEnum):
    """How the inlet temperature was found."""

    MAINS_CORRELATION = "mains_correlation"
    SOIL_AT_DEPTH = "soil_at_depth"
    WELL = "well"
    OWN_READINGS = "own_readings"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Inlet:
    """Cold water over the year.

    Parameters
    ----------
    method : InletMethod
        How it was found.
    daily_c : array of shape (365,)
        Temperature by day, never below 0.5. [°C]
    monthly_c : tuple of 12 float
        Monthly means. [°C]
    annual_mean_c : float
        Mean of the days. [°C]
    design_c : float
        The coldest day. [°C]
    design_day : int
        Which day that is, 0 = 1 January.
    note : str
        What was assumed, in plain words.
    """

    method: InletMethod
    daily_c: NDArray[np.float64]
    monthly_c: tuple[float, ...]
    annual_mean_c: float
    design_c: float
    design_day: int
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthEffect:
    """What burying the main deeper does to the coldest water.

    Parameters
    ----------
    depth_m : float
        Burial depth. [m]
    design_c, warmest_c : float
        Water on the coldest and the warmest day. [°C]
    design_day : int
        The coldest day, 0 = 1 January.
    n_days_held : int
        Days on which the formula fell below 0.5 °C and was held there: frost reaches the main.
    """

    depth_m: float
    design_c: float
    warmest_c: float
    design_day: int
    n_days_held: int


def inlet_for(place: Place, climate: Climate) -> Inlet:
    """Return the inlet temperature by the method that fits what is known of the place.

    Parameters
    ----------
    place : Place
        Supply, depth of the main and own readings, as far as known.
    climate : Climate
        Monthly air temperatures.

    Returns
    -------
    Inlet
        By own readings, well, soil or mains correlation, in this order of preference.
    """
    return inlet_by_method(place, climate)[0]


def inlet_by_method(place: Place, climate: Climate) -> tuple[Inlet, ...]:
    """Return the inlet temperature by every method, the chosen one first.

    Own readings appear only if there are any; soil is shown at the stated depth or else at the
    usual one.

    Parameters
    ----------
    place, climate
        As for :func:`inlet_for`.

    Returns
    -------
    tuple of Inlet
        Three or four of them.
    """
    air_c = climate.monthly_air_c
    found = {
        InletMethod.MAINS_CORRELATION: _by_correlation(air_c),
        InletMethod.SOIL_AT_DEPTH: _by_soil(air_c, place.main_depth_m),
        InletMethod.WELL: _by_well(air_c),
    }
    chosen = InletMethod.MAINS_CORRELATION
    if place.supply == "well":
        chosen = InletMethod.WELL
    elif place.main_depth_m is not None:
        chosen = InletMethod.SOIL_AT_DEPTH
    if place.inlet is not None:
        found[InletMethod.OWN_READINGS] = _by_readings(place.inlet.monthly_c, found[chosen])
        chosen = InletMethod.OWN_READINGS
    return found.pop(chosen), *found.values()


def depth_effect(
    climate: Climate, depths_m: Sequence[float] = DEPTHS_SHOWN_M
) -> tuple[DepthEffect, ...]:
    """Return the coldest and warmest main water for several burial depths.

    Parameters
    ----------
    climate : Climate
        Monthly air temperatures.
    depths_m : sequence of float
        Depths, each 0 or more. [m]

    Returns
    -------
    tuple of DepthEffect
        One per depth, by the soil model, in the order given.

    Raises
    ------
    OutOfRangeError
        If a depth is negative.
    """
    effects = []
    for depth_m in depths_m:
        free_c = main_temp_c(depth_m, climate.monthly_air_c, _DAY)
        effects.append(
            DepthEffect(
                depth_m=depth_m,
                design_c=max(float(free_c.min()), COLDEST_INLET_C),
                warmest_c=float(free_c.max()),
                design_day=int(np.argmin(free_c)),
                n_days_held=int(np.count_nonzero(free_c < COLDEST_INLET_C)),
            )
        )
    return tuple(effects)


def mains_correlation_c(
    monthly_air_c: Sequence[float], day: float | NDArray[np.float64] = _DAY
) -> NDArray[np.float64]:
    """Return tap-water temperature by the published correlation with air temperature.

    Parameters
    ----------
    monthly_air_c : sequence of 12 float
        Monthly mean air temperatures, January first. [°C]
    day : float or array
        Day of the year, 1 = 1 January.

    Returns
    -------
    array
        Temperature, not yet held above freezing. [°C]

    Notes
    -----
    In degrees Fahrenheit [1]_: T = (Tavg + 6) + R (dT/2) sin(0.986 (day - 15 - L) - 90), with
    R = 0.4 + 0.01 (Tavg - 44), L = 35 - (Tavg - 44) days and dT the warmest less the coldest
    month. Fitted to few cold places; R is held within 0 to 1. Single houses differ by several
    kelvin.

    References
    ----------
    .. [1] Burch, J., Christensen, C., "Towards Development of an Algorithm for Mains Water
       Temperature", American Solar Energy Society, 2007; Hendron, R., Engebrecht, C., "Building
       America House Simulation Protocols", NREL/TP-550-49246, 2010.  (offset and amplitude seen
       in the abstract, equation from memory)

    Examples
    --------
    >>> wave = (-1, -0.8, -0.5, 0, 0.5, 0.8, 1, 0.8, 0.5, 0, -0.5, -0.8)
    >>> air_c = [6.667 + 13.889 * share for share in wave]
    >>> round(float(mains_correlation_c(air_c, 50.0)), 2)
    4.44
    """
    mean_c = sum(monthly_air_c) / 12.0
    above_reference_k = mean_c - (44.0 - 32.0) / 1.8
    ratio = min(max(0.4 + 0.018 * above_reference_k, 0.0), 1.0)
    lag_days = 35.0 - 1.8 * above_reference_k
    swing_k = (max(monthly_air_c) - min(monthly_air_c)) / 2.0
    angle = np.radians(0.986 * (np.asarray(day, dtype=float) - 15.0 - lag_days) - 90.0)
    return np.asarray(mean_c + TAP_ABOVE_AIR_K + ratio * swing_k * np.sin(angle))


def readings_c(
    monthly_c: Sequence[float | None], model_daily_c: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return daily temperatures through own monthly readings.

    Parameters
    ----------
    monthly_c : sequence of 12 float or None
        Readings, each taken as the middle of its month. [°C]
    model_daily_c : array of shape (365,)
        What a model says of this place. [°C]

    Returns
    -------
    array of shape (365,)
        Straight lines between the middles of the months. [°C]

    Raises
    ------
    InputError
        If there is no reading at all.

    Notes
    -----
    A missing month follows the model, moved by how far the readings before and after it lie
    from the model (a straight line between the two, round the year). A wave through the
    deviations would turn an error of 1 K in three summer readings into 15 K in winter. Own
    method, no source.
    """
    given = np.array([value is not None for value in monthly_c])
    if not given.any():
        raise InputError.of(
            "place.inlet", value="empty", allowed="at least one month",
            fix='write january = "40 degF" with what a thermometer says at the cold tap',
        )  # fmt: skip
    model_c = np.array([model_daily_c[int(day)] for day in _MID_MONTH])
    reading_c = np.array([np.nan if value is None else value for value in monthly_c])
    off_k = np.interp(
        _MID_MONTH, _MID_MONTH[given], (reading_c - model_c)[given], period=365.0
    )  # fmt: skip
    filled_c = np.where(given, reading_c, model_c + off_k)
    return np.asarray(np.interp(_DAY - 0.5, _MID_MONTH, filled_c, period=365.0))


def _by_correlation(air_c: Sequence[float]) -> Inlet:
    mean_c = round(sum(air_c) / 12.0, 1)
    note = "Mains correlation: from the monthly air temperatures of this climate."
    if not _DATA_RANGE_C[0] <= mean_c <= _DATA_RANGE_C[1]:
        note += (
            f" The mean air of {_both(mean_c)} lies outside the {_both(_DATA_RANGE_C[0])} to"
            f" {_both(_DATA_RANGE_C[1])} that it was fitted to: measure the cold tap in winter."
        )
    return _inlet(InletMethod.MAINS_CORRELATION, mains_correlation_c(air_c), note)


def _by_soil(air_c: Sequence[float], main_depth_m: float | None) -> Inlet:
    depth_m = typical_main_depth_m(air_c) if main_depth_m is None else main_depth_m
    note = f"Soil at the main, {depth_m / 0.3048:.0f} ft ({depth_m:.1f} m) down"
    note += "." if main_depth_m is not None else ", the usual depth in this climate."
    return _inlet(InletMethod.SOIL_AT_DEPTH, main_temp_c(depth_m, air_c, _DAY), note)


def _by_well(air_c: Sequence[float]) -> Inlet:
    # A swing under 1 K is left out: the tool would not know which way the storage tank leans.
    daily_c = np.full(365, sum(air_c) / 12.0 + GROUND_WATER_ABOVE_AIR_K)
    note = (
        f"Well: {1.8 * GROUND_WATER_ABOVE_AIR_K:.0f} °F ({GROUND_WATER_ABOVE_AIR_K:.1f} °C) above"
        " the mean air all year; a shallow well or a pressure tank in a cold room swings more."
    )
    return _inlet(InletMethod.WELL, daily_c, note)


def _by_readings(monthly_c: Sequence[float | None], model: Inlet) -> Inlet:
    n_given = sum(value is not None for value in monthly_c)
    note = f"Own readings of {n_given} {'month' if n_given == 1 else 'months'}."
    if n_given < 12:
        how = model.method.replace("_", " ")
        note += f" The others follow {how}, moved as far as the readings next to them lie from it."
    return _inlet(InletMethod.OWN_READINGS, readings_c(monthly_c, model.daily_c), note)


def _inlet(method: InletMethod, free_c: NDArray[np.float64], note: str) -> Inlet:
    """Hold the temperatures above freezing, say on how many days that bit, and sum them up."""
    n_held = int(np.count_nonzero(free_c < COLDEST_INLET_C))
    if n_held:
        days = "1 day" if n_held == 1 else f"{n_held} days"
        note += f" Held at {_both(COLDEST_INLET_C)} on {days}: colder water would not run."
    daily_c = np.maximum(free_c, COLDEST_INLET_C)
    daily_c.setflags(write=False)
    # Of a flat bottom (held, or a well) the middle is the day that stands for it.
    coldest = np.flatnonzero(daily_c <= daily_c.min() + 1e-9)
    monthly = np.bincount(_MONTH_OF_DAY, weights=daily_c) / np.asarray(DAYS_IN_MONTH)
    return Inlet(
        method=method,
        daily_c=daily_c,
        monthly_c=tuple(float(value) for value in monthly),
        annual_mean_c=float(daily_c.mean()),
        design_c=float(daily_c.min()),
        design_day=0 if coldest.size == 365 else int(coldest[coldest.size // 2]),
        note=note,
    )


def _both(temp_c: float) -> str:
    """Return a temperature in both systems, since a note does not know its reader's."""
    return f"{1.8 * temp_c + 32.0:.1f} °F ({temp_c:.1f} °C)"
