"""Rules on gas pipe, meter and regulator."""

from __future__ import annotations

from collections.abc import Iterator

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.gas_pipe import ALLOWED_DROP_KPA, PipeCheck, SegmentCheck, check_gas_pipe
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.cautions.words import factor
from heatersel.heaters.heater import EnergySource
from heatersel.job.site import GasMaterial

_METER_RISE_KW = 14.6536  # 50 000 Btu/h more than before: ask the supplier; common practice
_EQUATION_UP_TO_KPA = 10.342  # 1.5 psi: the low-pressure equation of IFGC 402.4 ends (seen)
_VALVE_UP_TO_KPA = 3.487  # 14 in of water, what gas valves of appliances stand; common practice
_VALVE_FROM_KPA = {EnergySource.NATURAL_GAS: 1.245, EnergySource.PROPANE: 2.491}
"""5 and 10 in of water, what heaters usually ask for at least; common practice, the nameplate
decides. [kPa]"""


def _gas_is_here(case: Case) -> bool:
    return case.burns_gas and case.heater.energy_source in case.job.fuels


def _checked(case: Case) -> PipeCheck | None:
    other_kw = case.home.other_gas_input_kw or 0.0
    return check_gas_pipe(case.gas_pipe, case.heater.energy_source, case.heater.input_kw, other_kw)


def _ask_pipe(case: Case) -> Iterator[Ask]:
    why = "whether the gas pipe feeds this heater with everything else burning"
    pipe = case.gas_pipe
    if pipe.segments:
        if _named_less(case):
            yield Ask("home.other_gas_input", "the pipe's segments name less than that")
        return
    if pipe.size is None:
        yield Ask("home.gas_pipe.size", why)
    if not pipe.length_m:
        yield Ask("home.gas_pipe.length", why)
    if "material" not in pipe.model_fields_set:
        yield Ask("home.gas_pipe.material", why)
    if pipe.dedicated is None:
        yield Ask("home.gas_pipe.dedicated", why)
    if case.home.other_gas_input_kw is None and not pipe.dedicated:
        yield Ask("home.other_gas_input", why)


def _named_less(case: Case) -> bool:
    """Return whether a tree names fewer loads than the house is said to have."""
    named_kw = sum(segment.load_kw for segment in case.gas_pipe.segments)
    return named_kw < (case.home.other_gas_input_kw or 0.0) - 1e-6


def _in_words(case: Case, segment: SegmentCheck) -> str:
    needed = segment.smallest_size.value if segment.smallest_size else "more than 2 in"
    carries = case.say.heat_rate(segment.capacity_kw or 0.0)
    flow = case.say.heat_rate(segment.flow_kw)
    return f"{segment.name} ({segment.size.value}) carries {carries}, flow {flow}, needs {needed}"


def _pipe(case: Case) -> Iterator[Finding | Ask]:
    yield from _ask_pipe(case)
    check = _checked(case)
    if check is None or (case.gas_pipe.supply_kpa or 0.0) >= _EQUATION_UP_TO_KPA:
        return
    if check.unknown:
        yield from _flexible_tube(case, check)
    if not check.short:
        return
    worst = max(check.short, key=lambda segment: segment.flow_kw / (segment.capacity_kw or 1.0))
    size = worst.smallest_size.value if worst.smallest_size else "a size beyond 2 in"
    lines = "; ".join(_in_words(case, segment) for segment in check.short)
    drop = ""
    if check.drop_kpa is not None:
        drop = (
            f" Drop to the heater {check.drop_kpa * factor('kPa', 'inWC'):.2f} in of water, "
            f"{ALLOWED_DROP_KPA * factor('kPa', 'inWC'):.1f} in allowed."
        )
    authority = " The tables of CSA B149.1 decide." if case.in_canada else (
        " All appliances are counted; the adopted table decides."
    )  # fmt: skip
    yield Finding(
        says=f"Your gas pipe ({worst.size.value}) is too small for this heater when everything "
        f"burns at once: flames starve and go out. It needs {size}.",
        trade=f"Longest run {case.say.length(check.longest_m)} with fittings. {lines}.{drop}"
        + authority,
        numbers=(
            ("flow_kw", worst.flow_kw, "kW"), ("capacity_kw", worst.capacity_kw or 0.0, "kW"),
            ("longest_run_m", check.longest_m, "m"),
            ("drop_kpa", check.drop_kpa or 0.0, "kPa"),
        ),
        remedy=f"Replace the gas pipe that is too small with {size}.",
        remedy_ids=("gas_line_upsize",),
    )  # fmt: skip


def _flexible_tube(case: Case, check: PipeCheck) -> Iterator[Finding | Ask]:
    """Judge flexible tube by what its maker lists, since no public table holds for all."""
    listed_kw = case.gas_pipe.listed_capacity_kw
    if listed_kw is None:
        yield Ask("home.gas_pipe.listed_capacity", "whether the flexible tube feeds this heater")
        return
    worst = max(check.unknown, key=lambda segment: segment.flow_kw)
    if worst.flow_kw <= listed_kw + 1e-6:
        return
    yield Finding(
        says="Your flexible gas tube is too small for this heater when everything burns at once: "
        "flames starve and go out. A larger one is part of the job.",
        trade=f"{worst.name} ({worst.size.value}): flow {case.say.heat_rate(worst.flow_kw)}, its "
        f"maker lists {case.say.heat_rate(listed_kw)} at this length.",
        numbers=(("flow_kw", worst.flow_kw, "kW"), ("capacity_kw", listed_kw, "kW")),
        remedy="Replace the flexible tube with a larger one.",
        remedy_ids=("gas_line_upsize",),
    )


rule(
    "gas-pipe", "gas line", where=Where.US, severity=Severity.MUST, applies_to="gas heaters",
    when=_gas_is_here,
    trigger="flow of all appliances above the pipe's capacity over the longest run at a drop of "
    "0.5 in of water",
    source="IFGC 402.4 and NFPA 54 low-pressure equation; 2018 IRC table G2413.4 factors; "
    "flexible propane tube: table G2413.4(16)", edition="2018", status=Status.SEEN,
)(_pipe)  # fmt: skip

rule(
    "gas-pipe-canada", "gas line", where=Where.CANADA, severity=Severity.MUST,
    applies_to="gas heaters", when=_gas_is_here,
    trigger="as gas-pipe, an estimate from pipe flow; CSA B149.1 tables decide",
    source="low-pressure pipe-flow equation; CSA B149.1 annex A (memory)", edition="2020",
    status=Status.MEMORY,
)(_pipe)  # fmt: skip


@rule(
    "gas-pressure", "gas line", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="gas heaters", when=_gas_is_here,
    trigger="gas behind the meter above 14 in of water, or below 5 in (propane 10 in)",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _pressure(case: Case) -> Iterator[Finding | Ask]:
    supply = case.gas_pipe.supply_kpa
    least = _VALVE_FROM_KPA[case.heater.energy_source]
    if supply is None:
        yield Ask("home.gas_pipe.supply", "whether the gas has the pressure this heater asks for")
        return
    if least - 1e-3 <= supply <= _VALVE_UP_TO_KPA + 1e-3:
        return
    in_water = f"{supply * factor('kPa', 'inWC'):.1f} in of water"
    if supply < least:
        yield Finding(
            says="The gas arrives with too little pressure for this heater: its flame would be "
            "weak or go out. The gas supplier puts that right first.",
            trade=f"Supply {in_water}, at least {least * factor('kPa', 'inWC'):.0f} wanted before "
            "the drop of the pipe; the nameplate decides.",
            numbers=(("supply_kpa", supply, "kPa"), ("least_kpa", least, "kPa")),
            remedy="Have the supplier set the regulator.",
        )
        return
    sized = " The pipe is then sized by the tables for that pressure, not here." * (
        supply >= _EQUATION_UP_TO_KPA
    )
    yield Finding(
        says="The gas in your pipes has more pressure than a heater's valve stands. A regulator "
        "stands before the heater, and the gas fitter checks that it is there and set.",
        trade=f"Supply {in_water} over {_VALVE_UP_TO_KPA * factor('kPa', 'inWC'):.0f}: line "
        f"regulator at the appliance, vented as listed.{sized}",
        numbers=(("supply_kpa", supply, "kPa"), ("most_kpa", _VALVE_UP_TO_KPA, "kPa")),
        remedy="Fit or confirm a gas regulator at the heater.",
    )


@rule(
    "gas-meter", "gas line", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="gas heaters", when=_gas_is_here,
    trigger="all gas appliances together above the capacity of meter and regulator",
    source="supplier's meter rating; IFGC 402.2 and 410", edition="2018", status=Status.MEMORY,
)  # fmt: skip
def _meter(case: Case) -> Iterator[Finding | Ask]:
    capacity, other = case.gas_pipe.meter_capacity_kw, case.home.other_gas_input_kw
    why = "whether meter and regulator carry this heater with everything else that burns gas"
    check = _checked(case) if case.gas_pipe.segments else None
    if check is None and other is None:
        yield Ask("home.other_gas_input", why)
    if capacity is None:
        yield Ask("home.gas_pipe.meter_capacity", why)
        return
    beside_kw = max(check.total_kw - case.heater.input_kw if check else 0.0, other or 0.0)
    total = case.heater.input_kw + beside_kw
    if total <= capacity + 1e-6:
        return
    yield Finding(
        says="Your gas meter is too small for this heater together with everything else that "
        "burns gas. The gas supplier fits a larger one.",
        trade=f"Connected load {case.say.heat_rate(total)} over meter and regulator "
        f"{case.say.heat_rate(capacity)}: the supplier resizes both.",
        numbers=(("connected_kw", total, "kW"), ("meter_kw", capacity, "kW")),
        remedy="Have the supplier fit a larger meter and regulator.",
        remedy_ids=("gas_meter_upgrade",),
    )


@rule(
    "gas-meter-unknown", "gas line", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="gas heaters",
    when=lambda case: _gas_is_here(case) and case.gas_pipe.meter_capacity_kw is None,
    trigger="gas input grows by more than 50 000 Btu/h and the meter's capacity is not known",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _meter_unknown(case: Case) -> Iterator[Finding | Ask]:
    existing = case.job.existing
    same = existing is not None and existing.energy_source is case.heater.energy_source
    before = (existing.input_kw or 0.0) if existing is not None and same else 0.0
    rise = case.heater.input_kw - before
    if rise <= _METER_RISE_KW:
        return
    tank = " and the tank's rate" if case.heater.energy_source is EnergySource.PROPANE else ""
    yield Finding(
        says="This heater burns much more gas at once than the one you have. The gas supplier is "
        "asked whether meter and regulator can feed it.",
        trade=f"Input rises by {case.say.heat_rate(rise)}: confirm meter and regulator{tank} with "
        "the supplier.",
        numbers=(("input_rise_kw", rise, "kW"),),
        remedy="Ask the gas supplier.",
    )


@rule(
    "gas-flexible-tube-bond", "gas line", where=Where.US, severity=Severity.NOTE,
    applies_to="gas heaters",
    when=lambda case: _gas_is_here(case)
    and any(
        material is GasMaterial.CSST
        for material in (case.gas_pipe.material, *(s.material for s in case.gas_pipe.segments))
    ),
    trigger="flexible stainless gas tube", source="IFGC 310.2, NFPA 54 7.12.2, NEC 250.104(B)",
    edition="2018", status=Status.MEMORY,
)  # fmt: skip
def _tube_bond(case: Case) -> Iterator[Finding | Ask]:
    yield Finding(
        says="Flexible gas tube can be pierced by lightning unless it is bonded to the house's "
        "grounding wire. A licensed person checks the bond.",
        trade="Corrugated stainless tube (CSST): direct bond, 6 AWG copper or larger, at the first "
        "rigid fitting, unless listed arc-resistant.",
        remedy="Check the bond of the flexible gas tube.",
    )
