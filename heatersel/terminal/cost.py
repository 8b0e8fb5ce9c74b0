"""The cost of one option on a terminal: price, bills, ledger, bands, break-even prices."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from heatersel.cost.break_even import REACH
from heatersel.cost.report import CostReport, OptionReport
from heatersel.cost.savings import Savings
from heatersel.cost.sensitivity import Influence
from heatersel.cost.shifting import Shift
from heatersel.cost.words import billed_in
from heatersel.display import Display, years_text
from heatersel.terminal.charts import bar_lines
from heatersel.terminal.layout import plain_table, print_hanging
from heatersel.words import MONTHS

__all__ = ["print_cost"]

_MOST_INFLUENCES = 6
_MOST_BANDS = 15
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def print_cost(
    console: Console,
    report: CostReport,
    option: OptionReport,
    show: Display,
    shift: Shift | None = None,
) -> None:
    """Print the cost of one option, what a timer saves, and where it stands among the others."""
    console.print(Text(f"What the {show.heater_name(option.name)} costs", style="bold"))
    for sentence in option.sentences:
        print_hanging(console, "  · ", sentence)
    if shift is not None:
        print_hanging(console, "  · ", shift.sentence(show))
    _print_price(console, option, show)
    _print_bills(console, option, show)
    _print_ledger(console, option, show)
    _print_measures(console, report, option, show)
    _print_bands(console, report, show)
    if option.influences:
        _heading(console, "What could turn the choice, the strongest first")
        for item in option.influences[:_MOST_INFLUENCES]:
            print_hanging(console, "  · ", _influence(item, show))
    _print_map(console, report, show)


def _print_price(console: Console, option: OptionReport, show: Display) -> None:
    """Print the price line by line, what the house needs for it included."""
    _heading(console, "What it costs to put in")
    table = plain_table(("", "left"), ("", "right"))
    table.show_header = False
    for line in option.cost.installed_lines:
        table.add_row(show.heater_name(line.text), show.money(line.amount))
    for incentive in option.cost.incentives:
        if incentive.price_cut:
            table.add_row(incentive.name, show.money(-incentive.price_cut))
    table.add_row("in all", show.money(option.cost.installed), style="bold")
    console.print(table)


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
    worth = show.money(sum(year.present_value for year in option.ledger))
    table.add_row("all", "", "", "", "", "", worth, style="bold")
    console.print(table)


def _print_measures(
    console: Console, report: CostReport, option: OptionReport, show: Display
) -> None:
    """Print the yearly equivalent, the measures of the federal method, and the emissions."""
    years = report.assumptions["study_years"]
    _heading(console, "In one figure each")
    lines = [
        f"As a level amount: {show.money(option.annual_equivalent)} a year for {years_text(years)}."
    ]
    if option.savings is not None:
        lines.append("Against replacing like for like: " + _measures(option.savings, show))
    elif report.baseline_id == option.id:
        lines.append("This is the like-for-like replacement that the others are measured against.")
    if option.co2_kg_by_year:
        lines.append(
            f"Into the air: {show.weight(option.co2_kg_by_year[0])} of carbon dioxide in the first"
            f" year, {show.weight(sum(option.co2_kg_by_year))} in {years_text(years)}. "
            + (report.emissions.sentence if report.emissions else "")
        )
    for line in lines:
        print_hanging(console, "  · ", line)


def _measures(saved: Savings, show: Display) -> str:
    parts = [f"net savings {show.money(saved.net_savings)}"]
    if saved.sir is not None:
        parts.append(f"savings-to-investment ratio {saved.sir:.2f}")
    if saved.airr is not None:
        parts.append(f"adjusted rate of return {saved.airr:.1%} a year above inflation")
    for name, back in (
        ("simple", saved.simple_payback_years),
        ("discounted", saved.discounted_payback_years),
    ):
        parts.append(f"{name} payback " + ("none" if back is None else f"{back:.1f} years"))
    return ", ".join(parts) + "."


def _print_bands(console: Console, report: CostReport, show: Display) -> None:
    years, most = report.assumptions["study_years"], len(report.options)
    shown = "All options" if most <= _MOST_BANDS else f"The {_MOST_BANDS} best of {most} options"
    _heading(console, f"{shown} over {years_text(years)}: 8 of 10 futures lie in the span")
    table = plain_table(
        ("Option", "left"), ("low", "right"), ("middle", "right"), ("high", "right"),
        ("cheapest in", "right"), ("regret", "right"),
    )  # fmt: skip
    for option in report.options[:_MOST_BANDS]:
        band = option.cost.band
        if band is None:
            continue
        table.add_row(
            show.heater_name(option.name),
            show.money(band.p10, 100),
            show.money(band.p50, 100),
            show.money(band.p90, 100),
            f"{band.cheapest_probability:.0%}",
            show.money(band.regret, 10),
        )
    console.print(table)
    errors = [o.cost.band.p50_error for o in report.options if o.cost.band]
    if errors:
        print_hanging(
            console, "  ",
            f"{report.assumptions['n_futures']:,} futures, seed {report.assumptions['seed']}; each"
            f" middle is known to about {show.money(max(errors), 10)}. Regret: what a choice costs"
            " on average more than the best one of each future.",
        )  # fmt: skip


def _influence(item: Influence, show: Display) -> str:
    """Return how far the choice stands before or behind the next best kind at either end."""
    low, high = item.lead_low, item.lead_high
    ends = f"{show.money(abs(low), 10)} to {show.money(abs(high), 10)}"
    if low >= 0 and high >= 0:
        said = f"the choice stays ahead of the next best kind, by {ends}"
    elif low < 0 and high < 0:
        said = f"the choice would fall behind the next best kind, by {ends}"
    else:
        said = (f"the choice would go from {_place(low, show)} the next best kind"
                f" to {_place(high, show)} it; this alone could turn the choice")  # fmt: skip
    return f"{item.input}, {item.span}: {said}"


def _place(lead: float, show: Display) -> str:
    return f"{show.money(abs(lead), 10)} {'ahead of' if lead >= 0 else 'behind'}"


def _print_map(console: Console, report: CostReport, show: Display) -> None:
    price_map = report.price_map
    if price_map is None:
        return
    across, up = (source.value.replace("_", " ") for source in (price_map.across, price_map.up))
    heat = report.assumptions["heat_content_kwh_per_l"].get(str(price_map.up))
    unit, unit_kwh = billed_in(price_map.up, "CA" if show.currency == "CAD" else "US", heat)
    _heading(console, f"Cheapest by price: {across} per kWh across, {up} per {unit} upwards")
    letters: dict[str, str] = {}
    here = [_nearest(price_map.up_per_kwh), _nearest(price_map.across_per_kwh)]
    rows = list(enumerate(zip(price_map.up_per_kwh, price_map.cheapest, strict=True)))
    for number, (price, row) in reversed(rows):
        marks = [letters.setdefault(id_, _LETTERS[len(letters) % len(_LETTERS)]) for id_ in row]
        cells = "".join(
            f"[{mark}" if [number, place] == here
            else f"]{mark}" if [number, place - 1] == here
            else f" {mark}"
            for place, mark in enumerate(marks)
        )  # fmt: skip
        console.print(f"  {show.money(price * unit_kwh, 0.01):>8} {cells}", markup=False)
    low, high = price_map.across_per_kwh[0], price_map.across_per_kwh[-1]
    ends = show.money(low, 0.01), show.money(high, 0.01)
    console.print(f"            {ends[0]:<24}{ends[1]:>25}", markup=False)
    names = {option.id: show.heater_name(option.name) for option in report.options}
    for id_, letter in letters.items():
        console.print(f"  {letter}  {names.get(id_, id_)}", markup=False)
    console.print("  [ ]  today's prices", markup=False)


def _nearest(prices: tuple[float, ...]) -> int:
    """Return the place of today's price on an axis that runs from 0 to a multiple of it."""
    return round((len(prices) - 1) / REACH)


def _heading(console: Console, text: str) -> None:
    console.print()
    console.print(Text(text, style="bold"))
