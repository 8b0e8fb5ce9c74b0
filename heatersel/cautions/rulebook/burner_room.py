"""Rules on where a burner may stand and what must stand beside it."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.placement import IGNITION_HEIGHT_M
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.heaters.heater import EnergySource
from heatersel.job.models import HeaterLocation
from heatersel.job.site import OpensTo

_ABOVE_GROUND = (HeaterLocation.ATTIC, HeaterLocation.OUTDOORS)
_FUELS = (EnergySource.NATURAL_GAS, EnergySource.PROPANE, EnergySource.FUEL_OIL)


def _fuel_may_burn(case: Case) -> bool:
    """Return whether something burns here, or nobody has said that nothing does."""
    others = (case.home.other_gas_input_kw, case.site.room_other_kw)
    heating = case.home.heating
    return (
        case.burns_fuel
        or case.home.heater_location is HeaterLocation.GARAGE
        or any(others)
        or bool(case.site.chimney_shared)
        or (heating is not None and heating.energy_source in _FUELS)
        or (None in others and any(fuel in _FUELS for fuel in case.job.fuels))
    )


@rule(
    "co-alarm", "carbon monoxide", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="houses where anything may burn, or with a garage", when=_fuel_may_burn,
    trigger="no working carbon-monoxide alarm outside each sleeping area",
    source="IRC R315; provincial rules", edition="2018", status=Status.SEEN,
)  # fmt: skip
def _co_alarm(case: Case) -> Iterator[Finding | Ask]:
    if case.site.co_alarm is None:
        yield Ask("home.site.co_alarm", "whether you would be woken by carbon monoxide")
    elif not case.site.co_alarm:
        yield Finding(
            says="Carbon monoxide has no smell and kills people in their sleep. An alarm goes "
            "outside each bedroom before the new heater is lit.",
            trade="CO alarm outside each sleeping area and on each storey; test at hand-over.",
            remedy="Fit and test carbon-monoxide alarms.",
            remedy_ids=("carbon_monoxide_alarm",),
        )


@rule(
    "room-prohibited", "where it stands", where=Where.EVERYWHERE, severity=Severity.STOP,
    applies_to="burners on room air", when=lambda case: case.takes_room_air,
    trigger="in, or open to, a bedroom or bathroom, or in a closet, unless direct vent or in a "
    "sealed enclosure with outdoor air",
    source="IFGC 303.3, IRC M2005.2, UPC 504.1; Canada: CSA B149.1 (memory)", edition="2018",
    status=Status.SEEN,
)  # fmt: skip
def _prohibited(case: Case) -> Iterator[Finding | Ask]:
    opens_to = case.site.opens_to
    if opens_to is None and case.home.heater_location is not HeaterLocation.OUTDOORS:
        yield Ask("home.site.opens_to", "whether a flame may burn in that space")
    in_closet = case.home.heater_location is HeaterLocation.CLOSET
    sleeps = opens_to in (OpensTo.BEDROOM, OpensTo.BATHROOM)
    if not (in_closet or sleeps) or case.site.sealed_enclosure:
        return
    if case.site.sealed_enclosure is None:
        yield Ask("home.site.sealed_enclosure", "whether a flame may burn in that space")
    place = f"a space that opens to a {opens_to.value}" if opens_to and sleeps else "a closet"
    location = case.home.heater_location.value.replace("_", " ")
    yield Finding(
        says=f"A flame that takes its air from {place} can fill a sleeping person's room with "
        "carbon monoxide. Such a heater may not stand there.",
        trade=f"Location {location}, {place}: fuel-fired heater on room air prohibited; "
        "exceptions are direct vent, or a sealed enclosure with outdoor air and a gasketed "
        "self-closing door.",
        remedy="Choose a direct-vent or electric heater, or move the heater.",
        lifts="a sealed enclosure with outdoor air and a self-closing door, another place, or a "
        "direct-vent heater",
    )


def _in_garage(case: Case) -> bool:
    in_it = case.home.heater_location is HeaterLocation.GARAGE
    return in_it or case.site.opens_to is OpensTo.GARAGE


def _ignition(case: Case) -> Iterator[Finding | Ask]:
    listable = case.burns_gas and case.is_tank and not case.in_canada
    if listable and case.site.vapor_resistant:
        return
    height = case.site.ignition_height_m
    if height is None:
        yield Ask("home.site.ignition_height", "whether spilled fuel could catch fire")
        if listable and case.site.vapor_resistant is None:
            yield Ask("home.site.vapor_resistant", "whether it may stand on the garage floor")
        return
    if height >= IGNITION_HEIGHT_M - 1e-3:
        return
    exception = "" if not listable else (
        " Heaters listed flammable-vapour-ignition-resistant may stand lower where the adopted "
        "code says so."
    )  # fmt: skip
    yield Finding(
        says="Gasoline vapour lies along a garage floor. A flame or switch less than "
        f"{case.say.length(IGNITION_HEIGHT_M)} up could light it, so the heater goes on a stand.",
        trade=f"Ignition source at {case.say.clearance(height)} in or open to the garage; at least "
        f"{case.say.clearance(IGNITION_HEIGHT_M)}.{exception}",
        numbers=(("ignition_height_m", height, "m"), ("needed_m", IGNITION_HEIGHT_M, "m")),
        remedy="Raise the heater on a stand.",
        remedy_ids=("stand",),
    )


rule(
    "garage-ignition", "where it stands", where=Where.US, severity=Severity.MUST,
    applies_to="every heater in a garage or a space open to it", when=_in_garage,
    trigger="ignition source below 18 in, and not a gas tank listed "
    "flammable-vapour-ignition-resistant",
    source="IRC M1307.3 and P2801.6; IFGC 305.3; UPC 507.13", edition="2018", status=Status.SEEN,
)(_ignition)  # fmt: skip

rule(
    "garage-ignition-canada", "where it stands", where=Where.CANADA, severity=Severity.MUST,
    applies_to="gas and oil heaters in a garage or a space open to it",
    when=lambda case: case.burns_fuel and _in_garage(case),
    trigger="ignition source below 450 mm", source="CSA B149.1", edition="2020",
    status=Status.MEMORY,
)(_ignition)  # fmt: skip


@rule(
    "garage-vehicle", "where it stands", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater in a garage",
    when=lambda case: case.home.heater_location is HeaterLocation.GARAGE,
    trigger="nothing keeps a car off the heater", source="IRC M1307.3.1", edition="2018",
    status=Status.SEEN,
)  # fmt: skip
def _vehicle(case: Case) -> Iterator[Finding | Ask]:
    if case.site.vehicle_guard is None:
        yield Ask("home.site.vehicle_guard", "whether a car could hit the heater")
    elif not case.site.vehicle_guard:
        yield Finding(
            says="A car could roll into the heater. A steel post or a raised step keeps it off.",
            trade="Vehicle impact protection: bollard or elevation out of the path.",
            remedy="Set a post before the heater.",
            remedy_ids=("vehicle_barrier",),
        )


@rule(
    "propane-below-grade", "where it stands", where=Where.US, severity=Severity.MUST,
    applies_to="propane heaters in a basement, a crawl space or a pit",
    when=lambda case: case.heater.energy_source is EnergySource.PROPANE
    and case.home.heater_location not in _ABOVE_GROUND,
    trigger="below the ground around the house",
    source="UPC 1208 and 1213.6 bar it where gas can collect; not in the IFGC", edition="2018",
    status=Status.SEEN,
)  # fmt: skip
def _propane_below_grade(case: Case) -> Iterator[Finding | Ask]:
    below = case.site.below_grade
    if case.home.heater_location is HeaterLocation.BASEMENT:
        below = True
    if below is None:
        yield Ask("home.site.below_grade", "whether leaked propane could collect there")
    if not below:
        return
    yield Finding(
        says="Propane is heavier than air and collects in low places when it leaks. Some places "
        "do not allow a propane heater there, so the building office is asked first.",
        trade="LP heater below grade: ask the authority; where allowed, a drain or exhaust for "
        "leaked gas, and a listed LP detector.",
        remedy="Ask the building office before ordering.",
    )


@rule(
    "gas-shutoff-and-trap", "gas line", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="gas heaters", when=lambda case: case.burns_gas,
    trigger="no gas shutoff within reach, or no sediment trap",
    source="IFGC 409.5 and 408.4; NFPA 54 9.6; CSA B149.1", edition="2018", status=Status.MEMORY,
)  # fmt: skip
def _gas_train(case: Case) -> Iterator[Finding | Ask]:
    why = "whether gas can be shut off and kept clean at the heater"
    if case.site.gas_shutoff is None:
        yield Ask("home.site.gas_shutoff", why)
    if case.site.sediment_trap is None:
        yield Ask("home.site.sediment_trap", why)
    if case.site.gas_shutoff is False or case.site.sediment_trap is False:
        yield Finding(
            says="The gas line at the heater needs its own shutoff and a short drop that catches "
            "dirt. Both are small and are fitted with the heater.",
            trade="Listed shutoff in the same room within 6 ft, and a sediment trap as near the "
            "inlet as practical; leak test.",
            remedy="Fit shutoff and sediment trap.",
            remedy_ids=("gas_fittings",),
        )


@rule(
    "condensate-acid", "condensate", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="condensing heaters", when=lambda case: case.is_condensing,
    trigger="always a neutralizer; a pump where no drain lies below the heater",
    source="IPC and NSPC corrosive-waste clauses; condensate pH 1.8 to 4.2", edition="2018",
    status=Status.SEEN,
)  # fmt: skip
def _condensate(case: Case) -> Iterator[Finding | Ask]:
    drain = case.site.condensate_drain
    if drain is None:
        drain = case.home.floor_drain
    if drain is None:
        yield Ask("home.site.condensate_drain", "whether a pump is needed")
        yield Ask("home.floor_drain", "whether a pump is needed")
    ids = () if case.site.neutralizer else ("neutralizer",)
    yield Finding(
        says="This heater squeezes water out of its exhaust. The water is sour and eats pipes, so "
        "it runs through a filter of limestone to a drain"
        + ("." if drain else ", lifted there by a small pump."),
        trade="Condensate pH 1.8 to 4.2: neutralise to 5 or above before the drain; "
        + ("gravity drain, " if drain else "condensate pump, ")
        + "protected from freezing, trap filled.",
        remedy="Fit a neutralizer" + ("." if drain else " and a condensate pump."),
        remedy_ids=(*ids, "condensate_drain") if drain else (*ids, "condensate_pump"),
    )
