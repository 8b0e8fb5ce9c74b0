"""Rules on the spot: water damage, weight, earthquake, frost, room to work and to carry."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.jurisdiction import Straps
from heatersel.cautions.placement import HEADROOM_M, SERVICE_SPACE_M, filled_mass_kg
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.job.models import HeaterLocation

_OPEN_TO_FROST = (HeaterLocation.GARAGE, HeaterLocation.ATTIC, HeaterLocation.OUTDOORS)
_BELOW = (HeaterLocation.BASEMENT,)
_HEAVY_KG = 45.0  # two people carry above this; common practice, no source
_SEDIMENT = 1.1  # an old tank carries scale; common practice, no source


@rule(
    "drain-pan", "water damage", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="tanks", when=lambda case: case.is_tank,
    trigger="a leak would do damage (attic, upper floor, finished space), and no pan with drain",
    source="IRC P2801.6: pan 1.5 in deep, drain 3/4 in; Canada: common practice", edition="2018",
    status=Status.SEEN,
)  # fmt: skip
def _drain_pan(case: Case) -> Iterator[Finding | Ask]:
    harmful = case.site.leak_damages
    if case.home.heater_location is HeaterLocation.ATTIC or case.site.upper_floor:
        harmful = True
    if harmful is None:
        yield Ask("home.site.leak_damages", "whether a leak would harm the house")
        return
    if not harmful:
        return
    for field, known in (("home.site.drain_pan", case.site.drain_pan),
                         ("home.site.pan_drain", case.site.pan_drain)):  # fmt: skip
        if known is None:
            yield Ask(field, "whether a leak would harm the house")
        if not known:
            break
    else:
        return
    yield Finding(
        says="Every tank leaks in the end. Here the water would do damage, so a pan with a drain "
        "goes under it, or at least an alarm that shuts the water off.",
        trade="Pan at least 1.5 in (38 mm) deep with a 3/4 in drain to a receptor or outdoors; "
        "where no drain can be run, some editions exempt a replacement: fit a leak shutoff.",
        remedy="Set the heater in a pan with a drain.",
        remedy_ids=("drain_pan",),
    )


@rule(
    "seismic-straps", "earthquake", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="tanks", when=lambda case: case.is_tank,
    trigger="a place where tanks are strapped, and no straps confirmed",
    source="UPC 507.2 and 510.5; Ontario where Sa(0.2) exceeds 0.55", edition="2018",
    status=Status.SEEN,
)  # fmt: skip
def _straps(case: Case) -> Iterator[Finding | Ask]:
    shaken = case.site.seismic
    if shaken is None and case.place.straps is Straps.USUAL:
        shaken = True
    if shaken is None and case.place.straps is Straps.ASK:
        yield Ask("home.site.seismic", "whether the tank is strapped to the wall")
    if not shaken or case.site.straps:
        return
    if case.site.straps is None:
        yield Ask("home.site.straps", "whether the tank is strapped to the wall")
    yield Finding(
        says="In an earthquake a full tank tips over and tears the gas and water pipes. Two "
        "straps hold it to the wall.",
        trade="Straps in the upper and lower third, the lower one at least 4 in above the "
        "controls; a third strap above about 52 gal (75 gal in some places).",
        numbers=(("tank_l", case.heater.volume_l, "L"),),
        remedy="Strap the tank.",
        remedy_ids=("seismic_straps",),
    )


@rule(
    "floor-load", "weight", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="tanks on an upper floor or in an attic",
    when=lambda case: case.is_tank and case.home.heater_location not in _BELOW,
    trigger="an upper floor or attic whose strength nobody has checked",
    source="density of water, 8.34 lb/gal, plus the empty heater", edition="",
    status=Status.COMPUTED,
)  # fmt: skip
def _floor_load(case: Case) -> Iterator[Finding | Ask]:
    upper = case.site.upper_floor
    if case.home.heater_location is HeaterLocation.ATTIC:
        upper = True
    if upper is None:
        yield Ask("home.site.upper_floor", "whether the floor carries a full tank")
        return
    if not upper or case.site.floor_checked:
        return
    if case.site.floor_checked is None:
        yield Ask("home.site.floor_checked", "whether the floor carries a full tank")
    mass = filled_mass_kg(case.heater.volume_l, case.heater.weight_kg)
    yield Finding(
        says=f"Full, this heater weighs about {case.say.weight(mass)}, like several grown people "
        "on one square. Somebody who knows checks that the floor carries it.",
        trade=f"Filled weight {case.say.weight(mass)} on a footprint of "
        f"{case.say.clearance(case.heater.diameter_m)}; check "
        "joists and stand.",
        numbers=(("filled_kg", mass, "kg"),),
        remedy="Have the floor checked.",
    )


@rule(
    "frost", "frost", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater in a garage, attic, outdoors, or a room whose cold is known",
    when=lambda case: case.home.heater_location in _OPEN_TO_FROST
    or case.site.freezing_space is not None
    or case.site.room_min_temp_c is not None,
    trigger="a space that can fall below freezing",
    source="IPC 305.4 and IRC P2603.5: water pipes kept from freezing", edition="2018",
    status=Status.MEMORY,
)  # fmt: skip
def _frost(case: Case) -> Iterator[Finding | Ask]:
    freezes, coldest = case.site.freezing_space, case.site.room_min_temp_c
    contradicted = freezes is False and coldest is not None and coldest <= 0.0
    if coldest is not None and (freezes is None or contradicted):
        freezes = coldest <= 0.0
    if freezes is None:
        yield Ask("home.site.freezing_space", "whether pipes or heater could freeze")
        # outdoors it follows the climate until somebody has looked; unknown air may be freezing
        air_c = case.facts.coldest_air_c
        outside = case.home.heater_location is HeaterLocation.OUTDOORS
        freezes = outside and (air_c is None or air_c <= 0.0)
    if not freezes:
        return
    kind = "Pipes and relief line freeze before the tank does"
    if case.heater.is_tankless:
        kind = "A tankless heater holds little water and freezes first"
    yield Finding(
        says=f"This space can fall below freezing. {kind}, and a burst pipe floods the house. Heat "
        "tape, insulation and a way to drain it are part of the job, or the heater stands in the "
        "warm.",
        trade="Frost protection of heater, cold and hot lines, relief discharge and condensate; "
        "drain-down valves; power for frost heaters during outages."
        + (
            " home.site.freezing_space says no, home.site.room_min_temperature says otherwise: the "
            "colder counts."
            if contradicted
            else ""
        ),
        numbers=() if coldest is None else (("coldest_c", coldest, "°C"),),
        remedy="Protect heater and pipes from frost.",
        remedy_ids=("frost_protection",),
    )


@rule(
    "place-unstated", "where it stands", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="every heater",
    when=lambda case: "heater_location" not in case.home.model_fields_set,
    trigger="nobody has said where the heater stands",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _place_unstated(case: Case) -> Iterator[Finding | Ask]:
    yield Ask("home.heater_location", "which rules hold there: burners, frost, leaks, cars")
    place = case.home.heater_location.value.replace("_", " ")
    yield Finding(
        says=f"Nobody has said where the heater stands, so this list takes it to be the {place}. A "
        "closet, a garage or an attic brings other duties.",
        trade=f"Location assumed: {place}. Rules for closets, garages, attics and outdoors have "
        "not been applied.",
        remedy="Say where the heater stands.",
    )


def _is_outdoors(case: Case) -> bool:
    return case.home.heater_location is HeaterLocation.OUTDOORS


@rule(
    "outdoors-listing", "where it stands", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater outdoors", when=_is_outdoors, trigger="always",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _outdoors_listing(case: Case) -> Iterator[Finding | Ask]:
    yield Finding(
        says="Most water heaters may stand indoors only: rain and wind put the flame out or the "
        "wiring under water. Outdoors the model must be one that is made and listed for it.",
        trade="Confirm an outdoor listing of this very model, with its enclosure and clearances.",
        remedy="Order a model that is listed for outdoors.",
    )


@rule(
    "outdoors-freezing", "where it stands", where=Where.EVERYWHERE, severity=Severity.STOP,
    applies_to="every heater outdoors", when=_is_outdoors,
    trigger="mean outdoor air of the coldest month at or below freezing, or not known",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _outdoors_freezing(case: Case) -> Iterator[Finding | Ask]:
    air_c = case.facts.coldest_air_c
    if air_c is not None and air_c > 0.0:
        return
    yield Finding(
        says="Winters here are below freezing for weeks. A water heater that stands outdoors "
        "freezes and bursts in the first power cut, so it belongs indoors.",
        trade="Coldest month "
        + (f"{case.say.temperature(air_c)} on average" if air_c is not None else "not known")
        + ": indoor location, or a unit listed for this cold with its pipes drained in an outage.",
        numbers=() if air_c is None else (("coldest_month_c", air_c, "°C"),),
        remedy="Move the heater indoors.",
        lifts="a place indoors",
    )


@rule(
    "headroom", "room to stand", where=Where.EVERYWHERE, severity=Severity.STOP,
    applies_to="heaters with a listed height", when=lambda case: case.heater.height_m > 0.0,
    trigger="the heater is higher than the ceiling, less room for its connections",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _headroom(case: Case) -> Iterator[Finding | Ask]:
    ceiling = case.home.ceiling_height_m
    if case.home.heater_location is HeaterLocation.OUTDOORS:
        return
    if ceiling is None:
        yield Ask("home.ceiling_height", "whether the heater can stand up in this room")
        return
    # a tankless heater hangs on the wall with its pipes below
    above = HEADROOM_M if case.is_tank else 0.0
    needed = case.heater.height_m + above
    if ceiling >= needed - 1e-3:
        return
    pipes = f" plus {case.say.clearance(above)} for connections" if above else ""
    filter_room = " Heat pumps also need room to pull the filter." if case.is_heat_pump else ""
    yield Finding(
        says=f"This heater{' with its pipes' if above else ''} is {case.say.clearance(needed)} "
        f"high, and the ceiling is at {case.say.clearance(ceiling)}. It cannot stand there.",
        trade=f"Height {case.say.clearance(case.heater.height_m)}{pipes}; ceiling "
        f"{case.say.clearance(ceiling)}.{filter_room}",
        numbers=(("needed_m", needed, "m"), ("ceiling_m", ceiling, "m")),
        remedy="Choose a shorter heater, or another place.",
        lifts=f"a place with at least {case.say.clearance(needed)} of height, or a shorter heater",
    )


@rule(
    "way-in", "room to stand", where=Where.EVERYWHERE, severity=Severity.STOP,
    applies_to="heaters with a listed width", when=lambda case: case.heater.diameter_m > 0.0,
    trigger="the heater is wider than the narrowest door, stair or hatch on the way",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _way_in(case: Case) -> Iterator[Finding | Ask]:
    way = case.site.narrowest_way_m
    if way is None:
        yield Ask("home.site.narrowest_way", "whether the heater can be carried in")
    elif way < case.heater.diameter_m - 1e-3:
        yield Finding(
            says=f"This heater is {case.say.length(case.heater.diameter_m)} wide, and the "
            f"narrowest place on the way is {case.say.length(way)}. It cannot be carried in.",
            trade=f"Width {case.say.clearance(case.heater.diameter_m)}, narrowest passage "
            f"{case.say.clearance(way)}.",
            numbers=(("width_m", case.heater.diameter_m, "m"), ("way_m", way, "m")),
            remedy="Choose a slimmer heater, or another way in.",
            lifts="a wider way in, or a slimmer heater",
        )


@rule(
    "way-out", "carrying", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="replacements of a tank in a basement or attic",
    when=lambda case: case.home.heater_location in (HeaterLocation.BASEMENT, HeaterLocation.ATTIC)
    and case.job.existing is not None and case.job.existing.kind.value != "tankless",
    trigger="an old tank that two people must carry",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _way_out(case: Case) -> Iterator[Finding | Ask]:
    existing = case.job.existing
    volume = case.site.outgoing_tank_l or (existing.volume_l if existing else None)
    if volume is None:
        yield Ask("home.site.outgoing_tank", "how many people carry the old tank out")
        return
    empty = (filled_mass_kg(volume) - volume) * _SEDIMENT
    if empty <= _HEAVY_KG:
        return
    stairs = "up the stairs" if case.home.heater_location is HeaterLocation.BASEMENT else "down"
    yield Finding(
        says=f"The old tank weighs about {case.say.weight(empty)} empty, more with scale in it. "
        f"Two people drain it and carry it {stairs}.",
        trade=f"Outgoing {case.say.volume(volume)} tank, about {case.say.weight(empty)} drained: "
        "two people, strap "
        "truck, protected stairs; a tank that will not drain weighs far more.",
        numbers=(("empty_kg", empty, "kg"),),
        remedy="Plan for two people.",
    )


@rule(
    "service-space", "room to stand", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="every heater", when=lambda case: True,
    trigger="less than 30 in free in front of the controls",
    source="standard work specifications for home energy upgrades: 30 x 30 in level working space",
    edition="", status=Status.SEEN,
)  # fmt: skip
def _service_space(case: Case) -> Iterator[Finding | Ask]:
    space = case.site.service_space_m
    if space is None:
        yield Ask("home.site.service_space", "whether the heater can be repaired where it stands")
    elif space < SERVICE_SPACE_M - 1e-3:
        yield Finding(
            says=f"Only {case.say.length(space)} is free in front of the heater. Whoever repairs "
            f"it needs {case.say.length(SERVICE_SPACE_M)}.",
            trade=f"Working space {case.say.clearance(space)}, "
            f"{case.say.clearance(SERVICE_SPACE_M)} wanted in front of "
            "controls, elements, anode and filter; side clearances by the listing.",
            numbers=(("space_m", space, "m"), ("needed_m", SERVICE_SPACE_M, "m")),
            remedy="Clear the space, or turn the heater.",
        )
