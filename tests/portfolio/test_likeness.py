from __future__ import annotations

from functools import partial
from typing import Any

import numpy as np
import pytest

from heatersel.api import compare
from heatersel.chain import House, house_of
from heatersel.comparison import Comparison
from heatersel.heaters.catalogue import load_heaters
from heatersel.heaters.heater import EnergySource
from heatersel.job.load import parse_job
from heatersel.job.models import Job
from heatersel.portfolio import likeness
from heatersel.portfolio.likeness import kind_of, years_by_likeness
from heatersel.portfolio.run import only_options
from heatersel.simulation.result import AnnualResult
from heatersel.sized_job import size_job
from heatersel.sizing.verdict import Verdict

FEW = only_options(
    load_heaters(),
    ("gas-tank-50", "electric-tank-50", "heat-pump-65", "gas-tankless-condensing-199"),
)
YEARS = 2


def job(**changes: Any) -> Job:
    tables: dict[str, Any] = {
        "household": {"occupants": 3},
        "place": {"climate": "Duluth, MN"},
        "home": {"fuels": ["natural_gas", "electricity"], "room_volume": "6000 ft3"},
        "existing": {"energy_source": "natural_gas", "installed": 2009},
        "preferences": {"setpoint": "125 degF", "seed": 7},
    }
    for table, values in changes.items():
        tables[table] = {**tables.get(table, {}), **values}
    return parse_job(tables)


def in_full(asked: Job) -> Comparison:
    return compare(asked, FEW, n_years=YEARS)


def by_likeness(asked: Job) -> Comparison:
    return compare(asked, FEW, years=partial(years_by_likeness, n_years=YEARS))


def house(asked: Job) -> House:
    return house_of(size_job(asked, FEW))


@pytest.mark.parametrize(
    "changes",
    [
        {"preferences": {"seed": 8}},
        {"preferences": {"discount_rate": 0.05, "study_years": 10}},
        {"prices": {"electricity": "0.30 USD/kWh"}},
        {"existing": {"energy_source": "electricity"}},
        {"home": {"room_volume": "6050 ft3", "floor_drain": True, "static_pressure": "70 psi"}},
        {"place": {"elevation": "1050 ft"}, "household": {"bedrooms": 5}},
    ],
)
def test_what_hardly_moves_the_simulation_leaves_the_kind(changes: dict[str, Any]) -> None:
    base = job(place={"elevation": "1040 ft"}) if "place" in changes else job()

    assert kind_of(job(**changes)) == kind_of(base)


@pytest.mark.parametrize(
    "changes",
    [
        {"household": {"occupants": 4}},
        {"place": {"climate": "Boston, MA"}},
        {"home": {"heater_location": "garage"}},
        {"home": {"fuels": ["electricity"]}, "existing": {"energy_source": "electricity"}},
        {"preferences": {"setpoint": "130 degF"}},
        {"preferences": {"tempering_valve": True}},
    ],
)
def test_what_moves_the_simulation_makes_another_kind(changes: dict[str, Any]) -> None:
    assert kind_of(job(**changes)) != kind_of(job())


def test_the_kind_of_a_kind_is_itself() -> None:
    kind = kind_of(job())

    assert kind_of(kind) == kind


def test_a_house_that_is_its_own_kind_has_its_own_simulation() -> None:
    kind = kind_of(job())

    full, fast = in_full(kind), by_likeness(kind)

    for option in full.ranked:
        energy = fast.option(option.id).annual.energy_kwh
        assert energy == pytest.approx(option.annual.energy_kwh, rel=1e-12)


def test_another_seed_moves_energy_by_little_and_the_recommendation_not() -> None:
    """The size of the error is measured over many houses by the benchmark; here it is seen."""
    full, fast = in_full(job()), by_likeness(job())

    assert fast.recommendation.option_id == full.recommendation.option_id
    for option in full.ranked:
        energy = sum(fast.option(option.id).annual.energy_kwh.values())
        assert energy == pytest.approx(sum(option.annual.energy_kwh.values()), rel=0.02)


def test_sizes_and_prices_are_those_of_the_house_itself() -> None:
    full, fast = in_full(job()), by_likeness(job())

    for option in full.options:
        assert fast.option(option.id).sizing == option.sizing
        assert fast.option(option.id).cost.installed == option.cost.installed


def test_hours_add_up_to_the_months() -> None:
    annual = by_likeness(job()).option("heat-pump-65").annual

    assert annual.hourly_kwh is not None
    hours = annual.hourly_kwh[EnergySource.ELECTRICITY]
    months = np.bincount(likeness._MONTH, hours)
    assert months == pytest.approx(annual.monthly_kwh[EnergySource.ELECTRICITY])


def test_the_order_of_the_houses_does_not_matter() -> None:
    asked = [job(preferences={"seed": seed}) for seed in (3, 4)]
    likeness._kind_years.cache_clear()
    first = [by_likeness(one).option("gas-tank-50").annual.energy_kwh for one in asked]
    likeness._kind_years.cache_clear()
    second = [by_likeness(one).option("gas-tank-50").annual.energy_kwh for one in asked[::-1]]

    assert first == second[::-1]


BILLS = {
    "fuel": "natural_gas",
    "monthly": [f"{u} therm" for u in (150, 130, 110, 70, 40, 25, 20, 20, 30, 60, 100, 140)],
}
BY_DEMAND = [
    {
        "name": "by demand",
        "energy": [{"price": "0.10 USD/kWh"}],
        "demand": [{"price": "8 USD/kW/month"}],
    }
]


@pytest.mark.parametrize(
    "changes", [{"household": {"bills": BILLS}}, {"prices": {"electricity": BY_DEMAND}}]
)
def test_bills_and_demand_charges_are_simulated_for_the_house_itself(
    changes: dict[str, Any],
) -> None:
    asked = house(job(**changes))

    found = years_by_likeness(asked, [o.heater for o in asked.sized.options], n_years=1)

    assert not any(is_taken_over(annual) for annual in found.annual.values())


def test_where_the_draws_decide_the_house_is_simulated_itself(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = house(job())
    heaters = [o.heater for o in asked.sized.options if o.sizing.verdict is not Verdict.SHORT]
    monkeypatch.setattr(likeness, "_UNSURE", (-1.0, 1e9))

    found = years_by_likeness(asked, heaters, n_years=1)

    assert heaters
    assert not any(is_taken_over(annual) for annual in found.annual.values())


def is_taken_over(annual: AnnualResult) -> bool:
    return any("taken over" in note for note in annual.notes)


def test_gas_that_only_heats_water_heats_no_kind_of_house_either():
    alone = job(home={"other_gas_input": "0 Btu/h"})
    heating = kind_of(alone).home.heating

    assert heating is not None
    assert heating.energy_source is EnergySource.ELECTRICITY
    assert kind_of(job()).home.heating is None
    space = {o.id: set(o.annual.space_monthly_kwh) for o in by_likeness(alone).options}
    assert EnergySource.NATURAL_GAS not in set().union(*space.values())


def test_a_kind_in_canada_stores_as_hot_as_its_rules_ask():
    asked = job(place={"climate": "Toronto, ON"}, preferences={"setpoint": "49 degC"})
    own, kind = in_full(asked), by_likeness(asked)

    for option in kind.options:
        full = next(o for o in own.options if o.id == option.id)
        assert option.setpoint_c == full.setpoint_c
        assert sum(option.annual.energy_kwh.values()) == pytest.approx(
            sum(full.annual.energy_kwh.values()), rel=0.02
        )
    assert {o.setpoint_c for o in kind.options} == {49.0, 60.0}
