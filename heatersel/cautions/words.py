"""Amounts as people say them on a site visit: small volumes, near distances, short times.

Rounding happens here and nowhere else in the cautions; the numbers of a caution stay exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from heatersel import units
from heatersel.display import Display

__all__ = ["Words", "duration", "factor"]

_SMALL_L = 20.0  # below this a volume is said with a decimal
_NEAR_M = 1.3  # below this a length is said in inches or centimetres
_REACH_M = 3.0  # up to here the trade measures in inches
_SMALL_ROOM_M3 = 28.3  # 1000 ft3; below this a room is said to the foot


@lru_cache(maxsize=256)
def factor(unit: str, to: str) -> float:
    """Return how many `to` one `unit` is, for units without an offset."""
    return units.convert(1.0, unit, to)


@dataclass(frozen=True, slots=True)
class Words(Display):
    """The display of a job, with the amounts that only a site visit meets.

    Examples
    --------
    >>> Words("us").volume(3.2), Words("us").length(0.9144), Words("si").opening(645.2)
    ('0.8 gal', '36 in', '645 cm²')
    >>> Words("us").clearance(0.2286), Words("si").clearance(0.2286), Words("us").room(12.72)
    ('9.0 in', '0.23 m', '449 ft³')
    """

    def volume(self, volume_l: float) -> str:
        """Return a volume of water; a small one with a decimal."""
        if volume_l >= _SMALL_L:
            return Display.volume(self, volume_l)
        return self._pick(volume_l, ("L", "gal", "gal", 1), ("L", "L", "L", 1))

    def length(self, length_m: float) -> str:
        """Return a length; a short one in inches or centimetres."""
        if length_m >= _NEAR_M:
            return Display.length(self, length_m)
        return self._pick(length_m, ("m", "inch", "in", 0), ("m", "cm", "cm", 0))

    def clearance(self, length_m: float) -> str:
        """Return a length as the trade measures it: inches, then feet; metres."""
        us = ("m", "inch", "in", 1) if length_m <= _REACH_M else ("m", "ft", "ft", 1)
        return self._pick(length_m, us, ("m", "m", "m", 2))

    def room(self, volume_m3: float) -> str:
        """Return a room's volume, a small one exactly."""
        if volume_m3 >= _SMALL_ROOM_M3:
            return Display.room(self, volume_m3)
        return self._pick(volume_m3, ("m3", "ft3", "ft³", 0), ("m3", "m3", "m³", 1))

    def opening(self, area_cm2: float) -> str:
        """Return the area of an air opening or flue."""
        return self._pick(area_cm2, ("cm2", "in2", "in²", 0), ("cm2", "cm2", "cm²", 0))

    def _pick(
        self, value: float, us: tuple[str, str, str, int], si: tuple[str, str, str, int]
    ) -> str:
        inside, unit, sign, decimals = us if self.system == "us" else si
        return f"{value * factor(inside, unit):,.{decimals}f} {sign}"


def duration(seconds: float) -> str:
    """Return a time as people say it: "3 seconds", "2.5 minutes", "2 hours".

    Examples
    --------
    >>> duration(150.0), duration(1.0), duration(0.5)
    ('2.5 minutes', '1 second', 'half a second')
    """
    if seconds < 0.75:
        return "half a second"
    for size, unit, limit in ((1.0, "second", 90.0), (60.0, "minute", 5400.0)):
        if seconds < limit:
            return _count(seconds / size, unit)
    return _count(seconds / 3600.0, "hour")


def _count(amount: float, unit: str) -> str:
    shown = round(amount * 2.0) / 2.0 if amount < 5.0 else round(amount)
    return f"{shown:g} {unit}" if shown == 1 else f"{shown:g} {unit}s"
