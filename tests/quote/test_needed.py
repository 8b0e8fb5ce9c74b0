from __future__ import annotations

import pytest

from heatersel.cautions.remedies import REMEDIES
from heatersel.heaters.catalogue import heater_by_id, load_heaters
from heatersel.heaters.heater import in_parallel
from heatersel.quote.needed import _quantity, work_needed
from heatersel.quote.policy import MustHave, When, demo_policy
from heatersel.quote.work import known_work


def needed(quote, letter=0, **changes):
    policy = quote.policy.model_copy(update=changes)
    offer = quote.offers[letter]
    return {
        item.id: item
        for item in work_needed(quote.comparison.job, offer.option, quote.basis, policy)
    }


def test_remedies_of_must_cautions_are_in_and_name_the_caution(quote_of):
    quote = quote_of()
    found = needed(quote)
    musts = {
        remedy
        for caution in quote.offers[0].option.cautions
        if caution.severity == "must"
        for remedy in caution.remedy_ids
    }
    assert musts <= set(found)
    assert found["expansion_tank"].why.startswith("caution closed-system: ")


def test_work_of_a_change_of_fuel_is_in(quote_of):
    quote = quote_of(offers=("heat-pump-50",))
    assert {"cap_gas_line", "new_circuit_240v"} <= set(needed(quote))


def test_what_another_piece_of_work_includes_is_not_charged_twice(quote_of):
    quote = quote_of(changes={"home": {"floor_drain": False}}, offers=("heat-pump-50",))
    found = needed(quote)
    assert "condensate_pump" in found
    assert "condensate_drain" not in found


def test_work_is_counted_by_fixture_or_heater_or_once(quote_of):
    job = quote_of(changes={"household": {"fixtures": {"shower": 2, "bathtub": 1}}}).job
    two = in_parallel(heater_by_id(load_heaters().heaters, "gas-tankless-140"), 2)
    assert _quantity("point_of_use_valve", job, two) == 3
    assert _quantity("new_vent", job, two) == 2
    assert _quantity("drain_pan", job, two) == 1


@pytest.mark.parametrize(
    ("when", "table", "facts", "wanted"),
    [
        (When.ALWAYS, "home", {}, True),
        (When.VULNERABLE_OCCUPANTS, "household", {"occupants": 2}, True),
        (When.CLOSED_SYSTEM, "home", {"backflow_preventer": False}, False),
        (When.LEAK_DAMAGES, "home", {"site": {"leak_damages": False}}, False),
        (When.LEAK_DAMAGES, "home", {"site": {"leak_damages": True}}, True),
        (When.LEAK_DAMAGES, "home", {}, True),  # nobody looked: it counts as needed
        (When.BURNS_FUEL, "home", {}, True),
        (When.HEAT_PUMP, "home", {}, False),
        (When.TANKLESS, "home", {}, False),
        (When.STORAGE, "home", {}, True),
    ],
)
def test_a_must_have_goes_by_its_condition(quote_of, when, table, facts, wanted):
    quote = quote_of(changes={table: facts}, offers=("gas-tank-40",))
    rule = MustHave(item="leak_shutoff", when=when, why="test")
    assert ("leak_shutoff" in needed(quote, must_have=(rule,))) is wanted


def test_a_must_have_that_stands_there_already_is_left_out(quote_of):
    quote = quote_of(changes={"home": {"site": {"co_alarm": True}}}, offers=("gas-tank-40",))
    assert "carbon_monoxide_alarm" not in needed(quote)


def test_a_must_have_of_other_classes_is_left_out(quote_of):
    rule = MustHave(item="leak_shutoff", classes=("oil_storage",))
    assert "leak_shutoff" not in needed(quote_of(), must_have=(rule,))


def test_every_remedy_is_known_work():
    assert set(REMEDIES) <= set(known_work())
    assert all(item.item in known_work() for item in demo_policy().must_have)
