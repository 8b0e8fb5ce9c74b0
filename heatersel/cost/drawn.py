"""Options as the draws see them: what each costs when demand and prices turn out otherwise."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from heatersel.cost.basis import CostBasis
from heatersel.cost.incentives import AppliedIncentive, apply_incentives
from heatersel.cost.installed import total, upkeep
from heatersel.cost.option_cost import OptionCost, energy_cost, grows_straight
from heatersel.cost.uncertainty import (
    N_DRAWS,
    CostCurve,
    Ranges,
    Uncertain,
    bands,
    draw,
    field_shortfall_frac,
    futures_of,
    life_cycle_costs,
)
from heatersel.heaters.heater import EnergySource, Heater

__all__ = ["Lead", "leads_over", "uncertain", "with_bands"]

_ENERGY_SCALES = (0.0, 0.5, 0.75, 1.0, 1.3, 1.7, 2.5)
_PRICE_LEVELS = (0.0, 0.75, 0.85, 0.95, 1.0, 1.05, 1.15, 1.3, 1.5)
"""Closest where prices usually lie; a cap or a cut as large as the price bends between two."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lead:
    """How much less an option costs than another in the drawn futures.

    Parameters
    ----------
    mean : float
        Mean difference of the two life-cycle costs, above 0 where the option costs less.
    share : float
        Share of the futures in which it costs less. [-]
    """

    mean: float
    share: float


def leads_over(
    basis: CostBasis,
    base: tuple[Heater, OptionCost],
    options: Sequence[tuple[Heater, OptionCost]],
    *,
    ranges: Ranges | None = None,
    n_draws: int = N_DRAWS,
    seed: int = 1,
) -> tuple[Lead, ...]:
    """Return how options stand against one of them in the futures behind the bands.

    Parameters
    ----------
    basis : CostBasis
        What they were found with.
    base : (Heater, OptionCost)
        What they are set against.
    options : sequence of (Heater, OptionCost)
        The options.
    ranges, n_draws, seed
        As for :func:`with_bands`; the same give the same futures.

    Returns
    -------
    tuple of Lead
        In the order of the options.
    """
    drawn = [uncertain(basis, heater, cost) for heater, cost in (base, *options)]
    future = futures_of(draw(n_draws, seed), basis.terms, ranges or Ranges())
    costs = life_cycle_costs(drawn, basis.terms, future)
    ahead = costs[:, :1] - costs[:, 1:]
    return tuple(
        Lead(mean=float(np.mean(lead)), share=float(np.mean(lead > 0))) for lead in ahead.T
    )


def with_bands(
    basis: CostBasis,
    options: Sequence[tuple[Heater, OptionCost]],
    *,
    ranges: Ranges | None = None,
    n_draws: int = N_DRAWS,
    seed: int = 1,
) -> tuple[OptionCost, ...]:
    """Return the costs of the options with the bands that come of drawing them together.

    Parameters
    ----------
    basis : CostBasis
        What they were found with.
    options : sequence of (Heater, OptionCost)
        The options that compete: feasible and adequate ones.
    ranges : Ranges, optional
        How far inputs may be off.
    n_draws, seed : int
        Futures drawn, and from where.

    Returns
    -------
    tuple of OptionCost
        In the same order.
    """
    drawn = [uncertain(basis, heater, cost) for heater, cost in options]
    found = bands(drawn, basis.terms, ranges=ranges, n_draws=n_draws, seed=seed) if drawn else ()
    return tuple(replace(cost, band=band) for (_, cost), band in zip(options, found, strict=True))


def uncertain(basis: CostBasis, heater: Heater, cost: OptionCost) -> Uncertain:
    """Return an option as the draws see it.

    Where a bill is not in proportion to the energy (blocks, a least bill, a demand charge, own
    solar surplus) it is billed at several amounts and taken straight between them. Incentives are
    applied anew at several levels of the price: a rebate of a fixed amount does not grow with it.
    """
    price, receipts = _after_incentives(basis, heater, cost)
    return Uncertain(
        id=heater.id, heater_class=heater.heater_class, ownership=cost.ownership,
        price=price, receipts=receipts,
        curves={source: _energy(basis, source, cost) for source in cost.ownership.energy_per_year},
        life_shape=upkeep(heater.heater_class, basis.currency).life_shape,
        shortfall_frac=field_shortfall_frac(heater.heater_class),
    )  # fmt: skip


def _energy(basis: CostBasis, source: EnergySource, cost: OptionCost) -> CostCurve:
    expected, space = cost.energy_per_year.get(source, 0.0), cost.space_per_year.get(source, 0.0)
    if source not in cost.uses or grows_straight(basis, source):
        return CostCurve.straight(expected + space)
    use = cost.uses[source]
    return _curve(
        _ENERGY_SCALES,
        [space * scale + energy_cost(basis, source, use.scaled(scale)) for scale in _ENERGY_SCALES],
    )


def _after_incentives(
    basis: CostBasis, heater: Heater, cost: OptionCost
) -> tuple[CostCurve, tuple[tuple[float, CostCurve], ...]]:
    """Return the price after price cuts and the later cash, over the level of prices."""
    if not any(item.applied for item in cost.incentives):
        return CostCurve.straight(cost.installed), ()
    at_levels = [_incentives_at(level, basis, heater, cost) for level in _PRICE_LEVELS]
    price = [
        level * total(cost.installed_lines) - sum(item.price_cut for item in items)
        for level, items in zip(_PRICE_LEVELS, at_levels, strict=True)
    ]
    receipts = tuple(
        (item.after_years, _curve(_PRICE_LEVELS, [items[k].later_cash for items in at_levels]))
        for k, item in enumerate(cost.incentives)
        if item.later_cash
    )
    return _curve(_PRICE_LEVELS, price), receipts


def _incentives_at(
    level: float, basis: CostBasis, heater: Heater, cost: OptionCost
) -> tuple[AppliedIncentive, ...]:
    lines = [replace(line, amount=level * line.amount) for line in cost.installed_lines]
    return apply_incentives(
        basis.incentives, heater, lines, purchase_date=basis.purchase_date,
        installation_date=basis.installation_date, currency=basis.currency,
        study_years=basis.terms.study_years,
    )  # fmt: skip


def _curve(scales: Sequence[float], costs: Sequence[float]) -> CostCurve:
    return CostCurve(scale=np.array(scales), cost=np.array(costs))
