"""A simulated year of every option of a house: tanks, heat pumps and tankless heaters alike.

Each heater stands in the room's air as it would be with that heater in it: a tank warms its room,
a heat pump cools it and feels the loss. What that does to the house's heating and cooling is a
line of its own in the result. All options see the same years of draws.

A recirculation loop is counted on every option: its pump, and its heat as a larger standby loss
of a tank or as more input of a tankless heater. It is taken to lose its heat into the heater's
room, evenly over the year. A heat pump that heats cold water in one pass finds warm returned water
instead for the share of the year that the loop runs. The layers of other tanks are left as they
are, so the hot water of a tank with a loop lasts somewhat less long than is said here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from heatersel.heaters.heater import EnergySource, Heater, input_left_frac
from heatersel.simulation.distribution import LoopYear
from heatersel.simulation.heat_pump import HeatPumpDays
from heatersel.simulation.heat_pump_air import HeatPumpAir, condensate_l, remarks, settle
from heatersel.simulation.heat_pump_control import ControlMode
from heatersel.simulation.heat_pump_settings import settings_for
from heatersel.simulation.house_year import HouseYear, SimulatedOptions
from heatersel.simulation.rating_test import calibrated
from heatersel.simulation.result import AnnualResult
from heatersel.simulation.room import room_air
from heatersel.simulation.space_heating import house_shares, space_effect
from heatersel.simulation.tank import TankModel
from heatersel.simulation.tankless import (
    Overload,
    TanklessSite,
    TanklessYears,
    efficiency,
    simulate_tankless,
)
from heatersel.simulation.year import MONTH_OF_DAY, TankSite, TankYears, simulate_tanks

__all__ = [
    "as_installed",
    "settled_air",
    "simulate_options",
    "simulate_schedule",
    "warmed_air_c",
]

Floats = NDArray[np.float64]

_DAYS_OF_MONTH = np.bincount(MONTH_OF_DAY).astype(float)


def simulate_options(heaters: Sequence[Heater], house: HouseYear) -> SimulatedOptions:
    """Return simulated years of all heaters in one house.

    Parameters
    ----------
    heaters : sequence of Heater
        Storage and tankless heaters.
    house : HouseYear
        What they meet.

    Returns
    -------
    SimulatedOptions
        Means over the years of draws.

    Raises
    ------
    OutOfRangeError
        If the setpoint does not lie above the warmest inlet.
    """
    models, refused = calibrated([heater for heater in heaters if not heater.is_tankless])
    stored = _simulate_stores([as_installed(model, house) for model in models], house)
    flowing = [heater for heater in heaters if heater.is_tankless]
    tankless = _simulate_flowing(flowing, house) if flowing else {}
    return SimulatedOptions(
        annual=stored | {id_: years.annual for id_, years in tankless.items()},
        tankless=tankless,
        faults=tuple(fault for error in refused for fault in error.faults),
    )


def simulate_schedule(
    heater: Heater, house: HouseYear, *, setpoint_c: float, blocked: NDArray[np.bool_]
) -> AnnualResult:
    """Return a simulated year of a tank that may not heat in some hours.

    Parameters
    ----------
    heater : Heater
        A storage heater.
    house : HouseYear
        What it meets; its own setpoint is not used.
    setpoint_c : float
        Store temperature in the other hours. [°C]
    blocked : array of shape (8760,)
        Hours in which nothing heats.

    Returns
    -------
    AnnualResult
        As from :func:`simulate_options`.

    Raises
    ------
    InputError
        If no tank gives the heater's label.
    OutOfRangeError
        If the setpoint does not lie above the warmest inlet.
    """
    models, refused = calibrated([heater])
    if refused:
        raise refused[0]
    house = replace(house, setpoint_c=setpoint_c)
    return _simulate_stores([as_installed(models[0], house)], house, blocked)[heater.id]


def as_installed(model: TankModel, house: HouseYear) -> TankModel:
    """Return a calibrated tank as it would stand in this house."""
    return replace(
        _with_loop(model, house.loop),
        tempering_valve_c=house.tempering_valve_c,
        control=house.control,
        input_frac=input_left_frac(model.heater, house.altitude_derate_frac, house.supply_v),
    )


def _with_loop(model: TankModel, loop: LoopYear | None) -> TankModel:
    """Return a tank that keeps a loop warm: more loss, none of it up the flue."""
    if loop is None:
        return model
    loss_w_per_k = model.standby_loss_w_per_k + loop.mean_loss_w_per_k
    return replace(
        model,
        standby_loss_w_per_k=loss_w_per_k,
        flue_frac=model.flue_frac * model.standby_loss_w_per_k / loss_w_per_k,
    )


def _simulate_stores(
    models: Sequence[TankModel], house: HouseYear, blocked: NDArray[np.bool_] | None = None
) -> dict[str, AnnualResult]:
    pumps = [model for model in models if model.is_heat_pump]
    airs = {model.heater.id: settled_air(model, house) for model in pumps}
    found, around_c = _run(models, airs, house, blocked)
    if pumps and house.control.mode in (ControlMode.ELEMENTS_ONLY, ControlMode.SCHEDULE):
        # Elements carry much of the load: only what the compressor took has cooled the room.
        done = dict(zip((model.heater.id for model in models), found, strict=True))
        airs = {
            model.heater.id: settled_air(
                model, house, _compressor_frac(done[model.heater.id], airs[model.heater.id])
            )
            for model in pumps
        }
        found, around_c = _run(models, airs, house, blocked)
    return {
        model.heater.id: replace(
            _with_house(model, years, airs.get(model.heater.id), house),
            room_monthly_c=_by_month(air_c),
        )
        for model, years, air_c in zip(models, found, around_c, strict=True)
    }


def _run(
    models: Sequence[TankModel],
    airs: Mapping[str, HeatPumpAir],
    house: HouseYear,
    blocked: NDArray[np.bool_] | None,
) -> tuple[Sequence[TankYears], Sequence[Floats]]:
    """Return the years of tanks, and the air around each by day."""
    around_c = [
        airs[model.heater.id].mean_c if model.is_heat_pump else warmed_air_c(model, house)
        for model in models
    ]
    site = TankSite(
        inlet_c=house.inlet_c,
        room_c=np.array(around_c).reshape(len(models), 365),
        setpoint_c=house.setpoint_c,
        use_temp_c=house.use_temp_c,
        pump_days={id_: air.days for id_, air in airs.items()},
        blocked=blocked,
    )
    return simulate_tanks(models, house.years, site), around_c


def _compressor_frac(years: TankYears, air: HeatPumpAir) -> float:
    """Return what the compressor took from the air, over what it was expected to take."""
    expected_kwh = float(air.taken_kwh.sum())
    taken_kwh = float(years.air_kwh_by_month.sum())
    return min(1.0, taken_kwh / expected_kwh) if expected_kwh > 0.0 else 0.0


def _lost_kwh(model: TankModel, house: HouseYear) -> Floats:
    """Return the standby heat of a tank by day, without what goes up its flue."""
    loss_w_per_k = model.standby_loss_w_per_k * (1.0 - model.flue_frac)
    return 0.024 * loss_w_per_k * (house.setpoint_c - house.air.air.mean_c)


def settled_air(model: TankModel, house: HouseYear, compressor_frac: float = 1.0) -> HeatPumpAir:
    """Return the air that a heat pump finds once it has cooled its room, and what it can do.

    `compressor_frac` is the share of the heat that comes of the compressor.
    """
    lost_kwh = _lost_kwh(model, house)
    air = settle(
        model.heater,
        house.air.room,
        house.air.near,
        heat_kwh=compressor_frac * (house.heat_kwh + lost_kwh),
        lost_kwh=lost_kwh,
        setpoint_c=house.setpoint_c,
        cop_scale=model.cop_scale,
        defrost_penalty_frac=house.defrost_penalty_frac,
    )
    return replace(air, days=_with_warm_return(model.heater, air.days, house.loop))


def _with_warm_return(heater: Heater, days: HeatPumpDays, loop: LoopYear | None) -> HeatPumpDays:
    """Return the tables of a single-pass unit that finds a loop's water at the bottom."""
    if loop is None or not settings_for(heater.refrigerant).transcritical:
        return days
    found_c = np.maximum(days.water_c, loop.return_c)
    share = loop.warm_return_frac

    def blended(values: Floats) -> Floats:
        warm = np.stack([np.interp(found_c, days.water_c, row) for row in values])
        return (1.0 - share) * values + share * warm

    return replace(days, cop=blended(days.cop), heat_kw=blended(days.heat_kw))


def warmed_air_c(model: TankModel, house: HouseYear) -> Floats:
    """Return the room's air with the tank's own standby heat in it."""
    return room_air(house.air.room, house.air.near, gained_kwh=_lost_kwh(model, house)).mean_c


def _with_house(
    model: TankModel, years: TankYears, air: HeatPumpAir | None, house: HouseYear
) -> AnnualResult:
    """Return the year with its effect on the house and what a heat pump does to its room."""
    given_kwh = _by_day(years.loss_kwh_by_month) * (1.0 - model.flue_frac)
    pumped = _with_pump(years.annual, house.loop)
    annual = _charged(model.heater, pumped, _by_day(years.air_kwh_by_month), given_kwh, house)
    if air is None:
        return annual
    return replace(
        annual,
        condensate_l=float(condensate_l(air.latent_kwh).sum()),
        notes=(*annual.notes, *remarks(model.heater, air)),
    )


def _simulate_flowing(heaters: Sequence[Heater], house: HouseYear) -> dict[str, TanklessYears]:
    site = TanklessSite(
        inlet_c=house.inlet_c,
        room_c=house.air.air.mean_c,
        setpoint_c=house.setpoint_c,
        use_temp_c=house.use_temp_c,
        altitude_derate_frac=house.altitude_derate_frac,
        supply_v=house.supply_v,
        overload=Overload.THROTTLE if house.throttles else Overload.SAG,
        buffer_l=house.buffer_l,
    )
    found = simulate_tankless(heaters, house.years, site)
    return {
        heater.id: replace(years, annual=_flowing_year(heater, years.annual, house))
        for heater, years in zip(heaters, found, strict=True)
    }


def _flowing_year(heater: Heater, alone: AnnualResult, house: HouseYear) -> AnnualResult:
    """Return a tankless year with the loop that it warms and its effect on the house."""
    annual = replace(_with_pump(alone, house.loop), room_monthly_c=_by_month(house.air.air.mean_c))
    if house.loop is not None:
        returning_c = np.full(365, house.loop.return_c)
        conversion = float(efficiency(heater, returning_c, house.setpoint_c)[0])
        fired_kwh = house.loop.loss_kwh / conversion
        annual = replace(
            _with_energy(annual, heater.energy_source, fired_kwh),
            standby_loss_kwh=annual.standby_loss_kwh + house.loop.loss_kwh,
        )
    given_kwh = np.full(365, annual.standby_loss_kwh / 365.0)
    return _charged(heater, annual, np.zeros(365), given_kwh, house)


def _with_pump(annual: AnnualResult, loop: LoopYear | None) -> AnnualResult:
    """Return the year with the pump of a loop, and a note of what the loop takes."""
    if loop is None:
        return annual
    return replace(
        _with_energy(annual, EnergySource.ELECTRICITY, loop.pump_kwh),
        auxiliary_kwh=annual.auxiliary_kwh + loop.pump_kwh,
        notes=(
            *annual.notes,
            f"the recirculation loop's pump uses {loop.pump_kwh:,.0f} kWh a year, its pipes lose"
            f" {loop.loss_kwh:,.0f} kWh of heat",
        ),
    )


def _with_energy(annual: AnnualResult, source: EnergySource, kwh: float) -> AnnualResult:
    """Return the year with more of one energy, spread evenly over its hours."""
    months = annual.monthly_kwh.get(source, np.zeros(12)) + kwh * _DAYS_OF_MONTH / 365.0
    hours = annual.hourly_kwh
    if hours is not None:
        hours = {**hours, source: hours.get(source, np.zeros(8760)) + kwh / 8760.0}
    return replace(annual, monthly_kwh={**annual.monthly_kwh, source: months}, hourly_kwh=hours)


def _charged(
    heater: Heater, annual: AnnualResult, taken_kwh: Floats, given_kwh: Floats, house: HouseYear
) -> AnnualResult:
    """Return the year with what it does to the house's heating and cooling."""
    if house.system is None:
        return annual
    effect = space_effect(
        taken_kwh,
        given_kwh,
        shares=house_shares(heater, house.air.room),
        outdoor_c=house.air.near.outdoor_c,
        system=house.system,
    )
    return replace(
        annual,
        space_heating_effect_kwh=effect.house_heat_kwh,
        space_monthly_kwh=effect.monthly_kwh,
    )


def _by_month(by_day: Floats) -> Floats:
    return np.asarray(np.bincount(MONTH_OF_DAY, weights=by_day) / _DAYS_OF_MONTH)


def _by_day(by_month: Floats) -> Floats:
    return np.asarray((by_month / _DAYS_OF_MONTH)[MONTH_OF_DAY])
