"""The derate in each reading, on both sides of its triggers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cautions.altitude import altitude_derate_frac
from heatersel.cautions.jurisdiction import Country
from heatersel.job.site import AltitudeReading

FT = 0.3048
SEA, ABOVE = AltitudeReading.SEA_LEVEL, AltitudeReading.ABOVE_2000_FT


@pytest.mark.parametrize(
    ("feet", "country", "reading", "lost"),
    [
        (2000, Country.US, SEA, 0.0),
        (2001, Country.US, SEA, 0.08004),
        (2001, Country.US, ABOVE, 0.00004),
        (5000, Country.US, SEA, 0.20),  # NFPA 54 (2015 and before), seen in part
        (5000, Country.US, ABOVE, 0.12),  # the other published reading
        (2000, Country.CANADA, SEA, 0.0),
        (2001, Country.CANADA, SEA, 0.10),  # CSA B149.1 as quoted, 2000 to 4500 ft (seen)
        (4500, Country.CANADA, ABOVE, 0.10),
        (4501, Country.CANADA, ABOVE, 0.18004),  # the authority decides; the larger is used
    ],
)
def test_derate(feet, country, reading, lost):
    assert altitude_derate_frac(feet * FT, country, reading) == pytest.approx(lost, abs=1e-6)


@given(st.floats(-100.0, 6000.0), st.sampled_from(list(Country)))
def test_default_reading_is_the_larger(elevation_m, country):
    default = altitude_derate_frac(elevation_m, country)
    assert default >= altitude_derate_frac(elevation_m, country, ABOVE)
    assert 0.0 <= default <= 1.0
