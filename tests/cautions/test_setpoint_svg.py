"""The drawing of the setpoint trade-off."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest

from heatersel.cautions.ink import Theme
from heatersel.cautions.setpoint_svg import setpoint_svg
from heatersel.cautions.setpoint_tradeoff import setpoint_point, setpoint_tradeoff
from heatersel.cautions.words import Words

SVG = "{http://www.w3.org/2000/svg}"


def drawn(setpoint_c: float, loss: float = 2.0, system: str = "us") -> str:
    points = setpoint_tradeoff(loss, 20.0, 0.15)
    here = setpoint_point(setpoint_c, loss, 20.0, 0.15)
    return setpoint_svg(points, here, Words(system), Theme.LIGHT)


def words(svg: str) -> list[str]:
    return [element.text for element in ET.fromstring(svg).iter(f"{SVG}text")]


def test_three_curves_share_one_scale_and_cost_starts_at_zero():
    svg = drawn(60.0)
    assert {"Nine of ten bacteria die in", "Keeping it hot costs a year"} <= set(words(svg))
    assert "$0" in words(svg)
    paths = [p for p in ET.fromstring(svg).iter(f"{SVG}path") if p.get("d").count("L") > 20]
    assert len(paths) == 4  # adult and child, bacteria, cost


def test_the_chosen_setting_is_marked_with_its_figures():
    found = words(drawn(60.0))
    assert "your setting, 140 °F" in found
    assert {"3 seconds", "44 seconds", "$105"} <= set(found)


def test_the_text_alternative_tells_the_trade():
    desc = ET.fromstring(drawn(60.0)).find(f"{SVG}desc").text
    for part in ("140 °F", "3 seconds", "small child's in 1 second", "$105", "tempering valve"):
        assert part in desc


@pytest.mark.parametrize("setpoint_c", [40.0, 75.0])
def test_a_setting_off_the_scale_is_said_and_not_drawn(setpoint_c):
    svg = drawn(setpoint_c)
    assert "<circle" not in svg
    assert any(text.startswith("your setting") for text in words(svg))


def test_a_heater_without_a_store_costs_nothing_to_keep_hot():
    assert words(drawn(60.0, loss=0.0)).count("$0") >= 2


def test_units_follow_the_job():
    assert "your setting, 60 °C" in words(drawn(60.0, system="si"))
