"""One heater in one house: what the rules look at."""

from __future__ import annotations

from dataclasses import dataclass

from heatersel.cautions.caution import SiteFacts
from heatersel.cautions.growth import storage_setpoint_c
from heatersel.cautions.jurisdiction import Country, Jurisdiction, jurisdiction
from heatersel.cautions.scald import FIXTURE_LIMIT_CANADA_C, FIXTURE_LIMIT_US_C
from heatersel.cautions.words import Words
from heatersel.heaters.heater import EnergySource, Heater, HeaterClass, Kind, VentType
from heatersel.job.models import Home, Job
from heatersel.job.site import GasPipe, Panel, Site

__all__ = ["Case"]

_CONDENSING = (HeaterClass.CONDENSING_STORAGE, HeaterClass.TANKLESS_CONDENSING)
_GASES = (EnergySource.NATURAL_GAS, EnergySource.PROPANE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """A heater, the job it is weighed for, and whose rules hold there.

    Parameters
    ----------
    job, heater, facts
        As given to the rules.
    place : Jurisdiction
        Whose rules hold.
    say : Words
        Amounts in the units of the job.
    """

    job: Job
    heater: Heater
    facts: SiteFacts
    place: Jurisdiction
    say: Words

    @classmethod
    def of(cls, job: Job, heater: Heater, facts: SiteFacts) -> Case:
        """Return the case of `heater` in the house of `job`."""
        return cls(
            job=job, heater=heater, facts=facts,
            place=jurisdiction(facts.region, job.home.site), say=Words(job.units.value),
        )  # fmt: skip

    @property
    def home(self) -> Home:
        """The house."""
        return self.job.home

    @property
    def site(self) -> Site:
        """What the visit found."""
        return self.job.home.site

    @property
    def panel(self) -> Panel:
        """The electrical service; all unknown if the job has none."""
        return self.job.home.panel or Panel()

    @property
    def gas_pipe(self) -> GasPipe:
        """The gas pipe; all unknown if the job has none."""
        return self.job.home.gas_pipe or GasPipe()

    @property
    def in_canada(self) -> bool:
        """Whether Canadian rules hold."""
        return self.place.country is Country.CANADA

    # the heater

    @property
    def burns_fuel(self) -> bool:
        """Whether the heater makes flue gas."""
        return self.heater.burns_fuel

    @property
    def burns_gas(self) -> bool:
        """Whether it burns natural gas or propane."""
        return self.heater.energy_source in _GASES

    @property
    def is_electric(self) -> bool:
        """Whether it heats by electricity alone."""
        return not self.heater.burns_fuel

    @property
    def is_tank(self) -> bool:
        """Whether it stores hot water."""
        return not self.heater.is_tankless

    @property
    def is_heat_pump(self) -> bool:
        """Whether it is a heat pump."""
        return self.heater.kind is Kind.HEAT_PUMP_STORAGE

    @property
    def is_indoor_heat_pump(self) -> bool:
        """Whether its evaporator stands in the room."""
        return self.is_heat_pump and self.heater.heater_class is not HeaterClass.HEAT_PUMP_SPLIT

    @property
    def is_condensing(self) -> bool:
        """Whether its flue gas condenses."""
        return self.heater.heater_class in _CONDENSING

    @property
    def uses_chimney(self) -> bool:
        """Whether it needs a chimney or B-vent that draws by itself."""
        return self.heater.vent_type in (VentType.DRAFT_HOOD, VentType.BAROMETRIC)

    @property
    def takes_room_air(self) -> bool:
        """Whether its burner takes air from the room."""
        return self.burns_fuel and self.heater.vent_type is not VentType.DIRECT_VENT

    # the water

    @property
    def setpoint_c(self) -> float:
        """Temperature at which water leaves the heater: at least what the rules ask. [°C]"""
        return storage_setpoint_c(self.heater, self.place.country, self.facts.setpoint_c)

    @property
    def is_stored_hotter(self) -> bool:
        """Whether the rules have it store hotter than the household wants."""
        return self.setpoint_c > self.facts.setpoint_c + 0.05

    @property
    def has_tempering_valve(self) -> bool:
        """Whether a tempering valve is there or part of the plan."""
        planned = self.job.preferences.tempering_valve or self.is_stored_hotter
        return bool(self.site.tempering_valve) or planned

    @property
    def fixture_limit_c(self) -> float:
        """Highest temperature for showers and baths here. [°C]"""
        return FIXTURE_LIMIT_CANADA_C if self.in_canada else FIXTURE_LIMIT_US_C

    @property
    def has_vulnerable(self) -> bool | None:
        """Whether someone burns or falls ill easily; None if nobody asked."""
        if self.job.household.occupants.children:
            return True
        return self.home.vulnerable_occupants
