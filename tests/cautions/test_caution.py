"""What a caution carries."""

from __future__ import annotations

import json
import pickle
import re

from heatersel.cautions import LOCAL_RULES, CautionReport


def test_a_caution_gives_json_with_its_numbers_by_name(house):
    report = house("gas-tank-50", {"home.static_pressure": "90 psi"})
    caution = next(c for c in report.cautions if c.id == "pressure-high")
    plain = json.loads(json.dumps(caution.as_dict()))
    assert plain["severity"] == "must"
    assert plain["numbers"]["static_kpa"] > plain["numbers"]["limit_kpa"]
    assert plain["remedy_ids"] == ["pressure_reducing_valve", "expansion_tank"]
    assert plain["status"] == "seen"


def test_names_of_numbers_carry_their_unit(house, heaters):
    units = ("_c", "_l", "_m", "_m3", "_kw", "_kpa", "_a", "_s", "_min", "_kg", "_frac", "_dba",
             "_mg_per_l", "_per_l")  # fmt: skip
    bare = {
        "faults", "days_away", "flue_ratio", "limit", "circuits", "poles_needed", "poles_spare",
        "share", "found", "setpoint", "tank",
    }  # fmt: skip
    for heater in heaters:
        for caution in house(heater, {"home.static_pressure": "90 psi"}).cautions:
            for name, _, _ in caution.numbers:
                assert name.endswith(units) or name in bare, (caution.id, name)


def test_a_report_without_stops_excludes_nothing(house):
    report = house("gas-tank-50")
    assert report.stops == ()
    assert report.excluded_because is None


def test_a_report_survives_pickling(house):
    report = house("gas-tank-50")
    assert pickle.loads(pickle.dumps(report)) == report


def test_an_empty_report_is_calm():
    assert CautionReport(cautions=(), to_measure=()).excluded_because is None


def test_the_reminder_names_who_decides():
    for who in ("local code", "listing", "licensed person"):
        assert who in LOCAL_RULES


def test_messages_are_plain_and_calm(house, heaters):
    """No exclamation marks, no code numbers in what the homeowner reads, and a full stop."""
    shouted = ("!", "IFGC", "NEC ", "IPC", "UPC", "ASSE", "CSA B", "kPa over")
    for heater in heaters:
        for changes in ({}, {"home.room_volume": "400 ft3", "preferences.setpoint": "140 degF"}):
            for caution in house(heater, changes).cautions:
                assert caution.message.endswith("."), caution.id
                assert not any(word in caution.message for word in shouted), caution.id


def test_a_plumber_reads_one_system_of_units(house):
    # the trade's message uses the units of the job: no degrees Celsius beside gallons
    changes = {
        "preferences.setpoint": "140 degF", "home.static_pressure": "90 psi",
        "home.room_volume": "300 ft3", "home.backflow_preventer": True,
        "home.site.room_min_temperature": "30 degF", "home.site.service_space": "10 inch",
        "home.site.terminal_to_window": "6 inch", "home.ceiling_height": "5 ft",
    }  # fmt: skip
    for heater in ("gas-tank-75", "gas-power-vent-50", "heat-pump-80"):
        for caution in house(heater, changes).cautions:
            metric = re.search(r"\d (°C|L|kg|m|m³|kPa)\b", caution.trade_message)
            # electricians name the 60 °C column of their table so in the United States too
            assert metric is None or "60 °C)" in caution.trade_message, caution.trade_message
