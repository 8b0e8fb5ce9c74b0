from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.portfolio.spread import Spread

AMOUNTS = st.lists(st.floats(-1e6, 1e6, allow_subnormal=False), min_size=1, max_size=60)


def spread_of(*parts: list[float]) -> Spread:
    spread = Spread()
    for part in parts:
        spread.add(np.array(part))
    return spread


@given(AMOUNTS, st.sampled_from([0.1, 0.5, 0.9]))
def test_quantiles_are_near_those_of_numpy(amounts: list[float], share: float) -> None:
    exact = float(np.quantile(amounts, share, method="inverted_cdf"))

    found = spread_of(amounts).quantile(share)

    assert found == pytest.approx(exact, rel=0.0051, abs=0.011)


@given(AMOUNTS, AMOUNTS)
def test_the_order_of_the_amounts_does_not_matter(one: list[float], other: list[float]) -> None:
    assert spread_of(one, other).counts == spread_of(other + one).counts


def test_what_is_not_known_is_passed_over() -> None:
    assert spread_of([1.0, float("nan"), 3.0]).n == 2
    assert np.isnan(Spread().quantile(0.5))


@given(AMOUNTS)
def test_bars_hold_every_amount_once(amounts: list[float]) -> None:
    edges = np.linspace(-100.0, 100.0, 9)

    assert spread_of(amounts).bars(edges).sum() == len(amounts)


def test_bars_stand_where_the_amounts_are() -> None:
    bars = spread_of([-5.0, 5.0, 15.0, 16.0, 1000.0]).bars(np.array([0.0, 10.0, 20.0, 30.0]))

    assert bars.tolist() == [2, 2, 1]
