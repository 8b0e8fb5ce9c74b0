"""What must hold for any household: monotony of the whole chain, determinism, balance."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatersel.api import compare, size
from heatersel.errors import JobError
from heatersel.heaters.catalogue import HeaterList, heater_by_id, load_heaters
from heatersel.job.load import parse_job

# A few of each kind keep a property test of the whole chain within seconds.
FEW = HeaterList(
    heaters=tuple(
        heater_by_id(load_heaters().heaters, id_)
        for id_ in ("gas-tank-50", "electric-tank-50", "heat-pump-50", "gas-tankless-199")
    )
)
CLIMATES = ("Duluth, MN", "Miami, FL", "Ottawa, ON", "Seattle, WA")


def job_tables(people: int, climate: str, setpoint_f: int, **prices: str) -> dict[str, Any]:
    return {
        "household": {"occupants": people, "fixtures": {"shower": 2}},
        "place": {"climate": climate},
        "home": {"fuels": ["natural_gas", "electricity"]},
        "prices": prices,
        "preferences": {"setpoint": f"{setpoint_f} degF"},
    }


def money(climate: str) -> str:
    return "CAD" if climate.endswith("ON") else "USD"


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 8), st.sampled_from(CLIMATES), st.integers(115, 140))
def test_more_people_never_need_less(people: int, climate: str, setpoint_f: int) -> None:
    fewer = size(parse_job(job_tables(people, climate, setpoint_f)), FEW).demand
    more = size(parse_job(job_tables(people + 1, climate, setpoint_f)), FEW).demand

    assert more.daily_hot_water_l >= fewer.daily_hot_water_l
    assert more.peak_hour_hot_water_l >= 0.97 * fewer.peak_hour_hot_water_l  # drawn from samples
    assert more.peak_flow_l_per_min >= fewer.peak_flow_l_per_min


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 8), st.integers(40, 70), st.integers(1, 15))
def test_colder_water_never_lowers_demand_or_cost(people: int, inlet_f: int, colder: int) -> None:
    def at(inlet: int) -> Any:
        tables = job_tables(people, "Chicago, IL", 125)
        months = ("january", "april", "july", "october")
        tables["place"]["inlet"] = {month: f"{inlet} degF" for month in months}
        return compare(parse_job(tables), FEW)

    warm, cold = at(inlet_f), at(max(inlet_f - colder, 33))

    assert cold.demand.daily_hot_water_l >= warm.demand.daily_hot_water_l - 1e-9
    assert cold.demand.peak_flow_l_per_min >= warm.demand.peak_flow_l_per_min - 1e-9
    for option in cold.options:
        same = warm.option(option.id) if option.heater.units == 1 else None
        if same is not None:
            assert option.cost.total_per_year >= same.cost.total_per_year - 1e-6


@settings(max_examples=15, deadline=None)
@given(st.sampled_from(CLIMATES), st.floats(0.05, 0.5), st.floats(0.0, 0.3))
def test_a_higher_price_never_lowers_a_cost(climate: str, price: float, more: float) -> None:
    def at(per_kwh: float) -> Any:
        prices = {"electricity": f"{per_kwh:.4f} {money(climate)}/kWh"}
        return compare(parse_job(job_tables(4, climate, 125, **prices)), FEW)

    cheap, dear = at(price), at(price + more)

    for option in dear.options:
        assert option.cost.life_cycle >= cheap.option(option.id).cost.life_cycle - 1e-6


@pytest.mark.parametrize("climate", CLIMATES)
def test_the_same_job_gives_the_same_answer(climate: str) -> None:
    job = parse_job(job_tables(4, climate, 125))

    assert compare(job, FEW).as_dict() == compare(job, FEW).as_dict()


@pytest.mark.parametrize("climate", CLIMATES)
def test_parts_sum_to_their_totals(climate: str) -> None:
    for option in compare(parse_job(job_tables(4, climate, 125)), FEW).options:
        cost = option.cost
        parts = sum(cost.energy_per_year.values()) + sum(cost.space_per_year.values())
        parts += cost.fixed_per_year
        assert cost.total_per_year == pytest.approx(parts + cost.maintenance_per_year)
        assert cost.installed == pytest.approx(sum(line.amount for line in cost.installed_lines))


def test_money_of_another_country_is_refused_before_anything_is_compared() -> None:
    """The table's Canadian prices of other fuels could not stand in beside it."""
    tables = job_tables(2, "Ottawa, ON", 125, electricity="0.15 USD/kWh")

    with pytest.raises(JobError, match="USD; allowed: CAD, the money of ON"):
        parse_job(tables)


def test_208_volts_take_a_quarter_of_a_resistance_heater_and_altitude_none() -> None:
    """Power goes with the square of the voltage: (208/240)^2 = 0.751."""

    def sized(line_v: int, elevation: str) -> dict[str, float]:
        tables = job_tables(4, "Denver, CO", 125)
        tables["home"]["panel"] = {"line_voltage": line_v}
        tables["place"]["elevation"] = elevation
        found = size(parse_job(tables), FEW).options
        return {option.heater.id.removesuffix("-x2"): option.sizing.available for option in found}

    low, high = sized(208, "0 ft"), sized(240, "0 ft")
    mountain = sized(240, "6000 ft")

    assert low["electric-tank-50"] < high["electric-tank-50"]
    # of a heat pump the element alone is weaker, and the store stays as it is
    assert 0.75 < low["heat-pump-50"] / high["heat-pump-50"] < 1.0
    assert mountain["heat-pump-50"] == high["heat-pump-50"]
    assert mountain["gas-tank-50"] < high["gas-tank-50"]
