"""Showers: who, when, and one after the other."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from heatersel.demand.chance import Chance
from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.draw_tables import hour_cdf
from heatersel.demand.showers import shower_draws
from heatersel.job.models import Fixture, Household

Households = Callable[..., Household]
EVEN = np.ones(365)


def showers(household: Household, seed: int = 1) -> tuple[np.ndarray, np.ndarray]:
    draws = shower_draws(plan_draws(household), Chance(seed, 0, 0), EVEN)[0]
    order = np.argsort(draws.start_s)
    return draws.start_s[order], draws.duration_s[order]


def test_nobody_showers_twice_a_day_while_once_is_enough(household: Households) -> None:
    start_s, _ = showers(household(1, fixtures={"bathtub": 1, "shower": 2}))

    assert np.bincount((start_s // 86_400).astype(int)).max() == 1


def test_a_house_without_tub_may_need_a_second_shower(household: Households) -> None:
    """All bathing in showers of a slow, thrifty head: still one volume, more showers a day."""
    lone = household(1, fixtures={"bathtub": 0}, days_away=0)
    start_s, duration_s = showers(lone)

    assert start_s.size == duration_s.size > 200


def test_one_head_serves_one_at_a_time(household: Households) -> None:
    start_s, duration_s = showers(household(6, fixtures={"shower": 1}))

    assert (start_s[1:] >= start_s[:-1] + duration_s[:-1]).all()


def test_two_heads_may_run_together(household: Households) -> None:
    start_s, duration_s = showers(household(6, fixtures={"shower": 2}))

    assert (start_s[1:] < start_s[:-1] + duration_s[:-1]).any()


def test_showers_of_a_family_follow_each_other(household: Households) -> None:
    """More pairs within half an hour than the hours of the day alone would bring."""
    starts = [showers(household(4, fixtures={"shower": 2}), seed)[0] for seed in range(6)]
    close = np.mean(np.concatenate([np.diff(s) for s in starts]) < 1800)
    rng = np.random.default_rng(1)
    alone = []
    for s in starts:
        hours = np.interp(rng.random(s.size), hour_cdf("shower")[0], np.arange(25))
        alone.append(np.diff(np.sort(s // 86_400 * 86_400 + 3600 * hours)))

    assert close > 1.5 * np.mean(np.concatenate(alone) < 1800)


def test_following_keeps_the_hours_of_the_study(household: Households) -> None:
    """The share before noon on weekdays, which sorting by time would have shifted."""
    starts = np.concatenate(
        [showers(household(4, fixtures={"shower": 2}), seed)[0] for seed in range(12)]
    )
    weekday = starts[(starts // 86_400) % 7 < 5]
    before_noon = np.mean(weekday % 86_400 < 43_200)

    assert before_noon == pytest.approx(hour_cdf("shower")[0][12], abs=0.02)


def test_children_bathe_in_the_evening(household: Households) -> None:
    grown, _ = showers(household({"adults": 4}, fixtures={"shower": 2}))
    small, _ = showers(household({"adults": 1, "children": 5}, fixtures={"shower": 2}))

    assert np.mean(small % 86_400 > 61_200) > np.mean(grown % 86_400 > 61_200) + 0.1


def test_another_person_changes_nobody_elses_showers(household: Households) -> None:
    """Nearly all showers of three people are among those of four."""
    three, _ = showers(household(3, fixtures={"shower": 2}))
    four, _ = showers(household(4, fixtures={"shower": 2}))
    days = [np.bincount((s // 86_400).astype(int), minlength=365) for s in (three, four)]

    assert np.mean(days[1] >= days[0]) > 0.95


def test_body_sprays_run_with_half_of_the_showers(household: Households) -> None:
    plan = plan_draws(household(4, fixtures={"shower": 2, "body_spray": 4}))
    shower, spray = shower_draws(plan, Chance(1, 0, 0), EVEN)

    assert spray.fixture is Fixture.BODY_SPRAY
    assert spray.start_s.size / shower.start_s.size == pytest.approx(0.5, abs=0.06)
    assert set(spray.start_s) <= set(shower.start_s)
    assert spray.duration_s @ spray.flow_l_per_min / 60 == pytest.approx(
        plan.year_l[Fixture.BODY_SPRAY]
    )
