"""Prices up to which an option stays the cheapest, and the map of two prices."""

from __future__ import annotations

from collections.abc import Callable
from math import inf
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cost.break_even import (
    PriceLine,
    cheapest_range,
    price_lines,
    price_map,
    prices_today,
)
from heatersel.cost.option_cost import CostBasis, cost_basis, option_cost
from heatersel.cost.report import Priced, cost_report
from heatersel.cost.uncertainty import CostCurve
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource, Heater
from heatersel.job.models import Job
from heatersel.simulation.result import AnnualResult

GAS, POWER = EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY
LINES = (
    PriceLine(id="gas", base=3000.0, energy={GAS: CostCurve.straight(4000.0)}),
    PriceLine(id="heat pump", base=5000.0, energy={POWER: CostCurve.straight(2500.0)}),
    PriceLine(id="electric", base=2500.0, energy={POWER: CostCurve.straight(8000.0)}),
)


def test_two_lines_cross_where_their_costs_are_equal() -> None:
    found = cheapest_range(LINES[:2], "gas", GAS, 0.04)

    # 3000 + 4000 m = 7500 at m = 1.125
    assert found.high_per_kwh == pytest.approx(1.125 * 0.04)
    assert found.low_per_kwh == 0.0
    assert found.holds_today


def test_the_rival_holds_from_there_upwards() -> None:
    found = cheapest_range(LINES[:2], "heat pump", GAS, 0.04)

    assert found.low_per_kwh == pytest.approx(1.125 * 0.04)
    assert found.high_per_kwh == inf
    assert not found.holds_today
    assert found.as_dict()["high_per_kwh"] is None


def test_an_option_that_is_beaten_at_every_price_is_never_the_cheapest() -> None:
    worse = PriceLine(id="worse", base=4000.0, energy={GAS: CostCurve.straight(4000.0)})

    found = cheapest_range((*LINES, worse), "worse", GAS, 0.04)

    assert not found.ever
    assert not found.holds_today
    assert found.as_dict()["low_per_kwh"] is None


@given(st.floats(0.0, 3.0))
def test_inside_its_range_no_other_option_is_cheaper(level: float) -> None:
    found = cheapest_range(LINES, "electric", POWER, 1.0)
    costs = {line.id: line.at({POWER: level}) for line in LINES}
    inside = found.low_per_kwh <= level <= found.high_per_kwh

    assert inside == (costs["electric"] <= min(costs.values()) + 1e-9)


BENT = {
    "flat": {"electricity": "{0:.6f} USD/kWh"},
    "least bill": {"electricity": {"energy": "{0:.6f} USD/kWh", "minimum_bill": "75 USD/month"}},
    "blocks": {"electricity": {"energy": [{"blocks": [
        {"up_to": "900 kWh/month", "price": "{0:.6f} USD/kWh"}, {"price": "{1:.6f} USD/kWh"}]}]}},
    "demand": {"electricity": {"energy": "{0:.6f} USD/kWh", "demand": [
        {"price": "{2:.6f} USD/kW/month", "hours": "17-20"}]}},
    "solar": {"electricity": "{0:.6f} USD/kWh",
              "solar": {"surplus": [0.3] * 8760, "export_price": "0.05 USD/kWh"}},
}  # fmt: skip
PRICES = (0.14, 0.30, 9.0)


def at_price(tables: Any, level: float) -> Any:
    """Return tables with every price in braces times a level."""
    if isinstance(tables, dict):
        return {key: at_price(value, level) for key, value in tables.items()}
    if isinstance(tables, list) and tables and not isinstance(tables[0], float):
        return [at_price(value, level) for value in tables]
    return tables.format(*(level * p for p in PRICES)) if isinstance(tables, str) else tables


@pytest.fixture
def options_at(
    job_with: Callable[..., Job], year_of: Callable[..., AnnualResult],
    gas_tank: Callable[..., Heater], electric_tank: Callable[..., Heater],
    heat_pump: Callable[..., Heater],
) -> Callable[..., tuple[CostBasis, list[Priced]]]:  # fmt: skip
    """Return three options where electricity costs so many times as much."""

    def made(kind: str, level: float = 1.0) -> tuple[CostBasis, list[Priced]]:
        prices = at_price(BENT[kind], level)
        if isinstance(prices["electricity"], dict):
            prices["electricity"] = [{"name": kind} | prices["electricity"]]
        basis = cost_basis(job_with(prices={
            **prices, "natural_gas": "2.2 USD/therm", "other_use": {"electricity": "400 kWh/month"},
        }))  # fmt: skip
        heaters = ((gas_tank(), 5500.0), (electric_tank(), 3700.0), (heat_pump(), 1100.0))
        return basis, [
            Priced(heater=h, cost=option_cost(basis, h, year_of(h.energy_source, kwh)),
                   energy_kwh={h.energy_source: kwh})
            for h, kwh in heaters
        ]  # fmt: skip

    return made


Options = Callable[..., tuple[CostBasis, list[Priced]]]


@pytest.mark.parametrize("kind", BENT)
@pytest.mark.parametrize("level", [0.0, 0.5, 0.77, 2.4])
def test_a_line_is_the_life_cycle_cost_of_a_household_with_such_prices(
    options_at: Options, kind: str, level: float
) -> None:
    basis, options = options_at(kind)
    lines = price_lines(basis, [(o.heater.id, o.cost) for o in options])

    for line, option, dearer in zip(lines, options, options_at(kind, level)[1], strict=True):
        assert line.at({}) == pytest.approx(option.cost.life_cycle)
        assert line.at({POWER: level}) == pytest.approx(dearer.cost.life_cycle, rel=1e-4)


@pytest.mark.parametrize("kind", BENT)
def test_at_the_ends_of_its_range_another_option_becomes_the_cheapest(
    options_at: Options, kind: str
) -> None:
    today = [option.ranges[1] for option in cost_report(*options_at(kind)).options]
    ends = {
        end / price.today_per_kwh
        for price in today
        for end in (price.low_per_kwh, price.high_per_kwh)
        if price.ever and 0 < end < inf
    }

    assert ends
    for end in ends:
        below, above = (
            min(options_at(kind, factor * end)[1], key=lambda o: o.cost.life_cycle).heater.id
            for factor in (0.99, 1.01)
        )
        assert below != above


@pytest.mark.parametrize("kind", BENT)
def test_the_map_is_that_of_households_with_such_prices(options_at: Options, kind: str) -> None:
    found = cost_report(*options_at(kind)).price_map
    assert found is not None
    today = found.up_per_kwh.index(max(p for p in found.up_per_kwh if p <= 2.2 / 29.3071))
    column = 5
    level = found.across_per_kwh[column] / 0.14
    costs = {o.heater.id: o.cost.life_cycle for o in options_at(kind, level)[1]}
    gas = next(o for o in options_at(kind)[1] if o.heater.id == "gas").cost
    # the row lies a little under today's price of gas
    costs["gas"] -= (
        (1.0 - found.up_per_kwh[today] * 29.3071 / 2.2) * gas.energy_per_year[GAS] * 14.8775
    )

    assert found.cheapest[today][column] == min(costs, key=lambda id_: costs[id_])


@pytest.mark.parametrize("kind", BENT)
def test_todays_price_is_that_of_a_kwh_on_the_sheet(options_at: Options, kind: str) -> None:
    basis, options = options_at(kind)

    today = prices_today(basis, [o.cost for o in options])

    # 400 kWh a month beside hot water lie in the first block and under the least bill
    assert today == pytest.approx({GAS: 2.2 / 29.3071, POWER: 0.14}, rel=1e-3)


def test_of_two_ranges_the_one_nearest_to_today_is_told() -> None:
    bent = CostCurve(scale=np.array([0.0, 1.0, 2.0]), cost=np.array([0.0, 1000.0, 1000.0]))
    lines = (
        PriceLine(id="level", base=1200.0, energy={POWER: CostCurve.straight(0.0)}),
        PriceLine(id="bent", base=400.0, energy={POWER: bent}),
        PriceLine(id="steep", base=100.0, energy={POWER: CostCurve.straight(1000.0)}),
    )

    # 400 + 1000 m passes 1200 at 0.8, and the first line stays below 1400 from there on
    found = cheapest_range(lines, "level", POWER, 1.0)
    assert (found.low_per_kwh, found.high_per_kwh) == (pytest.approx(1.1), inf)
    assert cheapest_range(lines, "steep", POWER, 1.0).high_per_kwh == pytest.approx(1.1)


def test_the_map_names_the_cheapest_of_each_pair_of_prices() -> None:
    found = price_map(LINES, {GAS: 0.04, POWER: 0.14}, reach=2.0, steps=5)

    assert found.across_per_kwh == pytest.approx((0.0, 0.07, 0.14, 0.21, 0.28))
    assert found.cheapest[0][4] == "gas"  # free gas, dear electricity
    assert found.cheapest[4][0] == "electric"  # free electricity, dear gas
    for row, gas in enumerate(found.up_per_kwh):
        for column, power in enumerate(found.across_per_kwh):
            levels = {GAS: gas / 0.04, POWER: power / 0.14}
            best = min(LINES, key=lambda line: line.at(levels))
            assert found.cheapest[row][column] == best.id
    assert found.as_dict()["across"] == "electricity"


def test_an_unknown_option_is_refused() -> None:
    with pytest.raises(UnknownChoiceError, match="option is moon"):
        cheapest_range(LINES, "moon", GAS, 0.04)
