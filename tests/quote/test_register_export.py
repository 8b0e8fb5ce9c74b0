from __future__ import annotations

import csv
import datetime as dt

import pandas as pd
import pytest

from heatersel.errors import InputError
from heatersel.quote.register import Register
from heatersel.quote.register_export import COLUMNS, export_table, harmless

NOW = dt.datetime(2026, 11, 20, 15, 30, tzinfo=dt.UTC)
DAY = dt.date(2026, 11, 20)
# Attacks and signs as OWASP lists them (CSV Injection, from memory).
HOSTILE = [
    '=HYPERLINK("http://x","y")', "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", " =1+1",
    "|calc", "%0A=1",
]  # fmt: skip


@pytest.fixture
def register(tmp_path):
    with Register.open(str(tmp_path / "q.db")) as opened:
        yield opened


def rows_of(path):
    with path.open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_csv_has_a_row_per_quote_with_its_state(register, record_of, tmp_path):
    quote_id = register.add(record_of("One"), at=NOW, by="")
    register.add(record_of("Two"), at=NOW, by="")
    register.tell(quote_id, "accepted", at=NOW, by="", option_id="A")
    assert export_table(register, tmp_path / "q.csv", DAY) == 2
    rows = {row["title"]: row for row in rows_of(tmp_path / "q.csv")}
    assert tuple(rows["One"]) == COLUMNS
    assert rows["One"]["state"] == "accepted"
    record = record_of()
    best = next(o for o in record["offers"] if o["option"] == record["recommended"])
    assert rows["Two"]["total"] == f"{best['total']:.2f}"


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_is_taken_for_a_formula(register, record_of, tmp_path, text):
    register.add(record_of(text, by=text, place=text), at=NOW, by=text)
    export_table(register, tmp_path / "q.csv", DAY)
    (row,) = rows_of(tmp_path / "q.csv")
    for name in ("title", "by", "place"):
        assert row[name] == f"'{text}"


def test_no_cell_of_any_export_begins_like_a_formula(register, record_of, tmp_path):
    for text in HOSTILE:
        register.add(record_of(text), at=NOW, by=text)
    export_table(register, tmp_path / "q.csv", DAY)
    for row in rows_of(tmp_path / "q.csv"):
        assert not any(cell.lstrip(" ").startswith(tuple("=+-@\t\r")) for cell in row.values())


@pytest.mark.parametrize("text", ["Duluth, MN", "a=b", "3 - 4", "'quoted'", ""])
def test_plain_text_stays_as_it_is(text):
    assert harmless(text) == text


def test_commas_quotes_and_line_breaks_survive_the_file(register, record_of, tmp_path):
    title = 'a "b", c\nd'
    register.add(record_of(title), at=NOW, by="")
    export_table(register, tmp_path / "q.csv", DAY)
    assert rows_of(tmp_path / "q.csv")[0]["title"] == title


def test_parquet_reads_back_by_another_library(register, record_of, tmp_path):
    for title in ("One", "=1+1"):
        register.add(record_of(title), at=NOW, by="")
    export_table(register, tmp_path / "q.parquet", DAY)
    frame = pd.read_parquet(tmp_path / "q.parquet")
    assert tuple(frame.columns) == COLUMNS
    assert set(frame["title"]) == {"One", "=1+1"}
    assert frame["total"].dtype == float


def test_a_total_that_is_not_known_is_an_empty_cell(register, record_of, tmp_path):
    offers = [offer | {"total": None} for offer in record_of()["offers"]]
    register.add(record_of(offers=offers), at=NOW, by="")
    export_table(register, tmp_path / "q.csv", DAY)
    assert rows_of(tmp_path / "q.csv")[0]["total"] == ""


def test_an_empty_register_gives_the_headings(register, tmp_path):
    assert export_table(register, tmp_path / "q.csv", DAY) == 0
    assert (tmp_path / "q.csv").read_text(encoding="utf-8-sig").startswith("id,date")


@pytest.mark.parametrize("name", ["q.xls", "q", "none/q.csv"])
def test_what_cannot_be_written_is_said(register, tmp_path, name):
    with pytest.raises(InputError, match="allowed: a file"):
        export_table(register, tmp_path / name, DAY)
