"""Parameters of tankless heaters from their ratings."""

from __future__ import annotations

import dataclasses

import pytest

from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import in_parallel
from heatersel.simulation.tankless_rating import rate_all, rate_tankless

ROWS = tuple(heater for heater in load_heaters().heaters if heater.is_tankless)


@pytest.mark.parametrize("rating", rate_all(ROWS), ids=lambda rating: rating.heater_id)
def test_every_row_of_the_list_is_reproduced(rating):
    row = next(heater for heater in ROWS if heater.id == rating.heater_id)
    assert rating.consistent, rating.why_not
    assert rating.uef == pytest.approx(row.uef, abs=0.003)
    assert rating.max_flow_l_per_min == pytest.approx(row.max_flow_l_per_min, rel=0.02)
    # some water and metal: what such an exchanger can hold
    assert 0.5 < rating.stored_kj_per_k < 12.0
    assert rating.first_draw_efficiency < row.recovery_efficiency


def test_one_row_alone_gets_the_same_as_among_others():
    assert rate_tankless(ROWS[3]) == rate_all(ROWS)[3]


def test_a_lower_uef_means_a_heavier_exchanger():
    lower = dataclasses.replace(ROWS[0], uef=ROWS[0].uef - 0.02)
    assert rate_tankless(lower).stored_kj_per_k > rate_tankless(ROWS[0]).stored_kj_per_k


def test_uef_above_what_standby_leaves_is_named():
    impossible = dataclasses.replace(ROWS[0], uef=0.849)
    rating = rate_tankless(impossible)
    assert not rating.consistent
    assert "recovery efficiency of 0.85" in rating.why_not


def test_flow_that_the_input_cannot_hold_is_named():
    boastful = dataclasses.replace(ROWS[0], max_flow_l_per_min=20.0)
    assert "not 20.0" in rate_tankless(boastful).why_not


def test_two_in_parallel_hold_twice_the_flow():
    pair = rate_tankless(in_parallel(ROWS[0], 2))
    single = rate_tankless(ROWS[0])
    assert pair.max_flow_l_per_min == pytest.approx(2.0 * single.max_flow_l_per_min)
    assert pair.consistent, pair.why_not
