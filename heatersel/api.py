"""The one chain: household -> demand -> sizing -> year -> cost -> cautions -> recommendation.

Every face calls these functions and nothing deeper. They are pure: the same job, heaters and
settings give the same answer on every machine.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from heatersel.cautions.altitude import altitude_derate_frac
from heatersel.cautions.jurisdiction import jurisdiction
from heatersel.climate import Climate, climate
from heatersel.comparison import demand_dict, inlet_dict, rating_dict, sizing_dict
from heatersel.demand.household import Demand, demand_for
from heatersel.demand.inlet import Inlet, inlet_by_method, inlet_for
from heatersel.errors import Fault
from heatersel.heaters.catalogue import HeaterList, load_heaters
from heatersel.heaters.heater import Heater
from heatersel.heaters.rated import rating_faults
from heatersel.job.models import Job
from heatersel.job.site import AltitudeReading
from heatersel.sizing.tank import size_tank
from heatersel.sizing.tankless import size_tankless, smallest_parallel
from heatersel.sizing.verdict import Sizing

__all__ = ["SizedHeater", "SizedJob", "size"]


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
    """

    job: Job
    climate: Climate
    inlet: Inlet
    other_inlets: tuple[Inlet, ...]
    demand: Demand
    altitude_derate_frac: float
    options: tuple[SizedHeater, ...]
    rejected: tuple[Fault, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return it as the JSON contract of `size` has it, SI units."""
        return {
            "inlet": inlet_dict(self.inlet),
            "other_inlets": [inlet_dict(inlet) for inlet in self.other_inlets],
            "demand": demand_dict(self.demand),
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


def size(job: Job, heaters: HeaterList | None = None) -> SizedJob:
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
    """
    listed = heaters or load_heaters()
    here = climate(job.place.climate)
    inlet = inlet_for(job.place, here)
    demand = demand_for(
        job.household,
        inlet,
        job.preferences.setpoint_c,
        percentile=job.preferences.sizing_percentile,
    )
    derate_frac = _altitude_derate(job, here)
    faults = {heater.id: rating_faults(heater) for heater in listed.heaters}
    return SizedJob(
        job=job,
        climate=here,
        inlet=inlet,
        other_inlets=inlet_by_method(job.place, here),
        demand=demand,
        altitude_derate_frac=derate_frac,
        options=tuple(
            _sized(heater, demand, derate_frac)
            for heater in listed.heaters
            if not faults[heater.id]
        ),
        rejected=listed.faults + tuple(fault for found in faults.values() for fault in found),
    )


def _sized(heater: Heater, demand: Demand, derate_frac: float) -> SizedHeater:
    """Return a heater with its verdict; two tankless units where one is short."""
    at = (demand.design_inlet_c, demand.setpoint_c, derate_frac)
    if heater.is_tankless:
        heater = smallest_parallel(heater, demand.peak_flow_l_per_min, *at)
        sizing = size_tankless(heater, demand.peak_flow_l_per_min, *at)
    else:
        sizing = size_tank(heater, demand.peak_hour_hot_water_l, *at)
    return SizedHeater(heater=heater, sizing=sizing)


def _altitude_derate(job: Job, here: Climate) -> float:
    """Return the burner's loss to thin air; the station's height where the job gives none."""
    elevation_m = job.place.elevation_m
    if elevation_m is None:
        elevation_m = here.elevation_m or 0.0
    country = jurisdiction(here.region, job.home.site).country
    reading = job.home.site.altitude_reading or AltitudeReading.SEA_LEVEL
    return altitude_derate_frac(elevation_m, country, reading)
