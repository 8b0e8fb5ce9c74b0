"""Hot water on its way to the fixture: pipe volume, waiting, waste and recirculation.

The run from the heater to the farthest fixture is one length of pipe. After a draw it cools; the
next draw has to push the cooled water out before it is warm, which costs time, water and heat. A
recirculation loop keeps the pipe warm at the price of its loss and its pump. This holds for tanks
and tankless heaters alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.draw_year import DrawYear
from heatersel.errors import OutOfRangeError, UnknownChoiceError
from heatersel.job.services import HotPipe
from heatersel.reference import records
from heatersel.water import WATER_KWH_PER_L_K

__all__ = [
    "Insulation",
    "LoopControl",
    "LoopYear",
    "PipeRun",
    "PipeYear",
    "loop_of",
    "loop_year",
    "pipe_loss_w_per_m_k",
    "pipe_volume_l_per_m",
    "pipe_year",
    "run_of",
    "wait_s",
]

Floats = NDArray[np.float64]

# The cold water mixes with what follows it: a full purge takes 1.1 to 1.5 pipe volumes at usual
# flows (from memory, medium).
_PURGE_VOLUMES = 1.25

# The pipe's own metal or plastic, over the heat capacity of the water in it (3/4 in copper L holds
# 0.249 Btu/(degF ft) with 0.210 of water).
_WALL_SHARE = 0.19

# Waiting as plumbing engineers judge it: up to 10 s acceptable, over 30 s not (American Society of
# Plumbing Engineers, as quoted in a code proposal; seen second hand).
_LONG_WAIT_S = 30.0

# Pump of a house loop: 0.040 kWh an hour, 350 kWh a year without control, 23 kWh with demand
# control (2016 California Title 24 ACM Reference Manual, appendix B, table B-6; seen).
_PUMP_KW = 0.040
_DEMAND_KWH = 23.0
# Share of the year that a temperature control runs the pump: 1.46 of 8.76 kWh per W (ANSI/RESNET/
# ICC 301; from memory, medium).
_TEMPERATURE_SHARE = 1.46 / 8.76
_RETURN_BELOW_K = 5.0  # water comes back to the heater this much cooler (common practice)


class Insulation(StrEnum):
    """What is around the pipe."""

    BARE = "bare"
    HALF_INCH = "half_inch"


class LoopControl(StrEnum):
    """When the pump of a recirculation loop runs."""

    CONTINUOUS = "continuous"
    TIMER = "timer"
    TEMPERATURE = "temperature"  # when the return has cooled
    DEMAND = "demand"  # at the press of a button or a sensor's call


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeRun:
    """The pipe from the heater to the farthest fixture.

    Parameters
    ----------
    material, size : str
        As in datasets/pipes/volume.csv, such as "copper_l" and "3/4 in".
    length_m : float
        0 to 100. [m]
    insulation : Insulation
        Bare or half an inch of glass fibre.
    """

    material: str
    size: str
    length_m: float
    insulation: Insulation = Insulation.BARE

    def __post_init__(self) -> None:
        """Refuse an impossible length or an unknown pipe."""
        if not 0.0 <= self.length_m <= 100.0:
            raise OutOfRangeError.of(
                "pipe length", value=f"{self.length_m:g} m", allowed="0 to 100 m",
                fix="measure along the pipe to the farthest fixture",
            )  # fmt: skip
        pipe_volume_l_per_m(self.material, self.size)

    @property
    def volume_l(self) -> float:
        """Water in the run. [L]"""
        return self.length_m * pipe_volume_l_per_m(self.material, self.size)

    @property
    def loss_w_per_k(self) -> float:
        """Heat loss of the run. [W/K]"""
        return self.length_m * pipe_loss_w_per_m_k(self.size, self.insulation)

    @property
    def cooling_h(self) -> float:
        """Time constant of cooling at rest. [h]"""
        stored_wh_per_k = 1000.0 * (1.0 + _WALL_SHARE) * WATER_KWH_PER_L_K * self.volume_l
        return stored_wh_per_k / self.loss_w_per_k


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeYear:
    """What the pipe run costs in a year.

    Parameters
    ----------
    cold_starts : int
        Draws that find the pipe too cool to use.
    mean_wait_s, longest_wait_s : float
        Waiting of those draws, in the pipe alone. [s]
    long_waits : int
        Of them, those over 30 s.
    wasted_l : float
        Water run off while waiting. [L]
    lost_kwh : float
        Heat that the run loses to the house between draws. [kWh]
    """

    cold_starts: int
    mean_wait_s: float
    longest_wait_s: float
    long_waits: int
    wasted_l: float
    lost_kwh: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LoopYear:
    """What a recirculation loop costs in a year.

    Parameters
    ----------
    pump_kwh : float
        Electricity of the pump. [kWh]
    loss_kwh : float
        Heat that the loop loses, which the heater makes up. [kWh]
    mean_loss_w_per_k : float
        That heat as a loss coefficient between stored water and room, to be added to a tank's.
        [W/K]
    return_c : float
        Water that comes back to the heater; it spoils condensing, and a heat pump's cold water.
        [°C]
    warm_return_frac : float
        Share of the year in which it comes back, by the heat lost. [-]
    """

    pump_kwh: float
    loss_kwh: float
    mean_loss_w_per_k: float
    return_c: float
    warm_return_frac: float


def run_of(pipe: HotPipe) -> PipeRun:
    """Return the pipe run of a home.

    Parameters
    ----------
    pipe : HotPipe
        As the job describes it.

    Returns
    -------
    PipeRun

    Raises
    ------
    UnknownChoiceError
        If no table has a pipe of that material and size.
    """
    return PipeRun(
        material=pipe.material.value,
        size=pipe.size.value,
        length_m=pipe.length_m,
        insulation=Insulation.HALF_INCH if pipe.insulated else Insulation.BARE,
    )


def loop_of(
    pipe: HotPipe | None, *, hot_c: float, room_c: Floats, stored_c: float | None = None
) -> LoopYear | None:
    """Return a year of the recirculation loop of a home, None without a pump.

    Parameters
    ----------
    pipe : HotPipe or None
        As the job describes it.
    hot_c, room_c, stored_c
        As for :func:`loop_year`.

    Returns
    -------
    LoopYear or None

    Raises
    ------
    UnknownChoiceError
        If no table has a pipe of that material and size.
    """
    if pipe is None or pipe.loop_pump is None:
        return None
    return loop_year(
        run_of(pipe),
        control=LoopControl(pipe.loop_pump.value),
        hot_c=hot_c,
        room_c=room_c,
        stored_c=stored_c,
        hours_per_day=pipe.loop_hours_per_day,
    )


def pipe_volume_l_per_m(material: str, size: str) -> float:
    """Return the water in a metre of pipe.

    Parameters
    ----------
    material, size : str
        Such as "copper_m" and "1/2 in".

    Returns
    -------
    float
        Volume. [L/m]

    Raises
    ------
    UnknownChoiceError
        If the table has no such pipe; those of the material are listed.

    References
    ----------
    .. [1] US Department of Energy, Building Science Education, "Calculating WaterSense criteria",
       table 1, after 2009 International Plumbing Code table E202.1. (seen)

    Examples
    --------
    >>> round(pipe_volume_l_per_m("copper_l", "3/4 in"), 4)
    0.3124
    """
    table = _volumes()
    if (material, size) not in table:
        sizes = sorted(s for m, s in table if m == material)
        materials = sorted({m for m, _ in table})
        raise UnknownChoiceError.of(
            "pipe", value=f"{material} {size}",
            allowed=f"{material}: {', '.join(sizes)}" if sizes else ", ".join(materials),
            fix="give material and nominal size as in datasets/pipes/volume.csv",
        )  # fmt: skip
    return table[material, size]


def pipe_loss_w_per_m_k(size: str, insulation: Insulation = Insulation.BARE) -> float:
    """Return the heat loss of a metre of pipe.

    Parameters
    ----------
    size : str
        Nominal size, 3/8 to 2 in; plastic loses about as much as copper.
    insulation : Insulation
        Bare or half an inch of glass fibre.

    Returns
    -------
    float
        Loss coefficient; insulated ones are on the high side of a computation by up to 40 %.
        [W/(m K)]

    Raises
    ------
    UnknownChoiceError
        If the table has no such size.

    References
    ----------
    .. [1] ASHRAE Handbook, HVAC Applications, "Service Water Heating", approximate heat loss from
       piping at 140 degF. (memory, medium to high; 3/8 and 1/2 in computed)

    Examples
    --------
    >>> round(pipe_loss_w_per_m_k("3/4 in", Insulation.HALF_INCH), 3)
    0.438
    """
    table = _losses()
    if (size, insulation.value) not in table:
        raise UnknownChoiceError.of(
            "pipe size", value=size, allowed=", ".join(sorted({s for s, _ in table})),
            fix="give a nominal size of the list",
        )  # fmt: skip
    return table[size, insulation.value]


def wait_s(run: PipeRun, flow_l_per_min: float) -> float:
    """Return the time until hot water arrives through a cold run.

    Parameters
    ----------
    run : PipeRun
        The pipe.
    flow_l_per_min : float
        Flow while waiting, above 0. [L/min]

    Returns
    -------
    float
        Time to purge 1.25 pipe volumes. [s]

    Raises
    ------
    OutOfRangeError
        If there is no flow.
    """
    if not flow_l_per_min > 0.0:
        raise OutOfRangeError.of(
            "flow", value=f"{flow_l_per_min:g} L/min", allowed="above 0", fix="open the fixture"
        )
    return 60.0 * _PURGE_VOLUMES * run.volume_l / flow_l_per_min


def pipe_year(
    run: PipeRun,
    year: DrawYear,
    *,
    hot_c: float,
    use_temp_c: float,
    room_c: Floats,
    kept_hot: bool = False,
) -> PipeYear:
    """Return waiting, waste and loss of a year of draws through one run.

    All draws are taken to share the run, which is fair for a trunk with short branches and
    cautious for a manifold.

    Parameters
    ----------
    run : PipeRun
        The pipe.
    year : DrawYear
        The household's draws.
    hot_c, use_temp_c : float
        Water from the heater, and the least a user accepts. [°C]
    room_c : array of shape (365,)
        Air around the pipe. [°C]
    kept_hot : bool
        Whether a loop keeps the run hot, so that nobody waits.

    Returns
    -------
    PipeYear

    Notes
    -----
    At rest T = Ta + (T0 - Ta) exp(-t/tau), tau = C/UA. A draw that finds less than the use
    temperature purges 1.25 volumes; a machine does not wait and wastes no water. Each start
    replaces the heat that the run has lost since the last draw.
    """
    if run.volume_l <= 0.0 or kept_hot or year.start_s.size == 0:
        return PipeYear(
            cold_starts=0, mean_wait_s=0.0, longest_wait_s=0.0, long_waits=0, wasted_l=0.0,
            lost_kwh=0.0,
        )  # fmt: skip
    end_s = np.maximum.accumulate(year.start_s + year.duration_s)
    rest_s = np.maximum(year.start_s - np.concatenate(([-np.inf], end_s[:-1])), 0.0)
    air_c = room_c[np.minimum(year.day, 364)]
    left = np.exp(-rest_s / 3600.0 / run.cooling_h)
    pipe_c = air_c + (hot_c - air_c) * left
    waits = (pipe_c < np.minimum(use_temp_c, year.mixed_temp_c)) & (year.mixed_temp_c < hot_c)
    # Nobody waits longer than the draw lasts: a short one ends in cool water.
    full_s = 60.0 * _PURGE_VOLUMES * run.volume_l / year.mixed_flow_l_per_min[waits]
    waited_s = np.minimum(full_s, year.duration_s[waits])
    wasted_l = waited_s * year.mixed_flow_l_per_min[waits] / 60.0
    stored_kwh_per_k = (1.0 + _WALL_SHARE) * WATER_KWH_PER_L_K * run.volume_l
    return PipeYear(
        cold_starts=int(waits.sum()),
        mean_wait_s=float(waited_s.mean()) if waited_s.size else 0.0,
        longest_wait_s=float(waited_s.max()) if waited_s.size else 0.0,
        long_waits=int((waited_s > _LONG_WAIT_S).sum()),
        wasted_l=float(wasted_l.sum()),
        lost_kwh=float((stored_kwh_per_k * (hot_c - air_c) * (1.0 - left)).sum()),
    )


def loop_year(
    run: PipeRun,
    *,
    control: LoopControl,
    hot_c: float,
    room_c: Floats,
    stored_c: float | None = None,
    hours_per_day: float = 16.0,
    starts_per_day: float = 20.0,
) -> LoopYear:
    """Return what a loop of two such runs, out and back, costs in a year.

    Parameters
    ----------
    run : PipeRun
        The pipe out; the return is taken as long, of the same size.
    control : LoopControl
        When the pump runs.
    hot_c : float
        Water that enters the loop, behind a tempering valve if there is one. [°C]
    room_c : array of shape (365,)
        Air around the loop. [°C]
    stored_c : float, optional
        Water in the heater that makes up the loss; without it as hot as the loop's. [°C]
    hours_per_day : float
        Hours that a timer runs the pump, 0 to 24. [h]
    starts_per_day : float
        Calls of a demand control, 0 to 200.

    Returns
    -------
    LoopYear

    Raises
    ------
    OutOfRangeError
        If hours or starts lie outside their range.

    Notes
    -----
    While the pump runs, and with a temperature control always, the loop loses UA (T - Ta), T half
    the return's fall below the setpoint. A demand control warms the run at each call, which then
    cools until the next: it loses what a pipe at rest loses. The rest of the day is left out.

    References
    ----------
    Pump: 2016 California Title 24 ACM Reference Manual, appendix B, table B-6. (seen)
    """
    for name, value, high in (("hours", hours_per_day, 24.0), ("starts", starts_per_day, 200.0)):
        if not 0.0 <= value <= high:
            raise OutOfRangeError.of(
                f"{name} per day", value=f"{value:g}", allowed=f"0 to {high:g}",
                fix="count one day of the pump",
            )  # fmt: skip
    loop_w_per_k = 2.0 * run.loss_w_per_k
    above_k = np.maximum(hot_c - 0.5 * _RETURN_BELOW_K - room_c, 0.0)
    steady_kwh = float(0.024 * loop_w_per_k * above_k.sum())
    year_kwh = _PUMP_KW * 8760.0
    if control is LoopControl.DEMAND and run.volume_l > 0.0:
        rest_h = 24.0 / max(starts_per_day, 1e-9)
        cooled = -np.expm1(-rest_h / run.cooling_h)
        stored_kwh_per_k = (1.0 + _WALL_SHARE) * WATER_KWH_PER_L_K * run.volume_l
        loss_kwh = float(starts_per_day * stored_kwh_per_k * cooled * above_k.sum())
        pump_kwh = _DEMAND_KWH
    else:
        share = {LoopControl.TIMER: hours_per_day / 24.0}.get(control, 1.0)
        loss_kwh = share * steady_kwh
        pump_kwh = year_kwh * (_TEMPERATURE_SHARE if control is LoopControl.TEMPERATURE else share)
    degree_hours = 24.0 * float(((hot_c if stored_c is None else stored_c) - room_c).sum())
    return LoopYear(
        pump_kwh=pump_kwh,
        loss_kwh=loss_kwh,
        mean_loss_w_per_k=1000.0 * loss_kwh / degree_hours,
        return_c=hot_c - _RETURN_BELOW_K,
        warm_return_frac=min(loss_kwh / steady_kwh, 1.0) if steady_kwh > 0.0 else 0.0,
    )


@lru_cache(maxsize=1)
def _volumes() -> dict[tuple[str, str], float]:
    rows = records("pipes/volume", {"volume": "L/m"})
    return {(row["material"], row["size"]): row["volume"] for row in rows}


@lru_cache(maxsize=1)
def _losses() -> dict[tuple[str, str], float]:
    rows = records("pipes/loss", {"loss": "W/m/K"})
    return {(row["size"], row["insulation"]): row["loss"] for row in rows}
