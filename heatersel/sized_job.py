"""What a household needs and what each heater of a list gives: the first links of the chain."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from heatersel.cautions.altitude import altitude_derate_frac
from heatersel.cautions.electrical import has_no_240v
from heatersel.cautions.growth import electric_storage_minimum_c, storage_setpoint_c
from heatersel.cautions.jurisdiction import Country, jurisdiction
from heatersel.climate import Climate, climate
from heatersel.comparison import inlet_dict, rating_dict, sizing_dict
from heatersel.demand.household import Demand, demand_for, demand_of
from heatersel.demand.inlet import Inlet, inlet_by_method, inlet_for
from heatersel.errors import Fault
from heatersel.heaters.catalogue import HeaterList, load_heaters
from heatersel.heaters.existing import EXISTING_ID, existing_heater
from heatersel.heaters.heater import Heater, input_left_frac
from heatersel.heaters.in_use import heater_behind_bills
from heatersel.heaters.rated import rating_faults
from heatersel.job.models import Job
from heatersel.job.site import AltitudeReading
from heatersel.sizing.tank import size_tank
from heatersel.sizing.tankless import size_tankless, smallest_parallel
from heatersel.sizing.verdict import Sizing

__all__ = [
    "SizedHeater",
    "SizedJob",
    "altitude_derate",
    "size_existing",
    "size_job",
    "supply_v",
]

_SAME_K = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class SizedHeater:
    """A heater, or several in parallel, with the verdict on its size."""

    heater: Heater
    sizing: Sizing


@dataclass(frozen=True, slots=True, kw_only=True)
class SizedJob:
    """What a household needs and what each heater of a list gives.

    Parameters
    ----------
    job : Job
        The job.
    climate : Climate
        Its place.
    inlet : Inlet
        Cold water by the way that the job's facts choose.
    other_inlets : tuple of Inlet
        The same by every way, to show the effect of the choice.
    demand : Demand
        What the household asks for.
    altitude_derate_frac : float
        Input that burners without an altitude rating lose here. [-]
    options : tuple of SizedHeater
        In the order of the list.
    rejected : tuple of Fault
        Rows left out because they contradict themselves.
    hotter : SizedJob or None
        The same household served through a tempering valve by tanks that the rules of the place
        want hotter than the job does, without options; None where the rules ask nothing more.
    """

    job: Job
    climate: Climate
    inlet: Inlet
    other_inlets: tuple[Inlet, ...]
    demand: Demand
    altitude_derate_frac: float
    options: tuple[SizedHeater, ...]
    rejected: tuple[Fault, ...]
    hotter: SizedJob | None = None

    def stores_hotter(self, heater: Heater) -> bool:
        """Return whether the rules have a new heater store hotter than the household wants."""
        wanted_c = self.job.preferences.setpoint_c
        stored_c = storage_setpoint_c(heater, _country(self), wanted_c)
        return heater.id != EXISTING_ID and stored_c > wanted_c + _SAME_K

    def for_heater(self, heater: Heater) -> SizedJob:
        """Return what the household asks of this heater at the temperature that it stores."""
        return self.hotter if self.hotter is not None and self.stores_hotter(heater) else self

    def as_dict(self) -> dict[str, Any]:
        """Return it as the JSON contract of `size` has it, SI units."""
        return {
            "inlet": inlet_dict(self.inlet),
            "other_inlets": [inlet_dict(inlet) for inlet in self.other_inlets],
            "demand": self.demand.as_dict(),
            "altitude_derate_frac": self.altitude_derate_frac,
            "options": [
                {
                    "id": option.heater.id,
                    "name": option.heater.name,
                    "rating": rating_dict(option.heater),
                    "sizing": sizing_dict(option.sizing),
                }
                for option in self.options
            ],
            "rejected": [fault.as_dict() for fault in self.rejected],
        }


def size_job(job: Job, heaters: HeaterList | None = None) -> SizedJob:
    """Return what a household needs and the verdict on each heater of a list.

    Parameters
    ----------
    job : Job
        Household, house and place.
    heaters : HeaterList, optional
        The list to choose from; the generic list if not given. A row whose rating contradicts
        itself is left out and named.

    Returns
    -------
    SizedJob
        A tankless heater that is short alone stands there in parallel where two are enough.

    Raises
    ------
    OutOfRangeError
        If the setpoint does not lie above the coldest inlet.
    InputError
        If the household's bills are of a fuel that does not heat the water.
    """
    listed = heaters or load_heaters()
    here = climate(job.place.climate)
    inlet = inlet_for(job.place, here)
    demand = demand_of(job, inlet, here, heater=heater_behind_bills(job, listed.heaters))
    derate_frac = altitude_derate(job, here)
    faults = {heater.id: rating_faults(heater) for heater in listed.heaters}
    sized = SizedJob(
        job=job,
        climate=here,
        inlet=inlet,
        other_inlets=inlet_by_method(job.place, here),
        demand=demand,
        altitude_derate_frac=derate_frac,
        options=(),
        rejected=listed.faults + tuple(fault for found in faults.values() for fault in found),
    )
    least_c = electric_storage_minimum_c(_country(sized))
    if least_c is not None and job.preferences.setpoint_c < least_c - _SAME_K:
        sized = replace(sized, hotter=_hotter(sized, least_c))
    return replace(
        sized,
        options=tuple(
            _sized(
                heater,
                sized.for_heater(heater).demand,
                _input_lost_frac(job, heater, derate_frac),
            )
            for heater in listed.heaters
            if not faults[heater.id]
        ),
    )


def _country(sized: SizedJob) -> Country:
    return jurisdiction(sized.climate.region, sized.job.home.site).country


def _hotter(sized: SizedJob, least_c: float) -> SizedJob:
    """Return a job whose water is stored as hot as the rules ask, and mixed down."""
    wishes = sized.job.preferences.model_copy(
        update={"setpoint_c": least_c, "tempering_valve": True}
    )
    demand = demand_for(
        sized.job.household,
        sized.inlet,
        least_c,
        percentile=wishes.sizing_percentile,
        volume_factor=sized.demand.volume_factor,
        seed=wishes.seed,
    )
    return replace(sized, job=sized.job.model_copy(update={"preferences": wishes}), demand=demand)


def _input_lost_frac(job: Job, heater: Heater, altitude_frac: float) -> float:
    """Return the input that burner or elements lack here: in thin air, or at 208 V."""
    return 1.0 - input_left_frac(heater, altitude_frac, supply_v(job))


def supply_v(job: Job) -> float | None:
    """Return the voltage at which elements work; None where it is not known, or will be nominal.

    A house without 240 V is charged for a new service, which brings it.
    """
    line_v = job.home.panel.line_v if job.home.panel is not None else None
    if line_v is None or has_no_240v(line_v):
        return None
    return float(line_v)


def _sized(heater: Heater, demand: Demand, derate_frac: float) -> SizedHeater:
    """Return a heater with its verdict; two tankless units where one is short."""
    at = (demand.design_inlet_c, demand.setpoint_c, derate_frac)
    if heater.is_tankless:
        heater = smallest_parallel(heater, demand.peak_flow_l_per_min, *at)
        sizing = size_tankless(
            heater, demand.peak_flow_l_per_min, *at,
            least_draw_l_per_min=demand.least_flow_l_per_min,
        )  # fmt: skip
    else:
        sizing = size_tank(heater, demand.peak_hour_hot_water_l, *at)
    return SizedHeater(heater=heater, sizing=sizing)


def altitude_derate(job: Job, here: Climate) -> float:
    """Return the input that burners without an altitude rating lose to thin air.

    Parameters
    ----------
    job : Job
        The job, with its elevation if it is known.
    here : Climate
        Its station, whose height counts if the job gives none.

    Returns
    -------
    float
        Share of the input. [-]
    """
    elevation_m = job.place.elevation_m
    if elevation_m is None:
        elevation_m = here.elevation_m or 0.0
    country = jurisdiction(here.region, job.home.site).country
    reading = job.home.site.altitude_reading or AltitudeReading.SEA_LEVEL
    return altitude_derate_frac(elevation_m, country, reading)


def size_existing(sized: SizedJob) -> SizedHeater | None:
    """Return what stands there now with its size, None if it is not known well enough."""
    existing = sized.job.existing
    heater = existing_heater(existing, load_heaters().heaters) if existing else None
    if heater is None or rating_faults(heater):
        return None
    lost_frac = _input_lost_frac(sized.job, heater, sized.altitude_derate_frac)
    return _sized(heater, sized.demand, lost_frac)
