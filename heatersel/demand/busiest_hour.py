"""The busiest hour of every day, as a distribution over seeded years of draws.

A worksheet adds up the uses that somebody thinks of; here the hour is found in each simulated
day, so rare coincidences (two showers, a bath and the dishes) count as often as they happen.
That is why the 99th percentile lies above the worksheet and the median far below it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.draw_year import AS_IT_COMES_C, DrawPlan, DrawYear, draw_years
from heatersel.errors import OutOfRangeError

__all__ = ["DEFAULT_YEARS", "BusiestHours", "busiest_hour_by_day", "busiest_hours"]

Floats = NDArray[np.float64]

DEFAULT_YEARS = 8
"""Seeded years behind a distribution; its 99th percentile then varies with the seed by 2 to 3 %."""

_STEP_S = 600
_STEPS_PER_HOUR = 6
_STEPS_PER_DAY = 144


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BusiestHours:
    """Hot water in the busiest hour of each day on which somebody is at home.

    Parameters
    ----------
    hot_l : array
        One per day, in rising order. [L]
    n_years : int
        Seeded years behind them.
    """

    hot_l: Floats
    n_years: int

    def percentile_l(self, percentile: float = 0.99) -> float:
        """Return the hot water that suffices for the busiest hour on this share of days.

        Parameters
        ----------
        percentile : float
            Share of days, above 0 and below 1. [-]

        Returns
        -------
        float
            Hot water. [L]

        Raises
        ------
        OutOfRangeError
            If the percentile lies outside.
        """
        if not 0.0 < percentile < 1.0:
            raise OutOfRangeError.of(
                "percentile", value=percentile, allowed="above 0 and below 1",
                fix="write 0.99 for the 99th of 100 days",
            )  # fmt: skip
        return float(np.quantile(self.hot_l, percentile)) if self.hot_l.size else 0.0

    def share_below(self, hot_l: float) -> float:
        """Return on which share of days the busiest hour takes less than `hot_l` litres. [-]"""
        return float(np.searchsorted(self.hot_l, hot_l) / max(self.hot_l.size, 1))


def busiest_hours(
    plan: DrawPlan, hot_shares: Sequence[Floats], seed: int, n_years: int = DEFAULT_YEARS
) -> tuple[BusiestHours, ...]:
    """Return the distribution of the busiest hour, for one or more ways of mixing.

    Parameters
    ----------
    plan : DrawPlan
        Of the household.
    hot_shares : sequence of arrays of shape (365,)
        Hot share of mixed water by day; the same draws serve all of them. [-]
    seed : int
        0 or more.
    n_years : int
        Seeded years, 1 or more.

    Returns
    -------
    tuple of BusiestHours
        One per entry of `hot_shares`.

    Raises
    ------
    OutOfRangeError
        If there is no year.
    """
    if n_years < 1:
        raise OutOfRangeError.of("n_years", value=n_years, allowed="1 or more")
    at_home = plan.present > 0.0
    days: list[list[Floats]] = [[] for _ in hot_shares]
    for year in draw_years(plan, seed, n_years):
        for found, hours in zip(days, _by_day(year, hot_shares), strict=True):
            found.append(hours[at_home])
    return tuple(
        BusiestHours(hot_l=np.sort(np.concatenate(found)), n_years=n_years) for found in days
    )


def busiest_hour_by_day(year: DrawYear, hot_share_by_day: Floats) -> Floats:
    """Return the hot water of the busiest 60 minutes that begin on each day.

    Parameters
    ----------
    year : DrawYear
        Draws.
    hot_share_by_day : array of shape (365,)
        Hot share of mixed water by day. [-]

    Returns
    -------
    array of shape (365,)
        Hot water at the setpoint. [L]

    Notes
    -----
    Windows begin every ten minutes; a draw counts whole where it begins, as in the first-hour
    test. Against windows that begin with every draw this is low by about 1 % for a family of
    four.
    """
    (hours,) = _by_day(year, (hot_share_by_day,))
    return hours


def _by_day(year: DrawYear, hot_shares: Sequence[Floats]) -> Iterator[Floats]:
    """Yield the hot water of the busiest hour by day for each way of mixing."""
    step = (year.start_s / _STEP_S).astype(np.int64)  # whole seconds: cut off is rounded down
    day, mixed_l, is_hot = year.day, year.mixed_l, year.mixed_temp_c >= AS_IT_COMES_C
    for share in hot_shares:
        hot_l = mixed_l * np.where(is_hot, 1.0, share[day])
        by_step = np.bincount(step, weights=hot_l, minlength=365 * _STEPS_PER_DAY)
        total = np.cumsum(np.concatenate([[0.0], by_step, np.zeros(_STEPS_PER_HOUR - 1)]))
        hours = total[_STEPS_PER_HOUR:] - total[:-_STEPS_PER_HOUR]
        yield np.asarray(hours.reshape(365, _STEPS_PER_DAY).max(axis=1))
