"""Inlet temperature: the four ways and the choice between them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.climate import climate
from heatersel.demand.inlet import (
    COLDEST_INLET_C,
    DAYS_IN_MONTH,
    GROUND_WATER_ABOVE_AIR_K,
    InletMethod,
    depth_effect,
    inlet_by_method,
    inlet_for,
    mains_correlation_c,
    readings_c,
)
from heatersel.errors import InputError, OutOfRangeError
from heatersel.job.models import Place

HERE = climate("Duluth, MN")
MID_MONTH = [int(d) for d in np.cumsum(DAYS_IN_MONTH) - np.array(DAYS_IN_MONTH) / 2]
Places = Callable[..., Place]


@pytest.mark.parametrize(
    ("known", "method"),
    [
        ({}, InletMethod.MAINS_CORRELATION),
        ({"main_depth": "7 ft"}, InletMethod.SOIL_AT_DEPTH),
        ({"supply": "well"}, InletMethod.WELL),
        ({"supply": "well", "main_depth": "7 ft"}, InletMethod.WELL),
        ({"main_depth": "7 ft", "inlet": {"january": "40 degF"}}, InletMethod.OWN_READINGS),
    ],
)
def test_what_is_known_of_the_place_decides(
    place: Places, known: dict[str, object], method: InletMethod
) -> None:
    assert inlet_for(place(**known), HERE).method is method


def test_every_other_way_is_shown_beside_the_chosen_one(place: Places) -> None:
    found = inlet_by_method(place(main_depth="7 ft", inlet={"january": "40 degF"}), HERE)

    assert found[0].method is InletMethod.OWN_READINGS
    assert {inlet.method for inlet in found} == set(InletMethod)


def test_without_readings_three_ways_remain(place: Places) -> None:
    assert len(inlet_by_method(place(), HERE)) == 3


def test_the_usual_depth_is_named_where_none_is_stated(place: Places) -> None:
    soil = next(i for i in inlet_by_method(place(), HERE) if i.method is InletMethod.SOIL_AT_DEPTH)

    assert "usual depth" in soil.note


def test_monthly_and_annual_means_are_those_of_the_days(place: Places) -> None:
    inlet = inlet_for(place(), HERE)

    assert inlet.daily_c[:31].mean() == pytest.approx(inlet.monthly_c[0])
    assert np.average(inlet.monthly_c, weights=DAYS_IN_MONTH) == pytest.approx(inlet.annual_mean_c)
    assert inlet.daily_c[inlet.design_day] == inlet.design_c == inlet.daily_c.min()


def test_a_well_is_the_same_all_year(place: Places) -> None:
    inlet = inlet_for(place(supply="well"), HERE)

    assert np.ptp(inlet.daily_c) == 0.0
    assert inlet.design_c == pytest.approx(sum(HERE.monthly_air_c) / 12 + GROUND_WATER_ABOVE_AIR_K)


def test_a_deeper_main_is_warmer_on_its_coldest_day() -> None:
    effects = depth_effect(HERE)

    assert [e.depth_m for e in effects] == sorted(e.depth_m for e in effects)
    assert effects[-1].design_c > effects[-2].design_c > COLDEST_INLET_C
    assert effects[0].n_days_held > effects[-1].n_days_held == 0
    assert effects[0].warmest_c > effects[-1].warmest_c


def test_depth_changes_the_inlet_of_a_job(place: Places) -> None:
    shallow = inlet_for(place(main_depth="3 ft"), HERE)
    deep = inlet_for(place(main_depth="8 ft"), HERE)

    assert deep.design_c > shallow.design_c
    assert deep.design_day > shallow.design_day


def test_a_negative_depth_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match="depth of the main"):
        depth_effect(HERE, [-1.0])


def test_twelve_readings_are_met_in_the_middle_of_each_month() -> None:
    given_c = (4, 4, 5, 7, 10, 13, 16, 17, 15, 12, 9, 6)
    daily_c = readings_c(given_c, np.full(365, 10.0))

    assert daily_c[15] == pytest.approx(4.0, abs=0.02)  # 16 January, noon is the middle
    assert daily_c.min() >= 4.0 - 1e-9
    assert daily_c.max() <= 17.0 + 1e-9


def test_missing_months_follow_the_readings_next_to_them() -> None:
    """Readings of a shifted and stretched model give the missing months back within 1 K."""
    model_c = mains_correlation_c(HERE.monthly_air_c)
    wave = 2.0 - 3.0 * np.cos(2 * np.pi * np.arange(365) / 365)
    truth = model_c + wave
    some: list[float | None] = [float(truth[d]) for d in MID_MONTH]
    for month in (1, 4, 5, 8, 11):
        some[month] = None

    filled = readings_c(some, model_c)

    assert filled[MID_MONTH] == pytest.approx(truth[MID_MONTH], abs=1.0)


@pytest.mark.parametrize("error_k", [(1.0, 0.0, 1.0), (0.0, 1.0, 0.0), (1.0, 0.0, -1.0)])
def test_an_error_in_summer_readings_does_not_grow_into_winter(
    error_k: tuple[float, ...],
) -> None:
    model_c = mains_correlation_c(HERE.monthly_air_c)
    some: list[float | None] = [None] * 12
    for month, off_k in zip((5, 6, 7), error_k, strict=True):
        some[month] = float(model_c[MID_MONTH[month]]) + off_k

    filled = readings_c(some, model_c)

    assert np.abs(filled[MID_MONTH] - model_c[MID_MONTH]).max() < 1.1


def test_a_winter_and_a_summer_reading_leave_no_spike() -> None:
    """One reading 3 K below and one 10 K above the model: no month steps by more than 7 K."""
    model_c = mains_correlation_c(HERE.monthly_air_c)
    some: list[float | None] = [None] * 12
    some[0], some[6] = float(model_c[15]) - 3.0, float(model_c[196]) + 10.0

    filled = readings_c(some, model_c)

    assert np.abs(np.diff(filled[MID_MONTH])).max() < 7.0


def test_one_reading_shifts_the_model() -> None:
    model_c = mains_correlation_c(HERE.monthly_air_c)
    filled = readings_c([float(model_c[15]) + 2.0] + [None] * 11, model_c)

    assert filled.mean() == pytest.approx(model_c.mean() + 2.0, abs=0.15)


def test_no_reading_at_all_is_refused() -> None:
    with pytest.raises(InputError, match="at least one month"):
        readings_c([None] * 12, np.full(365, 10.0))


def test_the_note_says_how_many_months_were_read(place: Places) -> None:
    inlet = inlet_for(place(inlet={"january": "40 degF", "july": "60 degF"}), HERE)

    assert "2 months" in inlet.note
    assert "follow mains correlation" in inlet.note


def test_a_place_outside_the_data_of_the_correlation_is_named(place: Places) -> None:
    assert "measure the cold tap" in inlet_for(place(), climate("Winnipeg, MB")).note


def test_held_days_are_named(place: Places) -> None:
    soil = inlet_for(place(main_depth="3 ft"), HERE)

    assert soil.design_c == COLDEST_INLET_C
    assert "Held at 32.9 °F (0.5 °C) on" in soil.note


@given(
    mean_c=st.floats(-15.0, 28.0),
    swing_k=st.floats(0.0, 45.0),
    depth_ft=st.none() | st.floats(1.0, 30.0),
)
def test_water_never_freezes(
    place: Places, air: Callable[..., Any], mean_c: float, swing_k: float, depth_ft: float | None
) -> None:
    known = {} if depth_ft is None else {"main_depth": f"{depth_ft} ft"}
    for inlet in inlet_by_method(place(**known), air(mean_c, swing_k)):
        assert inlet.design_c >= COLDEST_INLET_C
        assert inlet.daily_c.shape == (365,)
        assert np.isfinite(inlet.daily_c).all()


@given(mean_c=st.floats(-5.0, 25.0), swing_k=st.floats(0.0, 40.0), colder_k=st.floats(0.0, 10.0))
def test_a_colder_climate_never_has_warmer_water_on_the_mean(
    place: Places, air: Callable[..., Any], mean_c: float, swing_k: float, colder_k: float
) -> None:
    for warm, cold in zip(
        inlet_by_method(place(), air(mean_c, swing_k)),
        inlet_by_method(place(), air(mean_c - colder_k, swing_k)),
        strict=True,
    ):
        assert cold.annual_mean_c <= warm.annual_mean_c + 0.2
