"""Values as text: the shortest that reads back, in the reader's units."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic_core import PydanticCustomError

from heatersel.job.keys import Key, key_at, keys_of
from heatersel.job.models import Job
from heatersel.job.table import InputTable
from heatersel.job.tariff_table import EnergyRow
from heatersel.job.texts import example_of, said, text_of


def key(dotted: str) -> Key:
    found = key_at(dotted)
    assert found is not None
    return found


def read(dotted: str, text: str):
    reader = key(dotted).reader
    return reader.read(text) if hasattr(reader, "read") else reader.func(text)


@pytest.mark.parametrize(
    ("dotted", "text"),
    [
        ("preferences.setpoint", "120 degF"),
        ("preferences.setpoint", "60 degC"),
        ("place.main_depth", "7 ft"),
        ("home.gas_pipe.length", "55 inch"),
        ("home.room_volume", "6000 ft3"),
        ("home.other_gas_input", "80000 Btu/h"),
        ("existing.input", "4.5 kW"),
        ("home.hardness", "15 grain/gal"),
        ("household.fixture_flow.shower", "1.75 gal/min"),
        ("prices.electricity", "0.1425 USD/kWh"),
        ("prices.natural_gas", "1.1 USD/therm"),
        ("prices.natural_gas", "0.31 CAD/m3"),
        ("prices.propane", "2.6 USD/gal"),
        ("prices.fixed_charge.electricity", "12.5 USD/month"),
        ("prices.fixed_charge.electricity", "0.4 CAD/day"),
        ("prices.gas_heat_content", "1035 Btu/ft3"),
        ("prices.finance.share", "80 %"),
    ],
)
def test_amount_is_written_as_it_was_typed(dotted, text):
    system = "si" if "degC" in text else "us"

    assert text_of(read(dotted, text), key(dotted), system) == text


@given(st.floats(43.0, 82.3), st.sampled_from(["us", "si"]))
def test_any_temperature_reads_back_exactly(temp_c, system):
    setpoint = key("preferences.setpoint")

    assert setpoint.reader.read(text_of(temp_c, setpoint, system)) == temp_c


@given(st.floats(0.0, 2.0e3), st.sampled_from(["us", "si"]))
def test_any_pressure_reads_back_exactly(pressure_kpa, system):
    pressure = key("home.static_pressure")

    assert pressure.reader.read(text_of(pressure_kpa, pressure, system)) == pressure_kpa


TYPED = {
    "existing.input": ["Btu/h", "MBH", "kBtu/h", "kW", "W"],
    "existing.volume": ["gal", "L", "imperial_gallon"],
    "place.main_depth": ["ft", "inch", "m", "mm"],
    "home.room_volume": ["ft3", "m3"],
    "home.hardness": ["grain/gal", "gpg", "mg/L", "ppm"],
    "home.static_pressure": ["psi", "kPa", "bar"],
    "household.fixture_flow.shower": ["gal/min", "gpm", "L/min"],
}


@given(st.sampled_from(sorted(TYPED)), st.integers(1, 9999), st.data())
def test_amount_that_was_typed_short_is_written_short(dotted, number, data):
    text = f"{number / 10:g} {data.draw(st.sampled_from(TYPED[dotted]))}"
    found = key(dotted)
    try:
        value = found.reader.read(text)
    except PydanticCustomError:  # outside the limits
        return

    assert len(text_of(value, found).split(" ")[0]) <= 8


@pytest.mark.parametrize("hours", ["0-24", "7-11, 17-19", "0-7, 23-24"])
def test_hours_and_seasons_read_back(hours):
    row = EnergyRow.model_validate({"price": "1 USD/kWh", "hours": hours, "season": "may"})
    names = {found.name: found for found in keys_of(EnergyRow)}

    assert text_of(row.hours, names["hours"]) == hours
    assert text_of(row.season, names["season"]) == "05-01 to 05-31"


def test_said_is_rounded_as_people_speak():
    assert said(7.571, key("household.fixture_flow.shower")) == "2 gal/min"
    assert said(7.571, key("household.fixture_flow.shower"), "si") == "7.57 L/min"


def every_key(model: type[InputTable]) -> list[Key]:
    found = []
    for inner in keys_of(model):
        found.append(inner)
        if inner.table is not None:
            found += every_key(inner.table)
    return found


def test_every_value_has_an_example_of_its_kind():
    for found in every_key(Job):
        if found.table is None and found.kind is not str:
            shown = example_of(found)
            single = shown[0] if found.is_list else shown
            assert single not in ("", None), found.name
            if found.choices:
                assert single in found.choices
