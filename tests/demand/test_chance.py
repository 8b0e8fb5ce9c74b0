"""Random numbers that are the same everywhere."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from heatersel.demand.chance import (
    Chance,
    For,
    day_weight,
    liveliness_by_day,
    stretched_to_volume,
    time_of_day_s,
    whole_number,
)
from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.draw_tables import hour_cdf
from heatersel.job.models import Fixture, Household

EVEN = np.ones(365)


def test_the_stream_is_the_published_one() -> None:
    """PCG64 seeded by SeedSequence, top 53 bits: numpy's own conversion of the same bits."""
    ours = Chance(7, 3, 2).uniform(For.TIME, 5)
    bits = np.random.PCG64(np.random.SeedSequence((7, 3, 2, int(For.TIME))))

    assert ours.tolist() == np.random.Generator(bits).random(5).tolist()


def test_more_numbers_begin_with_the_same_ones() -> None:
    chance = Chance(1, 0, 0)

    assert chance.uniform(For.DAY, 100)[:10].tolist() == chance.uniform(For.DAY, 10).tolist()


@pytest.mark.parametrize("other", [(2, 0, 0), (1, 1, 0), (1, 0, 1)])
def test_another_key_is_another_stream(other: tuple[int, int, int]) -> None:
    ours, theirs = (Chance(*key).uniform(For.DAY, 2000) for key in ((1, 0, 0), other))

    assert abs(np.corrcoef(ours, theirs)[0, 1]) < 0.08


def test_purposes_are_independent() -> None:
    chance = Chance(1, 0, 0)
    streams = np.array([chance.uniform(purpose, 2000) for purpose in For])

    assert np.abs(np.corrcoef(streams) - np.eye(len(For))).max() < 0.09


def test_numbers_are_uniform() -> None:
    values = Chance(1, 0, 0).uniform(For.DAY, 20_000)

    assert values.mean() == pytest.approx(0.5, abs=0.01)
    assert np.histogram(values, 10, (0, 1))[0] == pytest.approx(2000, abs=200)


def test_a_pick_takes_each_value_alike() -> None:
    picked = Chance(1, 0, 0).pick(For.FLOW, np.arange(1024.0), 50_000)

    assert picked.mean() == pytest.approx(511.5, rel=0.01)
    assert picked.max() == 1023.0


def test_days_differ_in_liveliness_by_a_quarter() -> None:
    years = np.concatenate([liveliness_by_day(Chance(s, 0, 8)) for s in range(20)])

    assert years.mean() == pytest.approx(1.0, abs=0.01)
    assert years.std() == pytest.approx(0.25, abs=0.01)
    assert years.min() > 0.0


def test_a_whole_number_has_the_expected_mean() -> None:
    drawn = [whole_number(7.3, Chance(s, 0, 0)) for s in range(2000)]

    assert set(drawn) == {7, 8}
    assert np.mean(drawn) == pytest.approx(7.3, abs=0.04)
    assert whole_number(0.0, Chance(1, 0, 0)) == 1


def test_hours_follow_the_profile() -> None:
    uniform = (np.arange(10_000) + 0.5) / 10_000
    seconds = time_of_day_s("shower", np.zeros(10_000, dtype=np.int64), uniform)
    by_hour = np.histogram(seconds / 3600, np.arange(25))[0] / 10_000

    assert by_hour == pytest.approx(np.diff(hour_cdf("shower")[0]), abs=2e-4)


def test_laundry_day_takes_all_the_laundry(household: Callable[..., Household]) -> None:
    plan = plan_draws(household(laundry_day="tuesday", days_away=0))
    weight = day_weight(plan, Fixture.CLOTHES_WASHER, EVEN)

    assert set(np.flatnonzero(weight) % 7) == {1}
    assert np.count_nonzero(day_weight(plan, Fixture.SHOWER, EVEN)) == 365


def test_nothing_happens_on_days_away(household: Callable[..., Household]) -> None:
    plan = plan_draws(household(days_away=20))

    assert np.count_nonzero(day_weight(plan, Fixture.LAVATORY, EVEN)) == 345


def test_stretching_meets_the_volume_and_keeps_the_shape() -> None:
    duration_s, flow = np.array([60.0, 120.0]), np.array([6.0, 9.0])
    stretched = stretched_to_volume(duration_s, flow, 48.0)

    assert stretched @ flow / 60 == pytest.approx(48.0)
    assert stretched[1] / stretched[0] == pytest.approx(2.0)
    assert stretched_to_volume(np.zeros(0), np.zeros(0), 5.0).size == 0
