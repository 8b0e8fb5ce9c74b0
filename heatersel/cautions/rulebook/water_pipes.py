"""Rules on the pipes at the heater and the water in them."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.placement import HARD_MG_PER_L, hardness_class, scale_loss_frac
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.job.models import HeaterLocation
from heatersel.simulation.hard_water import descaling_interval_months


@rule(
    "vacuum-relief", "relief valve", where=Where.US, severity=Severity.MUST,
    applies_to="tanks", when=lambda case: case.is_tank,
    trigger="a tank above the fixtures or fed at the bottom, without a vacuum relief valve",
    source="IPC 504.1 and 504.2; UPC 608.7", edition="2018", status=Status.MEMORY,
)  # fmt: skip
def _vacuum_relief(case: Case) -> Iterator[Finding | Ask]:
    above = case.site.above_fixtures
    if case.home.heater_location is HeaterLocation.ATTIC:
        above = True
    if above is None:
        yield Ask("home.site.above_fixtures", "whether the tank could be siphoned empty")
    elif above and not case.site.vacuum_relief:
        if case.site.vacuum_relief is None:
            yield Ask("home.site.vacuum_relief", "whether the tank could be siphoned empty")
        yield Finding(
            says="The tank stands above your taps. If the street loses pressure it could be sucked "
            "empty and burn out. A small valve on the cold pipe prevents that.",
            trade="Tank above fixtures or bottom-fed: vacuum relief valve to CSA/ANSI Z21.22 on "
            "the cold supply above the tank.",
            remedy="Fit a vacuum relief valve.",
            remedy_ids=("vacuum_relief",),
        )


@rule(
    "shutoff-valve", "water pipes", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater", when=lambda case: True,
    trigger="no working shutoff on the cold line", source="IPC 606.2, UPC 606.2",
    edition="2018", status=Status.MEMORY,
)  # fmt: skip
def _shutoff(case: Case) -> Iterator[Finding | Ask]:
    if case.site.shutoff_valve is None:
        yield Ask("home.site.shutoff_valve", "whether a leak can be stopped at the heater")
    elif not case.site.shutoff_valve:
        yield Finding(
            says="There is no working valve to shut the water off at the heater. One is fitted, "
            "so that a leak can be stopped at once.",
            trade="Full-way shutoff on the cold supply at the heater.",
            remedy="Fit a shutoff valve.",
            remedy_ids=("shutoff_valve",),
        )


@rule(
    "bonding", "water pipes", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="every heater", when=lambda case: True,
    trigger="hot and cold metal pipe not bonded across the heater, or steel joined to copper",
    source="NEC 250.104(A), (B); CEC 10-700; dielectric isolation is common practice",
    edition="NEC 2023", status=Status.MEMORY,
)  # fmt: skip
def _bonding(case: Case) -> Iterator[Finding | Ask]:
    if case.site.bonding_jumper is None:
        yield Ask("home.site.bonding_jumper", "whether a fault could make a pipe live")
    if case.site.galvanized_pipe is None:
        yield Ask("home.site.galvanized_pipe", "whether steel and copper meet at the heater")
    if case.site.bonding_jumper is False or case.site.galvanized_pipe:
        yield Finding(
            says="The metal pipes at the heater need a bonding wire, so that an electrical fault "
            "cannot make a tap live, and steel must be kept apart from copper or it rusts.",
            trade="Bond hot, cold and gas piping across the heater; isolate steel from copper "
            "with dielectric fittings, keeping the bond.",
            remedy="Bond the pipes, and isolate steel from copper.",
            remedy_ids=("bonding_jumper",),
        )


@rule(
    "hardness", "scale", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="every heater", when=lambda case: True,
    trigger="hardness above 120 mg/L (7 grain/gal)",
    source="USGS hardness classes; laboratory study for the water-quality trade (2009), an upper "
    "guide", edition="", status=Status.SEEN,
)  # fmt: skip
def _hardness(case: Case) -> Iterator[Finding | Ask]:
    hardness = case.home.hardness_mg_per_l
    if hardness is None:
        yield Ask("home.hardness", "how much upkeep scale will ask for")
        return
    if hardness <= HARD_MG_PER_L:
        return
    daily_l = case.facts.daily_hot_l or 190.0
    loss = scale_loss_frac(hardness, daily_l)
    tankless, units = case.heater.is_tankless, case.heater.units
    months = descaling_interval_months(hardness, daily_l / units, case.setpoint_c)
    often = f"about every {months:.0f} months"
    upkeep = (
        f"A tankless heater is then flushed with vinegar {often}."
        if tankless
        else "Drain the tank once a year and look at its anode every few years."
    )
    yield Finding(
        says=f"Your water is {hardness_class(hardness).value}: {case.say.hardness(hardness)}. "
        f"Scale settles in the heater and makes it work harder. {upkeep}",
        trade=f"Hardness {case.say.hardness(hardness)}. Upper guide for a gas tank over 15 years: "
        f"{loss:.0%} of efficiency. Tankless: descale {often} (rule of thumb; "
        "its manual governs); softened water wears anodes faster.",
        numbers=(("hardness_mg_per_l", hardness, "mg/L"), ("scale_loss_frac", loss, "")),
        remedy=f"Descale {often}." if tankless else "Flush yearly.",
    )


@rule(
    "descaling-valves", "scale", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="tankless heaters", when=lambda case: case.heater.is_tankless,
    trigger="hardness above 120 mg/L (7 grain/gal)",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _descaling_valves(case: Case) -> Iterator[Finding | Ask]:
    hardness = case.home.hardness_mg_per_l
    if hardness is None:
        yield Ask("home.hardness", "whether scale has to be flushed out of it")
        return
    if hardness <= HARD_MG_PER_L:
        return
    yield Finding(
        says="In hard water a tankless heater must be flushed again and again. Two service valves "
        "with hose ports make that possible without taking it apart.",
        trade=f"Hardness {case.say.hardness(hardness)}: full-port isolation valves with drain "
        "ports on cold and hot, and the relief valve on the heater's side of them.",
        numbers=(("hardness_mg_per_l", hardness, "mg/L"),),
        remedy="Fit service valves for descaling.",
        remedy_ids=("isolation_valves",),
    )
