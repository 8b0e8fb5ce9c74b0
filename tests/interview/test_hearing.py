"""Answers as people say them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.climate import climates
from heatersel.errors import InputError, MissingUnitError, UnknownChoiceError
from heatersel.interview.hearing import (
    hear_counts,
    hear_pick,
    hear_place,
    hear_price,
    hear_room,
    one_of,
)
from heatersel.units import parse

PICKS = {"gas tank": "storage natural_gas", "gas tankless": "tankless natural_gas", "none": "none"}
PEOPLE = {"adult": "adults", "teen": "teenagers", "child": "children", "children": "children",
          "babie": "children", "baby": "children"}  # fmt: skip


@pytest.mark.parametrize("answer", ["2", "gas tankless", "Gas  Tankless", "gas tankl"])
def test_pick_by_number_word_or_beginning(answer):
    assert hear_pick(answer, PICKS) == "tankless natural_gas"


@pytest.mark.parametrize("answer", ["0", "4", "", "oil", "-1", "2.0"])
def test_other_picks_are_refused_with_how_many_there_are(answer):
    with pytest.raises(UnknownChoiceError, match="1 to 3, or one of these words"):
        hear_pick(answer, PICKS)


def test_beginning_of_two_picks_names_both():
    with pytest.raises(UnknownChoiceError, match="did you mean gas tank or gas tankless"):
        hear_pick("gas", PICKS)


@pytest.mark.parametrize(
    ("answer", "counts"),
    [
        ("2 adults, 1 teen, 3 children", {"adults": 2, "teenagers": 1, "children": 3}),
        ("two adults and a baby", {"adults": 2, "children": 1}),
        ("2 adults 2 children", {"adults": 2, "children": 2}),
        ("2adults+1teen", {"adults": 2, "teenagers": 1}),
        ("adult, child, child", {"adults": 1, "children": 2}),
        ("2 Adults & 3 Babies.", {"adults": 2, "children": 3}),
        ("", {}),
    ],
)
def test_counts_are_heard(answer, counts):
    assert hear_counts(answer, PEOPLE) == counts


@pytest.mark.parametrize("answer", ["2 dogs", "4", "some adults", "-2 adults", "2.5 adults"])
def test_what_cannot_be_counted_is_refused(answer):
    with pytest.raises(UnknownChoiceError, match="adults, teenagers, children"):
        hear_counts(answer, PEOPLE)


@pytest.mark.parametrize(
    ("answer", "volume", "ceiling"),
    [
        ("30 x 25 x 7 ft", 30 * 25 * 7, 7.0),
        ("30ft x 25ft x 7ft 6in", 30 * 25 * 7.5, 7.5),
        ("30 by 25 by 7 feet", 30 * 25 * 7, 7.0),
        ("9 × 7 × 2.1 m", 9 * 7 * 2.1 / 0.3048**3, 2.1 / 0.3048),
    ],
)
def test_room_is_length_by_width_by_height(answer, volume, ceiling):
    heard = hear_room(answer)

    assert parse(heard[0], "ft3") == pytest.approx(volume, rel=1e-5)
    assert parse(heard[1], "ft") == pytest.approx(ceiling)


def test_volume_of_a_room_is_passed_on():
    assert hear_room(" 6000 ft3 ") == ("6000 ft3", "")


@pytest.mark.parametrize("answer", ["30 x 25 x 7", "30 x 25 ft", "30 x 25 x 7 x 2 ft", "a x b x c"])
def test_sides_without_a_unit_or_a_height_are_refused(answer):
    with pytest.raises(MissingUnitError):
        hear_room(answer)


@pytest.mark.parametrize(
    ("answer", "place"),
    [
        ("duluth", "Duluth, MN"),
        ("Duluth MN", "Duluth, MN"),
        ("DULUTH,MN", "Duluth, MN"),
        ("montréal", "Montreal, QC"),
        ("st johns", "St. John's, NL"),
        ("thunder", "Thunder Bay, ON"),
    ],
)
def test_place_is_heard_by_its_city(answer, place):
    assert hear_place(answer) == place


def test_city_of_two_states_names_both():
    with pytest.raises(UnknownChoiceError, match="did you mean Portland, ME or Portland, OR"):
        hear_place("portland")


def test_unknown_place_names_the_nearest():
    with pytest.raises(UnknownChoiceError, match="did you mean Duluth, MN"):
        hear_place("Duluht, MN")


@given(st.sampled_from(climates()))
def test_every_place_is_heard_as_itself(found):
    assert hear_place(found.place) == found.place
    assert hear_place(found.place.lower().replace(",", "")) == found.place


@pytest.mark.parametrize(
    ("answer", "currency", "price"),
    [
        ("0.14 USD/kWh", "CAD", "0.14 USD/kWh"),
        ("$0.14/kWh", "CAD", "0.14 CAD/kWh"),
        ("$ 1.10 per therm", "USD", "1.10 USD/therm"),
        ("14 cents/kWh", "USD", "0.14 USD/kWh"),
        ("12.5¢ per kWh", "CAD", "0.125 CAD/kWh"),
        ("0.14", "USD", "0.14"),
    ],
)
def test_dollars_and_cents_are_those_of_the_place(answer, currency, price):
    assert hear_price(answer, currency) == price


def test_refusal_is_one_sentence_to_the_one_who_answered():
    trouble = InputError.of("answer", value="'7'", allowed="1 to 3", fix="did you mean 2?")

    assert one_of(trouble) == '"7" does not fit; allowed: 1 to 3; did you mean 2?'


@given(st.text(max_size=30))
def test_any_answer_is_heard_or_refused(answer):
    for hear in (hear_place, hear_room, hear_price, lambda text: hear_counts(text, PEOPLE)):
        try:
            heard = hear(answer)
        except InputError as trouble:
            heard = one_of(trouble)

        assert isinstance(heard, str | tuple | dict)
