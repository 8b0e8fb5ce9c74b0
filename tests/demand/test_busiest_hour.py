"""The busiest hour of each day."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from heatersel.demand.busiest_hour import BusiestHours, busiest_hour_by_day, busiest_hours
from heatersel.demand.draw_year import FIXTURES, DrawYear, draw_year, plan_draws
from heatersel.errors import OutOfRangeError
from heatersel.job.models import Fixture, Household

Households = Callable[..., Household]
ALL_HOT = np.ones(365)


def draws(*starts_and_litres: tuple[float, float]) -> DrawYear:
    """Draws of one minute each."""
    starts, litres = zip(*starts_and_litres, strict=True)
    n = len(starts)
    return DrawYear(
        start_s=np.array(starts),
        duration_s=np.full(n, 60.0, dtype=np.float32),
        mixed_flow_l_per_min=np.array(litres, dtype=np.float32),
        mixed_temp_c=np.full(n, 40.0, dtype=np.float32),
        fixture=np.full(n, FIXTURES.index(Fixture.SHOWER), dtype=np.uint8),
    )


def test_only_draws_within_an_hour_count_together() -> None:
    seven, half_past = 7 * 3600.0, 7.5 * 3600.0
    by_day = busiest_hour_by_day(
        draws((seven, 30.0), (half_past, 20.0), (12 * 3600.0, 45.0), (86_400 + seven, 10.0)),
        ALL_HOT,
    )

    assert by_day[:3].tolist() == [50.0, 10.0, 0.0]


def test_the_hour_may_cross_midnight() -> None:
    by_day = busiest_hour_by_day(draws((86_400 - 600.0, 30.0), (86_400 + 600.0, 20.0)), ALL_HOT)

    assert by_day[:2].tolist() == [50.0, 20.0]


def test_hot_water_follows_the_share_of_the_day() -> None:
    share = np.linspace(0.5, 0.9, 365)

    assert busiest_hour_by_day(draws((200 * 86_400.0, 10.0)), share)[200] == pytest.approx(
        10 * share[200]
    )


def test_it_is_close_to_windows_that_begin_with_every_draw(household: Households) -> None:
    year = draw_year(plan_draws(household(4)), 1)
    hot = year.hot_l(ALL_HOT)
    total = np.concatenate([[0.0], np.cumsum(hot)])
    end = np.searchsorted(year.start_s, year.start_s + 3600)
    exact = np.zeros(365)
    np.maximum.at(exact, year.day, total[end] - total[:-1])
    ours = busiest_hour_by_day(year, ALL_HOT)

    for percentile in (0.5, 0.9, 0.99):
        assert np.quantile(ours, percentile) == pytest.approx(
            np.quantile(exact, percentile), rel=0.03
        )


def test_days_away_are_not_counted(household: Households) -> None:
    found = busiest_hours(plan_draws(household(2, days_away=100)), (ALL_HOT,), 1, 2)[0]

    assert found.hot_l.size == 2 * 265
    assert found.hot_l[0] > 0.0


def test_colder_water_moves_the_whole_distribution(household: Households) -> None:
    cold, mild = busiest_hours(plan_draws(household(4)), (0.8 * ALL_HOT, 0.6 * ALL_HOT), 1, 2)

    assert (cold.hot_l >= mild.hot_l).all()


def test_percentiles_and_places_are_inverse() -> None:
    hours = BusiestHours(hot_l=np.arange(1.0, 101.0), n_years=1)

    assert hours.percentile_l(0.5) == pytest.approx(50.5)
    assert hours.share_below(97.5) == 0.97
    assert (hours.share_below(0.0), hours.share_below(1000.0)) == (0.0, 1.0)


def test_a_year_without_days_has_no_busiest_hour() -> None:
    assert BusiestHours(hot_l=np.zeros(0), n_years=1).percentile_l(0.99) == 0.0


@pytest.mark.parametrize("percentile", [0.0, 1.0, 99.0])
def test_a_percentile_outside_is_refused(percentile: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"write 0\.99"):
        BusiestHours(hot_l=np.ones(3), n_years=1).percentile_l(percentile)


def test_no_year_at_all_is_refused(household: Households) -> None:
    with pytest.raises(OutOfRangeError, match="n_years"):
        busiest_hours(plan_draws(household()), (ALL_HOT,), 1, 0)


def test_more_people_need_more_in_the_busiest_hour(household: Households) -> None:
    p99 = [
        busiest_hours(plan_draws(household(n)), (ALL_HOT,), 1)[0].percentile_l(0.99)
        for n in range(1, 9)
    ]

    assert p99 == sorted(p99)


def test_the_seed_moves_the_99th_percentile_by_a_few_percent(household: Households) -> None:
    plan = plan_draws(household(4))
    p99 = [busiest_hours(plan, (ALL_HOT,), seed)[0].percentile_l(0.99) for seed in range(6)]

    assert np.std(p99) / np.mean(p99) < 0.05


def test_scaling_by_bills_keeps_the_shape(household: Households) -> None:
    """The same people with 0.8 of the water: the busiest hour falls alike at every percentile."""
    house = household(4)
    full, less = (
        busiest_hours(plan_draws(house, factor), (ALL_HOT,), 1)[0] for factor in (1.0, 0.8)
    )

    for percentile in (0.5, 0.95, 0.99):
        ratio = less.percentile_l(percentile) / full.percentile_l(percentile)
        assert 0.75 < ratio < 0.97
