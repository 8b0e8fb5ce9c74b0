"""Daily volumes from people and fixtures."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.demand.uses import (
    AWAY_DAYS_USUAL,
    GUEST_DAYS,
    RUNS_HOT,
    adult_equivalents,
    daily_use,
    days_present,
    hot_by_day_l,
    published_hot_water_l,
    use_durations_min,
    use_volumes_l,
)
from heatersel.errors import OutOfRangeError
from heatersel.job.models import Fixture, Household, Occupants

Households = Callable[..., Household]


def total_l(household: Household) -> float:
    use = daily_use(household)
    return sum(use.mixed_l.values()) + sum(use.hot_l.values())


def test_nobody_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="1 to 30 people"):
        adult_equivalents(Occupants())


def test_teenagers_count_for_more_and_children_for_less_than_adults() -> None:
    adult, teenager, child = (
        adult_equivalents(Occupants(**{kind: 1})) for kind in ("adults", "teenagers", "children")
    )

    assert teenager > adult > child > 0.5 * adult


def test_negative_bedrooms_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match="n_bedrooms"):
        published_hot_water_l(-1, 10.0)


@given(adults=st.integers(1, 10), teenagers=st.integers(0, 5), children=st.integers(0, 5))
def test_another_person_never_lowers_the_volume(
    household: Households, adults: int, teenagers: int, children: int
) -> None:
    people = {"adults": adults, "teenagers": teenagers, "children": children}
    before = total_l(household(people))

    for kind in people:
        assert total_l(household(people | {kind: people[kind] + 1})) > before


@pytest.mark.parametrize(
    ("missing", "serves"),
    [
        ("bathtub", Fixture.SHOWER),
        ("shower", Fixture.BATHTUB),
        ("lavatory", Fixture.KITCHEN_SINK),
        ("kitchen_sink", Fixture.LAVATORY),
    ],
)
def test_what_a_missing_fixture_would_take_goes_elsewhere(
    household: Households, missing: str, serves: Fixture
) -> None:
    with_it, without = daily_use(household()), daily_use(household(fixtures={missing: 0}))

    assert Fixture(missing) not in without.mixed_l
    assert without.mixed_l[serves] > with_it.mixed_l[serves]
    assert sum(without.mixed_l.values()) == pytest.approx(sum(with_it.mixed_l.values()))


def test_dishes_without_a_machine_are_washed_at_the_sink(household: Households) -> None:
    with_it, without = daily_use(household()), daily_use(household(fixtures={"dishwasher": 0}))

    assert Fixture.DISHWASHER not in without.hot_l
    assert without.mixed_l[Fixture.KITCHEN_SINK] == pytest.approx(
        with_it.mixed_l[Fixture.KITCHEN_SINK] + with_it.hot_l[Fixture.DISHWASHER]
    )


def test_a_dishwasher_with_a_heater_of_its_own_takes_no_hot_water(household: Households) -> None:
    assert daily_use(household(dishwasher_heats_water=True)).hot_l[Fixture.DISHWASHER] == 0.0


def test_without_a_clothes_washer_nothing_is_washed_at_home(household: Households) -> None:
    assert Fixture.CLOTHES_WASHER not in daily_use(household(fixtures={"clothes_washer": 0})).hot_l


def test_a_house_without_any_tap_is_refused(household: Households) -> None:
    dry = household(fixtures={"shower": 0, "bathtub": 0, "lavatory": 0, "kitchen_sink": 0})

    with pytest.raises(OutOfRangeError, match=r"shower = 1"):
        daily_use(dry)


def test_a_slower_shower_head_saves_in_proportion(household: Households) -> None:
    usual = daily_use(household()).mixed_l[Fixture.SHOWER]
    slow = daily_use(household(fixture_flow={"shower": "1.5 gal/min"})).mixed_l[Fixture.SHOWER]

    assert slow / usual == pytest.approx(0.75, rel=1e-3)


def test_a_faster_tub_filler_fills_the_same_tub(household: Households) -> None:
    fast = daily_use(household(fixture_flow={"bathtub": "8 gal/min"}))

    assert fast.mixed_l[Fixture.BATHTUB] == daily_use(household()).mixed_l[Fixture.BATHTUB]


def test_luxuries_come_on_top(household: Households) -> None:
    plain = daily_use(household())
    rich = daily_use(household(fixtures={"soaking_tub": 1, "body_spray": 4}))

    assert rich.mixed_l[Fixture.SOAKING_TUB] == pytest.approx(
        use_volumes_l()[Fixture.SOAKING_TUB] / 7
    )
    assert rich.mixed_l[Fixture.BODY_SPRAY] > rich.mixed_l[Fixture.SHOWER]
    assert rich.mixed_l[Fixture.SHOWER] == plain.mixed_l[Fixture.SHOWER]


def test_the_usual_absence_is_already_in_the_published_mean(household: Households) -> None:
    """A year with the usual days away comes to the standard's yearly volume."""
    usual = household(days_away=AWAY_DAYS_USUAL)
    bedrooms = (adult_equivalents(usual.occupants) - 0.87) / 0.59
    cold_c = 14.444
    use, present = daily_use(usual), days_present(usual)
    share = np.full(365, (usual.use_temp_c - cold_c) / (51.667 - cold_c))
    mean = sum(days.mean() for days in hot_by_day_l(use, present, share).values())

    assert mean == pytest.approx(published_hot_water_l(bedrooms, cold_c, use_c=40.56), rel=1e-6)


@pytest.mark.parametrize("days_away", [0, 1, 2, 14, 60, 200])
def test_days_away_are_as_many_as_stated(household: Households, days_away: int) -> None:
    present = days_present(household(days_away=days_away))

    assert np.count_nonzero(present == 0.0) == days_away


def test_guests_stay_for_a_week(household: Households) -> None:
    present = days_present(household(4, guests=2))

    assert np.count_nonzero(present > 1.0) == GUEST_DAYS
    assert present.max() == pytest.approx(1.5)


def test_scaling_keeps_the_shape(household: Households) -> None:
    use = daily_use(household())
    half = use.scaled(0.5)

    assert {f: 2 * v for f, v in half.mixed_l.items()} == pytest.approx(dict(use.mixed_l))
    assert {f: 2 * v for f, v in half.hot_l.items()} == pytest.approx(dict(use.hot_l))


def test_every_fixture_has_either_a_volume_or_a_duration_per_use() -> None:
    assert set(use_volumes_l()) | set(use_durations_min()) == set(Fixture)
    assert not set(use_volumes_l()) & set(use_durations_min())


def test_machines_are_the_ones_that_take_hot_water_unmixed(household: Households) -> None:
    assert set(daily_use(household()).hot_l) == set(RUNS_HOT)
