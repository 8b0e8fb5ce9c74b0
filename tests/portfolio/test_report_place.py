from __future__ import annotations

import re

import numpy as np
import pytest

from heatersel.heaters.heater import HeaterClass
from heatersel.portfolio.load import EVERYWHERE, GroupLoad, LoadStudy
from heatersel.portfolio.report_place import GROUPS, assumed, load, map_of, visits
from heatersel.portfolio.run import Outcome
from heatersel.portfolio.summary import Summary, summarise
from heatersel.portfolio.totals import HOURS


@pytest.fixture(scope="module")
def summary(town: Outcome) -> Summary:
    return summarise(town.folder)


def words(html: str) -> str:
    return re.sub(r"<[^>]+>", " ", html)


def test_every_construction_class_has_a_colour_on_the_map() -> None:
    assert set(GROUPS) == set(HeaterClass)


def test_the_hour_that_adds_most_is_said() -> None:
    after = np.zeros(HOURS)
    after[31 * 24 + 7] = 12.0
    group = GroupLoad(region=EVERYWHERE, plan="all", before_kw=np.zeros(HOURS), after_kw=after)

    assert "adds 12.0 kW (1 Feb, 7:00 to 8:00)" in load(LoadStudy(groups=(group,)))


def test_a_change_that_only_takes_load_away_says_so() -> None:
    group = GroupLoad(region=EVERYWHERE, plan="all", before_kw=np.ones(HOURS),
                      after_kw=np.zeros(HOURS))  # fmt: skip

    assert "In no hour of the year does the change add load." in load(LoadStudy(groups=(group,)))


def test_no_load_and_no_place_make_no_section() -> None:
    assert load(LoadStudy(groups=())) == ""
    assert map_of(Summary()) == ""


def test_houses_are_counted_by_station_and_kind(summary: Summary) -> None:
    said = words(map_of(summary))

    assert re.search(r"Duluth, MN\s+\d", said)
    assert "nearest station" in said


def test_a_heater_that_nothing_replaces_is_listed_too(summary: Summary) -> None:
    assert all(risk.option_name != "nan" for risk in summary.at_risk)
    assert "1 in " in words(visits(summary))


def test_defaults_are_said_as_people_write_them(town: Outcome) -> None:
    said = words(assumed(town.totals, town.manifest))

    assert "105 degF" in said
    assert "fixture flow: shower" in said
    assert town.manifest["houses_sha256"] in said
