"""Daily hot water from the household's own bills.

The use of a fuel is split into heating, cooling and a base load by a change-point regression on
outdoor temperature; what other appliances take is subtracted from the base; the rest, times the
heater's efficiency and less its standby loss, is heat in hot water. The base load is read where
nothing heats, on warm days, when the inlet is warm and people may be away; it is compared with
the heat that the people alone would take on those days, and the year is scaled by the ratio.

The answer is an interval: regression, other appliances and efficiency each add to its width. A
poor fit is refused with its reason, and the figure from the people stays.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.bill_periods import Periods, usable_periods
from heatersel.demand.change_point import (
    ChangePointFit,
    fit_base_load,
    fit_five_parameter,
    fit_three_parameter,
)
from heatersel.errors import ModelError
from heatersel.heaters.heater import EnergySource
from heatersel.job.bills import Appliance, Bills
from heatersel.water import heat_kwh

__all__ = [
    "BillsResult",
    "HeaterInUse",
    "hot_water_from_bills",
    "other_use_kwh_per_year",
    "typical_heater_in_use",
]

Floats = NDArray[np.float64]

WORST_CV_RMSE = 0.25
"""Scatter of monthly use above which a fit is refused; ASHRAE Guideline 14 asks for 15 to 25 % of
monthly models by purpose (memory, medium)."""

LEAST_R_SQUARED, GOOD_CV_RMSE = 0.75, 0.10
"""Guideline 14's advice for a regression on temperature (memory, medium); it is asked of fits with
a slope whose scatter is not good anyway, for a use that hardly depends on temperature has a low
R-squared however well it is known."""

WIDEST_INTERVAL = 0.6
"""Half-width over volume above which the bills say too little (assumed)."""

PLAUSIBLE_L_PER_PERSON = (8.0, 300.0)
"""Measured homes lie within 27 to 135 gal a day for a whole house; beyond this the bills must be
read as wrong (assumed)."""

_OTHER_USE_ERROR, _EFFICIENCY_ERROR = 0.3, 0.06
_FLOOR_AREA_ASSUMED_M2 = 167.2  # 1,800 ft2
_M2_PER_FT2 = 0.09290304
_KWH_PER_THERM = 29.30711


@dataclass(frozen=True, slots=True, kw_only=True)
class HeaterInUse:
    """The heater whose fuel the bills count.

    Parameters
    ----------
    recovery_efficiency : float
        Heat into the water over fuel burnt, above 0. [-]
    standby_kwh_per_day : float
        Fuel that standby takes, pilot included. [kWh/d]
    basis : str
        Where the two come from.
    """

    recovery_efficiency: float
    standby_kwh_per_day: float
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BillsResult:
    """What the bills say of daily hot water.

    Parameters
    ----------
    accepted : bool
        Whether the figure is used.
    reason : str
        Why not, in plain words; empty if accepted.
    daily_hot_water_l, low_l, high_l : float
        Estimate and its 95 % interval, at the setpoint, mean day of the year. [L]
    occupants_l : float
        The figure from the people, which is used if the bills are refused. [L]
    base_kwh_per_day, other_kwh_per_day, standby_kwh_per_day : float
        Base load, and the parts of it that do not reach the water. [kWh/d]
    cv_rmse, r_squared : float
        Quality of the fit. [-]
    fit : ChangePointFit or None
        The regression; None if there was too little to fit.
    periods : Periods
        What was fitted.
    notes : tuple of str
        Assumptions in plain words.
    """

    accepted: bool
    reason: str
    daily_hot_water_l: float
    low_l: float
    high_l: float
    occupants_l: float
    base_kwh_per_day: float
    other_kwh_per_day: float
    standby_kwh_per_day: float
    cv_rmse: float
    r_squared: float
    fit: ChangePointFit | None
    periods: Periods
    notes: tuple[str, ...]

    @property
    def volume_factor(self) -> float:
        """By how much to scale the volumes that follow from the people. [-]"""
        return self.daily_hot_water_l / self.occupants_l if self.accepted else 1.0

    def as_dict(self) -> dict[str, Any]:
        """Return the figures as plain fields, for JSON."""
        names = ("accepted", "reason", "daily_hot_water_l", "low_l", "high_l", "occupants_l",
                 "base_kwh_per_day", "other_kwh_per_day", "standby_kwh_per_day", "cv_rmse",
                 "r_squared", "volume_factor")  # fmt: skip
        fit = self.fit
        plain = {name: getattr(self, name) for name in names}
        missing = [name for name, value in plain.items() if value != value]
        return (
            plain
            | dict.fromkeys(missing)
            | {
                "heating_balance_c": None if fit is None else fit.heating_balance_c,
                "cooling_balance_c": None if fit is None else fit.cooling_balance_c,
                "notes": list(self.notes),
            }
        )


def hot_water_from_bills(
    bills: Bills,
    *,
    monthly_air_c: Sequence[float],
    daily_inlet_c: Floats,
    setpoint_c: float,
    n_people: int,
    n_bedrooms: int,
    occupants_by_day_l: Floats,
    country: str = "US",
    heater: HeaterInUse | None = None,
) -> BillsResult:
    """Return the daily hot water that a year of bills points to.

    Parameters
    ----------
    bills : Bills
        Readings or deliveries.
    monthly_air_c : sequence of 12 float
        Mean air temperatures, used for periods without a temperature of their own. [°C]
    daily_inlet_c : array of shape (365,)
        Cold water. [°C]
    setpoint_c : float
        Hot water. [°C]
    n_people, n_bedrooms : int
        For plausibility, and for what other appliances take.
    occupants_by_day_l : array of shape (365,)
        Hot water by the people on each day, 0 on days away. [L]
    country : str
        "US" or "CA", for the heat in a volume of fuel.
    heater : HeaterInUse, optional
        The heater in use; a typical one for its fuel if not given.

    Returns
    -------
    BillsResult
        Accepted, or refused with the reason.
    """
    heater = heater or typical_heater_in_use(bills.fuel)
    periods = usable_periods(bills, monthly_air_c, country)
    other = other_use_kwh_per_year(bills, n_bedrooms) / 365.0
    notes = (*periods.notes, *_assumptions(bills, other, heater))
    occupants_l = float(occupants_by_day_l.mean())
    if not bills.heats_water:
        reason = "this fuel does not heat the water"
        return _refused(reason, occupants_l, periods, notes, heater, other)
    try:
        fit = _fit(bills, periods)
    except ModelError as trouble:
        reason = trouble.faults[0].value + " are too few for a fit"
        return _refused(reason, occupants_l, periods, notes, heater, other)
    per_l = heat_kwh(np.ones(365), daily_inlet_c, np.full(365, setpoint_c))
    to_litres = occupants_l / _mean_of_idle_days(fit, periods, occupants_by_day_l * per_l)
    useful = fit.base_per_day - other - heater.standby_kwh_per_day
    litres = useful * heater.recovery_efficiency * to_litres
    errors_kwh = (
        fit.base_half_width_per_day,
        _OTHER_USE_ERROR * other,
        _EFFICIENCY_ERROR * fit.base_per_day,
    )
    half = math.hypot(*errors_kwh) * heater.recovery_efficiency * to_litres
    reason = _why_not(fit, litres, half, n_people)
    return BillsResult(
        accepted=not reason,
        reason=reason,
        daily_hot_water_l=litres,
        low_l=max(litres - half, 0.0),
        high_l=max(litres + half, 0.0),
        occupants_l=occupants_l,
        base_kwh_per_day=fit.base_per_day,
        other_kwh_per_day=other,
        standby_kwh_per_day=heater.standby_kwh_per_day,
        cv_rmse=fit.cv_rmse,
        r_squared=fit.r_squared,
        fit=fit,
        periods=periods,
        notes=notes,
    )


def other_use_kwh_per_year(bills: Bills, n_bedrooms: int) -> float:
    """Return what other appliances take of this fuel outside heating and cooling.

    Parameters
    ----------
    bills : Bills
        Says whether dryer and stove run on the fuel, and the floor area.
    n_bedrooms : int
        Size of the household, as the equations want it.

    Returns
    -------
    float
        Energy per year. [kWh]

    Notes
    -----
    For N bedrooms and A ft2 of floor (1,800 if not given). Electric: 0.91 A for plugs,
    455 + 0.80 A for light, 637 + 18 N refrigerator, 413 + 69 N television, 78 + 31 N and
    38 + 10 N for the machines; stove 331 + 39 N, dryer 524 + 149 N kWh. Gas: stove 22.6 + 2.7 N,
    dryer 18.8 + 5.3 N therm. Single houses differ by a third, which is taken as the error.

    References
    ----------
    .. [1] ANSI/RESNET/ICC 301-2014, lighting, appliances and other loads of the reference home.
       (memory, medium-high)
    """
    stove, dryer = (Appliance.STOVE in bills.also_runs, Appliance.DRYER in bills.also_runs)
    if bills.fuel is not EnergySource.ELECTRICITY:
        therms = stove * (22.6 + 2.7 * n_bedrooms) + dryer * (18.8 + 5.3 * n_bedrooms)
        return therms * _KWH_PER_THERM
    area_ft2 = (bills.floor_area_m2 or _FLOOR_AREA_ASSUMED_M2) / _M2_PER_FT2
    always = (0.91 + 0.80) * area_ft2 + 455.0 + 637.0 + 413.0 + 78.0 + 38.0 + 128.0 * n_bedrooms
    return always + stove * (331.0 + 39.0 * n_bedrooms) + dryer * (524.0 + 149.0 * n_bedrooms)


def typical_heater_in_use(fuel: EnergySource) -> HeaterInUse:
    """Return efficiency and standby of the usual older tank on this fuel.

    Typical values (memory): recovery 0.98 electric, 0.77 gas and propane, 0.78 oil; standby on
    the fuel side 0.65 kWh a day for an electric tank and 3.5 for one with a flue, which are about
    UEF 0.92 and 0.58 in the medium draw pattern.
    """
    if fuel is EnergySource.ELECTRICITY:
        return HeaterInUse(recovery_efficiency=0.98, standby_kwh_per_day=0.65,
                           basis="a typical electric tank")  # fmt: skip
    recovery = 0.78 if fuel is EnergySource.FUEL_OIL else 0.77
    return HeaterInUse(recovery_efficiency=recovery, standby_kwh_per_day=3.5,
                       basis="a typical older tank with a flue")  # fmt: skip


def _fit(bills: Bills, periods: Periods) -> ChangePointFit:
    """Return the fit with as many parameters as the household's use calls for.

    Unless the job says so, a fuel heats where a heating slope stands out of its scatter, and
    only electricity cools.
    """
    temp, use, days = periods.day_temp_c, periods.use_kwh_per_day, periods.days
    may_cool = bills.fuel is EnergySource.ELECTRICITY and bills.cools_house is not False
    may_heat = bills.heats_house is not False
    fits = [fit_base_load(use, days)]
    if may_heat:
        fits.append(fit_three_parameter(temp, use, days))
    if may_cool:
        fits.append(fit_three_parameter(temp, use, days, cooling=True))
    if may_heat and may_cool and use.size >= 7:
        fits.append(fit_five_parameter(temp, use, days))
    wanted = [
        fit
        for fit in fits
        if (not bills.heats_house or fit.heating_balance_c is not None)
        and (not bills.cools_house or fit.cooling_balance_c is not None)
    ]
    # More parameters must lower the scatter per degree of freedom, which CV(RMSE) measures.
    return min(wanted or fits, key=lambda fit: (round(fit.cv_rmse, 3), fit.n_parameters))


def _why_not(fit: ChangePointFit, litres: float, half: float, n_people: int) -> str:
    """Return why the figure cannot be used, empty if it can."""
    low, high = PLAUSIBLE_L_PER_PERSON
    if fit.cv_rmse > WORST_CV_RMSE:
        return (f"the use scatters by {fit.cv_rmse:.0%} around the fit, more than"
                f" {WORST_CV_RMSE:.0%}")  # fmt: skip
    slack = fit.n_parameters > 1 and fit.r_squared < LEAST_R_SQUARED
    if slack and fit.cv_rmse > GOOD_CV_RMSE:
        return (f"the temperature explains only {fit.r_squared:.0%} of the use, less than"
                f" {LEAST_R_SQUARED:.0%}")  # fmt: skip
    if litres <= 0.0:
        return "standby and other appliances already take the whole base load"
    if half > WIDEST_INTERVAL * litres:
        return f"the interval is too wide, {half / litres:.0%} to either side"
    if not low <= litres / n_people <= high:
        return (f"{litres / n_people:.0f} L a person and day is not plausible"
                f" ({low:.0f} to {high:.0f})")  # fmt: skip
    return ""


def _mean_of_idle_days(fit: ChangePointFit, periods: Periods, by_day: Floats) -> float:
    """Return the mean over the billed days on which nothing heats or cools.

    Where there is none, those without heating count, else those without cooling, else all.
    """
    temp_c, day = np.concatenate(periods.day_temp_c), np.concatenate(periods.day_of_year)
    heats = np.zeros(temp_c.size, dtype=bool)
    cools = heats.copy()
    if fit.heating_balance_c is not None:
        heats = temp_c < fit.heating_balance_c
    if fit.cooling_balance_c is not None:
        cools = temp_c > fit.cooling_balance_c
    for idle in (~heats & ~cools, ~heats, ~cools):
        if by_day[day[idle]].any():
            return float(by_day[day[idle]].mean())
    return float(by_day.mean())


def _assumptions(bills: Bills, other: float, heater: HeaterInUse) -> list[str]:
    notes = [
        f"Heater: {heater.basis}, recovery {heater.recovery_efficiency:.2f}, standby"
        f" {heater.standby_kwh_per_day:.1f} kWh a day.",
        f"Other use of this fuel: {other:.1f} kWh a day"
        + (f" ({', '.join(bills.also_runs)})." if bills.also_runs else "."),
    ]
    if bills.fuel is EnergySource.ELECTRICITY and bills.floor_area_m2 is None:
        notes.append("Floor area 1,800 ft2 assumed for light and plugs.")
    return notes


def _refused(
    reason: str,
    occupants_l: float,
    periods: Periods,
    notes: tuple[str, ...],
    heater: HeaterInUse,
    other: float,
) -> BillsResult:
    nothing = float("nan")
    return BillsResult(
        accepted=False, reason=reason, daily_hot_water_l=nothing, low_l=nothing, high_l=nothing,
        occupants_l=occupants_l, base_kwh_per_day=nothing, other_kwh_per_day=other,
        standby_kwh_per_day=heater.standby_kwh_per_day, cv_rmse=nothing, r_squared=nothing,
        fit=None, periods=periods, notes=notes,
    )  # fmt: skip
