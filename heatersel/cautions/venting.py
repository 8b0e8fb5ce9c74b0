"""Vents: which kind a heater needs, what stands there, and how far its terminal must keep off."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from heatersel.cautions.jurisdiction import Country
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource, Heater, HeaterClass, VentType
from heatersel.job.models import VentPresent
from heatersel.reference import Record, records

__all__ = [
    "MAX_FLUE_RATIO",
    "Clearance",
    "VentCategory",
    "flue_ratio",
    "needed_ratio",
    "terminal_clearance",
    "vent_category",
    "vent_serves",
]

MAX_FLUE_RATIO = 7.0
"""Largest flue area over draft-hood outlet area for one draft-hood heater: 2018 IFGC table
504.2(3), maximum internal area (seen)."""

_TOLERANCE_M = 1e-3

_CONDENSING = (HeaterClass.CONDENSING_STORAGE, HeaterClass.TANKLESS_CONDENSING)


class VentCategory(StrEnum):
    """Pressure and wetness of a gas heater's vent."""

    I = "I"  # noqa: E741  the roman numeral of the standard
    III = "III"
    IV = "IV"
    DILUTED = "fan-diluted"
    OIL = "oil"
    OIL_DIRECT = "oil, direct vent"
    NONE = "none"


def vent_category(heater: Heater) -> VentCategory:
    """Return the vent category of a heater.

    Category I: no positive pressure, dry, on a B-vent or lined chimney. III: positive, dry, on
    sealed special vent. IV: positive, wet, on the plastic or stainless that the instructions
    name. Roughly, above 83 % combustion efficiency flue gas condenses. A power-vented tank that
    does not condense stands beside these categories: its fan mixes room air into the flue gas, so
    that it leaves cool enough for the plastic that the instructions name.

    Parameters
    ----------
    heater : Heater
        The heater.

    Returns
    -------
    VentCategory
        Its category.

    References
    ----------
    .. [1] Vent categories of ANSI Z21.13 and NFPA 54; UL 1738 for III, 2012 IFGC 502.1 for
       plastic under IV.  (seen)
    .. [2] Power-vented tanks on the plastic that their instructions name: common practice, no
       source.
    """
    if not heater.burns_fuel:
        return VentCategory.NONE
    if heater.energy_source is EnergySource.FUEL_OIL:
        sealed = heater.vent_type is VentType.DIRECT_VENT
        return VentCategory.OIL_DIRECT if sealed else VentCategory.OIL
    if heater.vent_type is VentType.DRAFT_HOOD:
        return VentCategory.I
    if heater.heater_class in _CONDENSING:
        return VentCategory.IV
    if heater.vent_type is VentType.POWER_VENT and not heater.is_tankless:
        return VentCategory.DILUTED
    return VentCategory.III


_SERVES = {
    VentPresent.MASONRY_CHIMNEY: {VentCategory.I, VentCategory.OIL},
    VentPresent.LINED_CHIMNEY: {VentCategory.I, VentCategory.OIL},
    VentPresent.B_VENT: {VentCategory.I},
    VentPresent.PLASTIC_VENT: {VentCategory.IV, VentCategory.DILUTED},
    VentPresent.STAINLESS_VENT: {
        VentCategory.III,
        VentCategory.IV,
        VentCategory.DILUTED,
        VentCategory.OIL_DIRECT,
    },
    VentPresent.NONE: set(),
}


def vent_serves(present: VentPresent, heater: Heater) -> bool:
    """Return whether the vent that stands there is of the kind that a heater needs.

    Its size, state and listing for this heater still have to be checked.

    Parameters
    ----------
    present : VentPresent
        The vent of the house.
    heater : Heater
        The new heater.

    Returns
    -------
    bool
        True for a heater without flue gas, or if the kind of vent fits its category.
    """
    category = vent_category(heater)
    return category is VentCategory.NONE or category in _SERVES[present]


def flue_ratio(flue_area_cm2: float, hood_mm: float) -> float:
    """Return the area of a flue over that of a round draft-hood outlet.

    Parameters
    ----------
    flue_area_cm2 : float
        Inside area of the flue. [cm²]
    hood_mm : float
        Diameter of the outlet, above 0. [mm]

    Returns
    -------
    float
        Ratio of areas. [-]

    Raises
    ------
    OutOfRangeError
        If the diameter is not above 0.

    Examples
    --------
    >>> round(flue_ratio(412.9, 76.2), 1)  # 8 x 8 in flue, 3 in hood
    9.1
    """
    if hood_mm <= 0.0:
        raise OutOfRangeError.of("draft hood", value=f"{hood_mm:g} mm", allowed="above 0")
    hood_cm2 = math.pi / 4.0 * (hood_mm / 10.0) ** 2
    return flue_area_cm2 / hood_cm2


def needed_ratio(hood_mm: float, other_mm: float = 0.0) -> float:
    """Return the least area of a flue over that of a heater's draft-hood outlet.

    Parameters
    ----------
    hood_mm : float
        Diameter of the heater's outlet, above 0. [mm]
    other_mm : float
        Diameter of another appliance's outlet on the same flue; 0 if there is none. [mm]

    Returns
    -------
    float
        1 alone; for two the larger outlet and half the smaller. [-]

    References
    ----------
    .. [1] IFGC 503.6.10 and NFPA 54 12.6.3, vents that serve one or two draft-hood appliances.
       (memory)

    Examples
    --------
    >>> needed_ratio(75.0), needed_ratio(75.0, 75.0)  # a second outlet as wide: half as much more
    (1.0, 1.5)
    """
    smaller, larger = sorted((hood_mm**2, other_mm**2))
    return (larger + 0.5 * smaller) / hood_mm**2


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """How far a vent terminal keeps from something.

    Parameters
    ----------
    distance_m : float
        In any direction. [m]
    above_m : float or None
        Height of the terminal above the thing that does instead; None where none does. [m]
    """

    distance_m: float
    above_m: float | None = None

    def holds(self, distance_m: float, above_m: float | None) -> bool:
        """Return whether a terminal is far enough away, or known to lie high enough above."""
        if distance_m >= self.distance_m - _TOLERANCE_M:
            return True
        if self.above_m is None or above_m is None:
            return False
        return above_m >= self.above_m - _TOLERANCE_M


def terminal_clearance(
    item: str, heater: Heater, country: Country, code_year: int
) -> Clearance | None:
    """Return how far a side-wall vent terminal must keep from something.

    Parameters
    ----------
    item : str
        "window" (any opening), "mechanical_inlet", "regulator", "grade" or "walkway".
    heater : Heater
        A power-vented or direct-vent heater.
    country : Country
        Whose table.
    code_year : int
        Edition; US tables from 2018 stop at 150 000 Btu/h for direct vents.

    Returns
    -------
    Clearance or None
        None where the code leaves it to the heater's instructions.

    References
    ----------
    .. [1] United States: NFPA 54 and IFGC 503.8; 2018 IRC table G2427.8.  (seen in appliance
       instructions that quote them, but for the break at 150 000 Btu/h, memory)
    .. [2] Canada: CSA B149.1 clause 8.14.8.  (seen as quoted)
    """
    vent, input_kw = heater.vent_type.value, heater.input_kw / heater.units  # one terminal each
    fitting = [
        row
        for row in _clearances()
        if row["country"] == country.value
        and row["item"] == item
        and row["vent"] in (vent, "any")
        and row["input_from"] < input_kw - 1e-6 <= row["input_to"]
        and (row["since"] or 0) <= code_year
    ]
    if not fitting:
        return None
    row = max(fitting, key=lambda row: row["since"] or 0)
    if row["clearance"] is None:
        return None
    return Clearance(distance_m=row["clearance"], above_m=row["above"])


@lru_cache(maxsize=1)
def _clearances() -> tuple[Record, ...]:
    return records(
        "safety/vent_clearances",
        {"input_from": "kW", "input_to": "kW", "clearance": "m", "above": "m", "since": ""},
    )
