"""Sizes on a terminal: what is needed, how cold the water is by month, what each size gives."""

from __future__ import annotations

from rich.console import Console
from rich.table import Table
from rich.text import Text

from heatersel.api import SizedJob
from heatersel.display import Display
from heatersel.sizing.verdict import Verdict
from heatersel.terminal.layout import plain_table, print_hanging
from heatersel.words import MONTHS, fixture_words, heater_name, people_words

__all__ = ["print_sizes"]

_MARKS = {Verdict.ADEQUATE: "enough", Verdict.TIGHT: "tight", Verdict.SHORT: "short"}


def print_sizes(console: Console, sized: SizedJob) -> None:
    """Print what the household needs and what each heater of the list gives."""
    job, demand, inlet = sized.job, sized.demand, sized.inlet
    show = Display(job.units.value)
    console.print(Text(job.title or "Sizes", style="bold"))
    uses = ", ".join(fixture_words(f, n) for f, n in demand.peak_hour_uses.items() if n)
    busiest = (
        f"{uses} (as told); busier than {demand.peak_hour_share_below:.0%} of simulated days"
        if demand.peak_hour_is_stated
        else f"enough on {demand.percentile:.0%} of simulated days"
    )
    rows = (
        ("People", f"{people_words(job)} in {job.place.climate}"),
        ("A mean day", f"{show.volume(demand.daily_hot_water_l)} of hot water, "
                       f"{show.volume(demand.daily_mixed_water_l)} at the taps"),
        ("Busiest hour", f"{show.volume(demand.peak_hour_hot_water_l)} of hot water: {busiest}"),
        ("At the peak", f"{show.flow(demand.peak_flow_l_per_min)} of hot water, heated by "
                        f"{show.rise(demand.temperature_rise_k)}: "
                        f"{show.heat_rate(demand.peak_output_kw)}"),
        ("Cold water", f"{show.temperature(inlet.design_c)} on the coldest day; {inlet.note}"),
    )  # fmt: skip
    for lead, text in rows:
        print_hanging(console, f"{lead:<14}", text)
    print_hanging(console, " " * 14, _months_line(sized, show))
    print_hanging(console, f"{'Other ways':<14}", _other_ways(sized, show))
    console.print()
    console.print(_sizes_table(sized, show, with_ids=console.width >= 100))


def _sizes_table(sized: SizedJob, show: Display, *, with_ids: bool) -> Table:
    headings = [
        ("Heater", "left"), ("Needs", "right"), ("Gives", "right"), ("Spare", "right"),
        ("", "left"),
    ]  # fmt: skip
    table = plain_table(*headings, *([("id", "left")] if with_ids else []))
    for option in sized.options:
        sizing = option.sizing
        cells = [
            heater_name(option.heater, show),
            show.measure(sizing.required, sizing.unit),
            show.measure(sizing.available, sizing.unit),
            f"{sizing.margin_frac:+.0%}",
            _MARKS[sizing.verdict],
        ]
        table.add_row(
            *cells,
            *([option.heater.id] if with_ids else []),
            style="dim" if sizing.verdict is Verdict.SHORT else "",
        )
    return table


def _months_line(sized: SizedJob, show: Display) -> str:
    temps = (show.temperature(c).split()[0] for c in sized.inlet.monthly_c)
    return "  ".join(f"{month} {temp}" for month, temp in zip(MONTHS, temps, strict=True))


def _other_ways(sized: SizedJob, show: Display) -> str:
    others = [w for w in sized.other_inlets if w.method is not sized.inlet.method]
    return "; ".join(f"{w.method}: {show.temperature(w.design_c)}" for w in others)
