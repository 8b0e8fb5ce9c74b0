from __future__ import annotations

import datetime as dt
from decimal import Decimal

import pytest

from heatersel.errors import InputError
from heatersel.quote.price_book import load_price_book
from heatersel.quote.price_rows import RowKind, TaxedOn, price_rows
from heatersel.quote.sheet import read_sheet


def rows_of(write_book, added):
    return price_rows(read_sheet(write_book(added)))


def test_a_row_is_read_cell_by_cell(write_book):
    rows, faults = rows_of(
        write_book,
        "W9,work,drain_pan,MN WI,Pan,80.50,,1.5,tinsmith,,,no,2027-01-01,2027-12-31",
    )
    row = rows[-1]
    assert not faults
    assert (row.id, row.kind, row.item, row.regions) == (
        "W9", RowKind.WORK, "drain_pan", ("MN", "WI"),
    )  # fmt: skip
    assert (row.cost, row.price, row.hours, row.trade) == (
        Decimal("80.50"), None, Decimal("1.5"), "tinsmith",
    )  # fmt: skip
    assert (row.taxed, row.first, row.last) == (False, dt.date(2027, 1, 1), dt.date(2027, 12, 31))
    assert row.line == 10


def test_what_is_not_written_has_plain_defaults(write_book):
    rows, _ = rows_of(write_book, "")
    by_id = {row.id: row for row in rows}
    assert by_id["E1"].taxed
    assert not by_id["P1"].taxed
    assert by_id["L1"].trade == "hour"
    assert by_id["T1"].on is TaxedOn.GOODS


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (",work,drain_pan,,Pan,,80,,,,,,,", r"row \(column A\) is empty"),
        ("W9,wrok,drain_pan,,Pan,,80,,,,,,,", r"kind \(column B\) is wrok.*did you mean work"),
        ("W9,work,,,Pan,,80,,,,,,,", r"item \(column C\) is empty"),
        ("W9,work,drainpan,,Pan,,80,,,,,,,", r"item \(column C\) is drainpan.*drain_pan"),
        ("W9,work,unicorn_horn,,Horn,,80,,,,,,,", r"unicorn_horn.*own_unicorn_horn"),
        ("W9,work,drain_pan,Minnesota,Pan,,80,,,,,,,", r"where \(column D\) is Minnesota"),
        (f"W9,work,drain_pan,,{'x' * 121},,80,,,,,,,", "120 characters"),
        ("W9,work,drain_pan,,Pan,0,,,,,,,,", r"cost \(column F\) is 0; allowed: above 0"),
        ('W9,work,drain_pan,,Pan,,"1,200",,,,,,,', r"price \(column G\) is 1,200.*1250.50"),
        ("W9,work,drain_pan,,Pan,,-5,,,,,,,", r"price \(column G\) is -5"),
        ("W9,work,drain_pan,,Pan,,80.005,,,,,,,", "whole cents"),
        ("W9,work,drain_pan,,Pan,,,soon,,,,,,", r"hours \(column H\) is soon"),
        ("W9,work,drain_pan,,Pan,,,,,,,,,", r"price \(column G\) is empty"),
        ("W9,work,drain_pan,,Pan,70,80,,,,,,,", "a cost or a price, not both"),
        ("W9,work,drain_pan,,Pan,,80,,,7,,,,", r"percent \(column J\) is 7.*kind work"),
        ("W9,work,drain_pan,,Pan,,80,,,,goods,,,", r"on \(column K\) is goods.*kind work"),
        ("W9,work,drain_pan,,Pan,,80,,,,,maybe,,", r"taxed \(column L\) is maybe"),
        ("W9,work,drain_pan,,Pan,,80,,,,,,31/1/2027,", r"from \(column M\).*2027-01-31"),
        ("W9,work,drain_pan,,Pan,,80,,,,,,2027-02-01,2027-01-01", r"until.*2027-02-01 or later"),
        ("E9,equipment,gas-tank-50,,Tank,,0,,,,,,,", "above 0"),
        ("E9,equipment,gas-tank-50,,Tank,,,4,,,,,,", r"hours.*kind equipment"),
        ("P9,fee,permit,MN,Permit,90,,,,,,,,", r"cost.*kind fee"),
        ("P9,fee,disposal,,Disposal,,,,,,,,,", r"price \(column G\) is empty"),
        ("M9,margin,equipmnt,,,,,,,20,,,,", r"item.*did you mean equipment"),
        ("M9,margin,work,,,,,,,,,,,", r"percent \(column J\) is empty"),
        ("M9,margin,work,,,,,,,99,,,,", r"percent \(column J\) is 99; allowed: 0 to 95"),
        ("T9,tax,city_tax,,City tax,,,,,60,goods,,,", "0 to 50"),
        ("T9,tax,city_tax,,City tax,,,,,1,everything,,,", r"on \(column K\) is everything"),
        ("B9,book,colour,,blue,,,,,,,,,", "name, version"),
        ("B9,book,name,,,,,,,,,,,", r"text \(column E\) is empty"),
        ("L9,labour,atmosferic_storage,,Put in,,,5,,,,,,", "did you mean atmospheric_storage"),
    ],
)
def test_each_bad_cell_is_named_with_its_line_and_column(write_book, row, said):
    _, faults = rows_of(write_book, row)
    sentences = [fault.sentence() for fault in faults]
    assert all("prices.csv:10: " in sentence for sentence in sentences)
    with pytest.raises(InputError, match=said):
        raise InputError(*faults)


def test_all_faults_of_a_file_come_at_once(write_book):
    _, faults = rows_of(write_book, "W8,work,drain_pan,,Pan,,x,y,,,,,,\nW9,wrok,a,,,,,,,,,,,")
    assert [(fault.line, fault.name.split()[0]) for fault in faults] == [
        (10, "price"), (10, "hours"), (11, "kind"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("row,", "number,", "column A 'number' is unknown"),
        ("kind,", "knid,", "did you mean kind"),
        ("row,", "row,row,", "column B 'row' is twice"),
        ("hours [h]", "hours [min]", "is min; allowed: h"),
        ("cost [USD]", "cost", "without one currency"),
        ("cost [USD]", "cost [CAD]", "without one currency"),
        ("cost [USD],price [USD],", "", "without one currency"),
    ],
)
def test_each_bad_heading_is_named(write_book, headings, old, new, said):
    path = write_book(headings=headings.replace(old, new))
    with pytest.raises(InputError, match=said):
        load_price_book(path)
