"""Random numbers that are the same on every machine, and what they decide about a day.

The raw output of a published generator (PCG64), seeded from seed, year, fixture and purpose; no
distribution function of a library comes into it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.draw_plan import DrawPlan
from heatersel.demand.draw_tables import N_VALUES, hour_cdf
from heatersel.job.models import Fixture

__all__ = [
    "DAY_S",
    "Chance",
    "Draws",
    "For",
    "day_weight",
    "liveliness_by_day",
    "stretched_to_volume",
    "time_of_day_s",
    "whole_number",
]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DAY_S = 86_400
_LIVELINESS_SPREAD = 0.25
_WEEKEND_DRAWS, _WEEKEND_LAUNDRY = 1.1, 1.5


class For(IntEnum):
    """What a random number decides; each has a stream of its own.

    So the first draws of a bigger household are those of a smaller one, and more people hardly
    ever mean less water in the busiest hour.
    """

    COUNT = 0
    DAY = 1
    TIME = 2
    CLUSTER = 3
    GAP = 4
    DURATION = 5
    FLOW = 6
    ORDER = 7
    FOLLOW = 8
    SPRAY = 9


class Chance:
    """Uniform numbers for one fixture's year, from the raw bits of seeded generators.

    Parameters
    ----------
    seed, year, fixture : int
        Each 0 or more; another number gives another, independent stream.
    """

    def __init__(self, seed: int, year: int, fixture: int) -> None:
        """Keep the key; generators are made when numbers are asked for."""
        self._key = (seed, year, fixture)

    def uniform(self, purpose: For, n: int) -> Floats:
        """Return n numbers in [0, 1)."""
        key = np.array((*self._key, purpose), dtype=np.uint32)  # plain numbers take longer
        bits = np.random.PCG64(np.random.SeedSequence(key))
        raw = np.asarray(bits.random_raw(n))
        raw >>= np.uint64(11)
        uniform = raw.astype(np.float64)
        uniform *= 2.0**-53
        return uniform

    def pick(self, purpose: For, values: Floats, n: int) -> Floats:
        """Return n of the equally likely values."""
        return values[(self.uniform(purpose, n) * N_VALUES).astype(np.int64)]


@dataclass(frozen=True, slots=True)
class Draws:
    """Draws of one fixture, in any order; mixed flow, or hot flow of a machine."""

    fixture: Fixture
    start_s: Floats
    duration_s: Floats
    flow_l_per_min: Floats


def liveliness_by_day(chance: Chance) -> Floats:
    """Return a factor by day: the mean of eight uniforms, moved to mean 1 and the given spread."""
    mean = chance.uniform(For.DAY, 8 * 365).reshape(365, 8).mean(axis=1)
    return np.asarray(1.0 + (mean - 0.5) * (_LIVELINESS_SPREAD * np.sqrt(12.0 * 8.0)))


def whole_number(expected: float, chance: Chance) -> int:
    """Return a whole number with the expected mean, at least 1."""
    return max(1, int(expected + chance.uniform(For.COUNT, 1)[0]))


def day_weight(plan: DrawPlan, fixture: Fixture, liveliness: Floats) -> Floats:
    """Return how likely each day is for a draw: weekday, presence, liveliness, laundry day."""
    weekday = np.arange(365) % 7
    laundry = fixture is Fixture.CLOTHES_WASHER
    weight = np.where(weekday >= 5, _WEEKEND_LAUNDRY if laundry else _WEEKEND_DRAWS, 1.0)
    if laundry and plan.laundry_weekday is not None:
        on_day = (weekday == plan.laundry_weekday) & (plan.present > 0.0)
        if on_day.any():
            weight = on_day.astype(float)
    return np.asarray(weight * plan.present * liveliness)


def time_of_day_s(end_use: str, days: Ints, uniform: Floats) -> Floats:
    """Return seconds after midnight from the hours of the end use. [s]"""
    weekday_cdf, weekend_cdf = hour_cdf(end_use)
    is_weekend = days % 7 >= 5
    # Both kinds of day in one table: the weekend stands one unit and 24 hours further on.
    both_cdf = np.concatenate([weekday_cdf, 1.0 + weekend_cdf[1:]])
    hour = np.interp(uniform + is_weekend, both_cdf, np.arange(49.0)) - 24.0 * is_weekend
    return np.asarray(np.minimum(np.floor(hour * 3600.0), DAY_S - 1.0))


def stretched_to_volume(duration_s: Floats, flow_l_per_min: Floats, volume_l: float) -> Floats:
    """Return durations stretched alike so that the year's volume is met."""
    # Not a dot product: that may use threads, whose number would then show in the last digits.
    drawn_l = float(np.sum(duration_s * flow_l_per_min)) / 60.0
    return duration_s * (volume_l / drawn_l) if drawn_l > 0.0 else duration_s
