"""The demand report: everything there is to show."""

from __future__ import annotations

import json

import numpy as np
import pytest

from heatersel.api import demand_of_job, size
from heatersel.demand.report import DRAW_COLUMNS, DemandReport, demand_report, draw_rows
from heatersel.job.load import parse_job
from heatersel.job.models import Fixture


@pytest.fixture(scope="module")
def report() -> DemandReport:
    monthly = [f"{t} therm" for t in (165, 140, 112, 68, 33, 17, 16, 16, 22, 62, 105, 152)]
    tables = {
        "household": {
            "occupants": {"adults": 2, "teenagers": 1, "children": 1},
            "bills": {"fuel": "natural_gas", "monthly": monthly},
        },
        "place": {"climate": "Duluth, MN", "main_depth": "7 ft"},
        "home": {"fuels": ["natural_gas", "electricity"]},
    }
    return demand_report(parse_job(tables), n_years=2)


def test_plain_fields_carry_the_contract(report: DemandReport) -> None:
    fields = report.as_dict()

    assert set(fields["busiest_hour_hot_l"]) == {"p50", "p95", "p99"}
    assert set(fields["peak_flow_l_per_min"]) == {"p50", "p95", "p99"}
    assert set(fields["by_fixture_l"]) <= {fixture.value for fixture in Fixture}
    assert {"daily_hot_water_l", "low_l", "high_l", "cv_rmse", "accepted"} <= set(fields["bills"])
    assert json.loads(json.dumps(fields)) == fields


def test_percentiles_rise(report: DemandReport) -> None:
    for three in (
        report.busiest_hour_l, report.busiest_hour_design_l, report.peak_flow_l_per_min,
        report.peak_flow_given_busy_l_per_min,
    ):  # fmt: skip
        assert list(three.values()) == sorted(three.values())
    assert (np.diff(report.busiest_hour_curve_l) >= 0.0).all()


def test_the_coldest_inlet_asks_for_more(report: DemandReport) -> None:
    assert report.busiest_hour_design_l["p50"] > report.busiest_hour_l["p50"]


def test_the_methods_of_flow_stand_in_their_order(report: DemandReport) -> None:
    exact, given_busy = (
        report.peak_flow_l_per_min["p99"],
        report.peak_flow_given_busy_l_per_min["p99"],
    )

    assert exact <= given_busy <= report.method_1940_l_per_min
    assert report.modified_normal_l_per_min > given_busy


def test_the_hours_of_the_day_add_up(report: DemandReport) -> None:
    weekday, weekend = report.hot_by_hour_l.sum(axis=1)
    days_at_home = 351
    daily = report.demand.daily_hot_water_l * 365 / days_at_home

    assert (5 * weekday + 2 * weekend) / 7 == pytest.approx(daily, rel=0.03)


def test_inlets_and_depths_are_shown(report: DemandReport) -> None:
    fields = report.as_dict()

    assert fields["inlet"]["method"] == "soil_at_depth"
    assert {other["method"] for other in fields["other_inlets"]} == {"mains_correlation", "well"}
    assert len(fields["depth_effects"]) == 4


def test_the_worksheet_is_explained(report: DemandReport) -> None:
    assert "whatever the cold water" in report.why_not_the_worksheet
    assert set(report.demand.worksheet_l) == {"older", "middle", "later"}


def test_draws_become_rows_under_their_headings(report: DemandReport) -> None:
    rows = list(draw_rows(report.year, report.hot_share_by_day))
    by_name = [dict(zip(DRAW_COLUMNS, row, strict=True)) for row in rows]

    assert len(rows) == report.as_dict()["n_draws"]
    assert sum(row["hot_water [L]"] for row in by_name) / 365 == pytest.approx(
        report.demand.daily_hot_water_l, rel=0.005
    )
    assert all(0 <= row["start [s]"] < 86_400 and 0 <= row["day"] < 365 for row in by_name)
    machine = next(row for row in by_name if row["fixture"] == "dishwasher")
    assert machine["mixed_temperature [degC]"] == ""


def test_demand_and_size_say_the_same() -> None:
    job = parse_job({"household": {"occupants": 3}, "place": {"climate": "Duluth, MN"}})

    assert demand_of_job(job).demand.as_dict() == size(job).demand.as_dict()
