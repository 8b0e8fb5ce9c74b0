"""One question: what Enter gives, and where an answer goes."""

from __future__ import annotations

import pytest

from heatersel.errors import UnknownChoiceError
from heatersel.interview.question import Question

TEXTS = {"part": "The house", "text": "What?", "why": "Because.", "more": "Look."}


def question(key: str, **parts: object) -> Question:
    return Question(id=key, **TEXTS, **parts)


@pytest.mark.parametrize(
    ("key", "tables", "usual"),
    [
        ("household.bedrooms", {}, "3"),
        ("preferences.setpoint", {}, "120 degF"),
        ("preferences.setpoint", {"units": "si"}, "48.9 degC"),
        ("home.static_pressure", {}, ""),
    ],
)
def test_enter_gives_what_a_job_assumes(key, tables, usual):
    assert question(key).usual(tables) == usual


def test_enter_gives_the_name_of_the_usual_pick():
    rooms = {"the cellar": "basement", "the garage": "garage"}

    assert question("home.heater_location", picks=rooms).usual({}) == "the cellar"


def test_own_default_goes_before_the_one_of_the_job():
    assert question("household.bedrooms", enter=lambda tables: "5").usual({}) == "5"


def test_answer_goes_to_the_key():
    assert question("household.bedrooms").hear("4", {}) == {"household": {"bedrooms": 4}}


def test_pick_goes_to_the_key_by_its_value_and_is_kept_by_its_name():
    asked = question("home.vent", picks={"brick chimney": "masonry_chimney", "none": "none"})

    assert asked.hear("1", {}) == {"home": {"vent": "masonry_chimney"}}
    assert asked.plain("1") == "brick chimney"
    with pytest.raises(UnknownChoiceError):
        asked.hear("straw", {})


def test_answer_without_picks_is_kept_as_it_was_said():
    assert question("title").plain("My house") == "My house"
