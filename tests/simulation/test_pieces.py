"""Overlapping draws cut into pieces."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.demand.draw_year import DrawYear
from heatersel.simulation.pieces import cut_into_pieces


def year_of(*draws):
    """Return a year of (start, seconds, flow in L/min, temperature)."""
    rows = np.array(sorted(draws), dtype=float).reshape(-1, 4)
    return DrawYear(
        start_s=rows[:, 0],
        duration_s=rows[:, 1].astype(np.float32),
        mixed_flow_l_per_min=rows[:, 2].astype(np.float32),
        mixed_temp_c=rows[:, 3].astype(np.float32),
        fixture=np.zeros(len(rows), dtype=np.uint8),
    )


def test_two_overlapping_draws_make_three_pieces():
    cut = cut_into_pieces([year_of((0.0, 100.0, 6.0, 40.0), (60.0, 90.0, 3.0, 38.0))])
    assert cut.start_s.tolist() == [0.0, 60.0, 100.0]
    assert cut.end_s.tolist() == [60.0, 100.0, 150.0]
    assert np.diff(cut.first).tolist() == [1, 2, 1]
    assert cut.entries[:, 0] * 60.0 == pytest.approx([6.0, 6.0, 3.0, 3.0])


def test_idle_time_has_no_piece():
    cut = cut_into_pieces([year_of((0.0, 10.0, 6.0, 40.0), (500.0, 10.0, 6.0, 40.0))])
    assert cut.start_s.tolist() == [0.0, 500.0]


def test_years_follow_one_another():
    years = [
        year_of((0.0, 10.0, 6.0, 40.0)),
        year_of((5.0, 10.0, 6.0, 40.0), (9.0, 3.0, 2.0, 40.0)),
    ]
    cut = cut_into_pieces(years)
    assert cut.year_first.tolist() == [0, 1, 4]
    assert cut.first.tolist() == [0, 1, 2, 4, 5]


@given(
    st.lists(
        st.tuples(
            st.integers(0, 5000), st.integers(1, 900), st.floats(0.5, 20.0), st.just(40.0)
        ),
        min_size=1, max_size=20,
    )
)  # fmt: skip
def test_no_litre_is_lost_or_made(draws):
    year = year_of(*draws)
    cut = cut_into_pieces([year])
    seconds = np.repeat(cut.end_s - cut.start_s, np.diff(cut.first))
    assert (seconds * cut.entries[:, 0]).sum() == pytest.approx(year.mixed_l.sum(), rel=1e-6)
    assert np.all(cut.start_s[1:] >= cut.end_s[:-1])
