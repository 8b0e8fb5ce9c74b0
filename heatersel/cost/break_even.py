"""Up to which price an option stays the cheapest to own.

At a given set of tariffs the life-cycle cost of an option is a straight line in the level of each
energy price. Where the lines of two options cross, the choice turns; no search is needed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np

from heatersel.cost.life_cycle import Ownership, StudyTerms, escalated_factor, life_cycle_cost
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource

REACH = 2.5
"""Highest price of a map over today's."""

__all__ = [
    "REACH",
    "PriceLine",
    "PriceMap",
    "PriceRange",
    "cheapest_range",
    "price_line",
    "price_map",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """Life-cycle cost of one option as a function of price levels.

    Parameters
    ----------
    id : str
        The option.
    base : float
        What does not depend on energy prices.
    slope : mapping of EnergySource to float
        Energy cost over the study at today's prices; times the level of the price.
    """

    id: str
    base: float
    slope: Mapping[EnergySource, float]

    def at(self, levels: Mapping[EnergySource, float]) -> float:
        """Return the life-cycle cost at price levels, 1 being today's; absent means 1."""
        return self.base + sum(cost * levels.get(s, 1.0) for s, cost in self.slope.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceRange:
    """Prices of one source between which an option is the cheapest, other prices as today.

    Parameters
    ----------
    source : EnergySource
        Whose price moves.
    today_per_kwh : float
        Today's price of the heater's energy.
    low_per_kwh, high_per_kwh : float
        Ends of the range, 0 and infinite where it has none; low above high if there is no price
        at which the option is the cheapest.
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


def price_line(option_id: str, ownership: Ownership, terms: StudyTerms) -> PriceLine:
    """Return the life-cycle cost of an option as a line in price levels."""
    slope = {
        source: cost
        * escalated_factor(
            terms.discount_rate, terms.escalation.get(source, 0.0), terms.study_years
        )
        for source, cost in ownership.energy_per_year.items()
    }
    base = life_cycle_cost(ownership, terms) - sum(slope.values())
    return PriceLine(id=option_id, base=base, slope=slope)


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
    low, high = 0.0, inf
    for rival in lines:
        dearer = own.slope.get(source, 0.0) - rival.slope.get(source, 0.0)
        ahead = rival.at({source: 0.0}) - own.at({source: 0.0})
        if dearer > 0:
            high = min(high, ahead / dearer)
        elif dearer < 0:
            low = max(low, ahead / dearer)
        elif ahead < 0:
            low, high = inf, -inf
    return PriceRange(
        source=source, today_per_kwh=today_per_kwh,
        low_per_kwh=low * today_per_kwh, high_per_kwh=high * today_per_kwh,
    )  # fmt: skip


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
        + line.slope.get(across, 0.0) * levels[None, :]
        + line.slope.get(up, 0.0) * levels[:, None]
        for line in lines
    ])  # fmt: skip
    winner = cost.argmin(axis=0)
    return PriceMap(
        across=across, up=up,
        across_per_kwh=tuple(float(level * today_per_kwh[across]) for level in levels),
        up_per_kwh=tuple(float(level * today_per_kwh[up]) for level in levels),
        cheapest=tuple(tuple(lines[k].id for k in row) for row in winner),
    )  # fmt: skip
