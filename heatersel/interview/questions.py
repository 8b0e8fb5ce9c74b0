"""The kitchen-table questions, in the order in which a plumber walks."""

from __future__ import annotations

from heatersel.heaters.heater import EnergySource
from heatersel.interview.hearing import hear_place
from heatersel.interview.notes import (
    house_fuels,
    note_fixtures,
    note_fuels,
    note_heater,
    note_money,
    note_people,
    note_room,
    note_uses,
)
from heatersel.interview.question import Question, Tables
from heatersel.job.answer import with_answer

__all__ = ["QUESTIONS"]

_WHO, _USE, _NOW = "Who lives here", "How they use hot water", "What stands there now"
_HOUSE, _PLACE, _MONEY = "The house", "The place", "Prices and wishes"
_YES_NO = {"yes": "yes", "no": "no"}
_HEATERS = {
    "gas tank": "storage natural_gas",
    "propane tank": "storage propane",
    "oil tank": "storage fuel_oil",
    "electric tank": "storage electricity",
    "heat-pump tank": "heat_pump_storage electricity",
    "gas tankless": "tankless natural_gas",
    "propane tankless": "tankless propane",
    "electric tankless": "tankless electricity",
    "none": "none",
}
_ROOMS = {
    "basement": "basement", "garage": "garage", "closet": "closet",
    "utility room": "utility_room", "attic": "attic", "outdoors": "outdoors",
}  # fmt: skip
_VENTS = {
    "brick chimney": "masonry_chimney",
    "lined chimney": "lined_chimney",
    "metal B-vent": "b_vent",
    "plastic pipe": "plastic_vent",
    "stainless pipe": "stainless_vent",
    "none": "none",
}


def _has_heater(tables: Tables) -> bool:
    return "existing" in tables


def _has_tank(tables: Tables) -> bool:
    return _has_heater(tables) and tables["existing"].get("kind") != "tankless"


def _burns(tables: Tables) -> bool:
    return bool(house_fuels(tables) - {"electricity"})


def _price(source: str, words: str, bill: str) -> Question:
    return Question(
        id=f"prices.{source}", part=_MONEY, text=f"What does {words} cost?",
        why="The bill of every year hangs on it.", untold="the region's average",
        more=f"Take the last bill: {bill} Leave monthly charges out.",
        enter=lambda tables: "",
        hears=lambda answer, tables: note_money(answer, tables, f"prices.{source}"),
        applies=lambda tables: source in house_fuels(tables),
    )  # fmt: skip


QUESTIONS: tuple[Question, ...] = (
    Question(
        id="units", part=_WHO, text="Which units shall the results speak?",
        why="Only the results: you may answer in gallons or litres, as you like.",
        more='"us" shows gallons, °F and Btu/h; "si" shows litres, °C and kW.',
        picks={"us": "us", "si": "si"},
    ),
    Question(
        id="household.occupants", part=_WHO, text="Who lives in the house?",
        why="People decide how much hot water is used; teenagers use the most.",
        more="Count who sleeps here most nights. Children are under about 12.",
        enter=lambda tables: "2 adults", hears=note_people, needed=True,
    ),
    Question(
        id="home.vulnerable_occupants", part=_WHO, picks=_YES_NO,
        text="Is anyone an infant, frail, or slow to feel heat?",
        why="Their skin scalds sooner, and the cautions take that into account.",
        more="Infants and toddlers, elderly people, anyone with reduced feeling in the skin.",
    ),
    Question(
        id="household.bedrooms", part=_WHO, text="How many bedrooms?",
        why="Codes size by bedrooms, and the next family may fill them.",
        more="Count rooms that are meant for sleeping, used or not.",
    ),
    Question(
        id="household.fixtures", part=_USE, text="Which fixtures use hot water?",
        why="What can run decides how fast water must be heated.",
        more="Name only what differs: what you do not name stays as it stands in the brackets, and "
        '"0 bathtubs" takes one away. A very large tub is a soaking tub.',
        enter=lambda tables: "1 shower, 1 bathtub, 2 lavatories, 1 kitchen sink, 1 dishwasher, "
        "1 clothes washer",
        hears=note_fixtures,
    ),
    Question(
        id="household.fixture_flow.shower", part=_USE, text="How much does a shower head give?",
        why="Showers are most of the hot water on a busy morning.",
        more="It is printed on the rim. Or hold a bucket under it for one minute.",
    ),
    Question(
        id="household.simultaneous", part=_USE, text="What runs at the same moment, at the worst?",
        why="A tankless heater must keep up with all of it at once.",
        more='Such as "2 showers, kitchen sink".',
        untold="an estimate", enter=lambda tables: "",
        hears=lambda answer, tables: note_uses(answer, tables, "household.simultaneous"),
    ),
    Question(
        id="household.peak_hour", part=_USE, text="What is used within the busiest hour?",
        why="A tank must have enough hot water for that hour.",
        more='Such as "3 showers, 3 lavatories, kitchen sink".',
        untold="an estimate", enter=lambda tables: "",
        hears=lambda answer, tables: note_uses(answer, tables, "household.peak_hour"),
    ),
    Question(
        id="existing", part=_NOW, text="What heats the water now?", picks=_HEATERS,
        why="Every saving is counted from it, also if it has failed.",
        more="A tank stores hot water; a tankless heater makes it while you draw. A heat pump has "
        "a fan on top.",
        enter=lambda tables: "gas tank", hears=note_heater,
    ),
    Question(
        id="existing.volume", part=_NOW, text="How much does the tank hold?",
        why="It shows what the household is used to.",
        more='It is on the label of the tank, such as "40 gal" or "151 L".', applies=_has_tank,
    ),
    Question(
        id="existing.input", part=_NOW, text="What input is on its label?",
        why="It shows how fast the old heater recovers.",
        more='Such as "36000 Btu/h" for a burner or "4.5 kW" for an element.', applies=_has_heater,
    ),
    Question(
        id="existing.installed", part=_NOW, text="In which year was it installed?",
        why="An old heater uses more than its label says and may not last.",
        more="A sticker of the installer, or the date in the serial number.", applies=_has_heater,
    ),
    Question(
        id="home.heater_location", part=_HOUSE, text="Where does the heater stand?", picks=_ROOMS,
        why="The air, the vent, the drain and a heat pump's noise depend on it.",
        more="Where the new one can stand, if that is another place.",
    ),
    Question(
        id="home.fuels", part=_HOUSE, text="Which energy does the house have?",
        why="Only what the house has is ranked.",
        more='Natural gas, propane, oil, electricity: such as "gas and electricity".',
        enter=lambda tables: ", ".join(fuel for fuel in EnergySource if fuel in house_fuels(tables))
        .replace("_", " "),
        hears=note_fuels,
    ),
    Question(
        id="home.vent", part=_HOUSE, text="What carries the flue gas away?", picks=_VENTS,
        why="A new burner may not fit the old vent, and that decides much of the price.",
        more="A B-vent is a double-walled metal pipe. Plastic pipe serves heaters with a fan.",
        applies=_burns,
    ),
    Question(
        id="home.other_gas_input", part=_HOUSE, text="What else burns gas or oil, all together?",
        why="They share the gas pipe, the air of the room and perhaps the chimney.",
        more='Add up furnace, range and dryer, such as "80000 Btu/h"; "0 kW" if there are none.',
        applies=_burns,
    ),
    Question(
        id="home.panel.service", part=_HOUSE, text="How large is the electrical service?",
        why="Electric and heat-pump heaters may need more than it has.",
        more='The number on the main breaker, such as "100 A".',
    ),
    Question(
        id="home.panel.spare_poles", part=_HOUSE, text="How many free breaker spaces are there?",
        why="A 240 V circuit takes two.", more="Count the free places in the panel.",
    ),
    Question(
        id="home.room_volume", part=_HOUSE, text="How large is the room around the heater?",
        why="Burners and heat pumps both need its air.",
        more='Length x width x height, such as "30 x 25 x 7 ft", or a volume, "6000 ft3".',
        hears=note_room,
    ),
    Question(
        id="home.static_pressure", part=_HOUSE, text="What is the water pressure?",
        why="Above 80 psi it wears out heaters and valves.",
        more='Put a gauge on a hose tap with nothing running, such as "65 psi" or "450 kPa".',
    ),
    Question(
        id="home.backflow_preventer", part=_HOUSE, picks=_YES_NO,
        text="Is there a check valve or backflow preventer at the meter?",
        why="Then heated water has nowhere to expand and an expansion tank is needed.",
        more="Also a pressure regulator without a bypass closes the system.",
    ),
    Question(
        id="place.climate", part=_PLACE, text="Which place is nearest?",
        why="It gives the air and the ground, and with them the cold water.",
        more='City and state or province, such as "Duluth, MN"; take one with a like winter.',
        enter=lambda tables: "Duluth, MN", needed=True,
        hears=lambda answer, tables: with_answer(tables, "place.climate", hear_place(answer)),
    ),
    Question(
        id="place.supply", part=_PLACE, text="Where does the cold water come from?",
        why="A well stays as cold all year; a main follows the seasons.",
        more="Municipal: from a water company or town. Well: your own.",
        picks={"municipal": "municipal", "well": "well"},
    ),
    Question(
        id="place.main_depth", part=_PLACE, text="How deep does the water main lie?",
        why="The deeper it lies, the later and the milder its winter.",
        more='The town knows. In cold regions often 6 to 8 ft (common practice, no source).',
        applies=lambda tables: tables.get("place", {}).get("supply") != "well",
    ),
    _price("electricity", "electricity", 'such as "0.14 USD/kWh" or "14 cents/kWh".'),
    _price("natural_gas", "natural gas", 'such as "1.10 USD/therm", or by ccf, m3 or GJ.'),
    _price("propane", "propane", 'such as "2.60 USD/gal" or "0.95 CAD/L".'),
    _price("fuel_oil", "heating oil", 'such as "3.60 USD/gal" or "1.50 CAD/L".'),
    Question(
        id="preferences.setpoint", part=_MONEY, text="What shall the heater be set to?",
        why="Hotter stores more and scalds sooner; the cautions weigh both.",
        more="120 degF limits scalding. Hotter water needs a tempering valve.",
    ),
    Question(
        id="title", part=_MONEY, text="What shall this job be called?",
        why="So that you find it again.", more="A few words; they stand above each answer.",
        enter=lambda tables: f"House near {tables['place']['climate']}",
    ),
)  # fmt: skip
"""Every question, in order."""
