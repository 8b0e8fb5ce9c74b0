"""The picture of what an option costs: whole names in the units asked for, wide enough to read."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from heatersel.api import cost_of_job
from heatersel.cost.report import CostReport
from heatersel.display import Display
from heatersel.job.load import load_job
from heatersel.plots.cost import cost_figure
from heatersel.plots.figure import Figure, figure_svg
from heatersel.reference import dataset_path

TEXT = "{http://www.w3.org/2000/svg}text"
PHONE = 390  # width of a usual phone in CSS pixels: common practice, no source


@pytest.fixture(scope="module")
def town_house() -> CostReport:
    return cost_of_job(load_job(dataset_path("jobs/town-house-ca.toml")))


def drawn(report: CostReport, system: str) -> tuple[Figure, ElementTree.Element]:
    figure = cost_figure(report, report.options[0].id, Display(system, "CAD"))
    return figure, ElementTree.fromstring(figure_svg(figure))


def test_no_name_is_cut(town_house: CostReport) -> None:
    _, svg = drawn(town_house, "us")

    words = [text.text or "" for text in svg.iter(TEXT)]
    best = {option.name for option in town_house.options[:1]}
    assert best <= set(words)
    assert not [word for word in words if "…" in word]


def test_every_word_ends_on_the_sheet(town_house: CostReport) -> None:
    figure, svg = drawn(town_house, "us")

    for text in svg.iter(TEXT):
        size = float(text.get("font-size", 12)) * (0.58 if text.get("font-weight") else 0.53)
        long, x = size * len(text.text or ""), float(text.attrib["x"])
        left = {"end": x - long, "middle": x - long / 2}.get(text.get("text-anchor", ""), x)
        assert left > 0
        assert left + long < figure.width, text.text


def test_letters_are_large_enough_on_a_phone(town_house: CostReport) -> None:
    figure, svg = drawn(town_house, "us")

    least = min(float(text.get("font-size", 12)) for text in svg.iter(TEXT))
    assert least * PHONE / figure.width > 10


def test_names_follow_the_units_asked_for(town_house: CostReport) -> None:
    _, metric = drawn(town_house, "si")

    assert not [text.text for text in metric.iter(TEXT) if " gal" in (text.text or "")]


def test_amounts_are_in_the_currency_of_the_job(town_house: CostReport) -> None:
    figure, _ = drawn(town_house, "si")

    assert figure.panels[0].y_label == "C$ a month"
