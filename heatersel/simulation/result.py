"""What a year of one heater in one house comes to: the result that every method returns.

The closed-form balance and the simulation both fill this in, so cost, cautions and
recommendation need not know which of them ran. A year has 365 days; hour 0 begins at
1 January 00:00 by the clock of the place.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from heatersel.heaters.heater import EnergySource

__all__ = ["AnnualResult", "Delivery"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """How well the household is served over the simulated years.

    Parameters
    ----------
    short_days_per_year : float
        Days on which a running fixture fell below the use temperature, mean per year.
    short_minutes_per_year : float
        Minutes of it. [min]
    missed_l_per_year : float
        Mixed water delivered below the use temperature. [L]
    coldest_c : float
        Coldest mixed water at a fixture that asked for warm water. [°C]
    warm_morning_probability : float
        Share of the household's busiest mornings in the coldest month that stay warm. [-]
    n_years : int
        Seeded years behind these figures.
    """

    short_days_per_year: float
    short_minutes_per_year: float
    missed_l_per_year: float
    coldest_c: float
    warm_morning_probability: float
    n_years: int


@dataclass(frozen=True, slots=True, kw_only=True)
class AnnualResult:
    """A year of energy of one heater in one house.

    Parameters
    ----------
    heater_id : str
        The option.
    method : str
        "balance" or "simulation".
    monthly_kwh : mapping of EnergySource to array of shape (12,)
        Site energy by source and month, fuel on the higher heating value. [kWh]
    hourly_kwh : mapping of EnergySource to array of shape (8760,), or None
        The same by hour where the method knows it. [kWh]
    delivered_kwh : float
        Heat in the hot water that reached the fixtures. [kWh]
    missed_kwh : float
        Heat that was asked for and not delivered. [kWh]
    standby_loss_kwh : float
        Heat lost by tank, flue and distribution. [kWh]
    space_heating_effect_kwh : float
        Heat that the heater adds to (positive) or takes from (negative) the heated house in
        the heating season. [kWh]
    space_monthly_kwh : mapping of EnergySource to array of shape (12,)
        Energy that the house's heating and cooling use more (positive) or less (negative) on
        its account; not part of `monthly_kwh`. [kWh]
    auxiliary_kwh : float
        Part of the electricity that runs fans, pumps and controls. [kWh]
    resistance_kwh : float
        Part of a heat pump's electricity that its elements take. [kWh]
    condensate_l : float
        Water that a heat pump's coil condenses. [L]
    room_monthly_c : array of shape (12,) or None
        Air around the heater with it at work, where the method knows it. [°C]
    delivery : Delivery or None
        Where the method knows it.
    notes : tuple of str
        What was assumed for this option, in plain words.
    """

    heater_id: str
    method: str
    monthly_kwh: Mapping[EnergySource, NDArray[np.float64]]
    hourly_kwh: Mapping[EnergySource, NDArray[np.float64]] | None = None
    delivered_kwh: float
    missed_kwh: float = 0.0
    standby_loss_kwh: float
    space_heating_effect_kwh: float = 0.0
    space_monthly_kwh: Mapping[EnergySource, NDArray[np.float64]] = field(default_factory=dict)
    auxiliary_kwh: float = 0.0
    resistance_kwh: float = 0.0
    condensate_l: float = 0.0
    room_monthly_c: NDArray[np.float64] | None = None
    delivery: Delivery | None = None
    notes: tuple[str, ...] = ()

    @property
    def energy_kwh(self) -> dict[EnergySource, float]:
        """Site energy of the year by source. [kWh]"""
        return {source: float(np.sum(months)) for source, months in self.monthly_kwh.items()}

    @property
    def space_energy_kwh(self) -> dict[EnergySource, float]:
        """Energy of heating and cooling on its account, of the year by source. [kWh]"""
        return {source: float(np.sum(m)) for source, m in self.space_monthly_kwh.items()}

    @property
    def efficiency(self) -> float:
        """Heat delivered over site energy of all sources; 0 for a year without energy. [-]"""
        total = sum(self.energy_kwh.values())
        return self.delivered_kwh / total if total > 0 else 0.0
