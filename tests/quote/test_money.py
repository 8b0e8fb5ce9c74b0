from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.errors import OutOfRangeError
from heatersel.quote.money import HalfCent, cents, decimal_of, money_text, rounded

AMOUNTS = st.decimals(min_value=-100_000, max_value=100_000, places=6)


@pytest.mark.parametrize(
    ("taxable", "percent", "tax"),
    [
        # Rule of N.D. Century Code 57-39.4-25, section 324 of the Streamlined Sales and Use Tax
        # Agreement (seen): carried to the third decimal, up where that is above four. The
        # products are worked by hand.
        ("10.99", "6.25", "0.69"),  # 0.686875
        ("1.00", "6.4", "0.06"),  # 0.064
        ("1.00", "6.5", "0.07"),  # 0.065: the third decimal is five
        ("14.99", "5", "0.75"),  # 0.7495
        ("0.10", "4.9", "0.00"),  # 0.0049
    ],
)
def test_tax_rounds_as_the_agreement_says(taxable, percent, tax):
    assert rounded(Decimal(taxable) * Decimal(percent) / 100) == Decimal(tax)


def test_penny_budget_example():
    # Government of Canada, Budget 2012, "Rounding" (seen): a coffee at 1.83 and a sandwich at
    # 2.86 come to 4.92 with the 5 percent Goods and Services Tax.
    price = Decimal("1.83") + Decimal("2.86")
    assert price + rounded(price * Decimal("0.05")) == Decimal("4.92")


def test_rounding_two_parts_of_a_tax_may_differ_from_rounding_their_sum():
    # The case put to the Canada Revenue Agency, interpretation 125136 of 2011 (seen): 31.95 at
    # 13 %, or at 5 % and 8 % with each rounded; both ways are acceptable to it. By hand:
    # 4.1535 against 1.5975 and 2.556.
    price = Decimal("31.95")
    together = rounded(price * Decimal("0.13"))
    apart = rounded(price * Decimal("0.05")) + rounded(price * Decimal("0.08"))
    assert (together, apart) == (Decimal("4.15"), Decimal("4.16"))


def test_half_a_step_goes_up_or_to_the_even_neighbour():
    assert rounded(Decimal("2.665")) == Decimal("2.67")
    assert rounded(Decimal("2.665"), half=HalfCent.EVEN) == Decimal("2.66")
    assert rounded(Decimal("-2.665")) == Decimal("-2.67")


@given(AMOUNTS, st.integers(min_value=1, max_value=5000))
def test_rounded_is_the_nearest_multiple(amount, step_cents):
    step = Decimal(step_cents) / 100
    result = rounded(amount, step)
    assert result % step == 0
    assert abs(result - amount) * 2 <= step


@given(st.integers(min_value=-(10**9), max_value=10**9))
def test_cents_lose_nothing(whole):
    assert cents(Decimal(whole) / 100) == whole


@pytest.mark.parametrize("step", ["0", "-1", "0.005", "0.015"])
def test_a_step_of_part_cents_is_refused(step):
    with pytest.raises(OutOfRangeError, match="whole cents"):
        rounded(Decimal(1), Decimal(step))


@pytest.mark.parametrize(
    "text", ["", "abc", "1,000", "1e3", "nan", "inf", "--1", "٣", "1.2.3", "$5"]
)
def test_what_is_no_plain_number_is_none(text):
    assert decimal_of(text) is None


@pytest.mark.parametrize("text", ["0", "12.5", "-3", ".5", "5."])
def test_plain_numbers_are_exact(text):
    assert decimal_of(text) == Decimal(text)


def test_money_reads_as_money():
    assert money_text(0, "USD") == "$0.00"
    assert money_text(-123456789, "USD") == "-$1,234,567.89"
