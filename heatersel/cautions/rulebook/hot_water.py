"""Rules on the temperature of the water: burns on one side, bacteria on the other."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.growth import (
    LOOP_MINIMUM_C,
    STORE_MINIMUM_C,
    TAP_MINIMUM_C,
    decimal_reduction_min,
)
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.cautions.scald import delivered_temp_c, shortest_scald_time_s
from heatersel.cautions.words import duration
from heatersel.job.services import LoopPump
from heatersel.job.site import Recirculation

_SCALD = (
    "exposure tables after Moritz and Henriques (1947), a product-safety notice and hospital "
    "lists; limit of ASSE 1016 / ASME A112.1016 / CSA B125.16 and Ontario Building Code 7.6.5.1"
)
_LONG_AWAY_DAYS = 7  # common practice, no source
_LOOPS = {
    Recirculation.CONTINUOUS: "all the time", Recirculation.TIMER: "on a timer",
    Recirculation.DEMAND: "on demand",
}  # fmt: skip
_BY_PUMP = {
    LoopPump.CONTINUOUS: Recirculation.CONTINUOUS, LoopPump.TIMER: Recirculation.TIMER,
    LoopPump.TEMPERATURE: Recirculation.CONTINUOUS, LoopPump.DEMAND: Recirculation.DEMAND,
}  # fmt: skip
_CLOSE_K = 0.12  # a setpoint typed as 49 degC or 120 degF counts as at the limit


def _is_hot(case: Case) -> bool:
    return case.setpoint_c > case.fixture_limit_c + _CLOSE_K


def _burn(temp_c: float, *, child: bool) -> str:
    seconds = shortest_scald_time_s(temp_c, child=child)
    return duration(seconds) if seconds is not None else "many hours"


@rule(
    "scald-setpoint", "scald", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater", when=_is_hot,
    trigger="setpoint above 120 °F (Canada: 49 °C) and no tempering valve, with no limiting "
    "valves at the fixtures confirmed, or above 140 °F (60 °C)",
    source=_SCALD, edition="IRC since 2000; OBC 2012", status=Status.SEEN,
)  # fmt: skip
def _scald_setpoint(case: Case) -> Iterator[Finding | Ask]:
    if case.site.point_of_use_valves and case.setpoint_c <= STORE_MINIMUM_C + _CLOSE_K:
        return  # hotter than that no sink is safe, which have no valve of their own
    if case.site.point_of_use_valves is None:
        yield Ask("home.site.point_of_use_valves", "whether water can burn at showers and baths")
    if case.has_tempering_valve:
        return
    if case.site.tempering_valve is None:
        yield Ask("home.site.tempering_valve", "whether water is mixed down before the taps")
    temp_c = case.setpoint_c
    seconds = shortest_scald_time_s(temp_c)
    yield Finding(
        says=f"At {case.say.temperature(temp_c)} tap water burns skin in as little as "
        f"{_burn(temp_c, child=False)}. A tempering valve at the heater mixes it down to "
        f"{case.say.temperature(case.fixture_limit_c)}; showers and baths keep their own.",
        trade=f"Setpoint {case.say.temperature(temp_c, 1)} exceeds the "
        f"{case.say.temperature(case.fixture_limit_c, 1)} limit for "
        "showers and tubs. Fit an ASSE 1017 / CSA B125.3 valve at the heater and confirm "
        "ASSE 1016 / 1070 or CSA B125.16 / B125.70 devices at the points of use.",
        numbers=(
            ("setpoint_c", temp_c, "°C"), ("fixture_limit_c", case.fixture_limit_c, "°C"),
            ("shortest_scald_time_s", seconds or 0.0, "s"),
        ),
        remedy="Fit a tempering valve, and confirm limiting valves at showers and baths.",
        remedy_ids=("tempering_valve",),
    )  # fmt: skip


@rule(
    "scald-vulnerable", "scald", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater", when=_is_hot,
    trigger="setpoint above the fixture limit, and a child, an older adult or someone with less "
    "feeling in the house, without confirmed limiting valves at the fixtures",
    source="figures for infants and children: code-safety notice (seen), teaching chart for ages "
    "0 to 5 (memory)", edition="", status=Status.MEMORY,
)  # fmt: skip
def _scald_vulnerable(case: Case) -> Iterator[Finding | Ask]:
    if case.has_vulnerable is None:
        yield Ask("home.vulnerable_occupants", "how fast hot water would burn someone here")
    if not case.has_vulnerable or case.site.point_of_use_valves:
        return
    temp_c = case.setpoint_c
    at_tap_c = delivered_temp_c(temp_c, tempered=case.has_tempering_valve)
    seconds = shortest_scald_time_s(at_tap_c, child=True)
    yield Finding(
        says=f"A small child's skin burns in as little as {_burn(at_tap_c, child=True)} at "
        f"{case.say.temperature(at_tap_c)}. With someone in the house who burns easily, each "
        "shower and bath needs a valve that holds the temperature down.",
        trade="Vulnerable occupants; water at the fixtures up to "
        f"{case.say.temperature(at_tap_c, 1)}. Point-of-use "
        "limiting devices (ASSE 1016, 1070; CSA B125.16, B125.70) at every shower, bath and "
        "basin they use; test the bath before a child goes in.",
        numbers=(
            ("setpoint_c", temp_c, "°C"), ("at_fixture_c", at_tap_c, "°C"),
            ("shortest_scald_time_child_s", seconds or 0.0, "s"),
        ),
        remedy="Fit or confirm limiting valves at the fixtures.",
        # priced once somebody has looked and found none
        remedy_ids=("point_of_use_valve",) if case.site.point_of_use_valves is False else (),
    )  # fmt: skip


@rule(
    "scald-master-valve-only", "scald", where=Where.US, severity=Severity.NOTE,
    applies_to="every heater", when=_is_hot,
    trigger="a tempering valve at the heater and no limiting valves at the fixtures confirmed",
    source="ASSE 1017 scope; IRC P2708.4; IPC 412.5", edition="IPC 2018 and later",
    status=Status.SEEN,
)  # fmt: skip
def _master_valve_only(case: Case) -> Iterator[Finding | Ask]:
    if not case.has_tempering_valve or case.site.point_of_use_valves:
        return
    yield Finding(
        says="The tempering valve at the heater cools the water for the whole house, but it does "
        "not replace the valve in each shower and bath that keeps the temperature steady.",
        trade="ASSE 1017 is a distribution valve and does not stand in for ASSE 1016 or 1070 "
        "point-of-use devices.",
        remedy="Look at each shower and bath valve for its limit stop.",
    )


@rule(
    "tempering-valve-planned", "scald", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater", when=lambda case: case.job.preferences.tempering_valve,
    trigger="the plan counts on a tempering valve that is not known to be there",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _valve_planned(case: Case) -> Iterator[Finding | Ask]:
    if case.site.tempering_valve:
        return
    yield Finding(
        says="This plan counts on a tempering valve: hotter water in the tank, safe water at the "
        "taps.",
        trade="Tempering valve included: ASSE 1017 / CSA B125.3, set and logged at hand-over.",
        numbers=(("setpoint_c", case.setpoint_c, "°C"),),
        remedy="Fit and set the tempering valve.",
        remedy_ids=("tempering_valve",),
    )


def _stores_cool(case: Case) -> bool:
    return case.is_tank and case.setpoint_c < STORE_MINIMUM_C - _CLOSE_K


@rule(
    "growth-storage", "growth", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="tanks", when=_stores_cool, trigger="storage below 60 °C (140 °F)",
    source="OSHA Technical Manual, hot water (60 °C stored, 50 °C at taps); ASHRAE Guideline "
    "12-2000 (135 to 140 °F); WHO 2007", edition="", status=Status.SEEN,
)  # fmt: skip
def _growth_storage(case: Case) -> Iterator[Finding | Ask]:
    if case.has_vulnerable is None:
        yield Ask("home.vulnerable_occupants", "how much weight the risk of Legionella gets")
    temp_c = case.setpoint_c
    first = "Someone in your house falls ill more easily, so this matters here. " * bool(
        case.has_vulnerable
    )
    minutes = decimal_reduction_min(temp_c) if temp_c >= 45.0 else None
    advised = case.say.temperature(STORE_MINIMUM_C)
    yield Finding(
        says=f"{first}Bacteria called Legionella can live in a tank kept at "
        f"{case.say.temperature(temp_c)}. Storing at {advised} and "
        "mixing down with a tempering valve lowers that risk; it never makes it zero.",
        trade=f"Stored at {case.say.temperature(temp_c, 1)}, below the {advised} of the guidance. "
        "Published decimal reduction times: "
        + ("none at this temperature, at which it may grow"
           if minutes is None else f"{minutes:.3g} min at this temperature")
        + f", 0.74 min at {advised} (one strain, no biofilm). Offer {advised} with ASSE 1017 / "
        "CSA B125.3 mixing.",
        numbers=(
            ("store_c", temp_c, "°C"), ("advised_store_c", STORE_MINIMUM_C, "°C"),
            *(() if minutes is None else (("decimal_reduction_min", minutes, "min"),)),
        ),
        remedy=f"Consider storing at {advised} with a tempering valve.",
    )  # fmt: skip


@rule(
    "growth-electric-canada", "growth", where=Where.CANADA, severity=Severity.MUST,
    applies_to="electric tanks and heat pumps",
    trigger="electric storage, set to 60 °C at least: no tempering valve there or planned",
    when=lambda case: case.is_electric and case.is_tank
    and not (case.site.tempering_valve and not case.is_stored_hotter)
    and not case.job.preferences.tempering_valve,
    source="Ontario Building Code 9.31.6.1 (text seen, number from memory); NPC 2.6.1.12 "
    "(memory)", edition="OBC 2012; NPC 2015", status=Status.MEMORY,
)  # fmt: skip
def _growth_electric_canada(case: Case) -> Iterator[Finding | Ask]:
    ids = () if case.site.tempering_valve else ("tempering_valve",)
    wanted_c = case.facts.setpoint_c
    store = case.say.temperature(STORE_MINIMUM_C)
    tap = case.say.temperature(case.fixture_limit_c)
    yield Finding(
        says=f"In Canada an electric tank is set to at least {store}, so that bacteria do not grow "
        f"in it, and a tempering valve brings the water down to {tap} for the taps. Size and "
        "yearly cost are counted like that.",
        trade=f"Electric storage wanted at {case.say.temperature(wanted_c, 1)}; thermostat minimum "
        f"{store}, delivery at most {tap} to fixtures. Check the province's edition.",
        numbers=(("wanted_c", wanted_c, "°C"), ("minimum_store_c", STORE_MINIMUM_C, "°C")),
        remedy=f"Set the tank to {store} and mix down to {tap}.",
        remedy_ids=ids,
    )


@rule(
    "growth-idle-branch", "growth", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="every heater", when=lambda case: True,
    trigger="hot pipe to fixtures that nobody uses",
    source="CDC potable-water toolkit: remove dead legs; set-point experiment, Microbiome (2015) "
    "doi 10.1186/s40168-015-0134-1: 125 times more in a little-used tap", edition="",
    status=Status.SEEN,
)  # fmt: skip
def _idle_branch(case: Case) -> Iterator[Finding | Ask]:
    length_m = case.site.idle_branch_m
    if length_m is None:
        yield Ask("home.site.idle_branch", "whether water stands still in unused pipe")
    elif length_m > 0.0:
        yield Finding(
            says=f"About {case.say.length(length_m)} of hot pipe leads to fixtures that nobody "
            "uses. Water that stands there grows bacteria. Have the pipe removed, or run those "
            "taps every week.",
            trade=f"Dead leg of {case.say.length(length_m)}: remove back to the branch, or flush "
            "weekly.",
            numbers=(("idle_branch_m", length_m, "m"),),
            remedy="Remove the idle pipe or flush it.",
        )


@rule(
    "growth-away", "growth", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="tanks", trigger="away for a week or more, and storage below 60 °C",
    when=lambda case: _stores_cool(case) and case.job.household.days_away >= _LONG_AWAY_DAYS,
    source="public-health advice on reopening buildings: flush before use, at least 120 °F",
    edition="", status=Status.SEEN,
)  # fmt: skip
def _away(case: Case) -> Iterator[Finding | Ask]:
    days = case.job.household.days_away
    yield Finding(
        says=f"You are away about {days} days a year. After a week or more away, let the tank "
        "heat up fully, then run every hot tap for a few minutes before you shower.",
        trade=f"{days} days unoccupied: on return heat to {case.say.temperature(STORE_MINIMUM_C)} "
        "and flush all outlets.",
        numbers=(("days_away", float(days), "d"),),
        remedy="Flush after an absence.",
    )


@rule(
    "growth-recirculation", "growth", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="every heater", when=lambda case: True,
    trigger="a recirculating loop, and water leaving below 120 °F, or a tankless heater",
    source="CDC potable-water toolkit (circulate above 120 °F); P-607.2.1.2 (demand control)",
    edition="", status=Status.SEEN,
)  # fmt: skip
def _recirculation(case: Case) -> Iterator[Finding | Ask]:
    loop, pipe = case.site.recirculation, case.home.hot_pipe
    pump, clash = (None if pipe is None else pipe.loop_pump), ""
    if loop is Recirculation.NONE and pump is not None:
        clash = " home.site.recirculation says none, home.hot_pipe.loop_pump names a pump."
    if loop in (None, Recirculation.NONE) and pump is not None:
        loop = _BY_PUMP[pump]
    if loop is None:
        yield Ask("home.site.recirculation", "how warm the loop must stay and what it costs")
        return
    if loop is Recirculation.NONE:
        return
    if pump is None:  # its losses are not counted until its pipe is known
        yield Ask("home.hot_pipe", "what the loop costs")
    at_loop_c = delivered_temp_c(case.setpoint_c, tempered=case.has_tempering_valve)
    cool = at_loop_c < LOOP_MINIMUM_C - _CLOSE_K
    if not cool and not case.heater.is_tankless:
        return
    yield Finding(
        says="Your house keeps hot water moving in a loop. "
        + (f"At {case.say.temperature(at_loop_c)} the loop is too cool to hold bacteria down. "
           if cool else "A tankless heater needs a pump and a mode made for that. "),
        trade=f"Recirculation ({_LOOPS[loop]}) at {case.say.temperature(at_loop_c, 1)}; keep the "
        f"loop above {case.say.temperature(LOOP_MINIMUM_C)} and return at or above "
        f"{case.say.temperature(TAP_MINIMUM_C)} where growth is a "
        "concern. Tankless: pump and control that the listing allows." + clash,
        numbers=(("loop_c", at_loop_c, "°C"), ("minimum_loop_c", LOOP_MINIMUM_C, "°C")),
        remedy="Raise the loop's temperature, or have the pump run on demand.",
    )  # fmt: skip
