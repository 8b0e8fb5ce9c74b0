"""Descaling interval: directions and limits."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.errors import OutOfRangeError
from heatersel.simulation.hard_water import descaling_interval_months


def test_the_usual_case_is_once_a_year():
    # 10 grain/gal, 60 gal a day, 120 degF: common practice, no source
    assert descaling_interval_months(171.2, 227.1, 48.9) == pytest.approx(12.0)


@given(st.floats(0.0, 600.0), st.floats(1.0, 3.0))
def test_harder_water_never_lengthens_the_interval(hardness, factor):
    soft, hard = (descaling_interval_months(h, 227.1, 48.9) for h in (hardness, hardness * factor))
    assert hard <= soft


def test_hotter_water_scales_faster():
    assert descaling_interval_months(171.2, 227.1, 58.9) == pytest.approx(6.0)


def test_interval_stays_within_what_is_sensible():
    assert descaling_interval_months(0.0, 227.1, 48.9) == 60.0
    assert descaling_interval_months(2000.0, 2000.0, 60.0) == 3.0


@pytest.mark.parametrize("hardness", [-1.0, 5000.0])
def test_impossible_hardness_is_refused(hardness):
    with pytest.raises(OutOfRangeError, match="10 grain/gal are 171 mg/L"):
        descaling_interval_months(hardness, 227.1, 48.9)
