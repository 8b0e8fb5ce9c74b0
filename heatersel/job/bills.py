"""The household's own utility readings, as the job file gives them.

A month may be a plain text ("92 therm", "92 therm estimated", or "" where the reading is
missing), counted from `first_month` on, or a table with its own dates::

    monthly = [
        { from = 2024-01-05, to = 2024-02-06, use = "131 therm", mean_temperature = "14 degF" },
        { from = 2024-02-06, to = 2024-03-05, use = "102 therm", estimated = true },
    ]

Tank deliveries are dated fills: each covers what was burnt since the fill before it. A changed
meter is written as two periods that touch.
"""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum
from itertools import pairwise
from typing import Any, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from heatersel import units
from heatersel.errors import InputError
from heatersel.heaters.heater import EnergySource
from heatersel.job.quantities import Area, Temperature
from heatersel.job.table import InputTable, assumed, unknown

__all__ = ["Appliance", "BillPeriod", "Bills", "Delivery", "Month", "degree_day_temp_c"]

_LEAST_DAYS = 265
_PLAIN_YEAR = 2001  # a common year stands for months without a year
_ESTIMATED = re.compile(r"\bestimated\b", re.IGNORECASE)
_DEGREE_DAYS = re.compile(r"^\s*([0-9.,]+)\s*(degF|degC|K|°F|°C)[\s*·-]*days?\s*$")
_NEGATIVE = re.compile(r"^\s*[-−]")


class Month(StrEnum):
    """A month of the year."""

    JANUARY = "january"
    FEBRUARY = "february"
    MARCH = "march"
    APRIL = "april"
    MAY = "may"
    JUNE = "june"
    JULY = "july"
    AUGUST = "august"
    SEPTEMBER = "september"
    OCTOBER = "october"
    NOVEMBER = "november"
    DECEMBER = "december"


class Appliance(StrEnum):
    """What else runs on the fuel of the bills, beside heating and hot water."""

    DRYER = "dryer"
    STOVE = "stove"


class BillPeriod(InputTable):
    """What was used between two readings."""

    start: date = Field(alias="from")
    end: date = Field(alias="to")
    use: str
    estimated: bool = Field(default=False, strict=True)
    mean_temp_c: Temperature | None = unknown("mean_temperature")
    degree_days: str | None = None

    @property
    def days(self) -> int:
        """Length of the period; the day of the second reading does not count."""
        return (self.end - self.start).days

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.days < 1:
            raise PydanticCustomError(
                "period", "ends before it begins",
                {"value": f"{self.start} to {self.end}", "allowed": "to later than from",
                 "fix": "swap the two dates"},
            )  # fmt: skip
        if self.degree_days is not None:
            degree_day_temp_c(self.degree_days, self.days)
        return self


class Delivery(InputTable):
    """One fill of a tank."""

    on: date
    amount: str


class Bills(InputTable):
    """Readings or deliveries of one fuel over nine months or more."""

    fuel: EnergySource
    monthly: tuple[BillPeriod, ...] = ()
    deliveries: tuple[Delivery, ...] = ()
    first_month: Month = assumed(Month.JANUARY, "the first of readings that carry no date")
    heats_water: bool = Field(default=True, strict=True)
    heats_house: bool | None = unknown(strict=True)
    cools_house: bool | None = unknown(strict=True)
    also_runs: tuple[Appliance, ...] = ()
    floor_area_m2: Area | None = unknown("floor_area")

    @model_validator(mode="before")
    @classmethod
    def _dated(cls, given: Any) -> Any:
        """Turn plain texts into periods of whole months, missing ones left out."""
        if not isinstance(given, dict) or not isinstance(given.get("monthly"), list | tuple):
            return given
        first = given.get("first_month", Month.JANUARY)
        if first not in list(Month):
            return given
        place = list(Month).index(first)
        periods = [_period(entry, place + i) for i, entry in enumerate(given["monthly"])]
        return given | {"monthly": [period for period in periods if period is not None]}

    @model_validator(mode="after")
    def _usable(self) -> Self:
        if bool(self.monthly) == bool(self.deliveries):
            raise PydanticCustomError(
                "bills", "no readings",
                {"field": "monthly", "value": "both" if self.monthly else "missing",
                 "allowed": "monthly readings or deliveries, one of the two",
                 "fix": 'write monthly = ["92 therm", ...] with nine months or more'},
            )  # fmt: skip
        _check_amounts(self)
        _check_fills(self.deliveries)
        _check_order(self.periods)
        days = sum(period.days for period in self.periods)
        if days < _LEAST_DAYS:
            raise PydanticCustomError(
                "bills", "too few readings",
                {"field": "monthly" if self.monthly else "deliveries", "value": f"{days} days",
                 "allowed": "nine months or more",
                 "fix": "add older readings, or leave the bills out"},
            )  # fmt: skip
        return self

    @property
    def periods(self) -> tuple[BillPeriod, ...]:
        """Periods in order of time; a delivery covers the time since the one before it."""
        if self.monthly:
            return tuple(sorted(self.monthly, key=lambda period: (period.start, period.end)))
        fills = sorted(self.deliveries, key=lambda fill: fill.on)
        return tuple(
            BillPeriod.model_validate({"from": before.on, "to": fill.on, "use": fill.amount})
            for before, fill in pairwise(fills)
        )

    def amount(self, text: str) -> tuple[float, str]:
        """Return an amount of this fuel as a number and "kWh" or "L"."""
        try:
            return units.parse(text, "kWh"), "kWh"
        except InputError:
            if self.fuel is EnergySource.ELECTRICITY:
                raise
            return units.parse(text, "L"), "L"


def degree_day_temp_c(text: str, days: int) -> float:
    """Return the mean temperature that heating degree days stand for.

    Parameters
    ----------
    text : str
        Such as "1320 degF day", to the base 65 degF, or "730 degC day", to the base 18 degC.
    days : int
        Length of the period, above 0.

    Returns
    -------
    float
        Base less degree days per day: the mean of the period if all of it was below the base,
        else too low, which matters little since the fit's own balance point lies lower. [°C]

    Raises
    ------
    PydanticCustomError
        If the text is no such figure.

    References
    ----------
    .. [1] Bases: National Weather Service, 65 degF; Environment Canada, 18 degC.  (memory, sure)

    Examples
    --------
    >>> round(degree_day_temp_c("558 degF day", 31), 2)
    8.33
    """
    match = _DEGREE_DAYS.match(text)
    if match is None:
        raise PydanticCustomError(
            "degree_days", "not degree days",
            {"field": "degree_days", "value": text, "allowed": "a number with degF day or degC day",
             "fix": 'an example is "1320 degF day"'},
        )  # fmt: skip
    amount = float(match.group(1).replace(",", ""))
    if "F" in match.group(2):
        return units.convert(65.0 - amount / days, "degF", "degC")
    return 18.0 - amount / days


def _period(entry: Any, place: int) -> Any:
    """Return a plain text as a dated period, None if it is a missing reading."""
    if not isinstance(entry, str):
        return entry
    use = _ESTIMATED.sub("", entry).strip()
    if not use or use.lower() == "missing":
        return None
    year, month = _PLAIN_YEAR + place // 12, place % 12 + 1
    after = (year + month // 12, month % 12 + 1)
    return {
        "from": date(year, month, 1),
        "to": date(*after, 1),
        "use": use,
        "estimated": use != entry.strip(),
    }


def _check_amounts(bills: Bills) -> None:
    key = "monthly" if bills.monthly else "deliveries"
    given = [p.use for p in bills.monthly] or [d.amount for d in bills.deliveries]
    allowed = "0 or more, as energy (therm, kWh, GJ)"
    if bills.fuel is not EnergySource.ELECTRICITY:
        allowed += f" or a volume of {bills.fuel.replace('_', ' ')} (ccf, m3, gal, L)"
    for number, text in enumerate(given, start=1):
        fix = 'write a number with its unit, such as "92 therm"'
        if _NEGATIVE.match(text):
            fix = "correct the reading, or mark it as missing with an empty text"
        elif _is_amount(bills, text):
            continue
        raise PydanticCustomError(
            "bills", "not a use of this fuel",
            {"field": f"{key} (number {number})", "value": text, "allowed": allowed, "fix": fix},
        )  # fmt: skip


def _is_amount(bills: Bills, text: str) -> bool:
    try:
        bills.amount(text)
    except InputError:
        return False
    return True


def _check_order(periods: tuple[BillPeriod, ...]) -> None:
    for before, period in pairwise(periods):
        if period.start < before.end:
            both = f"{before.start} to {before.end} and {period.start} to {period.end}"
            raise PydanticCustomError(
                "bills", "overlap",
                {"field": "monthly", "value": both, "allowed": "periods that do not overlap",
                 "fix": "each period begins on the day on which the one before it ends"},
            )  # fmt: skip


def _check_fills(fills: tuple[Delivery, ...]) -> None:
    days = [fill.on for fill in fills]
    twice = sorted(day for day in set(days) if days.count(day) > 1)
    if twice:
        raise PydanticCustomError(
            "bills", "two on one day",
            {"field": "deliveries", "value": str(twice[0]), "allowed": "one delivery a day",
             "fix": "add the two amounts"},
        )  # fmt: skip
