"""The demand of a household: what every later stage starts from."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from heatersel.climate import climate
from heatersel.demand.household import (
    Demand,
    demand_for,
    demand_of,
    design_hot_shares,
    occupants_hot_water_l,
)
from heatersel.demand.inlet import Inlet, inlet_for
from heatersel.errors import JobError, OutOfRangeError
from heatersel.job.load import parse_job
from heatersel.job.models import Fixture, Household, Job
from heatersel.water import heat_kwh

Households = Callable[..., Household]
Inlets = Callable[..., Inlet]
SETPOINT_C = 51.667
QUICK = {"n_years": 1}


def job(**household: Any) -> Job:
    return parse_job(
        {
            "household": {"occupants": 4} | household,
            "place": {"climate": "Duluth, MN"},
            "home": {"fuels": ["natural_gas", "electricity"]},
        }
    )


def of_job(given_job: Job) -> Demand:
    here = climate(given_job.place.climate)
    return demand_of(given_job, inlet_for(given_job.place, here), here, n_years=1)


def test_parts_add_up_to_the_day(household: Households, inlet: Inlets) -> None:
    demand = demand_for(household(), inlet(), SETPOINT_C, **QUICK)

    assert sum(demand.by_fixture_l.values()) == pytest.approx(demand.daily_hot_water_l)
    assert demand.hot_by_day_l.mean() == pytest.approx(demand.daily_hot_water_l)
    assert sum(demand.mixed_by_fixture_l.values()) == pytest.approx(demand.daily_mixed_water_l)
    assert demand.daily_mixed_water_l > demand.daily_hot_water_l
    assert demand.daily_hot_water_l == pytest.approx(
        occupants_hot_water_l(household(), inlet(), SETPOINT_C).mean()
    )


def test_stated_uses_win_and_are_placed(household: Households, inlet: Inlets) -> None:
    house = household(peak_hour={"shower": 3, "kitchen_sink": 1})
    demand = demand_for(house, inlet(), SETPOINT_C)

    assert demand.peak_hour_is_stated
    assert dict(demand.peak_hour_uses) == {Fixture.SHOWER: 3, Fixture.KITCHEN_SINK: 1}
    assert demand.peak_hour_hot_water_l == pytest.approx(
        sum(demand.peak_hour_by_fixture_l.values())
    )
    assert 0.5 < demand.peak_hour_share_below < 0.99


def test_without_stated_uses_the_percentile_is_required(
    household: Households, inlet: Inlets
) -> None:
    demand = demand_for(household(), inlet(), SETPOINT_C, percentile=0.95)

    assert not demand.peak_hour_is_stated
    assert demand.peak_hour_hot_water_l == demand.busiest_hours_design.percentile_l(0.95)
    assert demand.peak_hour_share_below == pytest.approx(0.95, abs=0.002)
    assert demand.peak_hour_of_uses_l < demand.peak_hour_hot_water_l


def test_the_worksheet_stands_beside(household: Households, inlet: Inlets) -> None:
    house = household(peak_hour={"shower": 3, "lavatory": 1, "kitchen_sink": 1})
    demand = demand_for(house, inlet(), SETPOINT_C, **QUICK)

    assert demand.worksheet_l["middle"] == pytest.approx(36 * 3.785411784)


def test_stated_fixtures_win_and_are_placed(household: Households, inlet: Inlets) -> None:
    house = household(fixtures={"shower": 2}, simultaneous={"shower": 2, "kitchen_sink": 1})
    demand = demand_for(house, inlet(), SETPOINT_C, **QUICK)

    assert demand.peak_flow_is_stated
    assert demand.peak_mixed_flow_l_per_min == pytest.approx(2 * 7.571 + 8.328)
    assert demand.peak_flow_share_not_above == pytest.approx(
        demand.flow_mixed.share_not_above(demand.peak_mixed_flow_l_per_min)
    )
    assert demand.peak_flow_l_per_min < demand.peak_mixed_flow_l_per_min


def test_without_stated_fixtures_the_percentile_is_required(
    household: Households, inlet: Inlets
) -> None:
    demand = demand_for(household(), inlet(), SETPOINT_C, **QUICK)

    assert not demand.peak_flow_is_stated
    assert demand.peak_flow_l_per_min == demand.peak_flow_percentile_l_per_min
    assert demand.peak_flow_share_not_above >= 0.99


def test_tubs_are_shown_but_not_held(household: Households, inlet: Inlets) -> None:
    """A tub that gets less only fills more slowly."""
    one, two = (
        demand_for(household(fixtures={"bathtub": n}), inlet(), SETPOINT_C, **QUICK) for n in (1, 2)
    )

    assert two.flow_held.mean_l_per_min == one.flow_held.mean_l_per_min
    assert two.flow_mixed.mean_l_per_min > one.flow_mixed.mean_l_per_min


def test_the_smallest_tap_is_looked_for_on_the_warmest_day(
    household: Households, inlet: Inlets
) -> None:
    water, warmest_c = inlet(), float(inlet().daily_c.max())
    house = household(fixture_flow={"lavatory": "0.5 gal/min"})
    least = demand_for(house, water, SETPOINT_C, **QUICK).least_flow_l_per_min
    tub_only = household(fixtures={"shower": 0, "lavatory": 0, "kitchen_sink": 0})

    share = (house.use_temp_c - warmest_c) / (SETPOINT_C - warmest_c)
    assert least == pytest.approx(0.5 * 3.785411784 * share)
    assert demand_for(tub_only, water, SETPOINT_C, **QUICK).least_flow_l_per_min is None


def test_output_lifts_the_peak_flow_by_the_rise(household: Households, inlet: Inlets) -> None:
    demand = demand_for(household(), inlet(), SETPOINT_C, **QUICK)

    assert demand.temperature_rise_k == pytest.approx(SETPOINT_C - inlet().design_c)
    assert demand.peak_output_kw == pytest.approx(
        heat_kwh(60 * demand.peak_flow_l_per_min, inlet().design_c, SETPOINT_C)
    )


def test_hot_shares_follow_the_mixing_equation(household: Households, inlet: Inlets) -> None:
    shares = design_hot_shares(household(), inlet(), SETPOINT_C)
    own = design_hot_shares(household(dishwasher_heats_water=True), inlet(), SETPOINT_C)

    cold = inlet().design_c
    assert shares[Fixture.SHOWER] == pytest.approx((40.56 - cold) / (SETPOINT_C - cold))
    assert shares[Fixture.DISHWASHER] == 1.0
    assert own[Fixture.DISHWASHER] == 0.0


def test_a_setpoint_below_the_inlet_is_refused(household: Households, inlet: Inlets) -> None:
    with pytest.raises(OutOfRangeError, match="above the coldest inlet"):
        demand_for(household(), inlet(), inlet().design_c)


def test_a_hotter_setpoint_needs_fewer_litres(household: Households, inlet: Inlets) -> None:
    cool, hot = (demand_for(household(), inlet(), c, **QUICK) for c in (48.9, 60.0))

    assert hot.daily_hot_water_l < cool.daily_hot_water_l
    assert hot.peak_hour_hot_water_l < cool.peak_hour_hot_water_l


@settings(max_examples=20, deadline=None)
@given(adults=st.integers(1, 6), colder_k=st.floats(0.0, 12.0))
def test_a_colder_inlet_never_lowers_demand(
    household: Households, inlet: Inlets, adults: int, colder_k: float
) -> None:
    mild = inlet("Atlanta, GA")
    cold_c = np.maximum(mild.daily_c - colder_k, 0.5)
    cold = Inlet(method=mild.method, daily_c=cold_c, monthly_c=mild.monthly_c, note="",
                 annual_mean_c=float(cold_c.mean()), design_c=float(cold_c.min()),
                 design_day=mild.design_day)  # fmt: skip
    a, b = (demand_for(household(adults), i, SETPOINT_C, **QUICK) for i in (mild, cold))

    assert b.daily_hot_water_l >= a.daily_hot_water_l - 1e-9
    assert b.peak_hour_hot_water_l >= a.peak_hour_hot_water_l - 1e-9
    assert b.peak_flow_l_per_min >= a.peak_flow_l_per_min - 1e-9
    assert b.peak_output_kw >= a.peak_output_kw - 1e-9


@pytest.mark.parametrize("kind", ["adults", "teenagers", "children"])
def test_more_people_never_lower_demand(household: Households, inlet: Inlets, kind: str) -> None:
    """Volumes by their equations; the busiest hour by draws that are common to both households.

    A child's bath moves to the evening, so its hour may stay where it was, within the noise of
    one percent.
    """
    for n in range(1, 5):
        people = {"adults": n, "teenagers": 1, "children": 1}
        before, after = (
            demand_for(household(p), inlet(), SETPOINT_C, n_years=4)
            for p in (people, people | {kind: people[kind] + 1})
        )
        assert after.daily_hot_water_l > before.daily_hot_water_l
        assert after.peak_hour_hot_water_l > 0.99 * before.peak_hour_hot_water_l
        assert after.peak_flow_l_per_min >= before.peak_flow_l_per_min


def test_bills_scale_the_days_but_not_what_was_stated(household: Households, inlet: Inlets) -> None:
    house = household(peak_hour={"shower": 3})
    full, less = (
        demand_for(house, inlet(), SETPOINT_C, volume_factor=f, **QUICK) for f in (1.0, 0.7)
    )

    assert less.daily_hot_water_l == pytest.approx(0.7 * full.daily_hot_water_l)
    assert less.peak_hour_hot_water_l == full.peak_hour_hot_water_l
    assert less.peak_hour_share_below > full.peak_hour_share_below


def test_a_job_without_bills_rests_on_its_people() -> None:
    demand = of_job(job())

    assert demand.bills is None
    assert demand.volume_factor == 1.0


def test_a_job_with_good_bills_is_scaled_by_them() -> None:
    """An invented year of gas: about 16 therm a month without heating."""
    monthly = [f"{t} therm" for t in (165, 140, 112, 68, 33, 17, 16, 16, 22, 62, 105, 152)]
    demand = of_job(job(bills={"fuel": "natural_gas", "monthly": monthly}))

    assert demand.bills is not None
    assert demand.bills.accepted, demand.bills.reason
    assert demand.daily_hot_water_l == pytest.approx(demand.bills.daily_hot_water_l, rel=1e-6)
    assert demand.volume_factor != 1.0
    assert demand.as_dict()["bills"]["accepted"] is True


def test_a_job_with_useless_bills_rests_on_its_people() -> None:
    monthly = [f"{t} therm" for t in (20, 150, 10, 90, 140, 5, 90, 12, 160, 8, 40, 99)]
    demand = of_job(job(bills={"fuel": "natural_gas", "monthly": monthly}))

    assert demand.bills is not None
    assert not demand.bills.accepted
    assert demand.daily_hot_water_l == pytest.approx(of_job(job()).daily_hot_water_l)


def test_bills_of_a_fuel_that_heats_no_water_are_not_used() -> None:
    demand = of_job(
        job(bills={"fuel": "electricity", "monthly": ["700 kWh"] * 12, "heats_water": False})
    )

    assert demand.bills is not None
    assert not demand.bills.accepted
    assert demand.daily_hot_water_l == pytest.approx(of_job(job()).daily_hot_water_l)


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"occupants": 0}, "household.occupants"),
        ({"occupants": {"adults": 0}}, "household.occupants"),
        ({"fixture_flow": {"shower": "0 gal/min"}}, "household.fixture_flow.shower"),
        ({"fixture_flow": {"shower": "2 gal"}}, "household.fixture_flow.shower"),
    ],
)
def test_impossible_households_are_one_fault_of_the_job(given: dict[str, Any], field: str) -> None:
    with pytest.raises(JobError) as caught:
        job(**given)

    assert [fault.name for fault in caught.value.faults] == [field]
    assert caught.value.faults[0].fix


def test_plain_fields_carry_the_contract(household: Households, inlet: Inlets) -> None:
    fields = demand_for(household(), inlet(), SETPOINT_C, **QUICK).as_dict()

    assert {
        "daily_hot_water_l", "daily_mixed_water_l", "peak_hour_hot_water_l", "peak_flow_l_per_min",
        "peak_flow_percentile_l_per_min", "temperature_rise_k", "peak_output_kw",
    } <= set(fields)  # fmt: skip
    assert json.loads(json.dumps(fields)) == fields
