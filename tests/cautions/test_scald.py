"""Exposure times against the published rows, and the damage integral against the tables."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cautions.scald import (
    damage_integral_time_s,
    delivered_temp_c,
    scald_time_s,
    shortest_scald_time_s,
)
from heatersel.errors import OutOfRangeError, UnknownChoiceError

TABLE = "exposure_table_degree_3"


def celsius(temp_f: float) -> float:
    return (temp_f - 32.0) / 1.8


@pytest.mark.parametrize(
    ("temp_f", "seconds"), [(113, 10800), (120, 600), (124, 252), (131, 30), (140, 5)]
)
def test_printed_row_is_returned_as_printed(temp_f, seconds):
    # exposure table, third degree (seen; attribution to Moritz and Henriques 1947 from memory)
    assert scald_time_s(celsius(temp_f), TABLE) == pytest.approx(seconds, rel=1e-9)


def test_logarithm_of_time_is_straight_between_rows():
    # By hand: 124 F 252 s and 131 F 30 s; at 127.5 F the geometric mean, sqrt(252 * 30).
    assert scald_time_s(celsius(127.5), TABLE) == pytest.approx((252 * 30) ** 0.5)


def test_nothing_is_extrapolated():
    assert scald_time_s(celsius(112), TABLE) is None
    assert scald_time_s(celsius(160), TABLE) == pytest.approx(5.0)  # the hottest row, a bound


def test_unknown_series_names_the_known_ones():
    with pytest.raises(UnknownChoiceError, match="burn_leaflet"):
        scald_time_s(60.0, "no_such_series")


@pytest.mark.parametrize(
    ("temp_f", "adult", "child"),
    [
        (120, 300, 150),  # notice and hospital list 5 min; teaching chart 2.5 min (memory)
        (130, 19.6, 6.1),  # adult: second degree, 120 s at 124 F to 17 s at 131 F, in ln t
        (140, 3, 1),  # second degree 3 s; infants 1 s
        (150, 1.5, 0.5),  # hospital list; infants
    ],
)
def test_shortest_published_figure_wins(temp_f, adult, child):
    assert shortest_scald_time_s(celsius(temp_f)) == pytest.approx(adult, rel=0.15)
    assert shortest_scald_time_s(celsius(temp_f), child=True) == pytest.approx(child, rel=0.15)


def test_child_row_is_never_longer():
    for temp_f in range(113, 160):
        adult = shortest_scald_time_s(celsius(temp_f))
        assert shortest_scald_time_s(celsius(temp_f), child=True) <= adult


@given(st.floats(45.1, 75.0), st.floats(0.1, 10.0))
def test_hotter_water_never_burns_later(temp_c, rise_k):
    cool, hot = shortest_scald_time_s(temp_c), shortest_scald_time_s(temp_c + rise_k)
    assert hot <= cool


def test_no_published_burn_below_the_tables():
    assert shortest_scald_time_s(44.0) is None


@pytest.mark.parametrize(("temp_c", "seconds"), [(44, 16200), (45, 7560), (48, 840), (49, 414)])
def test_damage_integral_of_henriques_and_moritz(temp_c, seconds):
    # t = 1 / (P exp(-dE/RT)), P = 3.1e98 1/s, dE/R = 75 000 K (constants from memory), worked
    # by hand to 4.5 h, 2.1 h, 14 min and 6.9 min, two digits each.
    assert damage_integral_time_s(temp_c) == pytest.approx(seconds, rel=0.025)


@pytest.mark.parametrize(("temp_c", "table_s"), [(45, 7200), (48, 900), (49, 480), (51, 120)])
def test_damage_integral_agrees_with_the_table_below_52_c(temp_c, table_s):
    # Second-degree column of the exposure table; the two differ by up to a fifth there.
    assert damage_integral_time_s(temp_c) == pytest.approx(table_s, rel=0.20)


def test_damage_integral_is_refused_where_skin_warms_too_slowly():
    with pytest.raises(OutOfRangeError, match="43 to 52"):
        damage_integral_time_s(55.0)


def test_tempering_valve_caps_what_reaches_the_taps():
    assert delivered_temp_c(60.0, tempered=True) == 49.0
    assert delivered_temp_c(60.0, tempered=False) == 60.0
    assert delivered_temp_c(45.0, tempered=True) == 45.0
