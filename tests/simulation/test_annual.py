"""All options of one house: what a loop, a mode and the house's air add to their years."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from heatersel.chain import house_of, house_year
from heatersel.heaters.catalogue import HeaterList, heater_by_id, load_heaters
from heatersel.heaters.heater import EnergySource
from heatersel.job.load import load_job
from heatersel.job.services import HotPipe, LoopPump
from heatersel.reference import dataset_path
from heatersel.simulation.annual import simulate_options
from heatersel.simulation.distribution import loop_of
from heatersel.simulation.heat_pump_control import ControlMode, HeatPumpControl
from heatersel.simulation.tankless import efficiency
from heatersel.sized_job import size_job

GAS, POWER = EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY
IDS = ("gas-tank-75", "heat-pump-80", "split-heat-pump-85", "gas-tankless-condensing-199")
HEATERS = tuple(heater_by_id(load_heaters().heaters, id_) for id_ in IDS)


@cache
def house(pump: LoopPump | None = None):
    job = load_job(dataset_path("jobs/cold-family.toml"))
    found = house_year(house_of(size_job(job, HeaterList(heaters=HEATERS))), 1)
    pipe = HotPipe(length="40 ft", loop_pump=pump)
    loop = loop_of(pipe, hot_c=found.setpoint_c, room_c=found.air.air.mean_c)
    return replace(found, loop=loop)


@cache
def years(pump: LoopPump | None = None):
    return simulate_options(HEATERS, house(pump)).annual


@pytest.mark.parametrize("id_", IDS)
@pytest.mark.parametrize("pump", [LoopPump.DEMAND, LoopPump.CONTINUOUS])
def test_a_loop_costs_every_option_its_pump_and_its_heat(id_, pump):
    alone, looped, loop = years()[id_], years(pump)[id_], house(pump).loop
    more_kwh = sum(looped.energy_kwh.values()) - sum(alone.energy_kwh.values())
    # No heater here makes more than 5 units of heat from one of energy.
    assert more_kwh > loop.pump_kwh + loop.loss_kwh / 5.0
    assert looped.auxiliary_kwh > 0.999 * loop.pump_kwh
    assert looped.standby_loss_kwh > alone.standby_loss_kwh + 0.7 * loop.loss_kwh
    assert any("recirculation loop" in note for note in looped.notes)


def test_a_tankless_heater_fires_for_the_loop_at_the_returning_waters_efficiency():
    alone, looped = (years(pump)[IDS[3]] for pump in (None, LoopPump.TIMER))
    loop = house(LoopPump.TIMER).loop
    conversion = efficiency(HEATERS[3], np.array([loop.return_c]), house().setpoint_c)[0]
    assert looped.energy_kwh[GAS] - alone.energy_kwh[GAS] == pytest.approx(
        loop.loss_kwh / conversion
    )
    assert looped.energy_kwh[POWER] - alone.energy_kwh[POWER] == pytest.approx(loop.pump_kwh)
    assert conversion < HEATERS[3].recovery_efficiency


def test_warm_return_hurts_the_single_pass_unit_most():
    """R744 lives on cold water: it pays more for a loop than another heat pump does."""
    r134a, r744 = (
        years(LoopPump.CONTINUOUS)[id_].energy_kwh[POWER] / years()[id_].energy_kwh[POWER]
        for id_ in IDS[1:3]
    )
    assert r744 > 1.3 * r134a


@pytest.mark.parametrize("id_", IDS)
def test_hours_still_add_up_to_the_months(id_):
    found = years(LoopPump.CONTINUOUS)[id_]
    for source, months in found.monthly_kwh.items():
        hours = found.hourly_kwh[source]
        assert hours.shape == (8760,)
        # hours are of the first of the seeded years, and there is one
        assert hours.sum() == pytest.approx(months.sum(), rel=1e-3)


def test_loop_heat_warms_the_house():
    alone, looped = (years(pump)[IDS[0]] for pump in (None, LoopPump.CONTINUOUS))
    assert looped.space_heating_effect_kwh > alone.space_heating_effect_kwh > 0.0


def test_a_house_without_a_system_charges_nothing():
    found = simulate_options(HEATERS[:2], replace(house(), system=None)).annual
    assert all(year.space_energy_kwh == {} for year in found.values())
    assert all(year.space_heating_effect_kwh == 0.0 for year in found.values())


def cooled_by(mode: ControlMode, hours: tuple[bool, ...] = (True,) * 24):
    at = replace(house(), control=HeatPumpControl(mode=mode, compressor_hours=hours))
    return simulate_options(HEATERS[1:2], at).annual["heat-pump-80"]


def test_elements_alone_cool_no_room():
    elements = cooled_by(ControlMode.ELEMENTS_ONLY)

    alone_c = min(house().air.air.mean_c)
    assert elements.condensate_l == 0.0
    assert not [note for note in elements.notes if "cools" in note or "noise" in note]
    assert min(elements.room_monthly_c) > alone_c  # its tank warms the room


def test_a_compressor_with_few_hours_cools_the_room_less():
    always = cooled_by(ControlMode.COMPRESSOR_FIRST)
    seldom = cooled_by(ControlMode.SCHEDULE, tuple(9 <= hour < 16 for hour in range(24)))

    assert 0.0 < seldom.condensate_l < 0.7 * always.condensate_l
    assert min(seldom.room_monthly_c) > min(always.room_monthly_c) + 0.5


@pytest.mark.parametrize("id_", ["electric-tank-50", "heat-pump-50"])
def test_elements_at_a_low_voltage_warm_less_and_say_so(id_):
    # 208 V on elements made for 240 V leave 75 % of the power (square of the voltage)
    heater = heater_by_id(load_heaters().heaters, id_)
    usual, low = (
        simulate_options([heater], replace(house(), supply_v=volts)).annual[id_]
        for volts in (240.0, 208.0)
    )
    assert low.delivery.short_minutes_per_year > usual.delivery.short_minutes_per_year
    assert any("lost 25%" in note for note in low.notes)
    assert not any("voltage" in note for note in usual.notes)
