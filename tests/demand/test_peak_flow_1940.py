"""The classic method as the upper reference."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.demand.peak_flow import busy_fixtures, flow_distribution
from heatersel.demand.peak_flow_1940 import (
    busy_count_1940,
    curve_1940_l_per_min,
    fixture_units,
    peak_flow_1940_l_per_min,
)
from heatersel.errors import OutOfRangeError
from heatersel.job.models import Household


def test_nothing_installed_needs_nothing() -> None:
    assert busy_count_1940(0, 0.2) == 0
    assert curve_1940_l_per_min(0.0) == 0.0


def test_all_run_where_all_are_always_busy() -> None:
    assert busy_count_1940(7, 1.0) == 7


@given(n=st.integers(0, 60), p=st.floats(0.0, 1.0))
def test_one_more_never_lowers_the_count(n: int, p: float) -> None:
    assert busy_count_1940(n, p) <= busy_count_1940(n + 1, p) <= n + 1


def test_units_add_up(household: Callable[..., Household]) -> None:
    house = household(fixtures={"shower": 2, "lavatory": 3, "bathtub": 1})

    assert fixture_units(house.fixtures) == pytest.approx(2 * 1.4 + 3 * 0.7 + 4 * 1.4)


def test_it_lies_above_the_probability_method(household: Callable[..., Household]) -> None:
    house = household(fixtures={"shower": 2, "lavatory": 3})
    exact = flow_distribution(busy_fixtures(house.fixtures, house.fixture_flow))

    assert peak_flow_1940_l_per_min(house.fixtures) > exact.percentile_l_per_min(
        0.99, given_busy=True
    )


@pytest.mark.parametrize("n_units", [-1.0, 1001.0])
def test_outside_the_printed_curve_is_refused(n_units: float) -> None:
    with pytest.raises(OutOfRangeError, match="fixture units"):
        curve_1940_l_per_min(n_units)
