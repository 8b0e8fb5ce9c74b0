"""Which fixtures run together, month by month."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.errors import OutOfRangeError
from heatersel.heaters.catalogue import load_heaters
from heatersel.job.models import Fixture
from heatersel.simulation.together import in_words, run_together

HEATER = next(h for h in load_heaters().heaters if h.id == "gas-tankless-180")
INLET_C = (4.0, 4.0, 5.0, 7.0, 10.0, 13.0, 16.0, 17.0, 15.0, 12.0, 9.0, 6.0)
INSTALLED = {Fixture.SHOWER: 3, Fixture.KITCHEN_SINK: 1, Fixture.LAVATORY: 2}
FLOWS = {Fixture.SHOWER: 7.57, Fixture.KITCHEN_SINK: 6.8, Fixture.LAVATORY: 5.7}


def months(heater=HEATER, inlet_c=INLET_C, **changes):
    given_ = {
        "setpoint_c": 49.0,
        "use_temp_c": 40.6,
        "installed": INSTALLED,
        "flow_l_per_min": FLOWS,
    }
    return run_together(heater, inlet_c, **(given_ | changes))


def test_summer_serves_more_than_winter():
    year = months()
    assert year[7].hot_flow_l_per_min > year[0].hot_flow_l_per_min
    assert sum(year[7].fixtures.values()) >= sum(year[0].fixtures.values())


def test_what_runs_fits_into_what_is_held():
    for month, inlet_c in zip(months(), INLET_C, strict=True):
        share = (40.6 - inlet_c) / (49.0 - inlet_c)
        drawn = sum(share * FLOWS[fixture] * n for fixture, n in month.fixtures.items())
        assert drawn + month.spare_l_per_min == pytest.approx(month.hot_flow_l_per_min)


def test_no_more_run_than_are_installed():
    big = dataclasses.replace(HEATER, max_flow_l_per_min=200.0, input_kw=500.0)
    assert dict(months(big)[0].fixtures) == INSTALLED


def test_words_name_the_best_and_the_worst_month():
    assert in_words(months()).endswith("in January")
    small = next(h for h in load_heaters().heaters if h.id == "electric-tankless-11")
    assert "no fixture at full flow" in in_words(months(small))
    big = dataclasses.replace(HEATER, max_flow_l_per_min=200.0)
    assert in_words(months(big)) == "three showers, one kitchen sink and two sinks all year"


@given(st.floats(1.0, 28.0), st.floats(0.1, 15.0))
def test_colder_inlet_never_raises_the_flow_held(inlet_c, colder_k):
    warm, cold = (
        months(inlet_c=(at,) * 12)[0].hot_flow_l_per_min
        for at in (inlet_c, max(inlet_c - colder_k, 0.0))
    )
    assert cold <= warm + 1e-9


@pytest.mark.parametrize("share", [0.0, 1.2, -1.0])
def test_share_of_input_outside_its_range_is_refused(share):
    with pytest.raises(OutOfRangeError, match=r"10 % as 0\.9"):
        months(input_frac=share)
