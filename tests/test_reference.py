"""The table reader: units by heading, blanks as None, faults by cell."""

from __future__ import annotations

from pathlib import Path

import pytest

from heatersel.errors import DataError, InputError
from heatersel.reference import dataset_path, datasets_folder, read_records, records, sidecar


def table(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "own.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_numbers_come_in_the_unit_asked_for(tmp_path):
    path = table(tmp_path, "name,volume [gal],air [degF]\nA,50,68\n")
    (row,), faults = read_records(path, {"volume": "L", "air": "degC"})
    assert faults == ()
    assert row["name"] == "A"
    assert row["volume"] == pytest.approx(189.27, abs=0.005)
    assert row["air"] == pytest.approx(20.0)


def test_an_empty_number_is_none_and_an_empty_text_stays_text(tmp_path):
    rows, _ = read_records(table(tmp_path, "name,volume [gal]\n,50\nx, \n"), {"volume": "L"})
    assert rows[0]["name"] == ""
    assert rows[1]["volume"] is None


def test_columns_not_asked_for_stay_text(tmp_path):
    (row,), _ = read_records(table(tmp_path, "a [gal],b\n50,7\n"), {})
    assert (row["a"], row["b"]) == ("50", "7")


def test_rows_know_their_line_and_blank_lines_are_skipped(tmp_path):
    rows, _ = read_records(table(tmp_path, "a\n1\n\n2\n"), {"a": ""})
    assert [row["line"] for row in rows] == [2, 4]


def test_quoted_commas_and_a_byte_order_mark_are_read(tmp_path):
    path = tmp_path / "own.csv"
    path.write_bytes(b'\xef\xbb\xbfname,x\r\n"Duluth, MN",1\r\n')
    (row,), _ = read_records(path, {"x": ""})
    assert row["name"] == "Duluth, MN"


def test_every_bad_cell_is_a_fault_with_line_and_column(tmp_path):
    path = table(tmp_path, "a [gal],b\nx,1\n2,y\n")
    _, faults = read_records(path, {"a": "L", "b": ""})
    assert [(fault.line, fault.name, fault.value) for fault in faults] == [
        (2, "a", "x"),
        (3, "b", "y"),
    ]
    assert faults[0].file == str(path)


@pytest.mark.parametrize(
    ("title", "wanted"),
    [("a", "L"), ("a [kW]", "L"), ("a [gal]", ""), ("a [barn owl]", "L"), ("a gal", "L")],
)
def test_an_unusable_heading_names_the_column(tmp_path, title, wanted):
    with pytest.raises(InputError, match="column 'a"):
        read_records(table(tmp_path, f"{title}\n1\n"), {"a": wanted})


def test_an_unreadable_file_is_one_clear_message(tmp_path):
    with pytest.raises(InputError, match="an existing CSV file"):
        read_records(tmp_path / "nowhere.csv", {})
    path = tmp_path / "own.csv"
    path.write_bytes(b"a\n\xff\xfe\n")
    with pytest.raises(InputError, match="UTF-8"):
        read_records(path, {})


def test_a_shipped_table_is_found_with_its_source():
    assert records("ratings/draw_pattern_bins", {"daily_draw": "gal"})[-1]["daily_draw"] == 84.0
    assert sidecar("ratings/draw_pattern_bins")["columns"]["daily_draw"]


def test_a_missing_table_is_a_data_error():
    with pytest.raises(DataError, match="reinstall"):
        records("nowhere/nothing", {})
    with pytest.raises(DataError, match=r"nothing\.csv"):
        dataset_path("nowhere/nothing.csv")


def test_a_shipped_table_with_a_bad_cell_is_a_data_error():
    # "place" is text; asked for as a number, every row is at fault.
    with pytest.raises(DataError, match="Duluth"):
        records("climate/stations", {"place": ""})


def test_the_folder_is_the_one_beside_the_package():
    assert (datasets_folder() / "heaters" / "generic.csv").is_file()
