"""Answers that touch more than one key."""

from __future__ import annotations

import pytest

from heatersel.errors import UnknownChoiceError
from heatersel.interview.notes import (
    house_fuels,
    note_fixtures,
    note_fuels,
    note_heater,
    note_money,
    note_people,
    note_room,
    note_uses,
)


@pytest.mark.parametrize("answer", ["4", " 4 "])
def test_bare_number_of_people_stays_a_number(answer):
    assert note_people(answer, {}) == {"household": {"occupants": 4}}


def test_people_are_noted_by_kind():
    noted = note_people("2 adults and a baby", {})

    assert noted["household"]["occupants"] == {"adults": 2, "children": 1}


def test_fixtures_that_are_not_named_stay_as_usual():
    noted = note_fixtures("2 showers, 0 bathtubs, soaking tub", {})["household"]["fixtures"]

    assert (noted["shower"], noted["bathtub"], noted["soaking_tub"]) == (2, 0, 1)
    assert noted["lavatory"] == 2


def test_uses_hold_only_what_is_named():
    noted = note_uses("2 showers, sink", {}, "household.simultaneous")

    assert noted["household"]["simultaneous"] == {"shower": 2, "kitchen_sink": 1}


def test_another_heater_takes_the_place_of_the_first():
    first = {"existing": {"kind": "storage", "energy_source": "propane", "volume": "40 gal"}}

    assert note_heater("tankless electricity", first) == {
        "existing": {"kind": "tankless", "energy_source": "electricity"}
    }
    assert note_heater("none", first) == {}


def test_fuels_are_noted_in_a_fixed_order():
    assert note_fuels("electric and gas", {})["home"]["fuels"] == ["natural_gas", "electricity"]


def test_other_fuels_are_refused_with_an_example():
    with pytest.raises(UnknownChoiceError, match="natural gas, electricity"):
        note_fuels("wood", {})


def test_ceiling_is_noted_where_it_was_said_and_dropped_where_not():
    noted = note_room("30 x 25 x 7 ft", {})

    assert noted["home"] == {"room_volume": "5250 ft3", "ceiling_height": "7 ft"}
    assert note_room("5000 ft3", noted)["home"] == {"room_volume": "5000 ft3"}


@pytest.mark.parametrize(
    ("tables", "price"),
    [
        ({}, "0.2 USD/kWh"),
        ({"place": {"climate": "Tampa, FL"}}, "0.2 USD/kWh"),
        ({"place": {"climate": "Toronto, ON"}}, "0.2 CAD/kWh"),
    ],
)
def test_cents_are_those_of_the_place(tables, price):
    noted = note_money("20 cents/kWh", tables, "prices.electricity")

    assert noted["prices"]["electricity"] == price


@pytest.mark.parametrize(
    ("tables", "fuels"),
    [
        ({}, {"electricity"}),
        ({"existing": {"energy_source": "propane"}}, {"electricity", "propane"}),
        ({"home": {"fuels": ["fuel_oil"]}, "existing": {"energy_source": "propane"}}, {"fuel_oil"}),
    ],
)
def test_fuels_of_the_house_are_those_stated_else_what_stands_there(tables, fuels):
    assert house_fuels(tables) == fuels
