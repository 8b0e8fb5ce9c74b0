"""What the rules see of a heater in a house."""

from __future__ import annotations

import pytest

from heatersel.cautions.case import Case


@pytest.fixture
def case(job_of, facts_of, heater_of):
    def of(heater: str, changes: dict | None = None) -> Case:
        job = job_of(changes or {})
        return Case.of(job, heater_of(heater), facts_of(job))

    return of


@pytest.mark.parametrize(
    ("heater", "room_air", "chimney", "condensing", "indoor_pump"),
    [
        ("gas-tank-40", True, True, False, False),
        ("gas-power-vent-40", True, False, False, False),
        ("gas-direct-vent-40", False, False, False, False),
        ("oil-tank-30", True, True, False, False),
        ("gas-tankless-condensing-199", False, False, True, False),
        ("heat-pump-50", False, False, False, True),
        ("split-heat-pump-45", False, False, False, False),
        ("electric-tank-50", False, False, False, False),
    ],
)
def test_what_a_heater_is(case, heater, room_air, chimney, condensing, indoor_pump):
    found = case(heater)
    assert found.takes_room_air is room_air
    assert found.uses_chimney is chimney
    assert found.is_condensing is condensing
    assert found.is_indoor_heat_pump is indoor_pump


def test_a_child_makes_the_household_vulnerable_whatever_was_asked(case):
    changes = {"household.occupants": {"adults": 1, "children": 1}}
    assert case("gas-tank-40", changes).has_vulnerable is True
    assert case("gas-tank-40", {"home.vulnerable_occupants": ...}).has_vulnerable is None


def test_limit_at_fixtures_by_country(case):
    assert case("gas-tank-40").fixture_limit_c == pytest.approx(48.889, abs=1e-3)
    assert case("gas-tank-40", {"place.climate": "Toronto, ON"}).fixture_limit_c == 49.0


def test_a_planned_tempering_valve_counts(case):
    assert not case("gas-tank-40").has_tempering_valve
    assert case("gas-tank-40", {"preferences.tempering_valve": True}).has_tempering_valve


def test_a_house_without_panel_or_pipe_knows_nothing_of_them(case):
    found = case("gas-tank-40", {"home.panel": ..., "home.gas_pipe": ...})
    assert found.panel.service_a is None
    assert found.gas_pipe.size is None
