"""How numbers are said: the user's own units, rounded as people speak.

Faces call these and do no arithmetic of their own. Full precision stays in the results; only
what is shown is rounded.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from heatersel import units

__all__ = ["Display", "years_text"]

_US = {
    "volume": ("gal", 0, "gal"),
    "flow": ("gal/min", 1, "gal/min"),
    "heat_rate": ("Btu/h", -2, "Btu/h"),
    "length": ("ft", 0, "ft"),
    "small_length": ("inch", 1, "in"),
    "pressure": ("psi", 0, "psi"),
    "room": ("ft3", -1, "ft³"),
    "area": ("ft2", 0, "ft²"),
    "hardness": ("gpg", 0, "grain/gal"),
    "weight": ("lb", 0, "lb"),
    "loss": ("Btu/h/delta_degF", 2, "Btu/h per °F"),
}
_SI = {
    "volume": ("L", 0, "L"),
    "flow": ("L/min", 1, "L/min"),
    "heat_rate": ("kW", 1, "kW"),
    "length": ("m", 1, "m"),
    "small_length": ("mm", 0, "mm"),
    "pressure": ("kPa", 0, "kPa"),
    "room": ("m3", 0, "m³"),
    "area": ("m2", 0, "m²"),
    "hardness": ("mg/L", 0, "mg/L"),
    "weight": ("kg", 0, "kg"),
    "loss": ("W/K", 2, "W/K"),
}
_INSIDE = {
    "volume": "L",
    "flow": "L/min",
    "heat_rate": "kW",
    "length": "m",
    "small_length": "mm",
    "pressure": "kPa",
    "room": "m3",
    "area": "m2",
    "hardness": "mg/L",
    "weight": "kg",
    "loss": "W/K",
}
_SIGN = {"USD": "$", "CAD": "C$"}


def years_text(years: float) -> str:
    """Return a number of years in words.

    Examples
    --------
    >>> years_text(1), years_text(7.5)
    ('1 year', '7.5 years')
    """
    return "1 year" if years == 1 else f"{years:g} years"


@dataclass(frozen=True, slots=True)
class Display:
    """Formats SI values in a user's own system.

    Parameters
    ----------
    system : str
        "us" or "si".
    currency : str
        "USD" or "CAD".

    Examples
    --------
    >>> us = Display("us")
    >>> us.volume(189.3), us.temperature(48.889), us.flow(7.571), us.heat_rate(11.7228)
    ('50 gal', '120 °F', '2.0 gal/min', '40,000 Btu/h')
    >>> Display("si").volume(189.3)
    '189 L'
    """

    system: str = "us"
    currency: str = "USD"

    def temperature(self, temp_c: float, digits: int = 0) -> str:
        """Return a temperature."""
        shown = temp_c * 1.8 + 32.0 if self.system == "us" else temp_c
        return f"{shown:.{digits}f} {'°F' if self.system == 'us' else '°C'}"

    def rise(self, difference_k: float, digits: int = 0) -> str:
        """Return a temperature difference."""
        shown = difference_k * 1.8 if self.system == "us" else difference_k
        return f"{shown:.{digits}f} {'°F' if self.system == 'us' else '°C'}"

    def volume(self, volume_l: float) -> str:
        """Return a volume of water."""
        return self._quantity("volume", volume_l)

    def small_volume(self, volume_l: float) -> str:
        """Return a volume of a few litres, to a tenth."""
        return self._quantity("volume", volume_l, more_digits=1)

    def flow(self, flow_l_per_min: float) -> str:
        """Return a flow of water."""
        return self._quantity("flow", flow_l_per_min)

    def heat_rate(self, rate_kw: float) -> str:
        """Return a burner's input."""
        return self._quantity("heat_rate", rate_kw)

    def length(self, length_m: float) -> str:
        """Return a length."""
        return self._quantity("length", length_m)

    def small_length(self, length_mm: float) -> str:
        """Return a small length, such as a clearance."""
        return self._quantity("small_length", length_mm)

    def pressure(self, pressure_kpa: float) -> str:
        """Return a gauge pressure."""
        return self._quantity("pressure", pressure_kpa)

    def room(self, volume_m3: float) -> str:
        """Return a room's volume."""
        return self._quantity("room", volume_m3)

    def area(self, area_m2: float) -> str:
        """Return a floor area."""
        return self._quantity("area", area_m2)

    def hardness(self, hardness_mg_per_l: float) -> str:
        """Return a water hardness."""
        return self._quantity("hardness", hardness_mg_per_l)

    def weight(self, weight_kg: float) -> str:
        """Return a weight."""
        return self._quantity("weight", weight_kg)

    def loss(self, loss_w_per_k: float) -> str:
        """Return the loss of a store per degree."""
        return self._quantity("loss", loss_w_per_k)

    def power(self, power_kw: float) -> str:
        """Return an electric power."""
        return f"{power_kw:.3g} kW"

    def energy(self, energy_kwh: float, source: str) -> str:
        """Return an amount of energy as it is billed where that unit is the same everywhere."""
        if self.system == "us" and source == "natural_gas":
            return f"{units.convert(energy_kwh, 'kWh', 'therm'):,.0f} therm"
        return f"{energy_kwh:,.0f} kWh"

    def heater_name(self, name: str) -> str:
        """Return the name of a heater; the trade's nominal gallons and kBtu/h in SI where asked.

        Examples
        --------
        >>> Display("si").heater_name("Gas tank, 50 gal")
        'Gas tank, 189 L'
        """
        if self.system == "us":
            return name
        litres = re.sub(r"(\d+) gal\b", lambda m: f"{int(m[1]) * 3.785:.0f} L", name)
        return re.sub(r"(\d+) kBtu/h", lambda m: f"{int(m[1]) * 0.29307:.0f} kW", litres)

    def measure(self, value: float, unit: str) -> str:
        """Return a value whose inside unit is "L", "L/min", "K", "degC", "kW" or "W/K"."""
        say = {
            "L": self.volume,
            "L/min": self.flow,
            "K": self.rise,
            "degC": self.temperature,
            "kW": self.heat_rate,
            "W/K": self.loss,
        }
        return say[unit](value) if unit in say else f"{value:,.4g} {unit}".strip()

    def money(self, amount: float, step: float = 1.0) -> str:
        """Return an amount of money, rounded to `step`."""
        rounded = round(amount / step) * step
        digits = 0 if step >= 1.0 else 2 if step >= 0.01 else 3
        sign = "-" if rounded < 0 else ""
        return f"{sign}{_SIGN.get(self.currency, self.currency + ' ')}{abs(rounded):,.{digits}f}"

    def _quantity(self, kind: str, value: float, more_digits: int = 0) -> str:
        unit, digits, label = (_US if self.system == "us" else _SI)[kind]
        digits += more_digits
        shown = round(units.convert(value, _INSIDE[kind], unit), digits)
        return f"{shown:,.{max(digits, 0)}f} {label}"
