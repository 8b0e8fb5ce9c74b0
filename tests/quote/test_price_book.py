from __future__ import annotations

import csv
import datetime as dt

import openpyxl
import pytest

from heatersel.cautions.remedies import REMEDIES
from heatersel.errors import InputError
from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import HeaterClass
from heatersel.quote.price_book import check_price_book, demo_price_book, load_price_book
from heatersel.quote.price_rows import RowKind

DAY = dt.date(2027, 3, 1)


def said(path):
    return "\n".join(fault.sentence() for fault in check_price_book(path))


def test_a_sound_book_has_no_fault(write_book):
    assert check_price_book(write_book()) == ()


@pytest.mark.parametrize("currency", ["USD", "CAD"])
def test_the_demo_book_prices_every_heater_class_and_remedy(currency):
    book = demo_price_book(currency)
    assert book.currency == currency
    assert "invented" in book.title(DAY)
    for heater in load_heaters().heaters:
        assert book.find(RowKind.EQUIPMENT, heater.id, DAY, "MN"), heater.id
    for heater_class in HeaterClass:
        assert book.find(RowKind.LABOUR, heater_class, DAY, "MN"), heater_class
        assert book.find(RowKind.MATERIALS, heater_class, DAY, "MN"), heater_class
    for remedy in REMEDIES:
        found = [book.find(kind, remedy, DAY, "MN") for kind in (RowKind.WORK, RowKind.FEE)]
        assert any(found), remedy


def test_a_price_holds_between_its_dates(write_book):
    book = load_price_book(
        write_book(
            "E2,equipment,gas-tank-50,,Old,500,,,,,,,,2027-02-28\n"
            "E3,equipment,gas-tank-50,,New,550,,,,,,,2027-03-01,"
        )
    )
    ids = [
        book.find(RowKind.EQUIPMENT, "gas-tank-50", day, "MN").id
        for day in (dt.date(2027, 2, 28), dt.date(2027, 3, 1))
    ]
    assert ids == ["E2", "E3"]


def test_a_row_for_a_state_comes_before_the_row_for_everywhere(write_book):
    book = load_price_book(write_book("W2,work,expansion_tank,WI IA,There,,170,,,,,,,"))
    found = [book.find(RowKind.WORK, "expansion_tank", DAY, where).id for where in ("WI", "MN")]
    assert found == ["W2", "W1"]


@pytest.mark.parametrize(
    ("second", "clashes"),
    [
        ("W2,work,expansion_tank,,Again,,170,,,,,,,", True),
        ("W2,work,expansion_tank,,Again,,170,,,,,,2027-01-01,", True),
        ("W2,work,expansion_tank,MN,There,,170,,,,,,,", False),
        ("W2,work,drain_pan,,Pan,,170,,,,,,,", False),
    ],
)
def test_two_rows_for_the_same_thing_on_the_same_day_are_a_fault(write_book, second, clashes):
    assert ("no other row prices the same thing" in said(write_book(second))) is clashes


def test_touching_spans_do_not_overlap_and_a_shared_day_does(write_book):
    early = "W2,work,drain_pan,MN,Pan,,80,,,,,,2027-01-01,2027-06-30\n"
    late = "W3,work,drain_pan,MN IA,Pan,,85,,,,,,{},"
    assert said(write_book(early + late.format("2027-07-01"))) == ""
    assert "prices.csv:11: from, until" in said(write_book(early + late.format("2027-06-30")))


@pytest.mark.parametrize(
    ("added", "without", "expected"),
    [
        ("", "B1", "version is missing"),
        ("", "E1", "kind equipment is missing"),
        ("", "L1", "kind labour is missing"),
        ("", "T1", "a tax of 0 percent says that none is charged"),
        ("", "R1", "trade is hour"),
        ("", "M1", "row E1 without a margin"),
        ("M2,markup,equipment,,,,,,,30,,,,", "", "margin and markup for equipment"),
        ("W1,work,drain_pan,,Pan,,80,,,,,,,", "", "line 9 has it too"),
        ("W2,work,drain_pan,,Pan,,,1,roofer,,,,,", "", "trade is roofer; allowed:.* hour"),
    ],
)
def test_what_a_whole_book_lacks_is_said(write_book, added, without, expected):
    path = write_book(added, without)
    with pytest.raises(InputError, match=expected):
        load_price_book(path)


def test_why_a_price_is_missing_tells_what_to_add(write_book):
    book = load_price_book(
        write_book("W2,work,drain_pan,MN,Pan,,80,,,,,,,\nW3,work,stand,,Stand,,80,,,,,,2028-01-01,")
    )
    find = RowKind.WORK, DAY, "WI"
    reasons = [
        book.why_not(find[0], item, *find[1:]) for item in ("shutoff_valve", "drain_pan", "stand")
    ]
    assert "has no row of kind work for shutoff_valve" in reasons[0]
    assert "are not for WI" in reasons[1]
    assert "row W3 holds from 2028-01-01" in reasons[2]


def test_a_region_without_a_tax_row_has_no_known_tax(write_book):
    path = write_book("T2,tax,sales_tax,MN,State tax,,,,,7,goods,,,", without="T1")
    book = load_price_book(path)
    assert [row.id for row in book.taxes(DAY, "MN")] == ["T2"]
    assert book.taxes(DAY, "WI") == ()


def test_a_tax_of_a_region_replaces_the_general_one_of_its_name_and_joins_the_others(write_book):
    book = load_price_book(
        write_book(
            "T2,tax,sales_tax,MN,State tax,,,,,8,goods,,,\nT3,tax,city_tax,MN,City,,,,,1,goods,,,"
        )
    )
    assert {row.id for row in book.taxes(DAY, "MN")} == {"T2", "T3"}
    assert {row.id for row in book.taxes(DAY, "WI")} == {"T1"}


def test_csv_and_workbook_of_the_same_prices_have_the_same_fingerprint(write_book, tmp_path):
    path = write_book()
    book = openpyxl.Workbook()
    for cells in csv.reader(path.read_text().splitlines()):
        book.active.append([float(c) if c.replace(".", "").isdigit() else c for c in cells])
    book.save(tmp_path / "prices.xlsx")
    assert load_price_book(tmp_path / "prices.xlsx").digest == load_price_book(path).digest


def test_fingerprint_ignores_layout_and_sees_every_price(write_book, headings):
    plain = load_price_book(write_book()).digest
    padded = load_price_book(write_book(headings=headings + ",")).digest
    dearer = load_price_book(write_book("W1,work,expansion_tank,,Expansion tank,,151,,,,,,,", "W1"))
    assert padded == plain
    assert dearer.digest != plain


def test_another_currency_of_the_demo_is_refused():
    with pytest.raises(InputError, match="USD or CAD"):
        demo_price_book("EUR")
