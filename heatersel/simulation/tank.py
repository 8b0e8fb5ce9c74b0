"""The tank behind a label: what the compiled tank needs to know of one storage heater.

A label states neither where the thermostat sits nor how much the inlet stirs. Geometry and
control come from the construction class; loss, conversion and stirring are set by the calibration
(:mod:`heatersel.simulation.rating_test`) so that the simulated rating tests give the label back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from heatersel.heaters.heater import Heater, HeaterClass, Kind
from heatersel.heaters.rated import rate_tank
from heatersel.simulation.arrays import BOTTOM_DRAW, BURNER, CONDENSER, N_WATERS, PUMP_DAY, TANK
from heatersel.simulation.heat_pump import HeatPumpDays
from heatersel.simulation.heat_pump_control import HeatPumpControl
from heatersel.simulation.heat_pump_settings import settings_for

__all__ = [
    "ELEMENT_EFFICIENCY",
    "ORDINARY_MIXING_FRAC",
    "TankModel",
    "pack_pumps",
    "pack_tanks",
    "uncalibrated",
]

ELEMENT_EFFICIENCY = 0.98
"""Resistance element in water, 10 CFR 430 Subpart B Appendix E (from memory). [-]"""

ORDINARY_MIXING_FRAC = 0.10
"""Stirred share of the volume where a label leaves it open (assumption). [-]"""


@dataclass(frozen=True, slots=True)
class _Build:
    """Where things sit in a tank of one class, heights as shares of the volume below."""

    sensor_frac: float
    deadband_k: float
    flue_frac: float  # share of the loss that stops while the burner fires
    height_frac: float = 0.0
    upper_frac: float = 0.70
    upper_sensor_frac: float = 0.76
    condenser_frac: float = 1.0


# Deadbands: 10 to 20 degF for fuel, 5 to 15 degF for electric thermostats (from memory, medium).
# Flue: 43 % of all losses in a modelled 40-gal atmospheric gas tank (LBNL, "Gas water heater
# energy losses", abstract seen); less with a fan or a barometric damper (assumption). Heights:
# common practice, no source.
_BUILDS = {
    HeaterClass.ATMOSPHERIC_STORAGE: _Build(0.20, 7.0, 0.43),
    HeaterClass.POWER_VENTED_STORAGE: _Build(0.20, 7.0, 0.15),
    HeaterClass.CONDENSING_STORAGE: _Build(0.20, 6.0, 0.05),
    HeaterClass.OIL_STORAGE: _Build(0.25, 7.0, 0.30),
    HeaterClass.ELECTRIC_STORAGE: _Build(0.15, 5.0, 0.0, height_frac=0.08),
    HeaterClass.HEAT_PUMP_240V: _Build(0.30, 5.0, 0.0, condenser_frac=0.60),
    HeaterClass.HEAT_PUMP_120V: _Build(0.30, 5.0, 0.0, condenser_frac=0.60),
    HeaterClass.HEAT_PUMP_SPLIT: _Build(0.30, 5.0, 0.0),
}

_LOWER_ELEMENT_FRAC = 0.10


@dataclass(frozen=True, slots=True, kw_only=True)
class TankModel:
    """Parameters of the simulated tank of one storage heater.

    Parameters
    ----------
    heater : Heater
        The row it stands for.
    standby_loss_w_per_k : float
        Water-side loss; of a fuel tank it includes the flue between firings. [W/K]
    flue_frac : float
        Share of the loss that stops while the burner fires. [-]
    mixing_frac : float
        Share of the volume, at the bottom, that incoming water stirs. [-]
    cop_scale : float
        Factor on COP and heat of a heat pump's table; 1 for others. [-]
    tempering_valve_c : float or None
        Mixed temperature of a valve at the outlet, None without one. [°C]
    control : HeatPumpControl
        How compressor and elements of a heat pump share the work.
    input_frac : float
        Share of input that altitude leaves a burner, and a low voltage the elements. [-]
    """

    heater: Heater
    standby_loss_w_per_k: float
    flue_frac: float
    mixing_frac: float
    cop_scale: float = 1.0
    tempering_valve_c: float | None = None
    control: HeatPumpControl = field(default_factory=HeatPumpControl)
    input_frac: float = 1.0

    @property
    def is_heat_pump(self) -> bool:
        """Whether a compressor heats it."""
        return self.heater.kind is Kind.HEAT_PUMP_STORAGE

    @property
    def fuel_conversion(self) -> float:
        """Heat per fuel while firing: the recovery efficiency counts the fan's power too. [-]"""
        heater = self.heater
        fan = 0.001 * heater.aux_running_w / heater.input_kw if heater.burns_fuel else 0.0
        return heater.recovery_efficiency * (1.0 + fan)


def uncalibrated(heater: Heater) -> TankModel:
    """Return a model with the closed-form loss and a typical stirring, to calibrate from.

    Parameters
    ----------
    heater : Heater
        Storage heater.

    Returns
    -------
    TankModel

    Raises
    ------
    InconsistentRatingError
        If the rating contradicts itself.
    """
    return TankModel(
        heater=heater,
        standby_loss_w_per_k=rate_tank(heater).standby_loss_w_per_k,
        flue_frac=_BUILDS[heater.heater_class].flue_frac,
        mixing_frac=ORDINARY_MIXING_FRAC,
    )


def pack_tanks(models: Sequence[TankModel], water_kj_per_l_k: float) -> NDArray[np.void]:
    """Return the models as records for the compiled tank, heat pumps in the order of their tables.

    Parameters
    ----------
    models : sequence of TankModel
        Tanks.
    water_kj_per_l_k : float
        Heat capacity of a litre. [kJ/(L K)]

    Returns
    -------
    array of TANK records
    """
    tanks = np.zeros(len(models), TANK)
    tanks["water_kj_per_l_k"] = water_kj_per_l_k
    n_pumps = 0
    for tank, model in zip(tanks, models, strict=True):
        build, volume_l = _BUILDS[model.heater.heater_class], model.heater.volume_l
        tank["volume_l"] = volume_l
        tank["loss_idle_kw_per_k"] = 0.001 * model.standby_loss_w_per_k
        tank["loss_firing_kw_per_k"] = tank["loss_idle_kw_per_k"] * (1.0 - model.flue_frac)
        tank["main_height_l"] = build.height_frac * volume_l
        tank["main_sensor_l"] = build.sensor_frac * volume_l
        tank["main_deadband_k"] = build.deadband_k
        tank["condenser_top_l"] = build.condenser_frac * volume_l
        tank["mixing_l"] = model.mixing_frac * volume_l
        tank["element_conversion"] = ELEMENT_EFFICIENCY
        tank["valve_c"] = 1e3 if model.tempering_valve_c is None else model.tempering_valve_c
        if model.is_heat_pump:
            _set_heat_pump(tank, model, build)
            tank["pump"] = n_pumps
            n_pumps += 1
        else:
            _set_burner(tank, model, build)
    return tanks


def _set_burner(tank: np.void, model: TankModel, build: _Build) -> None:
    heater = model.heater
    conversion = model.fuel_conversion
    tank["main"] = BURNER
    tank["main_kw"] = heater.input_kw * model.input_frac * conversion
    tank["main_conversion"] = conversion
    tank["pilot_kw"] = 0.001 * heater.pilot_w * conversion
    tank["upper_kw"] = heater.upper_input_kw * model.input_frac * conversion
    tank["upper_height_l"] = build.upper_frac * heater.volume_l
    tank["upper_sensor_l"] = build.upper_sensor_frac * heater.volume_l
    tank["upper_drop_k"] = build.deadband_k
    if not heater.burns_fuel:
        tank["element_conversion"] = conversion


def _set_heat_pump(tank: np.void, model: TankModel, build: _Build) -> None:
    heater = model.heater
    single_pass = settings_for(heater.refrigerant).transcritical
    tank["main"] = BOTTOM_DRAW if single_pass else CONDENSER
    tank["main_conversion"] = 1.0
    tank["upper_kw"] = heater.upper_input_kw * model.input_frac * ELEMENT_EFFICIENCY
    tank["upper_height_l"] = build.upper_frac * heater.volume_l
    tank["upper_sensor_l"] = build.upper_sensor_frac * heater.volume_l
    tank["upper_drop_k"] = model.control.backup_drop_k
    tank["lower_kw"] = heater.input_kw * model.input_frac * ELEMENT_EFFICIENCY
    tank["lower_height_l"] = _LOWER_ELEMENT_FRAC * heater.volume_l


def pack_pumps(days: Sequence[HeatPumpDays]) -> NDArray[np.void]:
    """Return the tables of heat pumps as records, shape (pumps, days); at least one row.

    Parameters
    ----------
    days : sequence of HeatPumpDays
        One per heat pump, in the order of the models.

    Returns
    -------
    array of PUMP_DAY records
    """
    n_days = days[0].cop.shape[0] if days else 1
    packed = np.zeros((max(len(days), 1), n_days), PUMP_DAY)
    packed["per_k"] = 1.0
    for row, pump in zip(packed, days, strict=False):
        grid_c = np.linspace(pump.water_c[0], pump.water_c[-1], N_WATERS)
        row["first_c"] = grid_c[0]
        row["per_k"] = (N_WATERS - 1) / (grid_c[-1] - grid_c[0])
        row["cop"] = _on_grid(grid_c, pump.water_c, pump.cop)
        row["heat_kw"] = np.maximum(_on_grid(grid_c, pump.water_c, pump.heat_kw), 1e-3)
        row["runs"] = ~pump.locked_out
    return packed


def _on_grid(
    grid_c: NDArray[np.float64], water_c: NDArray[np.float64], values: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return a table over evenly spaced waters; unchanged if it already has them."""
    if water_c.size == N_WATERS and float(np.abs(water_c - grid_c).max()) < 1e-6:
        return values
    return np.stack([np.interp(grid_c, water_c, row) for row in values])
