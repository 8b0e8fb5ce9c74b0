"""Faults: one for each value, in words, of any model of input."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from heatersel.errors import Fault, JobError
from heatersel.job.faults import faults_of
from heatersel.job.load import parse_job
from heatersel.job.models import Job, Panel

LEAST = {"household": {"occupants": 4}, "place": {"climate": "Duluth, MN"}}


def faults(tables: dict[str, Any]) -> dict[str, Fault]:
    with pytest.raises(JobError) as trouble:
        parse_job(tables)
    return {fault.name: fault for fault in trouble.value.faults}


def test_fault_of_a_table_by_itself_is_named_from_its_top():
    with pytest.raises(ValidationError) as trouble:
        Panel.model_validate({"service": 100, "spair_poles": 2})
    found = faults_of(trouble.value, Panel, "own.toml")

    assert [fault.name for fault in found] == ["service", "spair_poles"]
    assert found[0].fix == 'write it with its unit, such as "100 A"'
    assert found[1].fix == "did you mean spare_poles?"
    assert {fault.file for fault in found} == {"own.toml"}


def test_unknown_key_lists_what_is_known():
    fault = faults(LEAST | {"place": {"climate": "Duluth, MN", "suply": "well"}})["place.suply"]

    assert fault.allowed == "climate, supply, main_depth, elevation, inlet"
    assert fault.fix == "did you mean supply?"


def test_unlike_key_is_to_be_removed():
    assert faults(LEAST | {"zzz": 1})["zzz"].fix == "remove it"


@pytest.mark.parametrize(
    ("tables", "name", "fix"),
    [
        ({"place": LEAST["place"]}, "household", "add a table [household], such as occupants = 4"),
        (
            {"household": {}, "place": LEAST["place"]},
            "household.occupants",
            "add it to [household], such as occupants = 4",
        ),
        (
            {"household": LEAST["household"], "place": {}},
            "place.climate",
            'add it to [place], such as climate = "Duluth, MN"',
        ),
        (
            LEAST | {"existing": {}},
            "existing.energy_source",
            'add it to [existing], such as energy_source = "natural_gas"',
        ),
        (
            LEAST | {"home": {"panel": {"loads": {}}}},
            "home.panel.loads.floor_area",
            'add it to [home.panel.loads], such as floor_area = "1800 ft2"',
        ),
    ],
)
def test_missing_key_says_where_to_add_what(tables, name, fix):
    assert faults(tables)[name].fix == fix


def test_contradiction_is_told_beside_faults_of_other_values():
    found = faults(
        LEAST
        | {
            "home": {"fuels": ["electricity"], "vent": 3},
            "existing": {"energy_source": "propane"},
        }
    )

    assert set(found) == {"home.vent", "existing.energy_source"}


def test_contradiction_is_told_beside_a_table_that_lacks_something():
    """Bills without any reading stand in the same table as the fixtures that contradict."""
    found = faults(
        LEAST
        | {
            "household": {
                "occupants": 4, "bills": {"fuel": "natural_gas"},
                "fixtures": {"shower": 1}, "simultaneous": {"shower": 3},
            },
            "home": {"fuels": ["natural_gas"]},
        }
    )  # fmt: skip

    assert set(found) == {"household.bills.monthly", "household.simultaneous.shower"}


def test_contradiction_with_a_value_that_is_wrong_itself_waits():
    found = faults(
        LEAST
        | {"home": {"fuels": ["electric"]}, "existing": {"energy_source": "propane"}}
    )  # fmt: skip

    assert set(found) == {"home.fuels.1"}


def test_fault_inside_a_list_names_the_row():
    found = faults(LEAST | {"home": {"fuels": ["electricity", "coal"]}})

    assert set(found) == {"home.fuels.2"}


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (True, "true"),
        ("x" * 99, "'" + "x" * 56 + "..."),
        (10**4400, "a number of very many digits"),
    ],
    ids=["truth", "long text", "long number"],
)
def test_value_is_shown_as_it_was_given(value, shown):
    assert (
        faults(LEAST | {"household": {"occupants": 4, "bedrooms": value}})[
            "household.bedrooms"
        ].value
        == shown
    )


def test_faults_of_a_job_keep_no_words_of_the_machinery():
    found = faults(LEAST | {"prices": {"electricity": [{"name": "x"}], "propane": 3}})

    assert set(found) == {"prices.electricity.1.energy", "prices.propane"}
    assert isinstance(Job.model_validate(LEAST), Job)


def test_a_bad_price_in_a_list_is_one_fault_and_not_also_a_missing_one():
    rows = [{"hours": "0-12", "price": "0.1 USD/gallon-ish"}, {"hours": "12-24", "price": 0.2}]
    found = faults(LEAST | {"prices": {"electricity": [{"name": "t", "energy": rows}]}})

    assert list(found) == ["prices.electricity.1.energy.1.price",
                           "prices.electricity.1.energy.2.price"]  # fmt: skip
