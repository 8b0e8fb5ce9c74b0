"""Soil temperature at depth over the year, as a damped and delayed wave from the surface.

Main reference: Kusuda and Achenbach (1965). Left out: snow cover, freezing of soil water and
salted, ploughed streets. Snow and freezing keep real soil warmer than this in winter, ploughed
bare streets colder; the two are of like size, a few kelvin at the depth of a street main.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import OutOfRangeError

__all__ = [
    "COLDEST_SURFACE_DAY",
    "DAMP_SOIL_M2_PER_DAY",
    "TAP_ABOVE_AIR_K",
    "main_temp_c",
    "soil_temp_c",
    "typical_main_depth_m",
]

DAMP_SOIL_M2_PER_DAY = 0.0557418
"""Diffusivity of heavy damp soil, 0.025 ft2/h: California's 2016 Residential Alternative
Calculation Method, appendix B4.2 (seen)."""

COLDEST_SURFACE_DAY = 35
"""Day of the coldest surface, 1 = 1 January: 0.6 rad after the new year in the same appendix
(seen), the usual value for the northern United States and Canada."""

TAP_ABOVE_AIR_K = 6.0 / 1.8
"""Yearly mean of tap water above that of the air: about 6 degF as measured, Burch and
Christensen (2007; seen in the abstract). It holds the ground's own excess over the air (snow
cover, freezing) and what the water gains on its way through street and house."""

_COLD_PLACE_DEPTH_M = 2.1336
_MILD_PLACE_DEPTH_M = 0.9144


def soil_temp_c(
    depth_m: float,
    day: float | NDArray[np.float64],
    *,
    mean_c: float,
    amplitude_k: float,
    coldest_day: float = COLDEST_SURFACE_DAY,
    diffusivity_m2_per_day: float = DAMP_SOIL_M2_PER_DAY,
) -> NDArray[np.float64]:
    """Return the undisturbed soil temperature at a depth.

    Parameters
    ----------
    depth_m : float
        Depth below the surface, 0 or more. [m]
    day : float or array
        Day of the year, 1 = 1 January.
    mean_c : float
        Yearly mean of the surface. [°C]
    amplitude_k : float
        Half the yearly swing of the surface. [K]
    coldest_day : float
        Day of the coldest surface.
    diffusivity_m2_per_day : float
        Thermal diffusivity of the soil, above 0. [m2/d]

    Returns
    -------
    array
        Soil temperature, with the shape of `day`. [°C]

    Raises
    ------
    OutOfRangeError
        If the depth is negative or the diffusivity not positive.

    Notes
    -----
    T = mean - amplitude exp(-D/d) cos(2 pi (day - coldest)/365 - D/d), d = sqrt(365 a / pi):
    the swing falls to 1/e and lags by 58 days for each damping depth d, 2.54 m here [1]_.

    References
    ----------
    .. [1] Kusuda, T., Achenbach, P. R., "Earth temperature and thermal diffusivity at selected
       stations in the United States", ASHRAE Transactions 71(1), 1965.  (memory, sure of the
       equation)

    Examples
    --------
    >>> round(float(soil_temp_c(1.524, 35.0, mean_c=10.0, amplitude_k=13.889)), 2)
    3.7
    """
    if depth_m < 0.0 or diffusivity_m2_per_day <= 0.0:
        raise OutOfRangeError.of(
            "depth_m", value=f"{depth_m:g} m", allowed="0 or more, in soil that conducts",
            fix='give the depth of the main, such as "7 ft"',
        )  # fmt: skip
    ratio = depth_m / math.sqrt(365.0 * diffusivity_m2_per_day / math.pi)
    angle = 2.0 * math.pi * (np.asarray(day, dtype=float) - coldest_day) / 365.0 - ratio
    return np.asarray(mean_c - amplitude_k * math.exp(-ratio) * np.cos(angle))


def main_temp_c(
    depth_m: float, monthly_air_c: Sequence[float], day: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the temperature of tap water from a main at a burial depth.

    Parameters
    ----------
    depth_m : float
        Burial depth of the main. [m]
    monthly_air_c : sequence of 12 float
        Monthly mean air temperatures, January first. [°C]
    day : array
        Days of the year, 1 = 1 January.

    Returns
    -------
    array
        Tap water; not yet held above freezing. [°C]

    Raises
    ------
    OutOfRangeError
        If the depth is negative.

    Notes
    -----
    The swing and its delay are those of the soil at that depth [1]_ [2]_, with half the
    difference of the warmest and the coldest month at the surface; the mean is that of measured
    tap water, :data:`TAP_ABOVE_AIR_K`. Cross-check: the share of the air's swing that the mains
    correlation finds at the tap, 0.40 at 44 degF mean air and 0.70 at 74 degF, is the share left
    in the soil at 7.6 ft and 3.0 ft, the depths of mains in such places. Its coldest day comes
    about five weeks later than the correlation's.

    References
    ----------
    .. [1] See :func:`soil_temp_c`.
    .. [2] California Energy Commission, "2016 Residential Alternative Calculation Method
       Reference Manual", appendix B4.2, for the swing of the surface.  (seen)
    """
    return soil_temp_c(
        depth_m,
        day,
        mean_c=sum(monthly_air_c) / 12.0 + TAP_ABOVE_AIR_K,
        amplitude_k=(max(monthly_air_c) - min(monthly_air_c)) / 2.0,
    )


def typical_main_depth_m(monthly_air_c: Sequence[float]) -> float:
    """Return how deep a street main usually lies in this climate. [m]

    7 ft where the coldest month freezes (cold regions bury at 6 to 8 ft), else 3 ft: common
    practice, no source. Only shown beside the chosen method, never chosen by itself.
    """
    return _COLD_PLACE_DEPTH_M if min(monthly_air_c) < 0.0 else _MILD_PLACE_DEPTH_M
