"""Moist air: saturation pressure, humidity ratio, enthalpy, dew point and wet bulb.

What a heat pump's coil sees of a room: its wet bulb sets the evaporating temperature, its
humidity ratio the condensate. Equations of ASHRAE Handbook, Fundamentals (2017), chapter 1
(from memory, checked against a psychrometric library in the tests). Every function takes
floats or arrays and returns the same shape; the air is at 101.325 kPa unless said otherwise.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import OutOfRangeError

__all__ = [
    "STANDARD_PRESSURE_KPA",
    "dew_point_c",
    "enthalpy_kj_per_kg",
    "humidity_ratio",
    "rel_humidity_frac",
    "saturation_pressure_kpa",
    "wet_bulb_c",
]

Floats = float | NDArray[np.float64]

STANDARD_PRESSURE_KPA = 101.325
"""Standard atmosphere at sea level. [kPa]"""

# Hyland and Wexler (1983), as printed in ASHRAE Fundamentals 2017 ch. 1, eq. 5 and 6, in Pa, K.
_OVER_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13,
             4.1635019)  # fmt: skip
_OVER_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)
_ZERO_C_K = 273.15
_TRIPLE_POINT_C = 0.01

# Ratio of the molar masses of water and dry air, same chapter, eq. 20.
_MASS_RATIO = 0.621945

# The wet bulb is never further below the dry bulb than this for air from -60 to 60 °C.
_DEEPEST_WET_BULB_K = 60.0
_HALVINGS = 40


def saturation_pressure_kpa(temp_c: Floats) -> Floats:
    """Return the pressure of saturated vapour, over ice below 0.01 °C and over water above.

    Parameters
    ----------
    temp_c : float or array
        Temperature, -100 to 100. [°C]

    Returns
    -------
    float or array
        Saturation pressure. [kPa]

    References
    ----------
    .. [1] ASHRAE Handbook, Fundamentals, 2017, chapter 1, eq. 5 and 6 (Hyland and Wexler 1983).
       (memory)

    Examples
    --------
    >>> round(float(saturation_pressure_kpa(20.0)), 3)
    2.339
    """
    kelvin = np.asarray(temp_c, dtype=np.float64) + _ZERO_C_K
    over_ice = np.asarray(temp_c) <= _TRIPLE_POINT_C
    return np.where(over_ice, _exponential(_OVER_ICE, kelvin), _exponential(_OVER_WATER, kelvin))


def humidity_ratio(
    temp_c: Floats, rel_humidity: Floats, pressure_kpa: float = STANDARD_PRESSURE_KPA
) -> Floats:
    """Return the mass of water vapour per mass of dry air.

    Parameters
    ----------
    temp_c : float or array
        Dry bulb. [°C]
    rel_humidity : float or array
        Relative humidity, 0 to 1. [-]
    pressure_kpa : float
        Air pressure. [kPa]

    Returns
    -------
    float or array
        Humidity ratio. [kg/kg]

    References
    ----------
    .. [1] ASHRAE Handbook, Fundamentals, 2017, chapter 1, eq. 20.  (memory)
    """
    vapour_kpa = np.multiply(rel_humidity, saturation_pressure_kpa(temp_c))
    return _MASS_RATIO * vapour_kpa / (pressure_kpa - vapour_kpa)


def rel_humidity_frac(
    temp_c: Floats, ratio: Floats, pressure_kpa: float = STANDARD_PRESSURE_KPA
) -> Floats:
    """Return the relative humidity of air of a given humidity ratio, at most 1.

    Parameters
    ----------
    temp_c : float or array
        Dry bulb. [°C]
    ratio : float or array
        Humidity ratio. [kg/kg]
    pressure_kpa : float
        Air pressure. [kPa]

    Returns
    -------
    float or array
        Relative humidity; 1 where the air cannot hold the vapour, which condenses. [-]

    References
    ----------
    See :func:`humidity_ratio`.
    """
    vapour_kpa = pressure_kpa * np.asarray(ratio) / (_MASS_RATIO + np.asarray(ratio))
    return np.minimum(vapour_kpa / saturation_pressure_kpa(temp_c), 1.0)


def enthalpy_kj_per_kg(temp_c: Floats, ratio: Floats) -> Floats:
    """Return the enthalpy of moist air per mass of dry air, zero for dry air at 0 °C.

    Parameters
    ----------
    temp_c : float or array
        Dry bulb. [°C]
    ratio : float or array
        Humidity ratio. [kg/kg]

    Returns
    -------
    float or array
        Enthalpy. [kJ/kg]

    References
    ----------
    .. [1] ASHRAE Handbook, Fundamentals, 2017, chapter 1, eq. 30.  (memory)
    """
    return 1.006 * np.asarray(temp_c) + np.asarray(ratio) * (2501.0 + 1.86 * np.asarray(temp_c))


def dew_point_c(temp_c: Floats, rel_humidity: Floats) -> Floats:
    """Return the temperature at which the vapour in the air saturates.

    Parameters
    ----------
    temp_c : float or array
        Dry bulb, -40 to 60. [°C]
    rel_humidity : float or array
        Relative humidity, above 0 and up to 1. [-]

    Returns
    -------
    float or array
        Dew point, frost point below 0 °C. [°C]

    Raises
    ------
    OutOfRangeError
        If the humidity is not above 0 and at most 1.

    References
    ----------
    See :func:`saturation_pressure_kpa`, solved for the temperature by halving.
    """
    _check_humidity(rel_humidity)
    vapour_kpa = np.multiply(rel_humidity, saturation_pressure_kpa(temp_c))
    high = np.asarray(temp_c, dtype=np.float64)
    return _halve(lambda guess: vapour_kpa - saturation_pressure_kpa(guess), high - 80.0, high)


def wet_bulb_c(
    temp_c: Floats, rel_humidity: Floats, pressure_kpa: float = STANDARD_PRESSURE_KPA
) -> Floats:
    """Return the thermodynamic wet bulb.

    Parameters
    ----------
    temp_c : float or array
        Dry bulb, -40 to 60. [°C]
    rel_humidity : float or array
        Relative humidity, above 0 and up to 1. [-]
    pressure_kpa : float
        Air pressure. [kPa]

    Returns
    -------
    float or array
        Wet bulb, over ice below 0 °C. [°C]

    Raises
    ------
    OutOfRangeError
        If the humidity is not above 0 and at most 1.

    References
    ----------
    .. [1] ASHRAE Handbook, Fundamentals, 2017, chapter 1, eq. 33 and 35 (adiabatic
       saturation), solved by halving to 1e-9 K.  (memory)

    Examples
    --------
    Air of the federal rating test, 67.5 degF and 50 %:

    >>> round(float(wet_bulb_c(19.72, 0.5)), 2)
    13.55
    """
    _check_humidity(rel_humidity)
    dry = np.asarray(temp_c, dtype=np.float64)
    ratio = humidity_ratio(dry, rel_humidity, pressure_kpa)
    return _halve(
        lambda guess: ratio - _ratio_at_wet_bulb(dry, guess, pressure_kpa),
        dry - _DEEPEST_WET_BULB_K,
        dry,
    )


def _exponential(c: tuple[float, ...], kelvin: NDArray[np.float64]) -> NDArray[np.float64]:
    powers = c[1] + kelvin * (c[2] + kelvin * (c[3] + kelvin * (c[4] + kelvin * c[5])))
    return np.exp(c[0] / kelvin + powers + c[6] * np.log(kelvin)) / 1000.0


def _ratio_at_wet_bulb(dry_c: Floats, wet_c: Floats, pressure_kpa: float) -> Floats:
    """Return the humidity ratio of air with a given dry and wet bulb."""
    saturated = humidity_ratio(wet_c, 1.0, pressure_kpa)
    drop_k = np.subtract(dry_c, wet_c)
    over_water = ((2501.0 - 2.326 * wet_c) * saturated - 1.006 * drop_k) / (
        2501.0 + 1.86 * dry_c - 4.186 * wet_c
    )
    over_ice = ((2830.0 - 0.24 * wet_c) * saturated - 1.006 * drop_k) / (
        2830.0 + 1.86 * dry_c - 2.1 * wet_c
    )
    return np.where(np.asarray(wet_c) >= 0.0, over_water, over_ice)


def _halve(short_of: Callable[[Floats], Floats], low: Floats, high: Floats) -> Floats:
    """Return where a falling function crosses zero."""
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        below = np.asarray(short_of(middle)) > 0.0
        low, high = np.where(below, middle, low), np.where(below, high, middle)
    return 0.5 * (low + high)


def _check_humidity(rel_humidity: Floats) -> None:
    given = np.asarray(rel_humidity)
    if not np.all((given > 0.0) & (given <= 1.0)):
        raise OutOfRangeError.of(
            "relative humidity", value=given if given.ndim == 0 else "partly outside",
            allowed="above 0 and at most 1", fix="write 50 % as 0.5",
        )  # fmt: skip
