"""Options as the draws see them: bent bills, rebates and loans keep their shape in every future."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from math import gamma
from typing import Any

import numpy as np
import pytest

from heatersel.cost.drawn import leads_over, uncertain, with_bands
from heatersel.cost.finance import financed
from heatersel.cost.life_cycle import Ownership, life_cycle_cost
from heatersel.cost.option_cost import cost_basis, option_cost
from heatersel.cost.uncertainty import Future, Uncertain, life_cycle_costs
from heatersel.heaters.heater import EnergySource, Heater, HeaterClass
from heatersel.job.models import Job
from heatersel.simulation.result import AnnualResult

POWER = EnergySource.ELECTRICITY
FLAT = {"electricity": "0.14 USD/kWh", "natural_gas": "1.10 USD/therm"}
STEPS = {
    "electricity": [{"name": "steps", "energy": [{"blocks": [
        {"up_to": "900 kWh/month", "price": "0.10 USD/kWh"}, {"price": "0.30 USD/kWh"}]}]}],
    "other_use": {"electricity": "700 kWh/month"},
}  # fmt: skip
SUNNY = {"solar": {"surplus": [0.3] * 8760, "export_price": "0.05 USD/kWh"}}
REBATE = {"name": "rebate", "eligibility": "any", "first": dt.date(2027, 1, 1),
          "last": dt.date(2027, 12, 31)}  # fmt: skip
DATED = FLAT | {"installation_date": dt.date(2027, 6, 1)}


def at_level(level: float, *, drawn: Uncertain, basis: Any) -> float:
    """Return the life-cycle cost where installed prices alone turn out otherwise."""
    one = np.ones(1)
    quantile = 1.0 - np.exp(-((drawn.ownership.life_years / _scale(drawn)) ** drawn.life_shape))
    future = Future(
        demand=one, discount_rate=basis.terms.discount_rate * one, market=level * one,
        price=dict.fromkeys(EnergySource, one),
        growth={s: basis.terms.escalation.get(s, 0.0) * one for s in EnergySource},
        installed=dict.fromkeys(HeaterClass, one),
        life_quantile=dict.fromkeys(HeaterClass, quantile * one),
        field_quantile=dict.fromkeys(HeaterClass, 0.0 * one),
    )  # fmt: skip
    return float(life_cycle_costs((drawn,), basis.terms, future)[0, 0])


def _scale(drawn: Uncertain) -> float:
    return drawn.ownership.life_years / gamma(1.0 + 1.0 / drawn.life_shape)


def test_bands_come_back_in_order_and_fill_the_contract(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    gas_tank: Callable[..., Heater], heat_pump: Callable[..., Heater],
) -> None:  # fmt: skip
    basis = cost_basis(job_with(prices=FLAT))
    options = [(h, option_cost(basis, h, year_of(h.energy_source, kwh)))
               for h, kwh in ((gas_tank(), 5500.0), (heat_pump(), 1100.0))]  # fmt: skip

    banded = with_bands(basis, options, seed=3)

    assert [cost.life_cycle for cost in banded] == [cost.life_cycle for _, cost in options]
    for cost in banded:
        assert cost.life_cycle_p10 is not None
        assert cost.life_cycle_p90 is not None
        assert cost.life_cycle_p10 < cost.life_cycle_p90
        fields = json.loads(json.dumps(cost.as_dict()))
        assert fields["cheapest_probability"] == cost.cheapest_probability
    assert with_bands(basis, []) == ()


def test_a_lead_is_the_distance_of_the_bands_in_the_same_futures(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    gas_tank: Callable[..., Heater], heat_pump: Callable[..., Heater],
) -> None:  # fmt: skip
    basis = cost_basis(job_with(prices=FLAT))
    gas, pump = ((h, option_cost(basis, h, year_of(h.energy_source, kwh)))
                 for h, kwh in ((gas_tank(), 5500.0), (heat_pump(), 1100.0)))  # fmt: skip
    gas_band, pump_band = (cost.band for cost in with_bands(basis, [gas, pump], seed=3))
    assert gas_band is not None
    assert pump_band is not None

    of_itself, lead = leads_over(basis, gas, [gas, pump], seed=3)

    assert lead.mean == pytest.approx(gas_band.mean - pump_band.mean)
    assert lead.share == pytest.approx(pump_band.cheapest_probability)
    assert (of_itself.mean, of_itself.share) == (0.0, 0.0)


def test_a_block_tariff_is_drawn_along_its_own_bills(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    electric_tank: Callable[..., Heater],
) -> None:  # fmt: skip
    blocks = [{"up_to": "900 kWh/month", "price": "0.10 USD/kWh"}, {"price": "0.30 USD/kWh"}]
    basis = cost_basis(job_with(prices={
        "electricity": [{"name": "steps", "energy": [{"blocks": blocks}]}],
        "other_use": {"electricity": "700 kWh/month"},
    }))  # fmt: skip
    heater = electric_tank()
    cost = option_cost(basis, heater, year_of(POWER, 4800.0))

    curve = uncertain(basis, heater, cost).curves[POWER]

    assert curve.at(np.array([1.0]))[0] == pytest.approx(cost.energy_per_year[POWER])
    # half the energy stays within the first block, the rest does not
    assert curve.at(np.array([0.5]))[0] < 0.4 * cost.energy_per_year[POWER]


@pytest.mark.parametrize("prices", [STEPS | SUNNY, FLAT | SUNNY], ids=["steps", "flat"])
@pytest.mark.parametrize("scale", [0.5, 0.75, 1.0, 1.3, 1.7])
def test_own_solar_surplus_is_drawn_as_it_would_be_billed(
    prices: dict[str, Any], scale: float, job_with: Callable[..., Job],
    year_of: Callable[..., AnnualResult], electric_tank: Callable[..., Heater],
) -> None:  # fmt: skip
    basis, heater = cost_basis(job_with(prices=prices)), electric_tank()
    cost = option_cost(basis, heater, year_of(POWER, 4800.0))
    billed = option_cost(basis, heater, year_of(POWER, 4800.0 * scale))

    curve = uncertain(basis, heater, cost).curves[POWER]

    assert curve.at(np.array([scale]))[0] == pytest.approx(billed.energy_per_year[POWER])


@pytest.mark.parametrize("level", [0.8, 1.0, 1.25, 1.4])
@pytest.mark.parametrize(
    ("incentives", "off"),
    [
        ([{"amount": "400 USD"}], lambda price: 400.0),
        ([{"percent": "10 %"}], lambda price: 0.10 * price),
        ([{"amount": "400 USD", "order": 1}, {"percent": "10 %", "order": 2}],
         lambda price: 400.0 + 0.10 * (price - 400.0)),
    ],
    ids=["amount", "percent", "both"],
)  # fmt: skip
def test_a_rebate_takes_off_what_it_would_at_that_price(
    level: float, incentives: list[dict[str, Any]], off: Callable[[float], float],
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    heat_pump: Callable[..., Heater],
) -> None:  # fmt: skip
    plain, cut = (
        cost_basis(job_with(prices=DATED | {"incentive": [REBATE | each for each in given]}))
        for given in ((), incentives)
    )
    heater, year = heat_pump(), year_of(POWER, 1100.0)
    dear, less = (
        at_level(level, drawn=uncertain(b, heater, option_cost(b, heater, year)), basis=b)
        for b in (plain, cut)
    )
    price = level * option_cost(plain, heater, year).installed

    assert dear - less == pytest.approx(off(price))


def test_later_cash_comes_as_it_was_promised(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    heat_pump: Callable[..., Heater],
) -> None:  # fmt: skip
    later = REBATE | {"amount": "300 USD", "pays": "later_cash", "months_later": 12}
    heater, year = heat_pump(), year_of(POWER, 1100.0)
    plain, paid = (
        cost_basis(job_with(prices=DATED | {"incentive": given})) for given in ([], [later])
    )
    dear, less = (
        at_level(1.3, drawn=uncertain(b, heater, option_cost(b, heater, year)), basis=b)
        for b in (plain, paid)
    )

    assert dear - less == pytest.approx(300.0 / (1.0 + plain.terms.discount_rate))


@pytest.mark.parametrize("level", [0.8, 1.0, 1.4])
def test_a_loan_and_its_fee_are_drawn_as_the_ledger_has_them(
    level: float, job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    heat_pump: Callable[..., Heater],
) -> None:  # fmt: skip
    loan = {"rate": 0.09, "years": 10, "share": 0.8, "fee": "250 USD"}
    basis = cost_basis(job_with(prices=DATED | {
        "finance": loan, "incentive": [REBATE | {"amount": "400 USD"}]}))  # fmt: skip
    assert basis.finance is not None
    heater = heat_pump()
    cost = option_cost(basis, heater, year_of(POWER, 1100.0))
    own = cost.ownership
    dearer = financed(
        Ownership(
            installed=level * (cost.installed + 400.0) - 400.0,
            replacement=level * own.replacement, life_years=own.life_years,
            energy_per_year=own.energy_per_year, fixed_per_year=own.fixed_per_year,
            maintenance_per_year=own.maintenance_per_year,
        ),
        basis.finance, basis.terms,
    )  # fmt: skip

    assert at_level(level, drawn=uncertain(basis, heater, cost), basis=basis) == pytest.approx(
        life_cycle_cost(dearer, basis.terms)
    )
