"""Scald and growth: what is asked, what is added, and whom it is for."""

from __future__ import annotations

import pytest

HOT = {"preferences.setpoint": "140 degF"}
OPEN = {**HOT, "home.site.point_of_use_valves": False}


def numbers(report, rule: str) -> dict[str, float]:
    caution = next(c for c in report.cautions if c.id == rule)
    return {name: value for name, value, _ in caution.numbers}


def test_message_says_time_and_temperature(house):
    caution = next(c for c in house("gas-tank-50", OPEN).cautions if c.id == "scald-setpoint")
    assert "140 °F" in caution.message
    assert "3 seconds" in caution.message
    assert caution.remedy_ids == ("tempering_valve",)


def test_message_speaks_metric_in_a_metric_job(house):
    report = house("gas-tank-50", {**OPEN, "units": "si"})
    caution = next(c for c in report.cautions if c.id == "scald-setpoint")
    assert "60 °C" in caution.message
    assert "°F" not in caution.message


def test_valves_at_the_fixtures_end_the_duty(raised):
    assert "scald-setpoint" not in raised("gas-tank-50", HOT)


@pytest.mark.parametrize("where", ["home.site.tempering_valve", "preferences.tempering_valve"])
def test_a_tempering_valve_there_or_planned_ends_the_scald_duty(raised, where):
    assert "scald-setpoint" not in raised("gas-tank-50", {**OPEN, where: True})


def test_a_planned_valve_is_in_the_price_until_it_is_there(house):
    planned = {"preferences.tempering_valve": True}
    report = house("gas-tank-50", planned)
    assert any("tempering_valve" in c.remedy_ids for c in report.cautions)
    there = house("gas-tank-50", {**planned, "home.site.tempering_valve": True})
    assert not any("tempering_valve" in c.remedy_ids for c in there.cautions)


def test_child_gets_the_shorter_time(house):
    report = house("gas-tank-50", {**OPEN, "household.occupants": {"adults": 1, "children": 1}})
    adult = numbers(report, "scald-setpoint")["shortest_scald_time_s"]
    child = numbers(report, "scald-vulnerable")["shortest_scald_time_child_s"]
    assert child < adult


def test_unknown_household_is_asked_about(asked):
    assert "home.vulnerable_occupants" in asked(
        "gas-tank-50", {**OPEN, "home.vulnerable_occupants": ...}
    )


def test_growth_note_weighs_more_for_the_vulnerable(house):
    def message(changes: dict) -> str:
        report = house("gas-tank-50", changes)
        return next(c for c in report.cautions if c.id == "growth-storage").message

    assert "falls ill more easily" in message({"home.vulnerable_occupants": True})
    assert "falls ill more easily" not in message({})


def test_no_house_is_ever_called_safe(house, heaters):
    for heater in heaters:
        for caution in house(heater, HOT).cautions:
            assert "is safe" not in caution.message


def test_tankless_heaters_store_nothing_to_grow_in(raised):
    assert "growth-storage" not in raised("gas-tankless-199")


def test_heat_pump_in_canada_is_an_electric_tank(raised):
    canada = {"place.climate": "Toronto, ON"}
    assert "growth-electric-canada" in raised("heat-pump-50", canada)
    assert "growth-electric-canada" not in raised("gas-tank-50", canada)


@pytest.mark.parametrize(
    ("heater", "setpoint", "raised_too"),
    [("gas-tank-50", "130 degF", False), ("gas-tankless-199", "130 degF", True)],
)
def test_a_warm_loop_matters_to_tankless_heaters_only(raised, heater, setpoint, raised_too):
    changes = {"home.site.recirculation": "timer", "preferences.setpoint": setpoint}
    assert ("growth-recirculation" in raised(heater, changes)) is raised_too


def test_a_tank_that_canada_has_stored_hotter_is_judged_at_that_heat(house):
    # the same duties as at the 60 degC that the rule asks for, with the valve that it asks for
    child = {"place.climate": "Toronto, ON", "household.occupants": {"adults": 2, "children": 1},
             "home.backflow_preventer": True, "home.site.point_of_use_valves": False}  # fmt: skip
    wished = house("electric-tank-50", child | {"preferences.setpoint": "49 degC"})
    ruled = house("electric-tank-50", child | {
        "preferences.setpoint": "60 degC", "home.site.tempering_valve": True})  # fmt: skip

    for rule in ("scald-vulnerable", "closed-system-canada"):
        one, other = (next(c for c in r.cautions if c.id == rule) for r in (wished, ruled))
        assert one.message == other.message
        assert one.numbers == other.numbers


@pytest.mark.parametrize(("setpoint", "hot"), [("49 degC", False), ("121 degF", True)])
def test_a_setpoint_of_49_degc_is_at_the_limit_of_120_degf(raised, setpoint, hot):
    bare = {"preferences.setpoint": setpoint, "home.site.point_of_use_valves": False}
    assert ("scald-setpoint" in raised("gas-tank-50", bare)) is hot


def test_a_loop_named_by_its_pump_is_a_loop(raised):
    pumped = {"home.hot_pipe": {"length": "40 ft", "loop_pump": "continuous"}}
    assert "growth-recirculation" in raised("gas-tankless-199", pumped)


@pytest.mark.parametrize(
    ("setpoint", "valve", "owed"),
    [("59 degC", ..., True), ("60 degC", ..., True), ("60 degC", True, False),
     ("59 degC", True, True)],
)  # fmt: skip
def test_canadas_duty_to_mix_down_does_not_end_at_60_degc(raised, setpoint, valve, owed):
    there = {"place.climate": "Toronto, ON", "preferences.setpoint": setpoint,
             "home.site.tempering_valve": valve}  # fmt: skip
    assert ("growth-electric-canada" in raised("electric-tank-50", there)) is owed


@pytest.mark.parametrize(("setpoint", "hot"), [("140 degF", False), ("141 degF", True)])
def test_sinks_have_no_limiting_valve(raised, setpoint, hot):
    # FINE has limiting valves at showers and baths
    assert ("scald-setpoint" in raised("gas-tank-50", {"preferences.setpoint": setpoint})) is hot


def test_a_loop_that_is_and_is_not_there_is_named(house):
    clash = {"home.hot_pipe": {"length": "40 ft", "loop_pump": "continuous"}}
    report = house("gas-tankless-199", clash)
    found = next(c for c in report.cautions if c.id == "growth-recirculation")
    assert "home.hot_pipe.loop_pump names a pump" in found.trade_message


def test_a_loop_of_unknown_pipe_is_measured(asked):
    assert "home.hot_pipe" in asked("electric-tank-50", {"home.site.recirculation": "continuous"})
