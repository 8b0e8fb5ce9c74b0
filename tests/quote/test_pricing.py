from __future__ import annotations

import datetime as dt
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.heaters.catalogue import heater_by_id, load_heaters
from heatersel.heaters.heater import in_parallel
from heatersel.quote.needed import Needed
from heatersel.quote.policy import Rounding
from heatersel.quote.price_book import PriceBook, demo_price_book, load_price_book
from heatersel.quote.price_rows import PriceRow, RowKind, TaxedOn
from heatersel.quote.pricing import Pricer

DAY = dt.date(2027, 3, 1)
TANK = heater_by_id(load_heaters().heaters, "gas-tank-40")


def price(path, work=(), rounding=None, heater=TANK, region="MN", day=DAY):
    pricer = Pricer(book=load_price_book(path), date=day, region=region,
                    rounding=rounding or Rounding())  # fmt: skip
    return pricer.price(heater, [Needed(id=name, why="test") for name in work])


def test_an_offer_adds_up_by_hand(write_book):
    # 600 / (1 - 0.25) = 800 for the tank; 5 h at 100; permit 90; expansion tank 150 flat.
    # Tax: 7 % of the goods, 800 + 150 = 950, is 66.50; fees and labour are not taxed.
    found = price(write_book(), ["permit", "expansion_tank"])
    assert [(line.row, line.amount_cents) for line in found.lines] == [
        ("E1", 80_000), ("L1", 50_000), ("P1", 9_000), ("W1", 15_000),
    ]  # fmt: skip
    assert (found.subtotal_cents, found.tax_cents, found.total_cents) == (154_000, 6_650, 160_650)


def test_every_line_names_its_rows_and_where_they_stand(write_book):
    tank, labour, *_ = price(write_book()).lines
    assert (tank.rows, tank.file_line) == (("E1", "M1"), 6)
    assert (labour.rows, labour.file_line) == (("L1", "R1"), 7)


def test_margin_is_of_the_price_and_markup_of_the_cost(write_book):
    path = write_book("M2,markup,equipment,,,,,,,25,,,,", without="M1")
    assert price(path).lines[0].amount_cents == 75_000


def test_hours_of_a_flat_price_only_say_how_much_of_it_is_labour(write_book):
    path = write_book("W2,work,drain_pan,,Pan,,250,2,,,,,,\nW3,work,stand,,Stand,,150,2,,,,,,")
    pan, stand = price(path, ["drain_pan", "stand"]).lines[-2:]
    assert (pan.goods_cents, pan.labour_cents) == (5_000, 20_000)
    assert (stand.goods_cents, stand.labour_cents) == (0, 15_000)


def test_heaters_in_parallel_cost_each(write_book):
    found = price(write_book(), heater=in_parallel(TANK, 2))
    assert [(line.quantity, line.amount_cents) for line in found.lines] == [
        (2, 160_000), (2, 100_000),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("without", "work", "item", "said"),
    [
        ("E1", (), "gas-tank-40", "no row of kind equipment for gas-tank-40"),
        ("L1", (), "gas-tank-40", "no row of kind labour for atmospheric_storage"),
        ("W1", ("expansion_tank",), "expansion_tank", "no row of kind work for expansion_tank"),
        ("P1", ("permit",), "permit", "no row of kind work for permit"),
    ],
)
def test_a_missing_price_is_named_and_there_is_no_total(write_book, without, work, item, said):
    others = "E2,equipment,gas-tank-50,,Tank,500,,,,,,,,\nL2,labour,electric_storage,,In,,,4,,,,,,"
    found = price(write_book(others, without), work)
    assert [missing.item for missing in found.missing] == [item]
    assert said in found.missing[0].why
    assert (found.subtotal_cents, found.tax_cents, found.total_cents) == (None, None, None)


def test_a_rate_or_margin_that_has_ended_is_missing_not_zero(write_book):
    book = write_book("R1,rate,hour,,Plumber,,100,,,,,,,2026-12-31", without="R1")
    found = price(book)
    assert "row R1 holds until 2026-12-31" in found.missing[0].why
    book = write_book("M1,margin,equipment,,,,,,,25,,,,2026-12-31", without="M1")
    assert "row M1 holds until 2026-12-31" in price(book).missing[0].why


def test_a_place_without_a_tax_row_has_no_total(write_book):
    book = write_book("T1,tax,sales_tax,WI,Sales tax,,,,,7,goods,,,", without="T1")
    assert "no row of kind tax for MN" in price(book).missing[0].why
    assert price(book, region="WI").total_cents is not None


def test_materials_are_asked_for_once_the_book_prices_any(write_book):
    book = write_book(
        "F1,materials,electric_storage,,Valves,40,,,,,,,,\nM2,markup,materials,,,,,,,0,,,,"
    )
    assert [missing.item for missing in price(book).missing] == ["gas-tank-40"]


@pytest.mark.parametrize(("on", "cents"), [("goods", 56_00), ("labour", 35_00), ("all", 91_00)])
def test_a_tax_is_on_goods_or_labour_or_both(write_book, on, cents):
    # 800 of goods and 500 of labour at 7 %.
    book = write_book(f"T1,tax,sales_tax,,Tax,,,,,7,{on},,,", without="T1")
    assert price(book).tax_cents == cents


def test_what_is_not_taxed_stays_out_of_the_base(write_book):
    book = write_book("W1,work,expansion_tank,,Tank,,150,,,,,no,,", without="W1")
    assert price(book, ["expansion_tank"]).taxes[0].base_cents == 80_000


def test_tax_by_line_and_on_the_total_may_differ_by_cents(write_book):
    # Three lines of 10.05 at 5 %: each is 0.5025, by line 3 x 0.50 = 1.50, in all 1.5075 = 1.51.
    rows = "".join(f"W{n},work,own_{n},,Piece,,10.05,,,,,,,\n" for n in (7, 8, 9))
    book = write_book(rows + "T1,tax,sales_tax,,Tax,,,,,5,goods,,,\n"
                      "E1,equipment,gas-tank-40,,Tank,,10000,,,,,no,,", without="T1")  # fmt: skip
    text = book.read_text().replace("E1,equipment,gas-tank-40,,Gas tank,600,,,,,,,,\n", "")
    book.write_text(text)
    work = ["own_7", "own_8", "own_9"]
    assert price(book, work, Rounding(tax="line")).tax_cents == 150
    assert price(book, work, Rounding(tax="total")).tax_cents == 151


def test_two_taxes_stand_side_by_side_and_none_is_charged_on_the_other(write_book):
    # As GST and PST are: 5 % and 7 % of 800, not 7 % of 840.
    book = write_book(
        "T1,tax,gst,,GST,,,,,5,goods,,,\nT2,tax,pst,,PST,,,,,7,goods,,,", without="T1"
    )
    assert [tax.amount_cents for tax in price(book).taxes] == [4_000, 5_600]


def test_lines_round_to_the_step_and_still_add_up(write_book):
    book = write_book("W2,work,drain_pan,,Pan,33.33,,0.5,,,,,,\nM2,markup,work,,,,,,,10,,,,")
    line = price(book, ["drain_pan"], Rounding(line=5.0)).lines[-1]
    assert line.amount_cents == 8_500  # 36.663 + 50 = 86.66
    assert (line.goods_cents, line.labour_cents) == (3_666, 4_834)


def test_replacement_leaves_out_the_work_that_is_done_once(write_book):
    found = price(write_book(), ["permit", "expansion_tank"])
    assert found.replacement_cents == 80_000 + 50_000 + 9_000 + 5_600


def test_a_book_with_prices_by_date_gives_the_price_of_the_day():
    tank = heater_by_id(load_heaters().heaters, "gas-tank-50")
    amounts = [
        Pricer(book=demo_price_book(), date=day, region="MN", rounding=Rounding())
        .price(tank, ())
        .lines[0]
        .row
        for day in (dt.date(2027, 12, 31), dt.date(2028, 1, 1))
    ]
    assert amounts == ["E04", "E04b"]


PERCENT = st.integers(min_value=0, max_value=4999).map(lambda n: Decimal(n) / 100)
MONEY = st.integers(min_value=1, max_value=2_000_000).map(lambda n: Decimal(n) / 100)
HOURS = st.integers(min_value=1, max_value=200).map(lambda n: Decimal(n) / 4)


@given(
    cost=MONEY, margin=PERCENT, hours=HOURS, rate=MONEY, flats=st.lists(MONEY, max_size=6),
    tax=PERCENT, on=st.sampled_from(TaxedOn), step=st.sampled_from([0.01, 0.05, 1.0, 5.0]),
)  # fmt: skip
def test_totals_equal_an_independent_sum_in_fractions(
    cost, margin, hours, rate, flats, tax, on, step
):
    """The standard library's exact fractions as the oracle."""
    rows = [
        PriceRow(id="R", kind=RowKind.RATE, item="hour", price=rate),
        PriceRow(id="M", kind=RowKind.MARGIN, item="equipment", percent=margin),
        PriceRow(id="E", kind=RowKind.EQUIPMENT, item=TANK.id, cost=cost),
        PriceRow(id="L", kind=RowKind.LABOUR, item=TANK.heater_class, hours=hours),
        PriceRow(id="T", kind=RowKind.TAX, item="tax", percent=tax, on=on),
        *(PriceRow(id=f"W{n}", kind=RowKind.WORK, item=f"own_{n}", price=flat)
          for n, flat in enumerate(flats)),
    ]  # fmt: skip
    pricer = Pricer(book=PriceBook.of("a", "USD", rows), date=DAY, region="MN",
                    rounding=Rounding(line=step))  # fmt: skip
    found = pricer.price(TANK, [Needed(id=f"own_{n}", why="") for n in range(len(flats))])

    def nearest(amount: Fraction, unit: Fraction) -> Fraction:
        return ((amount / unit + Fraction(1, 2)) // 1) * unit

    unit = Fraction(str(step))
    goods = [nearest(Fraction(cost) / (1 - Fraction(margin) / 100), unit)]
    goods += [nearest(Fraction(flat), unit) for flat in flats]
    labour = nearest(Fraction(hours) * Fraction(rate), unit)
    base = {TaxedOn.GOODS: sum(goods), TaxedOn.LABOUR: labour, TaxedOn.ALL: sum(goods) + labour}
    taxed = nearest(base[on] * Fraction(tax) / 100, Fraction(1, 100))
    assert Fraction(found.total_cents, 100) == sum(goods) + labour + taxed


@given(st.integers(min_value=1, max_value=10**7), PERCENT)
def test_tax_agrees_with_the_decimal_context_of_the_standard_library(base_cents, percent):
    rows = [
        PriceRow(id="E", kind=RowKind.EQUIPMENT, item=TANK.id, price=Decimal(base_cents) / 100),
        PriceRow(id="L", kind=RowKind.LABOUR, item=TANK.id, price=Decimal(1)),
        PriceRow(id="T", kind=RowKind.TAX, item="tax", percent=percent, on=TaxedOn.GOODS),
    ]
    pricer = Pricer(book=PriceBook.of("a", "USD", rows), date=DAY, region="MN", rounding=Rounding())
    expected = (Decimal(base_cents) * percent / 100).quantize(Decimal(1), ROUND_HALF_UP)
    assert pricer.price(TANK, ()).tax_cents == int(expected)
