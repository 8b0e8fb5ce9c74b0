"""Service calculations, each term by hand."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heatersel.cautions.service_load import (
    canadian_load_a,
    canadian_share_of_added_load,
    general_load_va,
    heating_cooling_va,
    measured_load_a,
    optional_demand_va,
    optional_load_a,
    us_share_of_added_load,
)
from heatersel.job.site import HouseLoads


def loads(**known: object) -> HouseLoads:
    return HouseLoads.model_validate({"floor_area": "1000 ft2", **known})


def test_general_load_is_lighting_circuits_and_nameplates():
    # 3 VA/ft2 x 1000 + 1500 x (2 + 1) + 8000 + 5000 + 4500
    house = loads(range="8 kW", dryer="5 kW")
    assert general_load_va(house, 4500.0) == pytest.approx(25_000)


def test_lighting_counts_less_from_2026():
    # NEC 2026 counts 2 VA/ft2 (seen in trade news)
    before, after = (general_load_va(loads(), 0.0, year) for year in (2025, 2026))
    assert before - after == pytest.approx(1000)


@pytest.mark.parametrize(("va", "demand"), [(7999, 7999), (8000, 8000), (8001, 8000.4)])
def test_first_8_kva_count_in_full(va, demand):
    assert optional_demand_va(va) == pytest.approx(demand)


@pytest.mark.parametrize(("units", "va"), [(3, 6500), (4, 4000)])
def test_electric_heat_by_number_of_units(units, va):
    assert heating_cooling_va(0.0, 10_000.0, units) == pytest.approx(va)


def test_larger_of_cooling_and_heat_counts():
    assert heating_cooling_va(5000.0, 1000.0) == 5000.0


def test_measured_peak_counts_a_quarter_more():
    assert measured_load_a(40.0, 20.0, is_storage=False) == pytest.approx(70.0)
    assert measured_load_a(40.0, 20.0, is_storage=True) == pytest.approx(75.0)


@pytest.mark.parametrize(
    ("area", "watts"),
    [("90 m2", 5000), ("90.1 m2", 6000), ("180 m2", 6000), ("181 m2", 7000), ("270 m2", 7000)],
)
def test_canadian_basic_load_steps_every_90_m2(area, watts):
    # tankless in full lifts the sum above the minimum service of 100 A
    load = canadian_load_a(loads(floor_area=area), 27_000.0, is_tankless=True)
    assert load * 240.0 == pytest.approx(watts + 27_000)


@pytest.mark.parametrize(("area", "amps"), [("79 m2", 60), ("80 m2", 100)])
def test_canadian_minimum_service(area, amps):
    assert canadian_load_a(loads(floor_area=area), 0.0, is_tankless=False) == amps


def test_canadian_range_above_12_kw():
    base = loads(floor_area="90 m2", range="12 kW", vehicle_charger="20 kW")
    large = loads(floor_area="90 m2", range="15 kW", vehicle_charger="20 kW")
    more = [canadian_load_a(h, 0.0, is_tankless=False) * 240.0 for h in (base, large)]
    assert more[1] - more[0] == pytest.approx(0.4 * 3000)


def test_canadian_electric_heat_beyond_10_kw_counts_three_quarters():
    heat = loads(floor_area="90 m2", electric_heat="30 kW")
    assert canadian_load_a(heat, 0.0, is_tankless=False) * 240.0 == pytest.approx(
        5000 + 10_000 + 0.75 * 20_000
    )


def test_without_a_range_the_first_6_kw_of_the_rest_count_in_full():
    # memory: 8-200(1)(a)(vii)(B)
    rest = loads(floor_area="90 m2", dryer="5 kW", other="5 kW", pool_or_spa="20 kW")
    assert canadian_load_a(rest, 0.0, is_tankless=False) * 240.0 == pytest.approx(
        5000 + 20_000 + 6000 + 0.25 * 4000
    )


def test_small_loads_are_left_out_in_canada():
    small = loads(floor_area="90 m2", range="10 kW", dryer="1.5 kW", pool_or_spa="20 kW")
    assert canadian_load_a(small, 0.0, is_tankless=False) * 240.0 == pytest.approx(31_000)


def test_shares_of_an_added_heater_span_least_and_most():
    assert us_share_of_added_load() == (0.4, 1.0)
    assert canadian_share_of_added_load(is_tankless=True) == (1.0, 1.0)
    assert canadian_share_of_added_load(is_tankless=False) == (0.25, 1.0)


@given(st.floats(0.0, 40_000.0), st.floats(0.0, 20_000.0))
def test_more_heater_never_lowers_the_load(heater_w, more_w):
    house = loads(range="8 kW")
    assert optional_load_a(house, heater_w + more_w) >= optional_load_a(house, heater_w)
    for tankless in (True, False):
        before = canadian_load_a(house, heater_w, is_tankless=tankless)
        assert canadian_load_a(house, heater_w + more_w, is_tankless=tankless) >= before
