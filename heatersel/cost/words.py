"""The cost of an option in a customer's words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from typing import Any

import numpy as np

from heatersel import units
from heatersel.cost.basis import CostBasis
from heatersel.cost.basis import heat_content_kwh_per_l as usual_heat_kwh_per_l
from heatersel.cost.break_even import PriceRange
from heatersel.cost.drawn import Lead
from heatersel.cost.finance import Finance
from heatersel.cost.option_cost import OptionCost
from heatersel.cost.savings import Savings
from heatersel.cost.uncertainty import in_words
from heatersel.display import Display, years_text
from heatersel.heaters.heater import EnergySource

__all__ = ["PlanYear", "billed_in", "sentences"]

_BILLED_IN = {
    ("US", EnergySource.NATURAL_GAS): "therm",
    ("CA", EnergySource.NATURAL_GAS): "m3",
    ("US", EnergySource.PROPANE): "gal",
    ("CA", EnergySource.PROPANE): "L",
    ("US", EnergySource.FUEL_OIL): "gal",
    ("CA", EnergySource.FUEL_OIL): "L",
}


_IN_CENTS = 20.0  # payments below are said to the cent
_WORTH_SAYING = 1.02  # a gap between two figures that a reader would ask about


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanYear:
    """The household's whole bill of one energy source on one plan, the heater included."""

    source: EnergySource
    plan: str
    per_year: float

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain fields."""
        return {"energy_source": str(self.source), "plan": self.plan, "per_year": self.per_year}


def sentences(
    cost: OptionCost,
    saved: Savings | None,
    found: Sequence[PriceRange],
    plans: Sequence[PlanYear],
    basis: CostBasis,
    lead: Lead | None = None,
) -> tuple[str, ...]:
    """Return what a customer wants to know of the cost of an option, one thought a line."""
    sign = _sign(cost.currency)
    years = basis.terms.study_years
    lines = []
    if cost.band is not None:
        lines.append(
            f"Over {years_text(years)} about {sign}{_round(cost.band.p50)} in today's money"
            f" ({sign}{_round(cost.band.p10)} to {sign}{_round(cost.band.p90)} in 8 of 10"
            f" futures); {in_words(cost.band.cheapest_probability)}."
        )
        if cost.band.p50 > _WORTH_SAYING * cost.life_cycle:
            lines.append(
                f"With all as expected the years add up to {sign}{_round(cost.life_cycle)}; the"
                " middle of the futures lies higher, since heaters in use fall short of their"
                " rating and prices may rise."
            )
    if saved is not None:
        lines.append(_saving_sentence(saved, lead, sign, years))
    lines += [_range_sentence(price, basis) for price in found if price.holds_today]
    lines += _plan_sentences(plans, sign)
    lines += _bill_sentences(cost, basis)
    lines += [incentive.sentence for incentive in cost.incentives]
    if cost.monthly_payment is not None and basis.finance is not None:
        lines.append(_loan_sentence(cost.monthly_payment, basis.finance, cost.currency, years))
    return tuple(filter(None, (*lines, *cost.notes)))


def _bill_sentences(cost: OptionCost, basis: CostBasis) -> list[str]:
    """Return what a reader of the bills would ask: standing charges, exports, other use."""
    show, lines = Display(currency=cost.currency), []
    for source, bill in cost.bills.items():
        name = source.replace("_", " ")
        if bill.fixed_per_year >= 1.0:
            lines.append(
                f"Nothing else here uses {name}, so its standing charge of"
                f" {show.money(bill.fixed_per_year)} a year is this heater's own; with another"
                " fuel it ends."
            )
        if basis.tariffs[source].drops is not None:
            sooner = "" if bill.account_closes else ", and with this heater the loads come sooner"
            lines.append(
                f"{name.capitalize()} comes by the load{sooner}, so that single months jump: what"
                f" counts is the year, {show.money(float(np.sum(bill.monthly)))}."
            )
        other = basis.other_use[source]
        if source in basis.typical_use and other and not basis.tariffs[source].is_straight:
            unit, unit_kwh = _billed_in(source, basis)
            month = float(np.sum(other.monthly_kwh)) / 12.0 / unit_kwh
            lines.append(
                f"It is billed on top of what homes in {basis.region} typically use,"
                f" {month:,.0f} {unit} of {name} a month; your own bills would say it exactly."
            )
    space = sum(cost.space_per_year.values())
    if abs(space) >= 1.0:
        lines.append(
            f"What it does to heating and cooling the house {'adds' if space > 0 else 'saves'}"
            f" {show.money(abs(space))} a year; the years count it, its own bills do not."
        )
    if cost.export_forgone_per_year >= 1.0:
        lines.append(
            "It takes power from your roof for which the utility would have paid"
            f" {show.money(cost.export_forgone_per_year)} a year; that is counted."
        )
    return lines


def _saving_sentence(saved: Savings, lead: Lead | None, sign: str, years: int) -> str:
    amount, saves = _round(abs(saved.net_savings)), saved.net_savings >= 0
    over = f"over {years_text(years)}"
    if amount == "0":
        said = f"comes to about the same {over} as"
    else:
        said = (f"saves {sign}{amount} {over} against" if saves
                else f"costs {sign}{amount} more {over} than")  # fmt: skip
    said += " replacing like for like"
    turned = None if lead is None else _turned_by_draws(lead, saves, sign)
    if turned:
        return f"If all goes as rated it {said}, but {turned}."
    back = saved.discounted_payback_years if saves else None
    if back == 0:
        return f"It {said} and costs no more to put in."
    when = ""
    if back:
        time = f"after about {years_text(round(back))}" if back >= 1.0 else "within the first year"
        when = f", and the extra price is back {time}"
    return f"It {said}{when}."


def _loan_sentence(payment: float, loan: Finance, currency: str, study_years: int) -> str:
    show = Display(currency=currency)
    part = "" if loan.share >= 1.0 else f"{100 * loan.share:.3g} % of the price, "
    fee = f", and {show.money(loan.fee)} at the start for the loan" if loan.fee else ""
    owed = "" if loan.years <= study_years else (
        f" What is still owed after {years_text(study_years)} is counted at their end."
    )  # fmt: skip
    return (
        f"Financed: {part}{show.money(payment, 0.01 if payment < _IN_CENTS else 1.0)} a month for"
        f" {years_text(loan.years)} at {100 * loan.nominal_rate:.4g} %{fee}.{owed}"
    )


def _turned_by_draws(lead: Lead, saves: bool, sign: str) -> str | None:
    """Return what the drawn futures say where it is the opposite; None where they agree.

    As rated leaves out how far heaters fall short in use and how unevenly they last.
    """
    against = 1.0 - lead.share if saves else lead.share
    if against > 0.5:
        tenths = round(10 * against)
        often = {5: "about half of the", 10: "nearly all"}.get(tenths, f"{tenths} of 10")
        return f"in {often} drawn futures {'replacing like for like' if saves else 'it'} costs less"
    if (lead.mean < 0) == saves and abs(lead.mean) >= 5.0:  # rounds to 10 at least
        by = f"{sign}{_round(abs(lead.mean))}"
        return (
            f"on average over the drawn futures it {f'costs {by} more' if saves else f'saves {by}'}"
        )
    return None


def _range_sentence(price: PriceRange, basis: CostBasis) -> str:
    unit, unit_kwh = _billed_in(price.source, basis)
    name = price.source.replace("_", " ")
    up_to, down_to, today = (
        f"{_sign(basis.currency)}{value * unit_kwh:.{2 if value * unit_kwh >= 1 else 3}f}"
        for value in (price.high_per_kwh, price.low_per_kwh, price.today_per_kwh)
    )
    if price.high_per_kwh < inf and price.low_per_kwh > 0:
        span = f"between {down_to} and {up_to} per {unit}"
    elif price.high_per_kwh < inf:
        span = f"up to {up_to} per {unit}"
    elif price.low_per_kwh > 0:
        span = f"from {down_to} per {unit} upwards"
    else:
        return f"It stays the cheapest at any price of {name}."
    return f"It stays the cheapest at {name} prices {span} (today {today})."


def _billed_in(source: EnergySource, basis: CostBasis) -> tuple[str, float]:
    country = "CA" if basis.currency == "CAD" else "US"
    return billed_in(source, country, basis.tariffs[source].heat_content_kwh_per_l)


def billed_in(
    source: EnergySource, country: str, heat_content_kwh_per_l: float | None = None
) -> tuple[str, float]:
    """Return the unit that a customer knows from the bill, and its heat.

    Parameters
    ----------
    source : EnergySource
        What is billed.
    country : str
        "US" or "CA".
    heat_content_kwh_per_l : float, optional
        Heat of the fuel as the tariff has it; without it the country's usual one. [kWh/L]

    Returns
    -------
    tuple of (str, float)
        "kWh", "therm", "m3", "gal" or "L"; energy of one unit. [kWh]
    """
    unit = _BILLED_IN.get((country, source), "kWh")
    if unit in ("kWh", "therm"):
        return unit, units.convert(1.0, unit, "kWh")
    heat = heat_content_kwh_per_l or usual_heat_kwh_per_l(source, country) or 0.0
    return unit, heat * units.convert(1.0, unit, "L")


def _sign(currency: str) -> str:
    return "C$" if currency == "CAD" else "$"


def _round(amount: float) -> str:
    return f"{round(amount, -2):,.0f}" if amount >= 1000 else f"{round(amount, -1):,.0f}"


def _plan_sentences(plans: Sequence[PlanYear], sign: str) -> list[str]:
    lines = []
    for source in dict.fromkeys(plan.source for plan in plans):
        today, *others = [plan for plan in plans if plan.source is source]
        best = min(others, key=lambda plan: plan.per_year)
        saved = today.per_year - best.per_year
        if saved >= 10:
            lines.append(
                f"On the plan “{best.plan}” the household's whole {source.replace('_', ' ')}"
                f" bill would be about {sign}{_round(saved)} a year lower."
            )
    return lines
