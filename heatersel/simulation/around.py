"""What surrounds the heater's room by day: house, outdoors and ground, with the water in the air.

Humidity of a place is not in the climate table: outdoors is taken at 65 % all year (New York has
55 to 68 % by month, 63 % over the year; NOAA normals 1961-1990, seen second hand), the house at
2 g/kg more, never above 60 % (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.soil import TAP_ABOVE_AIR_K, soil_temp_c
from heatersel.simulation.moist_air import humidity_ratio

__all__ = ["Around", "around"]

Floats = NDArray[np.float64]

_OUTDOOR_HUMIDITY = 0.65
_INDOOR_MOISTURE = 0.002  # kg/kg that people, kitchen and bath add to the air of a house
_MOST_INDOOR_HUMIDITY = 0.60
_HOUSE_C = (20.0, 25.0)  # heated to the one, cooled to the other
_HOUSE_ABOVE_OUTDOORS_K = 5.0  # sun and people, between heating and cooling
_GROUND_DEPTH_M = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What surrounds a room, by day.

    Parameters
    ----------
    outdoor_c, house_c, ground_c : array of shape (365,)
        Temperatures. [°C]
    outdoor_humidity_ratio, house_humidity_ratio : array of shape (365,)
        Water in the air. [kg/kg]
    """

    outdoor_c: Floats
    house_c: Floats
    ground_c: Floats
    outdoor_humidity_ratio: Floats
    house_humidity_ratio: Floats


def around(monthly_air_c: Sequence[float]) -> Around:
    """Return what surrounds a room, from the monthly air temperatures of a place.

    Parameters
    ----------
    monthly_air_c : sequence of 12 float
        Mean outdoor air, January first. [°C]

    Returns
    -------
    Around
        By day; outdoor air runs straight from mid-month to mid-month, without weather.

    References
    ----------
    Ground: see :func:`heatersel.demand.soil.soil_temp_c`, at 1.5 m, its mean above the air's by
    what tap water is (snow cover; the house itself). Humidity: see the module.
    """
    day = np.arange(1.0, 366.0)
    middle = (np.arange(12) + 0.5) * 365.0 / 12.0
    outdoor_c = np.interp(day - 0.5, middle, np.asarray(monthly_air_c), period=365.0)
    house_c = np.clip(outdoor_c + _HOUSE_ABOVE_OUTDOORS_K, *_HOUSE_C)
    amplitude_k = 0.5 * (max(monthly_air_c) - min(monthly_air_c))
    ground_mean_c = float(np.mean(outdoor_c)) + TAP_ABOVE_AIR_K
    outdoor_ratio = np.asarray(humidity_ratio(outdoor_c, _OUTDOOR_HUMIDITY))
    return Around(
        outdoor_c=outdoor_c,
        house_c=house_c,
        ground_c=soil_temp_c(_GROUND_DEPTH_M, day, mean_c=ground_mean_c, amplitude_k=amplitude_k),
        outdoor_humidity_ratio=outdoor_ratio,
        house_humidity_ratio=np.minimum(
            outdoor_ratio + _INDOOR_MOISTURE, humidity_ratio(house_c, _MOST_INDOOR_HUMIDITY)
        ),
    )
