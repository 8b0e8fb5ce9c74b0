"""Quantities: text with a unit in, an SI float out, and what is said where that fails."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError
from strategies import quantities

from heatersel.job import quantities as kinds
from heatersel.job.quantities import Flow, Fraction, Quantity, Setpoint
from heatersel.units import parse

KINDS: dict[str, Quantity] = {
    name: getattr(kinds, name).__metadata__[0]
    for name in kinds.__all__
    if name not in ("Fraction", "Quantity")
}


def read(annotation: Any, given: object) -> float:
    return TypeAdapter(annotation).validate_python(given)


def refusal(annotation: Any, given: object) -> dict[str, str]:
    """What is allowed and how to mend it, for a value that is refused."""
    with pytest.raises(ValidationError) as trouble:
        read(annotation, given)
    return trouble.value.errors()[0]["ctx"]


@pytest.mark.parametrize("given", ["9.9 %", " 9.9%", 0.099])
def test_a_fraction_may_be_written_as_a_percentage(given):
    assert read(Fraction, given) == pytest.approx(0.099)


@pytest.mark.parametrize("given", ["%", "9.9 % a year", "nine %", "9.9 degF", None])
def test_what_is_no_fraction_is_refused(given):
    with pytest.raises(ValidationError):
        read(Fraction, given)


def test_text_becomes_the_unit_of_the_field():
    # 10 CFR 430.32 limits shower heads to 2.5 gal/min; 2.0 gal/min is 7.57 L/min.
    assert read(Flow, "2.0 gal/min") == pytest.approx(2.0 * 3.785411784)
    assert read(Setpoint, "120 degF") == pytest.approx(48.889, abs=5e-4)


@pytest.mark.parametrize("name", KINDS)
def test_example_and_both_ends_are_allowed(name):
    kind = KINDS[name]

    assert kind.low <= kind.read(kind.example) <= kind.high
    assert kind.read(f"{kind.low!r} {kind.unit}") == kind.low
    assert kind.read(f"{kind.high!r} {kind.unit}") == kind.high


@pytest.mark.parametrize("name", KINDS)
def test_just_outside_is_refused_with_the_range(name):
    kind = KINDS[name]
    span = kind.high - kind.low
    for outside in (kind.low - 1e-3 * span, kind.high + 1e-3 * span):
        context = refusal(getattr(kinds, name), f"{outside!r} {kind.unit}")

        assert context["allowed"] == kind.allowed
        assert kind.example in context["fix"]


@pytest.mark.parametrize("given", [2.0, 2, "2", "2.0 ", "nan", "-inf"])
def test_bare_number_is_refused_with_an_example(given):
    assert 'write it with its unit, such as "2.0 gal/min"' in refusal(Flow, given)["fix"]


@pytest.mark.parametrize("given", [True, None, [], {}, ["2 gal/min"]])
def test_other_types_are_refused(given):
    assert "text with a number and a unit" in refusal(Flow, given)["allowed"]


def test_wrong_dimension_names_the_unit_wanted():
    context = refusal(Flow, "40 gal")

    assert context["allowed"].startswith("a quantity that converts to gal/min")
    assert "2.0 gal/min" in context["fix"]


def test_ambiguous_unit_says_why():
    assert "MBH or MMBtu" in refusal(kinds.BurnerInput, "36 MBtu/h")["fix"]


def test_infinite_amount_is_out_of_range():
    assert refusal(Flow, "1e999 gal/min")["allowed"] == KINDS["Flow"].allowed


def test_range_is_said_without_powers_of_ten():
    assert KINDS["BurnerInput"].allowed == "0 to 2,047,000 Btu/h"


@given(st.sampled_from(sorted(KINDS)), st.data())
def test_any_amount_within_the_range_is_read(name, data):
    kind = KINDS[name]
    text = data.draw(quantities(kind))

    assert kind.read(text) == pytest.approx(parse(text, kind.unit))


@given(st.sampled_from(sorted(KINDS)), st.text(max_size=20))
def test_any_text_is_read_or_refused_in_words(name, text):
    kind = KINDS[name]
    try:
        value = read(getattr(kinds, name), text)
    except ValidationError as trouble:
        value = kind.low
        assert trouble.errors()[0]["ctx"]["fix"]  # noqa: PT017  (either outcome is right)

    assert kind.low - 1e-6 <= value <= kind.high + 1e-6
