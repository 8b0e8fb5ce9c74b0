"""Prices up to which an option stays the cheapest, and the map of two prices."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cost.break_even import PriceLine, cheapest_range, price_line, price_map
from heatersel.cost.life_cycle import Ownership, StudyTerms, life_cycle_cost
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource

GAS, POWER = EnergySource.NATURAL_GAS, EnergySource.ELECTRICITY
LINES = (
    PriceLine(id="gas", base=3000.0, slope={GAS: 4000.0}),
    PriceLine(id="heat pump", base=5000.0, slope={POWER: 2500.0}),
    PriceLine(id="electric", base=2500.0, slope={POWER: 8000.0}),
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
    worse = PriceLine(id="worse", base=4000.0, slope={GAS: 4000.0})

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


def test_a_line_is_the_life_cycle_cost_at_any_price() -> None:
    terms = StudyTerms(escalation={GAS: 0.01})
    owned = Ownership(installed=2000.0, replacement=1500.0, life_years=13.0,
                      energy_per_year={GAS: 300.0, POWER: 20.0}, fixed_per_year=60.0)  # fmt: skip
    twice = Ownership(installed=2000.0, replacement=1500.0, life_years=13.0,
                      energy_per_year={GAS: 600.0, POWER: 20.0}, fixed_per_year=60.0)  # fmt: skip
    line = price_line("x", owned, terms)

    assert line.at({}) == pytest.approx(life_cycle_cost(owned, terms))
    assert line.at({GAS: 2.0}) == pytest.approx(life_cycle_cost(twice, terms))


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
