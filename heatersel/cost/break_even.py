"""Up to which price an option stays the cheapest to own.

The level of a price moves all charges by unit and by demand of a tariff alike; standing charges,
least bills and what the utility pays for own solar surplus stay. Life-cycle cost is then straight
in each level, but for bends where a month's charges reach a least bill. Where the lines of two
options cross, the choice turns; no search is needed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf

import numpy as np
from numpy.typing import NDArray

from heatersel.cost.basis import CostBasis
from heatersel.cost.bill import Use, household_bill
from heatersel.cost.life_cycle import escalated_factor
from heatersel.cost.option_cost import OptionCost, energy_cost, grid_price, grows_straight
from heatersel.cost.tariff import Tariff
from heatersel.cost.uncertainty import CostCurve
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource

REACH = 2.5
"""Highest price of a map over today's."""

_SAME = 1e-9

__all__ = [
    "REACH",
    "PriceLine",
    "PriceMap",
    "PriceRange",
    "cheapest_range",
    "price_lines",
    "price_map",
    "prices_today",
]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PriceLine:
    """Life-cycle cost of one option as a function of price levels.

    Parameters
    ----------
    id : str
        The option.
    base : float
        What does not depend on energy prices.
    energy : mapping of EnergySource to CostCurve
        Energy cost over the study, by the level of the price.
    """

    id: str
    base: float
    energy: Mapping[EnergySource, CostCurve]

    def at(self, levels: Mapping[EnergySource, float]) -> float:
        """Return the life-cycle cost at price levels, 1 being today's; absent means 1."""
        return self.base + sum(
            float(self.along(source, np.array([levels.get(source, 1.0)]))[0])
            for source in self.energy
        )

    def along(self, source: EnergySource, levels: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return its energy cost of one source over the study at each level of the price."""
        curve = self.energy.get(source)
        return np.zeros_like(levels) if curve is None else curve.at(levels)


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRange:
    """Prices of one source between which an option is the cheapest, other prices as today.

    Parameters
    ----------
    source : EnergySource
        Whose price moves.
    today_per_kwh : float
        Today's price.
    low_per_kwh, high_per_kwh : float
        Ends of the range, 0 and infinite where it has none; low above high if there is no price
        at which the option is the cheapest. Of several ranges the one nearest to today's price.
    """

    source: EnergySource
    today_per_kwh: float
    low_per_kwh: float
    high_per_kwh: float

    @property
    def ever(self) -> bool:
        """Whether there is such a price at all."""
        return self.low_per_kwh <= self.high_per_kwh

    @property
    def holds_today(self) -> bool:
        """Whether the option is the cheapest at today's price."""
        return self.low_per_kwh <= self.today_per_kwh <= self.high_per_kwh

    def as_dict(self) -> dict[str, float | str | bool | None]:
        """Return it as plain fields; an end that is not there is None."""
        return {
            "energy_source": str(self.source),
            "today_per_kwh": self.today_per_kwh,
            "low_per_kwh": self.low_per_kwh if self.ever else None,
            "high_per_kwh": self.high_per_kwh if self.ever and self.high_per_kwh < inf else None,
            "holds_today": self.holds_today,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceMap:
    """Which option is the cheapest at each pair of prices.

    Parameters
    ----------
    across, up : EnergySource
        Source whose price runs along each axis.
    across_per_kwh, up_per_kwh : tuple of float
        Prices, rising.
    cheapest : tuple of tuple of str
        Id of the cheapest option; one row for each price of `up`.
    """

    across: EnergySource
    up: EnergySource
    across_per_kwh: tuple[float, ...]
    up_per_kwh: tuple[float, ...]
    cheapest: tuple[tuple[str, ...], ...]

    def as_dict(self) -> dict[str, object]:
        """Return it as plain fields."""
        return {
            "across": str(self.across),
            "up": str(self.up),
            "across_per_kwh": list(self.across_per_kwh),
            "up_per_kwh": list(self.up_per_kwh),
            "cheapest": [list(row) for row in self.cheapest],
        }


def prices_today(basis: CostBasis, costs: Sequence[OptionCost]) -> dict[EnergySource, float]:
    """Return the price of a kWh from the grid or the supplier, for each source that options use.

    Parameters
    ----------
    basis : CostBasis
        Tariffs and other use.
    costs : sequence of OptionCost
        The options.

    Returns
    -------
    mapping of EnergySource to float
        See :func:`heatersel.cost.option_cost.grid_price`; a source without a price is left out.
    """
    used = {s for cost in costs for s, use in cost.uses.items() if np.any(use.monthly_kwh > 0)}
    prices = {source: grid_price(basis, source) for source in EnergySource if source in used}
    return {source: price for source, price in prices.items() if price > 0}


def price_lines(
    basis: CostBasis, options: Sequence[tuple[str, OptionCost]]
) -> tuple[PriceLine, ...]:
    """Return the life-cycle cost of options over the levels of energy prices.

    Parameters
    ----------
    basis : CostBasis
        What their costs were found with.
    options : sequence of (str, OptionCost)
        Id and cost of each.

    Returns
    -------
    tuple of PriceLine
        In the same order. What a heater does to the house's heating and cooling is taken in
        proportion to the price; beside own solar surplus that is off by the exports in it.
    """
    terms = basis.terms
    lines = []
    for id_, cost in options:
        curves = {}
        for source, per_year in cost.ownership.energy_per_year.items():
            growth = terms.escalation.get(source, 0.0)
            factor = escalated_factor(terms.discount_rate, growth, terms.study_years)
            if source not in cost.uses or grows_straight(basis, source):
                curves[source] = CostCurve.straight(factor * per_year)
                continue
            levels = _levels(basis, source, cost.uses[source])
            yearly = [_at_level(basis, source, cost, level) for level in levels]
            curves[source] = CostCurve(scale=levels, cost=factor * np.array(yearly))
        energy = sum(float(curve.at(np.ones(1))[0]) for curve in curves.values())
        lines.append(PriceLine(id=id_, base=cost.life_cycle - energy, energy=curves))
    return tuple(lines)


def _levels(basis: CostBasis, source: EnergySource, use: Use) -> NDArray[np.float64]:
    """Return price levels between which, and beyond the last of which, the cost is straight.

    It bends where the charges of a month, with the heater or without, reach the least bill.
    """
    tariff, other = basis.tariffs[source], basis.other_use[source]
    if not tariff.has_minimum:
        return np.array([0.0, 1.0])
    own = basis.grid_use(source, use)
    no_riders = replace(tariff, riders=())
    no_least = replace(no_riders, minimum_per_month=0.0, minimum_per_day=0.0)

    def monthly(of: Tariff, meter: Use) -> NDArray[np.float64]:
        return household_bill(of, meter, basis.bill_year).monthly

    nothing = Use(monthly_kwh=np.zeros(12))
    standing = monthly(no_least, nothing)
    up_to_least = monthly(no_riders, nothing) - standing
    bends = {0.0, 1.0}
    for meter in (own,) if other is None else (other, other + own):
        by_unit = monthly(no_least, meter) - standing
        reached = (by_unit > 0) & (up_to_least > 0)
        bends.update(np.round(up_to_least[reached] / by_unit[reached], 6).tolist())
    return np.array([*sorted(bends), max(bends) + 1.0])


def _at_level(basis: CostBasis, source: EnergySource, cost: OptionCost, level: float) -> float:
    """Return what a source costs an option a year, all charges by unit times `level`."""
    tariff, other = basis.tariffs[source].scaled(level), basis.other_use[source]
    bill = None if other is None else household_bill(tariff, other, basis.bill_year)
    scaled = replace(
        basis, tariffs={**basis.tariffs, source: tariff},
        other_bills={**basis.other_bills, source: bill},
    )  # fmt: skip
    in_house = level * cost.space_per_year.get(source, 0.0)
    return in_house + energy_cost(scaled, source, cost.uses[source])


def cheapest_range(
    lines: Sequence[PriceLine], option_id: str, source: EnergySource, today_per_kwh: float
) -> PriceRange:
    """Return between which prices of `source` an option is the cheapest, the rest as today.

    Parameters
    ----------
    lines : sequence of PriceLine
        All options that compete.
    option_id : str
        One of them.
    source : EnergySource
        Whose price moves; all its charges by unit move alike, standing charges stay.
    today_per_kwh : float
        Today's price, which the result is scaled by.

    Returns
    -------
    PriceRange

    Raises
    ------
    UnknownChoiceError
        If the option is not among the lines.
    """
    own = next((line for line in lines if line.id == option_id), None)
    if own is None:
        raise UnknownChoiceError.of(
            "option", value=option_id, allowed=", ".join(line.id for line in lines),
            fix="use one of the options that compete",
        )  # fmt: skip
    bends = {0.0, *(float(x) for line in lines if source in line.energy
                    for x in line.energy[source].scale)}  # fmt: skip
    spans: list[tuple[float, float]] = []
    for start, end in pairwise((*sorted(bends), inf)):
        low, high = _ahead(lines, own, source, start, end)
        if low > high:
            continue
        if spans and low - spans[-1][1] < _SAME:
            low = spans.pop()[0]
        spans.append((low, high))
    low, high = min(spans, key=lambda span: max(span[0] - 1.0, 1.0 - span[1]), default=(inf, -inf))
    return PriceRange(
        source=source, today_per_kwh=today_per_kwh,
        low_per_kwh=low * today_per_kwh, high_per_kwh=high * today_per_kwh,
    )  # fmt: skip


def _ahead(
    lines: Sequence[PriceLine], own: PriceLine, source: EnergySource, start: float, end: float
) -> tuple[float, float]:
    """Return where between two levels, all costs being straight, an option is the cheapest."""
    low, high = start, end
    step = 1.0 if end == inf else end - start
    for rival in lines:
        lead, later = (
            rival.at({source: level}) - own.at({source: level}) for level in (start, start + step)
        )
        slope = (later - lead) / step
        if abs(slope) < _SAME:
            if lead < -_SAME:
                return inf, -inf
        elif slope > 0:
            low = max(low, start - lead / slope)
        else:
            high = min(high, start - lead / slope)
    return low, high


def price_map(
    lines: Sequence[PriceLine],
    today_per_kwh: Mapping[EnergySource, float],
    *,
    across: EnergySource = EnergySource.ELECTRICITY,
    up: EnergySource = EnergySource.NATURAL_GAS,
    reach: float = REACH,
    steps: int = 25,
) -> PriceMap:
    """Return which option is the cheapest over a range of two prices.

    Parameters
    ----------
    lines : sequence of PriceLine
        All options that compete, at least one.
    today_per_kwh : mapping of EnergySource to float
        Today's price of both sources.
    across, up : EnergySource
        Sources of the two axes.
    reach : float
        Highest price over today's, above 0.
    steps : int
        Prices along each axis, at least 2; the first is 0 and one may not be today's.

    Returns
    -------
    PriceMap
    """
    levels = np.linspace(0.0, reach, steps)
    cost = np.array([
        line.at({across: 0.0, up: 0.0})
        + (line.along(across, levels) - line.along(across, np.zeros(1)))[None, :]
        + (line.along(up, levels) - line.along(up, np.zeros(1)))[:, None]
        for line in lines
    ])  # fmt: skip
    winner = cost.argmin(axis=0)
    return PriceMap(
        across=across, up=up,
        across_per_kwh=tuple(float(level * today_per_kwh[across]) for level in levels),
        up_per_kwh=tuple(float(level * today_per_kwh[up]) for level in levels),
        cheapest=tuple(tuple(lines[k].id for k in row) for row in winner),
    )  # fmt: skip
