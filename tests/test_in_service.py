"""How an option behaves in daily use: wiring of waits, pipe, scale, room and house."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from functools import cache
from io import StringIO

import pytest
from rich.console import Console

from heatersel.api import compare
from heatersel.comparison import Comparison
from heatersel.heaters.catalogue import HeaterList, heater_by_id, load_heaters
from heatersel.heaters.heater import EnergySource
from heatersel.in_service import InService, in_service
from heatersel.job.load import parse_job
from heatersel.job.models import Fixture
from heatersel.reference import dataset_path
from heatersel.simulation.distribution import pipe_volume_l_per_m
from heatersel.terminal.in_service import print_in_service

IDS = ("gas-tank-75", "heat-pump-80", "gas-tankless-condensing-199", "electric-tankless-36")
FEW = HeaterList(heaters=tuple(heater_by_id(load_heaters().heaters, id_) for id_ in IDS))
PIPE = (("length", "40 ft"),)
TANK, PUMP, FLOW = "gas-tank-75", "heat-pump-80", "gas-tankless-condensing-199-x2"


@cache
def compared(
    pipe: tuple[tuple[str, object], ...] = PIPE,
    home: tuple[tuple[str, object], ...] = (),
    count: bool = True,
    units: str = "us",
) -> Comparison:
    tables = tomllib.loads(dataset_path("jobs/cold-family.toml").read_text(encoding="utf-8"))
    tables["units"] = units
    tables["home"].update(home)
    if pipe:
        tables["home"]["hot_pipe"] = dict(pipe)
    tables["preferences"]["count_space_heating"] = count
    return compare(parse_job(tables), FEW, n_years=1)


def found(id_: str, **changed: object) -> InService:
    comparison = compared(**changed)
    return in_service(comparison, comparison.option(id_))


def printed(id_: str, **changed: object) -> str:
    comparison = compared(**changed)
    console = Console(file=StringIO(), width=80)
    print_in_service(console, comparison, comparison.option(id_), found(id_, **changed))
    return " ".join(console.file.getvalue().split())


def test_a_tankless_heater_waits_slugs_and_leaves_trickles_cold():
    years = found(FLOW).tankless
    # ignition takes 2 to 5 s of valve, fan and spark (from memory, medium)
    assert 1.0 < years.waited_s_per_start < 15.0
    assert 0.0 < years.slugs_per_year < years.starts_per_year
    assert years.unfired_per_year > 0.0
    assert found(TANK).tankless is None


def test_what_runs_together_is_said_by_month_and_in_words():
    service = found(FLOW)
    assert [one.month for one in service.together] == list(range(12))
    winter = min(service.together, key=lambda one: one.hot_flow_l_per_min)
    assert winter.fixtures[Fixture.SHOWER] == 2  # no more than are installed
    assert "two showers" in service.together_in_words
    assert found(TANK).together == ()


def test_altitude_takes_from_what_runs_together():
    low, high = (
        in_service(comparison, comparison.option(FLOW)).together
        for comparison in (compared(), _high_up())
    )
    assert all(
        thin.hot_flow_l_per_min < thick.hot_flow_l_per_min
        for thin, thick in zip(high, low, strict=True)
    )


@cache
def _high_up() -> Comparison:
    tables = tomllib.loads(dataset_path("jobs/cold-family.toml").read_text(encoding="utf-8"))
    tables["place"]["elevation"] = "8000 ft"
    return compare(parse_job(tables), FEW, n_years=1)


def test_hard_water_shortens_the_interval_and_costs_more():
    soft, hard = (
        found(FLOW, home=(("hardness", f"{grain} grain/gal"),)).descaling for grain in (8, 16)
    )
    assert hard.interval_months == pytest.approx(soft.interval_months / 2.0)
    assert hard.per_year == pytest.approx(2.0 * soft.per_year)
    # 12 months over the interval x 150 USD of the invented table, for each of two units
    assert soft.per_year == pytest.approx(2 * 150.0 * 12.0 / soft.interval_months)


def test_the_cost_to_own_holds_the_descaling_that_the_water_asks_for():
    costs = []
    for grain in (8, 16):
        comparison = compared(home=(("hardness", f"{grain} grain/gal"),))
        option = comparison.option(FLOW)
        costs.append((option.cost, in_service(comparison, option).descaling))
    (soft, seldom), (hard, often) = costs
    more = often.per_year - seldom.per_year
    assert hard.maintenance_per_year - soft.maintenance_per_year == pytest.approx(more)
    assert hard.total_per_year - soft.total_per_year == pytest.approx(more)
    assert hard.life_cycle > soft.life_cycle


def test_only_tankless_heaters_are_descaled_and_unknown_hardness_is_said():
    tables = tomllib.loads(dataset_path("jobs/cold-family.toml").read_text(encoding="utf-8"))
    del tables["home"]["hardness"]
    comparison = compare(parse_job(tables), FEW, n_years=1)
    option = comparison.option(FLOW)
    service = in_service(comparison, option)
    console = Console(file=StringIO(), width=200)
    print_in_service(console, comparison, option, service)
    assert service.descaling is None
    assert "not known here: measure it" in " ".join(console.file.getvalue().split())
    assert found(TANK).descaling is None


def test_the_pipe_holds_what_its_table_says():
    pipe = found(TANK).pipe
    # 40 ft of 3/4 in copper L at 3.22 fl oz/ft (2009 International Plumbing Code table E202.1)
    assert pipe.volume_l == pytest.approx(40 * 3.22 * 0.0295735, rel=1e-3)
    assert pipe.volume_l == pytest.approx(pipe.length_m * pipe_volume_l_per_m("copper_l", "3/4 in"))
    # 1.25 volumes at 2 gal/min
    assert pipe.full_wait_s == pytest.approx(60 * 1.25 * pipe.volume_l / 7.571)
    assert pipe.year.cold_starts > 0
    assert pipe.year.lost_kwh > 0.0


def test_without_a_pipe_nothing_is_said_of_it():
    service = found(TANK, pipe=())
    assert service.pipe is None
    assert service.loop is None
    assert "pipe" not in printed(TANK, pipe=())


def test_a_continuous_loop_spares_the_wait_and_a_timer_part_of_it():
    waits, timed, none = (
        found(TANK, pipe=(*PIPE, *more)).pipe.year.cold_starts
        for more in (
            (),
            (("loop_pump", "timer"), ("loop_hours_per_day", 12.0)),
            (("loop_pump", "continuous"),),
        )
    )
    assert timed == pytest.approx(waits / 2.0, abs=1)
    assert none == 0
    assert "nobody waits" in printed(TANK, pipe=(*PIPE, ("loop_pump", "continuous")))


def test_the_loop_of_the_year_is_the_loop_that_is_shown():
    pipe = (*PIPE, ("loop_pump", "demand"))
    service = found(PUMP, pipe=pipe)
    # 2016 California Title 24 ACM Reference Manual, appendix B, table B-6: 23 kWh on demand
    assert service.loop.pump_kwh == pytest.approx(23.0)
    assert any(f"lose {service.loop.loss_kwh:,.0f} kWh" in note for note in service.notes)


def test_a_heat_pump_cools_its_basement_and_a_tank_warms_it():
    cooled, warmed = found(PUMP), found(TANK)
    assert all(c < alone for c, alone in zip(cooled.room_c, cooled.room_alone_c, strict=True))
    assert all(c > alone for c, alone in zip(warmed.room_c, warmed.room_alone_c, strict=True))
    assert cooled.room_alone_c == warmed.room_alone_c
    assert cooled.condensate_l > 0.0 == warmed.condensate_l


def test_the_cold_house_pays_for_the_heat_that_a_heat_pump_takes():
    """By hand: heat lost in the heating season over the usual furnace's 85 % is its gas."""
    service = found(PUMP)
    assert service.house_heat_kwh < -500.0
    gas_kwh = service.house_energy_kwh[EnergySource.NATURAL_GAS]
    assert gas_kwh == pytest.approx(-service.house_heat_kwh / 0.85)
    # 0.5 to 2 USD per therm of 29.3 kWh brackets any price of the invented tariff
    assert 0.5 < service.house_per_year / (gas_kwh / 29.3) < 2.0
    assert found(TANK).house_per_year < 0.0


def test_money_and_energy_of_the_house_are_part_of_the_cost_of_a_year():
    cost = compared().option(PUMP).cost
    parts = sum(cost.energy_per_year.values()) + sum(cost.space_per_year.values())
    assert cost.total_per_year == pytest.approx(
        parts + cost.fixed_per_year + cost.maintenance_per_year
    )


def test_the_effect_can_be_left_out_and_that_is_said():
    service = found(PUMP, count=False)
    assert service.house_energy_kwh == {}
    assert service.house_per_year == 0.0
    assert "left out, as the job asks" in printed(PUMP, count=False)


def test_plain_words_come_in_the_users_units():
    us, si = printed(PUMP), printed(PUMP, units="si")
    assert "It cools the air around it" in us
    assert "a year more for heating and cooling" in us
    assert "°F" in us
    assert "gal" in us
    assert "°C" not in us
    assert "°C" in si
    assert " L " in si
    assert "°F" not in si


def test_fields_are_plain_numbers_that_json_takes():
    for id_ in (TANK, PUMP, FLOW):
        fields = json.loads(json.dumps(found(id_).as_dict(), allow_nan=False))
        assert fields["house_heat_kwh"] == found(id_).house_heat_kwh
    assert fields["together"][0]["month"] == 1
    assert fields["descaling"]["interval_months"] > 0.0


def test_small_counts_are_told_as_people_speak():
    comparison = compared()
    option = comparison.option(FLOW)
    service = found(FLOW)
    rare = replace(service.tankless, waited_s_per_start=0.2, slugs_per_year=300.0)
    alike = tuple(replace(one, hot_flow_l_per_min=15.0) for one in service.together)
    console = Console(file=StringIO(), width=80)

    print_in_service(console, comparison, option, replace(service, tankless=rare, together=alike))
    text = " ".join(console.file.getvalue().split())

    assert "Each start takes less than a second until the water leaves it warm" in text
    assert "a short slug of cold water, about once a day." in text
    assert "hot water at the setpoint: 4.0 gal/min all year" in text


def test_draws_that_do_not_fire_it_are_said_once():
    assert printed(FLOW).count("fire it") == 1


def test_a_pipe_of_a_few_litres_is_told_to_a_tenth():
    # 40 ft of 3/4 in copper, type L, at 3.22 oz a foot (printed): 1.0 gal
    assert "40 ft of pipe hold 1.0 gal" in printed(FLOW)
    assert "12.2 m of pipe hold 3.8 L" in printed(FLOW, units="si")
