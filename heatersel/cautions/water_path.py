"""The way of the hot water through this house: from the street to the taps, device by device.

What stands there, what has to be added and what nobody has looked at yet are told apart; the
drawing of it is in :mod:`heatersel.cautions.water_path_svg`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from heatersel.cautions.case import Case
from heatersel.cautions.caution import CautionReport, SiteFacts
from heatersel.cautions.scald import delivered_temp_c
from heatersel.heaters.heater import Heater
from heatersel.job.models import Fixture, Job, Supply

__all__ = ["Part", "PathPart", "Standing", "WaterPath", "water_path"]


class Part(StrEnum):
    """What is drawn."""

    STREET = "street"
    METER = "meter"
    PRESSURE_TANK = "pressure_tank"
    BACKFLOW = "backflow"
    REGULATOR = "regulator"
    SHUTOFF = "shutoff"
    EXPANSION = "expansion"
    HEATER = "heater"
    RELIEF = "relief"
    TEMPERING = "tempering"
    FIXTURES = "fixtures"


class Standing(StrEnum):
    """How a device stands in this house."""

    THERE = "there"
    ADD = "to add"
    ASK = "to check"
    PLAIN = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PathPart:
    """One stop of the water.

    Parameters
    ----------
    part : Part
        What it is.
    name, says : str
        Its name, and what it does or measures here.
    standing : Standing
        Whether it is there.
    temp_c : float
        Temperature of the water that leaves it. [°C]
    """

    part: Part
    name: str
    says: str
    standing: Standing
    temp_c: float

    @property
    def sentence(self) -> str:
        """The stop as one sentence, for the text alternative."""
        mark = f" ({self.standing.value})" if self.standing is not Standing.PLAIN else ""
        return f"{self.name}{mark}: {self.says}"


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterPath:
    """The whole way.

    Parameters
    ----------
    title : str
        What the picture shows.
    heater : Heater
        The heater drawn.
    parts : tuple of PathPart
        In the order in which the water meets them; the relief valve follows its heater.
    """

    title: str
    heater: Heater
    parts: tuple[PathPart, ...]

    @property
    def alternative(self) -> str:
        """The picture in words."""
        return " ".join(part.sentence for part in self.parts)


def water_path(
    job: Job,
    heater: Heater,
    facts: SiteFacts,
    report: CautionReport,
    peak_hot_l_per_min: float | None = None,
) -> WaterPath:
    """Return the way of the hot water through a house with a heater.

    Parameters
    ----------
    job, heater, facts
        As for the rules.
    report : CautionReport
        What the rules said: its remedies are drawn as to add, its questions as to check.
    peak_hot_l_per_min : float or None
        Hot flow at the peak, shown at the heater. [L/min]

    Returns
    -------
    WaterPath
        Devices that are neither there, nor needed, nor in question are left out.
    """
    case = Case.of(job, heater, facts)
    found = _Finder(
        remedies={remedy for caution in report.cautions for remedy in caution.remedy_ids},
        asked={measure.field for measure in report.to_measure},
    )
    parts = (
        _street(case),
        _meter(case),
        *_cold_side(case, found),
        _heater(case, peak_hot_l_per_min),
        *_relief(case, found),
        *_tempering(case, found),
        _fixtures(case, found),
    )
    return WaterPath(
        title=f"The way of hot water through this house with {case.say.heater_name(heater.name)}",
        heater=heater, parts=parts,
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class _Finder:
    """Tells how a device stands from what is known, wanted and asked."""

    remedies: set[str]
    asked: set[str]

    def standing(self, present: bool | None, remedy: str, *fields: str) -> Standing:
        if present:
            return Standing.THERE
        if remedy in self.remedies:
            return Standing.ADD
        return Standing.ASK if self.asked & set(fields) else Standing.PLAIN


def _street(case: Case) -> PathPart:
    well = case.job.place.supply is Supply.WELL
    cold_c = case.facts.design_inlet_c
    return PathPart(
        part=Part.STREET, name="Your well" if well else "Street main",
        says=f"Water comes in at {case.say.temperature(cold_c)} on the coldest days.",
        standing=Standing.PLAIN, temp_c=cold_c,
    )  # fmt: skip


def _meter(case: Case) -> PathPart:
    pressure = case.home.static_pressure_kpa
    measured = "Pressure not measured yet."
    if pressure is not None:
        measured = f"House pressure {case.say.pressure(pressure)}."
    well = case.job.place.supply is Supply.WELL
    return PathPart(
        part=Part.PRESSURE_TANK if well else Part.METER,
        name="Pressure tank of the well" if well else "Water meter",
        says=f"{'Holds the pressure.' if well else 'Counts what comes in.'} {measured}",
        standing=Standing.PLAIN, temp_c=case.facts.design_inlet_c,
    )  # fmt: skip


def _cold_side(case: Case, found: _Finder) -> list[PathPart]:
    devices = (
        (Part.BACKFLOW, "Backflow preventer", "Lets water in and not back out.",
         found.standing(case.home.backflow_preventer, "", "home.backflow_preventer")),
        (Part.REGULATOR, "Pressure regulator", "Holds the pressure down.",
         found.standing(case.site.pressure_regulator, "pressure_reducing_valve",
                        "home.site.pressure_regulator", "home.static_pressure")),
        (Part.SHUTOFF, "Shutoff valve", "Stops the water if the heater leaks.",
         found.standing(case.site.shutoff_valve, "shutoff_valve", "home.site.shutoff_valve")),
        (Part.EXPANSION, "Expansion tank", "Takes up the water that grows when it warms.",
         found.standing(case.site.expansion_tank, "expansion_tank", "home.site.expansion_tank")),
    )  # fmt: skip
    return [
        PathPart(part=part, name=name, says=says, standing=standing,
                 temp_c=case.facts.design_inlet_c)
        for part, name, says, standing in devices
        if standing is not Standing.PLAIN
    ]  # fmt: skip


def _heater(case: Case, peak_hot_l_per_min: float | None) -> PathPart:
    flow = ""
    if peak_hot_l_per_min is not None:
        flow = f" Up to {case.say.flow(peak_hot_l_per_min)} at the peak."
    kept = "Heats as it flows, to" if case.heater.is_tankless else "Keeps it at"
    return PathPart(
        part=Part.HEATER, name=case.say.heater_name(case.heater.name),
        says=f"{kept} {case.say.temperature(case.setpoint_c)}.{flow}",
        standing=Standing.PLAIN, temp_c=case.setpoint_c,
    )  # fmt: skip


def _relief(case: Case, found: _Finder) -> list[PathPart]:
    if not case.is_tank:
        return []
    faults = case.site.relief_faults
    standing = found.standing(None if faults is None else not faults, "relief_pipe",
                              "home.site.relief_faults")  # fmt: skip
    says = "Opens if it gets too hot or tight; its pipe ends near the floor."
    if standing is Standing.ADD:
        says = "Something about it is wrong and is put right first."
    return [
        PathPart(part=Part.RELIEF, name="Relief valve", says=says, standing=standing,
                 temp_c=case.setpoint_c)
    ]  # fmt: skip


def _tempering(case: Case, found: _Finder) -> list[PathPart]:
    standing = found.standing(case.site.tempering_valve, "tempering_valve",
                              "home.site.tempering_valve")  # fmt: skip
    if standing is Standing.PLAIN:
        return []
    out_c = delivered_temp_c(case.setpoint_c, tempered=standing is not Standing.ASK)
    return [
        PathPart(part=Part.TEMPERING, name="Tempering valve",
                 says=f"Mixes in cold; {case.say.temperature(out_c)} goes on to the taps.",
                 standing=standing, temp_c=out_c)
    ]  # fmt: skip


def _fixtures(case: Case, found: _Finder) -> PathPart:
    counts = case.job.household.fixtures
    named = [
        f"{counts.of(fixture)} {words[counts.of(fixture) != 1]}"
        for fixture, words in _FIXTURES.items()
        if counts.of(fixture)
    ]
    standing = found.standing(case.site.point_of_use_valves, "point_of_use_valve",
                              "home.site.point_of_use_valves")  # fmt: skip
    guard = {
        Standing.THERE: " Showers and baths limit it themselves.",
        Standing.ADD: " Showers and baths get valves that limit it.",
        Standing.ASK: " Do showers and baths limit it?",
        Standing.PLAIN: "",
    }[standing]
    household = case.job.household
    shower = case.say.flow(household.fixture_flow.of(Fixture.SHOWER))
    flow = f", {shower} from each shower" if counts.of(Fixture.SHOWER) else ""
    return PathPart(
        part=Part.FIXTURES, name="Taps and showers",
        says=f"{', '.join(named)}; used at about {case.say.temperature(household.use_temp_c)}"
        f"{flow}.{guard}",
        standing=standing, temp_c=household.use_temp_c,
    )  # fmt: skip


_FIXTURES = {
    Fixture.SHOWER: ("shower", "showers"),
    Fixture.BATHTUB: ("bath", "baths"),
    Fixture.SOAKING_TUB: ("soaking tub", "soaking tubs"),
    Fixture.BODY_SPRAY: ("body spray", "body sprays"),
    Fixture.LAVATORY: ("basin", "basins"),
    Fixture.KITCHEN_SINK: ("kitchen sink", "kitchen sinks"),
}
