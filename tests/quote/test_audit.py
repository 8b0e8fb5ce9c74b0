from __future__ import annotations

import datetime as dt
from dataclasses import replace

import pytest

from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import HeaterClass
from heatersel.quote import audit_report
from heatersel.quote.audit import replay
from heatersel.quote.audit_report import audit
from heatersel.quote.policy import MustHave, demo_policy
from heatersel.quote.price_book import PriceBook, demo_price_book
from heatersel.quote.record import quote_record
from heatersel.quote.register_rows import Entry, Event

HEATERS = load_heaters()


def entry(quote, state="offered", option="", name="q1"):
    event = Event(id="e", quote_id=name, step=1, state=state, at="2026", by_name="",
                  option_id=option)  # fmt: skip
    return Entry(id=name, record=quote_record(quote), state=state, events=(event,))


def policy_with(**rules):
    policy = demo_policy()
    changes = {
        name: getattr(policy, name).model_copy(update=new) if isinstance(new, dict) else new
        for name, new in rules.items()
    }
    return policy.model_copy(update=changes)


def book_with(row_id, **changes):
    book = demo_price_book()
    rows = [replace(row, **changes) if row.id == row_id else row for row in book.rows]
    return lambda currency: PriceBook.of(book.file, currency, rows)


@pytest.fixture(scope="module")
def small(quote_of):
    """A quote of two offers by hand."""
    return entry(quote_of(offers=("gas-tank-40", "heat-pump-50")))


def test_under_the_same_rules_and_prices_nothing_changes(small):
    found = replay(small, HEATERS, demo_policy(), demo_price_book)
    assert not found.changes
    assert found.difference == 0


def test_a_dearer_piece_of_work_shows_line_by_line(small):
    row = next(row for row in demo_price_book().rows if row.item == "drain_pan")
    found = replay(small, HEATERS, demo_policy(), book_with(row.id, cost=row.cost + 100))
    for offer in found.offers:
        texts = {line.text: (line.before, line.after) for line in offer.lines}
        before, after = texts[row.text]
        assert after - before == 125.0  # 100 at a markup of 25 %
        assert set(texts) == {row.text, "Sales tax (demo rate)"}
    # 6.5 % of the goods of 125.
    assert found.difference == pytest.approx(125 + 8.12, abs=0.011)


def test_a_new_must_have_is_a_new_line_with_its_reason(small):
    rule = MustHave(item="leak_shutoff", why="Two floors were ruined last year.")
    policy = policy_with(must_have=(*demo_policy().must_have, rule))
    found = replay(small, HEATERS, policy, demo_price_book)
    new = [line for offer in found.offers for line in offer.lines if line.before is None]
    assert {line.item for line in new} == {"leak_shutoff"}
    assert "Two floors" in new[0].why


def test_a_must_have_taken_out_is_a_line_gone(small):
    found = replay(small, HEATERS, policy_with(must_have=()), demo_price_book)
    gone = {line.item for offer in found.offers for line in offer.lines if line.after is None}
    assert "drain_pan" in gone
    assert found.difference < 0


def test_a_class_left_out_is_named_for_the_offer_that_goes(quote_of):
    stored = entry(quote_of())
    policy = policy_with(heaters={"classes": (HeaterClass.ELECTRIC_STORAGE,)})
    found = replay(stored, HEATERS, policy, demo_price_book)
    gone = [offer for offer in found.offers if offer.after is None]
    assert any("does not list the class atmospheric_storage" in offer.why for offer in gone)
    assert found.recommended_after != found.recommended_before


def test_a_departure_that_the_new_rules_ask_reasons_for_is_told(small):
    policy = policy_with(heaters={"classes": (HeaterClass.HEAT_PUMP_240V,)})
    found = replay(small, HEATERS, policy, demo_price_book)
    assert "heater.gas-tank-40" in found.new_departures


def test_a_reason_that_the_new_rules_do_not_ask_for_does_no_harm(quote_of):
    quote = quote_of(
        offers=("gas-tank-40",), without=("drain_pan",),
        reasons={"must_have.drain_pan": "The floor drain is right below."},
    )  # fmt: skip
    assert not replay(entry(quote), HEATERS, demo_policy(), demo_price_book).changes


def test_a_job_that_told_nothing_follows_the_new_rule(quote_of):
    # The stored job is the one that was told, not what the old policy filled in.
    quote = quote_of(policy=policy_with(sizing={"percentile": 0.95}))
    assert "sizing_percentile" not in quote_record(quote)["inputs"].get("preferences", {})
    found = replay(entry(quote), HEATERS, demo_policy(), demo_price_book)
    assert "percentile" not in found.new_departures


def test_a_missing_price_under_the_new_book_is_told(small):
    book = demo_price_book()
    rows = [row for row in book.rows if row.item != "gas-tank-40"]
    found = replay(small, HEATERS, demo_policy(), lambda c: PriceBook.of("new.csv", c, rows))
    change = next(offer for offer in found.offers if offer.option_id == "gas-tank-40")
    assert change.after is None
    assert any(line.after is None for line in change.lines)


def test_a_quote_that_cannot_be_made_again_says_why(small):
    inputs = small.record["inputs"] | {"place": {"climate": "Atlantis, XX"}}
    broken = replace(small, record=small.record | {"inputs": inputs})
    found = replay(broken, HEATERS, demo_policy(), demo_price_book)
    assert "Atlantis" in found.trouble
    assert found.changes


def test_a_quote_in_the_other_currency_asks_for_that_book(small):
    abroad = replace(small, record=small.record | {"currency": "CAD"})
    found = replay(abroad, HEATERS, demo_policy(), lambda currency: demo_price_book("USD"))
    assert found.trouble == (
        "this quote is in CAD; the price book is in USD: audit with one in CAD as well."
    )


def test_another_heater_list_is_told_apart_from_rules_and_prices(small):
    fewer = replace(HEATERS, heaters=HEATERS.heaters[:-1])
    found = replay(small, fewer, demo_policy(), demo_price_book)
    assert found.inputs_changed


def test_the_report_counts_causes_and_leaves_replaced_quotes_out(small):
    entries = [small, replace(small, id="q2", state="replaced"), replace(small, id="q3")]
    rule = MustHave(item="leak_shutoff")
    report = audit(
        entries, HEATERS, policy_with(must_have=(*demo_policy().must_have, rule)),
        demo_price_book, book_name="demo",
    )  # fmt: skip
    assert len(report.replays) == 2
    assert dict(report.causes)["new line: Leak alarm with automatic shutoff"] == 2
    assert report.as_dict()["quotes"] == 2


def test_several_processes_find_the_same(small, monkeypatch):
    monkeypatch.setattr(audit_report, "_FEW", 1)
    entries = [replace(small, id=f"q{number}") for number in range(5)]
    rule = MustHave(item="leak_shutoff")
    policy = policy_with(must_have=(*demo_policy().must_have, rule))
    reports = [
        audit(entries, HEATERS, policy, demo_price_book, book_name="demo", workers=workers)
        for workers in (1, 2)
    ]
    assert reports[0] == reports[1]


def test_the_day_of_the_quote_decides_its_prices(quote_of):
    quote = quote_of(offers=("gas-tank-40",), date=dt.date(2026, 11, 20))
    row = next(r for r in demo_price_book().rows if r.item == "gas-tank-40")
    later = book_with(row.id, first=dt.date(2027, 1, 1))
    found = replay(entry(quote), HEATERS, demo_policy(), later)
    assert found.offers[0].after is None
