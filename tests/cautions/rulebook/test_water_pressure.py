"""Closed systems, expansion tanks, pressure and the relief valve."""

from __future__ import annotations

import pytest

CLOSED = {"home.backflow_preventer": True}


def caution(report, rule: str):
    return next(c for c in report.cautions if c.id == rule)


@pytest.mark.parametrize(
    "device", ["home.backflow_preventer", "home.site.pressure_regulator", "home.site.check_valve"]
)
def test_each_device_closes_the_system(raised, device):
    assert "closed-system" in raised("gas-tank-50", {device: True})


def test_an_open_system_needs_no_tank(raised):
    assert "closed-system" not in raised("gas-tank-50")


def test_unknown_devices_are_asked_for(asked):
    unknown = dict.fromkeys(
        ("home.backflow_preventer", "home.site.pressure_regulator", "home.site.check_valve"), ...
    )
    assert set(unknown) <= asked("gas-tank-50", unknown)


def test_size_is_shown_on_both_bases(house):
    found = caution(house("gas-tank-50", CLOSED), "closed-system")
    values = {name: value for name, value, _ in found.numbers}
    assert values["tank_l"] > values["tank_at_135_psi_l"] > values["growth_l"]
    assert "80 psi basis" in found.trade_message


def test_without_a_pressure_no_size_is_guessed(house, asked):
    changes = {**CLOSED, "home.static_pressure": ...}
    found = caution(house("gas-tank-50", changes), "closed-system")
    assert "basis" not in found.trade_message
    assert "home.static_pressure" in asked("gas-tank-50", changes)


def test_at_the_limit_the_regulator_comes_first(raised):
    found = raised("gas-tank-50", {**CLOSED, "home.static_pressure": "85 psi"})
    assert {"pressure-high", "closed-system"} <= found


def test_tankless_heaters_are_asked_by_the_upc_alone(raised):
    for code, duty in (("upc", True), ("ipc", False)):
        changes = {**CLOSED, "home.site.plumbing_code": code}
        assert ("closed-system-tankless" in raised("gas-tankless-199", changes)) is duty


def test_a_regulator_brings_its_expansion_tank(house):
    found = caution(house("gas-tank-50", {"home.static_pressure": "90 psi"}), "pressure-high")
    assert found.remedy_ids == ("pressure_reducing_valve", "expansion_tank")


def test_a_tank_that_is_large_but_flat_is_charged_not_replaced(house):
    changes = {**CLOSED, "home.site.expansion_tank": True,
               "home.site.expansion_tank_volume": "20 gal",
               "home.site.expansion_precharge": "40 psi"}  # fmt: skip
    found = caution(house("gas-tank-50", changes), "expansion-tank-size")
    assert found.remedy_ids == ()
    assert "Charge it" in found.remedy


def test_every_relief_fault_is_said_in_words(house):
    faults = ["no_pipe", "undersized", "trapped", "valved", "threaded_end", "hidden",
              "piped_to_drain", "ends_high", "no_valve"]  # fmt: skip
    found = caution(house("gas-tank-50", {"home.site.relief_faults": faults}), "relief-discharge")
    assert found.message.count(";") == len(faults) - 1


def test_a_well_is_noted_with_its_pressure_tank(raised):
    assert "well-pressure-tank" in raised("gas-tank-50", {"place.supply": "well"})


def test_a_tankless_heater_bursts_too(house, asked):
    none = {"home.site.relief_faults": ["no_valve"]}
    found = caution(house("gas-tankless-199", none), "relief-discharge")
    assert "tank from" not in found.message
    assert "210" not in found.trade_message
    assert "home.site.relief_faults" in asked("gas-tankless-199", {"home.site.relief_faults": ...})


@pytest.mark.parametrize(("pressure", "low"), [("20 psi", False), ("19 psi", True)])
def test_a_low_pressure_is_told(raised, pressure, low):
    assert ("pressure-low" in raised("gas-tankless-199", {"home.static_pressure": pressure})) is low


def test_no_pressure_at_all_is_measured_again(asked):
    assert "home.static_pressure" in asked("gas-tank-40", {"home.static_pressure": "0 psi"})


@pytest.mark.parametrize(
    ("heater", "volume", "tank"),
    [("gas-tank-40", "0.5 gal", True), ("gas-tank-40", "4 gal", False),
     ("gas-tankless-199", "0.5 gal", False)],
)  # fmt: skip
def test_behind_a_new_regulator_an_expansion_tank_that_is_too_small_goes(
    house, heater, volume, tank
):
    high = {"home.static_pressure": "90 psi", "home.site.expansion_tank": True,
            "home.site.expansion_tank_volume": volume, "home.site.expansion_precharge": "60 psi",
            "home.site.plumbing_code": "ipc"}  # fmt: skip
    found = caution(house(heater, high), "pressure-high")
    assert ("expansion_tank" in found.remedy_ids) is tank
