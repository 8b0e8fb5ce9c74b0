"""House, outdoors and ground by day."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.climate import climate
from heatersel.simulation.around import around
from heatersel.simulation.moist_air import rel_humidity_frac

DULUTH = climate("Duluth, MN").monthly_air_c
NEAR = around(DULUTH)


def test_outdoor_air_keeps_the_monthly_means():
    """Straight lines between mid-months clip the extremes a little: 1 K at most."""
    days = np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
    means = np.array([NEAR.outdoor_c[days == month].mean() for month in range(12)])
    assert means == pytest.approx(DULUTH, abs=1.0)


def test_the_year_closes():
    assert abs(NEAR.outdoor_c[0] - NEAR.outdoor_c[-1]) < 0.3


def test_ground_is_milder_and_later_than_the_air():
    assert np.ptp(NEAR.ground_c) < 0.8 * np.ptp(NEAR.outdoor_c)
    assert np.argmin(NEAR.ground_c) > np.argmin(NEAR.outdoor_c)


def test_house_stays_between_heating_and_cooling():
    assert NEAR.house_c.min() == 20.0
    assert NEAR.house_c.max() <= 25.0


def test_winter_air_in_the_house_is_dry_and_never_damp():
    inside = rel_humidity_frac(NEAR.house_c, NEAR.house_humidity_ratio)
    assert inside[15] < 0.3
    assert inside.max() <= 0.60 + 1e-9


def test_outdoor_humidity_is_that_of_the_one_city_seen():
    # New York, 63 % over the year (NOAA normals 1961-1990, seen second hand)
    outside = rel_humidity_frac(NEAR.outdoor_c, NEAR.outdoor_humidity_ratio)
    assert outside == pytest.approx(np.full(365, 0.63), abs=0.03)
