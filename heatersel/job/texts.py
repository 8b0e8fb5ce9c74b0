"""Write a value of a job as the text it would have in a file, in the user's own units.

A text is the shortest of those that read back as exactly the same number: 48.888... °C becomes
"120 degF". Where no unit gives a short text, all digits are written.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator
from enum import Enum
from typing import Any, get_args

from pydantic_core import PydanticCustomError

from heatersel import units
from heatersel.job import money
from heatersel.job.keys import Key, Reader
from heatersel.job.money import FuelAmount, Money
from heatersel.job.quantities import Quantity
from heatersel.job.windows import HoursType, Season

__all__ = ["example_of", "said", "text_of"]

_SHORT_DIGITS = 6  # digits of a number that somebody may have typed
_MOST_DIGITS = 17  # of a double
_UNITS = (
    "degF", "ft", "inch", "gal", "ft3", "gal/min", "Btu/h", "kW", "psi", "inWC", "grain/gal",
    "ft2", "in2", "degC", "m", "mm", "L", "m3", "L/min", "kPa", "mg/L", "m2", "cm2",
    "kWh", "therm", "W", "min", "h", "day", "MBH", "bar", "gpg", "gpm", "imperial_gallon",
)  # fmt: skip
_ENERGIES = ("kWh", "therm", "GJ")
_LIQUIDS, _GASES = ("gal", "L"), ("ccf", "m3")
_GAS_PRICE = 0.05  # below it, money per litre can only be of a gas
_GAS_AMOUNT_L = 3000.0  # above it, an amount a month is rather of a gas
_HEAT_CONTENTS = ("Btu/ft3", "MJ/m3", "Btu/gal", "MJ/L", "kWh/L")


def _reader(annotation: Any) -> Reader:
    return next(mark for mark in get_args(annotation)[1:] if isinstance(mark, Reader))


_HOURS, _SHARE = _reader(HoursType), _reader(money.Share)
_HEAT_CONTENT = _reader(money.HeatContent)
_EXAMPLES = {
    _reader(money.EnergyPrice): "0.14 USD/kWh",
    _reader(money.SignedEnergyPrice): "-0.05 USD/kWh",
    _reader(money.DemandPrice): "8 USD/kW/month",
    _reader(money.StandingCharge): "12.50 USD/month",
    _reader(money.YearCharge): "60 USD/year",
    _reader(money.MoneyAmount): "500 USD",
    _reader(money.SignedMoney): "-5 USD/month",
    _reader(money.FuelAmountType): "600 kWh/month",
    _HEAT_CONTENT: "1035 Btu/ft3",
    _SHARE: "13 %",
    _HOURS: "7-11, 17-19",
}


def text_of(value: Any, key: Key, system: str = "us") -> Any:
    """Return a value of a job as a TOML file would hold it.

    Parameters
    ----------
    value : object
        As the model holds it.
    key : Key
        Its key.
    system : str
        "us" or "si"; another unit is taken where only that gives a short number.

    Returns
    -------
    str, int, float, bool, datetime.date or list
        Reads back as the same value.
    """
    if key.is_list and isinstance(value, tuple):
        return [_single(item, key.reader, system) for item in value]
    return _single(value, key.reader, system)


def said(value: Any, key: Key, system: str = "us") -> Any:
    """Return a value like :func:`text_of`, but rounded as people speak."""
    if isinstance(key.reader, Quantity) and isinstance(value, float):
        unit = key.reader.example_unit if system == "us" else key.reader.unit
        return f"{_short(units.convert(value, key.reader.unit, unit), 3)} {unit}"
    return text_of(value, key, system)


def example_of(key: Key, system: str = "us") -> Any:
    """Return an example of what may stand at a key; its default where it has one."""
    if key.default not in (None, ()):
        return said(key.default, key, system)
    if isinstance(key.reader, Quantity):
        value: Any = said(key.reader.read(key.reader.example), key, system)
    elif key.reader is not None:
        value = _EXAMPLES.get(key.reader, "")
    elif key.choices:
        value = key.choices[0]
    elif key.kind in (int, float):
        low = 1.0 if key.low is None else max(key.low, 1.0)
        value = key.kind(min(low, key.high) if key.high is not None else low)
    else:
        value = {bool: True, dt.date: dt.date(2027, 1, 1)}.get(key.kind, "")
    return [value] if key.is_list else value


def _single(value: Any, reader: Reader | None, system: str) -> Any:
    if isinstance(value, Money):
        return _money(value, reader)
    if isinstance(value, FuelAmount):
        time = "/day" if value.days else "/month"
        choices = _billed(value.per, gas=value.amount > _GAS_AMOUNT_L)
        return _shortest(_scaled(value.amount, value.per, choices), reader, value, time)
    if isinstance(value, Season):
        return "{:02d}-{:02d} to {:02d}-{:02d}".format(*value.first, *value.last)
    if reader is _HOURS:
        return _hours(value)
    if reader is _SHARE:
        return _shortest([(100.0 * value, "%")], reader, value) or value
    if reader is _HEAT_CONTENT:
        return _shortest(_scaled(value, "kWh/L", _HEAT_CONTENTS), reader, value)
    if isinstance(reader, Quantity):
        return _quantity(value, reader, system)
    return value.value if isinstance(value, Enum) else value


def _quantity(value: float, kind: Quantity, system: str) -> str:
    first = kind.example_unit if system == "us" else kind.unit
    alike = [unit for unit in _UNITS if units.dimension(unit) == units.dimension(kind.unit)]
    choices = dict.fromkeys((first, *alike, kind.unit))
    return _shortest(_scaled(value, kind.unit, choices), kind, value)


def _money(value: Money, reader: Reader | None) -> str:
    per, _, time = value.per.partition("/")
    if per in ("kWh", "L"):
        prices = (
            (value.amount * units.convert(1.0, unit, per), f"{value.currency}/{unit}")
            for unit in _billed(per, gas=value.amount < _GAS_PRICE)
        )
        return _shortest(prices, reader, value)
    unit = "/".join(part for part in (value.currency, per, time) if part)
    return _shortest([(value.amount, unit)], reader, value)


def _billed(per: str, *, gas: bool) -> tuple[str, ...]:
    """Return the units in which energy or a volume of fuel is billed, the likely ones first."""
    if per == "kWh":
        return _ENERGIES
    return _GASES + _LIQUIDS if gas else _LIQUIDS + _GASES


def _scaled(value: float, unit: str, choices: Iterable[str]) -> Iterator[tuple[float, str]]:
    """Yield the value in each unit that can hold it."""
    return ((units.convert(value, unit, choice), choice) for choice in choices)


def _shortest(
    choices: Iterable[tuple[float, str]], reader: Reader | None, value: Any, after: str = ""
) -> str:
    """Return the first choice that reads back exactly from a short number, else from a long one."""
    found = ""
    for number, unit in choices:
        for digits in range(1, (_SHORT_DIGITS if found else _MOST_DIGITS) + 1):
            text = f"{_short(number, digits)} {unit}{after}"
            if _reads_as(reader, text, value):
                if digits <= _SHORT_DIGITS:
                    return text
                found = text
                break
    return found


def _reads_as(reader: Reader | None, text: str, value: Any) -> bool:
    read: Any = reader.read if isinstance(reader, Quantity) else getattr(reader, "func", None)
    try:
        return bool(read(text) == value)
    except PydanticCustomError:  # rounding took it past a limit
        return False


def _short(number: float, digits: int) -> str:
    """Return a number with so many digits, without an exponent where that can be."""
    return repr(float(f"{number:.{digits}g}")).removesuffix(".0")


def _hours(hours: tuple[int, ...]) -> str:
    spans: list[list[int]] = []
    for hour in hours:
        if spans and spans[-1][1] == hour:
            spans[-1][1] = hour + 1
        else:
            spans.append([hour, hour + 1])
    return ", ".join(f"{start}-{stop}" for start, stop in spans)
