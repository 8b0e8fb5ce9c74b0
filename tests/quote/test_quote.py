from __future__ import annotations

import datetime as dt

import pytest

from heatersel.api import compare
from heatersel.cost.life_cycle import life_cycle_cost
from heatersel.errors import InputError, NoFeasibleHeaterError, UnknownChoiceError
from heatersel.heaters.heater import HeaterClass
from heatersel.quote.policy import OfferRule, demo_policy
from heatersel.quote.price_book import PriceBook, demo_price_book
from heatersel.quote.quote import Request
from heatersel.quote.record import content_digest, quote_record

JOBS = ("cold-family", "warm-bungalow", "propane-well", "town-house-ca")


def changed(**rules):
    policy = demo_policy()
    return policy.model_copy(
        update={name: getattr(policy, name).model_copy(update=new) for name, new in rules.items()}
    )


def without_rows(*ids, currency="USD"):
    book = demo_price_book(currency)
    return PriceBook.of(book.file, currency, [row for row in book.rows if row.id not in ids])


@pytest.mark.parametrize("name", JOBS)
def test_each_demo_job_gets_offers_whose_lines_add_up(quote_of, name):
    quote = quote_of(name)
    assert 2 <= len(quote.offers) <= 3
    assert sum(offer.recommended for offer in quote.offers) == 1
    for offer in quote.offers:
        lines = sum(line.amount_cents for line in offer.price.lines)
        taxes = sum(tax.amount_cents for tax in offer.price.taxes)
        assert offer.price.total_cents == lines + taxes > 0


@pytest.mark.parametrize("name", JOBS)
def test_every_line_traces_to_a_row_of_the_book(quote_of, name):
    quote = quote_of(name)
    rows = {row.id: row for row in quote.book.rows}
    for offer in quote.offers:
        for line in offer.price.lines:
            assert rows[line.row].item == line.item
            assert rows[line.row].line == line.file_line
            assert set(line.rows) <= set(rows)


def test_cost_to_own_follows_the_price_of_the_book(quote_of):
    quote = quote_of()
    for offer in quote.offers:
        assert offer.cost.installed == offer.price.total_cents / 100
        own = life_cycle_cost(offer.cost.ownership, quote.basis.terms)
        assert offer.cost.life_cycle == pytest.approx(own)


def test_an_incentive_lowers_what_is_owned_and_not_the_price(quote_of):
    incentive = {
        "name": "Example programme",
        "amount": "300 USD",
        "dated_by": "purchase",
        "eligibility": "test",
        "first": dt.date(2026, 1, 1),
        "last": dt.date(2026, 12, 31),
    }
    plain = quote_of(offers=("gas-tank-40",)).offers[0]
    helped = quote_of(
        offers=("gas-tank-40",),
        changes={"prices": {"region": "FL", "purchase_date": dt.date(2026, 11, 1),
                            "incentive": [incentive]}},
    ).offers[0]  # fmt: skip
    assert helped.price.total_cents == plain.price.total_cents
    assert helped.cost.installed == pytest.approx(plain.cost.installed - 300)


def test_the_range_of_the_running_cost_holds_the_expected_cost(quote_of):
    for name in JOBS:
        for offer in quote_of(name).offers:
            assert offer.running.low < offer.cost.total_per_year < offer.running.high


def test_the_policy_decides_what_is_recommended(quote_of):
    policy = changed(
        offers={"choose": (OfferRule.LOWEST_EMISSIONS, OfferRule.LOWEST_COST_TO_OWN),
                "recommend": OfferRule.LOWEST_EMISSIONS}
    )  # fmt: skip
    assert OfferRule.LOWEST_EMISSIONS in quote_of(policy=policy).recommended.basis
    assert OfferRule.LOWEST_COST_TO_OWN in quote_of().recommended.basis


def test_no_offer_is_of_a_class_that_the_policy_leaves_out(quote_of):
    policy = changed(heaters={"classes": (HeaterClass.HEAT_PUMP_240V, HeaterClass.HEAT_PUMP_120V)})
    offered = {offer.option.heater.heater_class for offer in quote_of(policy=policy).offers}
    assert offered <= set(policy.heaters.classes)


def test_the_margin_of_the_policy_keeps_small_heaters_out(quote_of):
    quote = quote_of(policy=changed(sizing={"margin": 0.3}))
    assert all(offer.option.sizing.margin_frac >= 0.3 for offer in quote.offers)


def test_a_policy_that_admits_nothing_says_what_stands_in_the_way(quote_of):
    with pytest.raises(NoFeasibleHeaterError, match="does not list the class"):
        quote_of(policy=changed(heaters={"classes": (HeaterClass.OIL_STORAGE,)}))


def test_an_option_without_a_price_gives_way_and_is_listed(quote_of):
    cheapest = quote_of().offers[0]
    row = cheapest.price.lines[0].row
    quote = quote_of(book=without_rows(row))
    assert cheapest.option.id not in {offer.option.id for offer in quote.offers}
    assert cheapest.option.id in {item.option_id for item in quote.unpriced}


def test_where_no_option_can_be_priced_the_offers_say_what_is_missing(quote_of):
    quote = quote_of(book=without_rows("P1"))
    for offer in quote.offers:
        assert [item.item for item in offer.price.missing] == ["permit"]
        assert offer.price.total_cents is None
    assert any("no complete price" in reason for reason in quote.second_opinion)


def test_an_offer_by_hand_without_a_price_has_no_total(quote_of):
    quote = quote_of(offers=("gas-tank-40", "heat-pump-50"), book=without_rows("E02"))
    totals = [offer.price.total_cents for offer in quote.offers]
    assert totals[0] is None
    assert totals[1] > 0
    assert quote.recommended.letter == "B"


def test_offers_by_hand_come_in_the_order_they_were_named(quote_of):
    ids = ("heat-pump-50", "gas-tank-50", "gas-tank-40")
    assert tuple(offer.option.id for offer in quote_of(offers=ids).offers) == ids


def test_an_unknown_offer_is_named_with_the_nearest(quote_of):
    with pytest.raises(UnknownChoiceError, match="gas-tank-40"):
        quote_of(offers=("gas-tank-04",))


def test_an_offer_that_may_not_stand_here_is_refused_with_the_reason(quote_of):
    with pytest.raises(InputError, match=r"oil-tank-30.*no heating oil in this house"):
        quote_of(offers=("oil-tank-30",))


def test_a_book_in_another_currency_is_refused(quote_of):
    with pytest.raises(InputError, match=r"in CAD; allowed: prices in USD"):
        quote_of(book=demo_price_book("CAD"))


@pytest.mark.parametrize(
    ("request_", "said"),
    [
        ({"by": "x" * 81}, "up to 80 characters"),
        ({"by": "two\nlines"}, "up to 80 characters"),
        ({"offers": ("a", "a")}, "up to 6 different options"),
        ({"offers": tuple("abcdefg")}, "up to 6 different options"),
    ],
)
def test_a_request_that_cannot_be_is_refused(request_, said):
    with pytest.raises(InputError, match=said):
        Request(date=dt.date(2026, 11, 20), **request_)


def test_an_offer_lasts_as_long_as_the_policy_says(quote_of):
    quote = quote_of(policy=changed(release={"valid_days": 10}), date=dt.date(2026, 12, 25))
    assert quote.valid_until == dt.date(2027, 1, 4)


def test_two_plumbers_give_the_same_quote_apart_from_name_and_time(quote_of):
    one = quote_record(quote_of(by="A. Plumber", date=dt.date(2026, 11, 20)))
    other = quote_record(quote_of(by="Z. Fitter", date=dt.date(2026, 11, 24)))
    differing = {key for key in one if one[key] != other[key]}
    assert differing == {"by", "date", "valid_until"}
    assert one["content_digest"] == other["content_digest"] == content_digest(one)


def test_any_other_price_or_rule_shows_in_the_digest(quote_of):
    digests = {
        quote_record(quote)["content_digest"]
        for quote in (
            quote_of(), quote_of(policy=changed(release={"valid_days": 31})),
            quote_of(book=without_rows("W41")), quote_of("warm-bungalow"),
            quote_of(changes={"household": {"days_away": 15}}),
        )
    }  # fmt: skip
    assert len(digests) == 5


def test_the_record_holds_what_the_data_contract_names(quote_of):
    record = quote_record(quote_of(), "quote.pdf")
    assert {"offers", "policy", "price_book", "fingerprint", "file"} <= set(record)
    for offer in record["offers"]:
        assert {"option", "lines", "subtotal", "tax", "total"} <= set(offer)
        assert all({"text", "amount", "row"} <= set(line) for line in offer["lines"])
        assert round(sum(line["amount"] for line in offer["lines"]), 2) == offer["subtotal"]
        assert round(offer["subtotal"] + offer["tax"], 2) == offer["total"]


def test_running_cost_and_size_are_those_of_the_comparison(quote_of):
    quote = quote_of()
    plain = compare(quote.comparison.job)
    for offer in quote.offers:
        same = plain.option(offer.option.id)
        assert offer.cost.total_per_year == same.cost.total_per_year
        assert offer.option.sizing == same.sizing
