"""Water that expands on heating: how much, and what tank takes it up.

A house is *closed* where a check valve, a pressure regulator or a backflow preventer keeps
warmed water from pushing back into the main. Pressures in arguments are gauge pressures.
"""

from __future__ import annotations

import math

from heatersel.errors import OutOfRangeError
from heatersel.water import density_kg_per_l

__all__ = [
    "MAX_STATIC_CANADA_KPA",
    "MAX_STATIC_US_KPA",
    "RELIEF_KPA",
    "SIZING_CEILING_KPA",
    "acceptance_factor",
    "atmospheric_kpa",
    "expansion_l",
    "expansion_tank_l",
]

MAX_STATIC_US_KPA = 551.581  # 80 psi, IRC P2903.3.1 (2021), IPC 604.8, UPC 608.2 (seen)
MAX_STATIC_CANADA_KPA = 550.0  # NPC 2.6.3.3 (memory)
RELIEF_KPA = 1034.214  # 150 psi, IRC P2804.3, IPC 504.4, UPC 608.4 (seen)
SIZING_CEILING_KPA = 930.792  # 135 psi, a tenth below the relief setting (seen)

_SEA_LEVEL_KPA = 101.353  # 14.7 psi, the trade's round figure


def atmospheric_kpa(elevation_m: float = 0.0) -> float:
    """Return the air pressure at an elevation, from the trade's 14.7 psi at sea level.

    Parameters
    ----------
    elevation_m : float
        Height above sea level, -500 to 6000. [m]

    Returns
    -------
    float
        Absolute air pressure. [kPa]

    Notes
    -----
    p = p0 (1 - 2.25577e-5 h)^5.2559, the standard atmosphere.

    References
    ----------
    .. [1] ICAO Standard Atmosphere, as in ASHRAE Handbook Fundamentals, "Psychrometrics",
       equation for pressure with altitude.  (memory)
    """
    return _SEA_LEVEL_KPA * math.pow(1.0 - 2.25577e-5 * elevation_m, 5.2559)


def expansion_l(volume_l: float, cold_c: float, hot_c: float) -> float:
    """Return by how much a volume of water grows when it is heated.

    Parameters
    ----------
    volume_l : float
        Volume of the store, filled cold. [L]
    cold_c, hot_c : float
        Temperature before and after, hot not below cold. [°C]

    Returns
    -------
    float
        Growth, of water as it is at the cold temperature. [L]

    Raises
    ------
    OutOfRangeError
        If hot is below cold, or a temperature lies outside 0 to 99 °C.

    Notes
    -----
    V (rho_cold / rho_hot - 1). The tank's own growth, a tenth of this or less, is left out,
    which errs on the large side.

    Examples
    --------
    >>> round(expansion_l(189.271, 4.444, 60.0), 2)
    3.23
    """
    if hot_c < cold_c:
        raise OutOfRangeError.of(
            "hot temperature", value=f"{hot_c:g} °C", allowed=f"at least {cold_c:g} °C"
        )
    return volume_l * (density_kg_per_l(cold_c) / density_kg_per_l(hot_c) - 1.0)


def acceptance_factor(
    supply_kpa: float, limit_kpa: float, precharge_kpa: float, elevation_m: float = 0.0
) -> float:
    """Return the share of an expansion tank's volume that takes up water.

    Parameters
    ----------
    supply_kpa : float
        Static pressure of the house. [kPa]
    limit_kpa : float
        Highest pressure allowed while the water expands. [kPa]
    precharge_kpa : float
        Air pressure of the empty tank. [kPa]
    elevation_m : float
        Height above sea level. [m]

    Returns
    -------
    float
        Share of the volume; zero or less where the pressures leave no room. [-]

    Notes
    -----
    Pp/Ps - Pp/Pm in absolute pressures (Boyle's law at constant air temperature). With the
    precharge equal to the supply this is 1 - Ps/Pm.

    References
    ----------
    .. [1] "Thermal expansion tanks, part 2: sizing" (2015), trade article; its example of
       2 gal at 80 and 135 psi is reproduced.  (seen)
    """
    air = atmospheric_kpa(elevation_m)
    charge = precharge_kpa + air
    return charge / (supply_kpa + air) - charge / (limit_kpa + air)


def expansion_tank_l(
    growth_l: float,
    supply_kpa: float,
    limit_kpa: float = MAX_STATIC_US_KPA,
    precharge_kpa: float | None = None,
    elevation_m: float = 0.0,
) -> float:
    """Return the smallest expansion tank that takes up the growth below the pressure limit.

    Parameters
    ----------
    growth_l : float
        From :func:`expansion_l`. [L]
    supply_kpa, limit_kpa : float
        Static pressure and highest pressure allowed. [kPa]
    precharge_kpa : float or None
        Air pressure of the empty tank; None for a tank charged to the supply. [kPa]
    elevation_m : float
        Height above sea level. [m]

    Returns
    -------
    float
        Total volume of the tank. [L]

    Raises
    ------
    OutOfRangeError
        If the supply is at or above the limit, or the precharge is above the supply: the tank
        cannot work, and the pressure must be reduced or the charge corrected first.

    Notes
    -----
    On the 80 psi basis a house stays within the code's static limit; sizing on 135 or 150 psi
    gives the small tanks of catalogues. State the basis with the answer.

    Examples
    --------
    >>> round(expansion_tank_l(3.229, supply_kpa=413.685), 1)  # 60 psi, limit 80 psi
    15.3
    """
    charge = supply_kpa if precharge_kpa is None else precharge_kpa
    if supply_kpa >= limit_kpa:
        raise OutOfRangeError.of(
            "static pressure", value=f"{supply_kpa:.0f} kPa", allowed=f"below {limit_kpa:.0f} kPa",
            fix="fit a pressure regulator first",
        )  # fmt: skip
    if charge > supply_kpa:
        raise OutOfRangeError.of(
            "precharge", value=f"{charge:.0f} kPa", allowed=f"up to {supply_kpa:.0f} kPa",
            fix="let air out until it equals the house pressure",
        )  # fmt: skip
    return growth_l / acceptance_factor(supply_kpa, limit_kpa, charge, elevation_m)
