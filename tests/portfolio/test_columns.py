from __future__ import annotations

import math

import pytest

from heatersel.errors import InputError
from heatersel.job.keys import key_at
from heatersel.job.load import parse_job
from heatersel.portfolio.columns import (
    column_names,
    columns_of,
    example_unit,
    identity_of,
    tables_of,
)

NEEDED = ("household.occupants", "place.climate")


def tables(headings: str, *cells: object) -> dict[str, object]:
    return tables_of(columns_of(headings.split("|")), cells)


def test_a_row_holds_what_a_job_file_would_hold() -> None:
    found = tables(
        "household.occupants|place.climate|place.main_depth [ft]|prices.electricity [USD/kWh]"
        "|home.fuels|home.floor_drain|existing.energy_source|preferences.discount_rate",
        "4", "Duluth, MN", "7", "0.14", "natural_gas; electricity", "yes", "natural gas", "3 %",
    )  # fmt: skip

    assert found == {
        "household": {"occupants": 4},
        "place": {"climate": "Duluth, MN", "main_depth": "7 ft"},
        "prices": {"electricity": "0.14 USD/kWh"},
        "home": {"fuels": ["natural_gas", "electricity"], "floor_drain": True},
        "existing": {"energy_source": "natural_gas"},
        "preferences": {"discount_rate": "3 %"},
    }


def test_a_row_and_a_job_file_give_the_same_job() -> None:
    row = tables(
        "household.occupants.adults|household.occupants.children|place.climate"
        "|preferences.setpoint [degF]|home.panel.service [A]",
        "2", "2", "Duluth, MN", "125", "100",
    )  # fmt: skip
    file = {
        "household": {"occupants": {"adults": 2, "children": 2}},
        "place": {"climate": "Duluth, MN"},
        "preferences": {"setpoint": "125 degF"},
        "home": {"panel": {"service": "100 A"}},
    }

    assert parse_job(row) == parse_job(file)


@pytest.mark.parametrize("empty", ["", "  ", None, math.nan])
def test_an_empty_cell_is_a_value_that_was_not_given(empty: object) -> None:
    found = tables("household.occupants|place.climate|place.main_depth [ft]", 4, "x", empty)

    assert found == {"household": {"occupants": 4}, "place": {"climate": "x"}}


def test_a_whole_number_may_come_as_a_float_beside_gaps() -> None:
    found = tables("household.occupants|place.climate|existing.installed", 4.0, "x", 2009.0)

    assert found["household"] == {"occupants": 4}
    assert found["existing"] == {"installed": 2009}


def test_twelve_readings_stand_in_one_cell() -> None:
    found = tables(
        "household.occupants|place.climate|household.bills.monthly [therm]", 4, "x", "92; 80;;50"
    )

    assert found["household"]["bills"] == {"monthly": ["92 therm", "80 therm", "", "50 therm"]}


def test_a_tariff_is_named_by_its_column() -> None:
    found = tables("household.occupants|place.climate|prices.electricity.tariff", 4, "x", "a")

    assert found["prices"] == {"electricity": {"tariff": "a"}}


def test_every_quantity_of_a_job_file_may_be_a_column() -> None:
    names = [name for name in column_names() if (key := key_at(name)) and key.reader is not None]
    hours = {name for name in names if name.endswith("_hours")}

    for name in {*names} - hours:
        assert columns_of([*NEEDED, f"{name} [{example_unit(name)}]"])[2].name == name
    assert len(names) > 50
    assert hours


def test_hours_of_the_day_have_no_unit() -> None:
    found = tables(
        "household.occupants|place.climate|preferences.compressor_hours", 4, "x", "9-16, 21-6"
    )

    assert found["preferences"] == {"compressor_hours": "9-16, 21-6"}


@pytest.mark.parametrize(
    ("heading", "said"),
    [
        ("household.ocupants", r"did you mean household\.occupants"),
        ("place.main_depth", r"without a unit.*place\.main_depth \[ft\]"),
        ("place.main_depth [kW]", "is kW; allowed: a unit that converts to ft"),
        ("prices.electricity [USD/ft]", "converts to USD/kWh"),
        ("prices.propane [USD/MBtu]", "a thousand Btu to some"),
        ("household.bedrooms [ft]", "allowed: no unit"),
        ("place.climate", "there twice"),
        ("household.occupants.adults", "the whole or its parts"),
        ("two words", "not a heading"),
        ("home.gas_pipe.segments", "not a known key"),
        ("home", "not a known key"),
    ],
)
def test_a_heading_that_cannot_be_used_is_named_with_the_way_out(heading: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        columns_of([*NEEDED, heading], "houses.csv")


def test_all_faults_of_the_headings_are_named_at_once() -> None:
    with pytest.raises(InputError) as trouble:
        columns_of(["a.b", "place.main_depth", "place.elevation [s]"], "houses.csv")

    assert len(trouble.value.faults) == 3
    assert all(fault.file == "houses.csv" and fault.line == 1 for fault in trouble.value.faults)


@pytest.mark.parametrize("without", NEEDED)
def test_occupants_and_place_are_needed(without: str) -> None:
    with pytest.raises(InputError, match=f"{without}.*missing"):
        columns_of([name for name in NEEDED if name != without])


def test_a_row_with_too_few_cells_is_refused() -> None:
    with pytest.raises(InputError, match="1 cells; allowed: 2, one for each heading"):
        tables_of(columns_of(NEEDED), ["4"])


def test_a_row_of_another_encoding_is_refused() -> None:
    broken = b"Montr\xe9al, QC".decode(errors="surrogateescape")

    with pytest.raises(InputError, match="save the file as UTF-8"):
        tables_of(columns_of(NEEDED), ["4", broken])


def test_a_house_has_a_name_and_a_place_on_the_map() -> None:
    columns = columns_of([*NEEDED, "house", "latitude", "longitude", "note"])

    found = identity_of(columns, ["4", "x", "12 Elm Street", "46.8", "-92.1", "key at no. 14"], 7)

    assert (found.row, found.house) == (7, "12 Elm Street")
    assert (found.latitude_deg, found.longitude_deg) == (46.8, -92.1)


def test_a_house_without_a_name_is_called_by_its_row() -> None:
    found = identity_of(columns_of([*NEEDED, "house", "latitude"]), ["4", "x", "", "north"], 7)

    assert found.house == "7"
    assert found.latitude_deg is None


def test_what_says_which_house_it_is_never_reaches_the_job() -> None:
    assert tables("household.occupants|place.climate|note", 4, "x", "y").keys() == {
        "household",
        "place",
    }
