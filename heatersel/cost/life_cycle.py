"""What an option costs over the years, in constant money of the year of installation.

The method is the one that United States federal buildings must use: all costs of a common study
period, brought to the present at a real discount rate, with replacements where a heater does not
last and a credit for the unused part of the last one [1]_ [2]_. Energy and upkeep are paid at
the end of each year; a replacement is paid when the heater's life ends. Taxes on income and the
customer's own labour are left out.

References
----------
.. [1] 10 CFR part 436 subpart A, sections 436.14 to 436.23, "Methodology and procedures for life
   cycle cost analyses" (seen: 436.14, 436.18, 436.19, 436.22).
.. [2] National Institute of Standards and Technology, "Life-Cycle Costing Manual for the Federal
   Energy Management Program", Handbook 135, 1995 edition (formulas from memory).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import ceil

from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource

__all__ = [
    "IN_CASH",
    "LedgerYear",
    "Ownership",
    "StudyTerms",
    "annual_factor",
    "equivalent_annual_cost",
    "escalated_factor",
    "ledger",
    "life_cycle_cost",
    "present_value",
    "real_rate",
    "replacement_times",
]

IN_CASH = ((0.0, 1.0),)
"""The whole price on the day of installation."""

_SAME = 1e-9  # rates, years and shares closer than this count as equal


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyTerms:
    """The terms on which all options are compared.

    Parameters
    ----------
    discount_rate : float
        Real rate of discount, -0.05 to 0.5. [1/yr]
    study_years : int
        Common study period, 1 to 60. [yr]
    escalation : mapping of EnergySource to float
        Real growth of each energy price, above -0.5 and up to 0.5; absent means none. [1/yr]
    inflation : float
        General inflation, for loans, which are paid in money of their day. [1/yr]
    """

    discount_rate: float = 0.03
    study_years: int = 20
    escalation: Mapping[EnergySource, float] = field(default_factory=dict)
    inflation: float = 0.025

    def __post_init__(self) -> None:
        """Refuse values outside their range."""
        _inside("discount_rate", self.discount_rate, -0.05, 0.5, "an example is 0.03")
        _inside("study_years", self.study_years, 1, 60, "an example is 20")
        _inside("inflation", self.inflation, -0.05, 0.5, "an example is 0.025")
        for source, growth in self.escalation.items():
            _inside(f"escalation.{source}", growth, -0.5, 0.5, "an example is 0.01")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ownership:
    """What one option costs to put in and to keep, in money of the year of installation.

    Parameters
    ----------
    installed : float
        Price of the first installation, after price cuts.
    replacement : float
        Price of putting in the next one of the same kind, without the work that is done once.
    life_years : float
        Years until it is replaced, 1 to 60. [yr]
    energy_per_year : mapping of EnergySource to float
        Energy cost of the first year at today's prices.
    fixed_per_year : float
        Standing charges that this option alone keeps alive.
    maintenance_per_year : float
        Upkeep.
    later_cash : tuple of (float, float)
        Money received later: years after installation, amount.
    paid : tuple of (float, float)
        How the installed price is paid: years after installation, share of it in money of the
        day of installation. With a loan the shares add up to more than 1 or less.
    loan_fee : float
        Paid at the start for a loan, whatever the price.
    """

    installed: float
    replacement: float
    life_years: float
    energy_per_year: Mapping[EnergySource, float]
    fixed_per_year: float = 0.0
    maintenance_per_year: float = 0.0
    later_cash: tuple[tuple[float, float], ...] = ()
    paid: tuple[tuple[float, float], ...] = IN_CASH
    loan_fee: float = 0.0

    def __post_init__(self) -> None:
        """Refuse values outside their range."""
        _inside("life_years", self.life_years, 1.0, 60.0, "an example is 13")

    @property
    def running_per_year(self) -> float:
        """Energy, standing charges and upkeep of the first year."""
        return sum(self.energy_per_year.values()) + self.fixed_per_year + self.maintenance_per_year


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerYear:
    """One year of the ledger; year 0 is the day of installation. Income is negative.

    Parameters
    ----------
    year : int
        Years since the installation.
    investment : float
        Installation, replacements that fall into this year, less money received.
    energy : mapping of EnergySource to float
        Energy cost.
    fixed, maintenance : float
        Standing charges and upkeep.
    residual : float
        Credit for the unused part of the last heater, negative, in the last year.
    total : float
        Sum of the above.
    present_value : float
        The year's total at the day of installation.
    """

    year: int
    investment: float
    energy: Mapping[EnergySource, float]
    fixed: float
    maintenance: float
    residual: float
    total: float
    present_value: float


def present_value(rate: float, years: float) -> float:
    """Return what 1 paid after `years` is worth today at `rate` (single present value, SPV).

    Examples
    --------
    >>> round(present_value(0.03, 12), 4)
    0.7014
    """
    return float((1.0 + rate) ** -years)


def annual_factor(rate: float, years: float) -> float:
    """Return what 1 a year for `years` is worth today (uniform present value, UPV).

    Examples
    --------
    >>> round(annual_factor(0.03, 20), 4)
    14.8775
    """
    return escalated_factor(rate, 0.0, years)


def escalated_factor(rate: float, escalation: float, years: float) -> float:
    """Return what 1 a year, growing at `escalation` from today, is worth today (modified UPV).

    Parameters
    ----------
    rate : float
        Real discount rate. [1/yr]
    escalation : float
        Real growth; the first payment has already grown one year. [1/yr]
    years : float
        Number of payments.

    Returns
    -------
    float
        Sum over t = 1..years of ((1 + escalation) / (1 + rate))^t.

    References
    ----------
    .. [1] NIST Handbook 135 (1995), UPV* formula (from memory).

    Examples
    --------
    >>> round(escalated_factor(0.03, 0.015, 13), 3)
    11.749
    """
    ratio = (1.0 + escalation) / (1.0 + rate)
    if abs(ratio - 1.0) < _SAME:
        return float(years)
    return float(ratio * (1.0 - ratio**years) / (1.0 - ratio))


def real_rate(nominal_rate: float, inflation: float) -> float:
    """Return the real rate behind a nominal one: (1 + nominal) / (1 + inflation) - 1."""
    return (1.0 + nominal_rate) / (1.0 + inflation) - 1.0


def replacement_times(life_years: float, study_years: int) -> tuple[float, ...]:
    """Return when replacements fall due inside the study, in years after installation."""
    count = ceil(study_years / life_years - _SAME) - 1
    return tuple(life_years * k for k in range(1, count + 1))


def unused_share(life_years: float, study_years: int) -> float:
    """Return the part of the last heater's life that lies beyond the study, 0 to 1."""
    last = len(replacement_times(life_years, study_years)) * life_years
    return max(0.0, (last + life_years - study_years) / life_years)


def life_cycle_cost(option: Ownership, terms: StudyTerms) -> float:
    """Return the present value of everything that `option` costs within the study.

    Parameters
    ----------
    option : Ownership
        The option's costs.
    terms : StudyTerms
        Discount rate, study period, escalation.

    Returns
    -------
    float
        Life-cycle cost.

    Notes
    -----
    Investment less residual, plus replacements, energy and upkeep, each at present value
    (10 CFR 436.19). The residual is the unused share of the last heater's replacement price, by
    straight line; work done once (a new circuit, a vent) earns no residual.
    """
    return sum(year.present_value for year in ledger(option, terms))


def ledger(option: Ownership, terms: StudyTerms) -> tuple[LedgerYear, ...]:
    """Return the years of the study, year 0 first; their present values add up to the LCC.

    A replacement stands in the year within which it falls and is discounted from its own date.
    """
    rate, last = terms.discount_rate, terms.study_years
    dated = [(time, share * option.installed) for time, share in option.paid if time <= last]
    dated += [(0.0, option.loan_fee)]
    dated += [(time, option.replacement) for time in replacement_times(option.life_years, last)]
    dated += [(time, -amount) for time, amount in option.later_cash if time <= last]
    residual = -option.replacement * unused_share(option.life_years, last)
    due: dict[int, list[tuple[float, float]]] = {}
    for time, amount in dated:
        due.setdefault(ceil(time - _SAME), []).append((time, amount))
    growth = {source: 1.0 + terms.escalation.get(source, 0.0) for source in option.energy_per_year}
    years = []
    for year in range(last + 1):
        paid = due.get(year, [])
        energy = {
            source: cost * growth[source] ** year if year else 0.0
            for source, cost in option.energy_per_year.items()
        }
        fixed = option.fixed_per_year if year else 0.0
        upkeep = option.maintenance_per_year if year else 0.0
        credit = residual if year == last else 0.0
        running = sum(energy.values()) + fixed + upkeep + credit
        investment = sum(amount for _, amount in paid)
        years.append(
            LedgerYear(
                year=year, investment=investment, energy=energy, fixed=fixed, maintenance=upkeep,
                residual=credit, total=investment + running,
                present_value=running * present_value(rate, year)
                + sum(amount * present_value(rate, time) for time, amount in paid),
            )
        )  # fmt: skip
    return tuple(years)


def equivalent_annual_cost(life_cycle: float, terms: StudyTerms) -> float:
    """Return the level yearly payment over the study that is worth `life_cycle` today."""
    return life_cycle / annual_factor(terms.discount_rate, terms.study_years)


def _inside(name: str, value: float, low: float, high: float, fix: str) -> None:
    if not low <= value <= high:
        raise OutOfRangeError.of(name, value=value, allowed=f"{low:g} to {high:g}", fix=fix)
