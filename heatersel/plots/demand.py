"""The picture of a household's demand."""

from __future__ import annotations

from heatersel import units
from heatersel.demand.report import DemandReport
from heatersel.display import Display
from heatersel.job.models import MONTHS
from heatersel.plots.figure import Figure, Panel, Series
from heatersel.words import fixtures_word

__all__ = ["demand_figure"]


def demand_figure(report: DemandReport) -> Figure:
    """Return how a household uses hot water, as a figure in the job's units."""
    us = report.job.units.value == "us"
    volume, temperature = ("gal", "°F") if us else ("L", "°C")
    show = Display(report.job.units.value)

    def litres(values: object) -> tuple[float, ...]:
        return tuple(units.convert(float(v), "L", volume) for v in values)  # type: ignore[attr-defined]

    demand = report.demand
    flow = f"{volume}/min"
    fixtures = sorted(demand.by_fixture_l.items(), key=lambda item: -item[1])
    shares = tuple(float(percent) for percent in range(101))
    return Figure(
        title=report.job.title or "Hot water of a household",
        sentence=f"A mean day takes {show.volume(demand.daily_hot_water_l)} of hot water; "
        f"the heater is sized for {show.volume(demand.peak_hour_hot_water_l)} in the "
        "busiest hour.",
        panels=(
            Panel(
                title="Where it goes on a mean day",
                x=tuple(fixtures_word(fixture) for fixture, _ in fixtures),
                series=(Series(name="", values=litres(v for _, v in fixtures), shape="bar"),),
                y_label=f"hot water, {volume} a day",
            ),
            Panel(
                title="When it is drawn",
                x=tuple(float(hour) for hour in range(25)),
                series=tuple(
                    # The last hour ends at midnight: a step needs its end.
                    Series(name=name, values=litres((*hours, hours[-1])), shape="step")
                    for name, hours in zip(
                        ("weekdays", "weekends"), report.hot_by_hour_l, strict=True
                    )
                ),
                x_label="hour of the day",
                y_label=f"hot water, {volume} an hour",
            ),
            Panel(
                title="How busy the busiest hour of a day gets",
                x=shares,
                series=(
                    Series(
                        name="on coldest water", values=litres(report.busiest_hour_design_curve_l)
                    ),
                    Series(name="on the day's", values=litres(report.busiest_hour_curve_l)),
                    Series(name="sized for", values=litres([demand.peak_hour_hot_water_l] * 101)),
                ),
                x_label="share of days that stay below, %",
                y_label=f"hot water, {volume} in the hour",
            ),
            Panel(
                title="What runs at one moment of the busy time",
                x=shares,
                series=(
                    Series(
                        name="at the taps",
                        shape="step",
                        values=litres(report.peak_flow_curve_l_per_min),
                    ),
                    Series(
                        name="sized for", values=litres([demand.peak_mixed_flow_l_per_min] * 101)
                    ),
                ),
                x_label="share of moments with something running, %",
                y_label=f"mixed water, {flow}",
            ),
            Panel(
                title="How cold the water comes in",
                x=tuple(month[:3].title() for month in MONTHS),
                series=tuple(
                    Series(
                        name=str(inlet.method).replace("_", " "),
                        values=tuple(
                            units.convert(t, "degC", "degF" if us else "degC")
                            for t in inlet.monthly_c
                        ),
                    )
                    for inlet in report.inlets
                ),
                y_label=f"inlet, {temperature}",
                from_zero=False,
            ),
        ),
    )
