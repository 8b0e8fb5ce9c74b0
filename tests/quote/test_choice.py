from __future__ import annotations

from dataclasses import replace

import pytest

from heatersel.quote.choice import Candidate, choose
from heatersel.quote.policy import OfferRule as Rule
from heatersel.quote.policy import OfferRules
from heatersel.quote.pricing import Price


@pytest.fixture(scope="module")
def template(quote_of):
    """Options of three classes to build candidates from."""
    quote = quote_of(offers=("gas-tank-40", "heat-pump-50", "gas-power-vent-40"))
    return {offer.option.heater.heater_class.value: offer.option for offer in quote.offers}


@pytest.fixture
def candidate(template):
    def make(name, heater_class="atmospheric_storage", owns=1000.0, buys=500.0, runs=100.0,
             co2=50.0, spare=0.2, life=12.0):  # fmt: skip
        option = template[heater_class]
        cost = replace(option.cost, life_cycle=owns, installed=buys, total_per_year=runs,
                       life_years=life)  # fmt: skip
        option = replace(
            option, cost=cost, co2_kg_per_year=co2,
            heater=replace(option.heater, id=name, name=name),
            sizing=replace(option.sizing, margin_frac=spare),
        )  # fmt: skip
        return Candidate(option=option, cost=cost, price=Price(lines=()))

    return make


def chosen(candidates, *rules, number=3, near=0.05, existing=None):
    terms = OfferRules(number=number, choose=rules, recommend=rules[0], near=near)
    found = choose(candidates, terms, existing)
    return {item.candidate.option.id: item.basis for item in found}


def test_each_rule_picks_its_leader(candidate):
    options = [
        candidate("own", owns=900), candidate("buy", buys=400, owns=1500),
        candidate("run", runs=50, owns=1500), candidate("air", co2=5, owns=1500),
        candidate("big", spare=0.9, owns=1500), candidate("old", life=20, owns=1500),
    ]  # fmt: skip
    rules = (Rule.LOWEST_COST_TO_OWN, Rule.LOWEST_FIRST_COST, Rule.LOWEST_RUNNING_COST,
             Rule.LOWEST_EMISSIONS)  # fmt: skip
    assert list(chosen(options, *rules, number=4)) == ["own", "buy", "run", "air"]
    assert list(chosen(options, Rule.MOST_HOT_WATER, Rule.LONGEST_LIFE, number=2)) == ["big", "old"]


def test_an_option_that_leads_twice_is_offered_once_for_both(candidate):
    options = [candidate("best", owns=900, buys=400), candidate("other")]
    found = chosen(options, Rule.LOWEST_COST_TO_OWN, Rule.LOWEST_FIRST_COST)
    assert found["best"] == (Rule.LOWEST_COST_TO_OWN, Rule.LOWEST_FIRST_COST)


def test_near_the_best_counts_as_the_best_and_the_better_rank_is_taken(candidate):
    options = [candidate("rank 1", owns=900, buys=520), candidate("rank 2", owns=950, buys=500)]
    assert chosen(options, Rule.LOWEST_FIRST_COST, near=0.05, number=1) == {
        "rank 1": (Rule.LOWEST_FIRST_COST,)
    }
    assert chosen(options, Rule.LOWEST_FIRST_COST, near=0.01, number=1) == {
        "rank 2": (Rule.LOWEST_FIRST_COST,)
    }


def test_like_for_like_is_the_best_of_the_kind_that_stands_there(candidate, template):
    options = [candidate("pump", "heat_pump_240v", owns=500), candidate("tank", owns=900)]
    existing = template["power_vented_storage"]
    assert "tank" in chosen(options, Rule.LIKE_FOR_LIKE, number=1, existing=existing)
    assert "pump" in chosen(options, Rule.LIKE_FOR_LIKE, number=1, existing=None)


def test_free_places_go_to_another_kind_before_another_size(candidate):
    options = [
        candidate("a", owns=900), candidate("b", owns=910, buys=900),
        candidate("c", "heat_pump_240v", owns=2000),
    ]  # fmt: skip
    found = chosen(options, Rule.LOWEST_COST_TO_OWN)
    assert found == {
        "a": (Rule.LOWEST_COST_TO_OWN,), "c": (Rule.ANOTHER_KIND,), "b": (Rule.ANOTHER_SIZE,),
    }  # fmt: skip


def test_near_twins_are_not_offered_beside_each_other(candidate):
    options = [candidate("a", owns=900), candidate("twin", owns=901, buys=505)]
    assert list(chosen(options, Rule.LOWEST_COST_TO_OWN)) == ["a"]


def test_no_candidate_gives_no_offer():
    assert chosen([], Rule.LOWEST_COST_TO_OWN, Rule.LIKE_FOR_LIKE, Rule.ANOTHER_KIND) == {}


def test_number_limits_the_offers(candidate):
    options = [candidate("own", owns=900), candidate("buy", buys=400), candidate("air", co2=5)]
    rules = (Rule.LOWEST_COST_TO_OWN, Rule.LOWEST_FIRST_COST, Rule.LOWEST_EMISSIONS)
    assert list(chosen(options, *rules, number=2)) == ["own", "buy"]
