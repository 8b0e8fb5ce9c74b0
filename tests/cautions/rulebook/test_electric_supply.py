"""Circuits, spaces and the service."""

from __future__ import annotations

from dataclasses import replace

import pytest

LOADS = {"floor_area": "1800 ft2", "range": "8 kW", "dryer": "5 kW", "other": "2.7 kW",
         "air_conditioning": "5.76 kW"}  # fmt: skip
CANADIAN_LOADS = {"floor_area": "180 m2", "range": "11 kW", "dryer": "5 kW"}


def caution(report, rule: str):
    return next(c for c in report.cautions if c.id == rule)


def test_a_gas_house_has_no_circuit_and_gets_one(house):
    changes = {"existing.energy_source": "natural_gas", "home.panel.heater_breaker": ...}
    found = caution(house("electric-tank-50", changes), "circuit-tank")
    assert found.remedy_ids == ("new_circuit_240v",)
    assert "30-amp breaker" in found.message


def test_an_electric_house_is_asked_what_its_breaker_is(asked, raised):
    changes = {"home.panel.heater_breaker": ..., "home.panel.heater_wire": ...}
    assert set(changes) <= asked("electric-tank-50", changes)
    assert "circuit-tank" not in raised("electric-tank-50", changes)


def test_no_breaker_at_all_is_said_as_zero(raised):
    assert "circuit-tank" in raised("electric-tank-50", {"home.panel.heater_breaker": "0 A"})


def test_a_reused_circuit_needs_no_spaces(raised):
    assert "panel-spaces" not in raised("electric-tank-50", {"home.panel.spare_poles": 0})


def test_a_new_circuit_needs_two(raised):
    changes = {"existing.energy_source": "natural_gas", "home.panel.heater_breaker": ...}
    assert "panel-spaces" in raised("heat-pump-50", {**changes, "home.panel.spare_poles": 1})
    assert "panel-spaces" not in raised("heat-pump-50", {**changes, "home.panel.spare_poles": 2})


def test_two_tankless_units_draw_twice_as_much(house, heater_of):
    one = heater_of("electric-tankless-18")
    both = replace(one, units=2, input_kw=2 * one.input_kw)
    single, double = (caution(house(h), "circuit-tankless") for h in (one, both))
    amps = [dict((n, v) for n, v, _ in c.numbers)["heater_a"] for c in (single, double)]
    assert amps[1] == pytest.approx(2 * amps[0])
    assert "4 x 40 A" in double.trade_message


def test_service_by_the_optional_method(house):
    # NEC 220.83, worked in tests/published: 94.2 A with a 4500 W tank
    changes = {"home.panel.loads": LOADS, "home.panel.service": "90 A"}
    found = caution(house("electric-tank-50", changes), "service-load")
    assert dict((n, v) for n, v, _ in found.numbers)["load_a"] == pytest.approx(94.2, abs=0.1)
    assert "NEC 220.83" in found.trade_message


def test_service_by_a_measured_peak(house):
    changes = {"home.panel.measured_peak": "48 A", "home.panel.service": "80 A"}
    found = caution(house("electric-tank-50", changes), "service-load")
    assert dict((n, v) for n, v, _ in found.numbers)["load_a"] == pytest.approx(83.4, abs=0.1)


def test_service_by_the_canadian_rule(house):
    changes = {"place.climate": "Toronto, ON", "home.panel.service": "100 A",
               "home.panel.loads": CANADIAN_LOADS}  # fmt: skip
    found = caution(house("electric-tankless-27", changes), "service-load-canada")
    assert dict((n, v) for n, v, _ in found.numbers)["load_a"] == pytest.approx(167.7, abs=0.1)


def test_energy_management_stands_in_for_a_larger_service(raised):
    changes = {"home.panel.service": "100 A", "home.panel.energy_management": True}
    assert "service-load" not in raised("electric-tankless-27", changes)


def test_unknown_service_and_load_are_asked_for(asked):
    changes = {"home.panel": ...}
    assert {
        "home.panel.service",
        "home.panel.calculated_load",
        "home.panel.measured_peak",
    } <= asked("electric-tank-50", changes)


def test_plug_in_heat_pumps_need_an_outlet_and_no_circuit(raised):
    changes = {"home.panel.outlet_120v": False, "existing.energy_source": "natural_gas"}
    found = raised("plug-in-heat-pump-50", changes)
    assert "outlet" in found
    assert "circuit-tank" not in found


@pytest.mark.parametrize(
    ("heater", "needs"), [("gas-power-vent-50", True), ("gas-tankless-199", True),
                          ("gas-tank-40", False)],
)  # fmt: skip
def test_burners_with_a_fan_need_an_outlet(raised, heater, needs):
    assert ("outlet" in raised(heater, {"home.panel.outlet_120v": False})) is needs


def test_a_weak_supply_leaves_three_quarters(house):
    found = caution(house("electric-tank-50", {"home.panel.line_voltage": 208}), "supply-208")
    assert "75%" in found.message


def test_a_heater_beyond_any_house_service_is_stopped_even_if_the_service_is_not_known(
    house, asked
):
    unknown = {"home.panel.service": ..., "home.panel.calculated_load": ...}
    report = house("electric-tankless-36-x2", unknown)
    stop = next(c for c in report.stops if c.id == "service-beyond")

    # 72 kW at 240 V
    assert dict((name, value) for name, value, _ in stop.numbers)["heater_a"] == 300.0
    assert "a smaller heater" in stop.lifts
    assert "home.panel.service" in asked("electric-tankless-36-x2", unknown)


def test_a_managed_load_does_not_make_a_service_larger(raised):
    assert "service-beyond" in raised(
        "electric-tankless-36-x2",
        {"home.panel.service": "200 A", "home.panel.energy_management": True},
    )


LIKE = {"energy_source": "electricity", "kind": "tankless", "input": "27 kW"}


@pytest.mark.parametrize(
    ("changes", "new"),
    [
        ({}, False),
        ({"home.panel.heater_breaker": "30 A"}, True),  # the listing of a 27 kW heater: 3 x 40 A
        ({"home.panel.heater_wire": 10}, True),
        ({"existing": LIKE | {"input": "18 kW"}}, True),  # two circuits, three are needed
        ({"existing": LIKE | {"kind": "storage"}}, True),
        ({"home.panel.heater_breaker": "0 A"}, True),
    ],
)
def test_an_electric_tankless_heater_in_place_of_its_like_keeps_its_circuits(raised, changes, new):
    there = {"existing": LIKE, "home.panel.heater_breaker": "40 A", "home.panel.heater_wire": 8}
    assert ("circuit-tankless" in raised("electric-tankless-27", there | changes)) is new


@pytest.mark.parametrize(
    "field", ["existing.input", "home.panel.heater_breaker", "home.panel.heater_wire"]
)
def test_circuits_that_nobody_looked_at_are_asked_for(asked, raised, field):
    there = {"existing": dict(LIKE), "home.panel.heater_breaker": "40 A",
             "home.panel.heater_wire": 8}  # fmt: skip
    assert field in asked("electric-tankless-27", {**there, field: ...})
    assert "circuit-tankless" not in raised("electric-tankless-27", {**there, field: ...})


@pytest.mark.parametrize(
    ("changes", "work"),
    [
        # 40 A on 8 AWG: above the next size over 150 % of 18.75 A, the wire is thick enough
        ({"home.panel.heater_breaker": "40 A", "home.panel.heater_wire": 8}, "breaker_change"),
        # 20 A on 10 AWG: below 125 %, and 10 AWG carries 30 A
        ({"home.panel.heater_breaker": "20 A", "home.panel.heater_wire": 10}, "breaker_change"),
        ({"home.panel.heater_breaker": "20 A", "home.panel.heater_wire": 12}, "new_circuit_240v"),
        ({"home.panel.heater_breaker": "20 A", "home.panel.heater_wire": ...}, "new_circuit_240v"),
    ],
)
def test_a_wire_that_carries_the_heater_needs_another_breaker_only(house, changes, work):
    assert caution(house("electric-tank-50", changes), "circuit-tank").remedy_ids == (work,)


def test_canada_has_no_ceiling_that_is_known_here(raised):
    large = {"home.panel.heater_breaker": "40 A", "home.panel.heater_wire": 8,
             "place.climate": "Toronto, ON"}  # fmt: skip
    assert "circuit-tank-canada" not in raised("electric-tank-50", large)


@pytest.mark.parametrize(("volts", "rule"), [(120, "supply-too-low"), (191, "supply-too-low"),
                                             (192, "supply-208"), (208, "supply-208")])  # fmt: skip
def test_a_house_without_240_volts(raised, volts, rule):
    found = raised("electric-tank-50", {"home.panel.line_voltage": volts})
    assert found & {"supply-too-low", "supply-208"} == {rule}
