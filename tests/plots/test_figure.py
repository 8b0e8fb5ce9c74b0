"""Figures: valid SVG, accessible, to scale, and written by ending."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from heatersel.errors import InputError
from heatersel.plots.figure import Figure, Panel, Series, figure_html, figure_svg, write_figure

SVG = "{http://www.w3.org/2000/svg}"
FIGURE = Figure(
    title="Two <shapes>",
    sentence="Bars above, a line with its span below.",
    panels=(
        Panel(
            title="Bars", x=("a", "b"), series=(Series(name="", values=(1.0, 2.0), shape="bar"),)
        ),
        Panel(
            title="A line",
            x=(0.0, 1.0, 4.0),
            series=(Series(name="it", values=(1, 2, 3), low=(0, 1, 2), high=(2, 3, 4)),),
        ),
        Panel(
            title="Spans",
            x=("one", "two"),
            series=(Series(name="", values=(5, 6), low=(4, 5), high=(7, 8), shape="span"),),
        ),
    ),
)


def test_the_svg_is_well_formed_and_named_for_screen_readers() -> None:
    root = ElementTree.fromstring(figure_svg(FIGURE))

    assert root.attrib["role"] == "img"
    assert root.find(f"{SVG}title").text == "Two <shapes>"
    assert root.find(f"{SVG}desc").text == FIGURE.sentence


def test_bars_grow_from_zero_in_proportion() -> None:
    root = ElementTree.fromstring(figure_svg(FIGURE))

    heights = [float(bar.attrib["height"]) for bar in root.findall(f"{SVG}rect")[1:]]

    assert heights[1] == pytest.approx(2.0 * heights[0], rel=0.01)


def test_numbers_on_the_x_axis_stand_to_scale() -> None:
    root = ElementTree.fromstring(figure_svg(FIGURE))

    points = root.find(f"{SVG}polyline").attrib["points"].split()
    x = [float(point.split(",")[0]) for point in points]

    assert (x[2] - x[1]) / (x[1] - x[0]) == pytest.approx(3.0, rel=0.01)


def test_the_page_carries_a_table_of_each_panel() -> None:
    page = figure_html(FIGURE)

    assert page.count("<table>") == 3
    assert "Two &lt;shapes&gt;" in page
    assert 'lang="en"' in page


@pytest.mark.parametrize(
    ("ending", "start"), [("svg", b"<svg"), ("html", b"<!doctype"), ("png", b"\x89PNG")]
)
def test_each_ending_is_written(tmp_path: Path, ending: str, start: bytes) -> None:
    path = tmp_path / f"figure.{ending}"

    write_figure(FIGURE, path)

    assert path.read_bytes().startswith(start)


def test_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"ending in \.svg, \.html or \.png"):
        write_figure(FIGURE, tmp_path / "figure.gif")
