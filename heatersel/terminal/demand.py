"""A household's demand on a terminal: by fixture, by hour, the busiest hour, the peak flow."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console
from rich.text import Text

from heatersel.demand.report import DemandReport
from heatersel.display import Display
from heatersel.terminal.charts import bar_lines, column_lines
from heatersel.terminal.layout import print_hanging
from heatersel.words import MONTHS, fixture_words, fixtures_word, of_100, people_words

__all__ = ["print_demand"]


def print_demand(console: Console, report: DemandReport) -> None:
    """Print a demand report."""
    show = Display(report.job.units.value)
    demand = report.demand
    console.print(Text(report.job.title or "Demand", style="bold"))
    use = "uses" if report.job.household.occupants.total == 1 else "use"
    print_hanging(
        console, "",
        f"{people_words(report.job)} in {report.job.place.climate} {use} "
        f"{show.volume(demand.daily_hot_water_l)} of hot water on a mean day "
        f"({show.volume(demand.daily_mixed_water_l)} at the taps).",
    )  # fmt: skip
    _heading(console, "Hot water on a mean day, by fixture")
    by_fixture = sorted(demand.by_fixture_l.items(), key=lambda item: -item[1])
    _bars(
        console,
        [fixtures_word(fixture) for fixture, _ in by_fixture],
        [litres for _, litres in by_fixture],
        [show.volume(litres) for _, litres in by_fixture],
    )
    _heading(console, "Through the day, midnight to midnight (above weekdays, below weekends)")
    for hours in report.hot_by_hour_l:
        _columns(console, [float(litres) for litres in hours], 4, 3)
        console.print("  0  .  .  3  .  .  6  .  .  9  .  . 12  .  . 15  .  . 18  .  . 21")
    _print_busiest_hour(console, report, show)
    _print_peak_flow(console, report, show)
    _print_inlet(console, report, show)
    _print_bills(console, report, show)


def _print_busiest_hour(console: Console, report: DemandReport, show: Display) -> None:
    demand = report.demand
    _heading(console, "The busiest hour of the day, on the coldest water")
    rows = [
        ("half of all days", report.busiest_hour_design_l["p50"]),
        ("95 of 100 days", report.busiest_hour_design_l["p95"]),
        ("99 of 100 days", report.busiest_hour_design_l["p99"]),
        *((f"worksheet, {name}", litres) for name, litres in demand.worksheet_l.items()),
        ("the heater is sized for", demand.peak_hour_hot_water_l),
    ]
    _bars(
        console,
        [label for label, _ in rows],
        [litres for _, litres in rows],
        [show.volume(litres) for _, litres in rows],
    )
    if demand.peak_hour_is_stated:
        uses = ", ".join(fixture_words(f, n) for f, n in demand.peak_hour_uses.items() if n)
        share = demand.peak_hour_share_below
        print_hanging(
            console, "  ", f"Your busy hour ({uses}) is busier than {of_100(share)} mornings."
        )
    print_hanging(console, "  ", report.why_not_the_worksheet, style="dim")


def _print_peak_flow(console: Console, report: DemandReport, show: Display) -> None:
    demand = report.demand
    _heading(console, "Water at the taps at one moment of the busy time")
    rows = [
        ("half of busy moments", report.peak_flow_given_busy_l_per_min["p50"]),
        ("95 of 100", report.peak_flow_given_busy_l_per_min["p95"]),
        ("99 of 100", report.peak_flow_given_busy_l_per_min["p99"]),
        ("99, by approximation", report.modified_normal_l_per_min),
        ("the method of 1940", report.method_1940_l_per_min),
        ("the heater is sized for", demand.peak_mixed_flow_l_per_min),
    ]
    _bars(
        console,
        [label for label, _ in rows],
        [flow for _, flow in rows],
        [show.flow(flow) for _, flow in rows],
    )
    suffices = f"suffices in {of_100(demand.peak_flow_share_not_above)} moments of the busy time"
    print_hanging(
        console, "  ",
        f"What you named to run together {suffices}, idle ones counted."
        if demand.peak_flow_is_stated
        else f"This {suffices}, idle ones counted and tubs left out: a tub that gets less water "
        "only fills more slowly.",
        style="dim",
    )  # fmt: skip


def _print_inlet(console: Console, report: DemandReport, show: Display) -> None:
    inlet = report.inlets[0]
    digits = 0 if show.system == "us" else 1  # 0.5 °C is not freezing
    _heading(console, f"Cold water by month, by {str(inlet.method).replace('_', ' ')}")
    _columns(console, [temp_c for temp_c in inlet.monthly_c], 4, 5)
    console.print("  " + "".join(f"{month:<5}" for month in MONTHS))
    temps = (show.temperature(temp_c, digits).split()[0] for temp_c in inlet.monthly_c)
    console.print("  " + "".join(f"{temp:<5}" for temp in temps))
    others = "; ".join(
        f"{str(other.method).replace('_', ' ')} {show.temperature(other.design_c, digits)}"
        for other in report.inlets[1:]
    )
    depths = "; ".join(
        f"{show.length(effect.depth_m)} {show.temperature(effect.design_c, digits)}".replace(
            " ", "\u00a0"
        )
        for effect in report.depth_effects
    )
    print_hanging(console, "  ", inlet.note, style="dim")
    print_hanging(console, "  Coldest day by other ways  ", others)
    print_hanging(console, "  by depth of the main       ", depths)


def _print_bills(console: Console, report: DemandReport, show: Display) -> None:
    bills = report.demand.bills
    if bills is None:
        return
    _heading(console, "What the household's own bills say")
    if bills.accepted:
        hot_kwh = bills.base_kwh_per_day - bills.other_kwh_per_day - bills.standby_kwh_per_day
        text = (
            f"{show.volume(bills.daily_hot_water_l)} of hot water a day, between "
            f"{show.volume(bills.low_l)} and {show.volume(bills.high_l)} in 95 of 100 cases; the "
            f"volumes above are scaled to it. Of {bills.base_kwh_per_day:.1f} kWh a day that do "
            f"not follow the weather, {hot_kwh:.1f} heat water, {bills.standby_kwh_per_day:.1f} "
            f"keep the tank warm and {bills.other_kwh_per_day:.1f} go elsewhere."
        )
    else:
        reason = bills.reason[:1].upper() + bills.reason[1:]
        text = f"{reason}. The volumes above rest on the people instead."
    print_hanging(console, "  ", text)
    if bills.fit is not None:
        quality = f"Scatter CV(RMSE) {bills.cv_rmse:.0%}"
        if bills.fit.n_parameters > 1:
            quality += f", R² {bills.r_squared:.2f}"
        print_hanging(console, "  ", f"{quality}, {bills.fit.n} periods.", style="dim")
    for note in bills.notes:
        print_hanging(console, "  · ", note, style="dim")


def _heading(console: Console, text: str) -> None:
    console.print()
    console.print(Text(text, style="bold"))


def _bars(
    console: Console, labels: Sequence[str], values: Sequence[float], said: Sequence[str]
) -> None:
    for line in bar_lines(labels, values, said, min(console.width, 100) - 2):
        console.print("  " + line, soft_wrap=True, markup=False)


def _columns(console: Console, values: Sequence[float], height: int, column: int) -> None:
    for line in column_lines(values, height, column):
        console.print("  " + line, soft_wrap=True, markup=False)
