"""Shifting with the real simulation: the saving is real and nobody pays for it with cold water."""

from __future__ import annotations

import numpy as np
import pytest

from heatersel.api import shift_of_job
from heatersel.chain import house_of, house_year
from heatersel.cost.bill import Use, household_bill
from heatersel.heaters.catalogue import HeaterList, heater_by_id, load_heaters
from heatersel.heaters.heater import EnergySource
from heatersel.job.load import parse_job, read_toml
from heatersel.job.what_if import changed
from heatersel.reference import dataset_path
from heatersel.simulation.annual import simulate_options, simulate_schedule
from heatersel.sized_job import size_job

POWER = EnergySource.ELECTRICITY
TABLES = read_toml(dataset_path("jobs/town-house-ca.toml"))
JOB = parse_job(TABLES, "")
TANK = heater_by_id(load_heaters().heaters, "electric-tank-80-grid")
CONTROLS_KWH = 0.001 * TANK.aux_standby_w + 1e-9
HOUR = np.arange(8760) % 24


@pytest.fixture(scope="module")
def shift():
    return shift_of_job(JOB, TANK, n_years=2, most_runs=12)


@pytest.fixture(scope="module")
def year():
    return house_year(house_of(size_job(JOB, HeaterList(heaters=(TANK,)))), 2)


def test_a_large_tank_waits_for_the_cheap_hours(shift):
    assert shift.saving_per_year > 20.0
    assert shift.short_days <= shift.short_days_before
    used_kwh = shift.annual.hourly_kwh[POWER][shift.schedule.blocked]
    assert used_kwh.max() <= CONTROLS_KWH


def test_what_it_does_without_a_timer_is_the_ordinary_year(year):
    free = simulate_schedule(
        TANK, year, setpoint_c=year.setpoint_c, blocked=np.zeros(8760, dtype=bool)
    )
    ordinary = simulate_options([TANK], year).annual[TANK.id]

    np.testing.assert_array_equal(free.hourly_kwh[POWER], ordinary.hourly_kwh[POWER])


@pytest.mark.parametrize("id_", [TANK.id, "heat-pump-65", "split-heat-pump-85"])
def test_no_heat_is_made_in_blocked_hours_and_the_rest_catches_up(year, id_):
    heater = heater_by_id(load_heaters().heaters, id_)
    blocked = (HOUR >= 16) & (HOUR < 21)
    free, held = (
        simulate_schedule(heater, year, setpoint_c=year.setpoint_c, blocked=b)
        for b in (np.zeros(8760, dtype=bool), blocked)
    )

    assert free.hourly_kwh[POWER][blocked].sum() > 150.0
    assert held.hourly_kwh[POWER][blocked].max() <= 0.001 * heater.aux_standby_w + 1e-9
    assert held.delivered_kwh == pytest.approx(free.delivered_kwh, rel=0.02)


@pytest.mark.parametrize("id_", ["gas-tank-50", "electric-tankless-27"])
def test_only_electric_storage_is_shifted(id_):
    assert shift_of_job(JOB, heater_by_id(load_heaters().heaters, id_)) is None


def test_a_timer_on_another_plan_is_set_against_the_plan_of_today():
    tariffs = {table.name: table for table in JOB.prices.electricity}
    tiered = tariffs.pop("tiered")
    prices = JOB.prices.model_copy(update={"electricity": (tiered, *tariffs.values())})
    found = shift_of_job(JOB.model_copy(update={"prices": prices}), TANK, n_years=1, most_runs=4)
    house = house_of(size_job(JOB, HeaterList(heaters=(TANK,))))
    basis = house.basis
    plans = {plan.name: plan for plan in (basis.tariffs[POWER], *basis.plans[POWER])}
    ordinary = simulate_options([TANK], house_year(house, 1)).annual[TANK.id]

    def whole_bill(plan, annual):
        own = Use(monthly_kwh=annual.monthly_kwh[POWER], hourly_kwh=annual.hourly_kwh[POWER])
        return household_bill(plans[plan], basis.other_use[POWER] + own, basis.bill_year).annual

    assert found.today_plan == "tiered"
    without = {plan: whole_bill(plan, ordinary) for plan in plans if plan != "tiered"}
    assert found.plan == min(without, key=without.get)
    assert found.lower_than_today == pytest.approx(
        whole_bill("tiered", ordinary) - whole_bill(found.plan, found.annual)
    )


def test_a_flat_price_with_power_to_spare_on_the_roof_is_worth_a_timer():
    tables = read_toml(dataset_path("jobs/warm-bungalow.toml"))
    tables["prices"]["electricity"] = "0.25 USD/kWh"
    tables["prices"]["solar"] = {
        "surplus": np.where((HOUR >= 9) & (HOUR < 16), 3.0, 0.0).tolist(),
        "export_price": "0.03 USD/kWh",
    }

    found = shift_of_job(parse_job(tables, ""), TANK, n_years=2, most_runs=20)

    assert found.saving_per_year > 60.0
    assert found.short_days <= found.short_days_before
    assert found.schedule.blocked.reshape(365, 24)[:, 2:8].all()


def test_a_flat_price_has_no_hours_to_shift_to():
    flat = parse_job(changed(TABLES, "prices.electricity", "0.14 CAD/kWh"), "")

    assert shift_of_job(flat, TANK) is None
