"""The federal rating laboratory: simulated tanks put through its two tests.

The 24-hour simulated use draws the declared pattern from a tank at 125 degF with 58 degF inlet in
67.5 degF air; the uniform energy factor (UEF) is the heat at the nominal rise over the energy,
corrected for the change of the store and for what was delivered colder. The first-hour test draws
3 gal/min until the outlet has fallen by 15 degF, waits for the cut-out, draws again, for an hour.

References
----------
.. [1] 10 CFR 430 Subpart B Appendix E, "Uniform test method for measuring the energy consumption
   of water heaters". (opening seen; patterns, steps and equations from memory: high, flow rates
   and the restart by the uppermost energised element medium)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel.heaters.heater import DrawPattern, Heater
from heatersel.heaters.rated import AIR_TEMP_C, DELIVERY_TEMP_C, INLET_TEMP_C
from heatersel.reference import records
from heatersel.simulation import kernel
from heatersel.simulation.arrays import (
    AS_IT_COMES_C,
    PIECE,
    PLACE,
    SPAN,
    TOTALS,
    Grain,
    Outputs,
    Scene,
)
from heatersel.simulation.heat_pump import HeatPumpDays, daily_tables
from heatersel.simulation.tank import TankModel, pack_pumps, pack_tanks
from heatersel.water import WATER_KWH_PER_L_K

__all__ = [
    "DEFAULT_GRAIN",
    "PATTERNS",
    "laboratory_draws",
    "scaled",
    "simulated_first_hours_l",
    "simulated_uefs",
    "simulated_use",
]

Floats = NDArray[np.float64]

DEFAULT_GRAIN = Grain(
    segments=12,
    slice_frac=1.0 / 12.0,
    merge_k=0.05,
    inflow_k=0.4,
    decay_s=300.0,
    heat_s=1800.0,
    pump_k=4.0,
    check=False,
)
"""Resolution that keeps a year's energy within 0.1 % (heat pumps 0.3 %) of the finest."""

PATTERNS = tuple(DrawPattern)
"""Draw patterns in the order in which the laboratory's draws hold them."""

_DROP_K = 15.0 / 1.8
_L_PER_GAL = 3.785411784
_SMALL_TANK_L = 20.0 * _L_PER_GAL
_DAY_S = 86400.0


def simulated_uefs(models: Sequence[TankModel]) -> Floats:
    """Return the UEF of each model in the simulated 24-hour use.

    Parameters
    ----------
    models : sequence of TankModel
        Tanks; each draws its heater's declared pattern.

    Returns
    -------
    array of shape (n,)
        Heat of the drawn volume at 67 degF rise over the energy of the day. [-]

    Notes
    -----
    Energy counts pilot, fan and controls. It is corrected for the change of the store and for
    water delivered below the nominal rise, both at the conversion of the day.
    """
    outputs = simulated_use(models, spans=1)
    totals = {name: outputs.totals[name][:, 0] for name in TOTALS.names or ()}
    uefs = []
    for n, model in enumerate(models):
        heater = model.heater
        on_h = totals["main_s"][n] / 3600.0
        used_kwh = (totals["main_kj"][n] + totals["upper_kj"][n]) / 3600.0
        conversion = totals["heat_kj"][n] / (3600.0 * used_kwh) if used_kwh > 0.0 else 1.0
        if heater.burns_fuel:
            used_kwh += 0.001 * ((24.0 - on_h) * heater.pilot_w + on_h * heater.aux_running_w)
            conversion = heater.recovery_efficiency
        used_kwh += 0.001 * (24.0 - on_h) * heater.aux_standby_w
        store_k = outputs.end_mean_c[n] - DELIVERY_TEMP_C
        used_kwh -= heater.volume_l * WATER_KWH_PER_L_K * store_k / conversion
        nominal_kwh = totals["hot_l"][n] * WATER_KWH_PER_L_K * (DELIVERY_TEMP_C - INLET_TEMP_C)
        used_kwh += (nominal_kwh - totals["out_kj"][n] / 3600.0) / conversion
        uefs.append(nominal_kwh / used_kwh)
    return np.array(uefs)


def simulated_use(models: Sequence[TankModel], spans: int) -> Outputs:
    """Run the 24-hour simulated use of each model.

    Parameters
    ----------
    models : sequence of TankModel
        Tanks, at 125 degF when the day begins.
    spans : int
        Equal parts of the day; with more than one, the trace holds the tank at the end of each.

    Returns
    -------
    Outputs
        Totals of the day under month 0.
    """
    n = len(models)
    pairs = np.array([(i, PATTERNS.index(m.heater.draw_pattern), i) for i, m in enumerate(models)])
    outputs = Outputs(
        totals=np.zeros((n, 1), TOTALS), coldest_c=np.zeros(n), end_mean_c=np.zeros(n),
        short_s=np.zeros((n, 0, 2)), hourly_kj=np.zeros((n, 0)), supply_c=np.zeros((n, 0)),
        trace=np.zeros((n, spans if spans > 1 else 0, 3)),
    )  # fmt: skip
    tanks = pack_tanks(models, 3600.0 * WATER_KWH_PER_L_K)
    kernel.run_years(tanks, pairs, DEFAULT_GRAIN, _test_scene(models, spans), outputs)
    return outputs


def simulated_first_hours_l(models: Sequence[TankModel], mixings: Floats) -> Floats:
    """Return the first-hour rating of each model at each of its row of stirrings.

    Parameters
    ----------
    models : sequence of TankModel
        Tanks.
    mixings : array of shape (n, k)
        Stirred shares of the volume to try, in place of the models' own. [-]

    Returns
    -------
    array of shape (n, k)
        First-hour rating. [L]
    """
    n, width = mixings.shape
    tanks = np.repeat(pack_tanks(models, 3600.0 * WATER_KWH_PER_L_K), width)
    tanks["mixing_l"] = mixings.ravel() * tanks["volume_l"]
    scene = _test_scene(models, 1)
    scene = scene._replace(places=np.repeat(scene.places, width, axis=0))
    slow = tanks["volume_l"] < _SMALL_TANK_L
    pieces = scene.pieces.size - 2 + slow.astype(np.int64)
    books, ratings = np.zeros(n * width, TOTALS), np.zeros(n * width)
    kernel.run_first_hours(tanks, pieces, _DROP_K, DEFAULT_GRAIN, scene, books, ratings)
    return ratings.reshape(n, width)


def _test_scene(models: Sequence[TankModel], spans: int) -> Scene:
    """Return the laboratory: draws of the four patterns as years, then the first-hour draws."""
    years, pieces = laboratory_draws()
    span = np.zeros(spans, SPAN)
    edges = np.linspace(0.0, _DAY_S, spans + 1)
    span["start_s"], span["end_s"], span["inlet_c"] = edges[:-1], edges[1:], INLET_TEMP_C
    places = np.zeros((len(models), spans), PLACE)
    places["room_c"], places["setpoint_c"] = AIR_TEMP_C, DELIVERY_TEMP_C
    places["compressor"] = places["elements"] = 1
    days = [scaled(_test_days(m.heater), m.cop_scale) for m in models if m.is_heat_pump]
    return Scene(years, pieces, span, places, pack_pumps(days), 0.0)


@lru_cache(maxsize=1)
def laboratory_draws() -> tuple[NDArray[np.int64], NDArray[np.void]]:
    """Return the laboratory's draws as pieces.

    Returns
    -------
    years : array of int
        First piece of each pattern of :data:`PATTERNS`, one more at the end.
    pieces : array of PIECE records
        Those of the patterns, then two day-long ones of the first-hour test: 3.0 gal/min, and
        1.5 gal/min for tanks under 20 gal.
    """
    columns = {"start": "s", "volume": "L", "flow": "L/min"}
    rows = records("ratings/draw_patterns", columns)
    draws = [
        (row["start"], row["start"] + 60.0 * row["volume"] / row["flow"], row["flow"] / 60.0)
        for pattern in PATTERNS
        for row in rows
        if row["draw_pattern"] == pattern
    ]
    draws += [(0.0, _DAY_S, flow * _L_PER_GAL / 60.0) for flow in (3.0, 1.5)]
    pieces = np.zeros(len(draws), PIECE)
    pieces["start_s"], pieces["end_s"], pieces["flow_l_per_s"][:, 0] = np.array(draws).T
    pieces["n"], pieces["temp_c"][:, 0] = 1, AS_IT_COMES_C + 100.0
    counts = [sum(row["draw_pattern"] == pattern for row in rows) for pattern in PATTERNS]
    return np.cumsum([0, *counts]), pieces


@lru_cache(maxsize=256)
def _test_days(heater: Heater) -> HeatPumpDays:
    """Return what a heat pump can do in the air of the test, 67.5 degF and 50 %."""
    return daily_tables(heater, np.array([AIR_TEMP_C]), np.array([0.5]))


def scaled(days: HeatPumpDays, scale: float) -> HeatPumpDays:
    """Return a heat pump whose COP and heat are larger by a factor, for the same power."""
    return replace(days, cop=days.cop * scale, heat_kw=days.heat_kw * scale)
