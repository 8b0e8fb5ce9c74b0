"""Answers in words, put into the tables of a job."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import tables

from heatersel.errors import InputError, UnknownChoiceError
from heatersel.job.answer import with_answer, without
from heatersel.job.keys import key_at
from heatersel.job.load import parse_job

LEAST = {"household": {"occupants": 4}, "place": {"climate": "Duluth, MN"}}


@pytest.mark.parametrize(
    ("dotted", "answer", "held"),
    [
        ("household.bedrooms", "3", 3),
        ("household.occupants", " 5 ", 5),
        ("home.floor_drain", "yes", True),
        ("home.floor_drain", "N", False),
        ("home.fuels", "natural gas and electricity", ["natural_gas", "electricity"]),
        ("existing.kind", "Heat pump storage", "heat_pump_storage"),
        ("home.gas_pipe.size", "3/4 in", "3/4 in"),
        ("place.main_depth", "7ft", "7ft"),
        ("preferences.discount_rate", "3 %", "3 %"),
        ("preferences.discount_rate", ".03", 0.03),
        ("title", "12", "12"),
        ("prices.electricity", "0.14 USD/kWh", "0.14 USD/kWh"),
    ],
)
def test_answer_becomes_what_a_file_would_hold(dotted, answer, held):
    found = with_answer({}, dotted, answer)
    for name in dotted.split("."):
        found = found[name]

    assert found == held
    assert type(found) is type(held)


def test_answer_that_cannot_be_is_kept_for_the_models_to_refuse():
    found = with_answer(LEAST, "household.bedrooms", "three")

    with pytest.raises(InputError, match=r"bedrooms is 'three'.*a whole number"):
        parse_job(found)


def test_empty_answer_takes_the_key_and_an_empty_table_away():
    found = with_answer(LEAST, "home.panel.service", "100 A")

    assert with_answer(found, "home.panel.service", "") == LEAST


def test_unknown_key_names_the_nearest():
    with pytest.raises(UnknownChoiceError, match=r"home\.vnet is not a known key.*mean vent\?"):
        with_answer({}, "home.vnet", "none")


def test_value_in_the_way_of_a_table_is_told():
    with pytest.raises(InputError, match="occupants holds a value"):
        with_answer(LEAST, "household.occupants.adults", "2")


@given(tables(), st.sampled_from(["home.floor_drain", "household.bedrooms", "place.supply"]))
def test_tables_given_are_left_as_they_were(found, dotted):
    before = parse_job(found)
    answered = with_answer(found, dotted, {"place.supply": "well"}.get(dotted, "1"))

    assert parse_job(found) == before
    assert key_at(dotted) is not None
    assert without(answered, dotted) == without(found, dotted)
