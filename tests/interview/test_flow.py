"""The interview: questions in order, forth and back, and a job at the end."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatersel.errors import InputError
from heatersel.interview.flow import NOT_KNOWN, Interview
from heatersel.interview.questions import QUESTIONS
from heatersel.job.load import parse_job

FAMILY = {
    "household.occupants": "2 adults, 1 teenager, 2 children",
    "home.vulnerable_occupants": "yes",
    "household.bedrooms": "4",
    "household.fixtures": "2 showers, 3 lavatories",
    "household.fixture_flow.shower": "1.8 gpm",
    "household.simultaneous": "2 showers, kitchen sink",
    "household.peak_hour": "3 showers, 3 lavatories",
    "existing": "gas tank",
    "existing.volume": "40 gal",
    "existing.input": "36 MBH",
    "existing.installed": "2009",
    "home.heater_location": "basement",
    "home.fuels": "gas and electricity",
    "home.vent": "brick chimney",
    "home.other_gas_input": "80000 Btu/h",
    "home.panel.service": "100 A",
    "home.panel.spare_poles": "2",
    "home.room_volume": "30 x 28 x 7 ft",
    "home.static_pressure": "65 psi",
    "home.backflow_preventer": "y",
    "place.climate": "duluth",
    "place.main_depth": "7 ft",
    "prices.electricity": "14.5 cents/kWh",
    "prices.natural_gas": "$1.10/therm",
    "preferences.setpoint": "125 F",
}


def hold(said: dict[str, str] | None = None) -> Interview:
    """An interview with these answers, Enter for the others."""
    interview = Interview()
    while (question := interview.question) is not None:
        interview = interview.answered((said or {}).get(question.id, ""))
    return interview


def at(key: str, **said: str) -> Interview:
    """An interview that has come to one question."""
    interview = Interview()
    while (question := interview.question) is not None and question.id != key:
        interview = interview.answered(said.get(question.id, ""))
    return interview


def test_enter_throughout_gives_a_job():
    job = parse_job(hold().tables)

    assert job.household.occupants.total == 2
    assert job.place.climate == "Duluth, MN"
    assert job.home.static_pressure_kpa is None


def test_answers_become_the_job_that_was_meant():
    job = parse_job(hold(FAMILY).tables)

    assert job.household.occupants.teenagers == 1
    assert job.household.fixtures.shower == 2
    assert job.household.fixtures.dishwasher == 1
    assert job.household.simultaneous is not None
    assert job.household.simultaneous.kitchen_sink == 1
    assert job.existing is not None
    assert job.existing.input_kw == pytest.approx(10.55, abs=0.01)
    assert [fuel.value for fuel in job.fuels] == ["natural_gas", "electricity"]
    assert job.home.room_volume_m3 == pytest.approx(30 * 28 * 7 * 0.3048**3, rel=1e-4)
    assert job.home.ceiling_height_m == pytest.approx(7 * 0.3048)
    assert job.home.vulnerable_occupants is True
    assert job.prices.currency == "USD"
    assert job.preferences.setpoint_c == pytest.approx(51.67, abs=0.01)


def test_about_twenty_to_thirty_questions_are_asked():
    assert 20 <= len(hold({"existing": "none"}).answers) <= len(hold(FAMILY).answers) <= 30


@pytest.mark.parametrize(
    ("said", "skipped"),
    [
        ({"existing": "none"}, {"existing.volume", "existing.input", "existing.installed"}),
        ({"existing": "gas tankless"}, {"existing.volume"}),
        ({"existing": "electric tank"}, {"home.vent", "home.other_gas_input", "prices.propane"}),
        ({"place.supply": "well"}, {"place.main_depth"}),
    ],
)
def test_questions_that_do_not_apply_are_not_asked(said, skipped):
    assert skipped.isdisjoint(dict(hold(said).answers))


def test_fuel_of_the_house_is_priced():
    asked = dict(hold({"existing": "propane tank"}).answers)

    assert "prices.propane" in asked
    assert "prices.natural_gas" not in asked


def test_nothing_is_written_where_nobody_knows():
    said = {question.id: NOT_KNOWN for question in QUESTIONS if not question.needed}
    tables = hold(said).tables

    assert tables == {"household": {"occupants": {"adults": 2}}, "place": {"climate": "Duluth, MN"}}


@pytest.mark.parametrize("key", ["household.occupants", "place.climate"])
def test_what_no_job_can_do_without_is_asked_again(key):
    with pytest.raises(InputError, match="no job can do without"):
        at(key).answered(NOT_KNOWN)


@pytest.mark.parametrize(
    ("key", "answer", "said"),
    [
        ("household.occupants", "40", "1 to 30 people"),
        ("household.bedrooms", "three", "a whole number"),
        ("household.fixture_flow.shower", "2", "with its unit"),
        ("household.fixture_flow.shower", "40 gal", "gal/min"),
        ("household.simultaneous", "9 showers", "at most 1"),
        ("existing.installed", "1820", "1950 to 2100"),
        ("home.fuels", "coal", 'an example is "natural gas, electricity"'),
        ("home.fuels", "electricity", "one of home.fuels: electricity"),
        ("home.room_volume", "6000", "6000 ft3"),
        ("place.climate", "atlantis", "did you mean"),
        ("prices.electricity", "0.14", "0.14 USD/kWh"),
        ("preferences.setpoint", "100 degF", "109.4 to 180.1 degF"),
    ],
)
def test_answer_is_checked_at_once_by_the_models(key, answer, said):
    interview = at(key)
    with pytest.raises(InputError, match=said) as trouble:
        interview.answered(answer)
    assert len(trouble.value.faults) == 1
    assert interview.question is not None
    assert interview.question.id == key


def test_dollars_of_a_canadian_place_are_canadian():
    interview = hold({"place.climate": "toronto", "prices.electricity": "$0.13/kWh"})

    assert interview.tables["prices"]["electricity"] == "0.13 CAD/kWh"


def test_going_back_offers_what_was_said():
    interview = at("household.bedrooms").answered("5").back()

    assert interview.question is not None
    assert interview.question.id == "household.bedrooms"
    assert interview.offered == "5"
    assert interview.answered("").tables["household"]["bedrooms"] == 5


def test_going_back_over_a_value_nobody_knew_offers_none():
    interview = at("existing.volume").answered(NOT_KNOWN).back()

    assert interview.offered == ""


def test_pick_is_offered_again_by_its_name():
    assert at("home.heater_location").answered("2").back().offered == "garage"


def test_going_back_from_the_first_question_stays_there():
    assert Interview().back() == Interview()


def test_changed_early_answer_changes_the_later_questions():
    interview = hold({"existing": "gas tank"})
    while interview.question is None or interview.question.id != "existing":
        interview = interview.back()
    interview = interview.answered("electric tank")
    asked = []
    while interview.question is not None:
        asked.append(interview.question.id)
        interview = interview.answered("s" if interview.question.id == "home.fuels" else "")

    assert "home.vent" not in asked
    assert interview.tables["existing"]["energy_source"] == "electricity"


@settings(max_examples=40)
@given(st.lists(st.sampled_from(["", "s", "2", "back", "x", "60 psi", "yes"]), max_size=40))
def test_back_undoes_the_last_answer_and_loses_none(steps):
    interview = Interview()
    for step in steps:
        if interview.question is None:
            break
        try:
            ahead = interview.back() if step == "back" else interview.answered(step)
        except InputError:
            continue
        if step != "back":
            assert ahead.back().answers == interview.answers
        kept = {**dict(interview.taken_back), **dict(interview.answers)}
        assert kept.keys() <= {*dict(ahead.answers), *dict(ahead.taken_back)}
        interview = ahead


def test_number_of_questions_holds_if_all_goes_as_usual():
    interview, counts = Interview(), set()
    while interview.question is not None:
        counts.add(interview.place[1])
        interview = interview.answered("")

    assert counts == {len(interview.answers)}


def test_kept_answers_are_gone_through_again():
    answers = at("home.panel.service", existing="electric tank").answers

    assert Interview(answers=answers).resumed().answers == answers


def test_kept_answer_that_no_longer_holds_is_asked_again_and_the_rest_is_offered():
    kept = (("units", "us"), ("household.occupants", "99"), ("household.bedrooms", "4"))
    interview = Interview(answers=kept).resumed()

    assert interview.question is not None
    assert interview.question.id == "household.occupants"
    assert dict(interview.taken_back)["household.bedrooms"] == "4"
