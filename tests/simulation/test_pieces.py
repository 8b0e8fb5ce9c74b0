"""Overlapping draws cut into pieces keep their volume, their heat and their order."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.simulation.arrays import N_MIXES
from heatersel.simulation.pieces import Events, cut_events


def events(*rows):
    """Draws as (start, duration, flow, temperature)."""
    return Events(*np.array(rows, dtype=float).reshape(-1, 4).T)


def test_two_draws_that_overlap_make_three_pieces():
    _, pieces = cut_events([events((0.0, 60.0, 0.1, 40.0), (30.0, 60.0, 0.2, 50.0))])
    assert pieces["start_s"].tolist() == [0.0, 30.0, 60.0]
    assert pieces["end_s"].tolist() == [30.0, 60.0, 90.0]
    assert pieces["n"].tolist() == [1, 2, 1]


def test_fixtures_at_one_temperature_are_one_flow():
    _, pieces = cut_events([events((0.0, 60.0, 0.1, 40.0), (0.0, 60.0, 0.2, 40.0))])
    assert pieces["n"].tolist() == [1]
    assert pieces["flow_l_per_s"][0, 0] == pytest.approx(0.3)


def test_idle_time_has_no_pieces_and_years_stand_one_after_the_other():
    first, pieces = cut_events([
        events((0.0, 10.0, 0.1, 40.0), (100.0, 10.0, 0.1, 40.0)), events(),
        events((5.0, 1.0, 0.1, 40.0)),
    ])  # fmt: skip
    assert first.tolist() == [0, 2, 2, 3]
    assert pieces["start_s"].tolist() == [0.0, 100.0, 5.0]


def test_draws_need_not_be_in_order():
    _, pieces = cut_events([events((100.0, 10.0, 0.1, 40.0), (0.0, 10.0, 0.2, 40.0))])
    assert pieces["flow_l_per_s"][:, 0].tolist() == [0.2, 0.1]


def test_too_many_temperatures_join_the_nearest():
    temps = (30.0, 38.0, 42.0, 50.0, 49.0)
    _, pieces = cut_events([events(*((0.0, 60.0, 0.1, temp) for temp in temps))])
    assert pieces["n"][0] == N_MIXES
    assert sorted(pieces["temp_c"][0]) == [30.0, 38.0, 42.0, 49.5]


rows = st.lists(
    st.tuples(
        st.floats(0.0, 3600.0), st.floats(0.1, 900.0), st.floats(0.01, 0.3),
        st.sampled_from([35.0, 38.0, 40.0, 45.0, 50.0, 1000.0]),
    ),
    max_size=30,
)  # fmt: skip


@given(rows)
def test_volume_and_heat_asked_for_are_kept(found):
    run = events(*found)
    _, pieces = cut_events([run])
    seconds = (pieces["end_s"] - pieces["start_s"])[:, None]
    used = np.arange(N_MIXES) < pieces["n"][:, None]
    litres = np.where(used, pieces["flow_l_per_s"], 0.0) * seconds
    assert litres.sum() == pytest.approx((run.flow_l_per_s * run.duration_s).sum(), rel=1e-9)
    heat = (litres * np.where(used, pieces["temp_c"], 0.0)).sum()
    assert heat == pytest.approx((run.flow_l_per_s * run.duration_s * run.temp_c).sum(), rel=1e-9)


@given(rows)
def test_pieces_follow_one_another(found):
    _, pieces = cut_events([events(*found)])
    assert np.all(pieces["end_s"] > pieces["start_s"])
    assert np.all(pieces["start_s"][1:] >= pieces["end_s"][:-1])
