from __future__ import annotations

import pytest

from heatersel.portfolio.page import energy, large_money, mass, one_in, power, signed, table


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (power(9_999.0), "9,999 kW"),
        (power(0.0), "0 kW"),
        (power(-34.84), "-34.8 kW"),
        (energy(9_999.0), "9,999 kWh"),
        (energy(1.138e9), "1,138 GWh"),
        (mass(61_750.0, "USD"), "61.8 t"),
        (mass(-44.2, "CAD"), "-44 kg"),
        (large_money(0.0, "USD"), "$0"),
        (large_money(2.5e9, "USD"), "$2.50 billion"),
        (signed("$3", 3.0), "+$3"),
        (signed("-$3", -3.0), "-$3"),
        (one_in(0.0), "none"),
    ],
)
def test_amounts_are_said_as_people_say_them(said: str, words: str) -> None:
    assert said == words


def test_a_long_table_says_where_the_rest_is() -> None:
    html = table("t", ("a", "b"), [("x", "1")] * 20, most=5, file="changes")

    assert html.count("<tr>") == 6
    assert "15 more in tables/changes.csv" in html


def test_a_table_of_nothing_is_not_there() -> None:
    assert table("t", ("a",), []) == ""


def test_words_of_a_table_cannot_break_the_page() -> None:
    assert "<b>" not in table("<b>", ("<b>",), [("<b>",)])
