"""A year of tanks in a house: sums, independence, and the closed form beside it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import jobs

from heatersel.climate import climate
from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.draw_year import draw_year
from heatersel.demand.inlet import inlet_for
from heatersel.errors import OutOfRangeError
from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import EnergySource
from heatersel.job.load import parse_job
from heatersel.simulation.balance import YearConditions, balance_year
from heatersel.simulation.heat_pump import daily_tables
from heatersel.simulation.heat_pump_control import ControlMode, HeatPumpControl
from heatersel.simulation.moist_air import wet_bulb_c
from heatersel.simulation.rating_test import calibrated
from heatersel.simulation.year import MONTH_OF_DAY, TankSite, simulate_tanks
from heatersel.water import WATER_KWH_PER_L_K, heat_kwh

HEATERS = {heater.id: heater for heater in load_heaters().heaters}
IDS = ("gas-tank-50", "gas-power-vent-50", "electric-tank-50", "heat-pump-65", "split-heat-pump-85")
MODELS = calibrated(tuple(HEATERS[id_] for id_ in IDS))[0]
JOB = parse_job({"household": {"occupants": 3}, "place": {"climate": "Duluth, MN"}})
PLAN = plan_draws(JOB.household)
YEARS = [draw_year(PLAN, 1, year) for year in range(2)]
INLET_C = inlet_for(JOB.place, climate("Duluth, MN")).daily_c
ROOM_C, HUMIDITY = np.full(365, 18.0), np.full(365, 0.5)


def site_for(models, **changes):
    days = {
        m.heater.id: daily_tables(m.heater, ROOM_C, HUMIDITY, cop_scale=m.cop_scale)
        for m in models
        if m.is_heat_pump
    }
    given = {"inlet_c": INLET_C, "room_c": ROOM_C, "setpoint_c": 52.0, "use_temp_c": 40.5,
             "pump_days": days}  # fmt: skip
    return TankSite(**(given | changes))


@pytest.fixture(scope="module")
def results():
    return dict(zip(IDS, simulate_tanks(MODELS, YEARS, site_for(MODELS)), strict=True))


@pytest.mark.parametrize("id_", IDS)
def test_the_balance_of_every_month_closes(results, id_):
    assert results[id_].balance_error_frac < 1e-9


@pytest.mark.parametrize("id_", IDS)
def test_hours_add_up_to_the_months_of_the_first_year(id_):
    model = MODELS[IDS.index(id_)]
    annual = simulate_tanks([model], YEARS[:1], site_for([model]))[0].annual
    for source, hours in annual.hourly_kwh.items():
        months = np.bincount(np.repeat(MONTH_OF_DAY, 24), weights=hours)
        assert months == pytest.approx(annual.monthly_kwh[source], rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("id_", IDS)
def test_energy_covers_heat_drawn_and_lost(results, id_):
    annual, model = results[id_].annual, MODELS[IDS.index(id_)]
    used = sum(annual.energy_kwh.values()) - annual.auxiliary_kwh
    used += results[id_].air_kwh_by_month.sum()
    made = annual.delivered_kwh + annual.standby_loss_kwh
    if model.is_heat_pump:
        lost_in_elements = 0.02 * annual.resistance_kwh
        assert used - lost_in_elements == pytest.approx(made, rel=0.002)
    else:
        assert used * model.fuel_conversion == pytest.approx(made, rel=0.002)


@pytest.mark.parametrize(("id_", "within"), [("gas-tank-50", 0.04), ("electric-tank-50", 0.04),
                                             ("gas-power-vent-50", 0.04)])  # fmt: skip
def test_the_closed_form_is_near(results, id_, within):
    annual = results[id_].annual
    day_heat = results[id_].hot_l_per_year / 365.0
    per_l = heat_kwh(1.0, INLET_C, np.full(365, 52.0))
    hot_l = annual.delivered_kwh / per_l.sum() * np.ones(365)
    assert day_heat == pytest.approx(hot_l.mean(), rel=0.1)
    conditions = YearConditions(
        hot_l=hot_l, inlet_c=INLET_C, room_c=ROOM_C,
        room_wet_bulb_c=np.asarray(wet_bulb_c(ROOM_C, HUMIDITY)), setpoint_c=52.0,
    )  # fmt: skip
    closed = sum(balance_year(HEATERS[id_], conditions).energy_kwh.values())
    assert sum(annual.energy_kwh.values()) == pytest.approx(closed, rel=within)


def test_the_number_of_threads_changes_no_bit():
    one, all_ = (simulate_tanks(MODELS, YEARS, site_for(MODELS), threads=n) for n in (1, None))
    for a, b in zip(one, all_, strict=True):
        assert a.annual.delivered_kwh == b.annual.delivered_kwh
        for source in a.annual.monthly_kwh:
            assert a.annual.monthly_kwh[source].tobytes() == b.annual.monthly_kwh[source].tobytes()


def test_the_order_of_the_heaters_changes_no_bit(results):
    again = simulate_tanks(MODELS[::-1], YEARS, site_for(MODELS))
    for result in again:
        before = results[result.annual.heater_id].annual
        assert result.annual.energy_kwh == before.energy_kwh
        assert result.annual.delivery.short_minutes_per_year == (
            before.delivery.short_minutes_per_year
        )


def test_a_colder_inlet_takes_more_energy(results):
    colder = simulate_tanks(MODELS[:3], YEARS, site_for(MODELS[:3], inlet_c=INLET_C - 1.0))
    for result in colder:
        before = results[result.annual.heater_id].annual
        assert sum(result.annual.energy_kwh.values()) > sum(before.energy_kwh.values())


def test_a_nightly_setback_of_an_insulated_tank_saves_next_to_nothing():
    by_hour = np.tile(np.where(np.arange(24) < 5, 45.0, 52.0), 365)
    models = MODELS[:1]
    plain, set_back = (
        simulate_tanks(models, YEARS, site_for(models, setpoint_c=s))[0].annual
        for s in (52.0, by_hour)
    )
    saved = 1.0 - sum(set_back.energy_kwh.values()) / sum(plain.energy_kwh.values())
    # Five hours without firing let the store fall by a kelvin or two of forty.
    assert -0.002 < saved < 0.02


def test_modes_of_a_heat_pump_do_what_they_say():
    model = MODELS[IDS.index("heat-pump-65")]
    modes = {
        mode: simulate_tanks(
            [replace(model, control=HeatPumpControl(mode=mode))], YEARS, site_for([model])
        )[0].annual
        for mode in (
            ControlMode.COMPRESSOR_FIRST, ControlMode.COMPRESSOR_ONLY, ControlMode.ELEMENTS_ONLY,
        )
    }  # fmt: skip
    first, only, elements = modes.values()
    assert only.resistance_kwh == 0.0 < first.resistance_kwh
    assert elements.resistance_kwh == pytest.approx(
        elements.energy_kwh[EnergySource.ELECTRICITY] - elements.auxiliary_kwh, rel=1e-6
    )
    assert only.missed_kwh >= first.missed_kwh
    assert elements.energy_kwh[EnergySource.ELECTRICITY] > 2.0 * sum(only.energy_kwh.values())


def test_a_tempering_valve_changes_the_energy_little():
    model = MODELS[0]
    with_valve = replace(model, tempering_valve_c=49.0)
    plain, mixed = (
        simulate_tanks([m], YEARS, site_for([m], setpoint_c=60.0))[0].annual.delivered_kwh
        for m in (model, with_valve)
    )
    assert 0.85 * plain < mixed <= plain


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"inlet_c": np.full(12, 8.0)}, "inlet temperatures"),
        ({"room_c": np.full(365, np.nan)}, "room temperatures"),
        ({"setpoint_c": 5.0}, "above the warmest inlet"),
        ({"pump_days": {}}, "heat-pump-65: days of the heat pump"),
    ],
)
def test_what_a_house_cannot_be_is_refused(changes, said):
    with pytest.raises(OutOfRangeError, match=said):
        simulate_tanks(MODELS, YEARS[:1], site_for(MODELS, **changes))


def test_no_year_of_draws_is_refused():
    with pytest.raises(OutOfRangeError, match="make a year of draws"):
        simulate_tanks(MODELS, [], site_for(MODELS))


def test_no_heater_is_no_work():
    assert simulate_tanks([], YEARS, site_for(MODELS)) == ()


@pytest.mark.parametrize("inlet_c", [2.0, 10.0, 20.0, 30.0])
@pytest.mark.parametrize("setpoint_c", [45.0, 52.0, 60.0, 70.0])
def test_one_heat_capacity_stays_within_the_stated_error(inlet_c, setpoint_c):
    if setpoint_c - inlet_c >= 20.0:
        exact = heat_kwh(1.0, inlet_c, setpoint_c)
        assert WATER_KWH_PER_L_K * (setpoint_c - inlet_c) == pytest.approx(exact, rel=0.012)


@settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(job=jobs(), seed=st.integers(0, 99))
def test_no_valid_job_gives_anything_but_numbers(job, seed):
    inlet = inlet_for(job.place, climate(job.place.climate)).daily_c
    year = draw_year(plan_draws(job.household), seed)
    setpoint_c = max(float(job.preferences.setpoint_c), float(inlet.max()) + 5.0)
    site = site_for(
        MODELS, inlet_c=inlet, setpoint_c=setpoint_c, use_temp_c=job.household.use_temp_c
    )
    for result in simulate_tanks(MODELS, [year], site):
        annual = result.annual
        for months in annual.monthly_kwh.values():
            assert np.all(np.isfinite(months))
            assert np.all(months >= 0.0)
        assert np.isfinite(annual.delivered_kwh)
        assert result.balance_error_frac < 1e-9
        assert 0.0 <= annual.delivery.short_days_per_year <= 365.0
