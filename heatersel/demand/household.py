"""The demand of one household in one place at one setpoint: what every later stage starts from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.busiest_hour import DEFAULT_YEARS, BusiestHours, busiest_hours
from heatersel.demand.draw_plan import plan_draws
from heatersel.demand.inlet import Inlet
from heatersel.demand.peak_flow import (
    TUB_FILLERS,
    FlowDistribution,
    busy_fixtures,
    flow_distribution,
    simultaneous_flow_l_per_min,
)
from heatersel.demand.peak_hour import estimated_uses, peak_hour_by_fixture_l, worksheet_l
from heatersel.demand.uses import daily_use, days_present, hot_by_day_l
from heatersel.errors import OutOfRangeError
from heatersel.job.models import Fixture, Household
from heatersel.water import heat_kwh, mixing_hot_fraction

if TYPE_CHECKING:
    from heatersel.climate import Climate
    from heatersel.demand.bills import BillsResult, HeaterInUse
    from heatersel.job.models import Job

__all__ = ["Demand", "demand_for", "demand_of", "design_hot_shares", "occupants_hot_water_l"]

Floats = NDArray[np.float64]

_TAPS = (Fixture.SHOWER, Fixture.LAVATORY, Fixture.KITCHEN_SINK)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Demand:
    """Hot water that a household asks for.

    Hot volumes and flows are at the setpoint; those of the design day are at the coldest inlet.

    Parameters
    ----------
    setpoint_c, use_temp_c, design_inlet_c : float
        Hot, mixed and coldest water. [°C]
    daily_hot_water_l, daily_mixed_water_l : float
        Mean day of the year, days away and guests included. [L]
    hot_by_day_l : array of shape (365,)
        Hot water on each day, day 0 = 1 January. [L]
    by_fixture_l : mapping of Fixture to float
        Mean daily hot water by fixture; sums to `daily_hot_water_l`. [L]
    mixed_by_fixture_l : mapping of Fixture to float
        Mean daily mixed water (machines: hot water) by fixture. [L]
    peak_hour_hot_water_l : float
        What the heater has to give in the busiest hour, with the coldest inlet: the stated uses
        if there are any, else `percentile` of the busiest hours of simulated days. [L]
    peak_hour_uses : mapping of Fixture to int
        Uses in the busiest hour, as stated or else estimated.
    peak_hour_by_fixture_l : mapping of Fixture to float
        Hot water of those uses. [L]
    peak_hour_of_uses_l : float
        Sum of them. [L]
    peak_hour_is_stated : bool
        Whether the household named the uses.
    peak_hour_share_below : float
        Share of days whose busiest hour takes less than `peak_hour_hot_water_l`, were the inlet
        always the coldest. [-]
    busiest_hours, busiest_hours_design : BusiestHours
        The distribution with each day's inlet, and with the coldest inlet on every day.
    worksheet_l : mapping of str to float
        What the federal worksheet says for the same uses, by edition. [L]
    peak_flow_l_per_min : float
        Hot flow at the peak: of the stated simultaneous fixtures, else the percentile. [L/min]
    peak_mixed_flow_l_per_min : float
        The mixed flow that it feeds. [L/min]
    peak_flow_percentile_l_per_min : float
        Hot flow, tub fillers aside, not exceeded in `percentile` of the moments of the peak
        period. [L/min]
    peak_flow_is_stated : bool
        Whether the household named what runs together.
    peak_flow_share_not_above : float
        Share of the moments of the peak period in which `peak_mixed_flow_l_per_min` suffices:
        for all fixtures where it is stated, else without tub fillers. [-]
    least_flow_l_per_min : float or None
        Hot flow of the smallest shower or sink run alone on the day with the warmest inlet; a
        tankless heater with a higher minimum flow leaves it cold. None without any. [L/min]
    percentile : float
        Of busiest hour and peak flow. [-]
    flow_held : FlowDistribution
        Hot flow in the peak period that the heater must hold: all fixtures but tub fillers.
    flow_mixed : FlowDistribution
        Mixed flow of all fixtures in the peak period.
    temperature_rise_k : float
        Setpoint less coldest inlet. [K]
    peak_output_kw : float
        Heat rate that holds the peak flow at the setpoint. [kW]
    volume_factor : float
        By how much bills scaled the volumes; 1 without bills. [-]
    bills : BillsResult or None
        What the household's bills say, accepted or refused; None without bills.
    """

    setpoint_c: float
    use_temp_c: float
    design_inlet_c: float
    daily_hot_water_l: float
    daily_mixed_water_l: float
    hot_by_day_l: Floats
    by_fixture_l: Mapping[Fixture, float]
    mixed_by_fixture_l: Mapping[Fixture, float]
    peak_hour_hot_water_l: float
    peak_hour_uses: Mapping[Fixture, int]
    peak_hour_by_fixture_l: Mapping[Fixture, float]
    peak_hour_of_uses_l: float
    peak_hour_is_stated: bool
    peak_hour_share_below: float
    busiest_hours: BusiestHours
    busiest_hours_design: BusiestHours
    worksheet_l: Mapping[str, float]
    peak_flow_l_per_min: float
    peak_mixed_flow_l_per_min: float
    peak_flow_percentile_l_per_min: float
    peak_flow_is_stated: bool
    peak_flow_share_not_above: float
    least_flow_l_per_min: float | None
    percentile: float
    flow_held: FlowDistribution
    flow_mixed: FlowDistribution
    temperature_rise_k: float
    peak_output_kw: float
    volume_factor: float
    bills: BillsResult | None = None

    def as_dict(self) -> dict[str, Any]:
        """Return the figures, for JSON; distributions are left to the demand report."""
        return {
            "daily_hot_water_l": self.daily_hot_water_l,
            "daily_mixed_water_l": self.daily_mixed_water_l,
            "by_fixture_l": _by_name(self.by_fixture_l),
            "peak_hour_hot_water_l": self.peak_hour_hot_water_l,
            "peak_hour_by_fixture_l": _by_name(self.peak_hour_by_fixture_l),
            "peak_hour_uses": _by_name(self.peak_hour_uses),
            "peak_hour_of_uses_l": self.peak_hour_of_uses_l,
            "peak_hour_is_stated": self.peak_hour_is_stated,
            "peak_hour_share_below": self.peak_hour_share_below,
            "worksheet_l": dict(self.worksheet_l),
            "peak_flow_l_per_min": self.peak_flow_l_per_min,
            "peak_mixed_flow_l_per_min": self.peak_mixed_flow_l_per_min,
            "peak_flow_percentile_l_per_min": self.peak_flow_percentile_l_per_min,
            "peak_flow_is_stated": self.peak_flow_is_stated,
            "peak_flow_share_not_above": self.peak_flow_share_not_above,
            "least_flow_l_per_min": self.least_flow_l_per_min,
            "percentile": self.percentile,
            "design_inlet_c": self.design_inlet_c,
            "temperature_rise_k": self.temperature_rise_k,
            "peak_output_kw": self.peak_output_kw,
            "volume_factor": self.volume_factor,
            "bills": None if self.bills is None else self.bills.as_dict(),
        }


def demand_of(
    job: Job,
    inlet: Inlet,
    climate: Climate,
    *,
    heater: HeaterInUse | None = None,
    n_years: int = DEFAULT_YEARS,
) -> Demand:
    """Return what the household of a job asks for, scaled by its bills if they can be trusted.

    Parameters
    ----------
    job : Job
        Household, preferences and bills.
    inlet : Inlet
        Cold water by day.
    climate : Climate
        Air temperatures for the bills.
    heater : HeaterInUse, optional
        The heater whose fuel the bills count; a typical one if not given.
    n_years : int
        As for :func:`demand_for`.

    Returns
    -------
    Demand
        With the verdict on the bills, if there are any.

    Raises
    ------
    OutOfRangeError
        As for :func:`demand_for`.
    """
    household, preferences = job.household, job.preferences
    bills = None
    if household.bills is not None:
        from heatersel.demand.bills import hot_water_from_bills

        bills = hot_water_from_bills(
            household.bills,
            monthly_air_c=climate.monthly_air_c,
            daily_inlet_c=inlet.daily_c,
            setpoint_c=preferences.setpoint_c,
            n_people=household.occupants.total,
            n_bedrooms=household.bedrooms,
            occupants_by_day_l=occupants_hot_water_l(household, inlet, preferences.setpoint_c),
            country=climate.country,
            heater=heater,
        )
    demand = demand_for(
        household,
        inlet,
        preferences.setpoint_c,
        percentile=preferences.sizing_percentile,
        volume_factor=1.0 if bills is None else bills.volume_factor,
        seed=preferences.seed,
        n_years=n_years,
    )
    return replace(demand, bills=bills)


def occupants_hot_water_l(household: Household, inlet: Inlet, setpoint_c: float) -> Floats:
    """Return the hot water of each day by the people alone, as an array of shape (365,). [L]"""
    share = mixing_hot_fraction(household.use_temp_c, setpoint_c, inlet.daily_c)
    by_day = hot_by_day_l(daily_use(household), days_present(household), share)
    return np.asarray(np.sum(list(by_day.values()), axis=0))


def demand_for(
    household: Household,
    inlet: Inlet,
    setpoint_c: float,
    *,
    percentile: float = 0.99,
    volume_factor: float = 1.0,
    seed: int = 1,
    n_years: int = DEFAULT_YEARS,
) -> Demand:
    """Return what a household asks of its water heater.

    Parameters
    ----------
    household : Household
        People, fixtures and habits.
    inlet : Inlet
        Cold water by day.
    setpoint_c : float
        Hot water at the heater, above the coldest inlet. [°C]
    percentile : float
        Of the busiest hour where its uses are not stated, and of the peak flow; above 0 and
        below 1. [-]
    volume_factor : float
        Scales daily volumes and draws, as bills say; stated uses and flows are not scaled. [-]
    seed : int
        Of the simulated years, 0 or more.
    n_years : int
        Simulated years, 1 or more; eight cost about 50 ms.

    Returns
    -------
    Demand
        Daily volumes, busiest hour, peak flow and output.

    Raises
    ------
    OutOfRangeError
        If nobody lives there, a flow is not positive, no fixture is installed, or the setpoint
        does not lie above the coldest inlet.
    """
    if setpoint_c <= inlet.design_c:
        raise OutOfRangeError.of(
            "preferences.setpoint", value=f"{setpoint_c:g} °C",
            allowed=f"above the coldest inlet, {inlet.design_c:.1f} °C",
            fix='raise it; an example is "125 degF"',
        )  # fmt: skip
    use, present = daily_use(household).scaled(volume_factor), days_present(household)
    share = mixing_hot_fraction(household.use_temp_c, setpoint_c, inlet.daily_c)
    by_day = hot_by_day_l(use, present, share)
    hot_by_day = np.sum(list(by_day.values()), axis=0)
    hot_by_day.setflags(write=False)
    mixed = {
        fixture: volume * float(present.mean())
        for fixture, volume in (dict(use.mixed_l) | dict(use.hot_l)).items()
    }
    design_share = mixing_hot_fraction(household.use_temp_c, setpoint_c, inlet.design_c)
    busiest, busiest_design = busiest_hours(
        plan_draws(household, volume_factor), (share, np.full(365, design_share)), seed, n_years
    )
    hour = _peak_hour(household, design_hot_shares(household, inlet, setpoint_c, machines_hot=True))
    if not hour["peak_hour_is_stated"]:
        hour["peak_hour_hot_water_l"] = busiest_design.percentile_l(percentile)
    flow = _peak_flow(household, design_hot_shares(household, inlet, setpoint_c), percentile)
    peak_l_per_min = flow["peak_flow_l_per_min"]
    return Demand(
        setpoint_c=setpoint_c,
        use_temp_c=household.use_temp_c,
        design_inlet_c=inlet.design_c,
        daily_hot_water_l=float(hot_by_day.mean()),
        daily_mixed_water_l=sum(mixed.values()),
        hot_by_day_l=hot_by_day,
        by_fixture_l={fixture: float(days.mean()) for fixture, days in by_day.items()},
        mixed_by_fixture_l=mixed,
        peak_hour_share_below=busiest_design.share_below(hour["peak_hour_hot_water_l"]),
        busiest_hours=busiest,
        busiest_hours_design=busiest_design,
        least_flow_l_per_min=_least_flow_l_per_min(household, float(share.min())),
        percentile=percentile,
        temperature_rise_k=setpoint_c - inlet.design_c,
        peak_output_kw=heat_kwh(peak_l_per_min * 60.0, inlet.design_c, setpoint_c),
        volume_factor=volume_factor,
        **hour,
        **flow,
    )


def design_hot_shares(
    household: Household, inlet: Inlet, setpoint_c: float, *, machines_hot: bool = False
) -> dict[Fixture, float]:
    """Return the hot share of each fixture's water on the coldest day.

    Parameters
    ----------
    household, inlet, setpoint_c
        As for :func:`demand_for`.
    machines_hot : bool
        Whether the figures that the shares multiply are a machine's hot water (volumes per
        use) and not hot and cold together (design flows, where a clothes washer is taken to
        wash warm, at the use temperature).

    Returns
    -------
    dict of Fixture to float
        Hot share; 0 for a dishwasher that heats its own water. [-]
    """
    mixed = mixing_hot_fraction(household.use_temp_c, setpoint_c, inlet.design_c)
    share = dict.fromkeys(Fixture, mixed)
    share[Fixture.DISHWASHER] = 0.0 if household.dishwasher_heats_water else 1.0
    if machines_hot:
        share[Fixture.CLOTHES_WASHER] = 1.0
    return share


def _peak_hour(household: Household, share: Mapping[Fixture, float]) -> dict[str, Any]:
    """Return the fields of the demand that concern the uses of the busiest hour."""
    stated = _stated(household.peak_hour)
    uses = stated or estimated_uses(household)
    hour_l = peak_hour_by_fixture_l(uses, household.fixture_flow, share)
    return {
        "peak_hour_hot_water_l": sum(hour_l.values()),
        "peak_hour_uses": uses,
        "peak_hour_by_fixture_l": hour_l,
        "peak_hour_of_uses_l": sum(hour_l.values()),
        "peak_hour_is_stated": bool(stated),
        "worksheet_l": worksheet_l(uses),
    }


def _peak_flow(
    household: Household, share: Mapping[Fixture, float], percentile: float
) -> dict[str, Any]:
    """Return the fields of the demand that concern flow."""
    counts, flows = household.fixtures, household.fixture_flow
    served = {fixture: float(part > 0.0) for fixture, part in share.items()}
    without_tubs = dict.fromkeys(TUB_FILLERS, 0.0)
    held = flow_distribution(busy_fixtures(counts, flows, dict(share) | without_tubs))
    held_mixed = flow_distribution(busy_fixtures(counts, flows, served | without_tubs))
    peak = at_percentile = held.percentile_l_per_min(percentile)
    peak_mixed = held_mixed.percentile_l_per_min(percentile)
    every_mixed = flow_distribution(busy_fixtures(counts, flows, served))
    stated = _stated(household.simultaneous)
    placed = every_mixed if stated else held_mixed
    if stated:
        peak = simultaneous_flow_l_per_min(stated, flows, share)
        peak_mixed = simultaneous_flow_l_per_min(stated, flows, served)
    return {
        "peak_flow_l_per_min": peak,
        "peak_mixed_flow_l_per_min": peak_mixed,
        "peak_flow_percentile_l_per_min": at_percentile,
        "peak_flow_is_stated": bool(stated),
        "peak_flow_share_not_above": placed.share_not_above(peak_mixed),
        "flow_held": held,
        "flow_mixed": every_mixed,
    }


def _least_flow_l_per_min(household: Household, hot_share: float) -> float | None:
    counts, flows = household.fixtures, household.fixture_flow
    there = [hot_share * flows.of(fixture) for fixture in _TAPS if counts.of(fixture)]
    return min(there, default=None)


def _by_name(values: Mapping[Fixture, Any]) -> dict[str, Any]:
    return {fixture.value: value for fixture, value in values.items()}


def _stated(uses: object) -> dict[Fixture, int]:
    """Return the numbers that the household gave, empty if none."""
    of = getattr(uses, "of", None)
    return {} if of is None else {fixture: of(fixture) for fixture in Fixture if of(fixture)}
