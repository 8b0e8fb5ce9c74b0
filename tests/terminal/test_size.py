"""What sizes say on a terminal."""

from __future__ import annotations

import io
from typing import Any

from rich.console import Console

from heatersel.api import size
from heatersel.job.load import parse_job
from heatersel.terminal.size import print_sizes


def said(**tables: Any) -> str:
    job = {
        "household": {"occupants": 3},
        "place": {"climate": "Duluth, MN", "main_depth": "3 ft"},
        "home": {"fuels": ["electricity"]},
    }
    text = io.StringIO()
    print_sizes(Console(file=text, width=80), size(parse_job(job | tables)))
    assert max(len(line.rstrip()) for line in text.getvalue().splitlines()) <= 80
    return text.getvalue()


def test_only_heaters_that_the_house_can_run_are_listed():
    table = said()

    assert "Electric tank, 50 gal, 4.5 kW" in table
    assert "Gas tank" not in table
    assert "more run on what this house does not have" in table


def test_a_house_with_everything_lists_everything():
    every = ["natural_gas", "propane", "fuel_oil", "electricity"]

    assert "more run on" not in said(home={"fuels": every})


def test_the_share_of_days_and_moments_is_told():
    words = " ".join(said().split())

    assert "enough on 99 of 100 simulated days" in words
    assert "enough in 99 of 100 moments" in words


def test_other_ways_are_named_in_words():
    assert "mains correlation" in said()
    assert "_" not in said()


def test_half_a_degree_is_not_shown_as_freezing():
    assert "0.5 °C on the coldest day" in said(units="si")
