"""The boundary between what people write and what the models compute with.

Every quantity of a file, form or flag passes through :func:`parse` once, on the way in, and
becomes a plain float in the unit that its name carries; :class:`UnitSystem` turns it back into
words on the way out. Nothing else in the package knows a conversion factor.

A temperature and a temperature difference convert differently: "120 degF" is a temperature,
"70 delta_degF" (or "70 degF rise") a difference.
"""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from heatersel.errors import MissingUnitError

if TYPE_CHECKING:
    import pint

__all__ = ["convert", "dimension", "heading", "parse", "to_unit"]

_DEFINITIONS = Path(__file__).with_name("trade_units.txt")
_AMOUNT = re.compile(r"^\s*([-+]?[0-9][0-9_,]*\.?[0-9]*(?:[eE][-+]?[0-9]+)?|[-+]?\.[0-9]+)\s*(.*)$")
_HEADING = re.compile(r"^\s*([A-Za-z0-9_]+)\s*(?:\[\s*([^\]]+?)\s*\])?\s*$")
_AMBIGUOUS = {
    "mbtu": "MBtu means a thousand Btu to some and a million to others; write MBH or MMBtu",
    "mbtuh": "MBtuh means a thousand Btu to some and a million to others; write MBH",
}
_SPELLINGS = {
    "°f": "degF", "°c": "degC", "btuh": "Btu/h", "btu/hr": "Btu/h", "kbtu/h": "MBH",
    "mbh": "MBH", "kwh": "kWh", "kw": "kW", "l/min": "L/min", "gal/min": "gal/min",
    "therms": "therm", "gallons": "gallon", "gallons/minute": "gal/min", "feet": "ft",
    "inches": "inch", "in": "inch", '"': "inch", "'": "ft", "amps": "A", "amp": "A",
    "watts": "W", "grains": "gpg", "mg/l": "mg/L", "liters": "L", "litres": "L", "cu ft": "ft3",
    "°": "deg", "$/kwh": "USD/kWh", "$/therm": "USD/therm", "$/gal": "USD/gal",
}  # fmt: skip


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry:
    import pint

    return pint.UnitRegistry(str(_DEFINITIONS))


@lru_cache(maxsize=512)
def _unit(text: str) -> pint.Unit:
    """Return the unit written as `text`; raise MissingUnitError if there is no such unit."""
    import pint

    plain = text.strip()
    key = plain.lower().replace(" ", "")
    if key in _AMBIGUOUS:
        raise MissingUnitError.of("unit", value=plain, fix=_AMBIGUOUS[key])
    plain = _SPELLINGS.get(key, plain)
    registry = _registry()
    try:
        return registry.parse_units(plain)
    except (pint.UndefinedUnitError, pint.DefinitionSyntaxError, ValueError, AttributeError,
            TypeError, KeyError):  # fmt: skip
        raise MissingUnitError.of(
            "unit", value=plain, fix="write a unit such as degF, gal/min, Btu/h, kW, ft or psi"
        ) from None


def dimension(unit: str) -> str:
    """Return the dimensionality of a unit as text, equal for units that convert to each other."""
    return str(_unit(unit).dimensionality)


def convert(value: float, unit: str, to: str) -> float:
    """Return `value`, given in `unit`, in the unit `to`.

    Parameters
    ----------
    value : float
        The number.
    unit, to : str
        Units of the same dimension.

    Returns
    -------
    float
        The number in the unit `to`.

    Raises
    ------
    MissingUnitError
        If either is no unit or their dimensions differ.

    Examples
    --------
    >>> round(convert(50.0, "gal", "L"), 2)
    189.27
    """
    source, target = _unit(unit), _unit(to)
    if source.dimensionality != target.dimensionality:
        raise MissingUnitError.of(
            "unit", value=unit, allowed=f"a unit that converts to {to}", fix=f"write it in {to}"
        )
    return float(_registry().Quantity(value, source).to(target).magnitude)


to_unit = convert


def parse(text: str, to: str) -> float:
    """Return the quantity written in `text`, such as "120 degF", as a float in the unit `to`.

    Parameters
    ----------
    text : str
        A number, then a unit. Thousands may carry a comma or an underscore.
    to : str
        Unit of the result.

    Returns
    -------
    float
        The amount in `to`.

    Raises
    ------
    MissingUnitError
        If there is no number, no unit, an ambiguous unit or one of another dimension.

    Examples
    --------
    >>> round(parse("40,000 Btu/h", "kW"), 3)
    11.723
    """
    match = _AMOUNT.match(text)
    if match is None:
        raise MissingUnitError.of("quantity", value=text, allowed=f"a number and a unit ({to})")
    number, unit = match.groups()
    if not unit.strip():
        raise MissingUnitError.of(
            "quantity", value=text, allowed="a number with its unit", fix=f'write "{number} {to}"'
        )
    return convert(float(number.replace(",", "").replace("_", "")), unit, to)


def heading(text: str) -> tuple[str, str]:
    """Return name and unit of a column heading such as "volume [gal]".

    The unit is empty where the heading has none. Raises MissingUnitError if the heading is not
    a name followed by an optional unit in brackets.
    """
    match = _HEADING.match(text)
    if match is None:
        raise MissingUnitError.of("heading", value=text, allowed='a name, such as "volume [gal]"')
    return match.group(1), match.group(2) or ""
