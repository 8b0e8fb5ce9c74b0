"""Heat that leaves with the flue gas, and what condensing recovers: a combustion balance.

A condensing heater's efficiency is set by how far it cools its flue gas below the dew point, and
so by the water that comes back to it: cold mains water recovers most of the latent heat, a warm
recirculation return hardly any.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource
from heatersel.simulation.moist_air import saturation_pressure_kpa

__all__ = ["AIR_RATIO", "combustion_efficiency", "dew_point_c"]

Floats = NDArray[np.float64]

AIR_RATIO = 1.25
"""Combustion air over the least that is needed, usual for a fan-assisted burner (common practice,
no source). [-]"""

# Carbon and hydrogen per molecule and higher heating value in kJ/mol: methane for natural gas,
# propane, and heating oil as CH1.83 (standard enthalpies of combustion; from memory, sure for the
# gases, medium for oil).
_FUELS = {
    EnergySource.NATURAL_GAS: (1.0, 4.0, 890.4),
    EnergySource.PROPANE: (3.0, 8.0, 2219.2),
    EnergySource.FUEL_OIL: (1.0, 1.83, 627.6),
}
_REFERENCE_C = 25.0
_LATENT_KJ_PER_MOL = 44.0
_NITROGEN_PER_OXYGEN = 3.76
_PRESSURE_KPA = 101.325
# Mean molar heat capacities in kJ/(mol K): carbon dioxide, oxygen, nitrogen, water vapour, liquid.
_CP_CO2, _CP_O2, _CP_N2, _CP_VAPOUR, _CP_LIQUID = 0.0385, 0.0296, 0.0292, 0.0339, 0.0753


def combustion_efficiency(
    fuel: EnergySource, flue_c: Floats | float, air_ratio: float = AIR_RATIO
) -> Floats:
    """Return the share of the higher heating value that stays out of the flue.

    Parameters
    ----------
    fuel : EnergySource
        Natural gas, propane or fuel oil.
    flue_c : array or float
        Temperature at which the flue gas leaves, 0 to 250. [°C]
    air_ratio : float
        Combustion air over the least needed, 1 to 3. [-]

    Returns
    -------
    array
        1 - flue loss / higher heating value; jacket and off-cycle losses are left out. [-]

    Raises
    ------
    UnknownChoiceError
        If it does not burn.

    References
    ----------
    .. [1] Stoichiometric balance with dry air at 25 °C, latent heat 44.0 kJ/mol and constant
       molar heat capacities; any text on combustion has it.  (memory)

    Examples
    --------
    >>> round(float(combustion_efficiency(EnergySource.NATURAL_GAS, 50.0)), 3)
    0.914
    """
    carbon, hydrogen, heat_kj = _fuel(fuel)
    oxygen = carbon + 0.25 * hydrogen
    dry_kj_per_k = carbon * _CP_CO2 + oxygen * (
        (air_ratio - 1.0) * _CP_O2 + air_ratio * _NITROGEN_PER_OXYGEN * _CP_N2
    )
    dry_mol = carbon + oxygen * (air_ratio - 1.0 + air_ratio * _NITROGEN_PER_OXYGEN)
    water_mol = 0.5 * hydrogen
    saturated = np.asarray(saturation_pressure_kpa(np.minimum(flue_c, 99.0))) / _PRESSURE_KPA
    vapour_mol = np.minimum(water_mol, dry_mol * saturated / (1.0 - saturated))
    warm_k = np.asarray(flue_c) - _REFERENCE_C
    lost_kj = (
        warm_k * (dry_kj_per_k + vapour_mol * _CP_VAPOUR + (water_mol - vapour_mol) * _CP_LIQUID)
        + vapour_mol * _LATENT_KJ_PER_MOL
    )
    return 1.0 - lost_kj / heat_kj


def dew_point_c(fuel: EnergySource, air_ratio: float = AIR_RATIO) -> float:
    """Return the temperature below which water condenses from the flue gas.

    Parameters
    ----------
    fuel : EnergySource
        Natural gas, propane or fuel oil.
    air_ratio : float
        Combustion air over the least needed, 1 to 3. [-]

    Returns
    -------
    float
        Dew point at 101.325 kPa. [°C]

    Raises
    ------
    UnknownChoiceError
        If it does not burn.

    References
    ----------
    See :func:`combustion_efficiency`.

    Examples
    --------
    >>> round(dew_point_c(EnergySource.NATURAL_GAS), 1)
    54.9
    """
    carbon, hydrogen, _ = _fuel(fuel)
    oxygen = carbon + 0.25 * hydrogen
    water = 0.5 * hydrogen
    dry = carbon + oxygen * (air_ratio - 1.0 + air_ratio * _NITROGEN_PER_OXYGEN)
    vapour_kpa = _PRESSURE_KPA * water / (water + dry)
    grid_c = np.linspace(20.0, 70.0, 501)
    return float(np.interp(vapour_kpa, np.asarray(saturation_pressure_kpa(grid_c)), grid_c))


def _fuel(fuel: EnergySource) -> tuple[float, float, float]:
    if fuel not in _FUELS:
        raise UnknownChoiceError.of(
            "fuel", value=fuel, allowed=", ".join(_FUELS), fix="only a fuel makes flue gas"
        )
    return _FUELS[fuel]
