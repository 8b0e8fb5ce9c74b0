"""The links of the chain from a sized job on: what all options share, each option in full.

The public functions of :mod:`heatersel.api` put these together; faces call those.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatersel import __version__
from heatersel.cautions.caution import SiteFacts
from heatersel.cautions.registry import cautions_for
from heatersel.cautions.remedies import remedies
from heatersel.comparison import Option
from heatersel.cost.emissions import EmissionFactors, co2_kg_per_year, emission_factors
from heatersel.cost.option_cost import CostBasis, cost_basis, option_cost
from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.draw_year import draw_years
from heatersel.heaters.heater import Heater
from heatersel.job.models import Job, Preferences
from heatersel.job.services import TanklessOverload
from heatersel.reference import sidecar
from heatersel.simulation.balance import YearConditions, balance_year
from heatersel.simulation.distribution import LoopYear, loop_of
from heatersel.simulation.hard_water import descaling_months
from heatersel.simulation.heat_pump_control import ControlMode, HeatPumpControl
from heatersel.simulation.house_air import house_air, system_of
from heatersel.simulation.house_year import HouseYear, SimulatedOptions
from heatersel.simulation.moist_air import wet_bulb_c
from heatersel.sized_job import SizedHeater, SizedJob, supply_v

__all__ = [
    "VALVE_C",
    "House",
    "Method",
    "Watch",
    "YearsOf",
    "by_storage",
    "house_of",
    "house_year",
    "loop_in_service",
    "option_in",
    "provenance_of",
    "year_conditions",
    "years_of",
]

VALVE_C = (120.0 - 32.0) / 1.8
"""Mixed temperature that a tempering valve at the heater is taken to be set to, 120 degF: the
limit at the fixtures of US dwellings; Canada's 49 °C is the same. [°C]"""


_SAME_K = 0.05

Floats = NDArray[np.float64]
Watch = Callable[[int, int], None]

_AT_ONCE = 6
# Heaters simulated between two words to a watch: few enough that the wait is short, enough that
# every core has something to do.


class Method(StrEnum):
    """How a year of energy is found."""

    SIMULATION = "simulation"  # draw by draw, over seeded years
    BALANCE = "balance"  # one heat balance per day, the simulation's independent check


@dataclass(frozen=True, slots=True, kw_only=True)
class House:
    """What every option of one job shares.

    Parameters
    ----------
    sized : SizedJob
        Demand and sizes.
    conditions : YearConditions
        What a heater meets on each day.
    basis : CostBasis
        Tariffs and terms.
    facts : SiteFacts
        What the cautions need of the earlier stages.
    emissions : EmissionFactors
        Of the region.
    hotter : House or None
        The same house with its tanks stored as hot as the rules ask; see :class:`SizedJob`.
    """

    sized: SizedJob
    conditions: YearConditions
    basis: CostBasis
    facts: SiteFacts
    emissions: EmissionFactors
    hotter: House | None = None

    def for_heater(self, heater: Heater) -> House:
        """Return the house at the temperature that this heater stores."""
        hotter = self.hotter
        return hotter if hotter is not None and self.sized.stores_hotter(heater) else self


YearsOf = Callable[[House, Sequence[Heater]], SimulatedOptions]
"""Gives a year of energy of each heater in a house."""


def house_of(sized: SizedJob) -> House:
    """Return what every option of a sized job shares; raise InputError if a price is unusable."""
    house = House(
        sized=sized,
        conditions=year_conditions(sized),
        basis=cost_basis(sized.job),
        facts=_site_facts(sized),
        emissions=emission_factors(sized.climate.region, sized.job.emissions),
    )
    if sized.hotter is None:
        return house
    hotter = replace(house, sized=sized.hotter, conditions=year_conditions(sized.hotter))
    return replace(house, hotter=hotter)


def year_conditions(sized: SizedJob) -> YearConditions:
    """Return what a heater meets on each day of the year in this house."""
    air = house_air(sized.job.home, sized.climate.monthly_air_c).air
    return YearConditions(
        hot_l=sized.demand.hot_by_day_l,
        inlet_c=sized.inlet.daily_c,
        room_c=air.mean_c,
        room_wet_bulb_c=np.asarray(wet_bulb_c(air.entering_c, air.entering_humidity)),
        setpoint_c=sized.demand.setpoint_c,
    )


def house_year(house: House, n_years: int) -> HouseYear:
    """Return what all options meet when their years are simulated.

    Parameters
    ----------
    house : House
        The house.
    n_years : int
        Seeded years of draws.

    Returns
    -------
    HouseYear
        The heating that the job names, or the likely one; left out if the job says so.
    """
    sized, job = house.sized, house.sized.job
    plan = plan_draws(job.household, sized.demand.volume_factor)
    air = house_air(job.home, sized.climate.monthly_air_c)
    return HouseYear(
        years=tuple(draw_years(plan, job.preferences.seed, n_years)),
        hot_l=sized.demand.hot_by_day_l,
        inlet_c=sized.inlet.daily_c,
        setpoint_c=sized.demand.setpoint_c,
        use_temp_c=job.household.use_temp_c,
        air=air,
        system=(
            system_of(job.home, job.heating_fuels) if job.preferences.count_space_heating else None
        ),
        altitude_derate_frac=sized.altitude_derate_frac,
        supply_v=supply_v(job),
        tempering_valve_c=VALVE_C if _has_valve(job) else None,
        control=_control(job.preferences),
        defrost_penalty_frac=job.preferences.defrost_penalty,
        throttles=job.preferences.tankless_overload is TanklessOverload.THROTTLE,
        buffer_l=job.preferences.tankless_buffer_l or 0.0,
        loop=loop_in_service(job, sized.demand.setpoint_c, air.air.mean_c),
    )


def loop_in_service(job: Job, setpoint_c: float, room_c: Floats) -> LoopYear | None:
    """Return a year of the loop of a home with a new heater; None without one.

    Parameters
    ----------
    job : Job
        The home, its loop and its tempering valve.
    setpoint_c : float
        Temperature that the heater is set to; the valve lets less into the loop. [°C]
    room_c : array of shape (365,)
        Air around the loop. [°C]
    """
    hotter = setpoint_c > job.preferences.setpoint_c + _SAME_K
    mixed_c = min(setpoint_c, VALVE_C) if _has_valve(job) or hotter else setpoint_c
    return loop_of(job.home.hot_pipe, hot_c=mixed_c, room_c=room_c, stored_c=setpoint_c)


def _has_valve(job: Job) -> bool:
    return job.preferences.tempering_valve or job.home.site.tempering_valve is True


def _control(wishes: Preferences) -> HeatPumpControl:
    return HeatPumpControl(
        mode=ControlMode(wishes.heat_pump_mode.value),
        compressor_hours=tuple(hour in wishes.compressor_hours for hour in range(24)),
        element_hours=tuple(hour in wishes.element_hours for hour in range(24)),
    )


def years_of(
    house: House,
    heaters: Sequence[Heater],
    method: Method,
    n_years: int,
    watch: Watch | None = None,
) -> SimulatedOptions:
    """Return a year of energy of each heater, simulated or in closed form.

    Parameters
    ----------
    house : House
        The house.
    heaters : sequence of Heater
        Storage and tankless heaters.
    method : Method
        Which of the two.
    n_years : int
        Seeded years, for the simulation.
    watch : callable, optional
        Told after every few heaters how many are done, of how many; what it raises ends the work.

    Returns
    -------
    SimulatedOptions
        Without heaters whose label contradicts itself; those are named. A heater whose fuel the
        house lacks is never ranked and always takes the closed form.
    """
    fuels = house.sized.job.fuels
    simulated = [h for h in heaters if h.energy_source in fuels and method is Method.SIMULATION]
    rest = [heater for heater in heaters if heater not in simulated]
    balanced = {h.id: balance_year(h, house.for_heater(h).conditions) for h in rest}
    if not simulated:
        return SimulatedOptions(annual=balanced, tankless={}, faults=())
    from heatersel.simulation.annual import simulate_options

    found = SimulatedOptions(annual=balanced, tankless={}, faults=())
    at_once = len(simulated) if watch is None else _AT_ONCE
    done = 0
    for place, alike in by_storage(house, simulated):
        year = house_year(place, n_years)
        for start in range(0, len(alike), at_once):
            some = alike[start : start + at_once]
            part = simulate_options(some, year)
            found = SimulatedOptions(
                annual={**found.annual, **part.annual},
                tankless={**found.tankless, **part.tankless},
                faults=(*found.faults, *part.faults),
            )
            done += len(some)
            if watch is not None:
                watch(done, len(simulated))
    return found


def by_storage(house: House, heaters: Sequence[Heater]) -> Iterator[tuple[House, list[Heater]]]:
    """Yield the heaters in groups that store equally hot, each with the house that it meets."""
    for place in (house, house.hotter):
        alike = [heater for heater in heaters if house.for_heater(heater) is place]
        if place is not None and alike:
            yield place, alike


def option_in(house: House, sized_heater: SizedHeater, years: SimulatedOptions) -> Option:
    """Return one heater with its year, cautions and cost."""
    heater = sized_heater.heater
    annual = years.annual[heater.id]
    report = cautions_for(house.sized.job, heater, house.facts)
    return Option(
        heater=heater,
        sizing=sized_heater.sizing,
        annual=annual,
        tankless=years.tankless.get(heater.id),
        setpoint_c=house.sized.for_heater(heater).demand.setpoint_c,
        cost=option_cost(
            house.basis,
            heater,
            annual,
            remedies({heater.id: report.cautions})[heater.id],
            descaling_months=descaling_months(house.sized.job, house.sized.demand, heater),
        ),
        co2_kg_per_year=co2_kg_per_year(annual.energy_kwh, house.emissions)
        + co2_kg_per_year(annual.space_energy_kwh, house.emissions),
        cautions=report.cautions,
        to_measure=report.to_measure,
    )


def _site_facts(sized: SizedJob) -> SiteFacts:
    job, here = sized.job, sized.climate
    elevation_m = job.place.elevation_m
    return SiteFacts(
        region=here.region,
        design_inlet_c=sized.inlet.design_c,
        setpoint_c=sized.demand.setpoint_c,
        elevation_m=here.elevation_m if elevation_m is None else elevation_m,
        daily_hot_l=sized.demand.daily_hot_water_l,
        coldest_air_c=min(here.monthly_air_c),
    )


def provenance_of(house: House) -> dict[str, Any]:
    """Return version, editions of the tables that move the results, and the seed."""
    names = ("heaters/generic", "climate/stations", "prices/residential", "costs/installed_us")
    return {
        "version": __version__,
        "currency": house.basis.currency,
        "seed": house.sized.job.preferences.seed,
        "datasets": {name: str(sidecar(name).get("year", "")) for name in names},
        "price_notes": list(house.basis.notes.values()),
        "emissions_basis": house.emissions.basis,
    }
