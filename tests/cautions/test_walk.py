"""The questions: each is a key of the job file with an answer that the file accepts."""

from __future__ import annotations

from itertools import groupby

import pytest

from heatersel.cautions.site_sheet import with_answers
from heatersel.cautions.walk import place_in_walk, question, questions
from heatersel.job.load import parse_job


def test_each_key_is_asked_once():
    fields = [found.field for found in questions()]
    assert len(fields) == len(set(fields))


def test_stations_are_visited_once_each_from_street_to_fixtures():
    stations = [name for name, _ in groupby(questions(), key=lambda found: found.station)]
    assert len(stations) == len(set(stations))
    assert stations[0] == "street"
    assert stations[-1] == "fixtures"
    assert stations.index("gas meter") < stations.index("heater room") < stations.index("fixtures")


@pytest.mark.parametrize("found", questions(), ids=lambda found: found.field)
def test_the_example_is_an_answer_that_a_job_accepts(fine_tables, found):
    table, _, key = found.field.rpartition(".")
    answered = with_answers(fine_tables, f"[{table}]\n{key} = {found.example}\n")
    job = parse_job(answered)
    assert job.title == ""


def test_order_is_the_place_in_the_list():
    assert [place_in_walk(found.field) for found in questions()] == list(range(len(questions())))


def test_an_unknown_key_has_no_question():
    with pytest.raises(KeyError):
        question("home.no_such_thing")
