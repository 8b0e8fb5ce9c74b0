"""Rules on the air that burners take from the room."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.combustion_air import (
    ACH_STANDARD_MINIMUM,
    RoomBurners,
    known_leakage_volume_m3,
    opening_cm2_each,
    required_volume_m3,
    standard_volume_m3,
)
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.heaters.heater import VentType
from heatersel.job.site import OpeningRoute

_WHY = "whether the burner gets enough air"


def _burners(case: Case) -> RoomBurners:
    """Return the burners on this room's air: the new heater and what else is known to burn."""
    other_kw = case.site.room_other_kw
    if other_kw is None:
        other_kw = case.home.other_gas_input_kw or 0.0  # all of it may stand in this room
    fan_kw = other_kw if case.site.room_other_fan_assisted else 0.0
    natural_kw = other_kw - fan_kw
    if case.heater.vent_type is VentType.POWER_VENT:
        return RoomBurners(natural_kw=natural_kw, fan_assisted_kw=fan_kw + case.heater.input_kw)
    return RoomBurners(natural_kw=natural_kw + case.heater.input_kw, fan_assisted_kw=fan_kw)


def _ask_room(case: Case) -> Iterator[Ask]:
    if case.home.room_volume_m3 is None:
        yield Ask("home.room_volume", _WHY)
    if case.site.room_other_kw is None and case.home.other_gas_input_kw is None:
        yield Ask("home.site.room_other_input", _WHY)
    if case.site.air_changes_per_h is None and not case.in_canada:
        yield Ask("home.site.air_changes", "whether the house is too tight for a flame")


def _openings_suffice(case: Case, burners: RoomBurners) -> bool:
    area, route = case.site.air_opening_cm2, case.site.air_opening_route
    return area is not None and route is not None and area >= opening_cm2_each(burners, route) - 0.5


def _openings_in_words(case: Case, burners: RoomBurners) -> str:
    sizes = {
        "to the next room": OpeningRoute.INDOORS,
        "straight outdoors": OpeningRoute.OUTDOORS_DIRECT,
        "by level ducts": OpeningRoute.HORIZONTAL_DUCTS,
    }
    parts = (
        f"{case.say.opening(opening_cm2_each(burners, route))} each {where}"
        for where, route in sizes.items()
    )
    single = case.say.opening(opening_cm2_each(burners, OpeningRoute.SINGLE_OUTDOORS))
    return f"Two openings, {', '.join(parts)}; or one of {single} outdoors."


def _short_of_air(case: Case, needed_m3: float, how: str) -> Iterator[Finding | Ask]:
    volume = case.home.room_volume_m3
    burners = _burners(case)
    if volume is None or volume >= needed_m3 - 1e-6 or _openings_suffice(case, burners):
        return
    if case.site.room_other_kw is None:
        yield Ask("home.site.room_other_input", _WHY)
    if case.site.air_opening_cm2 is None or case.site.air_opening_route is None:
        yield Ask("home.site.air_opening", _WHY)
        yield Ask("home.site.air_opening_route", _WHY)
    yield Finding(
        says=f"The heater's room holds {case.say.room(volume)} of air, and the flames in it need "
        f"{case.say.room(needed_m3)}. Short of air, a burner makes carbon monoxide, a gas you "
        "cannot smell. Openings to more air fix that, or a heater that draws air from outdoors.",
        trade=f"Indoor volume {case.say.room(volume)} against {case.say.room(needed_m3)} ({how}) "
        f"for {case.say.heat_rate(burners.total_kw)} on room air, direct vent left out. "
        f"{_openings_in_words(case, burners)}",
        numbers=(
            ("room_m3", volume, "m³"), ("needed_m3", needed_m3, "m³"),
            ("burners_kw", burners.total_kw, "kW"),
        ),
        remedy="Cut combustion-air openings, or choose a direct-vent or electric heater.",
        remedy_ids=("combustion_air",),
    )  # fmt: skip


@rule(
    "air-room-volume", "combustion air", where=Where.US, severity=Severity.MUST,
    applies_to="burners on room air",
    when=lambda case: case.takes_room_air
    and (case.site.air_changes_per_h or 1.0) >= ACH_STANDARD_MINIMUM,
    trigger="room below 50 ft³ per 1000 Btu/h of all burners on its air (or, from 0.40 air changes "
    "up, below the known-leakage volume if that is smaller), without openings of the code's size",
    source="NFPA 54 9.3.2.1 and 9.3.2.2; IFGC 304.5; UPC 701.4.1; IRC M1703 for oil",
    edition="2018", status=Status.SEEN,
)  # fmt: skip
def _room_volume(case: Case) -> Iterator[Finding | Ask]:
    yield from _ask_room(case)
    burners = _burners(case)
    needed = required_volume_m3(burners, case.site.air_changes_per_h)
    how = "50 ft³ per 1000 Btu/h"
    if needed < standard_volume_m3(burners):
        how = f"known leakage of {case.site.air_changes_per_h:g} air changes an hour"
    yield from _short_of_air(case, needed, how)


@rule(
    "air-tight-house", "combustion air", where=Where.US, severity=Severity.MUST,
    applies_to="burners on room air",
    when=lambda case: case.takes_room_air
    and (case.site.air_changes_per_h or 1.0) < ACH_STANDARD_MINIMUM,
    trigger="air leakage known below 0.40 changes an hour: room below 21/ACH (fan-assisted "
    "15/ACH) ft³ per 1000 Btu/h, without openings of the code's size",
    source="NFPA 54 9.3.2.2; IFGC equations 3-1 and 3-2", edition="2018", status=Status.SEEN,
)  # fmt: skip
def _tight_house(case: Case) -> Iterator[Finding | Ask]:
    yield from _ask_room(case)
    leakage = case.site.air_changes_per_h or ACH_STANDARD_MINIMUM
    needed = known_leakage_volume_m3(_burners(case), leakage)
    yield from _short_of_air(case, needed, f"known leakage of {leakage:g} air changes an hour")


@rule(
    "air-canada", "combustion air", where=Where.CANADA, severity=Severity.MUST,
    applies_to="burners on room air", when=lambda case: case.takes_room_air, trigger="always",
    source="CSA B149.1 (oil: CSA B139) air-supply tables", edition="2020", status=Status.MEMORY,
)  # fmt: skip
def _air_canada(case: Case) -> Iterator[Finding | Ask]:
    yield from _ask_room(case)
    if case.site.air_opening_cm2 is None:
        yield Ask("home.site.air_opening", _WHY)
    burners = _burners(case)
    volume = case.home.room_volume_m3
    room = case.say.room(volume) if volume is not None else "a room not yet measured"
    yield Finding(
        says="This heater takes its air from your house. How large the air opening must be is "
        "read from the Canadian gas code's own tables by your gas fitter, before the price is "
        "firm.",
        trade="Air supply by the tables of CSA B149.1 for "
        f"{case.say.heat_rate(burners.total_kw)} in {room}; United States room-volume formulas do "
        "not apply and none is computed.",
        numbers=(("burners_kw", burners.total_kw, "kW"),),
        remedy="Have the gas fitter size the air supply by CSA B149.1.",
    )
