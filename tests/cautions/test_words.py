"""Amounts as people say them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cautions.words import Words, duration, factor

US, SI = Words("us"), Words("si")


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        (US.volume(3.229), "0.9 gal"), (US.volume(189.3), "50 gal"), (SI.volume(3.229), "3.2 L"),
        (US.length(0.9144), "36 in"), (US.length(3.048), "10 ft"), (SI.length(0.3), "30 cm"),
        (US.opening(645.16), "100 in²"), (SI.opening(645.16), "645 cm²"),
        (US.temperature(60.0), "140 °F"), (US.heat_rate(11.7228), "40,000 Btu/h"),
    ],
)  # fmt: skip
def test_amounts(said, expected):
    assert said == expected


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.5, "half a second"), (1, "1 second"), (3, "3 seconds"), (30, "30 seconds"),
        (90, "1.5 minutes"), (150, "2.5 minutes"), (600, "10 minutes"), (7200, "2 hours"),
    ],
)  # fmt: skip
def test_durations(seconds, words):
    assert duration(seconds) == words


@given(st.floats(0.01, 1e6))
def test_a_duration_is_never_empty(seconds):
    assert duration(seconds).endswith(("second", "seconds", "minute", "minutes", "hour", "hours"))


def test_a_square_centimetre_is_no_hundredth_of_a_square_metre():
    # NIST SP 811: 1 in2 is 6.4516 cm2 exactly
    assert factor("in2", "cm2") == pytest.approx(6.4516, rel=1e-12)
    assert factor("m2", "cm2") == pytest.approx(1e4, rel=1e-12)
    assert factor("m2", "mm2") == pytest.approx(1e6, rel=1e-12)


def test_a_small_room_is_said_to_the_foot():
    # 449 ft3 must not read like the 450 ft3 that it falls short of
    assert Words("us").room(449 * 0.0283168) == "449 ft³"
    assert Words("us").room(6000 * 0.0283168) == "6,000 ft³"
    assert Words("si").room(12.7) == "12.7 m³"


@pytest.mark.parametrize(
    ("system", "length_m", "words"),
    [("us", 0.2286, "9.0 in"), ("us", 2.1082, "83.0 in"), ("us", 6.096, "20.0 ft"),
     ("si", 0.2286, "0.23 m")],
)  # fmt: skip
def test_a_clearance_is_said_as_it_is_measured(system, length_m, words):
    assert Words(system).clearance(length_m) == words
