"""Each trigger on both sides: just inside it nothing is raised, just beyond it the rule speaks."""

from __future__ import annotations

import pytest

CANADA = {"place.climate": "Toronto, ON"}
OPEN = {"home.site.point_of_use_valves": False}
CLOSED = {"home.backflow_preventer": True}
GARAGE = {"home.heater_location": "garage", "home.site.vapor_resistant": False}
BRICK = {"home.vent": "masonry_chimney", "home.site.chimney_liner": False}
TANK = {**CLOSED, "home.site.expansion_tank": True, "home.site.expansion_precharge": "60 psi"}
CHARGED = {**CANADA, "home.site.refrigerant_charge": "200 g",
           "home.site.nameplate_room_area": "100 ft2"}  # fmt: skip

# rule, heater, what else holds, key, value inside, value beyond
BOUNDARIES = [
    ("scald-setpoint", "gas-tank-50", OPEN, "preferences.setpoint", "120 degF", "121 degF"),
    ("scald-setpoint", "gas-tank-50", {**OPEN, **CANADA}, "preferences.setpoint", "49 degC",
     "49.2 degC"),
    ("growth-storage", "gas-tank-50", {}, "preferences.setpoint", "140 degF", "139 degF"),
    ("growth-electric-canada", "electric-tank-50",
     {**CANADA, "home.site.tempering_valve": True}, "preferences.setpoint", "60 degC", "59 degC"),
    ("growth-idle-branch", "gas-tank-50", {}, "home.site.idle_branch", "0 ft", "1 ft"),
    ("growth-away", "gas-tank-50", {}, "household.days_away", 6, 7),
    ("growth-recirculation", "gas-tank-50", {"home.site.recirculation": "demand"},
     "preferences.setpoint", "120 degF", "119 degF"),
    ("expansion-tank-size", "gas-tank-50", TANK, "home.site.expansion_tank_volume", "2.7 gal",
     "2.5 gal"),
    ("expansion-tank-size", "gas-tank-50", {**TANK, "home.site.expansion_tank_volume": "20 gal"},
     "home.site.expansion_precharge", "58 psi", "57 psi"),
    ("pressure-high", "gas-tank-50", {}, "home.static_pressure", "80 psi", "81 psi"),
    ("pressure-high-canada", "gas-tank-50", CANADA, "home.static_pressure", "550 kPa", "552 kPa"),
    ("hardness", "gas-tank-50", {}, "home.hardness", "120 mg/L", "121 mg/L"),
    # 36 000 Btu/h and 40 000 beside it at 50 ft3 per 1000: 3800 ft3
    ("air-room-volume", "gas-tank-40", {"home.site.air_changes": ...}, "home.room_volume",
     "3800 ft3", "3790 ft3"),
    # at 0.5 air changes 21/0.5 x 76: 3192 ft3
    ("air-room-volume", "gas-tank-40", {"home.site.air_changes": "0.5 1/h"}, "home.room_volume",
     "3192 ft3", "3190 ft3"),
    # at 0.3 air changes 21/0.3 x 76: 5320 ft3
    ("air-tight-house", "gas-tank-40", {"home.site.air_changes": "0.3 1/h"}, "home.room_volume",
     "5320 ft3", "5310 ft3"),
    # short of room, but two openings to the next room of 100 in2 are enough
    ("air-room-volume", "gas-tank-40",
     {"home.room_volume": "1000 ft3", "home.site.air_opening_route": "indoors"},
     "home.site.air_opening", "100 in2", "99 in2"),
    # 3 in hood: 7.07 in2, seven times is 49.5 in2
    ("vent-oversized", "gas-tank-40", {}, "home.site.flue_area", "49.4 in2", "49.6 in2"),
    ("vent-terminal", "gas-power-vent-40", {}, "home.site.terminal_to_window", "48 inch",
     "47 inch"),
    # nearer than 4 ft only 1 ft above the opening
    ("vent-terminal", "gas-power-vent-40", {"home.site.terminal_to_window": "24 inch"},
     "home.site.terminal_above_window", "12 inch", "11 inch"),
    ("vent-terminal", "gas-direct-vent-40", {"home.site.terminal_to_mechanical_inlet": "4 ft"},
     "home.site.terminal_above_mechanical_inlet", "3 ft", "35 inch"),
    ("vent-terminal", "gas-direct-vent-40", {}, "home.site.terminal_to_window", "9 inch",
     "8.9 inch"),
    ("vent-terminal", "gas-tankless-199", {}, "home.site.terminal_to_window", "12 inch",
     "11 inch"),
    ("vent-terminal", "gas-direct-vent-40", {}, "home.site.terminal_to_mechanical_inlet", "10 ft",
     "9.9 ft"),
    ("vent-terminal", "gas-direct-vent-40", {}, "home.site.terminal_above_grade", "12 inch",
     "11 inch"),
    ("vent-terminal-canada", "gas-tankless-199", CANADA, "home.site.terminal_to_window", "36 inch",
     "35 inch"),
    ("vent-terminal-canada", "gas-direct-vent-40", CANADA, "home.site.terminal_to_window",
     "12 inch", "11 inch"),
    ("vent-terminal-canada", "gas-direct-vent-40", CANADA,
     "home.site.terminal_to_mechanical_inlet", "6 ft", "5.9 ft"),
    ("vent-terminal-canada", "gas-direct-vent-40", CANADA, "home.site.terminal_to_regulator",
     "3 ft", "35 inch"),
    ("vent-terminal", "gas-power-vent-40", {}, "home.site.terminal_above_walkway", "7 ft",
     "83 inch"),
    ("vent-terminal-canada", "gas-direct-vent-40", CANADA, "home.site.terminal_above_walkway",
     "7 ft", "83 inch"),
    ("vent-unlined", "gas-tank-40", BRICK, "home.site.chimney_tile", True, False),
    ("garage-ignition", "gas-tank-40", GARAGE, "home.site.ignition_height", "18 inch", "17 inch"),
    ("garage-ignition-canada", "gas-tank-40", {**GARAGE, **CANADA}, "home.site.ignition_height",
     "460 mm", "440 mm"),
    # 199 000 and 40 000 Btu/h at 1000 Btu/ft3: 1 in carries 320 at 40 ft and 257 at 60 ft
    ("gas-pipe", "gas-tankless-199", {"home.gas_pipe.size": "1 in"}, "home.gas_pipe.length",
     "60 ft", "75 ft"),
    ("gas-pressure", "gas-tank-40", {}, "home.gas_pipe.supply", "14 inWC", "14.1 inWC"),
    ("gas-pressure", "gas-tank-40", {}, "home.gas_pipe.supply", "5 inWC", "4.9 inWC"),
    ("gas-pressure", "propane-tank-40", {}, "home.gas_pipe.supply", "10 inWC", "9.9 inWC"),
    ("gas-meter", "gas-tankless-199", {}, "home.gas_pipe.meter_capacity", "239000 Btu/h",
     "238000 Btu/h"),
    # storage of 4.5 kW: 25 to 30 A
    ("circuit-tank", "electric-tank-50", {}, "home.panel.heater_breaker", "25 A", "24 A"),
    ("circuit-tank", "electric-tank-50", {}, "home.panel.heater_breaker", "30 A", "35 A"),
    ("circuit-tank", "electric-tank-50", {}, "home.panel.heater_wire", 10, 12),
    # 27 kW: three two-pole breakers, one pair reused
    ("panel-spaces", "electric-tankless-27", {}, "home.panel.spare_poles", 4, 3),
    # 60 A and 40 % of 112.5 A: 105 A
    ("service-load", "electric-tankless-27", {}, "home.panel.service", "105 A", "104 A"),
    # two of 27 kW draw 225 A, whatever may be discounted
    ("service-beyond", "electric-tankless-27-x2", {}, "home.panel.service", "225 A", "224 A"),
    # in Canada 60 A and all of 150 A: 210 A
    ("service-beyond", "electric-tankless-36", CANADA, "home.panel.service", "210 A", "209 A"),
    # in full: 172.5 A
    ("service-load-unclear", "electric-tankless-27", {}, "home.panel.service", "173 A", "172 A"),
    ("service-load-canada", "electric-tankless-27", CANADA, "home.panel.service", "173 A",
     "172 A"),
    ("supply-208", "electric-tank-50", {}, "home.panel.line_voltage", 230, 208),
    ("heat-pump-room", "heat-pump-50", {}, "home.room_volume", "450 ft3", "449 ft3"),
    ("heat-pump-room-tight", "heat-pump-50", {}, "home.room_volume", "700 ft3", "699 ft3"),
    ("heat-pump-temperature", "heat-pump-50", {}, "home.site.room_min_temperature", "40 degF",
     "39 degF"),
    ("heat-pump-temperature", "heat-pump-50", {}, "home.site.room_max_temperature", "90 degF",
     "91 degF"),
    ("heat-pump-refrigerant", "plug-in-heat-pump-80", {}, "home.site.refrigerant_charge", "114 g",
     "115 g"),
    ("heat-pump-refrigerant", "plug-in-heat-pump-80", CHARGED, "home.site.room_area", "100 ft2",
     "99 ft2"),
    ("heat-pump-noise", "heat-pump-50", {}, "home.site.bedroom_distance", "3 m", "2.9 m"),
    ("headroom", "heat-pump-50", {}, "home.ceiling_height", "7 ft", "5 ft"),
    ("way-in", "gas-tank-100", {}, "home.site.narrowest_way", "36 inch", "20 inch"),
    ("service-space", "gas-tank-40", {}, "home.site.service_space", "30 inch", "29 inch"),
    ("frost", "gas-tank-40", {"home.heater_location": "garage", "home.site.freezing_space": ...},
     "home.site.room_min_temperature", "33 degF", "32 degF"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("rule", "heater", "also", "key", "inside", "beyond"),
    BOUNDARIES,
    ids=[f"{b[0]} {b[3]} {b[5]}" for b in BOUNDARIES],
)
def test_trigger(raised, rule, heater, also, key, inside, beyond):
    assert rule not in raised(heater, {**also, key: inside})
    assert rule in raised(heater, {**also, key: beyond})


@pytest.mark.parametrize(("feet", "rule_speaks"), [(2000, False), (2001, True)])
def test_altitude_is_noted_above_2000_ft(raised, feet, rule_speaks):
    found = raised("gas-tank-40", elevation_m=feet * 0.3048)
    assert ("altitude" in found) is rule_speaks


@pytest.mark.parametrize(("before", "asks"), [("149000 Btu/h", False), ("148000 Btu/h", True)])
def test_meter_is_in_question_above_50_000_btuh_more(raised, before, asks):
    changes = {
        "existing.energy_source": "natural_gas", "existing.input": before,
        "home.gas_pipe.meter_capacity": ...,
    }  # fmt: skip
    assert ("gas-meter-unknown" in raised("gas-tankless-199", changes)) is asks
