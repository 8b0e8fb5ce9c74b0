"""What an option costs to own at the company's own price, and how sure the yearly cost is."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from heatersel.comparison import Option
from heatersel.cost.basis import CostBasis
from heatersel.cost.drawn import uncertain
from heatersel.cost.installed import InstalledLine
from heatersel.cost.life_cycle import IN_CASH, life_cycle_cost
from heatersel.cost.option_cost import OptionCost, purchase
from heatersel.cost.uncertainty import Ranges, draw, futures_of
from heatersel.quote.money import amount_of
from heatersel.quote.price_rows import RowKind
from heatersel.quote.pricing import Price

__all__ = ["RunningRange", "recosted", "running_ranges"]

_N_DRAWS = 1000
_LINE_IDS = {
    RowKind.EQUIPMENT: "heater",
    RowKind.LABOUR: "labour",
    RowKind.MATERIALS: "fittings",
}
"""Ids that the cost of an installation uses for its usual lines."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunningRange:
    """Yearly cost of energy and upkeep in the drawn futures, at today's price level.

    Parameters
    ----------
    low, high : float
        One future in ten stays below, one in ten goes beyond.
    """

    low: float
    high: float


def recosted(option: Option, basis: CostBasis, price: Price) -> Option:
    """Return an option with the company's price instead of the usual one.

    Parameters
    ----------
    option : Option
        With a cost.
    basis : CostBasis
        Terms, incentives and loan of the job.
    price : Price
        Complete; with one that lacks lines the option is returned as it is.

    Returns
    -------
    Option
        Installed price after incentives, replacements and life-cycle cost follow the price.
    """
    cost, total = option.cost, price.total_cents
    if cost is None or total is None:
        return option
    lines = _installed_lines(price)
    full = replace(
        cost.ownership, installed=amount_of(total), replacement=amount_of(price.replacement_cents),
        later_cash=(), paid=IN_CASH, loan_fee=0.0,
    )  # fmt: skip
    bought = purchase(basis, option.heater, lines, full)
    return replace(
        option,
        cost=replace(
            cost, installed=bought.ownership.installed, installed_lines=lines,
            incentives=bought.incentives, monthly_payment=bought.monthly_payment,
            ownership=bought.ownership, life_cycle=life_cycle_cost(bought.ownership, basis.terms),
            band=None,
        ),
    )  # fmt: skip


def running_ranges(
    basis: CostBasis, options: tuple[tuple[Option, OptionCost], ...], seed: int
) -> tuple[RunningRange, ...]:
    """Return the range of the yearly running cost of each option, drawn in common futures.

    Parameters
    ----------
    basis : CostBasis
        What the costs were found with.
    options : tuple of (Option, OptionCost)
        The options.
    seed : int
        Of the draws.

    Returns
    -------
    tuple of RunningRange
        In the same order. Hot water used, today's prices and the shortfall in the field vary;
        growth of prices does not, since this is a cost of today.
    """
    future = futures_of(draw(_N_DRAWS, seed), basis.terms, Ranges())
    ranges = []
    for option, cost in options:
        item = uncertain(basis, option.heater, cost)
        used = future.demand / (1.0 - item.shortfall(future))
        yearly = np.full(_N_DRAWS, cost.fixed_per_year + cost.maintenance_per_year)
        for source, curve in item.curves.items():
            yearly = yearly + curve.at(used) * future.price[source]
        low, high = (float(value) for value in np.quantile(yearly, (0.1, 0.9)))
        ranges.append(RunningRange(low=low, high=high))
    return tuple(ranges)


def _installed_lines(price: Price) -> tuple[InstalledLine, ...]:
    lines = [
        InstalledLine(
            id=_LINE_IDS.get(line.kind, line.item), text=line.text,
            amount=amount_of(line.amount_cents), repeats=line.repeats,
        )
        for line in price.lines
    ]  # fmt: skip
    taxes = [
        InstalledLine(id="tax", text=tax.text, amount=amount_of(tax.amount_cents), repeats=False)
        for tax in price.taxes
    ]
    return (*lines, *taxes)
