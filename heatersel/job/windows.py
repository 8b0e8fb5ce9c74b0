"""When a price applies: part of the year, kind of day, hours of the clock.

A season is written "november to april" or "11-01 to 04-30", ends included, and may run over the
turn of the year; hours are written "7-11, 17-19" on the 24-hour clock and may run over midnight.
Days are "every day", "weekdays" or "weekends"; a holiday of the tariff's calendar counts as a
weekend day.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Any

from pydantic import PlainValidator
from pydantic_core import PydanticCustomError

__all__ = [
    "ALL_HOURS",
    "WHOLE_YEAR",
    "Days",
    "HoursType",
    "Season",
    "SeasonType",
    "Window",
    "first_flaw",
]

_MONTH_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
_DATE = re.compile(r"^(\d{1,2})-(\d{1,2})$")
_SPAN = re.compile(r"^(\d{1,2})(?::00)?\s*(?:-|to)\s*(\d{1,2})(?::00)?$")
ALL_HOURS = tuple(range(24))


class Days(StrEnum):
    """On which days a price applies."""

    EVERY_DAY = "every day"
    WEEKDAYS = "weekdays"
    WEEKENDS = "weekends"


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """A part of the year, both days included; it may run over the turn of the year.

    Parameters
    ----------
    first, last : tuple of (int, int)
        Month and day of month.
    """

    first: tuple[int, int] = (1, 1)
    last: tuple[int, int] = (12, 31)

    def has(self, month: int, day: int) -> bool:
        """Return whether a day of the year lies in the season."""
        here = (month, day)
        if self.first <= self.last:
            return self.first <= here <= self.last
        return here >= self.first or here <= self.last


WHOLE_YEAR = Season()


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The hours of a year in which one price applies.

    Parameters
    ----------
    season : Season
        Part of the year.
    days : Days
        Kind of day.
    hours : tuple of int
        Hours of the clock, 0 for the hour that begins at midnight.
    """

    season: Season = WHOLE_YEAR
    days: Days = Days.EVERY_DAY
    hours: tuple[int, ...] = ALL_HOURS


def first_flaw(windows: Sequence[Window], *, gaps_allowed: bool = False) -> str | None:
    """Return the first hour that no window or more than one holds, in words; None if all is well.

    Weekdays and weekends of each day of a leap year are tried, January first.
    """
    tried: set[tuple[int, ...]] = set()
    for month, length in enumerate(_MONTH_DAYS, start=1):
        for day in range(1, length + 1):
            here = tuple(i for i, window in enumerate(windows) if window.season.has(month, day))
            if here in tried:
                continue
            tried.add(here)
            flaw = _day_flaw([windows[i] for i in here], gaps_allowed)
            if flaw:
                hour, days, count = flaw
                problem = "without a price" if count == 0 else f"priced {count} times"
                return f"{problem} on {_MONTHS[month - 1].title()} {day}, {hour:02d}:00, {days}"
    return None


def _day_flaw(windows: Sequence[Window], gaps_allowed: bool) -> tuple[int, str, int] | None:
    for days in (Days.WEEKDAYS, Days.WEEKENDS):
        held = [0] * 24
        for window in windows:
            if window.days in (days, Days.EVERY_DAY):
                for hour in window.hours:
                    held[hour] += 1
        for hour, count in enumerate(held):
            if count > 1 or (count == 0 and not gaps_allowed):
                return hour, days.value, count
    return None


def _trouble(what: str, allowed: str, fix: str) -> PydanticCustomError:
    return PydanticCustomError("window", "{what}", {"what": what, "allowed": allowed, "fix": fix})


def _season(given: Any) -> Season:
    if isinstance(given, Season):
        return given
    ends = [part.strip().lower() for part in str(given).split(" to ")]
    if len(ends) == 1:
        ends *= 2
    first, last = _date(ends[0], end=False), _date(ends[-1], end=True)
    if len(ends) != 2 or first is None or last is None:
        raise _trouble("not a season", "months or month-day dates with 'to' between",
                       'an example is "november to april" or "11-01 to 04-30"')  # fmt: skip
    return Season(first=first, last=last)


def _date(text: str, *, end: bool) -> tuple[int, int] | None:
    if text in _MONTHS:
        month = _MONTHS.index(text) + 1
        return month, _MONTH_DAYS[month - 1] if end else 1
    match = _DATE.match(text)
    if match is None:
        return None
    month, day = int(match[1]), int(match[2])
    valid = 1 <= month <= 12 and 1 <= day <= _MONTH_DAYS[month - 1]
    return (month, day) if valid else None


def _hours(given: Any) -> tuple[int, ...]:
    if isinstance(given, tuple):
        return given
    hours: list[int] = []
    for part in str(given).split(","):
        match = _SPAN.match(part.strip())
        start, stop = (int(match[1]), int(match[2])) if match else (24, 24)
        if start > 23 or stop > 24 or start == stop:
            raise _trouble("not hours of the day", "spans of whole hours, 0 to 24",
                           'an example is "7-11, 17-19"; over midnight "23-7"')  # fmt: skip
        hours += range(start, stop) if start < stop else [*range(start, 24), *range(stop)]
    if len(set(hours)) < len(hours):
        raise _trouble("hours that overlap", "each hour once", "correct the spans")
    return tuple(sorted(hours))


SeasonType = Annotated[Season, PlainValidator(_season)]
HoursType = Annotated[tuple[int, ...], PlainValidator(_hours)]
