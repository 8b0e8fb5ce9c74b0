"""Everything there is to show of a household's demand, ready for charts, tables and files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatersel.climate import climate
from heatersel.demand.bills import HeaterInUse
from heatersel.demand.busiest_hour import DEFAULT_YEARS, BusiestHours
from heatersel.demand.draw_year import AS_IT_COMES_C, FIXTURES, DrawYear, draw_year, plan_draws
from heatersel.demand.household import Demand, demand_of
from heatersel.demand.inlet import DepthEffect, Inlet, depth_effect, inlet_by_method
from heatersel.demand.peak_flow import busy_fixtures, modified_normal_flow_l_per_min
from heatersel.demand.peak_flow_1940 import peak_flow_1940_l_per_min
from heatersel.demand.uses import published_hot_water_l
from heatersel.job.models import Job
from heatersel.reference import records
from heatersel.water import mixing_hot_fraction

__all__ = ["DRAW_COLUMNS", "DemandReport", "demand_report", "draw_rows"]

Floats = NDArray[np.float64]

DRAW_COLUMNS = (
    "day", "start [s]", "duration [s]", "mixed_flow [L/min]", "mixed_temperature [degC]",
    "hot_water [L]", "fixture",
)  # fmt: skip
"""Headings of the list of draws; day 0 is 1 January, start counts from its midnight."""

REPORT_YEARS = DEFAULT_YEARS
_PERCENTILES = {"p50": 0.50, "p95": 0.95, "p99": 0.99}
_CURVE = np.linspace(0.0, 1.0, 101)
_LEAST_SHARE = 0.001  # the ends of the curve of flow


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DemandReport:
    """The demand of a job with what stands behind it.

    Parameters
    ----------
    job : Job
        The job.
    demand : Demand
        Volumes, busiest hour, peak flow, bills.
    inlets : tuple of Inlet
        By every method, the chosen one first.
    depth_effects : tuple of DepthEffect
        Coldest water by depth of the main.
    year : DrawYear
        The first of the simulated years.
    hot_share_by_day : array of shape (365,)
        Hot share of mixed water. [-]
    hot_by_hour_l : array of shape (2, 24)
        Mean hot water by hour of the day, weekday and weekend, days at home. [L]
    busiest_hour_l : mapping of str to float
        Hot water in the busiest hour, p50, p95 and p99 of days, each day's inlet. [L]
    busiest_hour_design_l : mapping of str to float
        The same were every day as cold as the coldest. [L]
    busiest_hour_curve_l, busiest_hour_design_curve_l : array of shape (101,)
        Both at 0, 1, ... 100 % of days. [L]
    peak_flow_l_per_min : mapping of str to float
        Mixed flow, p50, p95, p99 of the moments of the peak period. [L/min]
    peak_flow_given_busy_l_per_min : mapping of str to float
        The same, only moments in which something runs. [L/min]
    peak_flow_curve_l_per_min : array of shape (101,)
        The latter at 0, 1, ... 100 % of moments. [L/min]
    modified_normal_l_per_min : float
        The 2017 study's approximation at the 99th percentile of busy moments. [L/min]
    method_1940_l_per_min : float
        The classic method, the upper reference. [L/min]
    published_by_bedrooms_l : float
        Daily hot water of the home-rating standard for this number of bedrooms. [L]
    per_person_l : mapping of str to tuple of 3 float
        ASHRAE's low, medium and high use per person in apartment houses, times the people: mean
        day, largest day, largest hour. [L]
    day_spread : float
        Standard deviation over mean of the daily volume, days at home. [-]
    why_not_the_worksheet : str
        Why the federal worksheet's figure differs, in plain words.
    """

    job: Job
    demand: Demand
    inlets: tuple[Inlet, ...]
    depth_effects: tuple[DepthEffect, ...]
    year: DrawYear
    hot_share_by_day: Floats
    hot_by_hour_l: Floats
    busiest_hour_l: Mapping[str, float]
    busiest_hour_design_l: Mapping[str, float]
    busiest_hour_curve_l: Floats
    busiest_hour_design_curve_l: Floats
    peak_flow_l_per_min: Mapping[str, float]
    peak_flow_given_busy_l_per_min: Mapping[str, float]
    peak_flow_curve_l_per_min: Floats
    modified_normal_l_per_min: float
    method_1940_l_per_min: float
    published_by_bedrooms_l: float
    per_person_l: Mapping[str, tuple[float, float, float]]
    day_spread: float
    why_not_the_worksheet: str

    def as_dict(self) -> dict[str, Any]:
        """Return the report as plain fields, for JSON; SI units."""
        demand, inlet = self.demand, self.inlets[0]
        return demand.as_dict() | {
            "schema": "heatersel.demand/1",
            "busiest_hour_hot_l": dict(self.busiest_hour_l),
            "busiest_hour_hot_design_l": dict(self.busiest_hour_design_l),
            "busiest_hour_years": demand.busiest_hours.n_years,
            "peak_flow_l_per_min": dict(self.peak_flow_l_per_min),
            "peak_flow_given_busy_l_per_min": dict(self.peak_flow_given_busy_l_per_min),
            "peak_flow_curve_l_per_min": self.peak_flow_curve_l_per_min.tolist(),
            "peak_flow_needed_l_per_min": demand.peak_flow_l_per_min,
            "modified_normal_l_per_min": self.modified_normal_l_per_min,
            "method_1940_l_per_min": self.method_1940_l_per_min,
            "published_by_bedrooms_l": self.published_by_bedrooms_l,
            "per_person_l": {name: list(three) for name, three in self.per_person_l.items()},
            "day_spread_frac": self.day_spread,
            "hot_by_hour_weekday_l": [float(value) for value in self.hot_by_hour_l[0]],
            "hot_by_hour_weekend_l": [float(value) for value in self.hot_by_hour_l[1]],
            "inlet": _inlet_dict(inlet),
            "other_inlets": [_inlet_dict(other) for other in self.inlets[1:]],
            "depth_effects": [
                {"depth_m": effect.depth_m, "design_c": effect.design_c,
                 "warmest_c": effect.warmest_c, "n_days_held": effect.n_days_held}
                for effect in self.depth_effects
            ],
            "why_not_the_worksheet": self.why_not_the_worksheet,
            "n_draws": int(self.year.start_s.size),
            "seed": self.job.preferences.seed,
        }  # fmt: skip


def demand_report(
    job: Job, *, heater: HeaterInUse | None = None, n_years: int = REPORT_YEARS
) -> DemandReport:
    """Return everything there is to show of a job's demand.

    Parameters
    ----------
    job : Job
        Household, place and preferences.
    heater : HeaterInUse, optional
        The heater whose fuel the bills count; a typical one if not given.
    n_years : int
        Simulated years, 1 or more; by default those behind every other figure.

    Returns
    -------
    DemandReport
        For the terminal, JSON and charts.

    Raises
    ------
    OutOfRangeError, InputError
        As for :func:`heatersel.demand.household.demand_of`.
    """
    here = climate(job.place.climate)
    inlets = inlet_by_method(job.place, here)
    demand = demand_of(job, inlets[0], here, heater=heater, n_years=n_years)
    household = job.household
    share = mixing_hot_fraction(household.use_temp_c, job.preferences.setpoint_c, inlets[0].daily_c)
    plan = plan_draws(household, demand.volume_factor)
    year = draw_year(plan, job.preferences.seed)
    busiest, design = demand.busiest_hours, demand.busiest_hours_design
    fixtures = busy_fixtures(household.fixtures, household.fixture_flow)
    at_home = plan.present > 0.0
    by_day_l = np.bincount(year.day, weights=year.hot_l(share), minlength=365)[at_home]
    return DemandReport(
        job=job,
        demand=demand,
        inlets=inlets,
        depth_effects=depth_effect(here),
        year=year,
        hot_share_by_day=share,
        hot_by_hour_l=_hot_by_hour_l(year, share, at_home),
        busiest_hour_l={name: busiest.percentile_l(q) for name, q in _PERCENTILES.items()},
        busiest_hour_design_l={name: design.percentile_l(q) for name, q in _PERCENTILES.items()},
        busiest_hour_curve_l=_curve_l(busiest),
        busiest_hour_design_curve_l=_curve_l(design),
        peak_flow_l_per_min={
            name: demand.flow_mixed.percentile_l_per_min(q) for name, q in _PERCENTILES.items()
        },
        peak_flow_given_busy_l_per_min={
            name: demand.flow_mixed.percentile_l_per_min(q, given_busy=True)
            for name, q in _PERCENTILES.items()
        },
        peak_flow_curve_l_per_min=np.array(
            [
                demand.flow_mixed.percentile_l_per_min(q, given_busy=True)
                for q in np.clip(_CURVE, _LEAST_SHARE, 1.0 - _LEAST_SHARE)
            ]
        ),
        modified_normal_l_per_min=modified_normal_flow_l_per_min(fixtures),
        method_1940_l_per_min=peak_flow_1940_l_per_min(household.fixtures),
        published_by_bedrooms_l=published_hot_water_l(
            household.bedrooms, inlets[0].annual_mean_c,
            setpoint_c=job.preferences.setpoint_c, use_c=household.use_temp_c,
        ),
        per_person_l=_per_person_l(household.occupants.total),
        day_spread=float(by_day_l.std() / by_day_l.mean()),
        why_not_the_worksheet=_why_not_the_worksheet(demand),
    )  # fmt: skip


def draw_rows(year: DrawYear, hot_share_by_day: Floats) -> Iterator[tuple[Any, ...]]:
    """Yield the draws of a year as rows under :data:`DRAW_COLUMNS`, in order of time.

    Parameters
    ----------
    year : DrawYear
        Draws.
    hot_share_by_day : array of shape (365,)
        Hot share of mixed water. [-]

    Yields
    ------
    tuple
        One draw; the temperature is empty where a machine takes hot water as it comes.
    """
    hot_l, days = year.hot_l(hot_share_by_day), year.day
    for i in range(year.start_s.size):
        temp_c = float(year.mixed_temp_c[i])
        yield (
            int(days[i]),
            int(year.start_s[i] - 86_400 * days[i]),
            round(float(year.duration_s[i]), 1),
            round(float(year.mixed_flow_l_per_min[i]), 3),
            "" if temp_c >= AS_IT_COMES_C else round(temp_c, 2),
            round(float(hot_l[i]), 3),
            FIXTURES[year.fixture[i]].value,
        )


def _curve_l(hours: BusiestHours) -> Floats:
    return np.asarray(np.quantile(hours.hot_l, _CURVE)) if hours.hot_l.size else np.zeros(101)


def _inlet_dict(inlet: Inlet) -> dict[str, Any]:
    return {
        "method": str(inlet.method),
        "monthly_c": list(inlet.monthly_c),
        "annual_mean_c": inlet.annual_mean_c,
        "design_c": inlet.design_c,
        "design_day": inlet.design_day,
        "note": inlet.note,
    }


def _hot_by_hour_l(year: DrawYear, share: Floats, at_home: NDArray[np.bool_]) -> Floats:
    hour = ((year.start_s % 86_400) // 3600).astype(np.int64)
    weekend = (year.day % 7 >= 5).astype(np.int64)
    total = np.bincount(weekend * 24 + hour, weights=year.hot_l(share), minlength=48)
    is_weekend = np.arange(365) % 7 >= 5
    n_days = [np.count_nonzero(at_home & ~is_weekend), np.count_nonzero(at_home & is_weekend)]
    return np.asarray(total.reshape(2, 24) / np.maximum(n_days, 1)[:, None])


def _per_person_l(n_people: int) -> dict[str, tuple[float, float, float]]:
    rows = records("fixtures/per_person", {"low": "L", "medium": "L", "high": "L"})
    return {
        f"{row['period']}_l": (
            n_people * row["low"], n_people * row["medium"], n_people * row["high"]
        )
        for row in rows
    }  # fmt: skip


def _why_not_the_worksheet(demand: Demand) -> str:
    stated = "the uses you named" if demand.peak_hour_is_stated else "the uses we assumed"
    return (
        f"The worksheet adds up fixed amounts for {stated}, whatever the cold water and the"
        " setting; its editions put a shower at 12, 10 and 20 gal (45, 38 and 76 L). The simulated"
        " days find the hour in which uses really coincide, so most days need less and a few need"
        " more."
    )
