"""The hours of a billing year as the household's clock shows them.

People shower by the clock, so an hour of the modelled year is an hour of the clock in summer as in
winter, and the tariff's windows are hours of the same clock. A bill is made for a real calendar
year, which may have 366 days: 29 February repeats the 28th. Every hour is billed once. The two
days a year that have 23 and 25 hours by the clock count 24, so that one night hour of 8,760 is
billed in spring that the clock skips, and one less in autumn.

What the sun does keeps standard time; :meth:`BillingYear.by_clock` brings it to the clock. The
outdoor air of the simulation is left on standard time, which moves it by an hour in summer and
leaves the mean of each day as it is.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from heatersel import reference
from heatersel.errors import UnknownChoiceError

__all__ = ["BillingYear", "billing_year", "holidays"]

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BillingYear:
    """The hours of one calendar year by the household's clock, in order.

    Parameters
    ----------
    year : int
        Calendar year.
    month, hour : array of shape (n,)
        Month 0 to 11 and hour of the clock 0 to 23; n is 8760, or 8784 in a leap year.
    leap_day : array of shape (n,)
        Day of a leap year, 0 to 365, so that 1 March is always 60.
    is_off_day : array of shape (n,)
        Whether the day is a Saturday, a Sunday or a holiday.
    model_hour : array of shape (n,)
        Index of the modelled hour, 0 to 8759.
    ahead : array of shape (8760,)
        Hours by which the clock runs ahead of each hour of standard time. [h]
    days_in_month : array of shape (12,)
        Days of each month.
    """

    year: int
    month: NDArray[np.intp]
    hour: NDArray[np.intp]
    leap_day: NDArray[np.intp]
    is_off_day: NDArray[np.bool_]
    model_hour: NDArray[np.intp]
    ahead: NDArray[np.intp]
    days_in_month: NDArray[np.float64]

    @property
    def n_hours(self) -> int:
        """Number of hours."""
        return len(self.month)

    def of_model(self, hourly: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return a modelled year of shape (8760,) as the hours of this year."""
        return hourly[self.model_hour]

    def by_clock(self, standard: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return a modelled year of standard time, of shape (8760,), by the hours of the clock.

        The hour that the clock skips in spring is empty, and the one that it shows twice in
        autumn holds both.
        """
        shown = np.clip(np.arange(standard.size) + self.ahead, 0, standard.size - 1)
        return np.bincount(shown, standard, standard.size).astype(float)


@lru_cache(maxsize=64)
def billing_year(
    year: int, time_zone: str | None = None, calendar: str | None = None
) -> BillingYear:
    """Return the hours of `year` by the clock, weekends and holidays marked.

    Parameters
    ----------
    year : int
        Calendar year, 1900 to 2100.
    time_zone : str or None
        Name of the IANA list, for what keeps standard time; None knows no daylight saving. The
        hours and their windows are those of the clock with or without it.
    calendar : str or None
        Holiday calendar of datasets/tariffs/holidays; None knows no holidays.

    Returns
    -------
    BillingYear
        Every hour once.

    Raises
    ------
    UnknownChoiceError
        If there is no such holiday calendar.
    """
    first = dt.date(year, 1, 1)
    n_days = (dt.date(year + 1, 1, 1) - first).days
    days = [first + k * _DAY for k in range(n_days)]
    free = holidays(calendar, year) if calendar else frozenset()
    month = np.array([day.month - 1 for day in days])
    leap = np.array([(dt.date(2000, day.month, day.day) - dt.date(2000, 1, 1)).days
                     for day in days])  # fmt: skip
    off = np.array([day.weekday() >= 5 or day in free for day in days])

    hours = np.arange(24 * n_days)
    ahead = _clock_shift(first, n_days, time_zone)
    leap_hours = slice(24 * 59, 24 * 60)
    return BillingYear(
        year=year, month=np.repeat(month, 24), hour=hours % 24, leap_day=np.repeat(leap, 24),
        is_off_day=np.repeat(off, 24),
        model_hour=hours - 24 * (hours >= 24 * 59) if n_days == 366 else hours,
        ahead=np.delete(ahead, leap_hours) if n_days == 366 else ahead,
        days_in_month=np.bincount(month, minlength=12).astype(float),
    )  # fmt: skip


def _clock_shift(first: dt.date, n_days: int, time_zone: str | None) -> NDArray[np.intp]:
    """Return by how many hours the clock runs ahead of standard time in each hour."""
    shift = np.zeros(24 * n_days, dtype=np.intp)
    if time_zone is None:
        return shift
    zone = ZoneInfo(time_zone)
    midnight = dt.datetime.combine(first, dt.time(), tzinfo=zone)
    standard = (midnight.utcoffset() or dt.timedelta()) - (midnight.dst() or dt.timedelta())
    start = dt.datetime.combine(first, dt.time(), tzinfo=dt.UTC) - standard

    def ahead(hour: int) -> int:
        offset = (start + dt.timedelta(hours=hour)).astimezone(zone).utcoffset()
        return round(((offset or dt.timedelta()) - standard) / dt.timedelta(hours=1))

    for day in range(n_days):
        before, after = ahead(24 * day), ahead(24 * day + 23)
        hours = slice(24 * day, 24 * day + 24)
        if before == after:
            shift[hours] = before
        else:
            shift[hours] = [ahead(24 * day + hour) for hour in range(24)]
    return shift


@lru_cache(maxsize=64)
def holidays(calendar: str, year: int) -> frozenset[dt.date]:
    """Return the holidays of a calendar in one year.

    Parameters
    ----------
    calendar : str
        A calendar of datasets/tariffs/holidays.
    year : int
        Calendar year.

    Returns
    -------
    frozenset of datetime.date
        The days on which the holiday is kept.

    Raises
    ------
    UnknownChoiceError
        If there is no such calendar.

    References
    ----------
    .. [1] 5 U.S.C. 6103(a) and Canada Labour Code section 166 (from memory).
    """
    rows = reference.records("tariffs/holidays", {"first_year": ""})
    known = dict.fromkeys(row["calendar"] for row in rows)
    if calendar not in known:
        raise UnknownChoiceError.of(
            "holidays", value=calendar, allowed=", ".join(known), fix="use one of these calendars"
        )
    kept: set[dt.date] = set()
    # The 1st of January of the next year may be kept on the 31st of December of this one.
    for of_year in (year, year + 1):
        for row in rows:
            if row["calendar"] == calendar and of_year >= row["first_year"]:
                kept.add(_kept_on(row["rule"].split(), of_year, kept))
    return frozenset(day for day in kept if day.year == year)


def _kept_on(rule: list[str], year: int, taken: set[dt.date]) -> dt.date:
    match rule:
        case ["easter", offset]:
            return _easter(year) + int(offset) * _DAY
        case [weekday, "before", date]:
            day = _date(date, year) - _DAY
            return day - ((day.weekday() - _WEEKDAYS.index(weekday)) % 7) * _DAY
        case [nth, weekday, month] if weekday in _WEEKDAYS:
            return _nth_weekday(int(nth), _WEEKDAYS.index(weekday), int(month), year)
        case [date, "observed"]:
            day = _date(date, year)
            return day + {5: -_DAY, 6: _DAY}.get(day.weekday(), 0 * _DAY)
        case [date, "next", "weekday"]:
            day = _date(date, year)
            while day.weekday() >= 5 or day in taken:
                day += _DAY
            return day
        case _:
            return _date(rule[0], year)


def _date(text: str, year: int) -> dt.date:
    month, day = text.split("-")
    return dt.date(year, int(month), int(day))


def _nth_weekday(nth: int, weekday: int, month: int, year: int) -> dt.date:
    if nth < 0:
        last = dt.date(year + month // 12, month % 12 + 1, 1) - _DAY
        return last - ((last.weekday() - weekday) % 7) * _DAY
    first = dt.date(year, month, 1)
    return first + ((weekday - first.weekday()) % 7 + 7 * (nth - 1)) * _DAY


def _easter(year: int) -> dt.date:
    """Return Easter Sunday, Gregorian rule (Meeus, Astronomical Algorithms, ch. 8; memory)."""
    a, b, c = year % 19, year // 100, year % 100
    h = (19 * a + b - b // 4 - (b - (b + 8) // 25 + 1) // 3 + 15) % 30
    weekday = (32 + 2 * (b % 4) + 2 * (c // 4) - h - c % 4) % 7
    m = (a + 11 * h + 22 * weekday) // 451
    month, day = divmod(h + weekday - 7 * m + 114, 31)
    return dt.date(year, month, day + 1)
