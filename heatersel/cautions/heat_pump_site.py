"""The room of a heat-pump water heater: its air, its temperature, and flammable refrigerant."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from heatersel.reference import records

__all__ = [
    "AMBIENT_RANGE_C",
    "NEAR_BEDROOM_M",
    "QUIET_DBA",
    "ROOM_ADVISED_M3",
    "ROOM_MINIMUM_M3",
    "ROOM_USUAL_M3",
    "Refrigerant",
    "refrigerant",
]

ROOM_MINIMUM_M3 = 12.743  # 450 ft³, federal efficiency-label guide for new houses (seen)
ROOM_USUAL_M3 = 19.822  # 700 ft³, same guide and programme advice (seen)
ROOM_ADVISED_M3 = 28.317  # 1000 ft³, programme advice (seen)
AMBIENT_RANGE_C = (4.44, 32.22)  # 40 to 90 degF, US Department of Energy advice (memory)
AIR_SIDE_M = 0.178  # 7 in at the air side, efficiency-label programme (seen)
NEAR_BEDROOM_M = 3.0  # common practice, no source
QUIET_DBA = 45.0  # the quietest of the labelled units (seen)

_M1_M3 = 4.0  # IEC 60335-2-40: charge up to 4 m³ x LFL needs no room (seen with R-290)
_M2_M3 = 26.0  # same: up to 26 m³ x LFL with a room area (seen: 988 g for R-290)
_US_A3_M3 = 3.0  # US limit for class A3, 3 m³ x LFL: 114 g of R-290 (seen in trade news)


@dataclass(frozen=True, slots=True, kw_only=True)
class Refrigerant:
    """Safety of a refrigerant.

    Parameters
    ----------
    name, safety_class : str
        Designation and class: A1 no flame, A2L burns slowly, A3 burns.
    lower_limit_g_per_m3 : float or None
        Lower flammable limit; None if it does not burn. [g/m³]
    """

    name: str
    safety_class: str
    lower_limit_g_per_m3: float | None

    @property
    def is_flammable(self) -> bool:
        """Whether it burns."""
        return self.lower_limit_g_per_m3 is not None

    @property
    def free_charge_g(self) -> float:
        """Charge up to which no room area is asked for (m1). [g]"""
        return _M1_M3 * (self.lower_limit_g_per_m3 or 0.0)

    @property
    def largest_charge_g(self) -> float:
        """Charge beyond which it may not stand in a room (m2, international). [g]"""
        return _M2_M3 * (self.lower_limit_g_per_m3 or 0.0)

    @property
    def us_charge_limit_g(self) -> float | None:
        """US limit for class A3 in a self-contained unit, None for other classes. [g]"""
        if self.safety_class != "A3":
            return None
        return _US_A3_M3 * (self.lower_limit_g_per_m3 or 0.0)


def refrigerant(name: str) -> Refrigerant | None:
    """Return what is known of a refrigerant, None if it is not in the table.

    Parameters
    ----------
    name : str
        Designation, such as "R-290".

    Returns
    -------
    Refrigerant or None
        Its class and limit.

    References
    ----------
    .. [1] ASHRAE Standard 34, classes and flammable limits.  (memory)
    .. [2] IEC 60335-2-40, charge limits m1 and m2.  (988 g for R-290 seen)

    Examples
    --------
    >>> propane = refrigerant("R-290")
    >>> round(propane.free_charge_g), round(propane.largest_charge_g)
    (152, 988)
    """
    return _table().get(_key(name))


def _key(name: str) -> str:
    """Return a designation without dash and blanks: data sheets write R134a and R-134a."""
    return name.upper().replace("-", "").replace(" ", "")


@lru_cache(maxsize=1)
def _table() -> dict[str, Refrigerant]:
    rows = records("safety/refrigerants", {"lower_flammable_limit": "g/m3"})
    return {
        _key(row["refrigerant"]): Refrigerant(
            name=row["refrigerant"], safety_class=row["safety_class"],
            lower_limit_g_per_m3=row["lower_flammable_limit"],
        )
        for row in rows
    }  # fmt: skip
