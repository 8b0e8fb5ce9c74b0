"""A loan for the installation, brought into the ledger in constant money.

Payments are made in money of their day, so inflation makes the later ones lighter; the ledger
counts in money of the day of installation.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import expm1, log1p

from heatersel.cost.life_cycle import Ownership, StudyTerms
from heatersel.errors import OutOfRangeError

__all__ = ["Finance", "financed", "monthly_payment"]

_MONTHS_PER_YEAR = 12
_NO_INTEREST = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Finance:
    """A loan paid back in equal months.

    Parameters
    ----------
    share : float
        Part of the installed price that is borrowed, 0 to 1. [-]
    nominal_rate : float
        Yearly rate as stated, charged by the month, 0 to 0.5. [1/yr]
    years : float
        Term, above 0 and up to 30. [yr]
    fee : float
        Paid at the start.
    """

    share: float = 1.0
    nominal_rate: float
    years: float
    fee: float = 0.0

    def __post_init__(self) -> None:
        """Refuse values outside their range."""
        for name, value, low, high in (("share", self.share, 0.0, 1.0),
                                       ("nominal_rate", self.nominal_rate, 0.0, 0.5),
                                       ("years", self.years, 1 / 12, 30.0)):  # fmt: skip
            if not low <= value <= high:
                raise OutOfRangeError.of(name, value=value, allowed=f"{low:.3g} to {high:g}",
                                         fix="check the loan offer")  # fmt: skip


def monthly_payment(amount: float, finance: Finance) -> float:
    """Return the level monthly payment of a loan of `amount`.

    Notes
    -----
    amount * r / (1 - (1 + r)^-n) with r the yearly rate over 12 and n the number of months.

    Examples
    --------
    >>> round(monthly_payment(3000.0, Finance(nominal_rate=0.06, years=5)), 2)
    58.0
    """
    months = round(finance.years * _MONTHS_PER_YEAR)
    rate = finance.nominal_rate / _MONTHS_PER_YEAR
    if rate < _NO_INTEREST:
        return amount / months
    return amount * rate / -expm1(-months * log1p(rate))


def financed(option: Ownership, finance: Finance, terms: StudyTerms) -> Ownership:
    """Return the option with a part of its price paid by loan.

    Parameters
    ----------
    option : Ownership
        As paid in cash.
    finance : Finance
        The loan.
    terms : StudyTerms
        Inflation, and the years of the study: what is still owed at their end is due then.

    Returns
    -------
    Ownership
        The same, its price paid in part by the months of the loan, in constant money.
    """
    payment = monthly_payment(finance.share, finance)
    months = round(finance.years * _MONTHS_PER_YEAR)
    last = min(months, terms.study_years * _MONTHS_PER_YEAR)
    due = [(month / _MONTHS_PER_YEAR, payment) for month in range(1, last + 1)]
    if months > last:
        due.append((last / _MONTHS_PER_YEAR, _owed(payment, finance, months - last)))
    months_paid = tuple((time, share * (1.0 + terms.inflation) ** -time) for time, share in due)
    return replace(option, paid=((0.0, 1.0 - finance.share), *months_paid), loan_fee=finance.fee)


def _owed(payment: float, finance: Finance, months: int) -> float:
    """Return what is owed while so many payments are left."""
    rate = finance.nominal_rate / _MONTHS_PER_YEAR
    if rate < _NO_INTEREST:
        return payment * months
    return payment * -expm1(-months * log1p(rate)) / rate
