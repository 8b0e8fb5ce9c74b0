from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from heatersel.quote.charts_svg import (
    COPPER,
    INK,
    PAPER,
    WARM,
    cost_by_year,
    cost_over_years,
    cost_over_years_narrow,
    hot_water,
)
from heatersel.quote.years import Years

SVG = "{http://www.w3.org/2000/svg}"


def years(letter="A", heaters=3000.0, energy=4000.0, upkeep=500.0, low=6000.0, high=9000.0):
    paid = tuple(heaters + 100.0 * year for year in range(21))
    return Years(letter=letter, heaters=heaters, energy=energy, upkeep=upkeep, low=low, high=high,
                 by_year=paid)  # fmt: skip


def dollars(amount):
    return f"${amount:,.0f}"


def rects(svg):
    return ElementTree.fromstring(svg).findall(f"{SVG}rect")


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.1 definition (W3C Recommendation 2018, from memory)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def test_bars_are_as_long_as_their_amounts_and_start_at_zero():
    svg = cost_over_years([years(), years("B", heaters=6000.0, high=12000.0)], dollars)
    widths = [float(rect.get("width")) for rect in rects(svg)]
    assert widths[0] / widths[1] == pytest.approx(3000 / 4000, abs=0.01)
    assert widths[3] / widths[0] == pytest.approx(2.0, abs=0.01)
    starts = [float(rect.get("x")) for rect in rects(svg)]
    assert starts[0] == starts[3]


def test_a_phone_sees_the_same_shares_within_its_width():
    bars = [years(), years("B", heaters=6000.0, high=12000.0)]
    wide, narrow = (
        [float(rect.get("width")) for rect in rects(draw(bars, dollars))]
        for draw in (cost_over_years, cost_over_years_narrow)
    )
    assert [n / narrow[0] for n in narrow] == pytest.approx([w / wide[0] for w in wide], rel=0.01)
    tree = ElementTree.fromstring(cost_over_years_narrow(bars, dollars))
    right = float(tree.get("viewBox").split()[2])
    ends = [float(text.get("x")) + 6.0 * len(text.text) for text in tree.iter(f"{SVG}text")]
    assert max(ends) <= right


def test_everything_stays_inside_the_picture():
    svg = cost_over_years([years(high=9000.0), years("B", low=None, high=None)], dollars)
    tree = ElementTree.fromstring(svg)
    _, _, width, height = (float(part) for part in tree.get("viewBox").split())
    for rect in rects(svg):
        assert float(rect.get("x")) + float(rect.get("width")) < width
        assert float(rect.get("y")) + float(rect.get("height")) < height


def test_parts_differ_by_pattern_so_that_grey_paper_tells_them_apart():
    svg = cost_over_years([years()], dollars)
    assert [rect.get("fill") for rect in rects(svg)] == [COPPER, WARM, PAPER]
    energy = rects(svg)[1]
    left, top = float(energy.get("x")), float(energy.get("y"))
    right, foot = left + float(energy.get("width")), top + float(energy.get("height"))
    (stripes,) = [p for p in ElementTree.fromstring(svg).iter(f"{SVG}path")
                  if p.get("stroke") == COPPER]  # fmt: skip
    ends = [tuple(map(float, end.split())) for end in re.split("[ML]", stripes.get("d")) if end]
    assert len(ends) > 20
    assert all(left - 0.1 <= x <= right + 0.1 and top - 0.1 <= y <= foot + 0.1 for x, y in ends)


def test_marks_and_words_stand_out_from_the_paper():
    # WCAG 2.1: 4.5 for text, 3 for marks (from memory).
    assert contrast(INK, PAPER) > 4.5
    assert contrast(COPPER, PAPER) > 4.5
    assert contrast(COPPER, WARM) > 3


def test_a_negative_part_is_drawn_as_nothing():
    widths = [float(r.get("width")) for r in rects(cost_over_years([years(upkeep=-5.0)], dollars))]
    assert widths[2] == 0.0


def test_hostile_words_are_text_and_nothing_else():
    svg = cost_over_years([years('<script>alert("x")</script>')], dollars)
    tree = ElementTree.fromstring(svg)
    assert not list(tree.iter(f"{SVG}script"))
    assert any("<script>" in (text.text or "") for text in tree.iter(f"{SVG}text"))


def test_lines_differ_by_dashes_and_labels_do_not_touch():
    lines = [years("A"), years("B", heaters=3010.0), years("C", heaters=3020.0)]
    svg = cost_by_year(lines, dollars)
    dashes = {p.get("stroke-dasharray") for p in ElementTree.fromstring(svg).iter(f"{SVG}polyline")}
    assert len(dashes) == 3
    labels = [t for t in ElementTree.fromstring(svg).iter(f"{SVG}text") if t.text in "ABC"]
    heights = sorted(float(label.get("y")) for label in labels)
    assert all(below - above >= 11.9 for above, below in pairwise(heights))


def test_the_axis_of_years_begins_at_zero():
    svg = cost_by_year([years()], dollars)
    assert re.search(r">\$0<", svg)


def test_hot_water_is_drawn_against_the_need_of_each_offer():
    svg = hot_water([("A", 40.0, 60.0, "gives 60"), ("B", 10.0, 5.0, "gives 5")])
    widths = [float(rect.get("width")) for rect in rects(svg)]
    assert widths[0] / widths[1] == pytest.approx(1.5 / 0.5, abs=0.02)
