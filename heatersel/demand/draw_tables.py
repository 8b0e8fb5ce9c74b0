"""What single draws look like: durations, flows and hours of the day, ready for sampling.

The published means and spreads come from datasets/fixtures. Each distribution is held as 1,024
equally likely values whose mean and standard deviation are exactly the published ones, so that
sampling is a look-up by a random integer, which gives the same value on every machine.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import DataError
from heatersel.job.models import Fixture
from heatersel.reference import Record, records

__all__ = ["END_USE", "N_VALUES", "DrawTable", "draw_table", "hour_cdf"]

Floats = NDArray[np.float64]

N_VALUES = 1024
"""Equally likely values per distribution."""

END_USE = {
    Fixture.SHOWER: "shower",
    Fixture.BATHTUB: "bath",
    Fixture.LAVATORY: "sink",
    Fixture.KITCHEN_SINK: "sink",
    Fixture.DISHWASHER: "dishwasher",
    Fixture.CLOTHES_WASHER: "clothes_washer",
    Fixture.SOAKING_TUB: "bath",
    Fixture.BODY_SPRAY: "shower",
}
"""End use of the published study for each fixture."""

_LEAST_FLOW_L_PER_MIN = 0.757  # 0.2 gal/min, where the study cuts off
_LEAST_DURATION_S = 3.0
_MATCHING_ROUNDS = 60


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawTable:
    """Equally likely durations and flows of one end use.

    Parameters
    ----------
    duration_s : array of shape (1024,)
        Durations of one draw. [s]
    flow_l_per_min : array of shape (1024,)
        Flows of one draw. [L/min]
    draws_per_cluster : float
        Mean number of draws in a cluster, or in one cycle of a machine.
    gap_s : float
        Time between the starts of draws in a cluster. [s]
    mean_draw_l : float
        Mean volume of one draw; duration and flow are independent. [L]
    """

    duration_s: Floats
    flow_l_per_min: Floats
    draws_per_cluster: float
    gap_s: float
    mean_draw_l: float


@cache
def draw_table(end_use: str) -> DrawTable:
    """Return the sampling table of an end use.

    Parameters
    ----------
    end_use : str
        A row of datasets/fixtures/draw_statistics.

    Returns
    -------
    DrawTable
        Durations and flows with the published mean and spread.

    Raises
    ------
    DataError
        If there is no such row.

    References
    ----------
    .. [1] Hendron, R., Burch, J., "Development of Standardized Domestic Hot Water Event
       Schedules for Residential Buildings", ASME ES2007-36104, 2007.  (memory, medium)
    """
    for row in _statistics():
        if row["end_use"] == end_use:
            duration_s = _matched(
                _shape(str(row["duration_shape"])), row["duration_mean"], row["duration_sd"],
                _LEAST_DURATION_S,
            )  # fmt: skip
            flow = _matched(
                _shape("normal"), row["flow_mean"], row["flow_sd"], _LEAST_FLOW_L_PER_MIN
            )
            return DrawTable(
                duration_s=duration_s,
                flow_l_per_min=flow,
                draws_per_cluster=row["draws_per_cluster"],
                gap_s=row["gap"] or 0.0,
                mean_draw_l=float(duration_s.mean() * flow.mean() / 60.0),
            )
    raise DataError.of("end_use", value=end_use, allowed="a row of fixtures/draw_statistics")


@cache
def hour_cdf(end_use: str) -> Floats:
    """Return the cumulative share of an end use's draws by hour, weekday first, then weekend.

    Returns
    -------
    array of shape (2, 25)
        Share of draws before each full hour, 0 to 1. [-]

    References
    ----------
    .. [1] Hendron, R., Engebrecht, C., "Building America House Simulation Protocols",
       NREL/TP-550-49246, 2010.  (memory, medium; the weekend is a stated shift)
    """
    rows = records("fixtures/time_of_day", {"hour": "", "weekday": "", "weekend": ""})
    shares = np.array([(r["weekday"], r["weekend"]) for r in rows if r["end_use"] == end_use])
    cumulative = np.vstack([np.zeros((1, 2)), np.cumsum(shares, axis=0)]).T
    return np.ascontiguousarray(cumulative / cumulative[:, -1:])


@lru_cache(maxsize=1)
def _statistics() -> tuple[Record, ...]:
    return records(
        "fixtures/draw_statistics",
        {"duration_mean": "s", "duration_sd": "s", "flow_mean": "L/min", "flow_sd": "L/min",
         "draws_per_cluster": "", "gap": "s"},
    )  # fmt: skip


@lru_cache(maxsize=1)
def _normal() -> Floats:
    """Return equally likely values of the standard normal distribution."""
    normal = NormalDist()
    half = [normal.inv_cdf((i + 0.5) / N_VALUES) for i in range(N_VALUES // 2)]
    return np.array(half + [-value for value in reversed(half)])


def _shape(name: str) -> Floats:
    """Return equally likely values of a distribution whose place and width are still open."""
    if name == "exponential":
        return -np.log1p(-(np.arange(N_VALUES) + 0.5) / N_VALUES)
    return np.exp(0.42 * _normal()) if name == "lognormal" else _normal()


def _matched(values: Floats, mean: float, spread: float, least: float) -> Floats:
    """Return the values moved, stretched and cut off so that mean and spread are as given.

    Cutting off changes both, hence the rounds. A lognormal keeps the skewness it came with:
    sigma 0.42 is that of the shower durations (3.52 / 7.81), a little wide for the dishwasher.
    """
    for _ in range(_MATCHING_ROUNDS):
        values = mean + (values - values.mean()) * (spread / values.std())
        if values.min() >= least:
            break
        values = np.maximum(values, least)
    return values
