"""Moist air: limits and the errors for impossible humidity."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.errors import OutOfRangeError
from heatersel.simulation.moist_air import (
    dew_point_c,
    enthalpy_kj_per_kg,
    humidity_ratio,
    rel_humidity_frac,
    wet_bulb_c,
)

air = st.floats(-30.0, 50.0)
humidity = st.floats(0.05, 1.0)


@given(air, humidity)
def test_wet_bulb_lies_between_dew_point_and_dry_bulb(temp_c, rel):
    assert dew_point_c(temp_c, rel) - 1e-6 <= wet_bulb_c(temp_c, rel) <= temp_c + 1e-6


@given(air)
def test_saturated_air_has_one_temperature(temp_c):
    assert wet_bulb_c(temp_c, 1.0) == pytest.approx(temp_c, abs=1e-6)
    assert dew_point_c(temp_c, 1.0) == pytest.approx(temp_c, abs=1e-6)


@given(air, humidity)
def test_humidity_round_trip(temp_c, rel):
    assert rel_humidity_frac(temp_c, humidity_ratio(temp_c, rel)) == pytest.approx(rel, rel=1e-9)


def test_air_holds_no_more_than_saturation():
    assert rel_humidity_frac(5.0, humidity_ratio(25.0, 0.6)) == 1.0


def test_dry_air_at_zero_has_no_enthalpy():
    assert enthalpy_kj_per_kg(0.0, 0.0) == 0.0


def test_array_equals_loop_of_scalars():
    temps = np.linspace(-20.0, 40.0, 13)
    assert wet_bulb_c(temps, 0.5) == pytest.approx([float(wet_bulb_c(t, 0.5)) for t in temps])


@pytest.mark.parametrize("bad", [0.0, 1.1, 50.0, float("nan")])
def test_humidity_in_percent_is_refused(bad):
    with pytest.raises(OutOfRangeError, match=r"write 50 % as 0\.5"):
        wet_bulb_c(20.0, bad)
