"""Density, heat capacity and enthalpy of liquid water from 0 to 99 °C.

The values are read from datasets/properties/water.csv (one row per kelvin at 300 kPa, a usual
house pressure) and interpolated linearly. Every function takes a float or an array and returns
the same shape. Against the full equation of state the interpolation is off by less than
3e-6 kg/L, 2e-4 kJ/(kg K) and 6e-4 kJ/kg; the pressure between 100 and 600 kPa matters less
than 0.02 % for density and 0.3 kJ/kg for enthalpy (which cancels in differences).
"""

from __future__ import annotations

from functools import lru_cache
from typing import overload

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import OutOfRangeError
from heatersel.reference import records

__all__ = [
    "WATER_KWH_PER_L_K",
    "density_kg_per_l",
    "enthalpy_kj_per_kg",
    "heat_capacity_kj_per_kg_k",
    "heat_kwh",
    "mixing_hot_fraction",
]

Floats = NDArray[np.float64]

WATER_KWH_PER_L_K = 0.00114665
"""Heat per litre (metered hot, at 51.67 °C) and kelvin between 14.44 and 51.67 °C, the federal
test's 58 and 125 degF: enthalpy difference times density, a mean over that rise. For bulk
sums; within 1.4 % of :func:`heat_kwh` for
any pair between 2 and 65 °C that is 20 K apart or more."""

_KJ_PER_KWH = 3600.0
_COLUMNS = {
    "temperature": "degC",
    "density": "kg/L",
    "heat_capacity": "kJ/kg/K",
    "enthalpy": "kJ/kg",
}


@overload
def density_kg_per_l(temp_c: float) -> float: ...
@overload
def density_kg_per_l(temp_c: Floats) -> Floats: ...
def density_kg_per_l(temp_c: float | Floats) -> float | Floats:
    """Return the density of liquid water.

    Parameters
    ----------
    temp_c : float or array
        Water temperature, 0 to 99. [°C]

    Returns
    -------
    float or array
        Density at 300 kPa. [kg/L]

    Raises
    ------
    OutOfRangeError
        If a temperature lies outside 0 to 99 °C.

    References
    ----------
    .. [1] Wagner, W., Pruss, A., "The IAPWS Formulation 1995 for the Thermodynamic Properties
       of Ordinary Water Substance", J. Phys. Chem. Ref. Data 31 (2002) 387.  (memory; the
       table was computed from it)

    Examples
    --------
    >>> round(density_kg_per_l(60.0), 4)
    0.9833
    """
    return _lookup("density", temp_c)


@overload
def heat_capacity_kj_per_kg_k(temp_c: float) -> float: ...
@overload
def heat_capacity_kj_per_kg_k(temp_c: Floats) -> Floats: ...
def heat_capacity_kj_per_kg_k(temp_c: float | Floats) -> float | Floats:
    """Return the isobaric heat capacity of liquid water.

    Parameters
    ----------
    temp_c : float or array
        Water temperature, 0 to 99. [°C]

    Returns
    -------
    float or array
        Heat capacity at 300 kPa. [kJ/(kg K)]

    Raises
    ------
    OutOfRangeError
        If a temperature lies outside 0 to 99 °C.

    References
    ----------
    See :func:`density_kg_per_l`.

    Examples
    --------
    >>> round(heat_capacity_kj_per_kg_k(40.0), 3)
    4.179
    """
    return _lookup("heat_capacity", temp_c)


@overload
def enthalpy_kj_per_kg(temp_c: float) -> float: ...
@overload
def enthalpy_kj_per_kg(temp_c: Floats) -> Floats: ...
def enthalpy_kj_per_kg(temp_c: float | Floats) -> float | Floats:
    """Return the specific enthalpy of liquid water, zero for the liquid at the triple point.

    Parameters
    ----------
    temp_c : float or array
        Water temperature, 0 to 99. [°C]

    Returns
    -------
    float or array
        Enthalpy at 300 kPa. [kJ/kg]

    Raises
    ------
    OutOfRangeError
        If a temperature lies outside 0 to 99 °C.

    References
    ----------
    See :func:`density_kg_per_l`.

    Examples
    --------
    >>> round(enthalpy_kj_per_kg(50.0) - enthalpy_kj_per_kg(10.0), 1)
    167.3
    """
    return _lookup("enthalpy", temp_c)


@overload
def heat_kwh(  # type: ignore[overload-overlap]  # all floats: the narrower answer is right
    volume_l: float, from_c: float, to_c: float
) -> float: ...
@overload
def heat_kwh(volume_l: float | Floats, from_c: float | Floats, to_c: float | Floats) -> Floats: ...
def heat_kwh(
    volume_l: float | Floats, from_c: float | Floats, to_c: float | Floats
) -> float | Floats:
    """Return the heat in water that was warmed and then metered.

    A meter on the hot side counts litres at the delivered temperature, so their mass follows
    from the density there; the heat is the difference of enthalpy.

    Parameters
    ----------
    volume_l : float or array
        Volume as metered at `to_c`. [L]
    from_c : float or array
        Temperature before, such as the inlet, 0 to 99. [°C]
    to_c : float or array
        Temperature delivered, 0 to 99. [°C]

    Returns
    -------
    float or array
        Heat, negative if the water was cooled. [kWh]

    Raises
    ------
    OutOfRangeError
        If a temperature lies outside 0 to 99 °C.

    References
    ----------
    See :func:`density_kg_per_l`.

    Examples
    --------
    >>> round(heat_kwh(100.0, 10.0, 50.0), 3)
    4.591
    """
    rise_kj_per_kg = enthalpy_kj_per_kg(to_c) - enthalpy_kj_per_kg(from_c)
    return volume_l * density_kg_per_l(to_c) * rise_kj_per_kg / _KJ_PER_KWH


@overload
def mixing_hot_fraction(  # type: ignore[overload-overlap]  # as for heat_kwh
    mixed_c: float, hot_c: float, cold_c: float
) -> float: ...
@overload
def mixing_hot_fraction(
    mixed_c: float | Floats, hot_c: float | Floats, cold_c: float | Floats
) -> Floats: ...
def mixing_hot_fraction(
    mixed_c: float | Floats, hot_c: float | Floats, cold_c: float | Floats
) -> float | Floats:
    """Return the share of hot water in a mix, clipped to 0 to 1.

    Parameters
    ----------
    mixed_c : float or array
        Temperature wanted at the fixture. [°C]
    hot_c : float or array
        Temperature of the hot supply. [°C]
    cold_c : float or array
        Temperature of the cold supply. [°C]

    Returns
    -------
    float or array
        Share by volume; 1 where the hot supply is no warmer than wanted, which also means
        that the request is met only in part, 0 where the cold supply is warm enough. [-]

    Notes
    -----
    (mixed - cold) / (hot - cold): heat capacity and density are taken as equal, which is
    within 0.4 % of the enthalpy balance up to 60 °C.

    References
    ----------
    .. [1] Energy balance of two streams; the plumbing form is in ASHRAE Handbook, HVAC
       Applications, "Service Water Heating".  (memory)

    Examples
    --------
    >>> round(mixing_hot_fraction(40.56, 51.67, 14.44), 4)
    0.7016
    """
    rise_k = np.subtract(hot_c, cold_c)
    wanted_k = np.subtract(mixed_c, cold_c)
    mixes = (wanted_k > 0.0) & (wanted_k < rise_k)
    share = np.where(mixes, wanted_k, wanted_k > 0.0) / np.where(mixes, rise_k, 1.0)
    return float(share) if share.ndim == 0 else share


@lru_cache(maxsize=1)
def _table() -> dict[str, Floats]:
    """Return the columns of the shipped table as arrays."""
    rows = records("properties/water", _COLUMNS)
    return {name: np.array([row[name] for row in rows]) for name in _COLUMNS}


def _lookup(column: str, temp_c: float | Floats) -> float | Floats:
    return _at(column, temp_c) if isinstance(temp_c, float) else _interpolated(column, temp_c)


@lru_cache(maxsize=4096)  # setpoints and the inlets of a place come again for every heater
def _at(column: str, temp_c: float) -> float | Floats:
    return _interpolated(column, temp_c)


def _interpolated(column: str, temp_c: float | Floats) -> float | Floats:
    table = _table()
    grid = table["temperature"]
    value = np.interp(temp_c, grid, table[column], left=np.nan, right=np.nan)
    if np.isnan(value).any():
        raise OutOfRangeError.of(
            "water temperature", value=f"{_worst(temp_c, grid)} °C",
            allowed=f"{grid[0]:.0f} to {grid[-1]:.0f} °C",
            fix="if the figure is in °F, give it as degF",
        )  # fmt: skip
    return float(value) if np.ndim(temp_c) == 0 else value


def _worst(temp_c: float | Floats, grid: Floats) -> str:
    """Return the first temperature outside the table, as text."""
    values = np.atleast_1d(np.asarray(temp_c, dtype=float))
    outside = values[~((values >= grid[0]) & (values <= grid[-1]))]
    return f"{outside[0]:g}"
