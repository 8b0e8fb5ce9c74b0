"""The picture of a household's demand."""

from __future__ import annotations

import pytest

from heatersel.demand.report import DemandReport, demand_report
from heatersel.job.load import parse_job
from heatersel.plots.demand import demand_figure
from heatersel.plots.figure import figure_svg

GAL = 3.785411784


@pytest.fixture(scope="module")
def report() -> DemandReport:
    tables = {
        "household": {"occupants": 4, "fixtures": {"shower": 2}},
        "place": {"climate": "Duluth, MN"},
    }
    return demand_report(parse_job(tables), n_years=1)


def test_every_view_of_the_terminal_has_its_panel(report: DemandReport):
    titles = [panel.title for panel in demand_figure(report).panels]

    assert len(titles) == 5
    for word in ("mean day", "drawn", "busiest hour", "one moment", "cold"):
        assert any(word in title for title in titles)


def test_the_day_ends_at_midnight(report: DemandReport):
    hours = demand_figure(report).panels[1]

    assert hours.x[-1] == 24.0
    for series, by_hour in zip(hours.series, report.hot_by_hour_l, strict=True):
        assert sum(series.values[:-1]) * GAL == pytest.approx(by_hour.sum())


def test_the_curve_of_flow_meets_the_percentiles(report: DemandReport):
    curve = demand_figure(report).panels[3].series[0].values

    for name, percent in (("p50", 50), ("p95", 95), ("p99", 99)):
        assert curve[percent] * GAL == pytest.approx(report.peak_flow_given_busy_l_per_min[name])


def test_it_can_be_drawn(report: DemandReport):
    assert figure_svg(demand_figure(report)).count("<text") > 40
