"""The printable site sheet."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from heatersel.cautions import cautions_for
from heatersel.cautions.site_sheet import site_sheet
from heatersel.cautions.site_sheet_html import site_sheet_html

BARE = {"home": {"fuels": ["natural_gas"]}, "existing": ...}


class Balance(HTMLParser):
    def __init__(self):
        super().__init__()
        self.open: list[str] = []
        self.text = ""

    def handle_starttag(self, tag, attrs):
        if tag != "meta":
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text += data


@pytest.fixture
def page(job_of, facts_of, heaters):
    def of(changes: dict) -> str:
        job = job_of(changes)
        facts = facts_of(job)
        asked = [(heater, cautions_for(job, heater, facts).to_measure) for heater in heaters]
        return site_sheet_html(site_sheet(job, asked))

    return of


def parsed(page: str) -> Balance:
    reader = Balance()
    reader.feed(page)
    reader.close()
    assert reader.open == []
    return reader


def test_every_question_has_a_line_to_write_on(page):
    html = page({"home.hardness": ..., "home.room_volume": ...})
    reader = parsed(html)
    assert "Hardness, by test strip" in reader.text
    assert html.count('class="answer"') == html.count("<li>") == 2


def test_who_decides_stands_on_the_page(page):
    assert "licensed person decide" in parsed(page({"home.hardness": ...})).text


def test_a_known_house_says_so(page):
    assert "Nothing is left to measure" in parsed(page({})).text


def test_the_page_needs_nothing_from_elsewhere(page):
    html = page({"home.hardness": ...})
    assert not re.search(r"https?://|<script|<link|<img|url\(", html)


def test_names_with_markup_are_shown_and_not_run(page):
    html = page({"title": "<b>Smith & sons</b>", "home.hardness": ...})
    assert "<b>Smith" not in html
    assert "<b>Smith & sons</b>" in parsed(html).text


def test_more_lines_get_smaller_print(page):
    def size(html: str) -> float:
        return float(re.search(r"--print: ([\d.]+)pt", html).group(1))

    few, many = page({"home.hardness": ...}), page(BARE)
    assert size(many) < size(few)
    assert size(many) >= 5.6
