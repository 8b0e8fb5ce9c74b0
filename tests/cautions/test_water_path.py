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
    assert parts.index(Part.HEATER) > parts.index(Part.SHUTOFF)


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
