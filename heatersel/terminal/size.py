"""Sizes on a terminal: what is needed, how cold the water is by month, what each size gives."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.table import Table
from rich.text import Text

from heatersel.api import SizedHeater, SizedJob
from heatersel.display import Display
from heatersel.sizing.verdict import Verdict
from heatersel.terminal.layout import plain_table, print_hanging
from heatersel.words import MONTHS, fixture_words, heater_name, of_100, people_words

__all__ = ["print_sizes"]

_MARKS = {Verdict.ADEQUATE: "enough", Verdict.TIGHT: "tight", Verdict.SHORT: "short"}


def print_sizes(console: Console, sized: SizedJob) -> None:
    """Print what the household needs and what each heater of the list gives."""
    job, demand, inlet = sized.job, sized.demand, sized.inlet
    show = Display(job.units.value)
    console.print(Text(job.title or "Sizes", style="bold"))
    uses = ", ".join(fixture_words(f, n) for f, n in demand.peak_hour_uses.items() if n)
    busiest = (
        f"{uses} (as told); busier than {of_100(demand.peak_hour_share_below)} simulated days"
        if demand.peak_hour_is_stated
        else f"enough on {of_100(demand.percentile)} simulated days"
    )
    moment = (
        "as told" if demand.peak_flow_is_stated
        else f"enough in {of_100(demand.percentile)} moments of the busy time"
    )  # fmt: skip
    rows = (
        ("People", f"{people_words(job)} in {job.place.climate}"),
        ("A mean day", f"{show.volume(demand.daily_hot_water_l)} of hot water, "
                       f"{show.volume(demand.daily_mixed_water_l)} at the taps"),
        ("Busiest hour", f"{show.volume(demand.peak_hour_hot_water_l)} of hot water: {busiest}"),
        ("At the peak", f"{show.flow(demand.peak_flow_l_per_min)} of hot water, heated by "
                        f"{show.rise(demand.temperature_rise_k)}: "
                        f"{show.heat_rate(demand.peak_output_kw)}; {moment}"),
        ("Cold water", f"{show.temperature(inlet.design_c, _digits(show))} on the coldest day; "
                       f"{inlet.note}"),
    )  # fmt: skip
    for lead, text in rows:
        print_hanging(console, f"{lead:<14}", text)
    print_hanging(console, " " * 14, _months_line(sized, show))
    print_hanging(console, f"{'Other ways':<14}", _other_ways(sized, show))
    console.print()
    shown = [o for o in sized.options if o.heater.energy_source in job.fuels] or sized.options
    console.print(_sizes_table(shown, show, with_ids=console.width >= 100))
    if n_other := len(sized.options) - len(shown):
        text = f"{n_other} more run on what this house does not have; --json lists them too."
        print_hanging(console, "", text, style="dim")


def _sizes_table(options: Sequence[SizedHeater], show: Display, *, with_ids: bool) -> Table:
    headings = [
        ("Heater", "left"), ("Needs", "right"), ("Gives", "right"), ("Spare", "right"),
        ("", "left"),
    ]  # fmt: skip
    table = plain_table(*headings, *([("id", "left")] if with_ids else []))
    for option in options:
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
    temps = (show.temperature(c, _digits(show)).split()[0] for c in sized.inlet.monthly_c)
    return "  ".join(f"{month} {temp}" for month, temp in zip(MONTHS, temps, strict=True))


def _other_ways(sized: SizedJob, show: Display) -> str:
    others = [w for w in sized.other_inlets if w.method is not sized.inlet.method]
    return "; ".join(
        f"{w.method.replace('_', ' ')} {show.temperature(w.design_c, _digits(show))}"
        for w in others
    )


def _digits(show: Display) -> int:
    """Return the decimals of cold water: 0.5 °C is not freezing."""
    return 0 if show.system == "us" else 1
