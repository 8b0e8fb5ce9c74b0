"""The register: declared facts, order, places, and that a missing fact never counts as fine."""

from __future__ import annotations

import re

import pytest

from heatersel.cautions import Severity, Status, Where, cautions_for, rules
from heatersel.cautions.registry import rule
from heatersel.cautions.remedies import REMEDIES
from heatersel.cautions.walk import questions
from heatersel.errors import UnknownChoiceError
from heatersel.reference import records

CANADA = {"place.climate": "Toronto, ON"}
EVERYTHING = [
    {}, CANADA,
    {"home.heater_location": "garage"}, {"home.heater_location": "attic"},
    {"home.heater_location": "utility_room"}, {"preferences.setpoint": "140 degF"},
    {"home.backflow_preventer": True}, {"home.site.expansion_tank": True},
    {"home.site.above_fixtures": True}, {"home.site.leak_damages": True},
    {"home.site.upper_floor": True, "home.heater_location": "utility_room"},
    {"place.climate": "Los Angeles, CA"}, {"home.room_volume": "400 ft3"},
    {"home.site.opens_to": "bedroom"}, {"home.site.chimney_other_leaves": True},
    {"existing.energy_source": "natural_gas"}, {"home.panel.service": "100 A"},
    {"home.site.ducting": "one_side"}, {"home.site.refrigerant_charge": "200 g"},
    {"home.gas_pipe.material": "csst", "home.gas_pipe.size": "EHD 23"},
    {"home.panel.calculated_load": ...}, {"home.gas_pipe.meter_capacity": ...},
    {"home.other_gas_input": ...},
    {"home.site.refrigerant_charge": "200 g", "home.site.nameplate_room_area": "90 ft2",
     "home.ceiling_height": ...},
    {"home.heater_location": "garage", "home.site.room_min_temperature": ...},
    {"home.floor_drain": ...}, {"home.site.condensate_drain": ...},
    {"place.climate": "Los Angeles, CA", "home.site.seismic": ...},
    {"preferences.setpoint": "140 degF", "home.site.point_of_use_valves": False},
    {"home.vent": "masonry_chimney", "home.site.chimney_liner": False},
    {"home.vent": "plastic_vent", "home.site.terminal_to_window": "24 inch",
     "home.site.terminal_to_mechanical_inlet": "60 inch"},
    {"existing": {"energy_source": "electricity", "kind": "tankless"}},
    {"home.site.leak_damages": True, "home.site.drain_pan": True},
    {"home.site.chimney_shared": True}, {"home.site.recirculation": "continuous"},
    {"home.heater_location": "utility_room", "home.fuels": ["propane", "electricity"]},
]  # fmt: skip
"""Houses in which, between them, every fact matters for some heater."""

SAMPLE = (
    "gas-tank-40", "propane-tank-40", "gas-power-vent-50", "gas-tankless-199", "gas-condensing-50",
    "electric-tank-50", "heat-pump-50", "plug-in-heat-pump-80", "electric-tankless-18",
)  # fmt: skip


def test_ids_are_unique_and_speak_plainly():
    ids = [found.id for found in rules()]
    assert len(ids) == len(set(ids))
    assert all(re.fullmatch(r"[a-z0-9-]+", name) for name in ids)


def test_every_rule_of_the_published_list_is_there():
    # the 39 checks that a plumber is owed at the least, by the names they have here, and more
    # of the kind that nobody forgives
    least = {
        "scald-setpoint", "scald-vulnerable", "scald-master-valve-only", "growth-storage",
        "growth-electric-canada", "growth-idle-branch", "relief-discharge", "closed-system",
        "closed-system-tankless", "pressure-high", "pressure-high-canada", "expansion-tank-size",
        "air-room-volume", "air-tight-house", "air-canada", "vent-oversized", "vent-orphaned",
        "vent-kind", "vent-terminal", "vent-terminal-canada", "co-alarm", "altitude",
        "garage-ignition", "room-prohibited", "propane-below-grade", "gas-pipe",
        "gas-meter-unknown", "circuit-tank", "service-load", "service-load-canada", "supply-208",
        "heat-pump-room", "heat-pump-temperature", "heat-pump-condensate",
        "heat-pump-refrigerant", "heat-pump-backdraft", "seismic-straps", "drain-pan", "hardness",
        "permit", "vent-unlined", "service-beyond", "gas-pressure",
    }  # fmt: skip
    assert least <= {found.id for found in rules()}


def test_every_rule_declares_its_trigger_and_source():
    for found in rules():
        assert found.trigger, found.id
        assert found.source, found.id
        assert found.applies_to, found.id
        if found.status is Status.PRACTICE:
            assert found.source == "common practice, no source", found.id


def test_a_second_rule_of_the_same_name_is_refused():
    taken = rules()[0]
    again = rule(
        taken.id, "x", where=Where.US, severity=Severity.NOTE, applies_to="x", when=bool,
        trigger="x", source="x", edition="", status=Status.SEEN,
    )  # fmt: skip
    with pytest.raises(ValueError, match=taken.id):
        again(taken.check)


def test_stops_come_first(house):
    report = house("gas-tank-40", {"home.site.opens_to": "bedroom", "home.hardness": "20 gpg"})
    ranks = [["stop", "must", "note"].index(c.severity) for c in report.cautions]
    assert ranks == sorted(ranks)
    assert ranks[0] == 0


def test_canada_never_gets_a_rule_of_the_united_states(house, heaters):
    for heater in heaters:
        for caution in house(heater, CANADA).cautions:
            assert not caution.jurisdiction.startswith("US,"), caution.id
            assert not caution.jurisdiction.startswith("US ("), caution.id


def test_canadian_air_is_asked_for_and_not_computed(house):
    caution = next(c for c in house("gas-tank-40", CANADA).cautions if c.id == "air-canada")
    assert "needed_m3" not in dict((name, value) for name, value, _ in caution.numbers)


def test_united_states_never_gets_a_canadian_rule(raised, heaters):
    for heater in heaters:
        assert not {name for name in raised(heater) if name.endswith("-canada")}


def test_unknown_region_is_refused(house):
    with pytest.raises(UnknownChoiceError, match="region"):
        house("gas-tank-40", region="ZZ")


def test_every_remedy_is_named_and_priced_in_both_countries(house, heaters):
    called = {
        remedy
        for changes in EVERYTHING
        for heater in heaters
        for caution in house(heater, changes).cautions
        for remedy in caution.remedy_ids
    }
    assert called <= set(REMEDIES)
    for table in ("costs/adders_us", "costs/adders_canada"):
        assert {row["id"] for row in records(table, {})} >= set(REMEDIES)


@pytest.mark.parametrize("field", [q.field for q in questions()])
def test_a_fact_taken_away_is_asked_for(job_of, facts_of, heater_of, field):
    """A missing measurement never passes silently."""
    for changes in EVERYTHING:
        job = job_of({**changes, field: ...})
        for name in SAMPLE:
            report = cautions_for(job, heater_of(name), facts_of(job))
            if field in {measure.field for measure in report.to_measure}:
                return
    pytest.fail(f"nobody asks for {field}")


def test_nobody_measures_for_a_heater_whose_fuel_is_missing(house):
    report = house("gas-tank-40", {"home.fuels": ["electricity"], "home.room_volume": ...})
    assert report.to_measure == ()
    assert [c.id for c in report.stops] == ["fuel-missing"]


def test_a_bare_job_asks_and_stops_nothing_that_it_cannot_know(house, heaters):
    bare = {"home": {"fuels": ["natural_gas", "electricity"]}, "existing": ...}
    for heater in heaters:
        report = house(heater, bare)
        if heater.energy_source in ("natural_gas", "electricity"):
            assert not report.stops, heater.id
            assert report.to_measure, heater.id
