"""What each key of a job file means, in a few plain words, and an example, for files and forms."""

from __future__ import annotations

import datetime as dt
from typing import Any

from heatersel.job.keys import key_at
from heatersel.job.quantities import Quantity
from heatersel.job.texts import example_of, said

__all__ = ["example", "meaning"]

_TABLES = {
    "household.occupants": "Who lives here.",
    "household.simultaneous": "What runs together on the busiest morning; estimated if not told.",
    "household.peak_hour": "How often each is used in the busiest hour; estimated if not told.",
    "home.panel": "The electrical panel and the circuit at the heater.",
    "home.site": "What a look round the house finds; what nobody looked at stays unknown.",
    "existing": "The heater that stands there now; savings are counted from it.",
    "prices": "What energy costs; the region's average where nothing is told.",
    "prices.electricity": "A tariff of electricity, as the utility's sheet states it.",
    "prices.natural_gas": "A tariff of natural gas, as the utility's sheet states it.",
    "prices.propane": "A tariff of propane, as the dealer's sheet states it.",
    "prices.fuel_oil": "A tariff of fuel oil, as the dealer's sheet states it.",
}

_KEYS = {
    "": {
        "title": "a name for this job",
        "units": "how results are shown",
    },
    "household": {
        "bedrooms": "bedrooms in the house",
        "use_temperature": "warm water as it leaves a shower head",
        "days_away": "days a year with nobody at home",
        "guests": "people who often stay over",
        "laundry_day": "the day with the most washing",
        "dishwasher_heats_water": "the dishwasher is fed with cold water",
    },
    "household.occupants": {
        "adults": "18 or older; a bare number counts as adults",
        "teenagers": "about 12 to 17; they shower longest",
        "children": "under about 12",
    },
    "household.bills": {
        "fuel": "what the bills are for",
        "monthly": "nine months or more; an empty text for a missing one",
        "deliveries": "tank fills with their dates",
        "first_month": "of readings without a date",
        "heats_water": "this fuel heats the water",
        "heats_house": "this fuel heats the house",
        "cools_house": "this fuel cools the house",
        "also_runs": "what else runs on it",
        "floor_area": "heated floor",
    },
    "place": {
        "climate": "the nearest place that the climate table knows",
        "supply": "where the cold water comes from",
        "main_depth": "how deep the water main lies",
        "elevation": "height above sea level",
    },
    "home": {
        "heater_location": "where the heater stands",
        "room_volume": "the room around the heater",
        "ceiling_height": "in that room",
        "fuels": "what the house has",
        "vent": "what carries the flue gas away today",
        "other_gas_input": "furnace, range and dryer together",
        "backflow_preventer": "at the meter; it closes the water system",
        "static_pressure": "water pressure with nothing running",
        "floor_drain": "near the heater",
        "hardness": "of the water",
        "vulnerable_occupants": "infants, elderly, or anyone who feels heat late",
    },
    "home.gas_pipe": {
        "size": "from the meter to the heater",
        "length": "along the pipe",
        "material": "of the pipe",
        "elbows": "90-degree bends",
        "tees": "passed through the branch",
        "dedicated": "feeds the water heater alone",
        "supply": "gas pressure behind the regulator",
        "meter_capacity": "what meter and regulator are good for",
        "listed_capacity": "of flexible tube, by its maker's table",
        "segments": "a tree of pipe instead of one run",
    },
    "home.panel": {
        "service": "main breaker",
        "spare_poles": "free breaker spaces",
        "calculated_load": "by the code's method, without water heating",
        "measured_peak": "highest measured, without water heating",
        "line_voltage": "240, or 208 in some buildings",
        "heater_breaker": "of the circuit at the heater; 0 A if there is none",
        "heater_wire": "copper gauge (AWG) of that circuit",
        "outlet_120v": "a grounded outlet within reach",
        "energy_management": "a listed system sheds the heater in time",
    },
    "home.panel.loads": {
        "floor_area": "heated floor",
        "small_appliance_circuits": "in kitchen and pantry",
        "laundry_circuits": "for the washer",
        "range": "cooking range, from its nameplate",
        "dryer": "clothes dryer, from its nameplate",
        "other": "dishwasher, microwave and the like together",
        "air_conditioning": "largest cooling load",
        "electric_heat": "largest heating load",
        "heat_units": "separately controlled heaters",
        "vehicle_charger": "its full input",
        "pool_or_spa": "its full input",
    },
    "home.site": {
        "plumbing_code": "model code that the place has adopted",
        "code_year": "edition of that code",
        "electrical_code_year": "edition of the electrical code",
        "altitude_reading": "where the altitude derate starts",
        "seismic": "earthquake straps are required here",
        "tempering_valve": "mixes the hot water down at the heater",
        "point_of_use_valves": "mixing valves at the fixtures",
        "pressure_regulator": "at the water service",
        "check_valve": "on the cold line",
        "expansion_tank": "one is fitted",
        "expansion_tank_volume": "from its label",
        "expansion_precharge": "air in the expansion tank",
        "relief_faults": "what is wrong with the relief valve or its pipe",
        "vacuum_relief": "a vacuum relief valve is fitted",
        "above_fixtures": "the heater stands above the fixtures it feeds",
        "shutoff_valve": "on the cold line, and it closes",
        "galvanized_pipe": "old steel water pipe in the house",
        "bonding_jumper": "hot, cold and gas pipe bonded",
        "recirculation": "how hot water is kept near the fixtures",
        "idle_branch": "longest pipe that nobody draws from",
        "room_other_input": "other burners in the heater's room",
        "room_other_fan_assisted": "those burners have a fan",
        "air_changes": "measured leakage of the house",
        "air_opening": "free area of each combustion-air opening",
        "air_opening_route": "where the openings lead",
        "chimney_shared": "another appliance uses the chimney too",
        "chimney_other_leaves": "that appliance will go",
        "chimney_liner": "a metal liner hangs in the chimney",
        "chimney_tile": "the chimney is lined with sound clay tile",
        "flue_area": "inside the chimney",
        "draft_hood": "outlet diameter",
        "other_outlet": "diameter of the other appliance's outlet on the flue",
        "draft_test": "worst-case test on site",
        "vent_named": "the new heater's instructions name the plastic or steel that stands there",
        "vent_asbestos": "suspected on vent or pipe",
        "co_alarm": "a carbon monoxide alarm hangs near the bedrooms",
        "terminal_to_window": "from the vent's end",
        "terminal_above_window": "height of the vent's end above that window; 0 beside or below",
        "terminal_to_mechanical_inlet": "from the vent's end to a fan's air inlet",
        "terminal_above_mechanical_inlet": "height of the vent's end above that inlet",
        "terminal_to_regulator": "from the vent's end to the gas regulator's vent",
        "terminal_above_grade": "height of the vent's end above ground or usual snow",
        "terminal_above_walkway": "height of the vent's end",
        "ignition_height": "burner above the floor, in a garage",
        "vapor_resistant": "burner listed to resist flammable vapours",
        "vehicle_guard": "post or kerb in front of the heater",
        "opens_to": "what the heater's space opens into",
        "below_grade": "a crawl space, a pit, or a floor below the ground around the house",
        "sealed_enclosure": "with a self-closing, sealed door",
        "gas_shutoff": "within sight of the heater",
        "sediment_trap": "in the gas pipe at the heater",
        "condensate_drain": "a drain that condensate can reach",
        "neutralizer": "for acid condensate",
        "louvered": "the room's door has louvers",
        "ducting": "on a heat pump's air",
        "room_min_temperature": "coldest the room gets",
        "room_max_temperature": "warmest the room gets",
        "bedroom_distance": "from the heater",
        "refrigerant_charge": "from the nameplate",
        "nameplate_room_area": "smallest room its refrigerant allows",
        "room_area": "floor of the heater's room",
        "drain_pan": "under the heater",
        "pan_drain": "the pan drains to a safe place",
        "leak_damages": "a leak would spoil something",
        "upper_floor": "rooms lie below the heater",
        "floor_checked": "someone checked that it carries a full tank",
        "straps": "the heater is strapped to the wall",
        "freezing_space": "the space can freeze",
        "service_space": "free in front of the heater",
        "narrowest_way": "door or stair on the way in",
        "outgoing_tank": "to be carried out",
    },
    "existing": {
        "kind": "how it works",
        "energy_source": "what it is fed with",
        "volume": "from its label",
        "input": "from its label",
        "installed": "year",
        "uef": "uniform energy factor, if the label states it",
    },
    "prices": {
        "region": "state or province code",
        "electricity": "per unit as billed, or a tariff",
        "natural_gas": "per unit as billed, or a tariff",
        "propane": "per unit as billed, or a tariff",
        "fuel_oil": "per unit as billed, or a tariff",
        "gas_heat_content": "from the gas bill",
        "gas_altitude_factor": "from the gas bill",
        "inflation": "a year",
        "incentive": "rebates and credits with the dates they hold",
        "purchase_date": "when the heater is bought; decides on incentives",
        "installation_date": "when it is fitted; decides on incentives",
        "bill_year": "year of the bills, for holidays and weekdays",
    },
    "prices.finance": {
        "share": "of the price that is borrowed",
        "rate": "interest a year",
        "years": "to pay back",
        "fee": "paid once",
    },
    "prices.solar": {
        "surplus": 'CSV file of 8760 hours, column "surplus [kWh]"',
        "export_price": "what the utility pays for it",
    },
    "home.heating": {
        "energy_source": "what heats the house",
        "efficiency": "of the heating over a season; a heat pump's seasonal COP",
        "cooling": "whether the house is cooled in summer",
    },
    "home.hot_pipe": {
        "length": "from the heater to the farthest fixture",
        "size": "nominal size",
        "material": "what it is made of",
        "insulated": "half an inch of insulation or more",
        "loop_pump": "when the pump of a recirculation loop runs",
        "loop_hours_per_day": "hours a day that a timer allows the pump",
    },
    "preferences": {
        "setpoint": "what the heater is set to",
        "tempering_valve": "one is fitted with the new heater",
        "heat_pump_mode": "how a heat pump's compressor and elements share the work",
        "compressor_hours": "hours in which the compressor may run, in schedule mode",
        "element_hours": "hours in which the elements may run, in schedule mode",
        "defrost_penalty": "share of a heat pump's heat that defrosting costs in freezing air",
        "tankless_overload": "the outlet sags, or the flow is cut, when too much is asked for",
        "tankless_buffer": "small tank behind a tankless heater",
        "count_space_heating": "count what the heater does to heating and cooling",
        "discount_rate": "what money could earn, above inflation",
        "study_years": "years that are added up",
        "sizing_percentile": "share of mornings the heater must keep up",
        "seed": "starts the random year; the same seed gives the same year",
    },
    "emissions": {
        "marginal": "of the power plants that follow the load; the grid's average if not told",
        "grid_decline": "share by which the grid gets cleaner each year",
        "methane_leakage": "share of the gas that leaks before it reaches the meter",
        "methane_horizon": "years over which its warming is counted, 20 or 100",
        "refrigerant_leakage": "count what leaks from a heat pump over its life",
    },
}  # fmt: skip
_FIXTURES = {
    "shower": "shower heads", "bathtub": "bathtubs", "lavatory": "wash basins",
    "kitchen_sink": "kitchen sinks", "dishwasher": "dishwashers",
    "clothes_washer": "clothes washers", "soaking_tub": "large tubs", "body_spray": "body sprays",
}  # fmt: skip
_ENERGY = {
    "electricity": "electricity", "natural_gas": "natural gas", "propane": "propane",
    "fuel_oil": "heating oil",
}  # fmt: skip

# Where a first choice or a lowest number would be no good example.
_EXAMPLES: dict[str, Any] = {
    "title": "Invented example",
    "household.laundry_day": "saturday",
    "household.bills.fuel": "natural_gas",
    "household.bills.deliveries": [
        {"on": dt.date(2026, 1, 12), "amount": "210 gal"},
        {"on": dt.date(2026, 11, 3), "amount": "190 gal"},
    ],
    "household.bills.monthly": [
        f"{therms} therm" for therms in (168, 150, 121, 74, 38, 22, 19, 18, 24, 58, 104, 152)
    ],
    "place.climate": "Duluth, MN",
    "home.fuels": ["natural_gas", "electricity"],
    "home.gas_pipe.size": "3/4 in",
    "home.gas_pipe.segments": [
        {"name": "branch", "size": "3/4 in", "length": "20 ft", "feeds_heater": True}
    ],
    "home.panel.spare_poles": 2,
    "home.panel.calculated_load": "62 A",
    "home.panel.measured_peak": "54 A",
    "home.panel.line_voltage": 240,
    "home.panel.heater_breaker": "30 A",
    "home.panel.heater_wire": 10,
    "home.site.code_year": 2021,
    "home.site.electrical_code_year": 2023,
    "home.site.room_min_temperature": "50 degF",
    "home.site.room_max_temperature": "85 degF",
    "existing.energy_source": "natural_gas",
    "existing.volume": "40 gal",
    "existing.input": "36000 Btu/h",
    "existing.installed": 2009,
    "existing.uef": 0.58,
    "prices.region": "MN",
    "prices.natural_gas": "1.10 USD/therm",
    "prices.propane": "2.60 USD/gal",
    "prices.fuel_oil": "3.60 USD/gal",
    "prices.other_use.electricity": ["650 kWh/month"],
    "prices.other_use.natural_gas": ["70 therm/month"],
    "prices.other_use.propane": ["60 gal/month"],
    "prices.other_use.fuel_oil": ["60 gal/month"],
    "prices.incentive": [
        {
            "name": "rebate", "amount": "500 USD", "eligibility": "what the programme asks for",
            "first": dt.date(2027, 1, 1), "last": dt.date(2027, 12, 31),
        }
    ],
    "prices.finance.rate": 0.06,
    "prices.finance.years": 10.0,
    "prices.solar.surplus": "surplus.csv",
    "prices.solar.export_price": "0.05 USD/kWh",
}  # fmt: skip


def example(dotted: str, system: str = "us") -> Any:
    """Return an example of what may stand at a key of the job file, or its default.

    Parameters
    ----------
    dotted : str
        Path from the top of the file.
    system : str
        "us" or "si", for quantities.

    Returns
    -------
    object
        As TOML would hold it; None for a table and for a key that is not known.
    """
    key = key_at(dotted)
    if key is None or (key.table is not None and dotted not in _EXAMPLES):
        return None
    if dotted not in _EXAMPLES:
        return example_of(key, system)
    shown = _EXAMPLES[dotted]
    if system == "si" and isinstance(key.reader, Quantity):
        return said(key.reader.read(shown), key, system)
    return shown


def meaning(dotted: str) -> str:
    """Return what a key or table of the job file means, in a few words.

    Parameters
    ----------
    dotted : str
        Path from the top of the file, such as "home.panel.spare_poles".

    Returns
    -------
    str
        A sentence for a table, a phrase for a key.

    Examples
    --------
    >>> meaning("home.panel.spare_poles")
    'free breaker spaces'
    """
    table, _, name = dotted.rpartition(".")
    key = key_at(dotted)
    if name in _KEYS.get(table, {}):
        return _KEYS[table][name]
    if key is not None and key.table is not None:
        described = (key.table.__doc__ or "").strip().splitlines()[0]
        return _TABLES.get(dotted, described)
    if table == "place.inlet":
        return "cold water at the tap"
    return (_FIXTURES | _ENERGY).get(name, name.replace("_", " "))
