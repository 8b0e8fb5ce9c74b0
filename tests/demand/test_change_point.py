"""Change-point regression on synthetic bills."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.demand.change_point import (
    fit_base_load,
    fit_five_parameter,
    fit_three_parameter,
    student_t_95,
)
from heatersel.errors import ModelError

TEMP_C = np.array([-12.0, -9.0, -3.0, 4.0, 10.0, 15.5, 18.5, 17.5, 12.5, 6.0, -1.5, -9.0])
WARM_C = TEMP_C + 12.0
DAYS = np.array([31.0, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
EVEN = np.ones(12)


def heating(base: float, slope: float, balance_c: float) -> np.ndarray:
    return base + slope * np.maximum(balance_c - TEMP_C, 0.0)


@given(
    base=st.floats(5.0, 60.0),
    slope=st.floats(0.5, 8.0),
    balance_c=st.floats(8.0, 16.0),
)
def test_clean_bills_give_their_parameters_back(
    base: float, slope: float, balance_c: float
) -> None:
    fit = fit_three_parameter(TEMP_C, heating(base, slope, balance_c), DAYS)

    assert fit.base_per_day == pytest.approx(base, abs=0.05 * slope + 0.01)
    assert fit.heating_per_day_k == pytest.approx(slope, rel=0.02)
    assert fit.heating_balance_c == pytest.approx(balance_c, abs=0.15)
    assert fit.r_squared > 0.999
    assert fit.cv_rmse < 0.01


def test_the_interval_holds_the_base_nineteen_times_in_twenty() -> None:
    """200 years of noisy bills, residuals of 4 kWh a day."""
    rng = np.random.default_rng(2)
    inside = 0
    for _ in range(200):
        use = heating(25.0, 3.0, 13.0) + 4.0 * rng.standard_normal(12)
        fit = fit_three_parameter(TEMP_C, use, EVEN)
        inside += abs(fit.base_per_day - 25.0) <= fit.base_half_width_per_day

    assert 0.90 <= inside / 200 <= 0.99


def test_cooling_is_found_above_its_balance() -> None:
    use = 20.0 + 1.5 * np.maximum(WARM_C - 19.0, 0.0)
    fit = fit_three_parameter(WARM_C, use, DAYS, cooling=True)

    assert fit.base_per_day == pytest.approx(20.0, abs=0.1)
    assert fit.cooling_per_day_k == pytest.approx(1.5, rel=0.02)
    assert fit.cooling_balance_c == pytest.approx(19.0, abs=0.15)
    assert fit.heating_balance_c is None
    assert fit.heating_per_day_k == 0.0


def test_five_parameters_find_both() -> None:
    use = 18.0 + 2.0 * np.maximum(13.0 - WARM_C, 0) + 1.2 * np.maximum(WARM_C - 21.0, 0)
    fit = fit_five_parameter(WARM_C, use, DAYS)

    assert fit.base_per_day == pytest.approx(18.0, abs=0.3)
    assert fit.heating_per_day_k == pytest.approx(2.0, rel=0.03)
    assert fit.cooling_per_day_k == pytest.approx(1.2, rel=0.05)
    assert fit.n_parameters == 5


def test_the_fit_gives_its_own_use_back() -> None:
    use = heating(25.0, 3.0, 13.0)
    fit = fit_three_parameter(TEMP_C, use, DAYS)

    assert fit.use_per_day(TEMP_C) == pytest.approx(use, abs=0.3)


def test_use_of_both_kinds_can_be_predicted() -> None:
    use = 18.0 + 2.0 * np.maximum(13.0 - WARM_C, 0) + 1.2 * np.maximum(WARM_C - 21.0, 0)

    assert fit_five_parameter(WARM_C, use, DAYS).use_per_day(WARM_C) == pytest.approx(use, abs=0.5)


def test_a_base_load_alone_is_the_weighted_mean() -> None:
    use = np.array([10.0, 20.0, 12.0])
    days = np.array([30.0, 60.0, 30.0])
    fit = fit_base_load(use, days)

    assert fit.base_per_day == pytest.approx((300 + 1200 + 360) / 120)
    assert fit.r_squared == 0.0
    assert fit.heating_balance_c is None


def test_days_of_a_long_period_are_counted_one_by_one() -> None:
    """Six periods that each mix warm and cold days; their means alone mislead."""
    days_c = [
        np.repeat(pair, 30)
        for pair in (
            (-12.0, -3.0),
            (4.0, 15.5),
            (18.5, 17.5),
            (12.5, -1.5),
            (-9.0, 18.5),
            (10.0, 6.0),
        )
    ]
    days = np.full(6, 60.0)
    use = np.array([(25.0 + 3.0 * np.maximum(14.0 - t, 0.0)).mean() for t in days_c])
    by_day, by_mean = (
        fit_three_parameter(temps, use, days) for temps in (days_c, [t.mean() for t in days_c])
    )

    assert by_day.base_per_day == pytest.approx(25.0, abs=0.1)
    assert by_day.heating_per_day_k == pytest.approx(3.0, rel=0.01)
    assert by_day.heating_balance_c == pytest.approx(14.0, abs=0.1)
    assert abs(by_mean.base_per_day - 25.0) > 2.0


def test_long_periods_weigh_more() -> None:
    use = heating(25.0, 3.0, 13.0)
    use[6] = 40.0
    light = np.where(np.arange(12) == 6, 1.0, 30.0)

    assert fit_three_parameter(TEMP_C, use, light).base_per_day == pytest.approx(25.0, abs=1.0)
    assert fit_three_parameter(TEMP_C, use, EVEN).base_per_day > 27.0


def test_use_that_falls_in_the_cold_is_not_heating() -> None:
    """A summer house: no fit may claim a negative slope."""
    fit = fit_three_parameter(TEMP_C, 20.0 + 0.5 * TEMP_C, DAYS)

    assert fit.heating_per_day_k >= 0.0


@pytest.mark.parametrize("n", [0, 2, 4])
def test_too_few_periods_are_refused(n: int) -> None:
    with pytest.raises(ModelError, match=f"{n} usable periods"):
        fit_three_parameter(TEMP_C[:n], heating(25, 3, 13)[:n], DAYS[:n])


def test_bills_without_any_use_are_refused() -> None:
    with pytest.raises(ModelError, match="with some use"):
        fit_base_load(np.zeros(12), DAYS)


def test_no_degree_of_freedom_has_no_interval() -> None:
    with pytest.raises(ModelError):
        student_t_95(0)
