from __future__ import annotations

import datetime as dt

import pytest

from heatersel.cautions.caution import LOCAL_RULES
from heatersel.quote.letter import caution_texts, date_words, letter
from heatersel.quote.price_book import PriceBook, demo_price_book

JOBS = ("cold-family", "warm-bungalow", "propane-well", "town-house-ca")


def without_rows(*ids):
    book = demo_price_book()
    return PriceBook.of(book.file, "USD", [row for row in book.rows if row.id not in ids])


@pytest.mark.parametrize("name", JOBS)
def test_page_one_has_all_that_a_customer_signs_for(quote_of, name):
    quote = quote_of(name)
    page = letter(quote)
    for card, offer in zip(page.cards, quote.offers, strict=True):
        assert f"{offer.price.total_cents / 100:,.2f}" in card.price
        low, high = round(offer.running.low), round(offer.running.high)
        assert f"{low:,} and" in card.running
        assert card.running.endswith(f"{high:,}")
        assert card.warm
        assert card.life
    assert page.picture.svg.startswith("<svg")
    assert page.included
    assert page.next_steps
    assert page.local_rules == LOCAL_RULES
    assert "20 December 2026" in page.valid


def test_only_dated_valid_and_signature_depend_on_who_and_when(quote_of):
    one = letter(quote_of(by="A. Plumber", date=dt.date(2026, 11, 20)))
    other = letter(quote_of(by="Z. Fitter", date=dt.date(2026, 11, 21)))
    fields = type(one).__slots__
    differing = {name for name in fields if getattr(one, name) != getattr(other, name)}
    assert differing == {"dated", "valid", "sign_company"}


def test_a_quote_without_a_name_says_none(quote_of):
    page = letter(quote_of(by=""))
    assert page.dated == "20 November 2026"
    assert page.sign_company == "For Example Plumbing (invented)"


def test_units_and_currency_are_those_of_the_job(quote_of):
    page = letter(quote_of("town-house-ca"))
    assert page.language == "en-CA"
    assert "°C" in page.house
    assert all(card.price.startswith("C$") for card in page.cards)
    assert " gal" not in " ".join(card.name + card.warm for card in page.cards)


def test_work_that_every_offer_brings_is_told_once(quote_of):
    page = letter(quote_of())
    assert "expansion tank" in page.included[0]
    assert all("Expansion tank" not in card.also for card in page.cards)


def test_work_of_one_offer_stands_only_there(quote_of):
    page = letter(quote_of(offers=("gas-tank-40", "heat-pump-50")))
    also = {card.letter: card.also for card in page.cards}
    assert "New 240 V circuit" in also["B"]
    assert "New 240 V circuit" not in also["A"]


def test_a_missing_price_is_said_and_never_zero(quote_of):
    page = letter(quote_of(offers=("gas-tank-40", "heat-pump-50"), book=without_rows("E02")))
    card = page.cards[0]
    assert card.price == "Price to follow"
    assert card.notes == ("No price yet for: Gas tank, 40 gal. You get the full price before you "
                          "decide.",)  # fmt: skip
    assert card.compared == ""
    assert "$0" not in card.price


def test_the_card_says_how_many_prices_are_missing(quote_of):
    offers = ("gas-tank-40", "heat-pump-50")
    notes = {
        n: letter(quote_of(offers=offers, book=without_rows(*ids))).cards[0].price_note
        for n, ids in ((1, ("E02",)), (2, ("E02", "P1")))
    }
    assert notes == {1: "one price is still missing", 2: "2 prices are still missing"}


def test_without_any_full_price_there_is_no_picture(quote_of):
    page = letter(quote_of(book=without_rows("P1")))
    assert page.picture is None
    assert "We recommend" in page.advice


def test_the_advice_compares_with_the_next_best(quote_of):
    quote = quote_of(offers=("gas-tank-40", "heat-pump-50"))
    best, rival = quote.offers
    spared = round(rival.cost.life_cycle - best.cost.life_cycle, -2)
    assert f"about ${spared:,.0f} less than B" in letter(quote).advice


def test_differences_are_those_of_the_figures(quote_of):
    quote = quote_of(offers=("gas-tank-40", "heat-pump-50"))
    best, rival = quote.offers
    more = round(rival.cost.installed - best.cost.installed)
    assert letter(quote).cards[1].compared.startswith(f"${more:,} more to install than A")


def test_each_caution_is_told_once_and_names_its_offers(quote_of):
    quote = quote_of(offers=("gas-tank-40", "heat-pump-50"))
    texts = caution_texts(quote)
    said = {
        (c.id, c.message, c.trade_message) for offer in quote.offers for c in offer.option.cautions
    }
    assert len(texts) == len(said)
    circuit = next(text for text in texts if "240-volt" in text.text)
    permit = next(text for text in texts if "permit" in text.text)
    assert (circuit.letters, permit.letters) == ("B", "")


def test_no_offer_is_told_the_numbers_of_another_heater(quote_of):
    quote = quote_of(offers=("gas-tank-40", "heat-pump-50"))
    for text in caution_texts(quote):
        for offer in quote.offers:
            if not text.letters or offer.letter in text.letters.split(", "):
                said = {(c.message, c.trade_message) for c in offer.option.cautions}
                assert (text.text, text.trade) in said


def test_what_must_be_done_comes_first_and_danger_before_duty(quote_of):
    texts = caution_texts(quote_of())
    musts = [text.must for text in texts]
    assert musts == sorted(musts, reverse=True)
    assert "burns" in texts[0].text


def test_page_one_says_how_many_cautions_follow(quote_of):
    quote = quote_of()
    musts = sum(text.must for text in caution_texts(quote))
    page = letter(quote)
    assert len(page.cautions) == min(musts, 7)
    assert page.n_more_cautions == max(0, musts - 7)


def test_dates_read_the_same_in_both_countries():
    assert date_words(dt.date(2027, 2, 3)) == "3 February 2027"
