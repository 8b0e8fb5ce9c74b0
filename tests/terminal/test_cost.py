"""The cost of an option on a terminal: what is printed adds up and says where today stands."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from rich.console import Console

from heatersel.api import compare, cost_of_job
from heatersel.cost.report import CostReport
from heatersel.display import Display
from heatersel.job.load import load_job
from heatersel.reference import dataset_path
from heatersel.terminal.cost import print_cost


@pytest.fixture(scope="module")
def family() -> CostReport:
    return cost_of_job(load_job(dataset_path("jobs/cold-family.toml")))


def printed(report: CostReport, number: int = 0, system: str = "us") -> str:
    text = io.StringIO()
    console = Console(file=text, width=80, highlight=False)
    option = report.options[number]
    print_cost(console, report, option, Display(system, option.cost.currency))
    return text.getvalue()


def dollars(text: str) -> float:
    return float(re.sub(r"[^\d.-]", "", text))


def test_the_lines_of_the_price_add_up_to_what_is_shown(family: CostReport) -> None:
    block = printed(family, 1).split("What it costs to put in\n")[1].split("\n\n")[0]
    *lines, last = [dollars(row.split("$")[1]) for row in block.splitlines() if "$" in row]

    # each line is rounded to a dollar
    assert sum(lines) == pytest.approx(last, abs=0.5 * len(lines))
    assert last == pytest.approx(family.options[1].cost.installed, abs=0.5)


def test_the_ledger_ends_with_its_sum(family: CostReport) -> None:
    ledger = printed(family).split("Year by year")[1].split("\n\n")[0]

    assert f"{family.options[0].cost.life_cycle:,.0f}" in ledger.splitlines()[-1]


def test_the_measures_of_the_federal_method_are_told(family: CostReport) -> None:
    other = next(k for k, option in enumerate(family.options) if option.savings is not None)
    text = " ".join(printed(family, other).split())

    assert "net savings" in text
    assert "savings-to-investment ratio" in text
    assert "simple payback" in text
    assert "discounted payback" in text
    assert "a year for 20 years" in text
    assert "of carbon dioxide in the first year" in text


def test_each_influence_is_told_with_its_range(family: CostReport) -> None:
    text = " ".join(printed(family).split())

    for item in family.options[0].influences[:6]:
        assert f"{item.input}, {item.span}: the choice" in text


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [
        (5540.0, 1690.0, "the choice stays ahead of the next best kind, by $5,540 to $1,690"),
        (-50.0, -390.0, "the choice would fall behind the next best kind, by $50 to $390"),
        (-2330.0, 490.0, "the choice would go from $2,330 behind the next best kind to $490 ahead"
         " of it; this alone could turn the choice"),
    ],
)  # fmt: skip
def test_a_lead_is_told_as_ahead_or_behind(
    family: CostReport, low: float, high: float, said: str
) -> None:
    best = family.options[0]
    turned = replace(best, influences=(replace(best.influences[0], lead_low=low, lead_high=high),))
    report = replace(family, options=(turned, *family.options[1:]))

    assert said in " ".join(printed(report).split())


def test_the_map_marks_todays_prices_once(family: CostReport) -> None:
    rows = printed(family).split("Cheapest by price")[1].splitlines()
    marked = [row for row in rows if re.search(r"\[[A-Z]\]", row)]

    assert len(marked) == 1
    assert family.price_map is not None
    # the tenth of 25 steps up to 2.5 times today's price lies 4 % above today's
    today = family.price_map.up_per_kwh[10] * 29.3071  # kWh in a therm
    assert dollars(marked[0].split()[0]) == pytest.approx(today, abs=0.005)


def test_sizes_follow_the_units_asked_for(family: CostReport) -> None:
    assert " gal" not in printed(family, system="si")


def test_the_carbon_of_a_year_is_that_of_the_comparison(family: CostReport) -> None:
    compared = compare(load_job(dataset_path("jobs/cold-family.toml")))
    for option in family.options:
        in_comparison = compared.option(option.id).co2_kg_per_year
        assert option.co2_kg_by_year[0] == pytest.approx(in_comparison, rel=1e-9), option.id
