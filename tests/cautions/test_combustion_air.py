"""Room volumes and openings by hand, and the bounds of each method."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cautions.combustion_air import (
    RoomBurners,
    known_leakage_volume_m3,
    opening_cm2_each,
    required_volume_m3,
    standard_volume_m3,
)
from heatersel.errors import OutOfRangeError
from heatersel.job.site import OpeningRoute

KW_PER_BTUH = 2.930710702e-4
FT3 = 0.028316846592


def burners(natural: float = 0.0, fan: float = 0.0) -> RoomBurners:
    return RoomBurners(natural_kw=natural * KW_PER_BTUH, fan_assisted_kw=fan * KW_PER_BTUH)


def test_standard_method_is_50_ft3_per_1000_btuh():
    assert standard_volume_m3(burners(40_000, 60_000)) / FT3 == pytest.approx(5000)


def test_fan_assisted_burners_need_less_of_a_tight_house():
    natural = known_leakage_volume_m3(burners(50_000), 0.3)
    fan = known_leakage_volume_m3(burners(fan=50_000), 0.3)
    assert natural / fan == pytest.approx(21 / 15)


def test_leakage_counts_up_to_the_cap():
    assert known_leakage_volume_m3(burners(40_000), 0.61) == known_leakage_volume_m3(
        burners(40_000), 5.0
    )
    assert known_leakage_volume_m3(burners(40_000), 0.59) > known_leakage_volume_m3(
        burners(40_000), 0.60
    )


def test_no_leakage_is_refused():
    with pytest.raises(OutOfRangeError, match="above 0"):
        known_leakage_volume_m3(burners(40_000), 0.0)


@pytest.mark.parametrize(
    ("air_changes", "ft3"),
    [
        (None, 2000),  # not known: the standard method
        (0.39, 21 / 0.39 * 40),  # below 0.40 the standard method is barred
        (0.40, 2000),  # from 0.40 the smaller of the two: 50 against 52.5
        (0.50, 21 / 0.50 * 40),
    ],
)
def test_method_changes_at_040_air_changes(air_changes, ft3):
    assert required_volume_m3(burners(40_000), air_changes) / FT3 == pytest.approx(ft3)


@pytest.mark.parametrize(
    ("route", "in2"),
    [
        (OpeningRoute.INDOORS, 140),
        (OpeningRoute.OUTDOORS_DIRECT, 35),
        (OpeningRoute.VERTICAL_DUCTS, 35),
        (OpeningRoute.HORIZONTAL_DUCTS, 70),
        (OpeningRoute.SINGLE_OUTDOORS, 140_000 / 3000),
    ],
)
def test_openings_for_140_000_btuh(route, in2):
    assert opening_cm2_each(burners(40_000, 100_000), route) / 6.4516 == pytest.approx(in2)


@pytest.mark.parametrize(("btuh", "in2"), [(99_000, 100), (100_000, 100), (101_000, 101)])
def test_indoor_openings_have_a_floor_of_100_in2(btuh, in2):
    area_cm2 = opening_cm2_each(burners(btuh), OpeningRoute.INDOORS)
    assert area_cm2 / 6.4516 == pytest.approx(in2)


@given(st.floats(1.0, 500.0), st.floats(0.05, 0.6), st.floats(1.01, 3.0))
def test_a_tighter_house_never_needs_a_smaller_room(kw, ach, times):
    room = RoomBurners(natural_kw=kw)
    assert known_leakage_volume_m3(room, ach / times) > known_leakage_volume_m3(room, ach)
