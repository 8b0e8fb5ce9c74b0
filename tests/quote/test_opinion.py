from __future__ import annotations

from dataclasses import replace

import pytest

from heatersel.quote.opinion import second_opinion
from heatersel.quote.policy import SecondOpinion
from heatersel.sizing.verdict import Verdict


def reasons(quote, departures=(), offers=None, **rules):
    plain = {"departure": False, "fuel_change": False, "tight_size": False} | rules
    policy = quote.policy.model_copy(update={"second_opinion": SecondOpinion(**plain)})
    offers = offers or [(offer.letter, offer.option, offer.price) for offer in quote.offers]
    return second_opinion(policy, offers, quote.comparison.existing, departures)


@pytest.fixture(scope="module")
def quote(quote_of):
    return quote_of(offers=("gas-tank-40", "plug-in-heat-pump-65"))


def test_without_rules_nobody_has_to_look(quote):
    assert reasons(quote) == ()


def test_a_total_above_the_limit_is_looked_at(quote):
    total = max(offer.price.total_cents for offer in quote.offers) / 100
    assert reasons(quote, total_above=total) == ()
    assert len(reasons(quote, total_above=total - 0.01)) == 1


def test_another_fuel_is_looked_at(quote):
    (reason,) = reasons(quote, fuel_change=True)
    assert reason == "offer B runs on another energy source"


def test_a_tight_size_is_looked_at(quote):
    offer = quote.offers[0]
    sizing = replace(offer.option.sizing, verdict=Verdict.TIGHT)
    tight = ("A", replace(offer.option, sizing=sizing), offer.price)
    assert reasons(quote, offers=[tight]) == ()
    assert reasons(quote, offers=[tight], tight_size=True) == ("offer A has a tight size",)


def test_many_open_measurements_are_looked_at(quote):
    most = max(len(offer.option.to_measure) for offer in quote.offers)
    assert reasons(quote, to_measure_above=most) == ()
    assert len(reasons(quote, to_measure_above=0)) == 2


def test_a_departure_is_looked_at_only_where_it_needs_a_reason(quote):
    assert reasons(quote, quote.departures, departure=True) == ()
