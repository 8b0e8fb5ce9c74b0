"""Flow of fixtures that run together, as a probability distribution.

Main reference: the Peak Water Demand Study of 2017 [1]_, which gives each fixture a probability
of being busy in the peak period and a flow; the number busy of n alike is binomial, and unlike
fixtures are independent. The distribution here is exact: every combination is kept. Beside it
stands the study's approximation; the classic method of 1940 is in `peak_flow_1940`.

Percentiles are of all moments of the peak period: then another fixture can only raise them. The
study counts, for one house, only the moments in which something runs; that figure is higher and
is given beside it. The outcome jumps between sums of fixture flows, and members of a family are
not independent: a stated list of what runs together wins over any percentile.

References
----------
.. [1] Buchberger, S., Omaghomi, T., Wolfe, T., Hewitt, J., Cole, D., "Peak Water Demand Study",
   IAPMO, January 2017.  (title and contents seen, p and q and equations from memory, high)
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import OutOfRangeError
from heatersel.job.models import Fixture, FixtureCounts, FixtureFlows
from heatersel.reference import records

__all__ = [
    "TUB_FILLERS",
    "BusyFixture",
    "FlowDistribution",
    "busy_fixtures",
    "flow_distribution",
    "modified_normal_flow_l_per_min",
    "published_p_q",
    "simultaneous_flow_l_per_min",
]

Floats = NDArray[np.float64]

TUB_FILLERS = (Fixture.BATHTUB, Fixture.SOAKING_TUB)
"""A tub that gets less flow only fills more slowly, so the flow that a heater must hold is
counted without them; the distribution that is shown has them."""

_MERGE_L_PER_MIN = 1e-6
_MOST_COMBINATIONS = 200_000
_COARSE_L_PER_MIN = 0.01
_SLACK = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class BusyFixture:
    """Some fixtures of one kind, as the method sees them.

    Parameters
    ----------
    n : int
        How many, 0 or more.
    p_busy : float
        Probability that one runs at a moment of the peak period, 0 to 1. [-]
    flow_l_per_min : float
        Flow of one while it runs, above 0. [L/min]
    """

    n: int
    p_busy: float
    flow_l_per_min: float

    def __post_init__(self) -> None:
        """Check the range of each field."""
        if self.flow_l_per_min <= 0.0:
            raise OutOfRangeError.of(
                "fixture flow", value=f"{self.flow_l_per_min:g} L/min", allowed="above 0",
                fix='remove the fixture or give its flow, such as "2.0 gal/min"',
            )  # fmt: skip
        if self.n < 0 or not 0.0 <= self.p_busy <= 1.0:
            raise OutOfRangeError.of(
                "fixture", value=f"{self.n} with p = {self.p_busy:g}",
                allowed="0 or more, each with a probability of 0 to 1",
            )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FlowDistribution:
    """Every flow that can occur in the peak period and its probability.

    Parameters
    ----------
    flow_l_per_min : array
        Possible flows in rising order, the first 0. [L/min]
    probability : array
        Of each flow; sums to 1. [-]
    """

    flow_l_per_min: Floats
    probability: Floats

    @property
    def idle_probability(self) -> float:
        """Probability that nothing runs. [-]"""
        return float(self.probability[0])

    @property
    def mean_l_per_min(self) -> float:
        """Mean flow, idle moments included. [L/min]"""
        return float(self.flow_l_per_min @ self.probability)

    def percentile_l_per_min(self, percentile: float = 0.99, *, given_busy: bool = False) -> float:
        """Return the smallest flow that is not exceeded in this share of moments.

        Parameters
        ----------
        percentile : float
            Share of moments, above 0 and below 1. [-]
        given_busy : bool
            Count only moments in which something runs, as the study does for one house.

        Returns
        -------
        float
            Flow. [L/min]

        Raises
        ------
        OutOfRangeError
            If the percentile lies outside.
        """
        if not 0.0 < percentile < 1.0:
            raise OutOfRangeError.of(
                "percentile", value=percentile, allowed="above 0 and below 1",
                fix="write 0.99 for the 99th percentile",
            )  # fmt: skip
        cumulative = self._cumulative(given_busy)
        place = int(np.searchsorted(cumulative, percentile - _SLACK))
        return float(self.flow_l_per_min[min(place, cumulative.size - 1)])

    def share_not_above(self, flow_l_per_min: float, *, given_busy: bool = False) -> float:
        """Return in which share of (busy) moments this flow suffices. [-]"""
        place = np.searchsorted(self.flow_l_per_min, flow_l_per_min + _MERGE_L_PER_MIN, "right")
        return float(self._cumulative(given_busy)[place - 1]) if place else 0.0

    def _cumulative(self, given_busy: bool) -> Floats:
        busy = 1.0 - self.idle_probability
        if not given_busy or busy <= 0.0:
            return np.cumsum(self.probability)
        return np.cumsum(np.concatenate([[0.0], self.probability[1:]])) / busy


def flow_distribution(fixtures: Iterable[BusyFixture]) -> FlowDistribution:
    """Return the exact distribution of the flow that independent fixtures draw together.

    Parameters
    ----------
    fixtures : iterable of BusyFixture
        One entry per kind.

    Returns
    -------
    FlowDistribution
        All sums of flows with their probabilities.

    Notes
    -----
    Convolution of one binomial after the other; equal sums are merged. Beyond 200,000 different
    sums (a hotel, not a house) flows are rounded to 0.01 L/min.

    Examples
    --------
    >>> two_heads = flow_distribution([BusyFixture(n=2, p_busy=0.045, flow_l_per_min=7.57)])
    >>> two_heads.percentile_l_per_min(0.99), round(two_heads.idle_probability, 3)
    (7.57, 0.912)
    """
    flow, probability = np.zeros(1), np.ones(1)
    for kind in fixtures:
        if kind.n == 0 or kind.p_busy == 0.0:
            continue
        step = _MERGE_L_PER_MIN
        if flow.size * (kind.n + 1) > _MOST_COMBINATIONS:
            step = _COARSE_L_PER_MIN
        busy = np.arange(kind.n + 1)
        pmf = np.array(
            [
                math.comb(kind.n, m) * kind.p_busy**m * (1.0 - kind.p_busy) ** (kind.n - m)
                for m in range(kind.n + 1)
            ]
        )
        flow, probability = _merged(
            np.add.outer(flow, busy * kind.flow_l_per_min).ravel(),
            np.multiply.outer(probability, pmf).ravel(),
            step,
        )
    return FlowDistribution(flow_l_per_min=flow, probability=probability)


def modified_normal_flow_l_per_min(
    fixtures: Iterable[BusyFixture], percentile: float = 0.99
) -> float:
    """Return the peak flow by the study's approximation for smaller buildings.

    Parameters
    ----------
    fixtures : iterable of BusyFixture
        One entry per kind.
    percentile : float
        Share of busy moments, above 0 and below 1. [-]

    Returns
    -------
    float
        Flow; 0 if nothing can run. [L/min]

    Notes
    -----
    Q = {S + (1 + P0) z sqrt[(1 - P0) sum n p (1 - p) q2 - P0 S2]} / (1 - P0), S = sum n p q,
    P0 the probability that nothing runs [1]_. Meant for a mean of 1.25 to 5 fixtures busy; in
    one house it overshoots by a third or more, which is why the exact figure is used.

    References
    ----------
    .. [1] Buchberger et al., "Peak Water Demand Study", 2017.  (memory, medium-high; the root
       over 1 - P0 is the standard deviation of the flow given that it is not zero: checked)
    """
    kinds = [kind for kind in fixtures if kind.n]
    idle = math.prod((1.0 - kind.p_busy) ** kind.n for kind in kinds)
    if idle >= 1.0:
        return 0.0
    mean = sum(kind.n * kind.p_busy * kind.flow_l_per_min for kind in kinds)
    variance = sum(
        kind.n * kind.p_busy * (1.0 - kind.p_busy) * kind.flow_l_per_min**2 for kind in kinds
    )
    z = NormalDist().inv_cdf(percentile)
    spread = math.sqrt(max((1.0 - idle) * variance - idle * mean**2, 0.0))
    return (mean + (1.0 + idle) * z * spread) / (1.0 - idle)


@lru_cache(maxsize=1)
def published_p_q() -> Mapping[Fixture, tuple[float, float]]:
    """Return the study's probability of being busy and design flow [L/min] by fixture."""
    rows = records("fixtures/busy", {"p_busy": "", "design_flow": "L/min"})
    return {Fixture(row["fixture"]): (row["p_busy"], row["design_flow"]) for row in rows}


def busy_fixtures(
    counts: FixtureCounts, flows: FixtureFlows, share: Mapping[Fixture, float] | None = None
) -> tuple[BusyFixture, ...]:
    """Return a household's fixtures with the published probabilities and its own flows.

    Parameters
    ----------
    counts : FixtureCounts
        What is installed.
    flows : FixtureFlows
        Flow of each kind; the defaults are the published design flows.
    share : mapping of Fixture to float, optional
        Share of the flow to count, such as the hot share; 1 where absent, and a fixture with 0
        is left out. [-]

    Returns
    -------
    tuple of BusyFixture
        One entry per kind that is installed.

    Raises
    ------
    OutOfRangeError
        If a flow is not positive.
    """
    return tuple(
        BusyFixture(
            n=counts.of(fixture),
            p_busy=p_busy,
            flow_l_per_min=flows.of(fixture) * (share or {}).get(fixture, 1.0),
        )
        for fixture, (p_busy, _) in published_p_q().items()
        if counts.of(fixture) and (share or {}).get(fixture, 1.0) > 0.0
    )


def simultaneous_flow_l_per_min(
    uses: Mapping[Fixture, int],
    flows: FixtureFlows,
    share: Mapping[Fixture, float] | None = None,
) -> float:
    """Return the flow of a stated list of fixtures that run together, times `share`. [L/min]"""
    return sum(
        n * flows.of(fixture) * (share or {}).get(fixture, 1.0) for fixture, n in uses.items()
    )


def _merged(flow: Floats, probability: Floats, step: float) -> tuple[Floats, Floats]:
    """Return sorted flows with the probabilities of equal ones added."""
    order = np.argsort(flow, kind="stable")
    flow, probability = flow[order], probability[order]
    level = np.round(flow / step)
    first = np.concatenate([[True], np.diff(level) > 0.5])
    return flow[first], np.add.reduceat(probability, np.flatnonzero(first))
