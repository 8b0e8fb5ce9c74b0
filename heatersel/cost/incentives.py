"""Incentives as the user entered them: applied inside their dates, otherwise refused aloud.

None is built in, since programmes open and close within months. Price cuts are taken in the order
given; a percentage is taken of what is left after the cuts before it. Whether the household is
eligible is for the customer to confirm: the text is shown, never judged.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from heatersel.cost.installed import InstalledLine, total
from heatersel.display import Display, years_text
from heatersel.heaters.heater import Heater
from heatersel.job.incentive_table import (
    IncentiveBasis,
    IncentiveDate,
    IncentivePay,
    IncentiveTable,
)

__all__ = ["AppliedIncentive", "apply_incentives"]

_MONTHS_PER_YEAR = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class AppliedIncentive:
    """What became of one incentive.

    Parameters
    ----------
    name, eligibility : str
        As entered.
    price_cut : float
        Taken off the price of the installation.
    later_cash : float
        Paid later.
    after_years : float
        Years after the installation at which it is paid. [yr]
    sentence : str
        What was done with it and why, for the customer.
    """

    name: str
    eligibility: str
    price_cut: float = 0.0
    later_cash: float = 0.0
    after_years: float = 0.0
    sentence: str

    @property
    def applied(self) -> bool:
        """Whether it lowers the cost."""
        return self.price_cut > 0 or self.later_cash > 0

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain fields."""
        return {
            "name": self.name, "applied": self.applied, "price_cut": self.price_cut,
            "later_cash": self.later_cash, "after_years": self.after_years,
            "eligibility": self.eligibility, "sentence": self.sentence,
        }  # fmt: skip


def apply_incentives(
    incentives: Sequence[IncentiveTable],
    heater: Heater,
    lines: Sequence[InstalledLine],
    *,
    purchase_date: dt.date | None = None,
    installation_date: dt.date | None = None,
    currency: str = "USD",
    study_years: int | None = None,
) -> tuple[AppliedIncentive, ...]:
    """Return what each incentive does for one heater.

    Parameters
    ----------
    incentives : sequence of IncentiveTable
        As entered.
    heater : Heater
        The option.
    lines : sequence of InstalledLine
        Price of its installation.
    purchase_date, installation_date : datetime.date or None
        Dates of the job; without the one that an incentive goes by, it is not applied.
    currency : str
        Currency of the price, for the sentences.
    study_years : int, optional
        Years that are counted; money that comes after them is not.

    Returns
    -------
    tuple of AppliedIncentive
        In the order in which they are taken; never more than the price in all.
    """
    dates = {
        IncentiveDate.PURCHASE: purchase_date,
        IncentiveDate.INSTALLATION: installation_date,
    }
    # A percentage is of the price after the cuts before it; all together never exceed the price.
    base = {
        IncentiveBasis.INSTALLED: total(lines),
        IncentiveBasis.HEATER: total(line for line in lines if line.id == "heater"),
    }
    room = base[IncentiveBasis.INSTALLED]
    done = []
    for incentive in sorted(incentives, key=lambda item: item.order):
        date = dates[incentive.dated_by]
        refusal = _refusal(incentive, heater, date) or _too_late(incentive, study_years)
        if refusal:
            done.append(_refused(incentive, refusal))
            continue
        amount = min(_amount(incentive, base[incentive.basis]), room)
        room -= amount
        if incentive.pays is IncentivePay.PRICE_CUT:
            base = {basis: max(0.0, rest - amount) for basis, rest in base.items()}
        done.append(_applied(incentive, amount, date, Display(currency=currency)))
    return tuple(done)


def _refused(incentive: IncentiveTable, why: str) -> AppliedIncentive:
    return AppliedIncentive(
        name=incentive.name,
        eligibility=incentive.eligibility,
        sentence=f"{incentive.name}: not counted, {why}.",
    )


def _applied(
    incentive: IncentiveTable, amount: float, date: dt.date | None, show: Display
) -> AppliedIncentive:
    cut = incentive.pays is IncentivePay.PRICE_CUT
    how = "off the price" if cut else f"paid about {incentive.months_later} months later"
    return AppliedIncentive(
        name=incentive.name, eligibility=incentive.eligibility,
        price_cut=amount if cut else 0.0, later_cash=0.0 if cut else amount,
        after_years=0.0 if cut else incentive.months_later / _MONTHS_PER_YEAR,
        sentence=f"{incentive.name}: {show.money(amount)} {how}, if {incentive.dated_by.value} is"
        f" on {date} and you qualify ({incentive.eligibility}).",
    )  # fmt: skip


def _amount(incentive: IncentiveTable, basis: float) -> float:
    amount = (incentive.amount.amount if incentive.amount is not None
              else (incentive.percent or 0.0) * basis)  # fmt: skip
    return min(amount, incentive.cap.amount) if incentive.cap is not None else amount


def _too_late(incentive: IncentiveTable, study_years: int | None) -> str:
    late = incentive.pays is IncentivePay.LATER_CASH and study_years is not None
    if not late or incentive.months_later <= _MONTHS_PER_YEAR * (study_years or 0):
        return ""
    return f"because it is paid after the {years_text(study_years or 0)} that are counted"


def _refusal(incentive: IncentiveTable, heater: Heater, date: dt.date | None) -> str:
    words = {str(heater.kind), str(heater.heater_class), str(heater.energy_source)}
    if incentive.applies_to and words.isdisjoint(incentive.applies_to):
        return "this heater is not of the kind it is for"
    if date is None:
        return f"because the job gives no {incentive.dated_by.value} date"
    if incentive.first and date < incentive.first:
        return f"because it begins on {incentive.first} and {incentive.dated_by.value} is on {date}"
    if incentive.last and date > incentive.last:
        return f"because it ended on {incentive.last} and {incentive.dated_by.value} is on {date}"
    return ""
