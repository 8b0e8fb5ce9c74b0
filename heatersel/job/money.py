"""Money in a job file: prices per unit as billed, standing charges and plain amounts.

All are text with a unit. The currency is part of the value, USD or CAD, so that mixing the two
can be refused. Gas, propane and oil may be priced by energy or by volume; how much heat a volume
holds is not known here and is put in where tariffs are made ready for billing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import PlainValidator
from pydantic_core import PydanticCustomError

from heatersel import units
from heatersel.errors import InputError

__all__ = [
    "CURRENCIES",
    "DemandPrice",
    "EnergyPrice",
    "FuelAmount",
    "FuelAmountType",
    "HeatContent",
    "Money",
    "MoneyAmount",
    "Share",
    "SignedEnergyPrice",
    "SignedMoney",
    "StandingCharge",
    "YearCharge",
]

CURRENCIES = ("USD", "CAD")


@dataclass(frozen=True, slots=True, kw_only=True)
class Money:
    """An amount of money per something.

    Parameters
    ----------
    amount : float
        Price.
    currency : str
        "USD" or "CAD".
    per : str
        Unit the price is for: "kWh", "L", "kW", "month", "day", "delivery" or "".
    """

    amount: float
    currency: str
    per: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelAmount:
    """An amount of energy or of fuel, as billed.

    Parameters
    ----------
    amount : float
        How much.
    per : str
        "kWh" or "L".
    days : bool
        Whether it is an amount per day rather than per month.
    """

    amount: float
    per: str
    days: bool = False


def _text(given: Any, example: str) -> str:
    if isinstance(given, str):
        return given.strip()
    bare = isinstance(given, int | float) and not isinstance(given, bool)
    raise _trouble("a number without a unit" if bare else "not text", "text with a number and a"
                   " unit", f'write it with its unit, such as "{example}"')  # fmt: skip


def _trouble(what: str, allowed: str, fix: str) -> PydanticCustomError:
    return PydanticCustomError("money", "{what}", {"what": what, "allowed": allowed, "fix": fix})


def _try(text: str, unit: str) -> float | None:
    try:
        return units.parse(text, unit)
    except InputError:
        return None


def money(per: tuple[str, ...], low: float, high: float, example: str) -> Callable[[Any], Money]:
    """Return a validator of money per one of the units `per`, amount from `low` to `high`."""

    def read(given: Any) -> Money:
        if isinstance(given, Money):
            return given
        text = _text(given, example)
        for currency in CURRENCIES:
            for unit in per:
                value = _try(text, f"{currency}/{unit}" if unit else currency)
                if value is None:
                    continue
                if not low <= value <= high:
                    kind = "negative" if value < 0 <= low else "out of range"
                    raise _trouble(
                        kind, f"{low:g} to {high:g} {currency}/{unit}".rstrip("/"),
                        f'check the number and its unit; an example is "{example}"',
                    )  # fmt: skip
                return Money(amount=value, currency=currency, per=unit)
        words = " or ".join(f"USD/{unit}" if unit else "USD" for unit in per)
        raise _trouble("no usable unit", f"money in USD or CAD, such as {words}",
                       f'an example is "{example}"')  # fmt: skip

    return read


def fuel_amount(example: str) -> Callable[[Any], FuelAmount]:
    """Return a validator of an amount of energy or fuel, per month unless it says per day."""

    def read(given: Any) -> FuelAmount:
        if isinstance(given, FuelAmount):
            return given
        text = _text(given, example)
        bare, _, time = text.partition("/")
        days = time.strip() == "day"
        if time.strip() in ("", "month", "day"):
            for unit in ("kWh", "L"):
                value = _try(bare, unit)
                if value is not None and 0.0 <= value <= 1.0e6:
                    return FuelAmount(amount=value, per=unit, days=days)
        raise _trouble("not an amount of energy or fuel",
                       "kWh, therm, GJ, m3, ccf, gal or L, a month or a day",
                       f'an example is "{example}"')  # fmt: skip

    return read


def _share(given: Any) -> float:
    if isinstance(given, float) and -1.0 <= given <= 1.0:
        return given
    value = _try(_text(given, "13 %").replace("%", "percent"), "")
    if value is None or not -1.0 <= value <= 1.0:
        raise _trouble("not a percentage", "-100 % to 100 %", 'an example is "13 %"')
    return value


def _heat_content(given: Any) -> float:
    value = _try(_text(given, "1035 Btu/ft3"), "kWh/L")
    if value is None or not 0.001 <= value <= 20.0:
        raise _trouble("not a heat content", "heat per volume of fuel",
                       'an example is "1035 Btu/ft3"')  # fmt: skip
    return value


def _standing(given: Any) -> Money:
    # The units table knows how many days a month has, but a daily charge is billed by the day.
    by_day = isinstance(given, str) and given.rstrip().endswith("day")
    return money(("day",) if by_day else ("month",), 0.0, 1000.0, "12.50 USD/month")(given)


EnergyPrice = Annotated[Money, PlainValidator(money(("kWh", "L"), 0.0, 100.0, "0.14 USD/kWh"))]
SignedEnergyPrice = Annotated[
    Money, PlainValidator(money(("kWh", "L"), -100.0, 0.0, "-0.05 USD/kWh"))
]
DemandPrice = Annotated[Money, PlainValidator(money(("kW/month",), 0.0, 200.0, "8 USD/kW/month"))]
StandingCharge = Annotated[Money, PlainValidator(_standing)]
YearCharge = Annotated[Money, PlainValidator(money(("year",), 0.0, 5000.0, "60 USD/year"))]
MoneyAmount = Annotated[Money, PlainValidator(money(("",), 0.0, 1.0e6, "500 USD"))]
SignedMoney = Annotated[Money, PlainValidator(money(("month",), -1000.0, 1000.0, "-5 USD/month"))]
FuelAmountType = Annotated[FuelAmount, PlainValidator(fuel_amount("600 kWh/month"))]
HeatContent = Annotated[float, PlainValidator(_heat_content)]
Share = Annotated[float, PlainValidator(_share)]
