"""Amounts as people say them, in the units that the job is shown in.

Rounding happens here and nowhere else in the cautions; the numbers of a caution stay exact.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from heatersel import units

__all__ = ["Words", "duration", "factor"]

_KINDS: dict[str, tuple[tuple[str, str, int], tuple[str, str, int]]] = {
    # SI unit: (US unit, its sign, decimals), (SI unit, its sign, decimals)
    "degC": (("degF", "°F", 0), ("degC", "°C", 0)),
    "L": (("gal", "gal", 0), ("L", "L", 0)),
    "small L": (("gal", "gal", 1), ("L", "L", 1)),
    "L/min": (("gal/min", "gal/min", 1), ("L/min", "L/min", 1)),
    "m": (("ft", "ft", 0), ("m", "m", 1)),
    "small m": (("inch", "in", 0), ("cm", "cm", 0)),
    "m3": (("ft3", "ft³", 0), ("m3", "m³", 0)),
    "m2": (("ft2", "ft²", 0), ("m2", "m²", 0)),
    "cm2": (("in2", "in²", 0), ("cm2", "cm²", 0)),
    "kPa": (("psi", "psi", 0), ("kPa", "kPa", 0)),
    "kg": (("lb", "lb", 0), ("kg", "kg", 0)),
    "mg/L": (("gpg", "grain/gal", 0), ("mg/L", "mg/L", 0)),
}


@lru_cache(maxsize=256)
def factor(unit: str, to: str) -> float:
    """Return how many `to` one `unit` is, for units without an offset."""
    return units.convert(1.0, unit, to)


@lru_cache(maxsize=64)
def _line(unit: str, to: str) -> tuple[float, float]:
    zero = units.convert(0.0, unit, to)
    return zero, units.convert(1.0, unit, to) - zero


@dataclass(frozen=True, slots=True)
class Words:
    """Turns SI amounts into text for one unit system.

    Parameters
    ----------
    system : str
        "us" or "si".
    """

    system: str

    @property
    def _column(self) -> int:
        return 0 if self.system == "us" else 1

    def _say(self, kind: str, value: float) -> str:
        unit, sign, decimals = _KINDS[kind][self._column]
        zero, slope = _line(kind.removeprefix("small "), unit)
        return f"{zero + slope * value:,.{decimals}f} {sign}"

    def temperature(self, temp_c: float) -> str:
        """Return a temperature, "120 °F"."""
        return self._say("degC", temp_c)

    def volume(self, volume_l: float) -> str:
        """Return a volume of water; below 20 L with one decimal."""
        return self._say("L" if volume_l >= 20.0 else "small L", volume_l)

    def flow(self, flow_l_per_min: float) -> str:
        """Return a flow."""
        return self._say("L/min", flow_l_per_min)

    def length(self, length_m: float) -> str:
        """Return a length; below 1.3 m in inches or centimetres."""
        return self._say("m" if length_m >= 1.3 else "small m", length_m)

    def room(self, volume_m3: float) -> str:
        """Return the volume of a room."""
        return self._say("m3", volume_m3)

    def floor(self, area_m2: float) -> str:
        """Return a floor area."""
        return self._say("m2", area_m2)

    def opening(self, area_cm2: float) -> str:
        """Return the area of an opening or flue."""
        return self._say("cm2", area_cm2)

    def pressure(self, pressure_kpa: float) -> str:
        """Return a water pressure."""
        return self._say("kPa", pressure_kpa)

    def mass(self, mass_kg: float) -> str:
        """Return a mass."""
        return self._say("kg", mass_kg)

    def hardness(self, hardness_mg_per_l: float) -> str:
        """Return a water hardness."""
        return self._say("mg/L", hardness_mg_per_l)

    def burner(self, input_kw: float) -> str:
        """Return a burner's input: Btu/h to the nearest hundred, or kW."""
        if self._column:
            return f"{input_kw:.1f} kW"
        return f"{round(input_kw * factor('kW', 'Btu/h'), -2):,.0f} Btu/h"


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
