"""The whole report: contract, order, reconciliation, and sentences that read well."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from heatersel.cost.emissions import emission_factors
from heatersel.cost.option_cost import cost_basis, option_cost
from heatersel.cost.report import CostReport, Priced, cost_report, like_for_like
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource, Heater, HeaterClass, Kind, VentType
from heatersel.job.models import Job
from heatersel.simulation.result import AnnualResult

GAS, POWER = EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY


@pytest.fixture
def priced(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    gas_tank: Callable[..., Heater], electric_tank: Callable[..., Heater],
    heat_pump: Callable[..., Heater],
) -> Callable[..., tuple[Any, list[Priced]]]:  # fmt: skip
    def made(**prices: Any) -> tuple[Any, list[Priced]]:
        flat = {"electricity": "0.14 USD/kWh", "natural_gas": "1.10 USD/therm"}
        basis = cost_basis(job_with(prices=prices or flat))
        heaters = ((gas_tank(), 5500.0), (electric_tank(), 3700.0), (heat_pump(), 1100.0))
        return basis, [
            Priced(heater=h, cost=option_cost(basis, h, year_of(h.energy_source, kwh)),
                   energy_kwh={h.energy_source: kwh})
            for h, kwh in heaters
        ]  # fmt: skip

    return made


@pytest.fixture
def report(priced: Callable[..., tuple[Any, list[Priced]]]) -> CostReport:
    basis, options = priced()
    return cost_report(basis, options, baseline_id="gas", emissions=emission_factors("MN"))


def test_the_cheapest_to_own_comes_first(report: CostReport) -> None:
    costs = [option.cost.life_cycle for option in report.options]

    assert costs == sorted(costs)


def test_each_option_has_its_level_yearly_cost(report: CostReport) -> None:
    # 20 years at 3 %: uniform present value 14.8775 (NIST Handbook 135 formula, from memory)
    for option in report.options:
        assert option.annual_equivalent * 14.8775 == pytest.approx(option.cost.life_cycle, rel=1e-5)
        assert option.as_dict()["equivalent_annual_cost"] == option.annual_equivalent


def test_emissions_of_all_years_are_summed(report: CostReport) -> None:
    for option in report.options:
        assert option.as_dict()["co2_kg_in_all"] == pytest.approx(sum(option.co2_kg_by_year))


def test_the_contract_of_the_command_is_kept(report: CostReport) -> None:
    fields = json.loads(json.dumps(report.as_dict()))
    option = fields["options"][0]

    assert fields["schema"] == "heatersel.cost/1"
    assert set(option) >= {"id", "bill_by_month", "ledger", "life_cycle", "p10", "p50", "p90",
                           "cheapest_probability", "regret"}  # fmt: skip
    assert all(len(months) == 12 for months in option["bill_by_month"].values())
    assert len(option["ledger"]) == 21
    assert fields["assumptions"]["n_futures"] == 2000


def test_the_bill_shown_is_the_difference_of_its_two_bills(report: CostReport) -> None:
    for option in report.as_dict()["options"]:
        for source, shown in option["bill_by_month"].items():
            parts = option["bill_parts_by_month"][source]
            both = [np.sum(list(parts[k].values()), axis=0) if parts[k] else np.zeros(12)
                    for k in ("with_heater", "without_heater")]  # fmt: skip
            np.testing.assert_allclose(both[0] - both[1], shown, atol=0.005)


def test_the_ledger_adds_up_to_the_life_cycle_cost(report: CostReport) -> None:
    for option in report.options:
        present = sum(year.present_value for year in option.ledger)
        assert present == pytest.approx(option.cost.life_cycle, abs=0.005)


def test_savings_are_against_the_like_for_like_replacement(report: CostReport) -> None:
    base = report.option("gas")

    assert base.savings is None
    for option in report.options:
        if option.savings is not None:
            assert option.savings.net_savings == pytest.approx(
                base.cost.life_cycle - option.cost.life_cycle
            )


def test_rows_for_a_table_hold_every_charge_month_and_year(report: CostReport) -> None:
    bills, years = report.bill_rows(), report.ledger_rows()

    assert {row["month"] for row in bills} == set(range(1, 13))
    assert len(years) == 3 * 21
    gas = [row for row in bills if row["option"] == "gas"]
    assert sum(row["with_heater"] - row["without_heater"] for row in gas) == pytest.approx(
        float(report.option("gas").cost.bills[GAS].monthly.sum()), abs=0.005
    )


def test_sentences_say_the_span_the_chance_and_the_break_even(report: CostReport) -> None:
    best = " ".join(report.options[0].sentences)

    assert "Over 20 years about $" in best
    assert "futures" in best
    assert "It stays the cheapest at" in best
    assert all(sentence.endswith(".") for option in report.options for sentence in option.sentences)


def test_a_small_saving_is_told_with_the_futures_that_turn_it(
    priced: Callable[..., tuple[Any, list[Priced]]],
) -> None:
    def saved(price: float) -> tuple[float, str, float]:
        report = cost_report(*priced(electricity=f"{price:.6f} USD/kWh"), baseline_id="electric")
        option, base = report.option("heat-pump"), report.option("electric")
        assert option.savings is not None
        assert option.cost.band is not None
        assert base.cost.band is not None
        text = " ".join(option.sentences)
        return option.savings.net_savings, text, base.cost.band.p50 - option.cost.band.p50

    # savings are straight in the price: where they are 30, the middle of the futures says otherwise
    (low, _, _), (high, _, _) = saved(0.10), saved(0.20)
    price = 0.10 + 0.10 * (30.0 - low) / (high - low)
    net, text, middle = saved(price)

    assert net == pytest.approx(30.0, abs=1.0)
    assert middle < 0
    assert "If all goes as rated it saves $30 over 20 years" in text
    assert "drawn futures replacing like for like costs less." in text
    assert "If all goes as rated" not in saved(0.40)[1]


def test_break_even_prices_hold_todays_price_for_the_cheapest_alone(report: CostReport) -> None:
    first, *rest = report.options

    assert all(price.holds_today for price in first.ranges)
    assert not any(price.holds_today for option in rest for price in option.ranges)


def test_the_map_is_there_where_electricity_and_a_fuel_compete(report: CostReport) -> None:
    assert report.price_map is not None
    assert {cell for row in report.price_map.cheapest for cell in row} <= {
        option.id for option in report.options
    }


def test_emissions_run_over_the_study(report: CostReport) -> None:
    assert all(len(option.co2_kg_by_year) == 20 for option in report.options)


def test_another_plan_that_costs_less_is_named(
    priced: Callable[..., tuple[Any, list[Priced]]],
) -> None:
    plans = [
        {"name": "now", "energy": "0.20 USD/kWh"},
        {"name": "nights", "energy": "0.10 USD/kWh"},
    ]
    basis, options = priced(electricity=plans, natural_gas="1.10 USD/therm")
    report = cost_report(basis, options)
    electric = report.option("electric")

    assert [plan.plan for plan in electric.plans] == ["now", "nights"]
    assert electric.plans[0].per_year > electric.plans[1].per_year
    assert "On the plan “nights”" in " ".join(electric.sentences)


def test_influences_are_shown_for_the_cheapest(report: CostReport) -> None:
    assert report.options[0].influences
    assert not report.options[1].influences


def test_a_report_of_nothing_is_empty(priced: Callable[..., tuple[Any, list[Priced]]]) -> None:
    basis, _ = priced()

    empty = cost_report(basis, [])

    assert empty.options == ()
    assert empty.price_map is None


def test_an_unknown_option_is_refused(report: CostReport) -> None:
    with pytest.raises(UnknownChoiceError, match="option is moon"):
        report.option("moon")


def test_like_for_like_keeps_kind_source_and_vent_then_size(
    priced: Callable[..., tuple[Any, list[Priced]]], gas_tank: Callable[..., Heater],
    electric_tank: Callable[..., Heater],
) -> None:  # fmt: skip
    _, (gas, electric, pump) = priced()
    large = Priced(heater=gas_tank(id="large", volume_l=280.0), cost=gas.cost,
                   energy_kwh=gas.energy_kwh)  # fmt: skip
    vented = Priced(heater=gas_tank(id="vented", vent_type=VentType.POWER_VENT), cost=gas.cost,
                    energy_kwh=gas.energy_kwh)  # fmt: skip
    options = [electric, pump, large, vented, gas]

    assert like_for_like(options, gas_tank(id="old", volume_l=150.0)) == "gas"
    assert like_for_like([vented, pump], gas_tank(id="old")) == "vented"
    assert like_for_like(options, electric_tank(id="old")) == "electric"
    assert like_for_like([pump], electric_tank(id="old")) is None
    assert like_for_like(options, None) is None


def test_like_for_like_of_a_tankless_heater_goes_by_input(
    priced: Callable[..., tuple[Any, list[Priced]]], gas_tank: Callable[..., Heater]
) -> None:
    _, (gas, *_) = priced()
    small, large = (
        Priced(heater=gas_tank(id=f"{kw}", kind=Kind.TANKLESS, input_kw=kw, volume_l=0.0,
                               heater_class=HeaterClass.TANKLESS_CONDENSING),
               cost=gas.cost, energy_kwh=gas.energy_kwh)
        for kw in (35.0, 58.0)
    )  # fmt: skip
    old = gas_tank(id="old", kind=Kind.TANKLESS, input_kw=55.0, volume_l=0.0)

    assert like_for_like([small, large], old) == "58.0"
