"""A January morning minute by minute, held to the ordinary year and to known limits."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from heatersel.api import morning
from heatersel.chain import house_of, house_year
from heatersel.demand.draw_year import FIXTURES
from heatersel.heaters.catalogue import HeaterList, heater_by_id, load_heaters
from heatersel.job.load import load_job
from heatersel.job.models import Fixture
from heatersel.reference import dataset_path
from heatersel.simulation.annual import simulate_options
from heatersel.simulation.morning import FIRST_MINUTE, N_MINUTES, Morning, mornings
from heatersel.sized_job import size_job

IDS = (
    "gas-tank-30", "gas-tank-75", "electric-tank-50", "heat-pump-80", "split-heat-pump-85",
    "gas-tankless-condensing-199", "electric-tankless-36",
)  # fmt: skip
TANKS, TANKLESS = IDS[:5], IDS[5:]
HEATERS = {id_: heater_by_id(load_heaters().heaters, id_) for id_ in IDS}
JOB = load_job(dataset_path("jobs/cold-family.toml"))


@cache
def house():
    sized = size_job(JOB, HeaterList(heaters=tuple(HEATERS.values())))
    return house_year(house_of(sized), 1)


@cache
def found() -> dict[str, Morning]:
    return {one.heater_id: one for one in mornings(tuple(HEATERS.values()), house())}


@cache
def years():
    return simulate_options(tuple(HEATERS.values()), house()).annual


def draws_of_the_morning():
    draws = house().years[0]
    minute = (draws.start_s - 86400.0 * found()[IDS[0]].day) / 60.0
    inside = (minute >= FIRST_MINUTE) & (minute < FIRST_MINUTE + N_MINUTES)
    return draws, inside


def test_all_heaters_meet_the_same_january_morning():
    assert {one.day for one in found().values()} <= set(range(31))
    assert len({one.day for one in found().values()}) == 1
    running = [
        [(one.fixture, one.number, np.isfinite(one.temp_c).tolist()) for one in told.fixtures]
        for told in found().values()
    ]
    assert all(one == running[0] for one in running)


def test_it_is_the_busiest_morning_of_the_coldest_week():
    draws, inside = draws_of_the_morning()
    inlet_c = house().inlet_c[:31]
    first = min(range(25), key=lambda n: inlet_c[n : n + 7].mean())
    drawn_l = []
    for day in range(first, first + 7):
        minute = (draws.start_s - 86400.0 * day) / 60.0
        early = (minute >= FIRST_MINUTE) & (minute < FIRST_MINUTE + N_MINUTES)
        drawn_l.append(draws.mixed_l[early].sum())

    assert draws.mixed_l[inside].sum() == pytest.approx(max(drawn_l))


@pytest.mark.parametrize("id_", IDS)
def test_the_energy_is_that_of_the_ordinary_year(id_):
    heater, told = HEATERS[id_], found()[id_]
    hours = slice(24 * told.day + 5, 24 * told.day + 11)
    used = years()[id_].hourly_kwh[heater.energy_source][hours].sum()
    # The year also counts the pilot while the burner rests, and controls.
    resting_h = 6.0 - told.energy_kwh / max(heater.input_kw, told.input_kw.max())
    idle_w = heater.pilot_w + (0.0 if heater.burns_fuel else heater.aux_standby_w)

    assert told.energy_kwh == pytest.approx(used - 0.001 * idle_w * resting_h, rel=0.005)


@pytest.mark.parametrize("id_", IDS)
def test_no_fixture_is_colder_than_the_inlet_or_warmer_than_it_asked(id_):
    told = found()[id_]
    for one in told.fixtures:
        ran = one.temp_c[np.isfinite(one.temp_c)]

        assert ran.size
        assert ran.min() > house().inlet_c[told.day] - 0.5
        assert ran.max() <= house().setpoint_c + 7.0  # a tank may stand above, by its deadband


def test_a_fixture_runs_in_the_minutes_of_its_draws():
    draws, inside = draws_of_the_morning()
    at = np.flatnonzero(inside & (draws.fixture == FIXTURES.index(Fixture.SHOWER)))
    day_s = 86400.0 * found()[IDS[0]].day
    begun = {int((draws.start_s[n] - day_s) // 60.0) - FIRST_MINUTE for n in at}

    showers = [one for one in found()[IDS[0]].fixtures if one.fixture is Fixture.SHOWER]
    runs = np.any([np.isfinite(one.temp_c) for one in showers], axis=0)

    assert begun
    assert all(runs[minute] for minute in begun)


def test_a_small_tank_runs_out_and_a_large_one_does_not():
    small, large = found()["gas-tank-30"], found()["gas-tank-75"]

    assert small.short_s.sum() > 0.0
    assert small.coldest_c < house().use_temp_c
    assert large.short_s.sum() == 0.0
    assert large.coldest_c > house().use_temp_c - 0.1
    assert small.charge_frac.min() < large.charge_frac.min()


@pytest.mark.parametrize("id_", TANKS)
def test_a_store_stays_between_empty_and_full(id_):
    charge = found()[id_].charge_frac

    assert charge.shape == (N_MINUTES,)
    assert 0.0 <= charge.min() < charge.max() <= 1.0


@pytest.mark.parametrize("id_", TANKLESS)
def test_without_a_tank_there_is_no_charge_and_each_start_waits(id_):
    told = found()[id_]

    assert np.all(np.isnan(told.charge_frac))
    assert told.wait_s > 0.0
    firing = told.input_kw > 0.0
    running = np.any([np.isfinite(one.temp_c) for one in told.fixtures], axis=0)
    assert not np.any(firing & ~running)


def test_input_stays_below_the_rating():
    for id_, told in found().items():
        heater = HEATERS[id_]
        if heater.kind.value != "heat_pump_storage":
            assert told.input_kw.max() <= heater.input_kw * 1.001
        assert told.backup_kw.max() <= heater.upper_input_kw * 1.001 + heater.input_kw


def test_a_tempering_valve_caps_what_machines_get():
    valve_c = 46.0
    capped = mornings([HEATERS["gas-tank-75"]], replace(house(), tempering_valve_c=valve_c))[0]

    assert max(float(np.nanmax(one.temp_c)) for one in capped.fixtures) <= valve_c + 1e-6


def test_a_tankless_heater_that_cuts_the_flow_keeps_it_warm():
    weak = replace(HEATERS["electric-tankless-36"], id="weak", input_kw=12.0)
    sags = mornings([weak], house())[0]
    cuts = mornings([weak], replace(house(), throttles=True))[0]

    def shower_c(told):
        return min(
            float(np.nanmedian(one.temp_c))
            for one in told.fixtures
            if one.fixture is Fixture.SHOWER
        )

    assert shower_c(sags) < shower_c(cuts)


def test_the_public_function_takes_a_job_and_the_heaters_of_its_options():
    told = morning(JOB, [HEATERS["gas-tank-75"], HEATERS["gas-tankless-condensing-199"]])

    assert [one.heater_id for one in told] == ["gas-tank-75", "gas-tankless-condensing-199"]
    ours = found()["gas-tank-75"]
    assert told[0].energy_kwh == pytest.approx(ours.energy_kwh)
