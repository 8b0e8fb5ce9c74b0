from __future__ import annotations

import datetime as dt

import pytest

from heatersel.quote.fingerprint import short
from heatersel.quote.money import money_text
from heatersel.quote.price_book import PriceBook, demo_price_book
from heatersel.quote.working import working

JOBS = ("cold-family", "warm-bungalow", "propane-well", "town-house-ca")


@pytest.mark.parametrize("name", JOBS)
def test_the_price_table_adds_up_as_printed(quote_of, name):
    quote = quote_of(name)
    entries = working(quote).prices

    def cents(text):
        return round(float(text.lstrip("C$").replace(",", "")) * 100) if text else 0

    for place in range(len(quote.offers)):
        column = [(entry, cents(entry.cells[place].amount)) for entry in entries]
        subtotal = next(value for entry, value in column if entry.text == "Subtotal")
        total = next(value for entry, value in column if entry.text == "Total")
        lines = sum(value for entry, value in column if entry.why)
        taxes = sum(value for entry, value in column if not entry.why and not entry.strong)
        assert (lines, lines + taxes) == (subtotal, total)


def test_each_amount_names_its_row(quote_of):
    quote = quote_of()
    rows = {row.id for row in quote.book.rows}
    for entry in working(quote).prices:
        for cell in entry.cells:
            assert (cell.row in rows) is (bool(cell.amount) and not entry.strong)


def test_questions_on_paper_say_nothing_of_job_files(quote_of):
    for name in ("", "town-house-ca"):
        rows = working(quote_of(name)).to_measure.rows
        assert rows
        assert not any(sign in what for _, what, _ in rows for sign in '[]"')


def test_each_line_says_what_calls_for_it(quote_of):
    whys = {entry.text: entry.why for entry in working(quote_of()).prices if not entry.strong}
    assert whys["Expansion tank"].startswith("caution: Fit an expansion tank")
    assert whys["Pan under the heater with its drain"].startswith("company policy")


def test_every_assumption_of_the_job_is_listed_with_its_source(quote_of):
    quote = quote_of()
    rows = working(quote).assumptions.rows
    assert len(rows) == len(list(quote.comparison.job.defaults_used()))
    assert all(all(row) for row in rows)


def test_versions_name_policy_book_job_and_quote(quote_of):
    quote = quote_of()
    rows = {row[0]: row[1:] for row in working(quote).versions.rows}
    assert rows["Policy"] == (quote.policy.name, short(quote.policy.digest))
    assert rows["Price book"] == (quote.book.title(quote.request.date), short(quote.book.digest))
    assert rows["Job"][1] == short(quote.fingerprint)


def test_departures_stand_with_their_reasons(quote_of):
    reason = "The floor drain is right below."
    quote = quote_of(without=("drain_pan",), reasons={"must_have.drain_pan": reason})
    (row,) = working(quote).departures.rows
    assert row[0] == "must_have.drain_pan"
    assert row[-1] == reason


def test_a_missing_price_is_a_line_of_its_own(quote_of):
    book = demo_price_book()
    book = PriceBook.of(book.file, "USD", [row for row in book.rows if row.id != "E02"])
    entries = working(quote_of(offers=("gas-tank-40",), book=book)).prices
    assert any(cell.amount == "no price yet" for entry in entries for cell in entry.cells)
    assert entries[-1].cells[0].amount == "to follow"


def test_nothing_in_the_working_depends_on_who_quotes(quote_of):
    one = working(quote_of(by="A. Plumber", date=dt.date(2026, 11, 20)))
    assert one == working(quote_of(by="Z. Fitter", date=dt.date(2026, 11, 24)))


def test_what_is_still_to_measure_is_asked_as_on_the_site_sheet(quote_of):
    quote = quote_of()
    fields = {item.field for offer in quote.offers for item in offer.option.to_measure}
    assert len(working(quote).to_measure.rows) == len(fields)


def test_money_of_the_table_is_that_of_the_offers(quote_of):
    quote = quote_of()
    rows = {row[0]: row[1:] for row in working(quote).money.rows}
    assert rows["A year in all"][0] == f"${quote.offers[0].cost.total_per_year:,.0f}"
    assert money_text(quote.offers[0].price.total_cents, "USD") in {
        cell.amount for entry in working(quote).prices for cell in entry.cells
    }
