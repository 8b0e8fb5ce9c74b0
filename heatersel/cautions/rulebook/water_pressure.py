"""Rules on pressure, expansion and the relief valve."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.pressure import (
    MAX_STATIC_CANADA_KPA,
    MAX_STATIC_US_KPA,
    SIZING_CEILING_KPA,
    expansion_l,
    expansion_tank_l,
)
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.job.models import Supply
from heatersel.job.site import CodeFamily, ReliefFault

_FAULTS = {
    ReliefFault.NO_VALVE: "there is no relief valve",
    ReliefFault.NO_PIPE: "the relief valve has no pipe",
    ReliefFault.UNDERSIZED: "its pipe is smaller than the valve's outlet",
    ReliefFault.TRAPPED: "its pipe sags or runs uphill and traps water",
    ReliefFault.VALVED: "there is a valve or a tee in its pipe",
    ReliefFault.THREADED_END: "its pipe ends in a thread that someone could cap",
    ReliefFault.HIDDEN: "its end cannot be seen",
    ReliefFault.PIPED_TO_DRAIN: "its pipe is joined to the drain without an air gap",
    ReliefFault.ENDS_HIGH: "its pipe ends too high above the floor",
}
_REGULATED_KPA = 413.7  # 60 psi, what a regulator is usually set to; common practice, no source
_LOW_KPA = 137.9  # 20 psi; common practice, no source
_PRECHARGE_SLACK_KPA = 14.0  # 2 psi, what a tyre gauge shows; common practice, no source


@rule(
    "relief-discharge", "relief valve", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater", when=lambda case: True,
    trigger="the relief valve or its discharge pipe has a fault",
    source="IRC P2804.6.1, IPC 504.6, UPC 608; NPC 2.6.1.7, and a pressure relief valve on "
    "tankless heaters (memory)", edition="2012 and later",
    status=Status.SEEN,
)  # fmt: skip
def _relief(case: Case) -> Iterator[Finding | Ask]:
    faults = case.site.relief_faults
    if faults is None:
        yield Ask("home.site.relief_faults", "whether the heater can let pressure out safely")
    elif faults:
        thing = "tank" if case.is_tank else "heater"
        valve = (
            "Valve 150 psi or the tank's rating, 210 °F, capacity at least the input"
            if case.is_tank
            else "Pressure relief valve that the instructions name, on the heater's side of any "
            "shutoff, capacity at least the input"
        )
        found = "; ".join(_FAULTS[fault] for fault in faults)
        yield Finding(
            says=f"The relief valve keeps the {thing} from bursting, and something about it is "
            f"wrong: {found}. A licensed plumber puts this right before the heater is used.",
            trade=f"Relief discharge: {found}. Full size, gravity, no trap, valve, tee or thread, "
            "air gap in the same room, visible, end within 6 in (Canada 300 mm) of floor or "
            f"receptor. {valve}; never for thermal expansion.",
            numbers=(("faults", float(len(faults)), ""),),
            remedy="Correct the relief valve and its pipe.",
            remedy_ids=("relief_pipe",),
        )


def _closing_devices(case: Case) -> tuple[str, ...]:
    named = {
        "backflow preventer": case.home.backflow_preventer,
        "pressure regulator": case.site.pressure_regulator,
        "check valve": case.site.check_valve,
    }
    return tuple(name for name, found in named.items() if found)


def _ask_devices(case: Case) -> Iterator[Ask]:
    why = "whether warmed water can push back into the main"
    if case.home.backflow_preventer is None:
        yield Ask("home.backflow_preventer", why)
    if case.site.pressure_regulator is None:
        yield Ask("home.site.pressure_regulator", why)
    if case.site.check_valve is None:
        yield Ask("home.site.check_valve", why)


def _closed_system(case: Case) -> Iterator[Finding | Ask]:
    """Raise a closed system without expansion control; shared by three jurisdictions' rules."""
    devices = _closing_devices(case)
    if not devices:
        yield from _ask_devices(case)
        return
    if case.site.expansion_tank:
        return
    if case.site.expansion_tank is None:
        yield Ask("home.site.expansion_tank", "whether the expanding water has somewhere to go")
    if case.heater.is_tankless:
        yield _closed_tankless(devices)
        return
    growth_l = expansion_l(case.heater.volume_l, case.facts.design_inlet_c, case.setpoint_c)
    numbers = [("growth_l", growth_l, "L"), ("heater_l", case.heater.volume_l, "L")]
    size = ""
    supply = case.home.static_pressure_kpa
    limit = MAX_STATIC_CANADA_KPA if case.in_canada else MAX_STATIC_US_KPA
    if supply is None:
        yield Ask("home.static_pressure", "how large the expansion tank must be")
    elif supply < limit:
        strict_l = expansion_tank_l(growth_l, supply, limit)
        loose_l = expansion_tank_l(growth_l, supply, SIZING_CEILING_KPA)
        numbers += [("tank_l", strict_l, "L"), ("tank_at_135_psi_l", loose_l, "L")]
        size = (
            f" At {case.say.pressure(supply)}: at least {case.say.volume(strict_l)} on the "
            f"{case.say.pressure(limit)} basis ({case.say.volume(loose_l)} on the "
            f"{case.say.pressure(SIZING_CEILING_KPA)} basis), charged to the supply."
        )
    yield Finding(
        says=f"Water grows by {case.say.volume(growth_l)} each time this heater warms up, and "
        f"your {' and '.join(devices)} keeps it from pushing back into the street. Without an "
        "expansion tank the pressure climbs, valves drip and the tank ages early.",
        trade=f"Closed system ({', '.join(devices)}); growth {case.say.volume(growth_l)} from "
        f"{case.say.temperature(case.facts.design_inlet_c)} to "
        f"{case.say.temperature(case.setpoint_c)}.{size}",
        numbers=tuple(numbers),
        remedy="Fit an expansion tank between the heater and the device, charged to the house "
        "pressure.",
        remedy_ids=("expansion_tank",),
    )


def _closed_tankless(devices: tuple[str, ...]) -> Finding:
    return Finding(
        says=f"Your {' and '.join(devices)} closes your pipes towards the street. The plumbing "
        "code here then asks for an expansion tank, even with a heater that stores no water.",
        trade=f"Closed system ({', '.join(devices)}), UPC 608.3 whatever the heater type: listed "
        "expansion tank on the building side of the device.",
        remedy="Fit an expansion tank on the house side of the device.",
        remedy_ids=("expansion_tank",),
    )


rule(
    "closed-system", "expansion", where=Where.US, severity=Severity.MUST,
    applies_to="tanks", when=lambda case: case.is_tank,
    trigger="a check valve, pressure regulator or backflow preventer upstream, and no expansion "
    "tank confirmed", source="IPC 607.3; UPC 608.3", edition="IPC 2018; UPC 2015",
    status=Status.SEEN,
)(_closed_system)  # fmt: skip

rule(
    "closed-system-tankless", "expansion", where=Where.US_UPC, severity=Severity.MUST,
    applies_to="tankless", when=lambda case: case.heater.is_tankless,
    trigger="as closed-system: the UPC asks whatever the heater type", source="UPC 608.3",
    edition="2015", status=Status.SEEN,
)(_closed_system)  # fmt: skip

rule(
    "closed-system-canada", "expansion", where=Where.CANADA, severity=Severity.MUST,
    applies_to="tanks", when=lambda case: case.is_tank,
    trigger="as closed-system", source="NPC 2.6.1.11, thermal expansion", edition="NPC 2015",
    status=Status.MEMORY,
)(_closed_system)  # fmt: skip


@rule(
    "expansion-tank-size", "expansion", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="tanks", when=lambda case: case.is_tank and bool(case.site.expansion_tank),
    trigger="the expansion tank is smaller than computed, or its precharge differs from the "
    "house pressure by more than 2 psi",
    source="Boyle's law with water density; basis 80 psi (Canada 550 kPa), shown beside 135 psi",
    edition="", status=Status.COMPUTED,
)  # fmt: skip
def _expansion_tank_size(case: Case) -> Iterator[Finding | Ask]:
    size_l, charge = case.site.expansion_tank_l, case.site.expansion_precharge_kpa
    supply = case.home.static_pressure_kpa
    for key, value in (("home.site.expansion_tank_volume", size_l),
                       ("home.site.expansion_precharge", charge),
                       ("home.static_pressure", supply)):  # fmt: skip
        if value is None:
            yield Ask(key, "whether the expansion tank is large enough and charged right")
    if size_l is None or charge is None or supply is None:
        return
    limit = MAX_STATIC_CANADA_KPA if case.in_canada else MAX_STATIC_US_KPA
    if supply >= limit:
        return  # the pressure rule asks for a regulator first
    growth_l = expansion_l(case.heater.volume_l, case.facts.design_inlet_c, case.setpoint_c)
    needed_l = expansion_tank_l(growth_l, supply, limit, min(charge, supply))
    charged_l = expansion_tank_l(growth_l, supply, limit)
    off = abs(charge - supply) > _PRECHARGE_SLACK_KPA
    if size_l >= needed_l and not off:
        return
    small = size_l < charged_l
    yield Finding(
        says="Your expansion tank "
        + ("is too small for this heater." if small else "is not charged to your house pressure.")
        + " It then fills up, and the pressure climbs.",
        trade=f"Expansion tank {case.say.volume(size_l)} charged to {case.say.pressure(charge)} at "
        f"a supply of {case.say.pressure(supply)}; growth {case.say.volume(growth_l)} needs "
        f"{case.say.volume(needed_l)} at that charge, {case.say.volume(charged_l)} charged to the "
        f"supply (basis {case.say.pressure(limit)}).",
        numbers=(("tank_l", size_l, "L"), ("needed_l", charged_l, "L"),
                 ("precharge_kpa", charge, "kPa"), ("supply_kpa", supply, "kPa")),
        remedy="Fit a larger expansion tank." if small else "Charge it to the house pressure.",
        remedy_ids=("expansion_tank",) if small else (),
    )  # fmt: skip


def _expansion_is_held(case: Case, limit: float) -> bool:
    """Return whether nothing has to be fitted for the expansion behind a new regulator."""
    if case.heater.is_tankless and CodeFamily.UPC not in case.place.families:
        return True
    if not case.site.expansion_tank or case.site.expansion_tank_l is None:
        return bool(case.site.expansion_tank)  # its size is asked for
    growth_l = expansion_l(case.heater.volume_l, case.facts.design_inlet_c, case.setpoint_c)
    return case.site.expansion_tank_l >= expansion_tank_l(growth_l, _REGULATED_KPA, limit)


def _pressure_finding(case: Case, limit: float) -> Iterator[Finding | Ask]:
    pressure = case.home.static_pressure_kpa
    if not pressure:
        yield Ask("home.static_pressure", "whether the pressure is safe for heater and valves")
    elif pressure > limit + 0.5:
        ids = ("pressure_reducing_valve",) if _expansion_is_held(case, limit) else (
            "pressure_reducing_valve", "expansion_tank")  # fmt: skip
        failed = "" if not case.site.pressure_regulator else (
            " There is a regulator already: it has failed, or the gauge sat before it. Measure "
            "behind it first."
        )  # fmt: skip
        yield Finding(
            says=f"Your water pressure of {case.say.pressure(pressure)} is above the "
            f"{case.say.pressure(limit)} that pipes and heater are made for. A pressure regulator "
            "brings it down; it also closes the system, so an expansion tank goes with it."
            + (" The one you have does not do that." if failed else ""),
            trade=f"Static {case.say.pressure(pressure)} over {case.say.pressure(limit)}: ASSE "
            f"1003 regulator with strainer, and expansion control downstream of it.{failed}",
            numbers=(("static_kpa", pressure, "kPa"), ("limit_kpa", limit, "kPa")),
            remedy="Fit a pressure regulator and an expansion tank.",
            remedy_ids=ids,
        )


@rule(
    "pressure-high", "pressure", where=Where.US, severity=Severity.MUST,
    applies_to="every heater", when=lambda case: True, trigger="static pressure above 80 psi",
    source="IRC P2903.3.1; IPC 604.8; UPC 608.2", edition="IRC 2021; UPC 2015", status=Status.SEEN,
)  # fmt: skip
def _pressure_high(case: Case) -> Iterator[Finding | Ask]:
    yield from _pressure_finding(case, MAX_STATIC_US_KPA)


@rule(
    "pressure-high-canada", "pressure", where=Where.CANADA, severity=Severity.MUST,
    applies_to="every heater", when=lambda case: True, trigger="static pressure above 550 kPa",
    source="NPC 2.6.3.3", edition="NPC 2015", status=Status.MEMORY,
)  # fmt: skip
def _pressure_high_canada(case: Case) -> Iterator[Finding | Ask]:
    yield from _pressure_finding(case, MAX_STATIC_CANADA_KPA)


@rule(
    "pressure-low", "pressure", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="every heater", when=lambda case: True, trigger="static pressure below 20 psi",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _pressure_low(case: Case) -> Iterator[Finding | Ask]:
    pressure = case.home.static_pressure_kpa
    if not pressure or pressure >= _LOW_KPA - 0.5:
        return  # pressure-high asks
    lights = " A tankless heater may not light at all." if case.heater.is_tankless else ""
    yield Finding(
        says=f"Your water pressure of {case.say.pressure(pressure)} is low. Showers run thin, and "
        f"the valves that keep them from scalding do not work as they should.{lights} The cause "
        "is found first: a valve half shut, a filter, a pump or the main.",
        trade=f"Static {case.say.pressure(pressure)}: below what mixing valves are made for; check "
        "regulator, filter, well pump switch and main before sizing.",
        numbers=(("static_kpa", pressure, "kPa"), ("least_kpa", _LOW_KPA, "kPa")),
        remedy="Find out why the pressure is low.",
    )


@rule(
    "well-pressure-tank", "expansion", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="tanks", when=lambda case: case.is_tank and case.job.place.supply is Supply.WELL,
    trigger="a private well", source="common practice, no source", edition="",
    status=Status.PRACTICE,
)  # fmt: skip
def _well(case: Case) -> Iterator[Finding | Ask]:
    if case.site.check_valve is None:
        yield Ask("home.site.check_valve", "whether the well's pressure tank takes the expansion")
    yield Finding(
        says="The pressure tank of your well takes up the water that expands, as long as no check "
        "valve stands between it and the heater.",
        trade="Well: the pressure tank accepts thermal expansion only with an open path; a check "
        "valve or softener check after it closes the system.",
        remedy="Look for a check valve between the pressure tank and the heater.",
    )
