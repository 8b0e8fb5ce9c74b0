"""Rules on circuits, panel spaces and the electrical service."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from heatersel.cautions.case import Case
from heatersel.cautions.caution import Severity, Status
from heatersel.cautions.electrical import (
    Circuit,
    has_no_240v,
    power_at_supply_kw,
    tank_circuit,
    tankless_circuits,
    wire_awg_for,
)
from heatersel.cautions.registry import Ask, Finding, Where, rule
from heatersel.cautions.service_load import (
    canadian_load_a,
    canadian_share_of_added_load,
    measured_load_a,
    optional_load_a,
    us_share_of_added_load,
)
from heatersel.heaters.heater import EnergySource, HeaterClass, Kind

_NOMINAL_V = 240.0
_USUAL_SERVICE_A = 200.0  # largest service a dwelling usually gets; common practice, no source


def _plugs_in(case: Case) -> bool:
    return case.heater.heater_class is HeaterClass.HEAT_PUMP_120V


def _is_hardwired(case: Case) -> bool:
    return case.is_electric and not _plugs_in(case) and _power_kw(case) > 0.0


def _power_kw(case: Case) -> float:
    """Return the nameplate of all units together: elements, or a compressor without any. [kW]"""
    return max(case.heater.input_kw, case.heater.compressor_input_kw)


def _circuit(case: Case) -> Circuit:
    """Return the circuit of one unit."""
    volts = case.heater.voltage_v or _NOMINAL_V
    power = _power_kw(case) / case.heater.units
    if case.heater.is_tankless:
        return tankless_circuits(power, volts)
    return tank_circuit(power, volts)


def _usual_breaker_a(case: Case, needed: Circuit) -> float:
    """Return the data sheet's breaker where it lies within the code's span, else the smallest."""
    listed = case.heater.breaker_a
    fits = needed.breaker_min_a <= listed <= needed.breaker_max_a
    return listed if fits else float(needed.breaker_min_a)


def _heavy_circuits_there(case: Case) -> int | None:
    """Return how many circuits a present electric tankless heater has; None if nobody knows."""
    existing = case.job.existing
    its_like = (
        existing is not None
        and existing.kind is Kind.TANKLESS
        and existing.energy_source is EnergySource.ELECTRICITY
    )
    if existing is None or not its_like or case.panel.heater_breaker_a == 0.0:
        return 0
    return None if existing.input_kw is None else tankless_circuits(existing.input_kw).count


def _heavy_circuits_serve(case: Case, each: Circuit, count: int, there: int | None) -> bool:
    """Return whether nothing known speaks against the present circuits."""
    breaker, wire = case.panel.heater_breaker_a, case.panel.heater_wire_awg
    if there is not None and there < count:
        return False
    if breaker is not None and not each.breaker_min_a <= breaker <= each.breaker_max_a:
        return False
    return wire is None or each.wire_awg is None or wire <= each.wire_awg


def _has_no_circuit(case: Case) -> bool | None:
    """Return whether there is no circuit to reuse; None if nobody knows."""
    breaker = case.panel.heater_breaker_a
    if breaker is not None:
        return breaker == 0.0
    existing = case.job.existing
    if existing is not None and existing.energy_source is not EnergySource.ELECTRICITY:
        return True
    return None


def _new_circuit(case: Case, why: str, needed: Circuit) -> Finding:
    breaker = _usual_breaker_a(case, needed)
    awg = wire_awg_for(breaker)
    span = " to ".join(dict.fromkeys((str(needed.breaker_min_a), str(needed.breaker_max_a))))
    return Finding(
        says=f"This heater needs its own 240-volt circuit with a {breaker:.0f}-amp breaker. {why} "
        "An electrician runs it.",
        trade=f"{_power_kw(case):.1f} kW, {needed.amps:.1f} A: circuit at least 125 %, breaker "
        f"{span} A; {breaker:.0f} A on "
        f"{f'{awg} AWG copper' if awg else 'a conductor above 1 AWG'} (60 °C). Disconnect in sight "
        "or lockable.",
        numbers=(
            ("heater_a", needed.amps, "A"), ("breaker_min_a", float(needed.breaker_min_a), "A"),
            ("breaker_max_a", float(needed.breaker_max_a), "A"),
        ),
        remedy="Run a new circuit to the heater.",
        remedy_ids=("new_circuit_240v",),
    )  # fmt: skip


def _other_breaker(case: Case, why: str, needed: Circuit) -> Finding:
    breaker = _usual_breaker_a(case, needed)
    return Finding(
        says=f"{why} Its wire is thick enough for this heater, so an electrician changes the "
        f"breaker to {breaker:.0f} amps and leaves the wire.",
        trade=f"{_power_kw(case):.1f} kW, {needed.amps:.1f} A: breaker {breaker:.0f} A on the "
        f"present {case.panel.heater_wire_awg} AWG; check the wire's kind, length and condition.",
        numbers=(
            ("heater_a", needed.amps, "A"), ("breaker_min_a", float(needed.breaker_min_a), "A"),
            ("breaker_max_a", float(needed.breaker_max_a), "A"),
        ),
        remedy="Change the breaker.",
        remedy_ids=("breaker_change",),
    )  # fmt: skip


def _tank(case: Case) -> Iterator[Finding | Ask]:
    needed, panel = _circuit(case), case.panel
    none = _has_no_circuit(case)
    if none:
        yield _new_circuit(case, "There is none now.", needed)
        return
    if none is None:
        yield Ask("home.panel.heater_breaker", "whether the present circuit carries this heater")
    if panel.heater_wire_awg is None:
        yield Ask("home.panel.heater_wire", "whether the present circuit carries this heater")
    breaker, wire = panel.heater_breaker_a, panel.heater_wire_awg
    if breaker is None:
        return
    small = breaker < needed.breaker_min_a
    large = breaker > needed.breaker_max_a and not case.in_canada  # no such ceiling known there
    if small or large:
        size = "small" if small else "large"
        why = f"The present {breaker:.0f}-amp breaker is too {size}."
        carries = wire_awg_for(_usual_breaker_a(case, needed))
        if wire is not None and carries is not None and wire <= carries:
            yield _other_breaker(case, why, needed)
        else:
            yield _new_circuit(case, why, needed)
        return
    needs_wire = wire_awg_for(breaker)
    if wire is not None and (needs_wire is None or wire > needs_wire):
        yield _new_circuit(case, "The present wire is too thin for its breaker.", needed)


rule(
    "circuit-tank", "electrical", where=Where.US, severity=Severity.MUST,
    applies_to="electric tanks and 240 V heat pumps",
    when=lambda case: _is_hardwired(case) and case.is_tank,
    trigger="no circuit, breaker below 125 % of the nameplate or above the next size over 150 %, "
    "or wire thinner than the breaker asks",
    source="NEC 422.13 and 422.11(E)(3) (seen); 310.16 (memory)", edition="2014 to 2023",
    status=Status.SEEN,
)(_tank)  # fmt: skip

rule(
    "circuit-tank-canada", "electrical", where=Where.CANADA, severity=Severity.MUST,
    applies_to="electric tanks and 240 V heat pumps",
    when=lambda case: _is_hardwired(case) and case.is_tank,
    trigger="no circuit, or a breaker loaded above 80 %", source="CEC 8-104", edition="2021",
    status=Status.MEMORY,
)(_tank)  # fmt: skip


@rule(
    "circuit-tankless", "electrical", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="electric tankless",
    when=lambda case: case.heater.heater_class is HeaterClass.TANKLESS_ELECTRIC,
    trigger="no electric tankless heater there now, or one with fewer circuits, another breaker or "
    "thinner wire than this one takes",
    source="usual nameplate arrangements; the listing governs", edition="", status=Status.MEMORY,
)  # fmt: skip
def _tankless(case: Case) -> Iterator[Finding | Ask]:
    one, units = _circuit(case), case.heater.units
    count, amps = one.count * units, one.amps * units
    there = _heavy_circuits_there(case)
    if there != 0:
        why = "whether the present circuits carry this heater"
        for field, known in (
            ("existing.input", there),
            ("home.panel.heater_breaker", case.panel.heater_breaker_a),
            ("home.panel.heater_wire", case.panel.heater_wire_awg),
        ):
            if known is None:
                yield Ask(field, why)
        if _heavy_circuits_serve(case, one, count, there):
            return
    yield Finding(
        says=f"This heater draws {amps:.0f} amps, more than a whole kitchen. An electrician runs "
        f"{count} heavy circuit{'s' if count > 1 else ''} for it alone.",
        trade=f"{_power_kw(case):.0f} kW, {amps:.1f} A at 240 V: usually {count} x "
        f"{one.breaker_min_a} A on {one.wire}; follow the listing. Above 80 % of a "
        "breaker the listing must allow it.",
        numbers=(("heater_a", amps, "A"), ("circuits", float(count), ""),
                 ("breaker_each_a", float(one.breaker_min_a), "A")),
        remedy="Have an electrician run the heavy circuits.",
        remedy_ids=("tankless_electric_circuits",),
    )  # fmt: skip


def _poles_needed(case: Case) -> int:
    if not _is_hardwired(case):
        return 0
    one = _circuit(case)
    if case.heater.is_tankless:
        count, there = one.count * case.heater.units, _heavy_circuits_there(case)
        if there == 0 and _has_no_circuit(case) is False:
            there = 1  # a tank's breaker makes room for one of the new ones
        return 0 if there is None else 2 * max(0, count - there)
    return 2 if _has_no_circuit(case) is not False else 0


@rule(
    "panel-spaces", "electrical", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="electric heaters on new circuits", when=lambda case: _poles_needed(case) > 0,
    trigger="fewer free breaker spaces than the new circuits take",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _spaces(case: Case) -> Iterator[Finding | Ask]:
    spare, needed = case.panel.spare_poles, _poles_needed(case)
    if spare is None:
        yield Ask("home.panel.spare_poles", "whether the breakers of this heater fit in the panel")
    elif spare < needed:
        yield Finding(
            says=f"The breakers of this heater take {needed} spaces in your panel, and {spare} "
            "are free. An electrician makes room or adds a small panel.",
            trade=f"{needed} poles needed, {spare} spare: tandem breakers where listed, or a "
            "subpanel.",
            numbers=(("poles_needed", float(needed), ""), ("poles_spare", float(spare), "")),
            remedy="Add a subpanel.",
            remedy_ids=("subpanel",),
        )


def _volts(case: Case) -> float:
    """Return the voltage that the heater will have. [V]"""
    line = case.panel.line_v
    return _NOMINAL_V if line is None or has_no_240v(line) else float(line)


def _load_span_a(case: Case) -> tuple[float, float, str] | None:
    """Return least and most service load with the heater, and by which reckoning; None: unknown."""
    panel, heater_w = case.panel, 1000.0 * _power_kw(case)
    volts = _volts(case)
    heater_a = heater_w / volts
    if panel.loads is not None:
        if case.in_canada:
            tankless = case.heater.is_tankless
            load = canadian_load_a(panel.loads, heater_w, is_tankless=tankless, volts=volts)
            return load, load, "CEC 8-200"
        load = optional_load_a(panel.loads, heater_w, case.place.electrical_year, volts)
        return load, load, "NEC 220.83"
    if panel.measured_peak_a is not None and not case.in_canada:
        load = measured_load_a(panel.measured_peak_a, heater_a, is_storage=case.is_tank)
        return load, load, "NEC 220.87"
    if panel.calculated_load_a is None:
        return None
    shares = (
        canadian_share_of_added_load(is_tankless=case.heater.is_tankless)
        if case.in_canada
        else us_share_of_added_load()
    )
    least, most = (panel.calculated_load_a + share * heater_a for share in shares)
    return least, most, "the calculated load given, plus this heater"


def _service(case: Case) -> Iterator[Finding | Ask]:
    service, span = case.panel.service_a, _load_span_a(case)
    if service is None:
        yield Ask("home.panel.service", "whether the house has the power for this heater")
    if span is None:
        yield Ask("home.panel.calculated_load", "whether the house has the power for this heater")
        yield Ask("home.panel.measured_peak", "whether the house has the power for this heater")
    if service is None or span is None:
        return
    least, most, how = span
    if most > service >= least:
        yield Ask("home.panel.loads", "whether the house has the power for this heater")
    if least <= service or case.panel.energy_management:
        return
    yield Finding(
        says=f"With this heater your house could draw {least:.0f} amps, and its service is good "
        f"for {service:.0f}. An electrician, with the utility, enlarges the service, or fits a "
        "control that keeps the heater off while other big loads run.",
        trade=f"Service load {least:.1f} A by {how}, service {service:.0f} A. Larger service, a "
        "listed energy-management system, or another heater. A load sum is not a panel approval.",
        numbers=(("load_a", least, "A"), ("service_a", service, "A")),
        remedy="Enlarge the service, or add load management.",
        remedy_ids=("panel_upgrade",),
    )


rule(
    "service-load", "electrical", where=Where.US, severity=Severity.MUST,
    applies_to="electric heaters on 240 V", when=_is_hardwired,
    trigger="service load with the heater above the service: optional method, measured peak, or "
    "a given load plus 40 % of the heater at least",
    source="NEC 220.83 and 220.87 (article 120 from 2026)", edition="2023", status=Status.SEEN,
)(_service)  # fmt: skip

rule(
    "service-load-canada", "electrical", where=Where.CANADA, severity=Severity.MUST,
    applies_to="electric heaters on 240 V", when=_is_hardwired,
    trigger="calculated load with the heater above the service",
    source="CEC Part I, 8-200; energy management 8-500", edition="2021", status=Status.SEEN,
)(_service)  # fmt: skip


@rule(
    "service-beyond", "electrical", where=Where.EVERYWHERE, severity=Severity.STOP,
    applies_to="electric heaters on 240 V", when=_is_hardwired,
    trigger="the heater alone, or the service load with it, above 200 A and above the service",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _beyond(case: Case) -> Iterator[Finding | Ask]:
    service, span = case.panel.service_a, _load_span_a(case)
    heater_a = 1000.0 * _power_kw(case) / _volts(case)
    reach = max(_USUAL_SERVICE_A, service or 0.0)
    load = max(heater_a, span[0] if span else 0.0)
    if load <= reach:
        return
    if service is None:
        yield Ask("home.panel.service", "whether the house has the power for this heater")
    whole = "With this heater the house" if load > heater_a else "This heater alone"
    yield Finding(
        says=f"{whole} could draw {load:.0f} amps. Houses are usually supplied with up to "
        f"{_USUAL_SERVICE_A:.0f}, so the main breaker would trip, and a larger panel does not "
        "mend that.",
        trade=f"Heater {heater_a:.0f} A at full power"
        + (f", service load {span[0]:.0f} A by {span[2]}" if span else "")
        + f"; a service above {_USUAL_SERVICE_A:.0f} A is a special order with the utility.",
        numbers=(("load_a", load, "A"), ("heater_a", heater_a, "A"), ("reach_a", reach, "A")),
        remedy="Choose a smaller heater, a tank or a heat pump.",
        lifts=f"a service of {load:.0f} A or more from the utility, or a smaller heater",
    )


@rule(
    "service-load-unclear", "electrical", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="electric heaters on 240 V", when=_is_hardwired,
    trigger="the service carries the heater only if most of it may be discounted",
    source="NEC 220.83; CEC 8-200", edition="2023; 2021", status=Status.SEEN,
)  # fmt: skip
def _unclear(case: Case) -> Iterator[Finding | Ask]:
    service, span = case.panel.service_a, _load_span_a(case)
    if service is None or span is None or not span[0] <= service < span[1]:
        return
    yield Finding(
        says="Your electrical service may just carry this heater, or may not. An electrician adds "
        "up the house's loads before the price is firm.",
        trade=f"{span[0]:.0f} A with the heater's share discounted, {span[1]:.0f} A in full; "
        f"service {service:.0f} A. Full load calculation needed.",
        numbers=(("load_least_a", span[0], "A"), ("load_most_a", span[1], "A"),
                 ("service_a", service, "A")),
        remedy="Have the house's loads added up.",
    )  # fmt: skip


@rule(
    "supply-too-low", "electrical", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="electric heaters on 240 V", when=_is_hardwired,
    trigger="supply below 80 % of the heater's voltage: the house has no 240 V",
    source="common practice, no source", edition="", status=Status.PRACTICE,
)  # fmt: skip
def _supply_too_low(case: Case) -> Iterator[Finding | Ask]:
    line, rated_v = case.panel.line_v, case.heater.voltage_v or _NOMINAL_V
    if line is None or not has_no_240v(line):
        return  # supply-208 asks
    yield Finding(
        says=f"Your house is supplied with {line} volts only, and this heater is made for "
        f"{rated_v:.0f}. An electrician, with the utility, brings in a larger service first.",
        trade=f"{line} V supply: a three-wire 120/240 V service before any {rated_v:.0f} V heater.",
        numbers=(("supply_v", float(line), "V"), ("rated_v", rated_v, "V")),
        remedy="Bring in a 240 V service.",
        remedy_ids=("panel_upgrade",),
    )


@rule(
    "supply-208", "electrical", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="electric heaters on 240 V", when=_is_hardwired, trigger="supply of 208 V",
    source="Ohm's law", edition="", status=Status.COMPUTED,
)  # fmt: skip
def _supply_208(case: Case) -> Iterator[Finding | Ask]:
    line = case.panel.line_v
    if line is None:
        yield Ask("home.panel.line_voltage", "how much of its power this heater gives here")
        return
    rated_v = case.heater.voltage_v or _NOMINAL_V
    if line >= 0.95 * rated_v or has_no_240v(line):
        return
    power = _power_kw(case)
    left = power_at_supply_kw(power, rated_v, float(line))
    yield Finding(
        says=f"Your building supplies {line} volts, not {rated_v:.0f}. The heater then gives "
        f"about {left / power:.0%} of its power and takes longer to warm up.",
        trade=f"{power:.1f} kW at {rated_v:.0f} V gives {left:.2f} kW and {1000 * left / line:.1f} "
        f"A at {line} V. Order elements for the supply.",
        numbers=(("power_kw", left, "kW"), ("share", left / power, "")),
        remedy="Order the heater for this voltage.",
    )


@rule(
    "outlet", "electrical", where=Where.EVERYWHERE, severity=Severity.MUST,
    applies_to="plug-in heat pumps, and burners with a fan or electronics",
    when=lambda case: _plugs_in(case) or (case.burns_fuel and case.heater.aux_running_w > 0.0),
    trigger="no grounded 120 V outlet within reach",
    source="appliance instructions; NEC 210.8(A) for ground-fault protection", edition="2023",
    status=Status.MEMORY,
)  # fmt: skip
def _outlet(case: Case) -> Iterator[Finding | Ask]:
    if case.panel.outlet_120v is None:
        yield Ask("home.panel.outlet_120v", "whether the heater can be plugged in")
    elif not case.panel.outlet_120v:
        amps = ceil(case.heater.breaker_a) or 15
        yield Finding(
            says="This heater has a plug, and there is no outlet within reach. An electrician "
            "adds one.",
            trade=f"120 V, {amps} A grounded outlet within cord reach; ground-fault protected in "
            "garage or basement. A shared circuit only if the listing allows it.",
            remedy="Add an outlet at the heater.",
            remedy_ids=("outlet_120v",),
        )


@rule(
    "disconnect", "electrical", where=Where.EVERYWHERE, severity=Severity.NOTE,
    applies_to="electric heaters on 240 V", when=_is_hardwired, trigger="always",
    source="NEC 422.31(B)", edition="2023", status=Status.SEEN,
)  # fmt: skip
def _disconnect(case: Case) -> Iterator[Finding | Ask]:
    yield Finding(
        says="Whoever repairs this heater must be able to switch it off and see that it stays "
        "off: a switch beside it, or a breaker that can be locked.",
        trade="Disconnect within sight, or a breaker lockable in the open position.",
        remedy="Fit a breaker lock or a switch.",
    )
