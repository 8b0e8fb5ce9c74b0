"""The picture of a simulated rating test."""

from __future__ import annotations

import numpy as np

from heatersel import units
from heatersel.errors import InputError
from heatersel.plots.figure import Figure, Panel, Series
from heatersel.rating import RatedRow

__all__ = ["rating_figure"]

_EVERY = 5  # minutes


def rating_figure(row: RatedRow, system: str) -> Figure:
    """Return the simulated use of a storage heater as a figure; raise InputError for tankless."""
    trace = row.trace
    if trace is None or not row.consistent:
        raise InputError.of(
            "--plot", value=row.heater.id, allowed="a storage heater whose label is consistent",
            fix="name another heater",
        )  # fmt: skip
    hours = tuple(float(hour) for hour in trace.time_h[::_EVERY])
    us = system == "us"

    def temperatures(values: np.ndarray) -> tuple[float, ...]:
        scaled = values[::_EVERY] * 1.8 + 32.0 if us else values[::_EVERY]
        return tuple(float(value) for value in scaled)

    flow = [units.convert(float(v), "L/min", "gal/min" if us else "L/min")
            for v in trace.draw_l_per_min[::_EVERY]]  # fmt: skip
    return Figure(
        title=f"{row.heater.name}: 24 hours of simulated use",
        sentence=f"UEF {row.uef_simulated:.3f} against {row.heater.uef:.2f} on the label.",
        panels=(
            Panel(
                title="Temperature of the tank",
                x=hours,
                series=(
                    Series(name="outlet", values=temperatures(trace.top_c)),
                    Series(name="mean", values=temperatures(trace.mean_c)),
                ),
                y_label="°F" if us else "°C",
                x_label="hours",
                from_zero=False,
            ),
            Panel(
                title="Hot water drawn",
                x=hours,
                series=(Series(name="draw", values=tuple(flow), shape="step"),),
                y_label="gal/min" if us else "L/min",
                x_label="hours",
            ),
            Panel(
                title="Energy used",
                x=hours,
                series=(
                    Series(
                        name="input",
                        values=tuple(float(v) for v in trace.input_kw[::_EVERY]),
                        shape="step",
                    ),
                ),
                y_label="kW",
                x_label="hours",
            ),
        ),
    )
