"""Pictures: valid figures by the charting library's own rules, each with sentence and table."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import plotly.graph_objects as go
import pytest
from dash import html

from dashboard.answers import Answers
from dashboard.controls import Picture
from dashboard.pictures import money, water
from dashboard.pictures.morning import morning
from dashboard.texts import Texts
from dashboard.told import told_of
from dashboard.view import View, view_of

MAKERS = (morning, money.months, money.years, money.chance, money.price_map, water.together,
          water.setpoint)  # fmt: skip


@pytest.fixture(scope="module")
def view() -> View:
    tables = {
        "household": {"occupants": 4},
        "place": {"climate": "Duluth, MN"},
        "home": {"fuels": ["natural_gas", "electricity"]},
    }
    return view_of(told_of({"tables": tables, "step": "why"}), Answers(), Texts())


def pictures_in(part: Any) -> Iterator[Picture]:
    if isinstance(part, Picture):
        yield part
    inside = getattr(part, "children", None)
    for one in inside if isinstance(inside, list) else [inside]:
        if hasattr(one, "to_plotly_json"):
            yield from pictures_in(one)


def inked(tree: Any) -> Any:
    """Put a colour where the browser does; the library knows no page."""
    if isinstance(tree, str):
        return "#123456" if tree.startswith("var(") else tree
    if isinstance(tree, list):
        return [inked(part) for part in tree]
    if isinstance(tree, dict):
        return {name: inked(part) for name, part in tree.items()}
    return tree


@pytest.mark.parametrize("make", MAKERS, ids=lambda make: make.__name__)
def test_a_picture_is_valid_and_says_what_it_shows(make: Any, view: View) -> None:
    found = make(view)

    assert isinstance(found, html.Figure)
    pictures = list(pictures_in(found))
    assert pictures
    for picture in pictures:
        figure = go.Figure(inked(picture.figure))  # raises where a property is not known
        assert len(figure.data) >= 1
        assert len(picture.label) > 40
    table = found.children[-1].children[1].children
    assert len(table.children[2].children) >= 2


def test_lines_differ_by_more_than_their_colour(view: View) -> None:
    picture = next(p for p in money.years(view).children if isinstance(p, Picture))  # type: ignore[union-attr]

    lines = [trace.get("line", {}) for trace in picture.figure["data"]]
    lines = [line for line in lines if "dash" in line]

    assert len({line["dash"] for line in lines}) == len(lines)


def test_amounts_start_at_zero(view: View) -> None:
    for make in (money.years, money.months):
        picture = next(p for p in make(view).children if isinstance(p, Picture))  # type: ignore[union-attr]
        axes = [a for name, a in picture.figure["layout"].items() if name.startswith("yaxis")]

        assert all(axis["range"][0] == 0 for axis in axes)


def test_a_morning_stands_side_by_side_with_short_water_named(view: View) -> None:
    small = replace(view, told=replace(view.told, chosen=("gas-tank-30", "gas-tank-75")))
    tables = {**view.tables, "household": {"occupants": 6}}
    told = replace(small.told, tables=tables)

    found = morning(view_of(told, Answers(), Texts()))

    assert found is not None
    charts = list(pictures_in(found))
    assert len(charts) == 2
    assert "runs too cool for about" in charts[0].label
    assert "keeps every tap warm" in charts[1].label
    fills = {trace.get("marker", {}).get("color") for trace in charts[0].figure["data"]}
    assert {"var(--hot)", "var(--cold)"} <= fills
