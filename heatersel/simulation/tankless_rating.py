"""The federal rating tests of tankless heaters, simulated, and the parameters that reproduce them.

What a label does not state is how much heat the exchanger holds. It is found so that the
simulated 24-hour test gives the row's uniform energy factor (UEF): every start has to warm the
exchanger anew, which is what separates the UEF from the recovery efficiency. The list's rows come
to 2 to 5 kJ/K; one laboratory unit of 2010 held 8.4. That unit's time constant of cooling is used
for all.

References
----------
.. [1] 10 CFR 430 Subpart B Appendix E, sections on flow-activated heaters. (opening seen; draws
   and equations from memory)
.. [2] University of Colorado, MS thesis on a one-node tankless model, 2010: burn efficiency
   0.802, 8.36 kJ/K, 12.99 kJ/(h K). (abstract seen)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.draw_year import AS_IT_COMES_C
from heatersel.heaters.heater import DrawPattern, Heater
from heatersel.heaters.rated import AIR_TEMP_C, DAILY_DRAW_L, DELIVERY_TEMP_C, INLET_TEMP_C
from heatersel.reference import records
from heatersel.simulation import tankless_kernel as k
from heatersel.simulation.pieces import Events, cut_events
from heatersel.water import WATER_KWH_PER_L_K, heat_kwh

__all__ = [
    "DELAY_S",
    "PURGE_FRAC",
    "TanklessRating",
    "rate_all",
    "rate_tankless",
    "unit_row",
]

Floats = NDArray[np.float64]

DELAY_S = (3.0, 0.5)
"""From flow to fire, fuel-fired and electric: 2 to 5 s of valve, fan and spark (from memory,
medium); contactors close at once. [s]"""

PURGE_FRAC = 0.10
"""Share of the exchanger's heat that a burner's fan blows off after a draw (assumption). [-]"""

_COOLING_S = 8.36 / 12.99 * 3600.0  # time constant of the exchanger at rest [2]
_STOP_FRAC = 0.75  # flow that opens the switch again, over that which closes it (memory, medium)
_STORED_KJ_PER_K = (0.2, 30.0)  # what an exchanger can hold: a few parts of water and metal
_UEF_BAND = 0.003
_FLOW_BAND = 0.02
_ROUNDS = 8
_SETTLED = 1e-7


@dataclass(frozen=True, slots=True, kw_only=True)
class TanklessRating:
    """Parameters of a tankless heater, and its two rating tests simulated with them.

    Parameters
    ----------
    heater_id : str
        The row.
    efficiency : float
        Heat per input while firing, at the test's inlet and outlet. [-]
    stored_kj_per_k : float
        Heat that exchanger and water hold. [kJ/K]
    loss_w_per_k : float
        Loss of the exchanger at rest. [W/K]
    uef, max_flow_l_per_min : float
        Simulated. [-], [L/min]
    first_draw_efficiency : float
        Heat delivered over input of the test's first draw alone, which starts cold. [-]
    why_not : str
        Empty if both ratings are reproduced, UEF within 0.003 and flow within 2 %; else what
        contradicts what.
    """

    heater_id: str
    efficiency: float
    stored_kj_per_k: float
    loss_w_per_k: float
    uef: float
    max_flow_l_per_min: float
    first_draw_efficiency: float
    why_not: str

    @property
    def consistent(self) -> bool:
        """Whether the parameters reproduce the row's ratings."""
        return not self.why_not


def rate_tankless(heater: Heater) -> TanklessRating:
    """Return parameters and simulated ratings of one tankless heater.

    Parameters
    ----------
    heater : Heater
        A tankless row, or several in parallel as one.
    """
    return rate_all((heater,))[0]


@lru_cache(maxsize=16)
def rate_all(heaters: tuple[Heater, ...]) -> tuple[TanklessRating, ...]:
    """Return parameters and simulated ratings of several tankless heaters at once.

    Parameters
    ----------
    heaters : tuple of Heater
        Tankless rows.

    Returns
    -------
    tuple of TanklessRating
        In the same order; a row that contradicts itself says so and keeps the nearest
        parameters.

    Notes
    -----
    UEF = V rho cp 67 degF / (Q + (V rho cp 67 degF - delivered)/RE): heat that the test's start-ups
    do not deliver is credited at the recovery efficiency [1]_. UEF falls nearly in a straight line
    as the stored heat grows, so the secant settles in a few rounds.
    """
    aim = np.array([heater.uef for heater in heaters])
    low, high = (np.full(len(heaters), bound) for bound in _STORED_KJ_PER_K)
    near, far = np.full(len(heaters), 4.0), np.full(len(heaters), 8.0)
    near_uef, far_uef = _simulated_uef(heaters, near), _simulated_uef(heaters, far)
    for _ in range(_ROUNDS):
        # A heater that has settled keeps its value, so that it does not depend on the others.
        settled = (np.abs(near_uef - aim) < _SETTLED) | (near == far)
        if np.all(settled):
            break
        slope = np.minimum((far_uef - near_uef) / np.where(settled, 1.0, far - near), -1e-9)
        step = np.where(settled, near, np.clip(near + (aim - near_uef) / slope, low, high))
        far, far_uef = np.where(settled, far, near), np.where(settled, far_uef, near_uef)
        near, near_uef = step, _simulated_uef(heaters, step)
    first = _first_draw_efficiency(heaters, near)
    return tuple(
        _rating(heater, float(near[n]), float(near_uef[n]), float(first[n]))
        for n, heater in enumerate(heaters)
    )


def unit_row(
    heater: Heater,
    stored_kj_per_k: float,
    *,
    input_frac: float = 1.0,
    throttles: bool = False,
    buffer_l: float = 0.0,
    buffer_kw: float = 0.0,
    buffer_keep_k: float = 0.0,
    buffer_w_per_k: float = 0.0,
    water_kj_per_l_k: float | None = None,
) -> Floats:
    """Return a heater as the compiled model wants it.

    Parameters
    ----------
    heater : Heater
        A tankless row.
    stored_kj_per_k : float
        Heat that exchanger and water hold. [kJ/K]
    input_frac : float
        Input left by altitude or by a lower supply voltage. [-]
    throttles : bool
        Whether an overload cuts the flow rather than the temperature.
    buffer_l, buffer_kw, buffer_keep_k, buffer_w_per_k : float
        Buffer tank: volume, element, how far below the setpoint it is kept, loss. [L], [kW],
        [K], [W/K]
    water_kj_per_l_k : float, optional
        Heat per hot litre and kelvin; that of the federal test's rise if not given. [kJ/(L K)]
    """
    water = _kj_per_l_k() if water_kj_per_l_k is None else water_kj_per_l_k
    fuel = heater.burns_fuel
    least_kw = heater.min_input_kw if fuel else 0.0
    start_l_per_s = heater.min_flow_l_per_min / 60.0
    buffer_kj_per_k = buffer_l * water
    loss_kw_per_k = stored_kj_per_k / _COOLING_S + 0.001 * buffer_w_per_k
    return np.array(
        k.Unit(
            input_kw=heater.input_kw * input_frac,
            least_kw=least_kw,
            stored_kj_per_k=stored_kj_per_k + buffer_kj_per_k,
            loss_kw_per_k=loss_kw_per_k,
            delay_s=DELAY_S[0] if fuel else DELAY_S[1],
            purge_frac=(
                PURGE_FRAC * stored_kj_per_k / (stored_kj_per_k + buffer_kj_per_k) if fuel else 0.0
            ),
            start_l_per_s=start_l_per_s,
            stop_l_per_s=_STOP_FRAC * start_l_per_s,
            throttles=float(throttles),
            buffer_keep_k=buffer_keep_k,
            buffer_kw=buffer_kw,
            water_kj_per_l_k=water,
        )
    )


def _kj_per_l_k() -> float:
    return 3600.0 * WATER_KWH_PER_L_K


@lru_cache(maxsize=1)
def _patterns() -> dict[DrawPattern, Floats]:
    """Return start, duration and flow of the test's draws. [s], [s], [L/s]"""
    units = {"draw": "", "start": "second", "volume": "L", "flow": "L/min"}
    found: dict[DrawPattern, list[tuple[float, float, float]]] = {p: [] for p in DrawPattern}
    for row in records("ratings/draw_patterns", units):
        flow = row["flow"] / 60.0
        found[DrawPattern(row["draw_pattern"])].append((row["start"], row["volume"] / flow, flow))
    return {pattern: np.array(draws) for pattern, draws in found.items()}


def _test_draws(
    patterns: Sequence[DrawPattern], n_draws: int | None = None
) -> tuple[NDArray[np.int64], NDArray[np.void]]:
    """Return the first draws of each pattern, one year per heater; all hot, as it comes."""
    return cut_events(
        [
            Events(start_s, duration_s, flow, np.full(start_s.size, AS_IT_COMES_C))
            for start_s, duration_s, flow in (_patterns()[p][:n_draws].T for p in patterns)
        ]
    )


def _run_test(heaters: Sequence[Heater], stored: Floats, n_draws: int | None = None) -> Floats:
    """Return the totals of a test day for each heater."""
    count = len(heaters)
    days = np.ones((count, 1))
    weather = k.Weather(
        month=np.zeros(1, dtype=np.int64),
        inlet_c=np.array([INLET_TEMP_C]),
        room_c=AIR_TEMP_C * days,
        setpoint_c=DELIVERY_TEMP_C * days,
        efficiency=np.array([[heater.recovery_efficiency] for heater in heaters]),
        use_c=0.0,
    )
    units = np.array([unit_row(h, s) for h, s in zip(heaters, stored, strict=True)])
    pairs = np.column_stack((np.arange(count), np.arange(count)))
    totals = np.zeros((count, 1, k.N_TOTALS))
    first, pieces = _test_draws([heater.draw_pattern for heater in heaters], n_draws)
    k.run_tankless(units, pairs, first, pieces, weather, totals, np.zeros((count, 0, 2)),
                   np.zeros((count, 0)))  # fmt: skip
    return totals[:, 0]


def _simulated_uef(heaters: Sequence[Heater], stored: Floats) -> Floats:
    totals = _run_test(heaters, stored)
    firing_h = totals[:, k.FIRING_S] / 3600.0
    running = np.array([heater.aux_running_w for heater in heaters])
    standby = np.array([heater.aux_standby_w for heater in heaters])
    electric_kj = 3.6 * (running * firing_h + standby * (24.0 - firing_h))
    rise_k = DELIVERY_TEMP_C - INLET_TEMP_C
    useful = np.array([DAILY_DRAW_L[h.draw_pattern] for h in heaters]) * _kj_per_l_k() * rise_k
    recovery = np.array([heater.recovery_efficiency for heater in heaters])
    used = totals[:, k.INPUT_KJ] + electric_kj + (useful - totals[:, k.OUT_KJ]) / recovery
    return np.asarray(useful / used)


def _first_draw_efficiency(heaters: Sequence[Heater], stored: Floats) -> Floats:
    totals = _run_test(heaters, stored, 1)
    return np.asarray(totals[:, k.OUT_KJ] / totals[:, k.INPUT_KJ])


def _max_flow_l_per_min(heater: Heater) -> float:
    """Return the flow that full input holds at the test's rise."""
    per_litre_kwh = heat_kwh(1.0, INLET_TEMP_C, DELIVERY_TEMP_C)
    return heater.input_kw * heater.recovery_efficiency / per_litre_kwh / 60.0


def _rating(heater: Heater, stored: float, uef: float, first: float) -> TanklessRating:
    flow = _max_flow_l_per_min(heater)
    reasons = []
    if abs(uef - heater.uef) > _UEF_BAND:
        reasons.append(
            f"UEF {heater.uef:g} cannot be reached with a recovery efficiency of "
            f"{heater.recovery_efficiency:g} and {heater.aux_standby_w:g} W of standby: "
            f"the nearest is {uef:.3f}"
        )
    if abs(flow / heater.max_flow_l_per_min - 1.0) > _FLOW_BAND:
        reasons.append(
            f"input and recovery efficiency hold {flow:.1f} L/min at a 37.2 K rise, "
            f"not {heater.max_flow_l_per_min:.1f}"
        )
    return TanklessRating(
        heater_id=heater.id,
        efficiency=heater.recovery_efficiency,
        stored_kj_per_k=stored,
        loss_w_per_k=1000.0 * stored / _COOLING_S,
        uef=uef,
        max_flow_l_per_min=flow,
        first_draw_efficiency=first,
        why_not="; ".join(reasons),
    )
