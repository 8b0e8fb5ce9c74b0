"""Seasons, kinds of day and hours; overlaps and gaps are named by their first hour."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from heatersel.job.windows import Days, HoursType, Season, SeasonType, Window, first_flaw


def hours(text: str) -> tuple[int, ...]:
    return TypeAdapter(HoursType).validate_python(text)  # type: ignore[no-any-return]


def season(text: str) -> Season:
    return TypeAdapter(SeasonType).validate_python(text)  # type: ignore[no-any-return]


def test_hours_may_run_over_midnight_and_come_in_several_spans() -> None:
    assert hours("7-11, 17-19") == (7, 8, 9, 10, 17, 18)
    assert hours("23-7") == (0, 1, 2, 3, 4, 5, 6, 23)
    assert hours("0-24") == tuple(range(24))
    assert hours("7:00 to 9:00") == (7, 8)


def test_a_season_may_run_over_the_turn_of_the_year() -> None:
    winter = season("november to april")

    assert winter == season("11-01 to 04-30")
    assert winter.has(12, 31)
    assert winter.has(1, 1)
    assert winter.has(4, 30)
    assert not winter.has(5, 1)
    assert not winter.has(10, 31)
    assert season("february").last == (2, 29)


@pytest.mark.parametrize("text", ["25-26", "7-7", "noon", "7-11-12", "", "7.5-9"])
def test_hours_that_are_none_are_refused(text: str) -> None:
    with pytest.raises(ValidationError, match="not hours of the day"):
        hours(text)


def test_hours_given_twice_are_refused() -> None:
    with pytest.raises(ValidationError, match="hours that overlap"):
        hours("7-11, 10-12")


@pytest.mark.parametrize(
    "text", ["winter", "13-01 to 02-01", "02-30 to 03-01", "may to", "a to b to c"]
)
def test_seasons_that_are_none_are_refused(text: str) -> None:
    with pytest.raises(ValidationError, match="not a season"):
        season(text)


def test_one_window_without_limits_holds_every_hour() -> None:
    assert first_flaw([Window()]) is None


def test_no_window_at_all_is_a_gap() -> None:
    assert first_flaw([]) == "without a price on January 1, 00:00, weekdays"
    assert first_flaw([], gaps_allowed=True) is None


def test_the_first_missing_hour_is_named() -> None:
    weekdays = Window(days=Days.WEEKDAYS)
    morning = Window(days=Days.WEEKENDS, hours=tuple(range(7, 24)))
    night = Window(days=Days.WEEKENDS, hours=tuple(range(6)))

    assert first_flaw([weekdays, morning, night]) == "without a price on January 1, 06:00, weekends"


def test_the_first_hour_with_two_prices_is_named() -> None:
    winter, summer = (
        Window(season=season("october to may")),
        Window(season=season("may to september")),
    )

    assert first_flaw([winter, summer]) == "priced 2 times on May 1, 00:00, weekdays"


@given(
    st.sets(st.integers(0, 23), min_size=1, max_size=23), st.sampled_from(["weekdays", "weekends"])
)
def test_any_split_of_the_day_is_whole(peak: set[int], kind: str) -> None:
    rest = tuple(hour for hour in range(24) if hour not in peak)
    other = "weekends" if kind == "weekdays" else "weekdays"
    windows: list[Any] = [
        Window(days=Days(kind), hours=tuple(peak)), Window(days=Days(kind), hours=rest),
        Window(days=Days(other)),
    ]  # fmt: skip

    assert first_flaw(windows) is None
    assert first_flaw(windows[1:]) is not None
