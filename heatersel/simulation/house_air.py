"""The air that a job's heater stands in, before any heater works in it, and the house around it.

Puts the job's words (location, volume, door, ducts, readings) into the room model, so that the
chain and each option start from the same air.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from heatersel.heaters.heater import EnergySource
from heatersel.job.models import Home
from heatersel.job.site import Ducting
from heatersel.simulation.around import Around, around
from heatersel.simulation.room import AirPath, Room, RoomAir, room_air, room_for
from heatersel.simulation.space_heating import HouseSystem

__all__ = ["HouseAir", "air_path_of", "house_air", "likely_system", "system_of"]

# Heating of a house by what it burns, in order of likelihood, with a seasonal efficiency (common
# practice, no source); a window or central cooler at SEER 13.
_LIKELY_HEATING = (
    (EnergySource.NATURAL_GAS, 0.85),
    (EnergySource.FUEL_OIL, 0.82),
    (EnergySource.PROPANE, 0.85),
    (EnergySource.ELECTRICITY, 1.0),
)
_COOLING_COP = 13.0 / 3.412


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseAir:
    """Air around a heater and what surrounds its room.

    Parameters
    ----------
    near : Around
        House, outdoors, ground.
    room : Room or None
        None outdoors.
    air : RoomAir
        The room's air without a heater at work.
    notes : tuple of str
        What was assumed, in plain words.
    """

    near: Around
    room: Room | None
    air: RoomAir
    notes: tuple[str, ...]


def house_air(home: Home, monthly_air_c: Sequence[float]) -> HouseAir:
    """Return the air that a heater stands in at a home.

    Parameters
    ----------
    home : Home
        Location, room volume, and the site's readings.
    monthly_air_c : sequence of 12 float
        Outdoor means of the place, January first. [°C]

    Returns
    -------
    HouseAir
        A measured coldest or warmest room temperature shifts the room's own gains so that the
        year meets it, or comes as near to both as one shift can.
    """
    near = around(monthly_air_c)
    room = room_for(home.heater_location, home.room_volume_m3, air_path_of(home))
    notes = []
    if room is not None:
        if home.room_volume_m3 is None:
            notes.append(f"room of {room.volume_m3:.0f} m3 assumed for its location")
        fitted = _fit_gains(room, near, home.site.room_min_temp_c, home.site.room_max_temp_c)
        notes.append(
            "room temperature from the heat balance of a usual house"
            if fitted is room
            else "room temperature fitted to the readings"
        )
        room = fitted
    return HouseAir(near=near, room=room, air=room_air(room, near), notes=tuple(notes))


def air_path_of(home: Home) -> AirPath:
    """Return where a heat pump's air would come from and go to at a home.

    Parameters
    ----------
    home : Home
        Door and ducts of its site; not known counts as a closed room without ducts.
    """
    if home.site.ducting is Ducting.BOTH_SIDES:
        return AirPath.DUCT_HOUSE
    if home.site.ducting is Ducting.ONE_SIDE:
        return AirPath.DUCT_OUT
    return AirPath.LOUVRED if home.site.louvered else AirPath.ROOM


def likely_system(fuels: Collection[EnergySource], cools: bool = True) -> HouseSystem:
    """Return the heating a house most likely has, for want of a statement.

    Parameters
    ----------
    fuels : collection of EnergySource
        What the house is supplied with.
    cools : bool
        Whether it is cooled in summer.

    Returns
    -------
    HouseSystem
        Gas before oil before propane before electric resistance, at a usual seasonal
        efficiency (common practice, no source).
    """
    source, efficiency = next(
        (pair for pair in _LIKELY_HEATING if pair[0] in fuels), _LIKELY_HEATING[-1]
    )
    return HouseSystem(
        energy_source=source,
        heating_efficiency=efficiency,
        cooling_cop=_COOLING_COP if cools else 0.0,
    )


def system_of(home: Home, fuels: Collection[EnergySource]) -> HouseSystem:
    """Return the heating and cooling of a home: as stated, else the likely one.

    Parameters
    ----------
    home : Home
        The home.
    fuels : collection of EnergySource
        What it is supplied with.
    """
    if home.heating is None:
        return likely_system(fuels)
    likely = likely_system((home.heating.energy_source,), cools=home.heating.cooling)
    return replace(likely, heating_efficiency=home.heating.efficiency)


def _fit_gains(room: Room, near: Around, coldest_c: float | None, warmest_c: float | None) -> Room:
    """Return the room with gains that meet the readings."""
    mean_c = room_air(room, near).mean_c
    shifts_k = [
        reading_c - modelled_c
        for reading_c, modelled_c in (
            (coldest_c, float(np.min(mean_c))),
            (warmest_c, float(np.max(mean_c))),
        )
        if reading_c is not None
    ]
    if not shifts_k:
        return room
    shift_k = sum(shifts_k) / len(shifts_k)
    return replace(room, gains_w=room.gains_w + shift_k * room.w_per_k)
