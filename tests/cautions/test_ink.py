"""Colours that can be read, and text that wraps."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cautions.ink import DARK, LIGHT, Theme, styled, text, wrapped


def luminance(colour: str) -> float:
    # WCAG 2.2, relative luminance (definition from memory)
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    lit = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * lit[0] + 0.7152 * lit[1] + 0.0722 * lit[2]


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("ink", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("name", ["ink", "quiet", "copper", "fine", "must", "stop"])
def test_text_colours_reach_aa_on_their_ground(ink, name):
    assert contrast(getattr(ink, name), ink.ground) >= 4.5


@pytest.mark.parametrize("ink", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("name", ["cold", "hot", "line"])
def test_marks_reach_three_to_one(ink, name):
    assert contrast(getattr(ink, name), ink.ground) >= 3.0


def test_a_unit_stays_by_its_number():
    lines = wrapped("used at about 105 °F and 3.7 gal/min", 14)
    assert all(not line.startswith(("°", "gal")) for line in lines)
    assert "105\u00a0°F" in " ".join(lines)


@given(st.lists(st.text("abcdef", min_size=1, max_size=12), min_size=1, max_size=30))
def test_wrapping_keeps_every_word_and_the_width(parts):
    lines = wrapped(" ".join(parts), 20)
    assert " ".join(lines).split(" ") == parts
    assert all(len(line) <= 20 for line in lines)


def test_text_is_escaped():
    assert "&lt;b&gt; &amp;" in text(0, 0, "<b> &", "hw-ink")


def test_rules_hold_in_their_own_group():
    light, dark = styled(Theme.LIGHT, "x"), styled(Theme.DARK, "x")
    assert ".hw-on-light .hw-ink{" in light
    assert ".hw-on-dark .hw-ink{" in dark
