"""The hours of a heating schedule in words that set a timer."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from heatersel.cost.calendar import billing_year
from heatersel.cost.tariff import Tariff

__all__ = ["blocked_in_words"]

_MONTHS = ("January", "February", "March", "April", "May", "June",
           "July", "August", "September", "October", "November", "December")  # fmt: skip


def blocked_in_words(blocked: NDArray[np.bool_], tariff: Tariff, bill_year: int) -> str:
    """Return when a schedule keeps a tank from heating, so that somebody can set a timer.

    Parameters
    ----------
    blocked : array of shape (8760,)
        Hours of the clock in which it does not heat.
    tariff : Tariff
        Whose holidays count.
    bill_year : int
        Calendar year whose weekends and holidays count.

    Returns
    -------
    str
        Such as "from 4 pm to 8 pm on weekdays, June to September"; empty if nothing is blocked.
        An hour is named for a month where it is blocked on most of its weekdays, or of its days
        off; a season that changes within a month is so off by half a month at most, and one of
        less than half a month takes the whole.
    """
    year = billing_year(bill_year, tariff.time_zone, tariff.holidays)
    cell = (2 * year.month + year.is_off_day) * 24 + year.hour
    kept_off = year.of_model(blocked.astype(float))
    share = np.bincount(cell, kept_off, 576) / np.maximum(np.bincount(cell, minlength=576), 1)
    usual = (share > 0.5 * np.max(share)).reshape(12, 2, 24)
    days_off = "on weekends and holidays" if tariff.holidays else "on weekends"
    months: dict[str, list[int]] = {}
    for month, (workday, day_off) in enumerate(usual):
        if np.array_equal(workday, day_off):
            said = [(_spans(workday, over_midnight=True), "every day")]
        else:
            said = [(_spans(workday), "on weekdays"), (_spans(day_off), days_off)]
        for spans, days in said:
            if spans:
                months.setdefault(f"{spans} {days}", []).append(month)
    return "; ".join(f"{hours}{_season(of)}" for hours, of in months.items())


def _spans(hours: NDArray[np.bool_], *, over_midnight: bool = False) -> str:
    """Return the spans of a day's hours by the clock; all 24 are "all day"."""
    if hours.all() or not hours.any():
        return "all day" if hours.all() else ""
    starts = [h for h in range(24) if hours[h] and not (h and hours[h - 1])]
    spans = [(h, next((k for k in range(h, 24) if not hours[k]), 24)) for h in starts]
    if over_midnight and len(spans) > 1 and (spans[0][0], spans[-1][1]) == (0, 24):
        spans = [*spans[1:-1], (spans[-1][0], spans[0][1])]
    *first, last = (f"from {_clock(start)} to {_clock(end)}" for start, end in spans)
    return f"{', '.join(first)} and {last}" if first else last


def _clock(hour: int) -> str:
    """Return an hour as a clock of twelve hours shows it."""
    if hour % 12 == 0:
        return "noon" if hour == 12 else "midnight"
    return f"{hour % 12} {'am' if hour < 12 else 'pm'}"


def _season(months: Sequence[int]) -> str:
    """Return the runs of months in words; nothing for the whole year."""
    if len(months) == 12:
        return ""
    firsts = [m for m in months if (m - 1) % 12 not in months]
    runs = []
    for first in firsts:
        last = next(m for m in range(first, first + 12) if (m + 1) % 12 not in months) % 12
        runs.append(_MONTHS[first] if first == last else f"{_MONTHS[first]} to {_MONTHS[last]}")
    return ", " + " and ".join(runs)
