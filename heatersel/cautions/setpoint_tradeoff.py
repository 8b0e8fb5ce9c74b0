"""What a setpoint trades: how fast water burns, how fast bacteria die, what standby costs."""

from __future__ import annotations

from dataclasses import dataclass

from heatersel.cautions.growth import decimal_reduction_min
from heatersel.cautions.scald import shortest_scald_time_s
from heatersel.errors import OutOfRangeError

__all__ = ["HIGHEST_C", "LOWEST_C", "SetpointPoint", "setpoint_point", "setpoint_tradeoff"]

LOWEST_C = 45.0  # the coolest published reduction time
HIGHEST_C = 66.0  # the hottest
_HOURS = 8760.0


@dataclass(frozen=True, slots=True, kw_only=True)
class SetpointPoint:
    """One setpoint and what it means.

    Parameters
    ----------
    setpoint_c : float
        Store temperature. [°C]
    scald_time_s, scald_time_child_s : float or None
        Shortest published time to a burn; None where no table reaches that low. [s]
    decimal_reduction_min : float or None
        Time in which nine of ten Legionella die, one strain without biofilm; None outside 45
        to 66 °C. [min]
    standby_per_year : float
        Cost of the heat that the store loses, in the currency of the price.
    """

    setpoint_c: float
    scald_time_s: float | None
    scald_time_child_s: float | None
    decimal_reduction_min: float | None
    standby_per_year: float


def setpoint_point(
    setpoint_c: float, standby_w_per_k: float, room_c: float, price_per_useful_kwh: float
) -> SetpointPoint:
    """Return what one setpoint means.

    Parameters
    ----------
    setpoint_c : float
        Store temperature. [°C]
    standby_w_per_k : float
        Loss coefficient of the store, 0 for a tankless heater. [W/K]
    room_c : float
        Air around it. [°C]
    price_per_useful_kwh : float
        Price of energy over the efficiency with which it becomes heat in the water.

    Returns
    -------
    SetpointPoint
        The trade-off at this temperature.

    Raises
    ------
    OutOfRangeError
        If the loss or the price is negative.

    Notes
    -----
    Standby: UA (setpoint - room) over 8760 h; a room warmer than the store costs nothing.

    Examples
    --------
    >>> round(setpoint_point(60.0, 2.0, 20.0, 0.15).standby_per_year, 2)
    105.12
    """
    if standby_w_per_k < 0.0 or price_per_useful_kwh < 0.0:
        raise OutOfRangeError.of(
            "standby", value=f"{standby_w_per_k:g} W/K at {price_per_useful_kwh:g}",
            allowed="loss and price of 0 or more",
        )  # fmt: skip
    published = LOWEST_C <= setpoint_c <= HIGHEST_C
    lost_kwh = standby_w_per_k * max(0.0, setpoint_c - room_c) * _HOURS / 1000.0
    return SetpointPoint(
        setpoint_c=setpoint_c,
        scald_time_s=shortest_scald_time_s(setpoint_c),
        scald_time_child_s=shortest_scald_time_s(setpoint_c, child=True),
        decimal_reduction_min=decimal_reduction_min(setpoint_c) if published else None,
        standby_per_year=lost_kwh * price_per_useful_kwh,
    )


def setpoint_tradeoff(
    standby_w_per_k: float, room_c: float, price_per_useful_kwh: float, step_k: float = 0.5
) -> tuple[SetpointPoint, ...]:
    """Return the trade-off over all setpoints from 45 to 66 °C.

    Parameters
    ----------
    standby_w_per_k, room_c, price_per_useful_kwh
        As for :func:`setpoint_point`.
    step_k : float
        Distance of the points, 0.1 to 5. [K]

    Returns
    -------
    tuple of SetpointPoint
        Coolest first.

    Raises
    ------
    OutOfRangeError
        As for :func:`setpoint_point`, or if the step is out of range.
    """
    if not 0.1 <= step_k <= 5.0:
        raise OutOfRangeError.of("step", value=f"{step_k:g} K", allowed="0.1 to 5 K")
    count = int((HIGHEST_C - LOWEST_C) / step_k + 1e-9)
    temps = [LOWEST_C + step_k * index for index in range(count + 1)]
    return tuple(
        setpoint_point(temp_c, standby_w_per_k, room_c, price_per_useful_kwh) for temp_c in temps
    )
