"""Reduction times and growth bands of Legionella against the published figures."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cautions.growth import (
    Z_VALUE_K,
    decimal_reduction_min,
    growth_band,
    reduction_time_min,
)
from heatersel.errors import OutOfRangeError


@pytest.mark.parametrize(
    ("temp_c", "minutes"), [(45, 2500), (50, 380), (55, 13.93), (60, 0.74), (66, 0.45)]
)
def test_rows_of_1989_are_returned_as_printed(temp_c, minutes):
    # Sanden et al. (1989), abstract (seen)
    assert decimal_reduction_min(temp_c) == pytest.approx(minutes)


def test_slope_of_the_secondary_series_is_near_the_published_z_value():
    # 124 min at 50 C and 2 min at 60 C (seen) are z = 10 / log10(62) = 5.58 K; the pooled figure
    # of the review is 5.29 K (seen), 6 % less.
    series = "secondary_summary"
    decades = math.log10(decimal_reduction_min(50.0, series) / decimal_reduction_min(60.0, series))
    assert 10.0 / decades == pytest.approx(Z_VALUE_K, rel=0.06)


def test_three_decades_take_three_reduction_times():
    assert reduction_time_min(55.0, 1e6, 1e3) == pytest.approx(3 * 13.93)


def test_no_change_takes_no_time():
    assert reduction_time_min(60.0, 1e4, 1e4) == 0.0


@pytest.mark.parametrize("temp_c", [44.9, 66.1])
def test_beyond_the_rows_nothing_is_guessed(temp_c):
    with pytest.raises(OutOfRangeError, match="45 to 66"):
        decimal_reduction_min(temp_c)


@pytest.mark.parametrize("counts", [(100.0, 1000.0), (100.0, 0.0)])
def test_counts_must_fall_and_stay_above_zero(counts):
    with pytest.raises(OutOfRangeError, match="falling"):
        reduction_time_min(55.0, *counts)


@given(st.floats(45.0, 65.0), st.floats(0.0, 1.0))
def test_hotter_water_never_kills_later(temp_c, rise_k):
    assert decimal_reduction_min(temp_c + rise_k) <= decimal_reduction_min(temp_c) * (1 + 1e-12)


@pytest.mark.parametrize(
    ("temp_c", "band"),
    [
        (19.9, "dormant"), (20.0, "grows"), (37.0, "grows"), (45.0, "grows"),
        (45.1, "survives"), (50.0, "survives"), (50.1, "dies"), (60.0, "dies"),
    ],
)  # fmt: skip
def test_bands_change_at_the_published_temperatures(temp_c, band):
    # WHO 2007 and CDC wording as quoted; loss above 50 C, Schulze-Robbecke 1987 (seen)
    assert growth_band(temp_c) == band
