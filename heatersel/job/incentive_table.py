"""Incentives and finance as a job file gives them: only what the user enters, never built in."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from enum import StrEnum
from typing import Self

from pydantic import Field, field_validator, model_validator
from pydantic_core import PydanticCustomError

from heatersel.heaters.heater import EnergySource, HeaterClass, Kind
from heatersel.job.money import Money, MoneyAmount, Share
from heatersel.job.quantities import Fraction
from heatersel.job.table import InputTable

__all__ = ["FinanceTable", "IncentiveBasis", "IncentiveDate", "IncentivePay", "IncentiveTable"]


_HEATERS = tuple(str(word) for group in (Kind, HeaterClass, EnergySource) for word in group)


class IncentiveBasis(StrEnum):
    """What a percentage is taken of."""

    INSTALLED = "installed"  # the whole price of the installation
    HEATER = "heater"  # the heater alone


class IncentiveDate(StrEnum):
    """Which date must lie between first and last."""

    INSTALLATION = "installation"
    PURCHASE = "purchase"


class IncentivePay(StrEnum):
    """How it reaches the customer."""

    PRICE_CUT = "price_cut"
    LATER_CASH = "later_cash"


class IncentiveTable(InputTable):
    """One incentive, with the dates between which it holds."""

    name: str = Field(max_length=120)
    amount: MoneyAmount | None = None
    percent: Share | None = None
    cap: MoneyAmount | None = None
    basis: IncentiveBasis = IncentiveBasis.INSTALLED
    order: int = Field(default=1, ge=1, le=99, strict=True)
    eligibility: str = Field(max_length=500)
    first: dt.date | None = None
    last: dt.date | None = None
    dated_by: IncentiveDate = IncentiveDate.INSTALLATION
    pays: IncentivePay = IncentivePay.PRICE_CUT
    months_later: int = Field(default=6, ge=0, le=60, strict=True)
    applies_to: tuple[str, ...] = ()

    @field_validator("applies_to")
    @classmethod
    def _known_heaters(cls, given: tuple[str, ...]) -> tuple[str, ...]:
        unknown = [word for word in given if word not in _HEATERS]
        if unknown:
            raise _trouble("", ", ".join(unknown), ", ".join(_HEATERS),
                           'an example is applies_to = ["heat_pump_storage"]')  # fmt: skip
        return given

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if self.first is None or self.last is None or self.last < self.first:
            both_missing = self.first is None and self.last is None
            raise _trouble(
                "first and last",
                "missing" if both_missing
                else f"{self.first or 'missing'} to {self.last or 'missing'}",
                "a first and a last date, in this order",
                "an example is first = 2027-01-01 and last = 2027-12-31",
            )  # fmt: skip
        if (self.amount is None) == (self.percent is None):
            raise _trouble("amount", "missing, or beside percent", "either amount or percent",
                           'an example is amount = "500 USD"')  # fmt: skip
        if self.percent is not None and self.percent < 0:
            raise _trouble("percent", f"{self.percent:.0%}", "0 % to 100 %",
                           'an example is percent = "30 %"')  # fmt: skip
        return self

    def money(self) -> Iterator[tuple[str, Money]]:
        """Yield every amount of money with its field."""
        for field in ("amount", "cap"):
            value = getattr(self, field)
            if value is not None:
                yield field, value


class FinanceTable(InputTable):
    """A loan for the installation, as the contractor or bank offers it."""

    share: Share = 1.0
    rate: Fraction = Field(ge=0.0, le=0.5)
    years: float = Field(gt=0.0, le=30.0)
    fee: MoneyAmount | None = None

    @model_validator(mode="after")
    def _some_share(self) -> Self:
        if not 0.0 < self.share <= 1.0:
            raise _trouble("share", f"{self.share:.0%}", "more than 0 % up to 100 %",
                           'an example is share = "100 %"')  # fmt: skip
        return self

    def money(self) -> Iterator[tuple[str, Money]]:
        """Yield every amount of money with its field."""
        if self.fee is not None:
            yield "fee", self.fee


def _trouble(field: str, value: str, allowed: str, fix: str) -> PydanticCustomError:
    return PydanticCustomError(
        "incentive", "{value}", {"field": field, "value": value, "allowed": allowed, "fix": fix}
    )
