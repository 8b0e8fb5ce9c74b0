from __future__ import annotations

import datetime as dt

import openpyxl
import pytest

from heatersel.errors import InputError
from heatersel.quote.sheet import column_letter, read_sheet


def write(tmp_path, text, name="a.csv"):
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def workbook(tmp_path, *rows):
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    path = tmp_path / "a.xlsx"
    book.save(path)
    return path


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_usual_separators_are_understood(tmp_path, separator):
    sheet = read_sheet(write(tmp_path, separator.join("abc") + "\n" + separator.join("123") + "\n"))
    assert sheet.headings == ("a", "b", "c")
    assert sheet.rows[0].cells == ("1", "2", "3")


def test_mark_at_the_start_line_ends_and_empty_lines_do_no_harm(tmp_path):
    sheet = read_sheet(write(tmp_path, b"\xef\xbb\xbf\r\na,b,,\r\n\r\n1,2\r\n,,\r\n"))
    assert sheet.headings == ("a", "b")
    assert [(row.line, row.cells) for row in sheet.rows] == [(4, ("1", "2"))]


def test_line_of_a_row_counts_breaks_inside_cells(tmp_path):
    sheet = read_sheet(write(tmp_path, 'a,b\n"one\ntwo",2\n3,4\n'))
    assert [row.line for row in sheet.rows] == [3, 4]


def test_a_workbook_reads_like_a_csv(tmp_path):
    path = workbook(tmp_path, ["row", "price", "from"], ["E1", 12.5, dt.date(2027, 1, 31)],
                    ["E2", 3, True])  # fmt: skip
    rows = read_sheet(path).rows
    assert [row.cells for row in rows] == [("E1", "12.5", "2027-01-31"), ("E2", "3", "yes")]
    assert [row.line for row in rows] == [2, 3]


def test_a_cell_shown_in_percent_is_that_percentage(tmp_path):
    book = openpyxl.Workbook()
    book.active.append(["percent"])
    book.active.append([0.065])
    book.active["A2"].number_format = "0.0%"
    book.save(tmp_path / "a.xlsx")
    assert read_sheet(tmp_path / "a.xlsx").rows[0].cells == ("6.5",)


def test_a_formula_that_was_never_calculated_is_named(tmp_path):
    with pytest.raises(InputError, match=r"cell B2 is =A2\*2.*save it"):
        read_sheet(workbook(tmp_path, ["a", "b"], [1, "=A2*2"]))


def test_a_cell_beside_the_headings_is_named(tmp_path):
    with pytest.raises(InputError, match=r"a.csv:2: column C is 'stray'"):
        read_sheet(write(tmp_path, "a,b\n1,2,stray\n"))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "empty"),
        (b"a,b\n", "empty"),
        (b"a,b\n\xff\xfe,1\n", "unreadable"),
        (b"a,b\n\0,1\n", "unreadable"),
        (b'a,b\n"open,1\n', "unreadable"),
        (b"a,b\n" + b"1,2\n" * 20_001, "over 20,000 rows"),
        (b"a" * 5_000_001, "5,000,001 bytes"),
    ],
)
def test_what_is_no_table_is_refused_in_a_sentence(tmp_path, content, said):
    with pytest.raises(InputError, match=said):
        read_sheet(write(tmp_path, content))


def test_a_file_that_only_calls_itself_a_workbook_is_refused(tmp_path):
    with pytest.raises(InputError, match="unreadable"):
        read_sheet(write(tmp_path, "a,b\n1,2\n", "a.xlsx"))


def test_a_missing_file_is_said_to_be_missing(tmp_path):
    with pytest.raises(InputError, match="missing"):
        read_sheet(tmp_path / "none.csv")


@pytest.mark.parametrize(("index", "letter"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ")])
def test_column_letters_are_those_of_spreadsheets(index, letter):
    # openpyxl names the columns of a workbook; it counts from 1.
    assert column_letter(index) == letter == openpyxl.utils.get_column_letter(index + 1)
