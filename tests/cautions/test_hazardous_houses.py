"""Houses with a hazard in them, each of which must be raised: nothing dangerous passes silently.

Every house is the fine one of conftest with what makes it dangerous, so that the caution comes
from the hazard; a second test takes the hazard away and the caution must go.
"""

from __future__ import annotations

import pytest

from heatersel.cautions import Severity

STOP, MUST, NOTE = Severity.STOP, Severity.MUST, Severity.NOTE
HOT = {"preferences.setpoint": "140 degF"}
CANADA = {"place.climate": "Toronto, ON"}
UPC = {"home.site.plumbing_code": "upc"}
ROOM = {"home.room_volume": "1500 ft3"}
GARAGE = {"home.heater_location": "garage"}

HAZARDS = {
    "gas heater, no gas in the house": (
        "gas-tank-40", {"home.fuels": ["electricity"]}, "fuel-missing", STOP),
    "140 F water and no valve anywhere": (
        "gas-tank-50", {**HOT, "home.site.point_of_use_valves": False}, "scald-setpoint", MUST),
    "122 F water, valves never looked for": (
        "gas-tank-50", {"preferences.setpoint": "122 degF", "home.site.point_of_use_valves": ...,
                        "home.site.tempering_valve": ...}, "scald-setpoint", MUST),
    "50 C water in Canada and no valve": (
        "gas-tank-50", {**CANADA, "preferences.setpoint": "50 degC",
                        "home.site.point_of_use_valves": False}, "scald-setpoint", MUST),
    "a child in the house at 140 F": (
        "gas-tank-50", {**HOT, "household.occupants": {"adults": 2, "children": 1},
                        "home.site.point_of_use_valves": False}, "scald-vulnerable", MUST),
    "an old person and a tempering valve alone": (
        "gas-tank-50", {**HOT, "home.vulnerable_occupants": True, "home.site.tempering_valve": True,
                        "home.site.point_of_use_valves": False}, "scald-vulnerable", MUST),
    "tempering valve taken for protection at the shower": (
        "gas-tank-50", {**HOT, "home.site.tempering_valve": True,
                        "home.site.point_of_use_valves": False}, "scald-master-valve-only", NOTE),
    "electric tank at 120 F": ("electric-tank-50", {}, "growth-storage", NOTE),
    "electric tank at 55 C in Canada": (
        "electric-tank-50", {**CANADA, "preferences.setpoint": "55 degC"},
        "growth-electric-canada", MUST),
    "an unused wing with hot pipe": (
        "gas-tank-50", {"home.site.idle_branch": "40 ft"}, "growth-idle-branch", NOTE),
    "two weeks away with a cool tank": (
        "gas-tank-50", {"household.days_away": 14}, "growth-away", NOTE),
    "a lukewarm recirculating loop": (
        "gas-tank-50", {"home.site.recirculation": "continuous",
                        "preferences.setpoint": "115 degF"}, "growth-recirculation", NOTE),
    "relief pipe capped with a thread": (
        "gas-tank-50", {"home.site.relief_faults": ["threaded_end"]}, "relief-discharge", MUST),
    "no relief valve at all": (
        "electric-tank-50", {"home.site.relief_faults": ["no_valve"]}, "relief-discharge", MUST),
    "backflow preventer and no expansion tank": (
        "gas-tank-50", {"home.backflow_preventer": True}, "closed-system", MUST),
    "check valve after a well's pressure tank": (
        "gas-tank-50", {"place.supply": "well", "home.site.check_valve": True},
        "closed-system", MUST),
    "closed system, tankless, UPC": (
        "gas-tankless-199", {**UPC, "home.site.pressure_regulator": True},
        "closed-system-tankless", MUST),
    "closed system in Canada": (
        "electric-tank-50", {**CANADA, "home.backflow_preventer": True, **HOT},
        "closed-system-canada", MUST),
    "expansion tank too small": (
        "gas-tank-75", {"home.backflow_preventer": True, "home.site.expansion_tank": True,
                        "home.site.expansion_tank_volume": "2 gal",
                        "home.site.expansion_precharge": "60 psi"}, "expansion-tank-size", MUST),
    "expansion tank still at its factory charge": (
        "gas-tank-40", {"home.backflow_preventer": True, "home.site.expansion_tank": True,
                        "home.site.expansion_tank_volume": "10 gal",
                        "home.site.expansion_precharge": "40 psi"}, "expansion-tank-size", MUST),
    "90 psi in the street": (
        "gas-tank-40", {"home.static_pressure": "90 psi"}, "pressure-high", MUST),
    "600 kPa in Canada": (
        "gas-tank-40", {**CANADA, "home.static_pressure": "600 kPa"},
        "pressure-high-canada", MUST),
    "tank in the attic that can be siphoned": (
        "electric-tank-40", {"home.site.above_fixtures": True}, "vacuum-relief", MUST),
    "no shutoff": ("gas-tank-40", {"home.site.shutoff_valve": False}, "shutoff-valve", MUST),
    "pipes not bonded": ("gas-tank-40", {"home.site.bonding_jumper": False}, "bonding", MUST),
    "very hard water on a tankless heater": (
        "gas-tankless-199", {"home.hardness": "20 grain/gal"}, "hardness", NOTE),
    "draft-hood heater in a small room": ("gas-tank-50", ROOM, "air-room-volume", MUST),
    "power-vented heater in a small room": ("gas-power-vent-50", ROOM, "air-room-volume", MUST),
    "oil burner in a small room": ("oil-tank-50", ROOM, "air-room-volume", MUST),
    "tight house that passes the usual rule": (
        "gas-tank-40", {"home.room_volume": "4500 ft3", "home.site.air_changes": "0.2 1/h"},
        "air-tight-house", MUST),
    "room-air burner in Canada": ("gas-tank-40", CANADA, "air-canada", MUST),
    "condensing heater on a brick chimney": (
        "gas-condensing-50", {"home.vent": "masonry_chimney"}, "vent-kind", MUST),
    "hot exhaust into a plastic vent": (
        "gas-tankless-199", {"home.vent": "plastic_vent"}, "vent-kind", MUST),
    "draft-hood heater without a chimney": (
        "gas-tank-40", {"home.vent": "none"}, "vent-kind", MUST),
    "small heater on a wide flue": (
        "gas-tank-40", {"home.site.flue_area": "64 in2"}, "vent-oversized", MUST),
    "bare brick chimney": (
        "gas-tank-40", {"home.vent": "masonry_chimney", "home.site.chimney_liner": False,
                        "home.site.chimney_tile": False}, "vent-unlined", MUST),
    "bare brick chimney in Canada": (
        "gas-tank-50", {**CANADA, "home.vent": "masonry_chimney", "home.site.chimney_liner": False,
                        "home.site.chimney_tile": False}, "vent-unlined", MUST),
    "heater orphaned when the furnace left": (
        "gas-tank-40", {"home.site.chimney_other_leaves": True, "home.site.chimney_liner": False},
        "vent-orphaned", MUST),
    "furnace left alone when the heater leaves": (
        "heat-pump-50", {"existing.energy_source": "natural_gas", "home.site.chimney_shared": True,
                         "home.site.chimney_liner": False}, "vent-left-behind", MUST),
    "fumes in the room at the draft test": (
        "gas-tank-40", {"home.site.draft_test": "fail"}, "vent-draft-test", STOP),
    "asbestos vent": ("gas-tank-40", {"home.site.vent_asbestos": True}, "vent-asbestos", MUST),
    "vent terminal under a window": (
        "gas-power-vent-50", {"home.site.terminal_to_window": "24 inch"}, "vent-terminal", STOP),
    "big tankless near a window, Canada": (
        "gas-tankless-199", {**CANADA, "home.site.terminal_to_window": "30 inch"},
        "vent-terminal-canada", STOP),
    "vent terminal by the fresh-air inlet, Canada": (
        "gas-direct-vent-40", {**CANADA, "home.site.terminal_to_mechanical_inlet": "5 ft"},
        "vent-terminal-canada", STOP),
    "vent terminal in the snow": (
        "gas-direct-vent-40", {"home.site.terminal_above_grade": "6 inch"}, "vent-terminal", STOP),
    "power vent over the public walk": (
        "gas-power-vent-40", {"home.site.terminal_above_walkway": "6 ft"}, "vent-terminal", STOP),
    "direct vent over the public walk, Canada": (
        "gas-direct-vent-40", {**CANADA, "home.site.terminal_above_walkway": "6 ft"},
        "vent-terminal-canada", STOP),
    "no carbon-monoxide alarm": ("gas-tank-40", {"home.site.co_alarm": False}, "co-alarm", MUST),
    "heat pump beside a furnace, no alarm": (
        "heat-pump-50", {"home.site.co_alarm": False}, "co-alarm", MUST),
    "gas heater off a bedroom": (
        "gas-tank-40", {"home.site.opens_to": "bedroom"}, "room-prohibited", STOP),
    "power-vented heater in a bathroom": (
        "gas-power-vent-50", {"home.site.opens_to": "bathroom"}, "room-prohibited", STOP),
    "gas heater in a closet": (
        "gas-tank-40", {"home.heater_location": "closet"}, "room-prohibited", STOP),
    "flame on the garage floor": (
        "gas-tank-40", {**GARAGE, "home.site.ignition_height": "6 inch",
                        "home.site.vapor_resistant": False}, "garage-ignition", MUST),
    "electric switch on the garage floor": (
        "electric-tank-40", {**GARAGE, "home.site.ignition_height": "6 inch",
                             "home.site.vapor_resistant": False}, "garage-ignition", MUST),
    "flame on a Canadian garage floor": (
        "gas-tank-40", {**CANADA, **GARAGE, "home.site.ignition_height": "100 mm",
                        "home.site.vapor_resistant": True}, "garage-ignition-canada", MUST),
    "heater where the car rolls": (
        "gas-tank-40", {**GARAGE, "home.site.vehicle_guard": False}, "garage-vehicle", MUST),
    "propane heater in the basement": ("propane-tank-40", {}, "propane-below-grade", MUST),
    "no gas shutoff": (
        "gas-tank-40", {"home.site.gas_shutoff": False}, "gas-shutoff-and-trap", MUST),
    "acid condensate and no drain": (
        "gas-condensing-50", {"home.site.condensate_drain": False}, "condensate-acid", MUST),
    "half-inch pipe for a large tankless": (
        "gas-tankless-199", {"home.gas_pipe.size": "1/2 in"}, "gas-pipe", MUST),
    "half-inch pipe in Canada": (
        "gas-tankless-199", {**CANADA, "home.gas_pipe.size": "1/2 in"}, "gas-pipe-canada", MUST),
    "two pounds of gas at the heater's valve": (
        "gas-tank-40", {"home.gas_pipe.supply": "2 psi"}, "gas-pressure", MUST),
    "weak gas for a tankless": (
        "gas-tankless-199", {"home.gas_pipe.supply": "4 inWC"}, "gas-pressure", MUST),
    "meter too small": (
        "gas-tankless-199", {"home.gas_pipe.meter_capacity": "200000 Btu/h"}, "gas-meter", MUST),
    "meter unknown for a large tankless": (
        "gas-tankless-199", {"home.gas_pipe.meter_capacity": ...}, "gas-meter-unknown", NOTE),
    "20 A breaker on a 4.5 kW tank": (
        "electric-tank-50", {"home.panel.heater_breaker": "20 A"}, "circuit-tank", MUST),
    "40 A breaker on a 4.5 kW tank": (
        "electric-tank-50", {"home.panel.heater_breaker": "40 A"}, "circuit-tank", MUST),
    "30 A breaker on 12 AWG": (
        "electric-tank-50", {"home.panel.heater_wire": 12}, "circuit-tank", MUST),
    "gas house without a circuit": (
        "heat-pump-50", {"existing.energy_source": "natural_gas", "home.panel.heater_breaker": ...},
        "circuit-tank", MUST),
    "20 A breaker in Canada": (
        "electric-tank-50", {**CANADA, **HOT, "home.panel.heater_breaker": "20 A"},
        "circuit-tank-canada", MUST),
    "27 kW tankless": ("electric-tankless-27", {}, "circuit-tankless", MUST),
    "full panel": ("electric-tankless-27", {"home.panel.spare_poles": 2}, "panel-spaces", MUST),
    "27 kW on a 100 A service": (
        "electric-tankless-27", {"home.panel.service": "100 A"}, "service-load", MUST),
    "27 kW on a measured 100 A service": (
        "electric-tankless-27", {"home.panel.service": "100 A", "home.panel.measured_peak": "48 A"},
        "service-load", MUST),
    "27 kW on a 100 A service in Canada": (
        "electric-tankless-27", {**CANADA, "home.panel.service": "100 A"},
        "service-load-canada", MUST),
    "72 kW on a 100 A service": (
        "electric-tankless-36-x2", {"home.panel.service": "100 A"}, "service-beyond", STOP),
    "36 kW on a loaded 100 A service in Canada": (
        "electric-tankless-36", {**CANADA, "home.panel.service": "100 A"}, "service-beyond", STOP),
    "18 kW that may or may not fit": (
        "electric-tankless-18", {"home.panel.service": "100 A"}, "service-load-unclear", NOTE),
    "apartment on 208 V": (
        "electric-tank-50", {"home.panel.line_voltage": 208}, "supply-208", NOTE),
    "plug-in heat pump without an outlet": (
        "plug-in-heat-pump-50", {"home.panel.outlet_120v": False}, "outlet", MUST),
    "heat pump in a cupboard": (
        "heat-pump-50", {"home.room_volume": "300 ft3"}, "heat-pump-room", MUST),
    "heat pump in a small room": (
        "heat-pump-50", {"home.room_volume": "600 ft3"}, "heat-pump-room-tight", NOTE),
    "heat pump in an icy room": (
        "heat-pump-50", {"home.site.room_min_temperature": "30 degF"}, "heat-pump-temperature",
        NOTE),
    "heat pump without a drain": (
        "heat-pump-50", {"home.site.condensate_drain": False}, "heat-pump-condensate", MUST),
    "flammable refrigerant in a small room": (
        "plug-in-heat-pump-80", {**CANADA, "home.site.refrigerant_charge": "300 g",
                                 "home.site.nameplate_room_area": "200 ft2",
                                 "home.site.room_area": "60 ft2"}, "heat-pump-refrigerant", STOP),
    "flammable charge above the US limit": (
        "plug-in-heat-pump-80", {"home.site.refrigerant_charge": "150 g"},
        "heat-pump-refrigerant", STOP),
    "one-sided duct beside a furnace": (
        "heat-pump-50", {"home.site.ducting": "one_side"}, "heat-pump-backdraft", MUST),
    "heat pump beside a bedroom": (
        "heat-pump-50", {"home.site.bedroom_distance": "4 ft"}, "heat-pump-noise", NOTE),
    "tank over a finished ceiling": (
        "gas-tank-40", {"home.site.leak_damages": True, "home.site.drain_pan": False},
        "drain-pan", MUST),
    "tank in the attic": ("electric-tank-40", {"home.heater_location": "attic"}, "drain-pan", MUST),
    "heavy tank on an upper floor": (
        "gas-tank-75", {"home.heater_location": "utility_room", "home.site.upper_floor": True},
        "floor-load", NOTE),
    "unstrapped tank in California": (
        "gas-tank-40", {"place.climate": "Los Angeles, CA", "home.site.seismic": ...},
        "seismic-straps", MUST),
    "tankless heater outdoors in a cold place": (
        "gas-tankless-199", {"home.heater_location": "outdoors", "home.site.freezing_space": True},
        "frost", MUST),
    "tall heat pump under a low ceiling": (
        "heat-pump-80", {"home.ceiling_height": "6 ft"}, "headroom", STOP),
    "wide tank, narrow stair": (
        "gas-tank-100", {"home.site.narrowest_way": "24 inch"}, "way-in", STOP),
    "heater with its back to the wall": (
        "gas-tank-40", {"home.site.service_space": "12 inch"}, "service-space", NOTE),
    "burner at 6000 ft": ("gas-tank-40", {}, "altitude", NOTE),
    "heavy old tank down the stairs": (
        "gas-tank-40", {"home.site.outgoing_tank": "75 gal"}, "way-out", NOTE),
}  # fmt: skip

VENTS = {"gas-condensing-50": "plastic_vent", "gas-tankless-199": "stainless_vent"}
KNOWN = {"burner at 6000 ft": {"elevation_m": 1829.0}}
ALWAYS = {
    # these hold for the heater itself, whatever the house
    "propane-below-grade", "condensate-acid", "circuit-tankless", "growth-storage", "air-canada",
}  # fmt: skip


def test_there_are_at_least_forty_houses():
    assert len(HAZARDS) >= 40


@pytest.mark.parametrize("name", HAZARDS)
def test_hazard_is_raised(house, name):
    heater, changes, expected, severity = HAZARDS[name]
    report = house(heater, changes, **KNOWN.get(name, {}))
    found = {caution.id: caution for caution in report.cautions}
    assert expected in found
    assert found[expected].severity is severity


@pytest.mark.parametrize("name", [n for n, hazard in HAZARDS.items() if hazard[2] not in ALWAYS])
def test_without_the_hazard_nothing_is_raised(raised, name):
    # the same heater in the fine house of the same country, with the vent that serves it
    heater, changes, expected, _ = HAZARDS[name]
    calm = {"home.vent": VENTS.get(heater, "lined_chimney")}
    if changes.get("place.climate") == CANADA["place.climate"]:
        mixed = HOT | {"home.site.tempering_valve": True}
        calm |= CANADA | (mixed if heater == "electric-tank-50" else {})
    assert expected not in raised(heater, calm)


@pytest.mark.parametrize("name", HAZARDS)
def test_stop_says_what_lifts_it_and_must_says_what_to_do(house, name):
    heater, changes, expected, severity = HAZARDS[name]
    report = house(heater, changes, **KNOWN.get(name, {}))
    caution = next(c for c in report.cautions if c.id == expected)
    assert bool(caution.lifts) is (severity is STOP)
    assert caution.remedy.endswith((".", "?"))
    if severity is STOP:
        assert caution.lifts in report.excluded_because
