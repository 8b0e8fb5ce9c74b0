"""The cost of one option on a terminal: bill by month, ledger by year, bands, break-even prices."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from heatersel.cost.report import CostReport, OptionReport
from heatersel.cost.sensitivity import Influence
from heatersel.display import Display
from heatersel.terminal.charts import bar_lines
from heatersel.terminal.layout import plain_table, print_hanging
from heatersel.words import MONTHS

__all__ = ["print_cost"]

_MOST_INFLUENCES = 6
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def print_cost(console: Console, report: CostReport, option: OptionReport, show: Display) -> None:
    """Print the cost of one option, and where it stands among the others."""
    console.print(Text(f"What the {option.name} costs", style="bold"))
    for sentence in option.sentences:
        print_hanging(console, "  · ", sentence)
    _print_bills(console, option, show)
    _print_ledger(console, option, show)
    _print_bands(console, report, show)
    if option.influences:
        _heading(console, "What could turn the choice, the strongest first")
        for item in option.influences[:_MOST_INFLUENCES]:
            print_hanging(console, "  · ", _influence(item, show))
    _print_map(console, report, show)


def _print_bills(console: Console, option: OptionReport, show: Display) -> None:
    for source, bill in option.cost.bills.items():
        _heading(console, f"Its part of the {source.value.replace('_', ' ')} bill, by month")
        months = [float(amount) for amount in bill.monthly]
        lines = bar_lines(
            MONTHS, months, [show.money(amount, 0.01) for amount in months],
            min(console.width, 80) - 2,
        )  # fmt: skip
        for line in lines:
            console.print("  " + line, soft_wrap=True, markup=False)


def _print_ledger(console: Console, option: OptionReport, show: Display) -> None:
    _heading(console, "Year by year, in today's money")
    columns = [("year", "right"), ("put in", "right"), ("energy", "right"), ("fixed", "right"),
               ("upkeep", "right"), ("all", "right"), ("worth today", "right")]  # fmt: skip
    table = plain_table(*columns)
    for year in option.ledger:
        amounts = (
            year.investment + year.residual, sum(year.energy.values()), year.fixed,
            year.maintenance, year.total, year.present_value,
        )  # fmt: skip
        table.add_row(str(year.year), *(show.money(amount) for amount in amounts))
    console.print(table)


def _print_bands(console: Console, report: CostReport, show: Display) -> None:
    years = report.assumptions["study_years"]
    _heading(console, f"All options over {years} years: 8 of 10 futures lie in the span")
    table = plain_table(
        ("Option", "left"), ("low", "right"), ("middle", "right"), ("high", "right"),
        ("cheapest in", "right"), ("regret", "right"),
    )  # fmt: skip
    for option in report.options[:15]:
        band = option.cost.band
        if band is None:
            continue
        table.add_row(
            option.name,
            show.money(band.p10, 100),
            show.money(band.p50, 100),
            show.money(band.p90, 100),
            f"{band.cheapest_probability:.0%}",
            show.money(band.regret, 10),
        )
    console.print(table)


def _influence(item: Influence, show: Display) -> str:
    turns = ": this alone could turn the choice" if item.turns_the_choice else ""
    return (
        f"{item.input}: its lead over the next best lies between "
        f"{show.money(item.lead_low, 10)} and {show.money(item.lead_high, 10)}{turns}"
    )


def _print_map(console: Console, report: CostReport, show: Display) -> None:
    price_map = report.price_map
    if price_map is None:
        return
    across, up = (source.value.replace("_", " ") for source in (price_map.across, price_map.up))
    _heading(console, f"Cheapest by price per kWh: {across} across, {up} upwards")
    letters: dict[str, str] = {}
    rows = list(zip(price_map.up_per_kwh, price_map.cheapest, strict=True))
    for price, row in reversed(rows):
        marks = [letters.setdefault(id_, _LETTERS[len(letters) % len(_LETTERS)]) for id_ in row]
        console.print(f"  {show.money(price, 0.001):>8}  {' '.join(marks)}", markup=False)
    low, high = price_map.across_per_kwh[0], price_map.across_per_kwh[-1]
    ends = f"{show.money(low, 0.001)} ... {show.money(high, 0.001)}"
    console.print(f"            {ends}", markup=False)
    names = {option.id: option.name for option in report.options}
    for id_, letter in letters.items():
        console.print(f"  {letter}  {names.get(id_, id_)}", markup=False)


def _heading(console: Console, text: str) -> None:
    console.print()
    console.print(Text(text, style="bold"))
