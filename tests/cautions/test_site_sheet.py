"""The site sheet: each question once, in walking order, and its answers go back into the job."""

from __future__ import annotations

import pytest

from heatersel.cautions import cautions_for
from heatersel.cautions.site_sheet import answer_sheet_toml, site_sheet, with_answers
from heatersel.cautions.walk import questions
from heatersel.errors import InputError
from heatersel.job.load import parse_job

BARE = {"home": {"fuels": ["natural_gas", "electricity"]}, "existing": ...}


@pytest.fixture
def sheet(job_of, facts_of, heaters):
    def of(changes: dict):
        job = job_of(changes)
        facts = facts_of(job)
        asked = [(heater, cautions_for(job, heater, facts).to_measure) for heater in heaters]
        return site_sheet(job, asked)

    return of


def test_a_house_that_is_known_leaves_nothing_to_measure(sheet):
    assert sheet({}).stations == ()


def test_each_question_stands_once_and_in_walking_order(sheet):
    lines = sheet(BARE).lines
    orders = [line.question.order for line in lines]
    assert orders == sorted(set(orders))
    assert len(lines) > 30


def test_stations_come_in_the_order_of_the_walk(sheet):
    walked = [station.name for station in sheet(BARE).stations]
    known = list(dict.fromkeys(question.station for question in questions()))
    assert walked == [name for name in known if name in walked]


def test_a_line_names_whom_it_matters_for(sheet):
    lines = {line.question.field: line for line in sheet(BARE).lines}
    assert lines["home.site.draft_test"].matters_in_words == "heaters on a chimney"
    assert lines["home.site.narrowest_way"].matters_in_words == "every heater"
    assert (
        lines["home.site.bedroom_distance"].matters_in_words == "heat pumps that stand in the room"
    )
    assert "gas-tank-40" in lines["home.site.draft_test"].matters_for
    assert "heat-pump-50" not in lines["home.site.draft_test"].matters_for


def test_heaters_whose_fuel_is_missing_are_left_out(sheet):
    lines = sheet({"home": {"fuels": ["electricity"]}}).lines
    matters = {name for line in lines for name in line.matters_for}
    assert matters
    assert not {name for name in matters if name.startswith(("gas", "propane", "oil"))}


def test_one_missing_fact_is_one_line(sheet):
    lines = sheet({"home.hardness": ...}).lines
    assert [line.question.field for line in lines] == ["home.hardness"]
    assert lines[0].reasons == ("how much upkeep scale will ask for",)


def test_json_has_what_the_contract_asks(sheet):
    plain = sheet({"home.hardness": ...}).as_dict()
    line = plain["to_measure"][0]
    assert line["field"] == "home.hardness"
    assert line["why"]
    assert "gas-tank-40" in line["matters_for"]
    assert "licensed person" in plain["reminder"]


def test_an_untouched_form_changes_nothing(sheet, fine_tables):
    assert with_answers(fine_tables, answer_sheet_toml(sheet(BARE))) == fine_tables


def test_a_filled_form_goes_back_into_the_job_and_empties_the_sheet(sheet, fine_tables, heaters,
                                                                     facts_of):  # fmt: skip
    tables = {**fine_tables, "home": BARE["home"]}
    before = sheet(BARE)
    filled = "\n".join(
        line.removeprefix("# ") if " = " in line and line.startswith("# ") else line
        for line in answer_sheet_toml(before).splitlines()
    )
    job = parse_job(with_answers(tables, filled))
    facts = facts_of(job)
    after = site_sheet(job, [(h, cautions_for(job, h, facts).to_measure) for h in heaters])
    answered = {line.question.field for line in before.lines}
    assert not answered & {line.question.field for line in after.lines}


def test_an_answer_replaces_what_stood_there(fine_tables):
    merged = with_answers(fine_tables, '[home]\nhardness = "20 grain/gal"\n')
    assert merged["home"]["hardness"] == "20 grain/gal"
    assert merged["home"]["ceiling_height"] == fine_tables["home"]["ceiling_height"]
    assert fine_tables["home"]["hardness"] == "3 grain/gal"


def test_a_form_that_is_no_toml_is_refused_in_one_sentence(fine_tables):
    with pytest.raises(InputError, match="answers is not TOML"):
        with_answers(fine_tables, "hardness 20")


def test_the_form_names_the_words_that_may_be_written(sheet):
    form = answer_sheet_toml(sheet(BARE))
    assert "(one of living_space, bedroom, bathroom, garage, outdoors)" in form
    assert "(any of no_valve, no_pipe," in form
