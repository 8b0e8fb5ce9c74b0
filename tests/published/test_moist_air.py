"""Moist air against a psychrometric library and printed table values."""

from __future__ import annotations

import psychrolib
import pytest

from heatersel.simulation.moist_air import (
    dew_point_c,
    enthalpy_kj_per_kg,
    humidity_ratio,
    saturation_pressure_kpa,
    wet_bulb_c,
)

SEA_LEVEL_PA = 101325.0
GRID = [(t, rel) for t in (-15.0, -2.0, 3.0, 12.0, 19.72, 30.0, 43.0) for rel in (0.1, 0.5, 0.9)]


@pytest.fixture(autouse=True, scope="module")
def _si():
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.mark.parametrize(("temp_c", "rel"), GRID)
def test_against_a_psychrometric_library(temp_c, rel):
    """The library stops at 0.001 K; hence the band."""
    assert wet_bulb_c(temp_c, rel) == pytest.approx(
        psychrolib.GetTWetBulbFromRelHum(temp_c, rel, SEA_LEVEL_PA), abs=2e-3
    )
    assert dew_point_c(temp_c, rel) == pytest.approx(
        psychrolib.GetTDewPointFromRelHum(temp_c, rel), abs=2e-3
    )
    ratio = psychrolib.GetHumRatioFromRelHum(temp_c, rel, SEA_LEVEL_PA)
    assert humidity_ratio(temp_c, rel) == pytest.approx(ratio, rel=1e-6)
    assert 1000.0 * enthalpy_kj_per_kg(temp_c, ratio) == pytest.approx(
        psychrolib.GetMoistAirEnthalpy(temp_c, ratio), rel=1e-6, abs=1.0
    )


def test_wet_bulb_at_altitude():
    """Denver, 83.4 kPa: a lower pressure lowers the wet bulb of the same air."""
    assert wet_bulb_c(25.0, 0.3, 83.4) == pytest.approx(
        psychrolib.GetTWetBulbFromRelHum(25.0, 0.3, 83400.0), abs=2e-3
    )


@pytest.mark.parametrize(("temp_c", "kpa"), [(0.01, 0.61166), (20.0, 2.3393), (50.0, 12.352)])
def test_saturation_pressure_of_steam_tables(temp_c, kpa):
    # IAPWS saturation line, as in any steam table (memory, sure to the digits shown)
    assert saturation_pressure_kpa(temp_c) == pytest.approx(kpa, rel=5e-4)


def test_wet_bulb_of_the_rating_test_air():
    # 67.5 degF and 50 % is 56.4 degF wet bulb (computed with a psychrometric library)
    assert wet_bulb_c((67.5 - 32.0) / 1.8, 0.5) * 1.8 + 32.0 == pytest.approx(56.4, abs=0.05)
