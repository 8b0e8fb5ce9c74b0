"""The drawing of the hot-water path: valid, readable, told by more than colour."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from heatersel.cautions import cautions_for
from heatersel.cautions.ink import Theme
from heatersel.cautions.water_path import water_path
from heatersel.cautions.water_path_svg import water_path_svg

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def drawing(job_of, facts_of, heater_of):
    def of(heater: str, changes: dict | None = None, theme: Theme = Theme.LIGHT) -> str:
        job = job_of(changes or {})
        chosen, facts = heater_of(heater), facts_of(job)
        path = water_path(job, chosen, facts, cautions_for(job, chosen, facts), 14.0)
        return water_path_svg(path, theme)

    return of


@pytest.mark.parametrize(
    "heater", ["gas-tank-50", "oil-tank-30", "electric-tank-50", "heat-pump-80",
               "gas-tankless-199", "electric-tankless-27"],
)  # fmt: skip
def test_it_is_well_formed_and_named(drawing, heater):
    root = ET.fromstring(drawing(heater))
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title.text.startswith("The way of hot water")
    assert len(desc.text) > 100
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"


def test_it_fits_a_phone(drawing):
    root = ET.fromstring(drawing("gas-tank-50"))
    assert root.get("viewBox").split()[2] == "360"
    sizes = [float(t.get("font-size")) for t in root.iter(f"{SVG}text")]
    assert min(sizes) >= 11.0


def test_no_line_of_words_runs_over_the_edge(drawing, heaters):
    # a letter of the sans face is about 0.55 of its size wide
    for heater in heaters:
        root = ET.fromstring(drawing(heater.id, {"home.backflow_preventer": True}))
        for words in root.iter(f"{SVG}text"):
            width = 0.55 * float(words.get("font-size")) * len(words.text)
            assert float(words.get("x")) + width < 365, (heater.id, words.text)


def test_words_never_lie_on_each_other(drawing, heaters):
    for heater in heaters:
        root = ET.fromstring(drawing(heater.id, {"home.site.relief_faults": ...}))
        rows = sorted(
            float(t.get("y")) for t in root.iter(f"{SVG}text") if 120 < float(t.get("x")) < 140
        )
        assert all(below - above >= 12 for above, below in pairwise(rows))


def test_missing_and_unknown_are_told_by_word_and_by_line(drawing):
    svg = drawing("gas-tank-50", {"home.backflow_preventer": True, "home.site.shutoff_valve": ...})
    assert ">to add<" in svg
    assert 'stroke-dasharray="7 4"' in svg
    assert ">to check<" in svg
    assert 'stroke-dasharray="2.4 3"' in svg
    assert ">there<" in svg


def test_a_house_where_all_is_right_has_no_flags(drawing):
    svg = drawing("gas-tank-50")
    assert ">to add<" not in svg
    assert ">to check<" not in svg


def test_themes_keep_to_themselves(drawing):
    light, dark = drawing("gas-tank-50"), drawing("gas-tank-50", theme=Theme.DARK)
    assert "#FAF6EF" in light
    assert "#14201F" not in light
    assert "#14201F" in dark
    auto = drawing("gas-tank-50", theme=Theme.AUTO)
    assert "prefers-color-scheme: dark" in auto
    assert {"#FAF6EF", "#14201F"} <= set(re.findall(r"#[0-9A-F]{6}", auto))


def test_it_needs_nothing_from_elsewhere(drawing):
    svg = drawing("gas-tank-50").replace('xmlns="http://www.w3.org/2000/svg"', "")
    assert not re.search(r"https?://|href|<image|<script", svg)


def test_it_is_the_same_each_time(drawing):
    assert drawing("heat-pump-50") == drawing("heat-pump-50")
