"""Vapour-compression cycle of a heat-pump water heater, from refrigerant properties.

Builds the performance tables that :mod:`heatersel.simulation.heat_pump` reads: COP and heat
output over entering air and water. This module loads CoolProp and is used only by the command
that writes the tables, by tests, and by a user who asks for another refrigerant or other cycle
settings; no ordinary run imports it.

The subcritical cycle evaporates at a fixed approach below the air's wet bulb and condenses at a
fixed approach above the water beside the condenser. R744 rejects its heat above the critical
point: its gas leaves the cooler close to the *entering* water, which is why it thrives on cold
water from the bottom of the tank and suffers from warm return. Pressure drops, oil and the
sliding speed of a variable compressor are left out; one factor per heater, found from its UEF,
absorbs their mean.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from CoolProp import CoolProp
from numpy.typing import NDArray

from heatersel.errors import ModelError, OutOfRangeError
from heatersel.simulation.heat_pump import PerformanceTable
from heatersel.simulation.heat_pump_settings import CycleSettings
from heatersel.simulation.moist_air import enthalpy_kj_per_kg, humidity_ratio, wet_bulb_c

__all__ = [
    "Cycle",
    "gas_cooler_pinch_k",
    "open_fluid",
    "performance_table",
    "subcritical_cycle",
    "transcritical_cycle",
]

Floats = NDArray[np.float64]

_ZERO_C_K = 273.15
_KPA = 1000.0
_COOLER_POINTS = 25
_NEWTON_STEPS = 10
_NEWTON_STOP_K = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Cycle:
    """One operating point of the refrigerant circuit, without fan and controls.

    Parameters
    ----------
    heat_kj_per_kg, work_kj_per_kg : float
        Heat rejected and compression work. [kJ/kg]
    suction_kg_per_m3 : float
        Density at the compressor inlet. [kg/m3]
    low_kpa, high_kpa : float
        Pressures. [kPa]
    discharge_c : float
        Temperature after compression. [°C]
    """

    heat_kj_per_kg: float
    work_kj_per_kg: float
    suction_kg_per_m3: float
    low_kpa: float
    high_kpa: float
    discharge_c: float

    @property
    def cop(self) -> float:
        """Heat over work. [-]"""
        return self.heat_kj_per_kg / self.work_kj_per_kg

    @property
    def pressure_ratio(self) -> float:
        """High over low pressure. [-]"""
        return self.high_kpa / self.low_kpa


def open_fluid(settings: CycleSettings) -> Any:
    """Return a property calculator for the refrigerant of the settings.

    Parameters
    ----------
    settings : CycleSettings
        Names the fluid and, for a blend, its mass fractions.

    Raises
    ------
    ModelError
        If the property library does not know the fluid.
    """
    try:
        fluid = CoolProp.AbstractState("HEOS", settings.fluid)
        if settings.mass_fractions:
            fluid.set_mass_fractions(list(settings.mass_fractions))
    except ValueError as trouble:
        raise ModelError.of(
            "refrigerant", value=settings.fluid, allowed="a pure fluid of the property library, "
            'or a blend written as "R1234yf&R134a" with its mass fractions',
            fix=f"check the name ({trouble})",
        ) from None  # fmt: skip
    return fluid


def subcritical_cycle(
    fluid: Any, settings: CycleSettings, evaporating_c: float, condensing_c: float
) -> Cycle:
    """Return the cycle between two saturation temperatures.

    Parameters
    ----------
    fluid : property calculator
        From :func:`open_fluid`.
    settings : CycleSettings
        Superheat, subcooling and efficiency of the compressor.
    evaporating_c, condensing_c : float
        Dew point of the low and bubble point of the high pressure. [°C]

    Returns
    -------
    Cycle

    Notes
    -----
    COP = (h2 - h3)/(h2 - h1), h2 = h1 + (h2s - h1)/efficiency. The phase of each state is
    known, so it is imposed; for a blend that takes a cycle from 60 ms to under 1 ms.
    """
    low = _saturation_pressure(fluid, 1.0, evaporating_c)
    high = _saturation_pressure(fluid, 0.0, condensing_c)
    compressed = _compress(fluid, settings, low, high, evaporating_c)
    fluid.specify_phase(CoolProp.iphase_liquid)
    fluid.update(CoolProp.PT_INPUTS, high, condensing_c - settings.subcool_k + _ZERO_C_K)
    return _cycle(compressed, fluid.hmass(), low, high)


def transcritical_cycle(
    fluid: Any, settings: CycleSettings, evaporating_c: float, cooler_out_c: float, high_kpa: float
) -> Cycle:
    """Return the cycle that rejects heat above the critical pressure.

    Parameters
    ----------
    fluid : property calculator
        From :func:`open_fluid`.
    settings : CycleSettings
        Superheat and efficiency of the compressor.
    evaporating_c : float
        Evaporating temperature. [°C]
    cooler_out_c : float
        Refrigerant leaving the gas cooler. [°C]
    high_kpa : float
        Pressure in the gas cooler, above the critical one. [kPa]

    Returns
    -------
    Cycle
    """
    low = _saturation_pressure(fluid, 1.0, evaporating_c)
    compressed = _compress(fluid, settings, low, high_kpa * _KPA, evaporating_c)
    fluid.unspecify_phase()
    fluid.update(CoolProp.PT_INPUTS, high_kpa * _KPA, cooler_out_c + _ZERO_C_K)
    return _cycle(compressed, fluid.hmass(), low, high_kpa * _KPA)


def gas_cooler_pinch_k(
    fluid: Any, cycle: Cycle, cooler_out_c: float, water_in_c: float, water_out_c: float
) -> float:
    """Return the smallest temperature difference along a counterflow gas cooler.

    Parameters
    ----------
    fluid : property calculator
        From :func:`open_fluid`.
    cycle : Cycle
        A transcritical cycle.
    cooler_out_c, water_in_c, water_out_c : float
        Refrigerant leaving, water entering and leaving. [°C]

    Returns
    -------
    float
        Refrigerant minus water where they come closest; negative if heat would have to flow
        uphill. [K]
    """
    temps = np.linspace(cooler_out_c, cycle.discharge_c, _COOLER_POINTS)
    fluid.unspecify_phase()
    enthalpy = np.empty(_COOLER_POINTS)
    for i, temp in enumerate(temps):
        fluid.update(CoolProp.PT_INPUTS, cycle.high_kpa * _KPA, temp + _ZERO_C_K)
        enthalpy[i] = fluid.hmass()
    share = (enthalpy - enthalpy[0]) / (enthalpy[-1] - enthalpy[0])
    return float(np.min(temps - (water_in_c + share * (water_out_c - water_in_c))))


def performance_table(settings: CycleSettings) -> PerformanceTable:
    """Return COP, heat output and coil state over air temperature, humidity and water.

    Parameters
    ----------
    settings : CycleSettings
        Refrigerant, approaches, compressor, fan and the grid.

    Returns
    -------
    PerformanceTable
        COP with fan and controls; heat as a ratio to that at the rating point.

    Notes
    -----
    Heat output follows the volume that the compressor draws in: suction density times
    volumetric efficiency, 1 - clearance (p2/p1 - 1), times the heat per mass. The fan's power
    is a fixed fraction of the compressor's at the rating point. Where a colder coil would do
    better (hot air on warm water only), the expansion valve holds the evaporating temperature
    down, so that warmer air never lowers the COP.
    """
    fluid = open_fluid(settings)
    rating_wet_bulb = float(wet_bulb_c(settings.rating_air_c, settings.rating_humidity))
    rated = _operating_point(fluid, settings, rating_wet_bulb, settings.rating_water_c)
    rated_heat, rated_work = _flow(settings, rated)
    air, humidity = np.meshgrid(settings.air_c, settings.humidity, indexing="ij")
    wet_bulb = np.asarray(wet_bulb_c(air, humidity))
    flat = wet_bulb.ravel().tolist()
    shape = (len(flat), len(settings.water_c))
    cop, heat_ratio = np.empty(shape), np.empty(shape)
    for at in np.ndindex(shape):
        point = _operating_point(fluid, settings, flat[at[0]], settings.water_c[at[1]])
        heat, work = _flow(settings, point)
        cop[at] = heat / (work + settings.fan_frac * rated_work)
        heat_ratio[at] = heat / rated_heat
    _hold_down(np.argsort(wet_bulb, axis=None), cop, heat_ratio)
    evaporating_c = np.vectorize(settings.evaporating_c)(wet_bulb)
    surface_c = evaporating_c + settings.surface_above_k
    kinds = air.shape
    coil = np.stack((surface_c, _sensible_frac(air, humidity, surface_c)), axis=2)
    return PerformanceTable(
        refrigerant=settings.refrigerant,
        single_pass=settings.transcritical,
        air_c=np.array(settings.air_c),
        humidity=np.array(settings.humidity),
        water_c=np.array(settings.water_c),
        values=np.concatenate(
            (cop.reshape(*kinds, -1), heat_ratio.reshape(*kinds, -1), coil), axis=2
        ),
        rated_cop=rated_heat / (rated_work * (1.0 + settings.fan_frac)),
    )


def _hold_down(by_wet_bulb: NDArray[np.intp], cop: Floats, heat_ratio: Floats) -> None:
    """Let warmer air keep the operating point of colder air where that one is better."""
    for colder, warmer in pairwise(by_wet_bulb):
        better = cop[colder] > cop[warmer]
        cop[warmer, better] = cop[colder, better]
        heat_ratio[warmer, better] = heat_ratio[colder, better]


def _operating_point(fluid: Any, settings: CycleSettings, wet_bulb: float, water_c: float) -> Cycle:
    evaporating_c = settings.evaporating_c(wet_bulb)
    if settings.transcritical:
        return _best_pressure(fluid, settings, evaporating_c, water_c)
    condensing_c = max(
        water_c + settings.condenser_approach_k, evaporating_c + settings.least_lift_k
    )
    return subcritical_cycle(fluid, settings, evaporating_c, condensing_c)


def _best_pressure(
    fluid: Any, settings: CycleSettings, evaporating_c: float, water_c: float
) -> Cycle:
    """Return the cycle at the high pressure with the best COP that can still heat the water.

    A higher pressure widens the narrowest place of the gas cooler and, past one optimum, costs
    COP: so the lowest pressure that heats the water is found by bisection, and the climb from
    there ends at the first pressure that is worse.
    """
    cooler_out_c = water_c + settings.condenser_approach_k
    water_out_c = max(settings.outlet_c, water_c + settings.least_rise_k)

    def cycle_at(high_kpa: float) -> Cycle:
        return transcritical_cycle(fluid, settings, evaporating_c, cooler_out_c, high_kpa)

    def heats(high_kpa: float) -> bool:
        cycle = cycle_at(high_kpa)
        if cycle.discharge_c < water_out_c + settings.least_pinch_k:
            return False
        pinch = gas_cooler_pinch_k(fluid, cycle, cooler_out_c, water_c, water_out_c)
        return pinch >= settings.least_pinch_k

    pressures = settings.high_pressures_kpa
    first = bisect_left(pressures, True, key=heats)
    if first == len(pressures):
        raise OutOfRangeError.of(
            "gas cooler", value=f"{water_c:g} °C in, {water_out_c:g} °C out",
            allowed="a pressure among high_pressures_kpa that heats the water",
            fix="add higher pressures or lower outlet_c",
        )  # fmt: skip
    best = cycle_at(pressures[first])
    for high_kpa in pressures[first + 1 :]:
        cycle = cycle_at(high_kpa)
        if cycle.cop <= best.cop:
            break
        best = cycle
    return best


def _flow(settings: CycleSettings, cycle: Cycle) -> tuple[float, float]:
    """Return heat and work per swept volume. [kJ/m3]"""
    filled = 1.0 - settings.clearance_frac * (cycle.pressure_ratio - 1.0)
    drawn = max(filled, 0.05) * cycle.suction_kg_per_m3
    return drawn * cycle.heat_kj_per_kg, drawn * cycle.work_kj_per_kg


def _saturation_pressure(fluid: Any, quality: float, temp_c: float) -> float:
    fluid.unspecify_phase()
    fluid.update(CoolProp.QT_INPUTS, quality, temp_c + _ZERO_C_K)
    return float(fluid.p())


def _compress(
    fluid: Any, settings: CycleSettings, low: float, high: float, evaporating_c: float
) -> tuple[float, float, float, float]:
    """Return enthalpy and density before, enthalpy and temperature after compression."""
    fluid.specify_phase(CoolProp.iphase_gas)
    fluid.update(CoolProp.PT_INPUTS, low, evaporating_c + settings.superheat_k + _ZERO_C_K)
    enthalpy, entropy, density = fluid.hmass(), fluid.smass(), fluid.rhomass()
    if settings.transcritical:
        fluid.unspecify_phase()
    fluid.update(CoolProp.PSmass_INPUTS, high, entropy)
    discharge = enthalpy + (fluid.hmass() - enthalpy) / settings.efficiency(high / low)
    return enthalpy, density, discharge, _temp_at(fluid, high, discharge)


def _temp_at(fluid: Any, pressure: float, enthalpy: float) -> float:
    """Return the temperature of gas hotter than the present state, by Newton's method.

    The library's own search from enthalpy fails for a blend far above saturation.
    """
    for _ in range(_NEWTON_STEPS):
        step_k = (enthalpy - fluid.hmass()) / fluid.cpmass()
        fluid.update(CoolProp.PT_INPUTS, pressure, fluid.T() + step_k)
        if abs(step_k) < _NEWTON_STOP_K:
            break
    return float(fluid.T()) - _ZERO_C_K


def _cycle(
    compressed: tuple[float, float, float, float], liquid: float, low: float, high: float
) -> Cycle:
    suction, density, discharge, discharge_c = compressed
    return Cycle(
        heat_kj_per_kg=(discharge - liquid) / _KPA,
        work_kj_per_kg=(discharge - suction) / _KPA,
        suction_kg_per_m3=density,
        low_kpa=low / _KPA,
        high_kpa=high / _KPA,
        discharge_c=discharge_c,
    )


def _sensible_frac(air: Floats, humidity: Floats, surface: Floats) -> Floats:
    """Return the share of the coil's heat that cools rather than dries the air.

    The air moves on a straight line in the psychrometric chart towards saturation at the coil's
    surface; where the surface is above the dew point, the coil stays dry.
    """
    entering = np.asarray(humidity_ratio(air, humidity))
    leaving = np.minimum(entering, humidity_ratio(surface, 1.0))
    total = np.asarray(enthalpy_kj_per_kg(air, entering)) - enthalpy_kj_per_kg(surface, leaving)
    sensible = np.asarray(enthalpy_kj_per_kg(air, leaving)) - enthalpy_kj_per_kg(surface, leaving)
    return np.clip(sensible / total, 0.0, 1.0)
