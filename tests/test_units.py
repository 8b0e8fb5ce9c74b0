"""Units: factors against the published ones, spellings of the trade, and what is refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from heatersel.errors import MissingUnitError
from heatersel.units import convert, dimension, heading, parse

# NIST Special Publication 811 (2008), appendix B.8 and B.9, as printed to seven digits; from
# memory. The gallon is the US liquid gallon, the Btu and the therm made of it the international
# table (IT) ones; SP 811 also lists a US therm, 1.054804 E+08 J, which gas bills do not use.
SP_811 = [
    ("inch", "m", 2.54e-02),
    ("ft", "m", 3.048e-01),
    ("in2", "m2", 6.4516e-04),
    ("ft2", "m2", 9.290304e-02),
    ("ft3", "m3", 2.831685e-02),
    ("gal", "m3", 3.785412e-03),
    ("imperial_gallon", "m3", 4.54609e-03),
    ("gal/min", "m3/s", 6.309020e-05),
    ("cfm", "m3/s", 4.719474e-04),
    ("lb", "kg", 4.535924e-01),
    ("grain", "kg", 6.479891e-05),
    ("gpg", "kg/m3", 1.711806e-02),
    ("psi", "Pa", 6.894757e03),
    ("inWC", "Pa", 2.490889e02),
    ("bar", "Pa", 1.0e05),
    ("Btu", "J", 1.055056e03),
    ("Btu/h", "W", 2.930711e-01),
    ("therm", "J", 1.055056e08),
    ("kWh", "J", 3.6e06),
    ("horsepower", "W", 7.456999e02),
]


@pytest.mark.parametrize(("unit", "to", "factor"), SP_811)
def test_factor_is_the_published_one(unit, to, factor):
    assert convert(1.0, unit, to) == pytest.approx(factor, rel=2e-7)


# scipy.constants carries the CODATA and SP 811 values on its own.
@pytest.mark.parametrize(
    ("unit", "to", "factor"),
    [
        ("gal", "m3", constants.gallon),
        ("imperial_gallon", "m3", constants.gallon_imp),
        ("Btu", "J", constants.Btu_IT),
        ("psi", "Pa", constants.psi),
        ("grain", "kg", constants.grain),
        ("lb", "kg", constants.lb),
        ("horsepower", "W", constants.hp),
    ],
)
def test_factor_agrees_with_a_general_library(unit, to, factor):
    assert convert(1.0, unit, to) == pytest.approx(factor, rel=1e-9)


# SP 811 section B.8, degree Fahrenheit: t/C = (t/F - 32)/1.8. Ice point, boiling point, and the
# inlet and delivery of the federal rating test, 10 CFR 430 Subpart B Appendix E (58 and 125 degF).
@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(32, 0.0), (212, 100.0), (58, 14.4444), (125, 51.6667), (-40, -40)]
)
def test_temperature_moves_its_zero(fahrenheit, celsius):
    assert parse(f"{fahrenheit} degF", "degC") == pytest.approx(celsius, abs=1e-4)


@pytest.mark.parametrize("text", ["67 delta_degF", "67 degF rise", "67 °F rise"])
def test_rise_does_not_move_its_zero(text):
    assert parse(text, "delta_degC") == pytest.approx(67 / 1.8)


@pytest.mark.parametrize(
    ("text", "to"), [("120 degF", "delta_degC"), ("67 delta_degF", "degC"), ("5 degF/h", "degC")]
)
def test_rise_and_temperature_do_not_stand_for_each_other(text, to):
    with pytest.raises(MissingUnitError, match="converts to"):
        parse(text, to)


# Definitions, from memory: a therm is 100,000 Btu, a ccf 100 cubic feet, MBH a thousand Btu an
# hour (M as the Roman numeral), MMBtu a million Btu.
@pytest.mark.parametrize(
    ("trade", "plain"),
    [
        ("1 therm", "100000 Btu"),
        ("1 ccf", "100 ft3"),
        ("1 mcf", "1000 ft3"),
        ("1 MBH", "1000 Btu/h"),
        ("1 MMBtu", "1000000 Btu"),
        ("1 gpm", "1 gal/min"),
        ("1 gph", "1 gal/h"),
        ("1 gpg", "1 grain/gal"),
        ("1 psig", "1 psi"),
        ("1 imp_gal", "4.54609 L"),
    ],
)
def test_trade_unit_is_what_the_trade_means(trade, plain):
    unit = plain.split(" ")[1]
    assert parse(trade, unit) == pytest.approx(parse(plain, unit), rel=1e-12)


def test_cfm_is_a_flow_and_not_a_length():
    assert dimension("cfm") == dimension("L/min")
    with pytest.raises(MissingUnitError):
        parse("30 cfm", "m")


@pytest.mark.parametrize("text", ["100 MBtu/h", "100 mbtu/h", "100 MBtuh", "1 MBtu", "1 Mbtu"])
def test_ambiguous_thousand_or_million_is_refused(text):
    with pytest.raises(MissingUnitError, match="a thousand Btu to some and a million to others"):
        parse(text, "kW" if "h" in text else "kWh")


@pytest.mark.parametrize(
    ("text", "to", "value"),
    [
        ("2gpm", "gal/min", 2.0),
        ("7ft", "ft", 7.0),
        ("110F", "degF", 110.0),
        ("110 deg F", "degF", 110.0),
        ("50 degrees C", "degC", 50.0),
        ("40,000 BTU/hr", "Btu/h", 40000.0),
        ("40_000 btuh", "Btu/h", 40000.0),
        ("199 kBtu/h", "Btu/h", 199000.0),
        ("3 gallons per minute", "gal/min", 3.0),
        ("6000 cu ft", "ft3", 6000.0),
        ("1800 square feet", "ft2", 1800.0),
        ("3/4 in", "inch", 0.75),
        ("1 1/2 in", "inch", 1.5),
        ("1-1/4 inches", "inch", 1.25),
        ("6 ft 8 in", "inch", 80.0),
        ("6'8\"", "inch", 80.0),
        ("7 in. w.c.", "inWC", 7.0),
        ("15 grains", "gpg", 15.0),
        ("250 ppm", "mg/L", 250.0),
        ("450 kpa", "kPa", 450.0),
        ("12 CCF", "ccf", 12.0),
        ("$0.14/kWh", "USD/kWh", 0.14),
        ("14 cents/kWh", "USD/kWh", 0.14),
        (".5 kW", "kW", 0.5),
    ],
)
def test_units_are_read_as_people_type_them(text, to, value):
    assert parse(text, to) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["", "gal", "nan gal", "inf gal", "- 5 gal", "five gal", "1/0 gal"]
)
def test_text_without_a_number_is_refused(text):
    with pytest.raises(MissingUnitError, match="a number and a unit"):
        parse(text, "L")


def test_bare_number_is_refused_with_what_to_write():
    with pytest.raises(MissingUnitError, match='write "120 degC"'):
        parse("120", "degC")


@pytest.mark.parametrize("text", ["2,5 gal", "1,2000 gal"])
def test_decimal_comma_is_refused_rather_than_read_as_thousands(text):
    with pytest.raises(MissingUnitError, match="decimal point"):
        parse(text, "L")


@pytest.mark.parametrize("text", ["40 gal/min", "40 ft", "40 degF", "40 USD", "40 %"])
def test_other_dimension_is_refused_with_the_unit_wanted(text):
    with pytest.raises(MissingUnitError, match="a unit that converts to L"):
        parse(text, "L")


@pytest.mark.parametrize(
    "unit",
    ["gal**9**9**9", "9**9**9", "gal^99", "(gal", "gal/0", "'gal'", "[]", "gal+gal", "gal" * 20,
     "__import__('os')", "lambda: 0", "M", "kkg"],
)  # fmt: skip
def test_nonsense_unit_is_refused_without_being_worked_out(unit):
    with pytest.raises(MissingUnitError):
        parse(f"1 {unit}", "L")


def test_dollars_of_two_countries_do_not_convert():
    with pytest.raises(MissingUnitError):
        parse("1 USD/kWh", "CAD/kWh")


@given(
    st.floats(-1e6, 1e6),
    st.sampled_from(
        [("degF", "degC"), ("gal", "L"), ("Btu/h", "kW"), ("psi", "kPa"), ("ft3", "m3"),
         ("gal/min", "L/min"), ("gpg", "mg/L"), ("therm", "kWh"), ("inch", "mm")]
    ),
)  # fmt: skip
def test_there_and_back_is_the_same(value, units):
    here, there = units
    assert convert(convert(value, here, there), there, here) == pytest.approx(
        value, rel=1e-12, abs=1e-9
    )


@given(st.text(max_size=30), st.sampled_from(["degC", "L", "kW", "1/h", "USD/kWh"]))
def test_any_text_is_a_number_or_an_error_of_ours(text, to):
    try:
        value = parse(text, to)
    except MissingUnitError as trouble:
        value = float(len(trouble.faults))

    assert isinstance(value, float)


@pytest.mark.parametrize(
    ("text", "name", "unit"),
    [
        ("volume [gal]", "volume", "gal"),
        ("uef", "uef", ""),
        (" input [ Btu/h ] ", "input", "Btu/h"),
    ],
)
def test_heading_gives_name_and_unit(text, name, unit):
    assert heading(text) == (name, unit)


@pytest.mark.parametrize("text", ["", "volume gal", "volume [gal", "[gal]", "a b [gal]"])
def test_other_headings_are_refused(text):
    with pytest.raises(MissingUnitError, match="volume"):
        heading(text)
