"""Rules on the room of a heat-pump water heater."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.heat_pump_site import (
    AMBIENT_RANGE_C,
    NEAR_BEDROOM_M,
    QUIET_DBA,
    ROOM_ADVISED_M3,
    ROOM_MINIMUM_M3,
    ROOM_USUAL_M3,
    refrigerant,
)
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.job.models import HeaterLocation
from heatersel.job.site import Ducting, OpensTo

_COLD_SPELL_K = 15.0
"""How much colder than its mean the coldest month gets; common practice, no source. [K]"""

_GUIDE = "federal efficiency-label guide for heat-pump water heaters in new houses"


def _stands_in_room(case: Case) -> bool:
    return case.is_indoor_heat_pump and case.home.heater_location is not HeaterLocation.OUTDOORS


def _opened(case: Case) -> bool:
    return bool(case.site.louvered) or case.site.ducting is Ducting.BOTH_SIDES


@rule(
    "heat-pump-room", "heat pump room", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="heat pumps with their evaporator in the room", when=_stands_in_room,
    trigger="room below 450 ft³ without a louvred door or ducts",
    source=_GUIDE, edition="2023", status=Status.SEEN,
)  # fmt: skip
def _room(case: Case) -> Iterator[Finding | Ask]:
    volume = case.home.room_volume_m3
    if volume is None:
        yield Ask("home.room_volume", "whether the heat pump has air to draw heat from")
        return
    if volume >= ROOM_MINIMUM_M3 - 1e-3 or _opened(case):
        return
    for field, known in (("home.site.louvered", case.site.louvered),
                         ("home.site.ducting", case.site.ducting)):  # fmt: skip
        if known is None:
            yield Ask(field, "whether the heat pump has air to draw heat from")
    yield Finding(
        says=f"The room holds {case.say.room(volume)} of air. A heat pump needs at least "
        f"{case.say.room(ROOM_MINIMUM_M3)}, or it cools the room until it works no better than a "
        "plain electric heater. A louvred door or ducts solve that.",
        trade=f"Room {case.say.room(volume)} below {case.say.room(ROOM_MINIMUM_M3)} "
        f"({case.say.room(ROOM_USUAL_M3)} for many listings): full louvred door, high and low "
        "grilles, or ducts both ways; check the listing.",
        numbers=(("room_m3", volume, "m³"), ("minimum_m3", ROOM_MINIMUM_M3, "m³")),
        remedy="Fit a louvred door or ducts.",
        remedy_ids=("makeup_air",),
    )


@rule(
    "heat-pump-room-tight", "heat pump room", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="heat pumps with their evaporator in the room", when=_stands_in_room,
    trigger="room from 450 to 700 ft³ (1000 ft³ by some programmes) without louvres or ducts",
    source=_GUIDE, edition="2023", status=Status.SEEN,
)  # fmt: skip
def _room_tight(case: Case) -> Iterator[Finding | Ask]:
    volume = case.home.room_volume_m3
    if volume is None or _opened(case):
        return
    if not ROOM_MINIMUM_M3 - 1e-3 <= volume < ROOM_USUAL_M3 - 1e-3:
        return
    yield Finding(
        says=f"The room holds {case.say.room(volume)} of air, which some heat pumps accept and "
        f"others do not: many ask for {case.say.room(ROOM_USUAL_M3)}.",
        trade=f"Room {case.say.room(volume)}: listings ask for {case.say.room(ROOM_MINIMUM_M3)} or "
        f"{case.say.room(ROOM_USUAL_M3)}, programmes up to {case.say.room(ROOM_ADVISED_M3)}.",
        numbers=(("room_m3", volume, "m³"), ("usual_m3", ROOM_USUAL_M3, "m³")),
        remedy="Read the room size in the heater's instructions.",
    )


def _coldest_c(case: Case) -> float | None:
    """Return the coldest air that the evaporator meets, as far as it is known. [°C]"""
    if case.is_indoor_heat_pump and case.home.heater_location is not HeaterLocation.OUTDOORS:
        return case.site.room_min_temp_c
    month_c = case.facts.coldest_air_c
    return None if month_c is None else month_c - _COLD_SPELL_K


@rule(
    "heat-pump-no-element", "heat pump room", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="heat pumps without a heating element",
    when=lambda case: case.is_heat_pump and case.heater.input_kw <= 0.0,
    trigger="air colder or warmer than the heater's own range; outdoors the coldest month's mean "
    "less 15 K",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _no_element(case: Case) -> Iterator[Finding | Ask]:
    coldest, low_c = _coldest_c(case), case.heater.min_air_temp_c
    if coldest is None:
        yield Ask("home.site.room_min_temperature", "whether it makes hot water in the cold")
        return
    if coldest >= low_c - 0.05:
        return
    yield Finding(
        says=f"The air that this heat pump draws its heat from can be as cold as "
        f"{case.say.temperature(coldest)}. Below {case.say.temperature(low_c)} it stops, and it "
        "has no element to fall back on: there is no hot water then.",
        trade=f"Air down to {case.say.temperature(coldest, 1)}, range from "
        f"{case.say.temperature(low_c, 1)}, no resistance element: warmer place, ducts, a backup "
        "heater or another heat pump.",
        numbers=(("coldest_c", coldest, "°C"), ("low_c", low_c, "°C")),
        remedy="Choose a warmer place, a backup, or a heat pump made for this cold.",
    )


@rule(
    "heat-pump-temperature", "heat pump room", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="heat pumps with their evaporator in the room",
    when=lambda case: case.is_indoor_heat_pump and case.heater.input_kw > 0.0,
    trigger="room colder than 40 °F or warmer than 90 °F, or outside the heater's own range",
    source="US Department of Energy consumer advice", edition="", status=Status.MEMORY,
)  # fmt: skip
def _temperature(case: Case) -> Iterator[Finding | Ask]:
    low_c = max(AMBIENT_RANGE_C[0], case.heater.min_air_temp_c)
    high_c = min(AMBIENT_RANGE_C[1], case.heater.max_air_temp_c)
    coldest, warmest = _coldest_c(case), case.site.room_max_temp_c
    if coldest is None:
        yield Ask("home.site.room_min_temperature", "how often the heat pump stops working")
    if warmest is None:
        yield Ask("home.site.room_max_temperature", "how often the heat pump stops working")
    too_cold = coldest is not None and coldest < low_c - 0.05
    too_warm = warmest is not None and warmest > high_c + 0.05
    if not too_cold and not too_warm:
        return
    found = coldest if too_cold and coldest is not None else warmest or 0.0
    yield Finding(
        says=f"The room gets as {'cold' if too_cold else 'warm'} as {case.say.temperature(found)}. "
        "Outside its range the heat pump rests and plain electric heating takes over, which costs "
        "more.",
        trade=f"Room {case.say.temperature(found, 1)}, range {case.say.temperature(low_c, 1)} to "
        f"{case.say.temperature(high_c, 1)}: resistance share rises.",
        numbers=(("room_c", found, "°C"), ("low_c", low_c, "°C"), ("high_c", high_c, "°C")),
        remedy="Expect more resistance heating, or choose a warmer place.",
    )


@rule(
    "heat-pump-condensate", "condensate", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="heat pumps with their evaporator in the room", when=_stands_in_room,
    trigger="no drain that takes the condensate by gravity",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _condensate(case: Case) -> Iterator[Finding | Ask]:
    drain = case.site.condensate_drain
    if drain is None:
        drain = case.home.floor_drain
    if drain is None:
        yield Ask("home.site.condensate_drain", "where the heat pump's water goes")
        yield Ask("home.floor_drain", "where the heat pump's water goes")
    elif not drain:
        yield Finding(
            says="A heat pump wrings water out of the air, up to a few gallons a day in a damp "
            "room. With no drain below it, a small pump lifts the water away.",
            trade="Condensate pump with overflow switch to an approved drain, frost-safe.",
            remedy="Fit a condensate pump.",
            remedy_ids=("condensate_pump",),
        )


@rule(
    "heat-pump-refrigerant", "refrigerant", where=Where.EVERYWHERE, severity=Severity.STOP,
    applies_to="heat pumps whose refrigerant burns",
    when=lambda case: _stands_in_room(case) and _burns(case),
    trigger="charge above what needs no room area, and the room smaller than the nameplate asks; "
    "above 988 g of R-290 (26 m³ of its lower limit), in the US above 114 g of class A3",
    source="IEC 60335-2-40; UL 60335-2-40 (US limit seen in trade news); ASHRAE 34",
    edition="2018 to 2022", status=Status.MEMORY,
)  # fmt: skip
def _refrigerant(case: Case) -> Iterator[Finding | Ask]:
    found = refrigerant(case.heater.refrigerant)
    charge, needed = case.site.refrigerant_charge_g, case.site.nameplate_room_m2
    if found is not None:
        if not charge:
            yield Ask("home.site.refrigerant_charge", "whether leaked refrigerant could catch fire")
            return
        limit = found.largest_charge_g
        if not case.in_canada and found.us_charge_limit_g is not None:
            limit = found.us_charge_limit_g
        if charge > limit + 0.5:
            yield _flammable(case, f"{charge:.0f} g of {found.name} is more than the {limit:.0f} g "
                             "allowed in a self-contained unit here", charge, limit)  # fmt: skip
        if charge <= found.free_charge_g:
            return
    room = _room_area(case)
    if needed is None:
        yield Ask("home.site.nameplate_room_area", "whether leaked refrigerant could catch fire")
    if room is None:
        yield Ask("home.site.room_area", "whether leaked refrigerant could catch fire")
    if needed is not None and room is not None and room < needed:
        yield _flammable(case, f"the room of {case.say.area(room)} is smaller than the "
                         f"{case.say.area(needed)} on the nameplate", room, needed)  # fmt: skip


def _burns(case: Case) -> bool:
    """Return whether the refrigerant burns, or is not stated, or is one that nobody here knows."""
    found = refrigerant(case.heater.refrigerant)
    return found is None or found.is_flammable


def _room_area(case: Case) -> float | None:
    if case.site.room_area_m2 is not None:
        return case.site.room_area_m2
    volume, height = case.home.room_volume_m3, case.home.ceiling_height_m
    return volume / height if volume is not None and height else None


def _flammable(case: Case, because: str, value: float, limit: float) -> Finding:
    return Finding(
        says=f"The gas inside this heat pump can burn, and {because}. It may not stand there.",
        trade=f"Refrigerant {case.heater.refrigerant}: {because}. Nameplate, room table and "
        "ignition sources decide.",
        numbers=(("found", value, ""), ("limit", limit, "")),
        remedy="Choose a larger room, or a heat pump with another refrigerant.",
        lifts="a room as large as the nameplate asks, or a heat pump whose refrigerant does not "
        "burn",
    )


@rule(
    "heat-pump-backdraft", "venting", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="heat pumps with their evaporator in the room", when=_stands_in_room,
    trigger="ducted on one side, and something else burns in the same room",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _backdraft(case: Case) -> Iterator[Finding | Ask]:
    other = case.site.room_other_kw
    if other is None:
        other = case.home.other_gas_input_kw
    if case.site.ducting is None or case.site.ducting is Ducting.NONE:
        return
    if other is None:
        yield Ask("home.site.room_other_input", "whether the heat pump's fan pulls fumes back")
    if case.site.ducting is Ducting.ONE_SIDE and other:
        yield Finding(
            says="Ducted on one side only, the heat pump's fan sucks air out of the room and can "
            "pull the fumes of your furnace back into the house. It is ducted both ways, and the "
            "furnace's draft is tested.",
            trade="One-sided ducting depressurises the combustion zone: duct both sides, then "
            "spillage test of the remaining appliances.",
            numbers=(("other_burners_kw", other, "kW"),),
            remedy="Duct both sides and test the draft.",
            remedy_ids=("heat_pump_duct",),
        )


@rule(
    "heat-pump-noise", "heat pump room", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="heat pumps with their evaporator in the room",
    when=lambda case: _stands_in_room(case) and case.heater.noise_dba >= QUIET_DBA,
    trigger="45 dB(A) or more and a bedroom within 3 m (10 ft)",
    source="ENERGY STAR water-heater specification 5.0: below 55 dB(A); distance is common "
    "practice", edition="5.0", status=Status.SEEN,
)  # fmt: skip
def _noise(case: Case) -> Iterator[Finding | Ask]:
    distance = case.site.bedroom_distance_m
    if case.site.opens_to is OpensTo.BEDROOM:
        distance = 0.0
    if distance is None:
        yield Ask("home.site.bedroom_distance", "whether its hum would keep someone awake")
    elif distance < NEAR_BEDROOM_M:
        yield Finding(
            says=f"It hums at about {case.heater.noise_dba:.0f} decibels, like a refrigerator or a "
            "window fan, and a bedroom is close. Let it run by day, or stand it on rubber feet.",
            trade=f"{case.heater.noise_dba:.0f} dB(A), bedroom at {case.say.length(distance)}: "
            "schedule, isolate from framing.",
            numbers=(("noise_dba", case.heater.noise_dba, "dB(A)"), ("bedroom_m", distance, "m")),
            remedy="Schedule it by day or isolate it.",
        )


@rule(
    "heat-pump-cools-room", "heat pump room", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="heat pumps with their evaporator in the room",
    when=lambda case: _stands_in_room(case) and case.home.heater_location
    in (HeaterLocation.BASEMENT, HeaterLocation.CLOSET, HeaterLocation.UTILITY_ROOM),
    trigger="always inside the heated house", source=_GUIDE, edition="2023", status=Status.SEEN,
)  # fmt: skip
def _cools(case: Case) -> Iterator[Finding | Ask]:
    yield Finding(
        says="A heat pump takes its heat from the room, so the room is cooler and drier. In winter "
        "your heating makes up for part of that; in summer it helps.",
        trade="Heat drawn from conditioned space is charged to space heating in winter.",
        remedy="Nothing to do; it is counted in the cost.",
    )
