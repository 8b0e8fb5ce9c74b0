"""Growth and die-off of Legionella in stored and idle hot water.

Temperature helps but guarantees nothing: biofilm, idle branches and cool corners shelter
bacteria, so nothing here ever calls a house safe.
"""

from __future__ import annotations

import math
from collections import defaultdict
from functools import lru_cache
from itertools import pairwise

from heatersel.cautions.jurisdiction import Country
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import Heater
from heatersel.reference import records

__all__ = [
    "GROWTH_RANGE_C",
    "LOOP_MINIMUM_C",
    "STORE_MINIMUM_C",
    "Z_VALUE_K",
    "decimal_reduction_min",
    "electric_storage_minimum_c",
    "growth_band",
    "reduction_time_min",
    "storage_setpoint_c",
]

GROWTH_RANGE_C = (20.0, 45.0)
"""Multiplication reported between these: 20 to 43 °C for natural strains (Schulze-Robbecke et
al. 1987, abstract, seen), 25 to 45 °C in WHO (2007) and CDC wording (seen)."""

STORE_MINIMUM_C = 60.0  # OSHA Technical Manual, hot water: heater at 60 °C (seen)
LOOP_MINIMUM_C = 48.8889  # CDC potable-water toolkit: circulate above 120 degF (seen)
TAP_MINIMUM_C = 50.0  # OSHA Technical Manual: at least 50 °C at the tap (seen)

Z_VALUE_K = 5.29
"""Kelvin per tenfold change of the reduction time, pooled figure (review of reduction times,
p. 222, seen)."""


@lru_cache(maxsize=1)
def _series() -> dict[str, tuple[tuple[float, float], ...]]:
    found: dict[str, list[tuple[float, float]]] = defaultdict(list)
    numbers = {"temperature": "degC", "decimal_reduction_time": "min"}
    for row in records("safety/decimal_reduction", numbers):
        found[row["series"]].append((row["temperature"], row["decimal_reduction_time"]))
    return {name: tuple(sorted(rows)) for name, rows in found.items()}


def decimal_reduction_min(temp_c: float, series: str = "chlorine_free_1989") -> float:
    """Return the time in which nine of ten Legionella die at a steady temperature.

    Parameters
    ----------
    temp_c : float
        Water temperature, within the rows of the series (45 to 66 for the default). [°C]
    series : str
        Name in datasets/safety/decimal_reduction.csv.

    Returns
    -------
    float
        Decimal reduction time. [min]

    Raises
    ------
    OutOfRangeError
        If the temperature lies outside the rows: nothing is extrapolated.

    Notes
    -----
    Straight line in the logarithm of time between rows. Series differ fourfold at 50 °C and
    threefold at 60 °C with strain and method.

    References
    ----------
    .. [1] Sanden, G. N., et al., Current Microbiology (1989), abstract.  (seen)
    .. [2] Dennis, P. J., Green, D., Jones, B. P. C. (1984).  (memory; series isolates_1984)

    Examples
    --------
    >>> round(3 * decimal_reduction_min(55.0), 1)
    41.8
    """
    rows = _series()[series]
    if not rows[0][0] <= temp_c <= rows[-1][0]:
        raise OutOfRangeError.of(
            "water temperature", value=f"{temp_c:g} °C",
            allowed=f"{rows[0][0]:g} to {rows[-1][0]:g} °C", fix="there is no published row beyond",
        )  # fmt: skip
    for (cool_c, long_min), (hot_c, short_min) in pairwise(rows):
        if temp_c <= hot_c:
            share = (temp_c - cool_c) / (hot_c - cool_c)
            return float(long_min * (short_min / long_min) ** share)
    return rows[-1][1]


def reduction_time_min(
    temp_c: float, start_per_l: float, end_per_l: float, series: str = "chlorine_free_1989"
) -> float:
    """Return the time at a steady temperature that lowers a count from start to end.

    Parameters
    ----------
    temp_c : float
        Water temperature. [°C]
    start_per_l, end_per_l : float
        Colony-forming units per litre before and after; the start is the larger. [1/L]
    series : str
        As for :func:`decimal_reduction_min`.

    Returns
    -------
    float
        Time. [min]

    Raises
    ------
    OutOfRangeError
        If the counts are not positive and falling, or the temperature has no row.

    Examples
    --------
    >>> round(reduction_time_min(60.0, 1e5, 1e2, "secondary_summary"), 1)
    6.0
    """
    if not 0.0 < end_per_l <= start_per_l:
        raise OutOfRangeError.of(
            "counts", value=f"{start_per_l:g} to {end_per_l:g} per L", allowed="falling, above 0"
        )
    decades = math.log10(start_per_l / end_per_l)
    return decades * decimal_reduction_min(temp_c, series)


def growth_band(temp_c: float) -> str:
    """Return what water of this temperature does to Legionella: one of four words.

    Parameters
    ----------
    temp_c : float
        Water temperature. [°C]

    Returns
    -------
    str
        "dormant" below 20 °C, "grows" to 45 °C, "survives" to 50 °C, "dies" above.

    References
    ----------
    .. [1] WHO, "Legionella and the prevention of legionellosis" (2007), as quoted.  (seen)
    .. [2] Schulze-Robbecke, R., et al. (1987), abstract: loss above 50 °C.  (seen)

    Examples
    --------
    >>> growth_band(38.0), growth_band(60.0)
    ('grows', 'dies')
    """
    low_c, high_c = GROWTH_RANGE_C
    if temp_c < low_c:
        return "dormant"
    if temp_c <= high_c:
        return "grows"
    return "survives" if temp_c <= TAP_MINIMUM_C else "dies"


def electric_storage_minimum_c(country: Country) -> float | None:
    """Return the least temperature at which electric tanks store; None where none is ruled. [°C]

    References
    ----------
    .. [1] Canada: Ontario Building Code 9.31.6.1 (text seen, number from memory); NPC 2.6.1.12
       (memory).
    """
    return STORE_MINIMUM_C if country is Country.CANADA else None


def storage_setpoint_c(heater: Heater, country: Country, setpoint_c: float) -> float:
    """Return the temperature to which a new heater is set.

    Parameters
    ----------
    heater : Heater
        The heater.
    country : Country
        Whose rules hold.
    setpoint_c : float
        What the household wants. [°C]

    Returns
    -------
    float
        That, but for an electric tank or heat pump at least what the rules of the place ask; a
        tempering valve then cools the water for the taps. [°C]
    """
    least_c = electric_storage_minimum_c(country)
    if least_c is None or heater.burns_fuel or heater.is_tankless:
        return setpoint_c
    return max(setpoint_c, least_c)
