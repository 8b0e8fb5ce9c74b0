"""Note an answer in the tables of a job, where an answer touches more than one key."""

from __future__ import annotations

from heatersel.climate import climate
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource
from heatersel.interview.hearing import hear_counts, hear_price, hear_room
from heatersel.interview.question import Tables
from heatersel.job.answer import with_answer, without
from heatersel.job.keys import keys_of
from heatersel.job.models import FixtureCounts
from heatersel.job.what_if import changed

__all__ = [
    "house_fuels",
    "note_fixtures",
    "note_fuels",
    "note_heater",
    "note_money",
    "note_people",
    "note_room",
    "note_uses",
]

_PEOPLE = {
    "adult": "adults", "grown up": "adults", "person": "adults", "people": "adults",
    "teenager": "teenagers", "teen": "teenagers",
    "child": "children", "children": "children", "kid": "children", "infant": "children",
    "toddler": "children", "baby": "children", "babie": "children",
}  # fmt: skip
_FIXTURES = {
    "shower": "shower", "shower head": "shower",
    "bathtub": "bathtub", "tub": "bathtub", "bath": "bathtub",
    "lavatory": "lavatory", "lavatorie": "lavatory", "wash basin": "lavatory",
    "basin": "lavatory", "bathroom sink": "lavatory",
    "kitchen sink": "kitchen_sink", "sink": "kitchen_sink",
    "dishwasher": "dishwasher",
    "clothes washer": "clothes_washer", "washer": "clothes_washer",
    "washing machine": "clothes_washer", "laundry": "clothes_washer",
    "soaking tub": "soaking_tub", "large tub": "soaking_tub", "body spray": "body_spray",
}  # fmt: skip
_FUELS = {
    "natural gas": "natural_gas", "gas": "natural_gas", "propane": "propane",
    "oil": "fuel_oil", "heating oil": "fuel_oil", "fuel oil": "fuel_oil",
    "electricity": "electricity", "electric": "electricity",
}  # fmt: skip


def note_people(answer: str, tables: Tables) -> Tables:
    """Return the tables with who lives in the house: "4", or adults, teenagers and children."""
    if answer.strip().isdigit():
        return with_answer(tables, "household.occupants", answer)
    return changed(tables, "household.occupants", hear_counts(answer, _PEOPLE))


def note_fixtures(answer: str, tables: Tables) -> Tables:
    """Return the tables with the fixtures of the house; those not named stay as usual."""
    usual = {key.name: key.default for key in keys_of(FixtureCounts) if key.default}
    return changed(tables, "household.fixtures", usual | hear_counts(answer, _FIXTURES))


def note_uses(answer: str, tables: Tables, key: str) -> Tables:
    """Return the tables with a number for each fixture named, and no other."""
    return changed(tables, key, hear_counts(answer, _FIXTURES))


def note_heater(answer: str, tables: Tables) -> Tables:
    """Return the tables with the kind and the energy of the heater that stands there now."""
    rest = without(tables, "existing")
    if answer == "none":
        return rest
    kind, source = answer.split()
    return changed(rest, "existing", {"kind": kind, "energy_source": source})


def note_fuels(answer: str, tables: Tables) -> Tables:
    """Return the tables with the energy that the house has, in a fixed order."""
    try:
        heard = hear_counts(answer, _FUELS)
    except UnknownChoiceError as trouble:
        fault = trouble.faults[0]
        raise UnknownChoiceError.of(
            "answer", value=fault.value, allowed=fault.allowed,
            fix='an example is "natural gas, electricity"',
        ) from None  # fmt: skip
    return changed(tables, "home.fuels", [fuel.value for fuel in EnergySource if fuel in heard])


def note_room(answer: str, tables: Tables) -> Tables:
    """Return the tables with the room of the heater, and its ceiling where that was said."""
    volume, height = hear_room(answer)
    return with_answer(
        with_answer(tables, "home.room_volume", volume), "home.ceiling_height", height
    )


def note_money(answer: str, tables: Tables, key: str) -> Tables:
    """Return the tables with a price; dollars and cents are those of the place."""
    place = tables.get("place", {}).get("climate", "")
    canadian = bool(place) and climate(place).country == "CA"
    return with_answer(tables, key, hear_price(answer, "CAD" if canadian else "USD"))


def house_fuels(tables: Tables) -> frozenset[str]:
    """Return the energy sources that the house has, as far as the tables tell."""
    stated = tables.get("home", {}).get("fuels")
    if stated:
        return frozenset(stated)
    now = tables.get("existing", {}).get("energy_source", "electricity")
    return frozenset({"electricity", now})
