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
from typing import TYPE_CHECKING, Any

from heatersel.errors import MissingUnitError

if TYPE_CHECKING:
    import pint

__all__ = ["convert", "dimension", "heading", "parse", "to_unit"]

_DEFINITIONS = Path(__file__).with_name("trade_units.txt")
_NUMBER = r"(?:[0-9]{1,3}(?:[,_][0-9]{3})+|[0-9]+)(?:\.[0-9]*)?|\.[0-9]+"
_FRACTION = r"(?:([0-9]+)[ -])?([0-9]+)/([0-9]+)"
_AMOUNT = re.compile(rf"([-+]?(?:{_NUMBER})(?:[eE][-+]?[0-9]{{1,3}})?)(?![0-9.,/])\s*(.*)")
_FRACTION_AMOUNT = re.compile(rf"{_FRACTION}\s*(.*)")
_FEET_AND_INCHES = re.compile(
    rf"([0-9]+)\s*(?:ft|feet|foot|')\s*({_NUMBER}|{_FRACTION})\s*(?:in|inch|inches|\")\.?"
)
_DOLLARS = re.compile(rf"^(C?\$)\s*({_NUMBER})")
_HEADING = re.compile(r"^\s*([A-Za-z0-9_]+)\s*(?:\[\s*([^\]]+?)\s*\])?\s*$")
_WORD = re.compile(r"1|[A-Za-zµ°%_]+[0-9]?(?:(?:\^|\*\*)-?[0-9])?")
_LONGEST_UNIT = 40
_AMBIGUOUS = {
    "mbtu": "MBtu means a thousand Btu to some and a million to others; write MBH or MMBtu",
    "mbtuh": "MBtuh means a thousand Btu to some and a million to others; write MBH",
}
# How people write a unit, in lower case without blanks and dots, and what the table calls it.
_SPELLINGS = {
    "°f": "degF", "degf": "degF", "f": "degF", "degreesf": "degF", "fahrenheit": "degF",
    "°c": "degC", "degc": "degC", "c": "degC", "degreesc": "degC", "celsius": "degC",
    "btu": "Btu", "btuh": "Btu/h", "kbtuh": "MBH", "mbh": "MBH", "mmbtu": "MMBtu",
    "kw": "kW", "kwh": "kWh", "gj": "GJ", "mj": "MJ", "therms": "therm",
    "gal": "gallon", "gallons": "gallon", "usgal": "gallon", "usgallons": "gallon",
    "impgal": "imperial_gallon", "imperialgal": "imperial_gallon",
    "imperialgallon": "imperial_gallon", "imperialgallons": "imperial_gallon",
    "liters": "L", "litres": "L", "ltr": "L", "cuft": "ft3", "cubicfeet": "ft3",
    "cubicfoot": "ft3", "cubicmeters": "m3", "cubicmetres": "m3", "sqft": "ft2",
    "squarefeet": "ft2", "squarefoot": "ft2", "sqin": "in2", "feet": "ft", "'": "ft",
    "inches": "inch", "in": "inch", '"': "inch", "psi": "psi", "psig": "psi", "kpa": "kPa",
    "inwc": "inWC", "ppm": "mg/L", "amps": "A", "amperes": "A", "watts": "W", "volts": "V",
    "hrs": "h", "mins": "min", "$": "USD", "usd": "USD", "c$": "CAD", "cad": "CAD", "¢": "cent",
    "gpm": "gpm", "gph": "gph", "lpm": "lpm", "cfm": "cfm", "ccf": "ccf", "mcf": "mcf",
    "therm": "therm", "gallon": "gallon", "ft": "ft",
}  # fmt: skip
_ALONE = {"grains": "gpg"}  # of hardness, in a gallon


@lru_cache(maxsize=1)
def _registry() -> pint.UnitRegistry[Any]:
    import pint

    return pint.UnitRegistry(str(_DEFINITIONS))


@lru_cache(maxsize=512)
def _unit(text: str) -> pint.Unit:
    """Return the unit written as `text`; raise MissingUnitError if there is no such unit."""
    import pint

    plain = text.strip()
    try:
        return _registry().parse_units(_spelled(plain))
    except (pint.UndefinedUnitError, pint.DefinitionSyntaxError, ValueError, AttributeError,
            TypeError, KeyError) as trouble:  # fmt: skip
        if isinstance(trouble, MissingUnitError):
            raise
        raise MissingUnitError.of(
            "unit", value=plain, fix="write a unit such as degF, gal/min, Btu/h, kW, ft or psi"
        ) from None


def _spelled(text: str) -> str:
    """Return a unit in the words of the units table; raise ValueError if it cannot be one.

    Only words, products, quotients and small powers pass: a units table that is also a
    calculator would take minutes over "9**9**9".
    """
    if len(text) > _LONGEST_UNIT:
        raise ValueError(text)
    plain = text.replace(" per ", "/").replace("²", "2").replace("³", "3").replace("**", "^")
    plain, rise, _ = plain.partition(" rise")
    parts = re.split(r"\s*([/*])\s*", _ALONE.get(plain.lower(), plain))
    words = [part if part in "/*" else _spelled_word(part) for part in parts]
    return ("delta_" if rise else "") + "".join(words)


def _spelled_word(text: str) -> str:
    key = re.sub(r"[ .]|(?<=deg)rees? ?", "", text.lower())
    if key in _AMBIGUOUS:
        raise MissingUnitError.of("unit", value=text, fix=_AMBIGUOUS[key])
    word = _SPELLINGS.get(key, text)
    if not all(map(_WORD.fullmatch, re.split("[/ ]", word))):
        raise ValueError(text)
    return word


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
    zero, slope = _line(unit, to)
    return zero + slope * value


@lru_cache(maxsize=512)
def _line(unit: str, to: str) -> tuple[float, float]:
    """Return a conversion as the value of zero and the slope; every unit here is linear."""
    import pint

    source, target = _unit(unit), _unit(to)
    try:
        quantity = _registry().Quantity
        zero, one = (float(quantity(x, source).to(target).magnitude) for x in (0.0, 1.0))
        return zero, one - zero
    except pint.PintError:  # another dimension, or a temperature where a rise belongs
        raise MissingUnitError.of(
            "unit", value=unit, allowed=f"a unit that converts to {to}", fix=f"write it in {to}"
        ) from None


to_unit = convert


def parse(text: str, to: str) -> float:
    """Return the quantity written in `text`, such as "120 degF", as a float in the unit `to`.

    Parameters
    ----------
    text : str
        A number, then a unit. Thousands may carry a comma or an underscore; "3/4 in",
        "6 ft 8 in" and "$0.14/kWh" are read as people mean them.
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
    >>> round(parse("1 1/2 in", "mm"), 1)
    38.1
    """
    plain = _DOLLARS.sub(r"\2 \1", text.strip())
    both = _FEET_AND_INCHES.fullmatch(plain.lower())
    if both:
        inches = _fraction(*both.groups()[2:]) if both[5] else _number(both[2])
        return convert(12.0 * int(both[1]) + inches, "inch", to)
    fraction = _FRACTION_AMOUNT.fullmatch(plain)
    if fraction and int(fraction[3]):
        return _with_unit(_fraction(*fraction.groups()[:3]), fraction[4], plain, to)
    match = _AMOUNT.fullmatch(plain)
    if match is None:
        raise MissingUnitError.of(
            "quantity", value=text, allowed=f"a number and a unit ({to})",
            fix="write a decimal point, not a comma" if re.match(r"[0-9]+,[0-9]", plain) else "",
        )  # fmt: skip
    return _with_unit(_number(match[1]), match[2], plain, to)


def _with_unit(number: float, unit: str, text: str, to: str) -> float:
    if not unit.strip():
        raise MissingUnitError.of(
            "quantity", value=text, allowed="a number with its unit", fix=f'write "{text} {to}"'
        )
    return convert(number, unit, to)


def _number(text: str) -> float:
    return float(text.replace(",", "").replace("_", ""))


def _fraction(whole: str | None, over: str, under: str) -> float:
    return int(whole or 0) + int(over) / int(under)


def heading(text: str) -> tuple[str, str]:
    """Return name and unit of a column heading such as "volume [gal]".

    The unit is empty where the heading has none. Raises MissingUnitError if the heading is not
    a name followed by an optional unit in brackets.
    """
    match = _HEADING.match(text)
    if match is None:
        raise MissingUnitError.of("heading", value=text, allowed='a name, such as "volume [gal]"')
    return match.group(1), match.group(2) or ""
