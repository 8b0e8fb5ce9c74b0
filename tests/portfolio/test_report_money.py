from __future__ import annotations

import re

import pytest

from heatersel.portfolio.report_money import money
from heatersel.portfolio.run import Outcome
from heatersel.portfolio.summary import Summary, summarise


@pytest.fixture(scope="module")
def summary(town: Outcome) -> Summary:
    return summarise(town.folder)


def test_houses_of_two_currencies_are_never_added_up(summary: Summary) -> None:
    html = money(summary)

    for currency, group in summary.all.items():
        assert re.search(rf"{group.compared} houses? that pay in {currency}", html)


def test_the_change_is_after_less_before_with_its_share(summary: Summary) -> None:
    group = summary.all["USD"]
    before, after = group.total("before_co2_kg_per_year"), group.total("after_co2_kg_per_year")

    assert f"({(after - before) / before:+.0%})" in money(summary)


def test_states_are_listed_where_there_are_several(summary: Summary) -> None:
    alone = Summary(all=summary.all, by_region={("USD", "MN"): summary.all["USD"]})

    assert "By state and province" in money(summary)
    assert "By state and province" not in money(alone)


def test_without_present_heaters_there_is_nothing_to_compare() -> None:
    assert "No present heater is known" in money(Summary())
