"""What the check of a good file says on a terminal."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from rich.console import Console

from heatersel.job.load import parse_job
from heatersel.job.table import DefaultUsed
from heatersel.terminal.check import print_good_file

LEAST = {"household": {"occupants": 4}, "place": {"climate": "Duluth, MN"}}


def said(system: str) -> list[str]:
    text = io.StringIO()
    defaults = tuple(parse_job(LEAST).defaults_used())
    print_good_file(Console(file=text, width=80), Path("house.toml"), defaults, system)
    return text.getvalue().splitlines()


@pytest.mark.parametrize(
    ("system", "warm", "flow"), [("us", "105 degF", "2 gal/min"), ("si", "40.6 degC", "7.57 L/min")]
)
def test_each_default_stands_as_a_file_would_hold_it(system: str, warm: str, flow: str) -> None:
    lines = said(system)
    values = dict(line.split(maxsplit=1) for line in lines[2:] if not line.startswith(" "))

    assert lines[0] == "house.toml is in order."
    assert values["household.use_temperature"] == warm
    assert values["household.fixture_flow.shower"] == flow
    assert values["household.bedrooms"] == "3"
    assert max(map(len, lines)) <= 80


def test_each_default_has_its_source_below() -> None:
    lines = said("us")
    place = next(n for n, line in enumerate(lines) if line.startswith("household.days_away"))

    assert lines[place + 1].strip().startswith("Hendron & Engebrecht (2010)")


def test_one_and_none_are_said_in_their_number() -> None:
    text = io.StringIO()
    one = DefaultUsed(field="place.supply", attribute="supply", value="municipal", source="usual")
    console = Console(file=text, width=80)
    print_good_file(console, Path("a.toml"), (one,))
    print_good_file(console, Path("b.toml"), ())

    assert "1 value is assumed" in text.getvalue()
    assert text.getvalue().endswith("b.toml is in order.\n")
