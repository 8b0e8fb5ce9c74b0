"""A seeded year of single draws: fixture, second, flow, duration and mixed temperature.

Draws are made from published statistics (see `draw_tables`): how many follow from the volume of
the year, when from the hours of each end use on weekdays and weekends. Own assumptions, no
source, where the study is silent or could not be read: days differ in liveliness by a factor with
a spread of 0.25 that all uses of a day share; nobody showers twice before everybody has showered
once; with more than one person, every second shower follows another one within half an hour;
children bathe and shower in the evening hours of baths; weekends have 1.1 times the draws of
weekdays, and 1.5 times the laundry. How far real households differ from day to day could be
checked only roughly: see the tests.

Day 0 is 1 January, a Monday; the hours are those of the clock. Random numbers are the raw output
of a published generator (PCG64) seeded from seed and year, and results are rounded to whole
seconds, 0.1 s of duration and 0.001 L/min, so that a seed gives the same year on every machine.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.chance import (
    DAY_S,
    Chance,
    Draws,
    For,
    day_weight,
    liveliness_by_day,
    stretched_to_volume,
    time_of_day_s,
    whole_number,
)
from heatersel.demand.draw_plan import DrawPlan, plan_draws
from heatersel.demand.draw_tables import END_USE, DrawTable, draw_table
from heatersel.demand.showers import shower_draws
from heatersel.demand.uses import RUNS_HOT
from heatersel.errors import OutOfRangeError
from heatersel.job.models import Fixture

__all__ = [
    "AS_IT_COMES_C",
    "FIXTURES",
    "DrawPlan",
    "DrawYear",
    "draw_year",
    "draw_years",
    "plan_draws",
]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

AS_IT_COMES_C = 1000.0
"""Mixed temperature of a machine's draw: it takes hot water unmixed, as warm as it comes."""

FIXTURES = tuple(Fixture)
"""The number that a draw carries is the place of its fixture here."""

_YEAR_S = 365 * DAY_S
_LOAD_GAP_S = 3300.0
_MOST_IN_CLUSTER = 16
_MOST_SEEDS = 2**32  # one word of the generator's seed
_YEARS_KEPT = 64  # eight each of the last households, some 3 MB a household


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawYear:
    """The draws of one year as parallel arrays, sorted by start; draws may overlap.

    Parameters
    ----------
    start_s : array of float64
        Start, from 1 January 00:00. [s]
    duration_s : array of float32
        Duration. [s]
    mixed_flow_l_per_min : array of float32
        Flow at the fixture. [L/min]
    mixed_temp_c : array of float32
        Temperature asked for; :data:`AS_IT_COMES_C` for machines. [°C]
    fixture : array of uint8
        Place in :data:`FIXTURES`.
    """

    start_s: Floats
    duration_s: NDArray[np.float32]
    mixed_flow_l_per_min: NDArray[np.float32]
    mixed_temp_c: NDArray[np.float32]
    fixture: NDArray[np.uint8]

    @property
    def mixed_l(self) -> Floats:
        """Volume of each draw. [L]"""
        return self.duration_s.astype(np.float64) * self.mixed_flow_l_per_min / 60.0

    @property
    def day(self) -> Ints:
        """Day on which each draw starts, 0 = 1 January."""
        return (self.start_s / DAY_S).astype(np.int64)  # whole seconds: cut off is rounded down

    @property
    def n_bytes(self) -> int:
        """Memory of the arrays. [bytes]"""
        return sum(getattr(self, name).nbytes for name in self.__slots__)

    def hot_l(self, hot_share_by_day: Floats) -> Floats:
        """Return the hot water of each draw.

        Parameters
        ----------
        hot_share_by_day : array of shape (365,)
            Hot share of mixed water at the use temperature on each day. [-]

        Returns
        -------
        array
            Hot water at the setpoint that the shares were made with. [L]
        """
        share = np.where(self.mixed_temp_c >= AS_IT_COMES_C, 1.0, hot_share_by_day[self.day])
        return self.mixed_l * share

    def of(self, fixture: Fixture) -> DrawYear:
        """Return the draws of one kind of fixture."""
        mine = self.fixture == FIXTURES.index(fixture)
        return DrawYear(**{name: getattr(self, name)[mine] for name in self.__slots__})


def draw_year(plan: DrawPlan, seed: int, year: int = 0) -> DrawYear:
    """Return one year of draws.

    Parameters
    ----------
    plan : DrawPlan
        From :func:`plan_draws`.
    seed : int
        0 or more.
    year : int
        Number of the year, 0 or more; each is independent of the others.

    Returns
    -------
    DrawYear
        Draws whose volume by fixture is the plan's to within the rounding.

    Raises
    ------
    OutOfRangeError
        If seed or year is negative or takes more than 32 bits.
    """
    for name, number in (("seed", seed), ("year", year)):
        if not 0 <= number < _MOST_SEEDS:
            raise OutOfRangeError.of(
                name, value=number, allowed=f"0 to {_MOST_SEEDS - 1}", fix="write a whole number"
            )
    liveliness = liveliness_by_day(Chance(seed, year, len(FIXTURES)))
    parts = []
    for fixture in plan.year_l:
        chance = Chance(seed, year, FIXTURES.index(fixture))
        parts.extend(_fixture_draws(plan, fixture, chance, liveliness))
    return _assembled(parts, plan.use_temp_c)


def draw_years(plan: DrawPlan, seed: int, n_years: int) -> Iterator[DrawYear]:
    """Yield years of draws one by one; sizing and simulation ask for the same ones in turn."""
    for year in range(n_years):
        yield _kept_year(plan, seed, year)


@lru_cache(maxsize=_YEARS_KEPT)
def _kept_year(plan: DrawPlan, seed: int, year: int) -> DrawYear:
    return draw_year(plan, seed, year)


def _fixture_draws(
    plan: DrawPlan, fixture: Fixture, chance: Chance, liveliness: Floats
) -> list[Draws]:
    """Return the draws of one fixture; body sprays come with the showers."""
    if fixture is Fixture.BODY_SPRAY:
        return []
    if fixture is Fixture.SHOWER:
        return shower_draws(plan, chance, liveliness)
    table, scale = draw_table(END_USE[fixture]), plan.flow_scale[fixture]
    n_draws = plan.year_l[fixture] / table.mean_draw_l
    if fixture is Fixture.SOAKING_TUB:
        n_draws = np.count_nonzero(plan.present) / 7.0
    n_clusters = whole_number(n_draws / table.draws_per_cluster, chance)
    days, start_s = _cluster_starts(plan, fixture, n_clusters, chance, liveliness)
    sizes = _cluster_sizes(fixture, table, days.size, chance)
    start_s = _spread_clusters(start_s, sizes, table.gap_s, chance)
    # A tub or a basin takes the volume it takes, so a faster tap runs for a shorter time.
    duration_s = chance.pick(For.DURATION, table.duration_s, start_s.size) / scale
    flow = chance.pick(For.FLOW, table.flow_l_per_min, start_s.size) * scale
    duration_s = stretched_to_volume(duration_s, flow, plan.year_l[fixture])
    return [Draws(fixture, start_s, duration_s, flow)]


def _cluster_starts(
    plan: DrawPlan, fixture: Fixture, n: int, chance: Chance, liveliness: Floats
) -> tuple[Ints, Floats]:
    """Return day and start of n clusters, each day with a chance in proportion to its weight."""
    cumulative = np.cumsum(day_weight(plan, fixture, liveliness))
    if cumulative[-1] <= 0.0:
        return np.zeros(0, dtype=np.int64), np.zeros(0)
    days = np.searchsorted(cumulative, chance.uniform(For.DAY, n) * cumulative[-1], "right")
    hour = time_of_day_s(END_USE[fixture], days, chance.uniform(For.TIME, n))
    start_s = days * float(DAY_S) + hour
    if fixture is Fixture.CLOTHES_WASHER and plan.laundry_weekday is not None:
        start_s = _one_load_after_the_other(days, start_s)
    return days, start_s


def _one_load_after_the_other(days: Ints, start_s: Floats) -> Floats:
    """Return starts such that the loads of a laundry day follow its first one."""
    order = np.lexsort((start_s, days))
    sorted_days = days[order]
    first = np.searchsorted(sorted_days, sorted_days, "left")
    rank = np.arange(days.size) - first
    start = np.empty_like(start_s)
    start[order] = start_s[order][first] + rank * _LOAD_GAP_S
    return np.asarray(np.minimum(start, (days + 1.0) * DAY_S - 1.0))


def _cluster_sizes(fixture: Fixture, table: DrawTable, n: int, chance: Chance) -> Ints:
    """Return draws per cluster: of a machine's cycle fixed, of sinks geometric."""
    if fixture in RUNS_HOT or table.draws_per_cluster <= 1.0:
        return np.full(n, max(1, round(table.draws_per_cluster)), dtype=np.int64)
    stop = 1.0 / table.draws_per_cluster
    cumulative = 1.0 - (1.0 - stop) ** np.arange(1, _MOST_IN_CLUSTER)
    more = np.searchsorted(cumulative, chance.uniform(For.CLUSTER, n), "right")
    return 1 + more.astype(np.int64)


def _spread_clusters(start_s: Floats, sizes: Ints, gap_s: float, chance: Chance) -> Floats:
    """Return the start of every draw: a gap after the one before, half to one and a half times."""
    if not np.any(sizes > 1):
        return start_s
    start_s = np.repeat(start_s, sizes)
    rank = np.arange(start_s.size) - np.repeat(np.cumsum(sizes) - sizes, sizes)
    jitter = chance.uniform(For.GAP, start_s.size) - 0.5
    return np.asarray(start_s + np.floor(gap_s * (rank + np.where(rank > 0, jitter, 0.0))))


def _assembled(parts: list[Draws], use_temp_c: float) -> DrawYear:
    start = np.minimum(np.concatenate([part.start_s for part in parts]), _YEAR_S - 1.0)
    order = _in_order(start.astype(np.int64))
    machine = [part.fixture in RUNS_HOT for part in parts]
    sizes = [part.start_s.size for part in parts]
    temp = np.repeat([AS_IT_COMES_C if hot else use_temp_c for hot in machine], sizes)
    code = np.repeat([FIXTURES.index(part.fixture) for part in parts], sizes)
    duration = np.maximum(np.round(np.concatenate([p.duration_s for p in parts]), 1), 0.1)
    flow = np.maximum(np.round(np.concatenate([p.flow_l_per_min for p in parts]), 3), 0.001)
    return DrawYear(
        start_s=start[order],
        duration_s=duration[order].astype(np.float32),
        mixed_flow_l_per_min=flow[order].astype(np.float32),
        mixed_temp_c=temp[order].astype(np.float32),
        fixture=code[order].astype(np.uint8),
    )


def _in_order(seconds: Ints) -> Ints:
    """Return the stable order of seconds of a year: two short sorts take a sixth of a long one."""
    by_low = np.argsort((seconds & 0xFFFF).astype(np.uint16), kind="stable")
    high = (seconds >> 16).astype(np.uint16)[by_low]
    return np.asarray(by_low[np.argsort(high, kind="stable")])
