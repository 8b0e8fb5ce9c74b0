"""The hot-water path: what stands where, and in which state."""

from __future__ import annotations

import pytest

from heatersel.cautions import cautions_for
from heatersel.cautions.water_path import Part, Standing, water_path


@pytest.fixture
def path(job_of, facts_of, heater_of):
    def of(heater: str, changes: dict | None = None, peak: float | None = None):
        job = job_of(changes or {})
        chosen, facts = heater_of(heater), facts_of(job)
        return water_path(job, chosen, facts, cautions_for(job, chosen, facts), peak)

    return of


def standing(path) -> dict[Part, Standing]:
    return {part.part: part.standing for part in path.parts}


def test_water_runs_from_the_street_to_the_taps(path):
    parts = [part.part for part in path("gas-tank-50").parts]
    assert parts[0] is Part.STREET
    assert parts[-1] is Part.FIXTURES
    order = [Part.STREET, Part.METER, Part.SHUTOFF, Part.HEATER, Part.FIXTURES]
    assert [part for part in parts if part in order] == order


def test_a_well_has_a_pressure_tank_and_no_meter(path):
    found = path("gas-tank-50", {"place.supply": "well", "home.static_pressure": "50 psi"})
    tank = next(part for part in found.parts if part.part is Part.PRESSURE_TANK)
    assert "50 psi" in tank.says
    assert Part.METER not in standing(found)


def test_a_pressure_nobody_measured_is_said_to_be_missing(path):
    found = path("gas-tank-50", {"home.static_pressure": ...})
    meter = next(part for part in found.parts if part.part is Part.METER)
    assert "not measured" in meter.says


def test_sizes_are_said_in_the_units_of_the_job(path):
    found = path("gas-tank-50", {"units": "si"})
    assert "189 L" in found.title
    assert "gal" not in found.alternative


def test_fixtures_are_named_with_the_flow_of_a_shower(path):
    changes = {"household.fixtures": {"shower": 2, "soaking_tub": 1},
               "household.fixture_flow": {"shower": "2.0 gal/min"}}  # fmt: skip
    taps = path("gas-tank-50", changes).parts[-1].says
    assert "2 showers" in taps
    assert "1 soaking tub" in taps
    assert "2.0 gal/min from each shower" in taps


@pytest.mark.parametrize(
    ("changes", "part", "state"),
    [
        ({"home.backflow_preventer": True, "home.site.expansion_tank": True}, Part.EXPANSION,
         Standing.THERE),
        ({"home.backflow_preventer": True}, Part.EXPANSION, Standing.ADD),
        ({"home.site.shutoff_valve": ...}, Part.SHUTOFF, Standing.ASK),
        ({"home.static_pressure": "90 psi"}, Part.REGULATOR, Standing.ADD),
        ({"home.site.relief_faults": ["no_pipe"]}, Part.RELIEF, Standing.ADD),
        ({"home.site.relief_faults": ...}, Part.RELIEF, Standing.ASK),
        ({}, Part.RELIEF, Standing.THERE),
        ({"preferences.setpoint": "140 degF", "home.site.point_of_use_valves": False},
         Part.TEMPERING, Standing.ADD),
    ],
)  # fmt: skip
def test_state_of_a_device(path, changes, part, state):
    assert standing(path("gas-tank-50", changes))[part] is state


def test_what_is_neither_there_nor_needed_is_left_out(path):
    shown = standing(path("gas-tank-50"))
    assert not {Part.BACKFLOW, Part.REGULATOR, Part.EXPANSION, Part.TEMPERING} & set(shown)


def test_a_tankless_heater_has_no_tank_relief(path):
    assert Part.RELIEF not in standing(path("gas-tankless-199"))


def test_temperatures_follow_the_water(path):
    found = path("gas-tank-50", {"preferences.setpoint": "140 degF",
                                 "home.site.tempering_valve": True})  # fmt: skip
    temps = {part.part: part.temp_c for part in found.parts}
    assert temps[Part.STREET] == 4.0
    assert temps[Part.HEATER] == pytest.approx(60.0)
    assert temps[Part.TEMPERING] == 49.0
    assert temps[Part.FIXTURES] < temps[Part.TEMPERING]


def test_the_text_alternative_says_all_of_it(path):
    found = path("gas-tank-50", {"home.backflow_preventer": True}, peak=14.0)
    for words in ("39 °F", "120 °F", "3.7 gal/min", "Expansion tank (to add)", "showers"):
        assert words in found.alternative
