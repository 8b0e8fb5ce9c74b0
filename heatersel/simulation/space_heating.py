"""What a water heater costs or saves the house's own heating and cooling.

A heat pump takes heat from the air around it; every tank gives standby heat to it. As far as the
house makes up for either, the heating system burns more or less on heating days, and the cooling
runs less or more on cooling days. The effect is a line of its own and can be switched off by an
interaction share of zero.

How much the house makes up follows from the room's heat balance: its conductance to the house
over that to all surroundings. That gives 1 for a closet, about 0.6 for a basement and almost
nothing for a garage, within the published working ranges (conditioned space 0.6 to 1, basement
0.3 to 0.7, garage and outdoors 0; from memory, low). Field studies found less winter effect than
such shares say: monitored twin houses in Ottawa showed no detectable change of whole-house energy
in the heating season and 20 % less in the cooling season (Thomas, Parekh, Armstrong, ASHRAE
OR-16-C058, 2016; seen in the abstract).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource, Heater, HeaterClass
from heatersel.simulation.balance import by_month
from heatersel.simulation.room import AirPath, Room

__all__ = [
    "HouseSystem",
    "SpaceEffect",
    "cooling_share",
    "heating_share",
    "house_shares",
    "space_effect",
]

Floats = NDArray[np.float64]

# A house heats below 65 degF, the usual base of degree days, fully some way below; it cools above
# 70 degF (outdoor means of the day; common practice, no source).
_HEATING_BELOW_C = 18.3
_COOLING_ABOVE_C = 21.0
_FULLY_K = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseSystem:
    """How the house is heated and cooled.

    Parameters
    ----------
    energy_source : EnergySource
        Of the heating.
    heating_efficiency : float
        Heat per energy, above 1 for a heat pump, up to 6. [-]
    cooling_cop : float
        Heat removed per electricity, 0 for a house without cooling. [-]
    """

    energy_source: EnergySource
    heating_efficiency: float
    cooling_cop: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no heating system reaches."""
        if not 0.3 <= self.heating_efficiency <= 6.0:
            raise OutOfRangeError.of(
                "heating efficiency", value=f"{self.heating_efficiency:g}", allowed="0.3 to 6",
                fix="write 80 % as 0.8, and a heat pump's seasonal COP as it is",
            )  # fmt: skip
        if not 0.0 <= self.cooling_cop <= 10.0:
            raise OutOfRangeError.of(
                "cooling COP", value=f"{self.cooling_cop:g}", allowed="0 to 10",
                fix="divide a SEER by 3.412",
            )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceEffect:
    """The effect of a water heater on heating and cooling.

    Parameters
    ----------
    house_heat_kwh : float
        Heat that the heated house gains (positive) or loses (negative) in the heating
        season. [kWh]
    monthly_kwh : mapping of EnergySource to array of shape (12,)
        Energy that heating and cooling use more (positive) or less (negative). [kWh]
    """

    house_heat_kwh: float
    monthly_kwh: Mapping[EnergySource, Floats]

    @property
    def energy_kwh(self) -> dict[EnergySource, float]:
        """Energy of the year by source. [kWh]"""
        return {source: float(months.sum()) for source, months in self.monthly_kwh.items()}


def heating_share(outdoor_c: Floats) -> Floats:
    """Return how far a day is a heating day.

    Parameters
    ----------
    outdoor_c : array
        Outdoor mean of the day. [°C]

    Returns
    -------
    array
        0 at 18.3 °C (65 degF) and above, 1 from 4 K below. [-]
    """
    return np.clip((_HEATING_BELOW_C - outdoor_c) / _FULLY_K, 0.0, 1.0)


def cooling_share(outdoor_c: Floats) -> Floats:
    """Return how far a day is a cooling day.

    Parameters
    ----------
    outdoor_c : array
        Outdoor mean of the day. [°C]

    Returns
    -------
    array
        0 at 21 °C and below, 1 from 4 K above. [-]
    """
    return np.clip((outdoor_c - _COOLING_ABOVE_C) / _FULLY_K, 0.0, 1.0)


def house_shares(heater: Heater, room: Room | None) -> tuple[float, float]:
    """Return the shares of heat taken by a compressor and given by a tank that the house feels.

    Parameters
    ----------
    heater : Heater
        A split heat pump takes its heat outdoors.
    room : Room or None
        Room of the tank; None outdoors.

    Returns
    -------
    taken, given : float
        0 to 1. [-]
    """
    if room is None:
        return 0.0, 0.0
    path = room.air_path
    if heater.heater_class is HeaterClass.HEAT_PUMP_SPLIT or path is AirPath.DUCT_OUTDOORS:
        return 0.0, room.house_share
    return (1.0 if path is AirPath.DUCT_HOUSE else room.house_share), room.house_share


def space_effect(
    taken_kwh: Floats,
    given_kwh: Floats,
    *,
    shares: tuple[float, float],
    outdoor_c: Floats,
    system: HouseSystem,
) -> SpaceEffect:
    """Return what a water heater does to the house's heating and cooling.

    Parameters
    ----------
    taken_kwh : array of shape (365,)
        Heat that a compressor takes from the air: heat into the water less electricity; zeros
        for other heaters. [kWh/day]
    given_kwh : array of shape (365,)
        Standby heat of tank and pipes, without what goes up a flue. [kWh/day]
    shares : tuple of 2 float
        Of each, the share that the house feels, 0 to 1; see :func:`house_shares`. [-]
    outdoor_c : array of shape (365,)
        Outdoor mean of the day. [°C]
    system : HouseSystem
        How the house is heated and cooled.

    Returns
    -------
    SpaceEffect

    Raises
    ------
    OutOfRangeError
        If a share is not between 0 and 1.
    """
    if not all(0.0 <= share <= 1.0 for share in shares):
        raise OutOfRangeError.of(
            "interaction share", value=f"{shares[0]:g}, {shares[1]:g}", allowed="0 to 1",
            fix="0 switches the effect off, 1 charges all of it",
        )  # fmt: skip
    felt_kwh = shares[1] * given_kwh - shares[0] * taken_kwh
    winter_kwh = felt_kwh * heating_share(outdoor_c)
    summer_kwh = felt_kwh * cooling_share(outdoor_c)
    monthly = {system.energy_source: by_month(-winter_kwh) / system.heating_efficiency}
    if system.cooling_cop > 0.0:
        cooling = by_month(summer_kwh) / system.cooling_cop
        monthly[EnergySource.ELECTRICITY] = (
            monthly.get(EnergySource.ELECTRICITY, np.zeros(12)) + cooling
        )
    return SpaceEffect(house_heat_kwh=float(winter_kwh.sum()), monthly_kwh=monthly)
