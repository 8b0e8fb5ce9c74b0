"""The manual of many houses keeps up with the command and the columns."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import typer
import typer.main

from heatersel.cli_portfolio import population, portfolio
from heatersel.portfolio.columns import columns_of

MANUAL = (Path(__file__).parents[2] / "docs" / "portfolio.md").read_text(encoding="utf-8")


def options_of(function: object) -> set[str]:
    app = typer.Typer(add_completion=False)
    app.command()(function)  # type: ignore[type-var]
    command = typer.main.get_command(app)
    return {name for option in command.params for name in option.opts if name.startswith("--")}


@pytest.mark.parametrize("name", sorted(options_of(portfolio) - {"--json", "--out", "--help"}))
def test_every_option_of_the_command_is_in_the_manual(name: str) -> None:
    assert re.search(rf"`?{name}\b", MANUAL)


def test_the_manual_shows_how_to_invent_houses() -> None:
    assert "heatersel population" in MANUAL
    assert {"--region", "--seed"} <= options_of(population)


def test_headings_shown_in_the_manual_can_be_used() -> None:
    shown = re.findall(r"^\| `([a-z_.]+(?: \[[^]]+\])?)` \|", MANUAL, re.MULTILINE)
    headings = [name for name in shown if "." in name]
    flat = [name for name in headings if name != "prices.electricity.tariff"]

    assert len(headings) >= 8
    assert [column.heading for column in columns_of(flat)] == flat
    assert columns_of([*flat[:2], "prices.electricity.tariff"])
