"""A heat pump and its room settled together."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatersel.climate import climate
from heatersel.heaters.catalogue import load_heaters
from heatersel.job.models import HeaterLocation
from heatersel.simulation import heat_pump_air
from heatersel.simulation.around import around
from heatersel.simulation.heat_pump_air import condensate_l, remarks, settle
from heatersel.simulation.room import AirPath, room_air, room_for

HEATERS = {heater.id: heater for heater in load_heaters().heaters}
DULUTH = around(climate("Duluth, MN").monthly_air_c)
ATLANTA = around(climate("Atlanta, GA").monthly_air_c)


def settled(room, near=DULUTH, heater="heat-pump-50", heat_kwh=9.0, **options):
    return settle(
        HEATERS[heater],
        room,
        near,
        heat_kwh=np.full(365, heat_kwh),
        lost_kwh=np.full(365, 1.0),
        setpoint_c=50.0,
        **options,
    )


def test_a_basement_unit_cools_its_room_and_itself():
    result = settled(room_for(HeaterLocation.BASEMENT))
    assert np.all(result.cop < result.untouched_cop)
    assert np.all(result.entering_c <= result.mean_c)
    assert 0.5 < np.mean(result.untouched_cop) / 4.0 < 1.0


def test_energy_taken_is_heat_less_electricity():
    result = settled(room_for(HeaterLocation.BASEMENT))
    assert result.taken_kwh == pytest.approx(9.0 * (1.0 - 1.0 / result.cop), rel=1e-9)


def test_four_rounds_are_enough(monkeypatch):
    """Against sixty rounds: COP within 2 % in a closet, 0.5 % in a basement."""
    for location, band in ((HeaterLocation.CLOSET, 0.02), (HeaterLocation.BASEMENT, 0.005)):
        quick = settled(room_for(location)).cop
        monkeypatch.setattr(heat_pump_air, "_ROUNDS", 60)
        assert quick == pytest.approx(settled(room_for(location)).cop, rel=band)
        monkeypatch.undo()


def test_the_settled_room_closes_its_heat_balance():
    """What the coil and its fan take from the air is what house, outdoors and ground supply."""
    room = room_for(HeaterLocation.UTILITY_ROOM)
    result = settled(room)
    untouched = room_air(room, DULUTH, gained_kwh=1.0).mean_c
    supplied_kwh = 0.024 * room.w_per_k * (untouched - result.mean_c)
    sensible_kwh = result.taken_kwh - result.latent_kwh
    assert np.mean(supplied_kwh) == pytest.approx(np.mean(sensible_kwh), rel=0.02)


def test_a_split_unit_draws_outdoor_air_and_leaves_the_room_alone():
    room = room_for(HeaterLocation.BASEMENT)
    result = settled(room, heater="split-heat-pump-45")
    untouched = room_air(room, DULUTH, gained_kwh=1.0)
    assert result.entering_c == pytest.approx(DULUTH.outdoor_c)
    assert result.mean_c == pytest.approx(untouched.mean_c)
    assert not result.days.locked_out.any()


def test_a_garage_in_duluth_locks_the_compressor_out_in_winter():
    result = settled(room_for(HeaterLocation.GARAGE))
    assert result.days.locked_out[:60].all()
    assert not result.days.locked_out[180:240].any()
    assert np.all(result.taken_kwh[result.days.locked_out] == 0.0)


def test_a_tiny_closet_starves_its_heat_pump():
    assert settled(room_for(HeaterLocation.CLOSET, 1.5), heat_kwh=14.0).starved.any()
    assert not settled(room_for(HeaterLocation.UTILITY_ROOM)).starved.any()


def test_a_louvred_door_restores_most_of_the_cop():
    cops = {
        path: np.mean(settled(room_for(HeaterLocation.CLOSET, 12.7, path)).cop)
        for path in (AirPath.ROOM, AirPath.LOUVRED)
    }
    untouched = np.mean(settled(room_for(HeaterLocation.CLOSET, 12.7)).untouched_cop)
    lost = (untouched - cops[AirPath.ROOM]), (untouched - cops[AirPath.LOUVRED])
    assert lost[1] < 0.5 * lost[0]


def test_warm_humid_air_gives_condensate():
    humid, dry = (
        condensate_l(settled(room_for(HeaterLocation.BASEMENT), near).latent_kwh)
        for near in (ATLANTA, DULUTH)
    )
    assert humid.sum() > dry.sum() > 0.0
    # up to 2.5 gal a day in a humid room (from memory, low)
    assert humid.max() < 2.5 * 3.785


def test_remarks_say_what_applies():
    unit = HEATERS["heat-pump-50"]
    places = (
        (HeaterLocation.BASEMENT, None),
        (HeaterLocation.GARAGE, None),
        (HeaterLocation.CLOSET, 1.5),
    )
    basement, garage, closet = (
        " | ".join(remarks(unit, settled(room_for(*place), heat_kwh=14.0))) for place in places
    )
    assert "condensate needs a drain" in basement
    assert "50 dB(A)" in basement
    assert "outside the compressor's range" in garage
    assert "outside the compressor's range" not in basement
    assert "cannot feed it" in closet
    assert "cannot feed it" not in basement


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(sorted(h.id for h in HEATERS.values() if h.compressor_input_kw > 0.0)),
    st.sampled_from(list(HeaterLocation)),
    st.floats(3.0, 300.0),
    st.floats(0.5, 40.0),
)
def test_every_house_settles_to_usable_numbers(heater, location, volume_m3, heat_kwh):
    room = room_for(location, volume_m3) if location is not HeaterLocation.OUTDOORS else None
    result = settled(room, heater=heater, heat_kwh=heat_kwh)
    for field in dataclasses.fields(result):
        value = getattr(result, field.name)
        if isinstance(value, np.ndarray):
            assert np.all(np.isfinite(value)), field.name
    assert np.all((result.taken_kwh >= 0.0) & (result.taken_kwh <= heat_kwh))
    assert np.all(result.latent_kwh >= 0.0)


def test_a_split_unit_drips_outdoors():
    """A unit outdoors dries nobody's room."""
    split = "split-heat-pump-45"
    found = settled(room_for(HeaterLocation.GARAGE), ATLANTA, split)
    said = " ".join(remarks(HEATERS[split], found))
    assert "outdoor coil drips" in said
    assert "dries the air" not in said
