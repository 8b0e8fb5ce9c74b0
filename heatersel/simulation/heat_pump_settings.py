"""Settings of the refrigerant cycles behind the shipped heat-pump tables.

Approaches, superheat and subcooling are the usual design values (from memory, medium: evaporator
8 to 12 K below the air, condenser 5 to 12 K above the water, 5 K each, overall compressor
efficiency 0.55 to 0.70). Within those ranges the compressor curve, the clearance and the fan were
chosen so that R134a follows the published laboratory map of
:func:`heatersel.simulation.heat_pump.map_cop_ratio`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from heatersel.errors import UnknownChoiceError

__all__ = ["SETTINGS", "SINGLE_PASS_OUTLET_C", "CycleSettings", "settings_for"]

SINGLE_PASS_OUTLET_C = 65.0
"""Water that a single-pass unit returns to the top of its tank (from memory, medium). [°C]"""

_AIR_C = tuple(float(t) for t in range(-10, 46, 5))
_OUTDOOR_AIR_C = tuple(float(t) for t in range(-30, 46, 5))
_HUMIDITY = (0.1, 0.3, 0.5, 0.75, 1.0)
_WATER_C = tuple(float(t) for t in range(0, 76, 5))


@dataclass(frozen=True, slots=True, kw_only=True)
class CycleSettings:
    """What fixes a heat pump's refrigerant cycle and the grid it is tabulated on.

    Parameters
    ----------
    refrigerant : str
        Trade designation, such as "R134a".
    fluid : str
        Name in the property library; a blend joins its parts with "&".
    mass_fractions : tuple of float
        Of a blend, in the order of the name; empty for a pure fluid. [-]
    transcritical : bool
        Whether heat is rejected above the critical point.
    evaporator_approach_k, condenser_approach_k : float
        Wet bulb minus evaporating temperature; condensing temperature minus water beside the
        condenser, or gas leaving the cooler minus entering water. [K]
    surface_above_k : float
        Mean temperature of the coil's surface above the evaporating one. [K]
    most_evaporating_c : float
        Bound that protects the compressor in hot air. [°C]
    superheat_k, subcool_k : float
        At the compressor's inlet and the condenser's outlet. [K]
    peak_efficiency, best_pressure_ratio, efficiency_fall : float
        Overall efficiency of compressor and motor, peak - fall (ln(ratio/best))², at least
        0.3. [-]
    clearance_frac : float
        Clearance volume over swept volume. [-]
    fan_frac : float
        Power of fan and controls over the compressor's at the rating point. [-]
    least_lift_k, least_rise_k, least_pinch_k : float
        Least condensing minus evaporating temperature; of R744 also the least rise of the
        water and the least temperature difference in the gas cooler. [K]
    outlet_c : float
        Water leaving a single-pass gas cooler. [°C]
    high_pressures_kpa : tuple of float
        Pressures the control of a transcritical unit chooses from. [kPa]
    rating_air_c, rating_humidity, rating_water_c : float
        Rating point: air of the federal test and 120 degF water, for a single-pass unit the
        test's inlet, 58 degF. [°C], [-], [°C]
    air_c, humidity, water_c : tuple of float
        Grid. [°C], [-], [°C]
    """

    refrigerant: str
    fluid: str
    mass_fractions: tuple[float, ...] = ()
    transcritical: bool = False
    evaporator_approach_k: float = 10.0
    condenser_approach_k: float = 8.0
    surface_above_k: float = 3.0
    most_evaporating_c: float = 25.0
    superheat_k: float = 5.0
    subcool_k: float = 5.0
    peak_efficiency: float = 0.66
    best_pressure_ratio: float = 4.5
    efficiency_fall: float = 0.26
    clearance_frac: float = 0.04
    fan_frac: float = 0.10
    least_lift_k: float = 15.0
    least_rise_k: float = 5.0
    least_pinch_k: float = 2.0
    outlet_c: float = SINGLE_PASS_OUTLET_C
    high_pressures_kpa: tuple[float, ...] = ()
    rating_air_c: float = 19.72
    rating_humidity: float = 0.5
    rating_water_c: float = 48.89
    air_c: tuple[float, ...] = _AIR_C
    humidity: tuple[float, ...] = _HUMIDITY
    water_c: tuple[float, ...] = _WATER_C

    def evaporating_c(self, wet_bulb_c: float) -> float:
        """Return the evaporating temperature for air of a wet bulb, held down in hot air. [°C]"""
        return min(wet_bulb_c - self.evaporator_approach_k, self.most_evaporating_c)

    def efficiency(self, pressure_ratio: float) -> float:
        """Return the overall efficiency of the compressor at a pressure ratio. [-]"""
        off = math.log(pressure_ratio / self.best_pressure_ratio)
        return max(self.peak_efficiency - self.efficiency_fall * off * off, 0.3)


SETTINGS = {
    "R134a": CycleSettings(refrigerant="R134a", fluid="R134a"),
    # R-513A is 56 % R-1234yf and 44 % R-134a by mass, ASHRAE 34 (memory, sure).
    "R513A": CycleSettings(refrigerant="R513A", fluid="R1234yf&R134a", mass_fractions=(0.56, 0.44)),
    "R290": CycleSettings(refrigerant="R290", fluid="R290"),
    # A counterflow gas cooler brings the gas within a few kelvin of the entering water, and
    # carbon dioxide works at a low pressure ratio (from memory, medium).
    "R744": CycleSettings(
        refrigerant="R744",
        fluid="R744",
        transcritical=True,
        condenser_approach_k=4.0,
        best_pressure_ratio=3.2,
        air_c=_OUTDOOR_AIR_C,
        high_pressures_kpa=tuple(float(p) for p in range(7500, 13001, 250)),
        rating_water_c=14.44,
    ),
}
"""Settings of the tables that ship, by refrigerant."""


def settings_for(refrigerant: str) -> CycleSettings:
    """Return the settings of a shipped refrigerant.

    Parameters
    ----------
    refrigerant : str
        Trade designation.

    Raises
    ------
    UnknownChoiceError
        If there is no table for it.
    """
    if refrigerant not in SETTINGS:
        raise UnknownChoiceError.of(
            "refrigerant", value=refrigerant, allowed=", ".join(SETTINGS),
            fix="give one of these, or build a table from settings of your own",
        )  # fmt: skip
    return SETTINGS[refrigerant]
