"""Published performance map of heat-pump water heaters, for closed-form sums and as a check.

A quadratic relates capacity and COP to the entering air's wet bulb and to the water beside the
condenser, as ratios to the rating point near 14 °C wet bulb and 49 °C water. The simulation uses
the cycle tables of :mod:`heatersel.simulation.heat_pump` instead.
"""

from __future__ import annotations

import numpy as np

from heatersel.errors import OutOfRangeError
from heatersel.simulation.moist_air import Floats

__all__ = ["MAP_WATER_C", "MAP_WET_BULB_C", "map_capacity_ratio", "map_cop_ratio"]

MAP_WET_BULB_C = (2.0, 40.0)
"""Wet bulb that the published map covers, from air of about 42 to 120 degF. [°C]"""

MAP_WATER_C = (10.0, 60.0)
"""Water temperature that the published map covers. [°C]"""

# Coefficients of x = wet bulb, y = water in °C: 1, x, x², y, y², xy. Maguire, Fang, Wilson,
# NREL/TP-5500-55475 (2013), reduced from the laboratory data of Sparn, Hudon, Christensen (2014).
# From memory, medium to high; they give 1.00 near the rating point, as they must.
_CAPACITY = (0.563, 0.0437, 0.000039, 0.0055, -0.000148, -0.000145)
_COP = (1.1332, 0.063, -0.0000979, -0.00972, -0.0000214, -0.000686)


def map_capacity_ratio(wet_bulb_c: Floats, water_c: Floats) -> Floats:
    """Return a heat pump's heat output over its rated one, by the published map.

    Parameters
    ----------
    wet_bulb_c : float or array
        Wet bulb of the entering air, 2 to 40. [°C]
    water_c : float or array
        Water beside the condenser, 10 to 60. [°C]

    Returns
    -------
    float or array
        Capacity ratio, 1 near 14 °C wet bulb and 49 °C water. [-]

    Raises
    ------
    OutOfRangeError
        If a temperature lies outside the map.

    References
    ----------
    .. [1] Maguire, J., Fang, X., Wilson, E., "Comparison of Advanced Residential Water Heating
       Technologies in the United States", NREL/TP-5500-55475, 2013.  (coefficients from memory)

    Examples
    --------
    >>> round(float(map_capacity_ratio(13.5, 48.89)), 4)
    0.9795
    """
    return _quadratic(_CAPACITY, wet_bulb_c, water_c)


def map_cop_ratio(wet_bulb_c: Floats, water_c: Floats) -> Floats:
    """Return a heat pump's COP over its rated one, by the published map.

    Parameters
    ----------
    wet_bulb_c : float or array
        Wet bulb of the entering air, 2 to 40. [°C]
    water_c : float or array
        Water beside the condenser, 10 to 60. [°C]

    Returns
    -------
    float or array
        COP ratio, 1 near 14 °C wet bulb and 49 °C water. [-]

    Raises
    ------
    OutOfRangeError
        If a temperature lies outside the map.

    References
    ----------
    See :func:`map_capacity_ratio`.

    Examples
    --------
    >>> round(float(map_cop_ratio(13.5, 48.89)), 4)
    0.9867
    """
    return _quadratic(_COP, wet_bulb_c, water_c)


def _quadratic(c: tuple[float, ...], x: Floats, y: Floats) -> Floats:
    _check_inside("wet bulb", x, MAP_WET_BULB_C)
    _check_inside("water temperature", y, MAP_WATER_C)
    return c[0] + (c[1] + c[2] * x) * x + (c[3] + c[4] * y) * y + c[5] * x * y


def _check_inside(name: str, temp_c: Floats, limits: tuple[float, float]) -> None:
    values = np.atleast_1d(temp_c)
    outside = values[~((values >= limits[0]) & (values <= limits[1]))]
    if outside.size:
        raise OutOfRangeError.of(
            name, value=f"{outside[0]:g} °C", allowed=f"{limits[0]:g} to {limits[1]:g} °C",
            fix="the published map does not reach further; use the cycle tables",
        )  # fmt: skip
