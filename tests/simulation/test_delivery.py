"""The busiest week at the coldest inlet, and the smallest tank that gets through it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.draw_year import draw_year
from heatersel.errors import OutOfRangeError
from heatersel.heaters.catalogue import load_heaters
from heatersel.job.load import parse_job
from heatersel.simulation.delivery import design_week, smallest_adequate
from heatersel.simulation.heat_pump import daily_tables
from heatersel.simulation.rating_test import calibrated
from heatersel.simulation.year import TankSite

HEATERS = {heater.id: heater for heater in load_heaters().heaters}
GAS_IDS = ("gas-tank-30", "gas-tank-50", "gas-tank-75", "gas-tank-100")
GAS = calibrated(tuple(HEATERS[id_] for id_ in GAS_IDS))[0]
JOB = parse_job({"household": {"occupants": 4}, "place": {"climate": "Duluth, MN"}})
YEARS = [draw_year(plan_draws(JOB.household), 1, year) for year in range(2)]
INLET_C = 10.0 - 7.0 * np.cos(2.0 * np.pi * (np.arange(365) - 45) / 365.0)
SITE = TankSite(inlet_c=INLET_C, room_c=np.full(365, 16.0), setpoint_c=52.0, use_temp_c=40.5)


def test_larger_tanks_run_short_less():
    weeks = design_week(GAS, YEARS, SITE)
    minutes = [week.short_minutes for week in weeks]
    assert minutes == sorted(minutes, reverse=True)
    assert weeks[0].short_days > 0
    assert weeks[-1].is_adequate


def test_the_week_is_the_busiest_of_all_years():
    week = design_week(GAS[:1], YEARS, SITE)[0]
    weekly_l = [
        np.bincount(year.day, weights=year.mixed_l, minlength=365)[d : d + 7].sum()
        for year in YEARS
        for d in range(359)
    ]
    assert week.asked_l == pytest.approx(max(weekly_l))


def test_a_warmer_inlet_helps():
    cold = design_week(GAS[:2], YEARS, SITE)
    warm = design_week(GAS[:2], YEARS, replace(SITE, inlet_c=INLET_C + 8.0))
    for before, after in zip(cold, warm, strict=True):
        assert after.short_minutes < before.short_minutes


def test_the_coldest_moment_is_not_below_the_inlet():
    for week in design_week(GAS[:2], YEARS, SITE):
        assert INLET_C.min() - 0.01 <= week.coldest_c < 40.5


def test_the_smallest_adequate_tank_is_found_by_scanning():
    assert smallest_adequate(GAS, YEARS, SITE).heater.id == "gas-tank-75"
    assert smallest_adequate(GAS[:2], YEARS, SITE) is None


def test_the_order_of_the_sizes_changes_nothing():
    assert smallest_adequate(GAS[::-1], YEARS, SITE) == smallest_adequate(GAS, YEARS, SITE)


def test_a_smaller_tank_below_a_failing_one_is_not_taken(monkeypatch):
    # A slow heater can pass at one size, fail at the next and pass again above.
    from heatersel.simulation import delivery

    weeks = {week.heater_id: week for week in design_week(GAS, YEARS, SITE)}
    passes = {"gas-tank-30": True, "gas-tank-50": False, "gas-tank-75": True, "gas-tank-100": True}
    told = {id_: replace(week, short_days=0 if passes[id_] else 1) for id_, week in weeks.items()}
    monkeypatch.setattr(
        delivery, "design_week", lambda models, *_: tuple(told[m.heater.id] for m in models)
    )
    assert smallest_adequate(GAS, YEARS, SITE).heater.id == "gas-tank-75"


def test_heat_pumps_are_judged_in_the_air_of_the_coldest_inlet():
    (model,) = calibrated((HEATERS["plug-in-heat-pump-50"],))[0]
    days = daily_tables(
        model.heater, np.full(365, 12.0), np.full(365, 0.5), cop_scale=model.cop_scale
    )
    site = replace(SITE, pump_days={model.heater.id: days})
    assert design_week([model], YEARS, site)[0].short_days > 0


def test_no_year_is_refused():
    with pytest.raises(OutOfRangeError, match="make a year of draws"):
        design_week(GAS, [], SITE)


def test_no_heater_is_no_work():
    assert design_week([], YEARS, SITE) == ()
