"""A utility's tariff as a table of the job file, checked so that it can be billed as it stands."""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Iterator
from typing import Any, Self

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from heatersel import reference
from heatersel.job.money import (
    DemandPrice,
    EnergyPrice,
    FuelAmountType,
    HeatContent,
    Money,
    MoneyAmount,
    Share,
    SignedEnergyPrice,
    SignedMoney,
    StandingCharge,
    YearCharge,
)
from heatersel.job.quantities import Fraction
from heatersel.job.table import InputTable
from heatersel.job.windows import (
    ALL_HOURS,
    WHOLE_YEAR,
    Days,
    HoursType,
    SeasonType,
    Window,
    first_flaw,
)

__all__ = [
    "Block",
    "CreditRow",
    "DemandRow",
    "EnergyRow",
    "Rider",
    "RiderBase",
    "TariffTable",
    "holiday_calendars",
]

RiderBase = ("energy", "charges", "total")


class _WindowRow(InputTable):
    """What the rows of a tariff have in common: when they apply."""

    name: str = Field(default="", max_length=80)
    season: SeasonType = WHOLE_YEAR
    days: Days = Days.EVERY_DAY
    hours: HoursType = ALL_HOURS

    @property
    def window(self) -> Window:
        """The hours in which this row applies."""
        return Window(season=self.season, days=self.days, hours=self.hours)


class Block(InputTable):
    """A step of an increasing or decreasing price; the last one has no end."""

    up_to: FuelAmountType | None = None
    price: EnergyPrice


class EnergyRow(_WindowRow):
    """A price of energy within a window: one price, or blocks by the month's use in it."""

    price: EnergyPrice | None = None
    blocks: tuple[Block, ...] = ()

    @property
    def steps(self) -> tuple[Block, ...]:
        """The row as blocks; a plain price is one block without an end."""
        return (Block(price=self.price),) if self.price is not None else self.blocks

    @model_validator(mode="after")
    def _blocks_in_order(self) -> Self:
        if (self.price is None) == (not self.blocks):
            raise _trouble("price", "missing or twice", "either a price or blocks",
                           'an example is price = "0.14 USD/kWh"')  # fmt: skip
        ends = [block.up_to for block in self.blocks]
        amounts = [end.amount for end in ends[:-1] if end is not None]
        open_inside = bool(ends) and (ends[-1] is not None or None in ends[:-1])
        alike = len({(end.per, end.days) for end in ends if end is not None}) <= 1
        growing = all(a < b for a, b in itertools.pairwise([0.0, *amounts]))
        if open_inside or not alike or not growing:
            raise _trouble(
                "blocks", "out of order",
                "growing thresholds of one unit, each up_to above the one before, the last"
                " block without up_to",
                'an example is [{ up_to = "600 kWh/month", price = "0.12 USD/kWh" },'
                ' { price = "0.14 USD/kWh" }]',
            )  # fmt: skip
        return self


class CreditRow(_WindowRow):
    """A credit for the first units of the month, such as a baseline credit."""

    price: SignedEnergyPrice
    up_to: FuelAmountType | None = None


class DemandRow(_WindowRow):
    """A charge for the highest hour of the month within a window."""

    price: DemandPrice


class Rider(InputTable):
    """A tax, rider or rebate: a share of some part of the bill, or an amount a month.

    `of` says which part: "energy" (the charges by unit), "charges" (all charges before riders) or
    "total" (those and the riders above this one). A rebate is negative.
    """

    name: str = Field(max_length=80)
    share: Share | None = None
    amount: SignedMoney | None = None
    of: str = "charges"

    @model_validator(mode="after")
    def _share_or_amount(self) -> Self:
        if (self.share is None) == (self.amount is None):
            raise _trouble("share", "missing or twice", "either a share or an amount",
                           'an example is share = "13 %"')  # fmt: skip
        if self.of not in RiderBase:
            raise _trouble("of", self.of, ", ".join(RiderBase), 'an example is of = "charges"')
        return self


class TariffTable(InputTable):
    """A full tariff of one energy source, as the utility's sheet states it.

    Energy and delivery each hold every hour of the year exactly once; credits may leave hours
    out. Hours are those of the household's clock, summer and winter; `time_zone` brings what
    keeps standard time, own solar surplus, to that clock. A propane or oil price may come by
    delivery: the usual drop, the smallest the dealer brings, and what a short drop costs extra.
    """

    name: str = Field(max_length=120)
    source: str = Field(default="", max_length=300)
    effective: dt.date | None = None
    fixed: StandingCharge | None = None
    energy: tuple[EnergyRow, ...]
    delivery: tuple[EnergyRow, ...] = ()
    credit: tuple[CreditRow, ...] = ()
    demand: tuple[DemandRow, ...] = ()
    minimum_bill: StandingCharge | None = None
    rider: tuple[Rider, ...] = ()
    holidays: str | None = None
    time_zone: str | None = None
    heat_content_kwh_per_l: HeatContent | None = Field(default=None, alias="heat_content")
    altitude_factor: Fraction = Field(default=1.0, ge=0.6, le=1.0)
    tank_rent: YearCharge | None = None
    drop: FuelAmountType | None = None
    minimum_drop: FuelAmountType | None = None
    drop_fee: MoneyAmount | None = None
    short_drop_fee: MoneyAmount | None = None

    @model_validator(mode="before")
    @classmethod
    def _plain_prices(cls, given: Any) -> Any:
        if not isinstance(given, dict):
            return given
        return {
            key: ({"price": value},) if key in ("energy", "delivery") and isinstance(value, str)
            else value
            for key, value in given.items()
        }  # fmt: skip

    @model_validator(mode="after")
    def _every_hour_once(self) -> Self:
        for field, rows, gaps in (("energy", self.energy, False),
                                  ("delivery", self.delivery, not self.delivery),
                                  ("credit", self.credit, True)):  # fmt: skip
            flaw = first_flaw([row.window for row in rows], gaps_allowed=gaps)
            if flaw:
                allowed = "at most one price" if gaps else "exactly one price"
                raise _trouble(field, flaw, f"{allowed} for each hour of the year",
                               "correct season, days or hours of the rows")  # fmt: skip
        return self

    @model_validator(mode="after")
    def _known_places(self) -> Self:
        if self.holidays is not None and self.holidays not in holiday_calendars():
            raise _trouble("holidays", self.holidays, ", ".join(holiday_calendars()),
                           "use one of these calendars, or leave holidays out")  # fmt: skip
        if self.time_zone is not None and not _is_time_zone(self.time_zone):
            raise _trouble("time_zone", self.time_zone, "a time zone of the IANA list",
                           'an example is "America/Toronto"')  # fmt: skip
        return self

    @model_validator(mode="after")
    def _deliveries(self) -> Self:
        if self.drop is None:
            if self.minimum_drop or self.drop_fee or self.short_drop_fee:
                raise _trouble("drop", "missing", "the usual delivery",
                               'an example is drop = "200 gal"')  # fmt: skip
            return self
        least = self.minimum_drop
        if least is not None and least.per != self.drop.per:
            raise _trouble("minimum_drop", f"in other units than drop, {least.per} beside "
                           f"{self.drop.per}", "a volume beside a volume, or heat beside heat",
                           "write both alike, such as 200 gal and 100 gal")  # fmt: skip
        short = least is not None and self.drop.amount < least.amount
        if short and self.short_drop_fee is None:
            raise _trouble("drop", "below minimum_drop",
                           "at least minimum_drop, or a short_drop_fee",
                           'an example is short_drop_fee = "75 USD"')  # fmt: skip
        if self.drop.amount == 0:
            raise _trouble("drop", "0", "more than nothing", 'an example is drop = "200 gal"')
        return self

    def money(self) -> Iterator[tuple[str, Money]]:
        """Yield every amount of money of the tariff with its field, to compare currencies."""
        yield from _money_of(self, "")


def _money_of(table: InputTable, prefix: str) -> Iterator[tuple[str, Money]]:
    for name in type(table).model_fields:
        value = getattr(table, name)
        for item in value if isinstance(value, tuple) else (value,):
            if isinstance(item, Money):
                yield f"{prefix}{name}", item
            elif isinstance(item, InputTable):
                yield from _money_of(item, f"{prefix}{name}.")


def holiday_calendars() -> tuple[str, ...]:
    """Return the holiday calendars that a tariff may name."""
    rows = reference.records("tariffs/holidays", {})
    return tuple(dict.fromkeys(row["calendar"] for row in rows))


def _is_time_zone(name: str) -> bool:
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


def _trouble(field: str, value: str, allowed: str, fix: str) -> PydanticCustomError:
    return PydanticCustomError(
        "tariff", "{value}", {"field": field, "value": value, "allowed": allowed, "fix": fix}
    )
