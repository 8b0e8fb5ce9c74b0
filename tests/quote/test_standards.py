from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from heatersel.quote.register_rows import Entry, Event
from heatersel.quote.standards import acceptance, like_houses, wilson

INPUTS = {
    "household": {"occupants": {"adults": 2, "children": 1}},
    "place": {"climate": "Duluth, MN"},
    "home": {"fuels": ["natural_gas", "electricity"]},
    "existing": {"kind": "storage", "energy_source": "natural_gas"},
}


def offer(letter, heater_class="electric_storage", rule="lowest_cost_to_own", total=1000.0):
    return {"letter": letter, "option": f"option-{letter}", "heater_class": heater_class,
            "basis": [rule], "recommended": letter == "A", "total": total}  # fmt: skip


def entry(by="A. Plumber", state="declined", option="", heater_class="electric_storage",
          total=1000.0, **inputs):  # fmt: skip
    record = {
        "by": by, "inputs": INPUTS | inputs, "recommended": "option-A",
        "offers": [offer("A", heater_class, total=total), offer("B", rule="lowest_first_cost")],
    }  # fmt: skip
    event = Event(id="e", quote_id="q", step=2, state=state, at="2026", by_name="",
                  option_id=option)  # fmt: skip
    return Entry(id="q", record=record, state=state, events=(event,))


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_wilson_agrees_with_another_library(counts):
    successes, trials = counts
    low, high = wilson(successes, trials, 0.9)
    oracle = binomtest(successes, trials).proportion_ci(0.9, method="wilson")
    assert (low, high) == pytest.approx((oracle.low, oracle.high), abs=1e-9)


def test_acceptance_counts_answered_quotes_by_letter_rule_class_and_advice():
    entries = [
        entry(state="accepted", option="option-A"), entry(state="accepted", option="option-B"),
        entry(state="declined"), entry(state="offered"), entry(state="expired"),
    ]  # fmt: skip
    found = {(item.by, item.value): (item.accepted, item.offered) for item in acceptance(entries)}
    assert found["letter", "A"] == (1, 3)
    assert found["letter", "B"] == (1, 3)
    assert found["recommended", "yes"] == (1, 3)
    assert found["rule", "lowest_first_cost"] == (1, 3)
    assert found["class", "electric_storage"] == (2, 6)


def test_without_an_answer_there_is_nothing_to_count():
    assert acceptance([entry(state="offered")]) == ()


def test_like_houses_group_by_place_people_fuels_and_what_stands_there():
    entries = [
        entry("A"), entry("B", heater_class="heat_pump_240v", total=3000.0), entry("B"),
        entry("C", place={"climate": "Helena, MT"}),
    ]  # fmt: skip
    (group,) = like_houses(entries)
    assert group.house == (
        "Duluth, MN; 3 to 4 people; electricity and natural gas; now natural gas storage"
    )
    assert (group.n_quotes, group.n_plumbers) == (3, 2)
    assert group.agreement == pytest.approx(2 / 3)
    assert (group.total_low, group.total_high) == (1000.0, 3000.0)
    assert group.by_plumber["B"] == {"heat_pump_240v": 1, "electric_storage": 1}


def test_one_plumber_alone_shows_no_spread():
    assert like_houses([entry("A"), entry("A")]) == ()


def test_replaced_quotes_do_not_count():
    assert like_houses([entry("A"), entry("B", state="replaced")]) == ()


def test_the_least_agreed_group_comes_first():
    there = {"place": {"climate": "Helena, MT"}}
    entries = [
        entry("A"), entry("B"), entry("A", **there),
        entry("B", heater_class="heat_pump_240v", **there),
    ]  # fmt: skip
    assert [group.agreement for group in like_houses(entries)] == [0.5, 1.0]


def test_a_bare_number_of_people_is_understood():
    alone = {"household": {"occupants": 1}}
    (group,) = like_houses([entry("A", **alone), entry("B", **alone)])
    assert "1 to 2 people" in group.house
