"""The reasons for a recommendation, said against a heater that costs nearly the same."""

from __future__ import annotations

import tomllib
from dataclasses import replace

import pytest

from heatersel.api import Method, compare
from heatersel.comparison import Comparison
from heatersel.job.load import parse_job
from heatersel.reference import dataset_path
from heatersel.words import reason_sentences


@pytest.fixture(scope="module")
def compared() -> Comparison:
    text = dataset_path("jobs/cold-family.toml").read_text(encoding="utf-8")
    return compare(parse_job(tomllib.loads(text)), method=Method.BALANCE)


@pytest.mark.parametrize(
    ("dearer", "words"),
    [
        (0.4, "about as much to run as the heater that stands there now"),
        (-0.4, "about as much to run as the heater that stands there now"),
        (7.0, "$7 a year less to run than the heater that stands there now"),
        (-7.0, "$7 a year more to run than the heater that stands there now"),
    ],
)
def test_less_than_a_dollar_a_year_is_no_difference(
    compared: Comparison, dearer: float, words: str
) -> None:
    best, now = compared.recommended, compared.existing
    assert best is not None
    assert now is not None
    cost = replace(now.cost, total_per_year=best.cost.total_per_year + dearer)
    said = reason_sentences(replace(compared, existing=replace(now, cost=cost)))

    assert words in said
    assert not [line for line in said if "$0 " in line]
