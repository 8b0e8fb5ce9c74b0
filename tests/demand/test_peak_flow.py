"""The exact distribution of flow that independent fixtures draw together."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.demand.peak_flow import (
    TUB_FILLERS,
    BusyFixture,
    busy_fixtures,
    flow_distribution,
    modified_normal_flow_l_per_min,
    published_p_q,
    simultaneous_flow_l_per_min,
)
from heatersel.errors import OutOfRangeError
from heatersel.job.models import Fixture, FixtureFlows, Household

kinds = st.builds(
    BusyFixture,
    n=st.integers(0, 4),
    p_busy=st.floats(0.0, 1.0),
    flow_l_per_min=st.floats(0.5, 40.0),
)
houses = st.lists(kinds, max_size=4)


@given(houses)
def test_probabilities_sum_to_one_and_flows_rise(house: list[BusyFixture]) -> None:
    flow = flow_distribution(house)

    assert flow.probability.sum() == pytest.approx(1.0)
    assert flow.flow_l_per_min[0] == 0.0
    assert (np.diff(flow.flow_l_per_min) > 0.0).all()


@given(houses)
def test_mean_and_variance_are_those_of_the_parts(house: list[BusyFixture]) -> None:
    flow = flow_distribution(house)
    mean = sum(k.n * k.p_busy * k.flow_l_per_min for k in house)
    variance = sum(k.n * k.p_busy * (1 - k.p_busy) * k.flow_l_per_min**2 for k in house)
    spread = ((flow.flow_l_per_min - mean) ** 2) @ flow.probability

    assert flow.mean_l_per_min == pytest.approx(mean, abs=1e-5)
    assert spread == pytest.approx(variance, abs=1e-3, rel=1e-6)


@given(houses, kinds, st.floats(0.01, 0.99))
def test_another_fixture_never_lowers_a_percentile(
    house: list[BusyFixture], more: BusyFixture, percentile: float
) -> None:
    before = flow_distribution(house).percentile_l_per_min(percentile)
    after = flow_distribution([*house, more]).percentile_l_per_min(percentile)

    assert after >= before - 1e-5


@given(houses, st.floats(0.01, 0.98), st.booleans())
def test_percentiles_rise_and_are_met(
    house: list[BusyFixture], percentile: float, given_busy: bool
) -> None:
    flow = flow_distribution(house)
    at = flow.percentile_l_per_min(percentile, given_busy=given_busy)

    assert flow.percentile_l_per_min(percentile + 0.01, given_busy=given_busy) >= at
    assert flow.share_not_above(at, given_busy=given_busy) >= percentile - 1e-9


def test_equal_sums_are_one_outcome() -> None:
    two_and_one = [
        BusyFixture(n=2, p_busy=0.1, flow_l_per_min=5.0),
        BusyFixture(n=1, p_busy=0.2, flow_l_per_min=10.0),
    ]

    assert flow_distribution(two_and_one).flow_l_per_min.tolist() == [0.0, 5.0, 10.0, 15.0, 20.0]


def test_a_hotel_is_still_counted() -> None:
    """More sums than are kept apart: rounded, with the same mean."""
    rng = np.random.default_rng(1)
    hotel = [
        BusyFixture(n=20, p_busy=0.03, flow_l_per_min=float(flow))
        for flow in rng.uniform(3.0, 21.0, 6)
    ]

    flow = flow_distribution(hotel)

    assert flow.mean_l_per_min == pytest.approx(
        sum(20 * 0.03 * kind.flow_l_per_min for kind in hotel), rel=1e-3
    )


def test_brute_force_agrees() -> None:
    """Every on-off pattern of seven single fixtures, one by one."""
    house = [
        BusyFixture(n=2, p_busy=0.045, flow_l_per_min=7.6),
        BusyFixture(n=3, p_busy=0.02, flow_l_per_min=5.7),
        BusyFixture(n=1, p_busy=0.055, flow_l_per_min=13.2),
        BusyFixture(n=1, p_busy=0.01, flow_l_per_min=20.8),
    ]
    singles = [(k.p_busy, k.flow_l_per_min) for k in house for _ in range(k.n)]
    patterns = []
    for on in product((0, 1), repeat=len(singles)):
        chance = np.prod([p if o else 1 - p for o, (p, _) in zip(on, singles, strict=True)])
        patterns.append((sum(o * q for o, (_, q) in zip(on, singles, strict=True)), chance))
    flow = flow_distribution(house)

    for limit in (0.0, 5.7, 7.6, 13.3, 20.8, 26.5, 40.0):
        brute = sum(chance for total, chance in patterns if total <= limit + 1e-6)
        assert flow.share_not_above(limit) == pytest.approx(brute, abs=1e-12)


def test_nothing_installed_never_flows() -> None:
    idle = flow_distribution([])

    assert idle.idle_probability == 1.0
    assert idle.percentile_l_per_min(0.99) == 0.0
    assert idle.percentile_l_per_min(0.99, given_busy=True) == 0.0
    assert modified_normal_flow_l_per_min([]) == 0.0


@pytest.mark.parametrize("percentile", [0.0, 1.0, 99.0, -0.5])
def test_a_percentile_outside_is_refused(percentile: float) -> None:
    with pytest.raises(OutOfRangeError, match=r"write 0\.99"):
        flow_distribution([]).percentile_l_per_min(percentile)


def test_a_flow_of_zero_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="fixture flow is 0 L/min; allowed: above 0"):
        BusyFixture(n=1, p_busy=0.1, flow_l_per_min=0.0)


@pytest.mark.parametrize(("n", "p_busy"), [(-1, 0.1), (1, -0.1), (1, 1.1)])
def test_impossible_fixtures_are_refused(n: int, p_busy: float) -> None:
    with pytest.raises(OutOfRangeError, match="probability of 0 to 1"):
        BusyFixture(n=n, p_busy=p_busy, flow_l_per_min=5.0)


def test_every_fixture_has_a_published_probability() -> None:
    assert set(published_p_q()) == set(Fixture)


def test_the_assumed_flows_are_the_published_ones() -> None:
    for fixture, (_, flow_l_per_min) in published_p_q().items():
        assert FixtureFlows().of(fixture) == pytest.approx(flow_l_per_min, rel=1e-3)


def test_a_household_is_counted_with_its_own_flows(household: Callable[..., Household]) -> None:
    house = household(fixtures={"shower": 2}, fixture_flow={"shower": "1.5 gal/min"})

    kinds_there = busy_fixtures(house.fixtures, house.fixture_flow, {Fixture.SHOWER: 0.5})

    shower = kinds_there[0]
    assert (shower.n, shower.p_busy) == (2, 0.045)
    assert shower.flow_l_per_min == pytest.approx(0.5 * 1.5 * 3.785411784)
    assert len(kinds_there) == 6


def test_a_share_of_nothing_leaves_the_fixture_out(household: Callable[..., Household]) -> None:
    house = household()
    without_tubs = busy_fixtures(
        house.fixtures, house.fixture_flow, dict.fromkeys(TUB_FILLERS, 0.0)
    )

    assert len(without_tubs) == 5


def test_a_stated_list_is_a_plain_sum() -> None:
    flow = simultaneous_flow_l_per_min(
        {Fixture.SHOWER: 2, Fixture.KITCHEN_SINK: 1}, FixtureFlows(), {Fixture.SHOWER: 0.5}
    )

    assert flow == pytest.approx(7.571 + 8.328)
