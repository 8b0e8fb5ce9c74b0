"""Rules on chimneys, vents and their terminals."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.altitude import (
    CANADA_ASK_ABOVE_M,
    DERATE_ABOVE_M,
    altitude_derate_frac,
)
from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.cautions.venting import (
    MAX_FLUE_RATIO,
    Clearance,
    VentCategory,
    flue_ratio,
    needed_ratio,
    terminal_clearance,
    vent_category,
    vent_serves,
)
from heatersel.heaters.heater import EnergySource, VentType
from heatersel.job.models import VentPresent
from heatersel.job.site import AltitudeReading, DraftTest

_SLACK = 1e-3
_CHIMNEYS = (VentPresent.MASONRY_CHIMNEY, VentPresent.LINED_CHIMNEY, VentPresent.B_VENT)
_NEEDS = {
    VentCategory.I: "a lined chimney, or a double-wall metal pipe (B-vent), that draws by itself",
    VentCategory.OIL: "a chimney with a flap that steadies its draft",
    VentCategory.III: "a sealed stainless vent that its instructions name",
    VentCategory.IV: "the sealed plastic or stainless vent that its instructions name",
    VentCategory.DILUTED: "the sealed plastic or stainless vent that its instructions name",
    VentCategory.OIL_DIRECT: "the sealed vent kit for oil that its instructions name",
}
_DRAWN = (VentCategory.I, VentCategory.OIL)
_PRESENT = {
    VentPresent.MASONRY_CHIMNEY: "a masonry chimney",
    VentPresent.LINED_CHIMNEY: "a lined chimney",
    VentPresent.B_VENT: "a double-wall metal pipe (B-vent)",
    VentPresent.PLASTIC_VENT: "a plastic vent",
    VentPresent.STAINLESS_VENT: "a stainless vent",
    VentPresent.NONE: "no vent",
}


def _resizing(case: Case) -> tuple[str, ...]:
    """Return the work that gives the present flue another size."""
    return ("new_vent",) if case.home.vent is VentPresent.B_VENT else ("chimney_liner",)


def _resizing_for_other(case: Case) -> tuple[str, ...]:
    """Return the work that fits the present flue to the appliance that stays on it."""
    return ("vent_resize",) if case.home.vent is VentPresent.B_VENT else ("chimney_liner",)


def _other_stays(case: Case) -> bool:
    """Return whether another appliance shares the chimney and is not known to leave it too."""
    return bool(case.site.chimney_shared) and not case.site.chimney_other_leaves


def _was_on_chimney(case: Case) -> bool:
    """Return whether the present heater may stand on a chimney; true if nothing is known."""
    existing = case.job.existing
    burned = existing is None or existing.energy_source is not EnergySource.ELECTRICITY
    return burned and case.home.vent in (None, *_CHIMNEYS)


@rule(
    "vent-kind", "venting", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="heaters that burn fuel", when=lambda case: case.burns_fuel,
    trigger="the vent that stands there is not of the heater's category, its pipe is not one that "
    "the instructions name, or there is none",
    source="vent categories of NFPA 54; 2012 IFGC 502.1; Canada: ULC S636 plastic (memory)",
    edition="2018", status=Status.SEEN,
)  # fmt: skip
def _vent_kind(case: Case) -> Iterator[Finding | Ask]:
    present = case.home.vent
    if present is None:
        yield Ask("home.vent", "whether the heater needs a new vent")
        return
    category, named = vent_category(case.heater), case.site.vent_named
    if vent_serves(present, case.heater):
        if category in _DRAWN or named:
            return
        if named is None:
            yield Ask("home.site.vent_named", "whether the present vent may serve this heater")
            return
    joined = "" if category in _DRAWN else (
        " It is never joined to a vent that another appliance draws through."
    )  # fmt: skip
    listed = " Plastic in Canada: ULC S636." if case.in_canada else ""
    yield Finding(
        says=f"This heater needs {_NEEDS[category]}. Your house has {_PRESENT[present]}, which "
        "cannot serve it, so a new vent is part of the job.",
        trade=f"Vent category {category.value}; present: {_PRESENT[present]}"
        f"{', not named by the instructions' if named is False else ''}. New vent of the material "
        f"the listing names.{joined}{listed}",
        remedy="Run a new vent for this heater.",
        remedy_ids=("new_vent",),
    )


@rule(
    "vent-oversized", "venting", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="draft-hood heaters",
    when=lambda case: case.heater.vent_type is VentType.DRAFT_HOOD
    and case.home.vent in (None, *_CHIMNEYS),
    trigger="flue area more than 7 times the draft-hood outlet area",
    source="2018 IFGC table 504.2(3), NFPA 54 503", edition="2018", status=Status.SEEN,
)  # fmt: skip
def _oversized(case: Case) -> Iterator[Finding | Ask]:
    area, hood = case.site.flue_area_cm2, case.site.draft_hood_mm
    if not area:
        yield Ask("home.site.flue_area", "whether the chimney draws for this heater alone")
    if not hood:
        yield Ask("home.site.draft_hood", "whether the chimney draws for this heater alone")
    if not area or not hood:
        return
    ratio = flue_ratio(area, hood)
    if ratio <= MAX_FLUE_RATIO:
        return
    yield Finding(
        says="Your chimney is too wide for this heater alone. The smoke cools in it and can spill "
        "back into the room, with carbon monoxide in it. A metal liner of the right size fixes "
        "that.",
        trade=f"Flue area {ratio:.1f} times the draft-hood outlet (limit {MAX_FLUE_RATIO:g}): "
        "reline or resize, then a spillage test.",
        numbers=(("flue_ratio", ratio, ""), ("limit", MAX_FLUE_RATIO, "")),
        remedy="Line the chimney to the heater's size.",
        remedy_ids=("chimney_liner",),
    )


@rule(
    "vent-undersized", "venting", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="draft-hood heaters",
    when=lambda case: case.heater.vent_type is VentType.DRAFT_HOOD and case.home.vent in _CHIMNEYS,
    trigger="flue area less than the draft-hood outlet area; with a second appliance on it, less "
    "than the larger outlet and half the smaller",
    source="IFGC 503.6.10 and NFPA 54 12.6.3: at least the outlet's area", edition="2018",
    status=Status.MEMORY,
)  # fmt: skip
def _undersized(case: Case) -> Iterator[Finding | Ask]:
    area, hood = case.site.flue_area_cm2, case.site.draft_hood_mm
    other = case.site.other_outlet_mm if _other_stays(case) else 0.0
    if other is None:
        yield Ask("home.site.other_outlet", "whether the flue is wide enough for both")
        other = 0.0
    if not area or not hood:
        return  # vent-oversized asks
    least = needed_ratio(hood, other)
    ratio = flue_ratio(area, hood)
    if ratio >= least - _SLACK:
        return
    yield Finding(
        says=f"The flue is too narrow for {'both appliances on it' if other else 'this heater'}. "
        "The exhaust cannot all get out and spills back into the room, with carbon monoxide in it. "
        "A larger flue is part of the job.",
        trade=f"Flue area {ratio:.2f} times the draft-hood outlet, at least {least:.2f} needed "
        "(the larger outlet and half the smaller): resize, then a spillage test.",
        numbers=(("flue_ratio", ratio, ""), ("least", least, "")),
        remedy="Enlarge the flue to the heater's size.",
        remedy_ids=_resizing(case),
    )


@rule(
    "vent-unlined", "venting", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="heaters on a masonry chimney",
    when=lambda case: case.uses_chimney
    and case.home.vent in (VentPresent.MASONRY_CHIMNEY, VentPresent.LINED_CHIMNEY),
    trigger="neither a metal liner nor sound clay tile in the masonry chimney",
    source="CSA B149.1 8.12.2: a tile or metal liner (seen); IFGC 503.5.6.1 with NFPA 211, which "
    "may spare a like replacement (memory)", edition="B149.1 2005; IFGC 2018", status=Status.SEEN,
)  # fmt: skip
def _unlined(case: Case) -> Iterator[Finding | Ask]:
    liner, tile = case.site.chimney_liner, case.site.chimney_tile
    said_lined = case.home.vent is VentPresent.LINED_CHIMNEY and (liner, tile) == (None, None)
    if liner or tile or said_lined:
        return
    for field, known in (("home.site.chimney_liner", liner), ("home.site.chimney_tile", tile)):
        if known is None:
            yield Ask(field, "whether the bare brick would meet the flue gas")
    if liner is False and tile is False:
        yield Finding(
            says="Your chimney has no lining. The damp, sour flue gas eats its mortar and can leak "
            "into the rooms, with carbon monoxide in it. A metal liner goes in before the new "
            "heater is lit.",
            trade="Unlined masonry chimney: line it for everything that stays on it, then a "
            "spillage test. Some US codes let a like replacement (same type, input and efficiency) "
            "keep a flue that passes inspection; the inspector decides.",
            remedy="Line the chimney.",
            remedy_ids=("chimney_liner",),
        )


@rule(
    "vent-orphaned", "venting", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="heaters on a chimney that draws by itself",
    when=lambda case: case.uses_chimney and case.home.vent in (None, *_CHIMNEYS),
    trigger="another appliance has left or leaves the chimney, and there is no liner",
    source="IFGC 501.1.1 and 501.15: check the vent again at any change of equipment",
    edition="2018", status=Status.SEEN,
)  # fmt: skip
def _orphaned(case: Case) -> Iterator[Finding | Ask]:
    why = "whether this heater is left alone on a chimney made for two"
    if case.site.chimney_shared is None and case.home.vent is not VentPresent.NONE:
        yield Ask("home.site.chimney_shared", why)
    if case.site.chimney_other_leaves is None:
        yield Ask("home.site.chimney_other_leaves", why)
    if not case.site.chimney_other_leaves or case.site.chimney_liner:
        return
    if case.site.chimney_liner is None:
        yield Ask("home.site.chimney_liner", why)
    yield Finding(
        says="The furnace no longer shares this chimney, so the water heater is alone on a flue "
        "made for both. It may not draw, and fumes can come back into the house. A metal liner "
        "and a draft test put that right.",
        trade="Orphaned heater: size the flue for the remaining appliance, line it, and test for "
        "spillage with exhaust fans on.",
        remedy="Resize the vent and test the draft."
        if case.home.vent is VentPresent.B_VENT
        else "Line the chimney and test the draft.",
        remedy_ids=_resizing(case),
    )


@rule(
    "vent-left-behind", "venting", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="heaters that leave the chimney",
    when=lambda case: not case.uses_chimney and _was_on_chimney(case),
    trigger="another appliance stays on the chimney that the old water heater leaves",
    source="IFGC 501.1.1 and 501.15: check the vent again at any change of equipment",
    edition="2018", status=Status.SEEN,
)  # fmt: skip
def _left_behind(case: Case) -> Iterator[Finding | Ask]:
    if case.site.chimney_shared is None:
        yield Ask("home.site.chimney_shared", "whether another appliance is left alone on it")
        return
    if case.site.chimney_shared and case.site.chimney_other_leaves is None:
        yield Ask("home.site.chimney_other_leaves", "whether another appliance is left alone on it")
    if not _other_stays(case) or case.site.chimney_liner:
        return
    if case.site.chimney_liner is None:
        yield Ask("home.site.chimney_liner", "whether the appliance left on the chimney draws")
    yield Finding(
        says="Your old water heater shares the chimney with another appliance, which stays there "
        "alone. A chimney sized for two may not draw for one, so its size and draft are checked, "
        "and it is lined if it is too wide.",
        trade="Common vent before and after: re-size for the remaining appliance, line where its "
        "flue is too large, cap the old connector, test for spillage.",
        remedy="Check the chimney for the appliance that stays, and line it.",
        remedy_ids=_resizing_for_other(case),
    )


@rule(
    "vent-left-behind-lined", "venting", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="heaters that leave the chimney",
    when=lambda case: not case.uses_chimney and _was_on_chimney(case)
    and _other_stays(case) and bool(case.site.chimney_liner),
    trigger="another appliance stays alone on a lined chimney that served two",
    source="IFGC 501.1.1 and 501.15: check the vent again at any change of equipment",
    edition="2018", status=Status.SEEN,
)  # fmt: skip
def _left_behind_lined(case: Case) -> Iterator[Finding | Ask]:
    yield Finding(
        says="The liner in your chimney was chosen for two appliances, and one stays on it. Its "
        "draft is tested again once the water heater has gone.",
        trade="Liner sized for two: check it against the table for the appliance that stays, cap "
        "the old connector, test for spillage.",
        remedy="Check the liner's size and test the draft.",
    )


@rule(
    "vent-draft-test-left", "venting", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="heaters that leave a chimney on which something else burns",
    when=lambda case: not case.uses_chimney and _other_stays(case),
    trigger="the draft test failed",
    source="IFGC appendix D, NFPA 54 annex G: spillage test with fans on", edition="2018",
    status=Status.MEMORY,
)  # fmt: skip
def _draft_test_left(case: Case) -> Iterator[Finding | Ask]:
    if case.site.draft_test is None:
        yield Ask("home.site.draft_test", "whether fumes come back into the room")
    elif case.site.draft_test is DraftTest.FAIL:
        yield Finding(
            says="The chimney failed its draft test: fumes came back into the room, and another "
            "appliance still burns on it. That is mended and tested again, whichever water heater "
            "you choose.",
            trade="Spillage after 5 min with the house closed and exhaust fans on: mend flue and "
            "air supply for the appliance that stays, then test again before it is used.",
            remedy="Mend the chimney and its air supply, then test again.",
            remedy_ids=_resizing_for_other(case),
        )


@rule(
    "vent-draft-test", "venting", where=Where.EVERYWHERE, severity=Severity.STOP,
    applies_to="heaters on a chimney that draws by itself",
    when=lambda case: case.uses_chimney, trigger="the draft test failed",
    source="IFGC appendix D, NFPA 54 annex G: spillage test with fans on", edition="2018",
    status=Status.MEMORY,
)  # fmt: skip
def _draft_test(case: Case) -> Iterator[Finding | Ask]:
    if case.site.draft_test is None:
        yield Ask("home.site.draft_test", "whether fumes come back into the room")
    elif case.site.draft_test is DraftTest.FAIL:
        yield Finding(
            says="The chimney failed its draft test: fumes came back into the room. A heater that "
            "relies on this chimney may not be used until that is mended.",
            trade="Spillage after 5 min with the house closed and exhaust fans on.",
            remedy="Mend the chimney and its air supply, then test again.",
            lifts="a passed draft test after repair, or a heater that does not use the chimney",
        )


@rule(
    "vent-asbestos", "venting", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater", when=lambda case: case.home.vent not in (VentPresent.NONE,),
    trigger="asbestos-cement pipe or lagging on the old vent",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _asbestos(case: Case) -> Iterator[Finding | Ask]:
    if case.site.vent_asbestos is None:
        yield Ask("home.site.vent_asbestos", "whether a specialist must take the old vent down")
    elif case.site.vent_asbestos:
        yield Finding(
            says="The old vent contains asbestos. It is not cut or broken; a specialist takes it "
            "down first.",
            trade="Asbestos-cement vent or lagging: abatement before any work on the connector.",
            remedy="Have a specialist remove the old vent.",
            remedy_ids=("asbestos_removal",),
        )


_COUNTED = {
    AltitudeReading.SEA_LEVEL: "from sea level",
    AltitudeReading.ABOVE_2000_FT: "from 2000 ft up",
}


def _needs_terminal(case: Case) -> bool:
    return case.heater.vent_type in (VentType.POWER_VENT, VentType.DIRECT_VENT)


_LAST_OPEN_YEAR = 2017  # last edition whose direct-vent table has no upper end
_TERMINAL_FIELDS = {
    "window": ("home.site.terminal_to_window", "a door or window that opens"),
    "mechanical_inlet": ("home.site.terminal_to_mechanical_inlet", "a fan-driven air inlet"),
    "regulator": ("home.site.terminal_to_regulator", "the gas regulator"),
    "grade": ("home.site.terminal_above_grade", "the ground or the snow on it"),
    "walkway": ("home.site.terminal_above_walkway", "a public walk or drive below"),
}


_ABOVE_FIELDS = {
    "window": "home.site.terminal_above_window",
    "mechanical_inlet": "home.site.terminal_above_mechanical_inlet",
}


def _clearance(case: Case, item: str) -> Clearance | None:
    country, year = case.place.country, case.place.code_year
    needed = terminal_clearance(item, case.heater, country, year)
    if needed is None and item == "window":
        return terminal_clearance(item, case.heater, country, _LAST_OPEN_YEAR)
    return needed


def _terminal(case: Case) -> Iterator[Finding | Ask]:
    site = case.site
    heights = {
        "window": site.terminal_above_window_m,
        "mechanical_inlet": site.terminal_above_air_inlet_m,
    }
    distances = {
        "window": site.terminal_to_window_m,
        "mechanical_inlet": site.terminal_to_air_inlet_m,
        "regulator": site.terminal_to_regulator_m,
        "grade": site.terminal_above_grade_m,
        "walkway": site.terminal_above_walkway_m,
    }
    for item, distance in distances.items():
        field, thing = _TERMINAL_FIELDS[item]
        needed, height = _clearance(case, item), heights.get(item)
        if needed is None:
            continue
        if distance is None:
            yield Ask(field, "whether the vent can end on this wall")
        elif not needed.holds(distance, height):
            if height is None and needed.above_m is not None:
                yield Ask(_ABOVE_FIELDS[item], "whether the vent may end nearer, above it")
            yield _too_near(case, thing, distance, needed)


def _too_near(case: Case, thing: str, distance: float, needed: Clearance) -> Finding:
    kind = case.heater.vent_type.value.replace("_", " ")
    wanted = f"at least {case.say.clearance(needed.distance_m)} from {thing}"
    if needed.above_m is not None:
        wanted += f", or {case.say.clearance(needed.above_m)} above it"
    return Finding(
        says=f"The vent of this heater must end {wanted}, and the best place found is "
        f"{case.say.clearance(distance)} away. Fumes could come back into a house.",
        trade=f"Terminal to {thing}: {case.say.clearance(distance)}, needs {wanted} for "
        f"{case.say.heat_rate(case.heater.input_kw)}, {kind}.",
        numbers=(("distance_m", distance, "m"), ("needed_m", needed.distance_m, "m"),
                 ("input_kw", case.heater.input_kw, "kW")),
        remedy="Find another place for the terminal.",
        lifts=f"a place for the vent terminal {wanted}",
    )  # fmt: skip


rule(
    "vent-terminal", "venting", where=Where.US, severity=Severity.STOP,
    applies_to="power-vented and direct-vent heaters", when=_needs_terminal,
    trigger="direct vent nearer to an opening than 6 in (to 10 000 Btu/h), 9 in (to 50 000) or "
    "12 in (above; from 2018 by the instructions above 150 000); power vent 4 ft unless 12 in "
    "above it; fan-driven inlet 10 ft unless 3 ft above it; ground 12 in; power vent 7 ft above a "
    "public walk",
    source="NFPA 54 and IFGC 503.8; 2018 IRC table G2427.8", edition="2018", status=Status.SEEN,
)(_terminal)  # fmt: skip

rule(
    "vent-terminal-canada", "venting", where=Where.CANADA, severity=Severity.STOP,
    applies_to="power-vented and direct-vent heaters", when=_needs_terminal,
    trigger="opening nearer than 6 in (to 10 000 Btu/h), 12 in (to 100 000) or 36 in (above); "
    "fan-driven inlet 6 ft; gas regulator 3 ft; ground 12 in; public walk 7 ft",
    source="CSA B149.1 8.14.8", edition="as quoted, 2005 to 2015", status=Status.SEEN,
)(_terminal)  # fmt: skip


@rule(
    "vent-terminal-instructions", "venting", where=Where.US, severity=Severity.NOTE,
    applies_to="direct-vent heaters above 150 000 Btu/h",
    when=lambda case: case.heater.vent_type is VentType.DIRECT_VENT
    and terminal_clearance("window", case.heater, case.place.country, case.place.code_year)
    is None,
    trigger="always: the code's table ends there",
    source="2018 IRC table G2427.8", edition="2018", status=Status.MEMORY,
)  # fmt: skip
def _terminal_instructions(case: Case) -> Iterator[Finding | Ask]:
    yield Finding(
        says="How far this large heater's vent must end from doors and windows stands in its "
        "instructions. We have checked the 12 inches of older codes only.",
        trade=f"{case.say.heat_rate(case.heater.input_kw)} direct vent: from 2018 the code's table "
        "ends at 150,000 Btu/h; read the instructions.",
        numbers=(("input_kw", case.heater.input_kw, "kW"),),
        remedy="Read the vent clearances in the heater's instructions.",
    )


@rule(
    "altitude", "venting", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="heaters that burn fuel", when=lambda case: case.burns_fuel,
    trigger="above 2000 ft (610 m)",
    source="NFPA 54 to 2015, two readings; CSA B149.1 as quoted in appliance instructions",
    edition="2015", status=Status.SEEN,
)  # fmt: skip
def _altitude(case: Case) -> Iterator[Finding | Ask]:
    elevation = case.facts.elevation_m
    if elevation is None:
        yield Ask("place.elevation", "how much a burner loses in thin air")
        return
    if elevation <= DERATE_ABOVE_M:
        return
    country, reading = case.place.country, case.place.altitude_reading
    loss = altitude_derate_frac(elevation, country, reading)
    counted = "by the Canadian band of 10 %"
    if case.in_canada and elevation > CANADA_ASK_ABOVE_M + 0.5:
        counted = (
            "an estimate of 4 % per 1000 ft: above 4500 ft no Canadian figure holds, and the "
            "authority decides"
        )
    if not case.in_canada:
        sea, above = AltitudeReading.SEA_LEVEL, AltitudeReading.ABOVE_2000_FT
        other = above if reading is sea else sea
        counted = (
            f"4 % per 1000 ft {_COUNTED[reading]}; {_COUNTED[other]} it is "
            f"{altitude_derate_frac(elevation, country, other):.0%}"
        )
    yield Finding(
        says=f"At {case.say.length(elevation)} the air is thin, and a burner without a "
        f"high-altitude rating gives about {loss:.0%} less heat. We have counted that in.",
        trade=f"Derate {loss:.1%} at {case.say.length(elevation)} ({counted}). The listing's "
        "high-altitude instructions and kit come first.",
        numbers=(("elevation_m", elevation, "m"), ("derate_frac", loss, "")),
        remedy="Ask for the high-altitude kit or rating of the heater.",
    )
