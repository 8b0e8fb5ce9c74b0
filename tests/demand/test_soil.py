"""Soil temperature at depth."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.demand.soil import (
    COLDEST_SURFACE_DAY,
    TAP_ABOVE_AIR_K,
    main_temp_c,
    soil_temp_c,
    typical_main_depth_m,
)
from heatersel.errors import OutOfRangeError

DAYS = np.arange(1.0, 366.0)
COLD_AIR = (-12.0, -9.0, -3.0, 4.0, 10.0, 15.0, 18.5, 17.5, 12.5, 6.0, -1.5, -9.0)
WARM_AIR = tuple(value + 22.0 for value in COLD_AIR)


def test_the_surface_swings_by_the_amplitude() -> None:
    surface = soil_temp_c(0.0, DAYS, mean_c=8.0, amplitude_k=12.0)

    assert surface.min() == pytest.approx(-4.0)
    assert int(surface.argmin()) + 1 == COLDEST_SURFACE_DAY
    assert surface.mean() == pytest.approx(8.0, abs=1e-9)


def test_far_down_it_stays_at_the_mean() -> None:
    deep = soil_temp_c(30.0, DAYS, mean_c=8.0, amplitude_k=12.0)

    assert np.ptp(deep) < 0.001


@pytest.mark.parametrize("depth_m", [0.5, 1.0, 2.0, 3.0])
def test_deeper_soil_swings_less_and_later(depth_m: float) -> None:
    shallow = soil_temp_c(depth_m, DAYS, mean_c=8.0, amplitude_k=12.0)
    deeper = soil_temp_c(depth_m + 0.5, DAYS, mean_c=8.0, amplitude_k=12.0)

    assert np.ptp(deeper) < np.ptp(shallow)
    assert deeper.argmin() > shallow.argmin()


def test_main_water_has_the_measured_mean_of_tap_water() -> None:
    water = main_temp_c(2.0, COLD_AIR, DAYS)

    assert water.mean() == pytest.approx(sum(COLD_AIR) / 12 + TAP_ABOVE_AIR_K, abs=1e-9)


def test_cold_places_bury_deeper() -> None:
    assert typical_main_depth_m(COLD_AIR) > typical_main_depth_m(WARM_AIR)


def test_a_negative_depth_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="depth of the main"):
        soil_temp_c(-1.0, 1.0, mean_c=8.0, amplitude_k=12.0)


def test_soil_that_does_not_conduct_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="soil that conducts"):
        soil_temp_c(1.0, 1.0, mean_c=8.0, amplitude_k=12.0, diffusivity_m2_per_day=0.0)
