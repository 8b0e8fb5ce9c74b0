"""What an option saves against another, usually the like-for-like replacement.

Net savings rank; the ratios and paybacks help to explain. A payback says nothing of what happens
after it, and two options are never ranked by it here.

References
----------
.. [1] 10 CFR 436.20 to 436.23: net savings, savings-to-investment ratio, adjusted internal rate of
   return, payback. (436.22 seen)
"""

from __future__ import annotations

from dataclasses import asdict, dataclass

from heatersel.cost.life_cycle import (
    IN_CASH,
    LedgerYear,
    Ownership,
    StudyTerms,
    annual_factor,
    ledger,
    life_cycle_cost,
    present_value,
)

__all__ = ["Savings", "savings_against"]

_FAR_YEARS = 1000  # beyond any payback worth a word


@dataclass(frozen=True, slots=True, kw_only=True)
class Savings:
    """An option against a base.

    Parameters
    ----------
    net_savings : float
        Life-cycle cost of the base less that of the option.
    extra_investment : float
        Present value of what it costs more to put in and to replace, less residuals.
    operating_savings : float
        Present value of what it saves in energy, standing charges and upkeep.
    sir : float or None
        Savings-to-investment ratio; None where nothing extra is invested.
    airr : float or None
        Adjusted internal rate of return, real; None where there is no ratio above zero. [1/yr]
    simple_payback_years, discounted_payback_years : float or None
        0 where the option costs no more at the start; None where it never pays back within the
        study (discounted) or saves nothing in the first year (simple), and of a loan. [yr]
    equivalent_annual_savings : float
        Net savings as a level amount a year.
    """

    net_savings: float
    extra_investment: float
    operating_savings: float
    sir: float | None
    airr: float | None
    simple_payback_years: float | None
    discounted_payback_years: float | None
    equivalent_annual_savings: float

    def as_dict(self) -> dict[str, float | None]:
        """Return it as plain fields."""
        return asdict(self)


def savings_against(base: Ownership, option: Ownership, terms: StudyTerms) -> Savings:
    """Return what `option` saves against `base`.

    Parameters
    ----------
    base, option : Ownership
        Costs of both.
    terms : StudyTerms
        Common terms.

    Returns
    -------
    Savings

    Notes
    -----
    SIR = operating savings / extra investment, both at present value;
    AIRR = (1 + d) * SIR^(1/n) - 1, savings reinvested at the discount rate d over n years.
    Simple payback = extra first cost / first-year savings at today's prices, with cash that comes
    later taken off when it comes. Of a loan there is none: it leaves little first cost to pay
    back.
    """
    running = _running_savings(base, option, terms)
    operating = sum(running)
    net = life_cycle_cost(base, terms) - life_cycle_cost(option, terms)
    extra = operating - net
    first_cost = option.installed - base.installed
    borrowed = (base.paid, option.paid) != (IN_CASH, IN_CASH)
    sir = operating / extra if extra > 1e-9 else None
    later = sorted((*option.later_cash, *((time, -amount) for time, amount in base.later_cash)))
    years = terms.study_years
    return Savings(
        net_savings=net, extra_investment=extra, operating_savings=operating, sir=sir,
        airr=((1.0 + terms.discount_rate) * sir ** (1.0 / years) - 1.0
              if sir is not None and sir > 0 else None),
        simple_payback_years=None if borrowed else _back_after(
            first_cost, [base.running_per_year - option.running_per_year] * _FAR_YEARS, later
        ),
        discounted_payback_years=None if borrowed else _back_after(first_cost, running, [
            (time, amount * present_value(terms.discount_rate, time)) for time, amount in later
        ]),
        equivalent_annual_savings=net / annual_factor(terms.discount_rate, years),
    )  # fmt: skip


def _running_savings(base: Ownership, option: Ownership, terms: StudyTerms) -> list[float]:
    """Return what each year's operation saves, at present value, the first year first."""
    return [
        (_running(theirs) - _running(ours)) * present_value(terms.discount_rate, ours.year)
        for theirs, ours in zip(ledger(base, terms)[1:], ledger(option, terms)[1:], strict=True)
    ]


def _running(year: LedgerYear) -> float:
    return sum(year.energy.values()) + year.fixed + year.maintenance


def _back_after(
    first_cost: float, saved: list[float], later: list[tuple[float, float]]
) -> float | None:
    """Return when savings, evenly within each year, and later cash have met the first cost."""
    due = first_cost
    if due <= 0:
        return 0.0
    for year, by_year in enumerate(saved):
        now = float(year)
        in_it = [(time, amount) for time, amount in later if year < time <= year + 1]
        for time, amount in (*in_it, (year + 1.0, 0.0)):
            gained = by_year * (time - now)
            if gained >= due:
                return now + due / by_year
            due -= gained + amount
            if due <= 0:
                return time
            now = time
    return None
