"""A simulated year of every option of a house: tanks, heat pumps and tankless heaters alike.

Each heater stands in the room's air as it would be with that heater in it: a tank warms its room,
a heat pump cools it and feels the loss. What that does to the house's heating and cooling is a
line of its own in the result. All options see the same years of draws.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from heatersel.heaters.heater import Heater
from heatersel.simulation.heat_pump_air import HeatPumpAir, remarks, settle
from heatersel.simulation.house_year import HouseYear, SimulatedOptions
from heatersel.simulation.rating_test import calibrated
from heatersel.simulation.result import AnnualResult
from heatersel.simulation.room import room_air
from heatersel.simulation.space_heating import house_shares, space_effect
from heatersel.simulation.tank import TankModel
from heatersel.simulation.tankless import TanklessSite, TanklessYears, simulate_tankless
from heatersel.simulation.year import MONTH_OF_DAY, TankSite, TankYears, simulate_tanks

__all__ = ["simulate_options"]

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
    stored = _simulate_stores([_as_installed(model, house) for model in models], house)
    flowing = [heater for heater in heaters if heater.is_tankless]
    tankless = _simulate_flowing(flowing, house) if flowing else {}
    return SimulatedOptions(
        annual=stored | {id_: years.annual for id_, years in tankless.items()},
        tankless=tankless,
        faults=tuple(fault for error in refused for fault in error.faults),
    )


def _as_installed(model: TankModel, house: HouseYear) -> TankModel:
    """Return a calibrated tank as it would stand in this house."""
    thin_air = house.altitude_derate_frac if model.heater.burns_fuel else 0.0
    return replace(
        model,
        tempering_valve_c=house.tempering_valve_c,
        control=house.control,
        input_frac=1.0 - thin_air,
    )


def _simulate_stores(models: Sequence[TankModel], house: HouseYear) -> dict[str, AnnualResult]:
    airs = {model.heater.id: _settled(model, house) for model in models if model.is_heat_pump}
    room_c = [
        airs[model.heater.id].mean_c if model.is_heat_pump else _warmed_c(model, house)
        for model in models
    ]
    site = TankSite(
        inlet_c=house.inlet_c,
        room_c=np.array(room_c).reshape(len(models), 365),
        setpoint_c=house.setpoint_c,
        use_temp_c=house.use_temp_c,
        pump_days={id_: air.days for id_, air in airs.items()},
    )
    found = simulate_tanks(models, house.years, site)
    return {
        model.heater.id: _with_house(model, years, airs.get(model.heater.id), house)
        for model, years in zip(models, found, strict=True)
    }


def _lost_kwh(model: TankModel, house: HouseYear) -> Floats:
    """Return the standby heat of a tank by day, without what goes up its flue."""
    loss_w_per_k = model.standby_loss_w_per_k * (1.0 - model.flue_frac)
    return 0.024 * loss_w_per_k * (house.setpoint_c - house.air.air.mean_c)


def _settled(model: TankModel, house: HouseYear) -> HeatPumpAir:
    lost_kwh = _lost_kwh(model, house)
    return settle(
        model.heater,
        house.air.room,
        house.air.near,
        heat_kwh=house.heat_kwh + lost_kwh,
        lost_kwh=lost_kwh,
        setpoint_c=house.setpoint_c,
        cop_scale=model.cop_scale,
    )


def _warmed_c(model: TankModel, house: HouseYear) -> Floats:
    """Return the room's air with the tank's own standby heat in it."""
    return room_air(house.air.room, house.air.near, gained_kwh=_lost_kwh(model, house)).mean_c


def _with_house(
    model: TankModel, years: TankYears, air: HeatPumpAir | None, house: HouseYear
) -> AnnualResult:
    """Return the year with its effect on the house and what a heat pump does to its room."""
    given_kwh = _by_day(years.loss_kwh_by_month) * (1.0 - model.flue_frac)
    annual = _charged(model.heater, years.annual, _by_day(years.air_kwh_by_month), given_kwh, house)
    if air is None:
        return annual
    return replace(annual, notes=(*annual.notes, *remarks(model.heater, air)))


def _simulate_flowing(heaters: Sequence[Heater], house: HouseYear) -> dict[str, TanklessYears]:
    site = TanklessSite(
        inlet_c=house.inlet_c,
        room_c=house.air.air.mean_c,
        setpoint_c=house.setpoint_c,
        use_temp_c=house.use_temp_c,
        altitude_derate_frac=house.altitude_derate_frac,
        supply_v=house.supply_v,
    )
    found = simulate_tankless(heaters, house.years, site)
    return {
        heater.id: replace(years, annual=_charged(
            heater, years.annual, np.zeros(365),
            np.full(365, years.annual.standby_loss_kwh / 365.0), house,
        ))
        for heater, years in zip(heaters, found, strict=True)
    }  # fmt: skip


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


def _by_day(by_month: Floats) -> Floats:
    return np.asarray((by_month / _DAYS_OF_MONTH)[MONTH_OF_DAY])
