"""Labels beside the simulated rating tests on a terminal, and one heater's test day drawn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from rich.console import Console
from rich.text import Text

from heatersel.display import Display
from heatersel.rating import RatedRow
from heatersel.simulation.rating_test import Rating
from heatersel.terminal.charts import column_lines
from heatersel.terminal.layout import plain_table, print_hanging

__all__ = ["print_ratings"]

_BINS = 72  # columns of a drawn day: twenty minutes each


def print_ratings(console: Console, rows: Sequence[RatedRow], show: Display) -> None:
    """Print the table, and the test day of a single storage heater."""
    console.print(Text("Labels, and what the simulated federal tests give", style="bold"))
    table = plain_table(
        ("Heater", "left"), ("Pattern", "left"), ("UEF label", "right"), ("test", "right"),
        ("Size label", "right"), ("test", "right"), ("Loss", "right"),
    )  # fmt: skip
    for row in rows:
        unit = "L/min" if row.heater.is_tankless else "L"
        table.add_row(
            row.heater.name,
            row.heater.draw_pattern.value.replace("_", " "),
            f"{row.heater.uef:.2f}",
            f"{row.uef_simulated:.3f}",
            show.measure(row.size_rated, unit),
            show.measure(row.size_simulated, unit).split()[0],
            f"{row.standby_loss_w_per_k:.2f} W/K",
        )
    console.print(table)
    for row in rows:
        if not row.consistent:
            print_hanging(console, "  ! ", f"{row.heater.id}: {row.why_not}")
    if len(rows) == 1 and rows[0].trace is not None and rows[0].consistent:
        _print_day(console, rows[0].trace, show)


def _print_day(console: Console, trace: Rating, show: Display) -> None:
    """Draw the simulated use of 24 hours: outlet, mean of the tank, draws, energy."""
    pictures = (
        (f"Water at the outlet, {_span(trace.top_c, show)}", trace.top_c - trace.top_c.min()),
        (f"Mean of the tank, {_span(trace.mean_c, show)}", trace.mean_c - trace.mean_c.min()),
        ("Hot water drawn", trace.draw_l_per_min),
        (f"Energy used, up to {show.heat_rate(float(trace.input_kw.max()))}", trace.input_kw),
    )
    for title, values in pictures:
        console.print()
        console.print(title)
        for line in column_lines(_binned(values), height=3, column=1):
            console.print("  " + line, soft_wrap=True, markup=False)
        console.print("  " + "".join(f"{hour:<9}" for hour in range(0, 24, 3)) + "h")


def _span(temps_c: np.ndarray, show: Display) -> str:
    return f"{show.temperature(float(temps_c.min()))} to {show.temperature(float(temps_c.max()))}"


def _binned(values: np.ndarray) -> list[float]:
    per_bin = len(values) // _BINS
    return [float(v) for v in values[: per_bin * _BINS].reshape(_BINS, per_bin).mean(axis=1)]
