from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from html.parser import HTMLParser

import pandas as pd
import pytest

from heatersel.portfolio.load import LoadStudy
from heatersel.portfolio.report import report_html, write_report
from heatersel.portfolio.run import Outcome
from heatersel.portfolio.summary import Summary, summarise
from heatersel.portfolio.tables import Table, class_name, tables_of
from heatersel.portfolio.totals import Totals

VOID = {"meta"}


class Page(HTMLParser):
    """Elements, their attributes and whether each is closed."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.links: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.ids += [str(given["id"])] if "id" in given else []
        self.links += [str(given[name]) for name in ("src", "href") if name in given]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Need no end."""

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


@pytest.fixture(scope="module")
def html(town: Outcome) -> str:
    path = write_report(town.folder, town.totals, town.manifest)
    return path.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def tables(town: Outcome) -> dict[str, Table]:
    return tables_of(summarise(town.folder), town.totals, LoadStudy.of(town.totals))


def words(html: str) -> str:
    return re.sub(r"<[^>]+>", " ", html)


def test_the_report_stands_alone_and_is_whole(html: str) -> None:
    page = Page(html)

    assert not page.open
    assert not page.links
    assert len(page.ids) == len(set(page.ids))
    assert "http" not in html.replace("http://www.w3.org/2000/svg", "")


def test_the_answer_comes_first(html: str) -> None:
    said = words(html)

    assert re.search(r"Water heaters for 9 houses\s+For \d houses? \(\d+%\) an? ", said)
    assert said.index("costs least to own") < said.index("Who gets what, and why")
    assert "For 1 house nothing on the list fits." in said
    assert "No result for 1 row;" in said


@pytest.mark.parametrize(
    "title",
    [
        "Who gets what, and why",
        "Money and emissions, before and after",
        "The electric load",
        "Where",
        "Houses to visit first",
        "What this rests on",
    ],
)
def test_each_part_is_there_with_its_sentence(html: str, title: str) -> None:
    assert re.search(rf"<h2>{title}</h2><p>[^<]+</p>", html)


def test_the_rules_of_the_place_decide(html: str) -> None:
    assert "Cautions are prompts to check, not approvals." in html


def test_a_name_cannot_break_the_page(town: Outcome) -> None:
    evil = '<script>alert("x")</script>'
    manifest = town.manifest | {"houses": evil}
    summary, study = summarise(town.folder), LoadStudy.of(town.totals)
    summary.examples = {
        name: (row, evil, reasons) for name, (row, _, reasons) in summary.examples.items()
    }

    assert "<script" not in report_html(summary, town.totals, study, manifest)


def test_a_run_in_which_every_row_failed_still_has_a_report() -> None:
    empty, totals = Summary(), Totals(failed=3)
    study = LoadStudy.of(totals)

    html = report_html(empty, totals, study, {})

    assert "No house has an option that fits." in html
    assert "No result for 3 rows;" in html


def test_every_table_is_a_csv_file_that_pandas_reads(
    town: Outcome, html: str, tables: dict[str, Table]
) -> None:
    for name, table in tables.items():
        read = pd.read_csv(town.folder / "tables" / f"{name}.csv")
        assert tuple(read.columns) == table.columns
        assert len(read) == len(table.rows)
    assert "<table" in html


def test_columns_of_a_table_have_names_of_their_own(tables: dict[str, Table]) -> None:
    for table in tables.values():
        assert len(set(table.columns)) == len(table.columns)
        assert all(len(row) == len(table.columns) for row in table.rows)


def test_who_gets_what_holds_every_house_once(tables: dict[str, Table]) -> None:
    rows = tables["who_gets_what"].rows

    assert sum(row[2] for row in rows) == 8
    assert sum(row[3] for row in rows) == pytest.approx(8 / 9)  # nothing fits the ninth


def test_before_and_after_differ_by_the_change(tables: dict[str, Table]) -> None:
    for *_, before, after, change in tables["before_after"].rows:
        assert change == pytest.approx(after - before)


def test_site_work_leaves_out_the_permit_that_all_need(tables: dict[str, Table]) -> None:
    assert "permit" not in {row[0] for row in tables["site_work"].rows}


def test_unknown_numbers_are_empty_cells() -> None:
    table = Table(name="a", title="a", columns=("x", "y"), rows=((float("nan"), 1),))

    assert list(csv.reader(io.StringIO(table.as_csv().decode()))) == [["x", "y"], ["", "1"]]


def test_a_class_has_the_name_that_customers_use() -> None:
    assert class_name("heat_pump_240v") == "heat pump tank"
    assert class_name("") == "unknown"


def pictures(html: str) -> Iterator[str]:
    yield from re.findall(r"<svg.*?</svg>", html, re.DOTALL)


def test_every_picture_says_what_it_shows(html: str) -> None:
    found = list(pictures(html))

    assert len(found) >= 6
    assert all('role="img"' in svg and ("aria-label" in svg) for svg in found)
    assert not any("nan" in svg for svg in found)
