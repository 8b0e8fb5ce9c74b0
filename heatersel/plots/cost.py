"""The picture of what an option costs."""

from __future__ import annotations

from itertools import accumulate

from heatersel.cost.report import CostReport, OptionReport
from heatersel.display import Display
from heatersel.job.models import MONTHS
from heatersel.plots.figure import Figure, Panel, Series

__all__ = ["cost_figure"]

_MOST_OPTIONS = 8
_MOST_LINES = 4
_WIDTH = 420  # whole names of heaters, and letters that a phone shows large enough


def cost_figure(report: CostReport, option_id: str, show: Display) -> Figure:
    """Return bill by month, cost over the years and spread of all options, as a figure.

    Parameters
    ----------
    report : CostReport
        All options.
    option_id : str
        The one whose bills are drawn.
    show : Display
        Units of the names.
    """
    option = report.option(option_id)
    sign = "C$" if option.cost.currency == "CAD" else "$"
    leading = [o for o in _best_of_each_kind(report, option) if o.cost.band][:_MOST_OPTIONS]
    rivals = leading[1:_MOST_LINES]
    bands = [o.cost.band for o in leading if o.cost.band]
    return Figure(
        title=f"What the {show.heater_name(option.name)} costs",
        sentence=option.sentences[0] if option.sentences else "",
        width=_WIDTH,
        panels=(
            Panel(
                title="Its part of the bills, by month",
                x=tuple(month[:3].title() for month in MONTHS),
                series=tuple(
                    Series(
                        name=source.value.replace("_", " "),
                        values=tuple(float(m) for m in bill.monthly),
                        shape="bar",
                    )
                    for source, bill in option.cost.bills.items()
                ),
                y_label=f"{sign} a month",
            ),
            Panel(
                title="All costs up to each year, in today's money",
                x=tuple(float(year.year) for year in option.ledger),
                series=tuple(
                    Series(
                        name=show.heater_name(o.name),
                        values=tuple(accumulate(year.present_value for year in o.ledger)),
                        shape="step",
                    )
                    for o in (option, *rivals)
                ),
                x_label="years from now",
                y_label=sign,
            ),
            Panel(
                title="Cost over all the years: middle, and the span of 8 in 10 futures",
                x=tuple(show.heater_name(o.name) for o in leading),
                series=(
                    Series(
                        name="middle",
                        shape="span",
                        values=tuple(b.p50 for b in bands),
                        low=tuple(b.p10 for b in bands),
                        high=tuple(b.p90 for b in bands),
                    ),
                ),
                y_label=sign,
            ),
        ),
    )


def _best_of_each_kind(report: CostReport, option: OptionReport) -> list[OptionReport]:
    """Return the option, then the cheapest of each other construction."""
    kept = {_kind(option): option}
    for other in report.options:
        kept.setdefault(_kind(other), other)
    return list(kept.values())


def _kind(option: OptionReport) -> tuple[str, ...]:
    """Return what tells constructions apart: the name without its sizes."""
    return tuple(part for part in option.name.split(", ") if not part[:1].isdigit())
