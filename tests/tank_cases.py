"""Small tanks and days for tests of the compiled tank, built record by record."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatersel.simulation import kernel
from heatersel.simulation.arrays import (
    BURNER,
    CONDENSER,
    N_WATERS,
    PIECE,
    PLACE,
    PUMP_DAY,
    SPAN,
    TANK,
    TOTALS,
    Grain,
    Outputs,
    Scene,
)  # fmt: skip
from heatersel.simulation.laboratory import DEFAULT_GRAIN
from heatersel.simulation.pieces import Events, cut_events

WATER_KJ = 4.13
HOT_AS_IT_COMES_C = 1000.0

FINE_GRAIN = DEFAULT_GRAIN._replace(
    segments=160, slice_frac=0.003, merge_k=1e-4, heat_s=30.0, pump_k=0.1
)
CHECKED = DEFAULT_GRAIN._replace(check=True)


def tank(**changes: float) -> np.ndarray:
    """A bare store of 200 L: no loss, no heat, no stirring; change what the test is about."""
    row = np.zeros(1, TANK)
    defaults = {
        "volume_l": 200.0, "water_kj_per_l_k": WATER_KJ, "main_conversion": 1.0,
        "main_deadband_k": 1e6, "element_conversion": 1.0, "condenser_top_l": 100.0,
        "valve_c": 1e3, "main": BURNER, "main_kw": 0.0,
    }  # fmt: skip
    for name, value in (defaults | changes).items():
        row[name] = value
    return row


def gas(**changes: float) -> np.ndarray:
    """A fuel tank of 150 L."""
    return tank(**({
        "volume_l": 150.0, "loss_idle_kw_per_k": 4e-3, "loss_firing_kw_per_k": 2.5e-3,
        "pilot_kw": 0.08, "main_kw": 9.0, "main_conversion": 0.8, "main_sensor_l": 30.0,
        "main_deadband_k": 7.0, "mixing_l": 15.0,
    } | changes))  # fmt: skip


def electric(**changes: float) -> np.ndarray:
    """A tank of 170 L with two elements."""
    return tank(**({
        "volume_l": 170.0, "loss_idle_kw_per_k": 1e-3, "loss_firing_kw_per_k": 1e-3,
        "main_kw": 4.4, "main_conversion": 0.98, "element_conversion": 0.98,
        "main_height_l": 14.0, "main_sensor_l": 26.0, "main_deadband_k": 5.0, "upper_kw": 4.4,
        "upper_height_l": 119.0, "upper_sensor_l": 129.0, "upper_drop_k": 5.0, "mixing_l": 17.0,
    } | changes))  # fmt: skip


def heat_pump(**changes: float) -> np.ndarray:
    """A heat-pump tank of 190 L with elements behind the compressor."""
    return tank(**({
        "volume_l": 190.0, "loss_idle_kw_per_k": 1.4e-3, "loss_firing_kw_per_k": 1.4e-3,
        "main": CONDENSER, "main_sensor_l": 57.0, "main_deadband_k": 5.0, "upper_kw": 4.4,
        "upper_height_l": 133.0, "upper_sensor_l": 144.0, "upper_drop_k": 12.0, "lower_kw": 4.4,
        "lower_height_l": 19.0, "element_conversion": 0.98, "mixing_l": 19.0,
        "condenser_top_l": 114.0,
    } | changes))  # fmt: skip


def pumps(runs: bool = True) -> np.ndarray:
    """One heat pump whose COP and heat fall with the water's temperature."""
    days = np.zeros((1, 1), PUMP_DAY)
    water_c = 5.0 * np.arange(N_WATERS)
    days["cop"], days["heat_kw"] = 5.5 - 0.055 * water_c, 1.8 - 0.006 * water_c
    days["per_k"], days["runs"] = 0.2, runs
    return days


def draws(*rows: tuple[float, float, float, float]) -> Events:
    """Draws as (start in h, minutes, L/min, temperature asked for)."""
    start_h, minutes, flow, temp_c = np.array(rows, dtype=float).reshape(-1, 4).T
    return Events(3600.0 * start_h, 60.0 * minutes, flow / 60.0, temp_c)


def random_day(seed: int, n: int = 40, hours: float = 24.0, asked_c: float = 40.0) -> Events:
    """A day of draws, short and long, some overlapping."""
    random = np.random.default_rng(seed)
    return Events(
        np.sort(random.uniform(0.0, 3600.0 * hours, n)),
        np.where(random.random(n) < 0.15, 420.0, random.uniform(5.0, 90.0, n)),
        random.uniform(2.0, 9.0, n) / 60.0,
        np.full(n, asked_c),
    )


def scene(
    runs: list[Events],
    *,
    n_tanks: int = 1,
    hours: float = 24.0,
    steps: int = 1,
    inlet_c: float = 10.0,
    room_c: float = 20.0,
    setpoint_c: float = 60.0,
    pump_days: np.ndarray | None = None,
    use_c: float = 40.0,
) -> Scene:
    """Constant surroundings for so many hours, in `steps` spans."""
    first, pieces = cut_events(runs)
    spans = np.zeros(steps, SPAN)
    edges = np.linspace(0.0, 3600.0 * hours, steps + 1)
    spans["start_s"], spans["end_s"], spans["inlet_c"] = edges[:-1], edges[1:], inlet_c
    places = np.zeros((n_tanks, steps), PLACE)
    places["room_c"], places["setpoint_c"] = room_c, setpoint_c
    places["compressor"] = places["elements"] = 1
    if pieces.size == 0:
        pieces = np.zeros(1, PIECE)
    days = pumps() if pump_days is None else pump_days
    return Scene(first, pieces, spans, places, days, use_c)


def run(
    tanks: np.ndarray,
    where: Scene,
    *,
    grain: Grain = DEFAULT_GRAIN,
    pairs: list[tuple[int, int]] | None = None,
    traced: bool = False,
) -> Outputs:
    """Run every tank through every year of draws, or the pairs given."""
    n_years = where.years.size - 1
    pairs = pairs or [(t, y) for t in range(tanks.size) for y in range(n_years)]
    rows = np.array([(*pair, row) for row, pair in enumerate(pairs)])
    n = len(pairs)
    outputs = Outputs(
        totals=np.zeros((n, 1), TOTALS), coldest_c=np.zeros(n), end_mean_c=np.zeros(n),
        short_s=np.zeros((n, 1, 2)), hourly_kj=np.zeros((n, 0)),
        supply_c=np.full((n, where.pieces.size), np.inf),
        trace=np.zeros((n, where.spans.size if traced else 0, 3)),
    )  # fmt: skip
    kernel.run_years(tanks, rows, grain, where, outputs)
    return outputs


def total(outputs: Outputs, name: str) -> Any:
    """One sum of every run."""
    return outputs.totals[name][:, 0]
