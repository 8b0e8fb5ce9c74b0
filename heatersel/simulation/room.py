"""Air around the heater through the year, and how far a heat pump cools its own room.

A room is a heat balance between house, outdoors and ground, by day: conductance of its walls, air
exchanged, its own gains. A heat pump that takes heat from the air lowers the mean of the day, and
lowers it further while it runs: the air itself stores next to nothing (700 ft3 hold 24 kJ/K), so
within an hour or two the walls and the leakage must supply what the coil takes.

Shells, air changes and gains by location are common practice, no source, and are stated in
:data:`SHELLS`; a house differs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from heatersel.errors import OutOfRangeError
from heatersel.job.models import HeaterLocation
from heatersel.simulation.around import Around
from heatersel.simulation.moist_air import rel_humidity_frac

__all__ = [
    "SHELLS",
    "AirPath",
    "CoilDuty",
    "Room",
    "RoomAir",
    "Shell",
    "room_air",
    "room_for",
]

Floats = NDArray[np.float64]

_W_PER_K_PER_M3_PER_H = 0.335  # air at 20 °C: 1.2 kg/m3 and 1.006 kJ/(kg K) over 3600 s
_KG_PER_M3 = 1.2

# Inner lining that follows the air within an hour or two, 12.5 mm of gypsum board at 8 kg/m2 and
# 1.09 kJ/(kg K) and some furniture, and the air itself.
_LINING_KJ_PER_K_M2 = 11.0
_AIR_KJ_PER_K_M3 = 1.2

# A compressor makes up the day in about this many runs, after each of the household's peaks.
_RUNS_PER_DAY = 3.0

# A coil's fan moves about this much air (150 to 450 cfm; from memory, medium), half of which
# comes back before it has mixed with the room behind a louvred door.
_FAN_M3_PER_H = 400.0
_LOUVRE_MIXED_FRAC = 0.5

# Even a tight closet leaks through its door.
_LEAST_AIR_KG_PER_H = 5.0


class AirPath(StrEnum):
    """Where a heat pump's air comes from and goes to."""

    ROOM = "room"  # the closed room around it
    LOUVRED = "louvred"  # the room, through a louvred door to the house
    DUCT_OUT = "duct_out"  # from the room, and out of it
    DUCT_HOUSE = "duct_house"  # from the house and back
    DUCT_OUTDOORS = "duct_outdoors"  # from outdoors and back; split units too


@dataclass(frozen=True, slots=True, kw_only=True)
class Shell:
    """What a kind of room borders on, per area of ceiling, walls and floor.

    Parameters
    ----------
    to_house, to_outdoors, to_ground : tuple of 3 float
        Conductance of ceiling, walls, floor to each. [W/(m2 K)]
    house_changes, outdoor_changes : float
        Air exchanged with each. [1/h]
    gains_w : float
        Heat of ducts, lamps and appliances in the room. [W]
    volume_m3 : float
        Where the job states none. [m3]
    """

    to_house: tuple[float, float, float] = (0.0, 0.0, 0.0)
    to_outdoors: tuple[float, float, float] = (0.0, 0.0, 0.0)
    to_ground: tuple[float, float, float] = (0.0, 0.0, 0.0)
    house_changes: float = 0.0
    outdoor_changes: float = 0.0
    gains_w: float = 0.0
    volume_m3: float = 0.0


# Inside the house: uninsulated partitions (0.3 Btu/(h ft2 degF)), insulated ceiling, floor on a
# slab or over a heated room.
_INSIDE = (0.3, 1.7, 0.5)

SHELLS = {
    HeaterLocation.CLOSET: Shell(
        to_house=_INSIDE, house_changes=0.5, volume_m3=6.0,
    ),
    HeaterLocation.UTILITY_ROOM: Shell(
        to_house=_INSIDE, house_changes=1.0, gains_w=30.0, volume_m3=20.0,
    ),
    HeaterLocation.BASEMENT: Shell(
        to_house=(1.5, 0.0, 0.0), to_outdoors=(0.0, 0.2, 0.0), to_ground=(0.0, 0.35, 0.3),
        house_changes=0.3, outdoor_changes=0.2, gains_w=150.0, volume_m3=170.0,
    ),
    HeaterLocation.GARAGE: Shell(
        to_house=(0.0, 0.13, 0.0), to_outdoors=(1.0, 1.1, 0.0), to_ground=(0.0, 0.0, 0.5),
        outdoor_changes=1.0, gains_w=50.0, volume_m3=110.0,
    ),
    HeaterLocation.ATTIC: Shell(
        to_house=(0.0, 0.0, 0.25), to_outdoors=(3.0, 1.5, 0.0),
        outdoor_changes=3.0, gains_w=1500.0, volume_m3=150.0,
    ),
}  # fmt: skip
"""Rooms by location; a heater outdoors has none. Common practice, no source."""

_STOREY_M = 2.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The room a heater stands in, as a heat balance.

    Parameters
    ----------
    volume_m3 : float
        Air volume. [m3]
    to_house_w_per_k, to_outdoors_w_per_k, to_ground_w_per_k : float
        Conductance with the air exchanged. [W/K]
    air_kg_per_h : float
        Air exchanged with house and outdoors together. [kg/h]
    lining_kj_per_k : float
        Heat that air and lining store. [kJ/K]
    gains_w : float
        Own heat. [W]
    air_path : AirPath
        Where a heat pump's air comes from.
    """

    volume_m3: float
    to_house_w_per_k: float
    to_outdoors_w_per_k: float
    to_ground_w_per_k: float
    air_kg_per_h: float
    lining_kj_per_k: float
    gains_w: float
    air_path: AirPath = AirPath.ROOM

    @property
    def w_per_k(self) -> float:
        """Conductance to all surroundings. [W/K]"""
        return self.to_house_w_per_k + self.to_outdoors_w_per_k + self.to_ground_w_per_k

    @property
    def house_share(self) -> float:
        """Share of a heat gain or loss of the room that the house makes up. [-]"""
        return self.to_house_w_per_k / self.w_per_k if self.w_per_k > 0.0 else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CoilDuty:
    """What a heat pump takes from the air of a room, by day.

    Parameters
    ----------
    duty : array of shape (365,)
        Share of the day that the compressor runs. [-]
    sensible_kw : array of shape (365,)
        Heat that it takes by cooling the air while it runs. [kW]
    dried_kg_per_h : array of shape (365,)
        Air that leaves the coil saturated at its surface while it runs. [kg/h]
    surface_ratio : array of shape (365,)
        Humidity ratio of air saturated at the coil's surface. [kg/kg]
    """

    duty: Floats
    sensible_kw: Floats
    dried_kg_per_h: Floats
    surface_ratio: Floats


@dataclass(frozen=True, slots=True)
class RoomAir:
    """Air of a room through the year.

    Parameters
    ----------
    mean_c : array of shape (365,)
        Mean of the day: what the tank stands in. [°C]
    entering_c, entering_humidity : array of shape (365,)
        What a heat pump draws in while it runs. [°C], [-]
    """

    mean_c: Floats
    entering_c: Floats
    entering_humidity: Floats


def room_for(
    location: HeaterLocation, volume_m3: float | None = None, air_path: AirPath = AirPath.ROOM
) -> Room | None:
    """Return the usual room of a location.

    Parameters
    ----------
    location : HeaterLocation
        Where the heater stands.
    volume_m3 : float, optional
        Air volume of the room, 0.5 to 5000; the usual one of the location if not given. [m3]
    air_path : AirPath
        Louvred door or ducts.

    Returns
    -------
    Room or None
        None outdoors.

    Raises
    ------
    OutOfRangeError
        If the volume lies outside its range.
    """
    if location is HeaterLocation.OUTDOORS:
        return None
    shell = SHELLS[location]
    volume_m3 = shell.volume_m3 if volume_m3 is None else volume_m3
    if not 0.5 <= volume_m3 <= 5000.0:
        raise OutOfRangeError.of(
            "room volume", value=f"{volume_m3:g} m3", allowed="0.5 to 5000 m3",
            fix="give length x width x height of the room",
        )  # fmt: skip
    height_m = min(_STOREY_M, volume_m3 ** (1.0 / 3.0))
    floor_m2 = volume_m3 / height_m
    areas = np.array([floor_m2, 4.0 * math.sqrt(floor_m2) * height_m, floor_m2])
    house_m3_per_h = shell.house_changes * volume_m3
    if air_path is AirPath.LOUVRED:
        house_m3_per_h += _LOUVRE_MIXED_FRAC * _FAN_M3_PER_H
    elif air_path is AirPath.DUCT_OUT:
        house_m3_per_h += _FAN_M3_PER_H
    outdoor_m3_per_h = shell.outdoor_changes * volume_m3
    return Room(
        volume_m3=volume_m3,
        to_house_w_per_k=float(areas @ shell.to_house) + _W_PER_K_PER_M3_PER_H * house_m3_per_h,
        to_outdoors_w_per_k=(
            float(areas @ shell.to_outdoors) + _W_PER_K_PER_M3_PER_H * outdoor_m3_per_h
        ),
        to_ground_w_per_k=float(areas @ shell.to_ground),
        air_kg_per_h=_KG_PER_M3 * (house_m3_per_h + outdoor_m3_per_h),
        lining_kj_per_k=float(_LINING_KJ_PER_K_M2 * areas.sum() + _AIR_KJ_PER_K_M3 * volume_m3),
        gains_w=shell.gains_w,
        air_path=air_path,
    )


def room_air(
    room: Room | None,
    near: Around,
    *,
    gained_kwh: Floats | float = 0.0,
    coil: CoilDuty | None = None,
) -> RoomAir:
    """Return the air of a room, with what a heater gives to it and takes from it.

    Parameters
    ----------
    room : Room or None
        None outdoors.
    near : Around
        House, outdoors, ground.
    gained_kwh : array of shape (365,) or float
        Standby heat of the tank. [kWh/day]
    coil : CoilDuty, optional
        What a heat pump takes from the air.

    Returns
    -------
    RoomAir

    Notes
    -----
    Mean of the day: (sum of UA T + gains + gained - sensible)/sum of UA. While the compressor
    runs, a share of the day d, the room stands lower still. In a run of length t it nears the
    drop q/UA with the time constant C/UA of air and lining, so the mean over the run is
    q/UA (d + (1 - d)(1 - (1 - exp(-x))/x)), x = t UA/C, and t follows from three runs a day.
    The water in the air settles between the air exchanged and the air that leaves the coil
    saturated.
    """
    outside = near.outdoor_c, _rel(near.outdoor_c, near.outdoor_humidity_ratio)
    if room is None:
        return RoomAir(near.outdoor_c, *outside)
    untouched_c = _mean_c(room, near, room.gains_w + np.asarray(gained_kwh) / 0.024)
    if room.air_path is AirPath.DUCT_OUTDOORS:
        return RoomAir(untouched_c, *outside)
    if room.air_path is AirPath.DUCT_HOUSE:
        return RoomAir(untouched_c, near.house_c, _rel(near.house_c, near.house_humidity_ratio))
    ratio = _humidity_ratio(room, near)
    if coil is None:
        return RoomAir(untouched_c, untouched_c, _rel(untouched_c, ratio))
    entering_c = untouched_c - _running_drop_k(room, coil)
    air_kg_per_h = max(room.air_kg_per_h, _LEAST_AIR_KG_PER_H)
    dried_kg_per_h = coil.duty * coil.dried_kg_per_h
    ratio = (air_kg_per_h * ratio + dried_kg_per_h * np.minimum(coil.surface_ratio, ratio)) / (
        air_kg_per_h + dried_kg_per_h
    )
    return RoomAir(
        untouched_c - 1000.0 * coil.duty * coil.sensible_kw / room.w_per_k,
        entering_c,
        _rel(entering_c, ratio),
    )


def _rel(temp_c: Floats, ratio: Floats) -> Floats:
    return np.asarray(rel_humidity_frac(temp_c, ratio))


def _mean_c(room: Room, near: Around, gains_w: Floats) -> Floats:
    flows_w = (
        room.to_house_w_per_k * near.house_c
        + room.to_outdoors_w_per_k * near.outdoor_c
        + room.to_ground_w_per_k * near.ground_c
        + gains_w
    )
    return flows_w / room.w_per_k


def _running_drop_k(room: Room, coil: CoilDuty) -> Floats:
    """Return how far the room stands below its untouched mean while the compressor runs."""
    run_s = np.maximum(86400.0 * coil.duty / _RUNS_PER_DAY, 1.0)
    x = run_s * room.w_per_k / (1000.0 * room.lining_kj_per_k)
    within_run = 1.0 + np.expm1(-x) / x
    return 1000.0 * coil.sensible_kw / room.w_per_k * (coil.duty + (1.0 - coil.duty) * within_run)


def _humidity_ratio(room: Room, near: Around) -> Floats:
    """Return the water in the air that the room exchanges, by the conductances' shares."""
    outdoors = room.to_outdoors_w_per_k / (room.to_outdoors_w_per_k + room.to_house_w_per_k)
    return outdoors * near.outdoor_humidity_ratio + (1.0 - outdoors) * near.house_humidity_ratio
