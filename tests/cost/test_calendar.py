"""The hours of a billing year: each once, by the clock, with its holidays."""

from __future__ import annotations

import datetime as dt

import holidays as public_holidays
import numpy as np
import pandas as pd
import pytest
from pandas.tseries.holiday import USFederalHolidayCalendar

from heatersel.cost.calendar import billing_year, holidays
from heatersel.errors import UnknownChoiceError

ZONES = (
    "America/Toronto",
    "America/Chicago",
    "America/Denver",
    "America/St_Johns",
    "America/Phoenix",
)


@pytest.mark.parametrize("year", [2026, 2027, 2028])
@pytest.mark.parametrize("zone", ZONES)
def test_the_clock_agrees_with_pandas_outside_the_days_on_which_it_changes(
    year: int, zone: str
) -> None:
    ours = billing_year(year, zone)
    stamps = pd.date_range(f"{year}-01-01", f"{year + 1}-01-01", freq="h", tz=zone,
                           inclusive="left")  # fmt: skip
    usual = stamps.normalize().value_counts(sort=False).to_numpy() == 24

    assert np.count_nonzero(~usual) == (0 if zone == "America/Phoenix" else 2)
    # the household lives by the clock, so that its days have 24 hours all year
    held = np.repeat(usual, 24)
    theirs = stamps[np.repeat(usual, stamps.normalize().value_counts(sort=False))]
    np.testing.assert_array_equal(ours.month[held], theirs.month - 1)
    np.testing.assert_array_equal(ours.hour[held], theirs.hour)
    np.testing.assert_array_equal(ours.is_off_day[held], theirs.day_of_week >= 5)
    assert ours.n_hours == 24 * usual.size == (8784 if year == 2028 else 8760)


@pytest.mark.parametrize("year", [2027, 2028])
@pytest.mark.parametrize("zone", ZONES)
def test_standard_time_comes_to_the_clock_as_in_pandas(year: int, zone: str) -> None:
    hours = np.arange(1.0, 8761.0)
    stamps = pd.date_range(f"{year}-01-01", f"{year + 1}-01-01", freq="h", tz=zone,
                           inclusive="left")  # fmt: skip
    leap = (stamps.month == 2) & (stamps.day == 29)
    by_wall = pd.Series(hours).groupby(stamps[~leap].tz_localize(None)).sum()
    wall = pd.date_range(f"{year}-01-01", f"{year + 1}-01-01", freq="h", inclusive="left")
    wall = wall[~((wall.month == 2) & (wall.day == 29))]

    ours = billing_year(year, zone).by_clock(hours)

    np.testing.assert_array_equal(ours, by_wall.reindex(wall, fill_value=0.0).to_numpy())
    assert ours.sum() == hours.sum()


@pytest.mark.parametrize("year", [2027, 2028])
def test_every_modelled_hour_is_billed_once_and_the_leap_day_repeats_the_28th(year: int) -> None:
    counts = np.bincount(billing_year(year, "America/Chicago").model_hour, minlength=8760)
    twice = np.flatnonzero(counts == 2)

    assert counts.min() == 1
    if year == 2027:
        assert twice.size == 0
    else:
        assert twice.tolist() == list(range(58 * 24, 59 * 24))


def test_without_a_time_zone_standard_time_is_the_clock() -> None:
    hours = np.arange(8760.0)

    assert billing_year(2027).by_clock(hours).tolist() == hours.tolist()


@pytest.mark.parametrize("year", range(2022, 2036))
def test_us_federal_holidays_agree_with_pandas(year: int) -> None:
    days = USFederalHolidayCalendar().holidays(f"{year}-01-01", f"{year}-12-31")

    assert holidays("us_federal", year) == frozenset(day.date() for day in days)


@pytest.mark.parametrize("year", range(2022, 2036))
def test_canadian_federal_holidays_agree_with_a_general_calendar(year: int) -> None:
    theirs = public_holidays.Canada(years=year, observed=False, categories=("government",))

    assert holidays("canada_federal", year) == frozenset(theirs)


@pytest.mark.parametrize("year", [2024, 2025, 2030])
def test_ontario_agrees_with_a_general_calendar_where_no_holiday_is_on_a_weekend(
    year: int,
) -> None:
    theirs = set(public_holidays.Canada(years=year, subdiv="ON", observed=False))
    first = dt.date(year, 8, 1)
    civic = first + dt.timedelta(days=-first.weekday() % 7)  # first Monday of August

    assert holidays("ontario_time_of_use", year) == frozenset(theirs | {civic})


@pytest.mark.parametrize("year", range(2024, 2031))
def test_the_six_usual_holidays_are_among_the_federal_ones(year: int) -> None:
    assert holidays("us_six", year) < holidays("us_federal", year)


def test_ontario_moves_a_weekend_holiday_to_the_next_weekday() -> None:
    # 25 and 26 December 2027 are a Saturday and a Sunday; common practice of the board (memory)
    kept = holidays("ontario_time_of_use", 2027)

    assert {dt.date(2027, 12, 27), dt.date(2027, 12, 28)} <= kept
    assert all(day.weekday() < 5 for day in kept)


@pytest.mark.parametrize("year", range(2020, 2031))
def test_good_friday_is_two_days_before_easter(year: int) -> None:
    from dateutil.easter import easter

    assert easter(year) - dt.timedelta(days=2) in holidays("canada_federal", year)


def test_an_unknown_calendar_is_refused_with_the_known_ones() -> None:
    with pytest.raises(UnknownChoiceError, match="holidays is moon; allowed: us_federal"):
        holidays("moon", 2027)
