"""The cost of one option: its parts add up, and what makes it dearer does."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from heatersel.cost.installed import total
from heatersel.cost.option_cost import OptionCost, cost_basis, option_cost
from heatersel.errors import InputError
from heatersel.heaters.heater import EnergySource, Heater
from heatersel.job.models import Job
from heatersel.simulation.result import AnnualResult

GAS, POWER, PROPANE = (
    EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY, EnergySource.PROPANE
)  # fmt: skip
FLAT = {"electricity": "0.14 USD/kWh", "natural_gas": "1.10 USD/therm",
        "fixed_charge": {"natural_gas": "11 USD/month"}}  # fmt: skip


@pytest.fixture
def cost_of(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult]
) -> Callable[..., OptionCost]:
    def cost(heater: Heater, kwh: float = 5000.0, **tables: Any) -> OptionCost:
        basis = cost_basis(job_with(**({"prices": FLAT} | tables)))
        return option_cost(basis, heater, year_of(heater.energy_source, kwh))

    return cost


def test_the_parts_of_a_year_are_its_total(
    cost_of: Callable[..., OptionCost], gas_tank: Callable[..., Heater]
) -> None:
    cost = cost_of(gas_tank())

    assert cost.energy_per_year[GAS] == pytest.approx(5000 / 29.3071 * 1.10, rel=1e-4)
    assert cost.fixed_per_year == pytest.approx(132.0)  # the last gas appliance
    assert cost.total_per_year == pytest.approx(
        cost.energy_per_year[GAS] + cost.fixed_per_year + cost.maintenance_per_year, abs=0.005
    )
    assert cost.installed == pytest.approx(total(cost.installed_lines))


def test_an_electric_option_saves_the_gas_account(
    cost_of: Callable[..., OptionCost], electric_tank: Callable[..., Heater]
) -> None:
    assert cost_of(electric_tank()).fixed_per_year == 0.0


def test_a_source_without_price_is_refused_with_an_example(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    gas_tank: Callable[..., Heater],
) -> None:  # fmt: skip
    basis = replace(cost_basis(job_with(prices=FLAT)), tariffs={})
    with pytest.raises(InputError, match=r"prices.natural_gas is missing.*USD/therm"):
        option_cost(basis, gas_tank(), year_of(GAS, 5000.0))


def test_an_incentive_lowers_the_price_and_the_life_cycle_cost(
    cost_of: Callable[..., OptionCost], heat_pump: Callable[..., Heater]
) -> None:
    rebate = {"name": "rebate", "amount": "400 USD", "eligibility": "any",
              "first": dt.date(2027, 1, 1), "last": dt.date(2027, 12, 31)}  # fmt: skip
    plain = cost_of(heat_pump())
    dated = cost_of(heat_pump(), prices=FLAT | {"incentive": [rebate],
                    "installation_date": dt.date(2027, 6, 1)})  # fmt: skip
    undated = cost_of(heat_pump(), prices=FLAT | {"incentive": [rebate]})

    assert dated.installed == pytest.approx(plain.installed - 400.0)
    assert dated.life_cycle == pytest.approx(plain.life_cycle - 400.0)
    assert undated.installed == plain.installed
    assert "no installation date" in undated.incentives[0].sentence


def test_a_loan_shows_its_payment_and_keeps_the_price(
    cost_of: Callable[..., OptionCost], gas_tank: Callable[..., Heater]
) -> None:
    cash = cost_of(gas_tank())
    loan = cost_of(gas_tank(), prices=FLAT | {"finance": {"rate": 0.10, "years": 6}})

    assert cash.monthly_payment is None
    assert loan.monthly_payment is not None
    assert loan.monthly_payment > 0
    assert loan.installed == cash.installed
    assert loan.life_cycle > cash.life_cycle


def test_solar_surplus_lowers_the_bill_by_what_it_replaces(
    cost_of: Callable[..., OptionCost], electric_tank: Callable[..., Heater]
) -> None:
    surplus = [0.02] * 8760
    plain = cost_of(electric_tank())
    sunny = cost_of(electric_tank(), prices=FLAT | {"solar": {
        "surplus": surplus, "export_price": "0.05 USD/kWh"}})  # fmt: skip
    taken = 0.02 * 8760

    assert sunny.export_forgone_per_year == pytest.approx(0.05 * taken)
    assert plain.energy_per_year[POWER] - sunny.energy_per_year[POWER] == pytest.approx(
        (0.14 - 0.05) * taken, rel=1e-3
    )


@pytest.mark.parametrize("tariff", ["cold-city", "warm-utility", "rural-cooperative"])
def test_more_energy_never_costs_less_under_the_demo_tariffs(
    cost_of: Callable[..., OptionCost], electric_tank: Callable[..., Heater], tariff: str
) -> None:
    prices = {"electricity": {"tariff": tariff}}
    costs = [cost_of(electric_tank(), kwh, prices=prices).total_per_year
             for kwh in (0.0, 1000.0, 3000.0, 6000.0)]  # fmt: skip

    assert costs == sorted(costs)


SEASONS = {"name": "seasons", "energy": [
    {"season": "october to april", "price": "0.10 USD/kWh"},
    {"season": "may to september", "price": "0.30 USD/kWh"}]}  # fmt: skip
WINTER = np.array([3.0, 3.0, 2.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 2.0, 3.0])
SUMMER = np.array([0.0, 0.0, 0.0, 0.0, 1.0, 2.0, 3.0, 3.0, 2.0, 0.0, 0.0, 0.0])


@pytest.mark.parametrize(
    ("prices", "per_year"),
    [
        # 40 kWh a unit: 15 units of heating at 0.10, 11 of cooling spared at 0.30
        ({"electricity": [SEASONS]}, 40.0 * (15 * 0.10 - 11 * 0.30)),
        # 0.05 kW of surplus holds 36 to 37.2 of the sample's 50 kWh a month evenly spread, and in
        # the 28 days of February 33.6: what is taken earns no more 0.04
        ({"electricity": "0.14 USD/kWh",
          "solar": {"surplus": [0.05] * 8760, "export_price": "0.04 USD/kWh"}},
         40.0 * sum(units * (0.14 - 0.10 * 1.2 * days / 50.0) for units, days in zip(
             WINTER - SUMMER, (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), strict=True))),
        # loads of 4,000 kWh jump from month to month; the year is straight
        ({"electricity": "0.14 USD/kWh", "propane": [{"name": "dealer", "energy": "0.08 USD/kWh",
          "drop": "4000 kWh", "drop_fee": "40 USD"}]}, 40.0 * (15 - 11) * (0.08 + 0.01)),
    ],
    ids=["seasons", "solar", "loads"],
)  # fmt: skip
def test_the_house_is_heated_and_cooled_at_the_price_of_the_month(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    electric_tank: Callable[..., Heater], prices: dict[str, Any], per_year: float,
) -> None:  # fmt: skip
    source = PROPANE if "propane" in prices else POWER
    other = {"electricity": "600 kWh/month", "propane": "500 kWh/month"}
    home = {"fuels": ["natural_gas", "propane", "electricity"]}
    basis = cost_basis(job_with(home=home, prices=prices | {"other_use": other}))
    annual = replace(year_of(POWER, 3000.0), space_monthly_kwh={source: 40.0 * (WINTER - SUMMER)})

    assert option_cost(basis, electric_tank(), annual).space_per_year[source] == pytest.approx(
        per_year, rel=1e-6
    )


def test_before_the_draws_there_is_no_band(
    cost_of: Callable[..., OptionCost], gas_tank: Callable[..., Heater]
) -> None:
    cost = cost_of(gas_tank())

    assert (cost.life_cycle_p10, cost.life_cycle_p90, cost.cheapest_probability) == (None,) * 3
