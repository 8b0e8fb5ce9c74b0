"""Vents: which kind a heater needs, what stands there, and how far its terminal must keep off."""

from __future__ import annotations

import math
from enum import StrEnum
from functools import lru_cache

from heatersel.cautions.jurisdiction import Country
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import Heater, HeaterClass, VentType
from heatersel.job.models import VentPresent
from heatersel.reference import Record, records

__all__ = [
    "MAX_FLUE_RATIO",
    "VentCategory",
    "flue_ratio",
    "terminal_clearance_m",
    "vent_category",
    "vent_serves",
]

MAX_FLUE_RATIO = 7.0
"""Largest flue area over draft-hood outlet area for one draft-hood heater: 2018 IFGC table
504.2(3), maximum internal area (seen)."""

_PLASTIC_WET = (HeaterClass.CONDENSING_STORAGE, HeaterClass.TANKLESS_CONDENSING)


class VentCategory(StrEnum):
    """Pressure and wetness of a gas heater's vent."""

    I = "I"  # noqa: E741  the roman numeral of the standard
    III = "III"
    IV = "IV"
    OIL = "oil"
    NONE = "none"


def vent_category(heater: Heater) -> VentCategory:
    """Return the vent category of a heater.

    Category I: no positive pressure, dry, on a B-vent or lined chimney. III: positive, dry, on
    sealed special vent. IV: positive, wet, on the plastic or stainless that the instructions
    name. Roughly, above 83 % combustion efficiency flue gas condenses.

    Parameters
    ----------
    heater : Heater
        The heater.

    Returns
    -------
    VentCategory
        Its category; power-vented storage heaters that do not condense are counted as III.

    References
    ----------
    .. [1] Vent categories of ANSI Z21.13 and NFPA 54; UL 1738 for III, 2012 IFGC 502.1 for
       plastic under IV.  (seen)
    """
    if not heater.burns_fuel:
        return VentCategory.NONE
    if heater.vent_type is VentType.BAROMETRIC:
        return VentCategory.OIL
    if heater.vent_type is VentType.DRAFT_HOOD:
        return VentCategory.I
    return VentCategory.IV if heater.heater_class in _PLASTIC_WET else VentCategory.III


_SERVES = {
    VentPresent.MASONRY_CHIMNEY: {VentCategory.I, VentCategory.OIL},
    VentPresent.LINED_CHIMNEY: {VentCategory.I, VentCategory.OIL},
    VentPresent.B_VENT: {VentCategory.I},
    VentPresent.PLASTIC_VENT: {VentCategory.IV},
    VentPresent.STAINLESS_VENT: {VentCategory.III, VentCategory.IV},
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


def terminal_clearance_m(
    item: str, heater: Heater, country: Country, code_year: int
) -> float | None:
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
    float or None
        Distance; None where the code leaves it to the heater's instructions. [m]

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
    return max(fitting, key=lambda row: row["since"] or 0)["clearance"] if fitting else None


@lru_cache(maxsize=1)
def _clearances() -> tuple[Record, ...]:
    return records(
        "safety/vent_clearances",
        {"input_from": "kW", "input_to": "kW", "clearance": "m", "since": ""},
    )
