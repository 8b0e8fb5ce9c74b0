"""The electric load of all water heaters together, by hour, region and tariff.

Hours are those of the clock of each place, so the sum over time zones is a little higher
than what one grid would see in one moment. Each house has its own draws, so the houses do not
all shower at once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heatersel.portfolio.totals import HOURS, Totals

__all__ = ["EVERYWHERE", "GroupLoad", "LoadStudy", "hour_start", "hour_words"]

Floats = NDArray[np.float64]

EVERYWHERE = "all regions"
_ALL_PLANS = "all tariffs"
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_DAYS = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_MONTH_OF_HOUR = np.repeat(np.arange(12), _DAYS * 24)
_HOUR_OF_DAY = np.tile(np.arange(24), 365)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroupLoad:
    """Load of the houses of one region on one tariff.

    Parameters
    ----------
    region, plan : str
        State or province, and tariff.
    before_kw, after_kw : array of shape (8760,)
        Mean power of each hour. [kW]
    """

    region: str
    plan: str
    before_kw: Floats
    after_kw: Floats

    @property
    def added_kw(self) -> Floats:
        """What the change adds in each hour. [kW]"""
        return np.asarray(self.after_kw - self.before_kw)

    def by_month_and_hour(self, power_kw: Floats) -> Floats:
        """Return the mean power by month and hour of day, shape (12, 24). [kW]"""
        place = _MONTH_OF_HOUR * 24 + _HOUR_OF_DAY
        return np.asarray(np.bincount(place, power_kw, 288).reshape(12, 24) / _DAYS[:, None])

    def day_of(self, hour: int) -> slice:
        """Return the hours of the day that an hour is in."""
        return slice(hour // 24 * 24, hour // 24 * 24 + 24)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LoadStudy:
    """Load by group, the whole first; empty where no house has a heater to compare with.

    Parameters
    ----------
    groups : tuple of GroupLoad
        The sum of all, then each region and tariff.
    """

    groups: tuple[GroupLoad, ...]

    PEAK_COLUMNS = (
        "region", "tariff", "peak before [kW]", "before at", "peak after [kW]", "after at",
        "peak added [kW]", "most added [kW]", "most added at", "energy added [kWh/yr]",
    )  # fmt: skip
    HOUR_COLUMNS = (
        "region", "tariff", "month", "hour", "mean before [kW]", "mean after [kW]",
        "mean added [kW]", "most added [kW]",
    )  # fmt: skip

    @classmethod
    def of(cls, totals: Totals) -> LoadStudy:
        """Return the study of what a run has added up."""
        groups = [
            GroupLoad(region=region, plan=plan, before_kw=before, after_kw=after)
            for region, plan in sorted(totals.load_mwh)
            for before, after in [totals.load_kw((region, plan))]
        ]
        if not groups:
            return cls(groups=())
        whole = sum(totals.load_mwh.values(), np.zeros((2, HOURS), dtype=np.int64))
        together = Totals(load_mwh={(EVERYWHERE, _ALL_PLANS): whole})
        before, after = together.load_kw((EVERYWHERE, _ALL_PLANS))
        first = GroupLoad(region=EVERYWHERE, plan=_ALL_PLANS, before_kw=before, after_kw=after)
        return cls(groups=(first, *groups))

    def peak_rows(self) -> tuple[tuple[object, ...], ...]:
        """Return the peaks of each group: how high, when, and what is added."""
        return tuple(_peaks(group) for group in self.groups)

    def hour_rows(self) -> tuple[tuple[object, ...], ...]:
        """Return mean and most added power of each group by month and hour of day."""
        return tuple(row for group in self.groups for row in _hours(group))


def hour_words(hour: int) -> str:
    """Return an hour of the year as people say it.

    Examples
    --------
    >>> hour_words(31 * 24 + 7)
    '1 Feb, 7:00 to 8:00'
    """
    return f"{hour_start(hour)} to {hour % 24 + 1}:00"


def hour_start(hour: int) -> str:
    """Return when an hour of the year begins.

    Examples
    --------
    >>> hour_start(31 * 24 + 7)
    '1 Feb, 7:00'
    """
    day, clock = divmod(hour, 24)
    month = int(_MONTH_OF_HOUR[hour])
    return f"{day - int(_DAYS[:month].sum()) + 1} {_MONTHS[month]}, {clock}:00"


def _peaks(group: GroupLoad) -> tuple[object, ...]:
    before, after, added = group.before_kw, group.after_kw, group.added_kw
    top = [int(np.argmax(power)) for power in (before, after, added)]
    return (
        group.region, group.plan, float(before[top[0]]), hour_words(top[0]), float(after[top[1]]),
        hour_words(top[1]), float(after[top[1]] - before[top[0]]), float(added[top[2]]),
        hour_words(top[2]), float(added.sum()),
    )  # fmt: skip


def _hours(group: GroupLoad) -> Iterator[tuple[object, ...]]:
    before, after = (group.by_month_and_hour(p) for p in (group.before_kw, group.after_kw))
    most = np.full(288, -np.inf)
    np.maximum.at(most, _MONTH_OF_HOUR * 24 + _HOUR_OF_DAY, group.added_kw)
    for month, name in enumerate(_MONTHS):
        for hour in range(24):
            was, will = float(before[month, hour]), float(after[month, hour])
            yield (group.region, group.plan, name, hour, was, will, will - was,
                   float(most[month * 24 + hour]))  # fmt: skip
