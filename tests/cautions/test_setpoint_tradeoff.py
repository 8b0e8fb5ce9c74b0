"""The setpoint trade-off: each curve against its own source."""

from __future__ import annotations

from itertools import pairwise

import pytest

from heatersel.cautions.setpoint_tradeoff import setpoint_point, setpoint_tradeoff
from heatersel.errors import OutOfRangeError


def test_standby_by_hand():
    # 2 W/K, 40 K, 8760 h: 700.8 kWh at 0.10
    assert setpoint_point(60.0, 2.0, 20.0, 0.10).standby_per_year == pytest.approx(70.08)


def test_no_store_or_a_warm_room_costs_nothing():
    assert setpoint_point(60.0, 0.0, 20.0, 0.10).standby_per_year == 0.0
    assert setpoint_point(49.0, 2.0, 55.0, 0.10).standby_per_year == 0.0


def test_burn_and_die_off_are_the_published_figures():
    # 60 C: exposure table 3 s (seen), infants 1 s (seen), Sanden 1989 0.74 min (seen)
    point = setpoint_point(60.0, 2.0, 20.0, 0.10)
    assert point.scald_time_s == pytest.approx(3.0)
    assert point.scald_time_child_s == pytest.approx(1.0)
    assert point.decimal_reduction_min == pytest.approx(0.74)


@pytest.mark.parametrize("temp_c", [44.0, 70.0])
def test_beyond_the_published_rows_the_die_off_is_unknown(temp_c):
    assert setpoint_point(temp_c, 2.0, 20.0, 0.10).decimal_reduction_min is None


def test_hotter_burns_sooner_kills_sooner_and_costs_more():
    for cool, hot in pairwise(setpoint_tradeoff(2.0, 20.0, 0.10)):
        assert hot.scald_time_s <= cool.scald_time_s
        assert hot.decimal_reduction_min <= cool.decimal_reduction_min
        assert hot.standby_per_year > cool.standby_per_year


def test_points_span_45_to_66():
    points = setpoint_tradeoff(2.0, 20.0, 0.10, step_k=3.0)
    assert [point.setpoint_c for point in points] == [45, 48, 51, 54, 57, 60, 63, 66]


@pytest.mark.parametrize("given", [(-1.0, 20.0, 0.1), (1.0, 20.0, -0.1)])
def test_negative_loss_or_price_is_refused(given):
    with pytest.raises(OutOfRangeError, match="0 or more"):
        setpoint_point(60.0, *given)


@pytest.mark.parametrize("step", [0.0, 6.0])
def test_step_is_bounded(step):
    with pytest.raises(OutOfRangeError, match="step"):
        setpoint_tradeoff(2.0, 20.0, 0.1, step_k=step)
