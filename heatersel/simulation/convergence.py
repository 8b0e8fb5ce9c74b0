"""How far the default resolution of the compiled tank is from the finest.

Ninety-six cases, four kinds of heater in four sizes under three demands and two inlets, are run
for a year at both resolutions. The finest cuts draws into pieces of at most 1/320 of the tank,
heats in steps of half a minute and keeps 160 segments.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel.heaters.catalogue import load_heaters
from heatersel.simulation.arrays import Grain, Outputs
from heatersel.simulation.heat_pump import daily_tables
from heatersel.simulation.laboratory import DEFAULT_GRAIN
from heatersel.simulation.pieces import Events, cut_events
from heatersel.simulation.rating_test import calibrated
from heatersel.simulation.tank import TankModel
from heatersel.simulation.year import (
    TankSite,
    build_scene,
    new_outputs,
    run_pairs,
    water_kj_per_l_k,
)

__all__ = ["FINEST_GRAIN", "Convergence", "convergence"]

Floats = NDArray[np.float64]

FINEST_GRAIN = Grain(
    segments=160,
    slice_frac=1.0 / 320.0,
    merge_k=1e-3,
    inflow_k=8e-3,
    decay_s=0.0,
    heat_s=30.0,
    pump_k=0.1,
    check=False,
)
"""Resolution that the default is compared with."""

_KINDS = {
    "fuel": "gas-tank-50",
    "electric": "electric-tank-50",
    "heat pump": "heat-pump-50",
    "lifting heat pump": "split-heat-pump-45",
}
_SIZES = (0.6, 0.8, 1.0, 1.4)
_DRAWS_A_DAY = (30, 45, 65)
_INLETS_C = (5.0, 14.0)
_DAY_S = 86400.0
_SEED = 4
_NOTABLE_FRAC = 0.002


@dataclass(frozen=True, slots=True, kw_only=True)
class Convergence:
    """Errors of one kind of heater over its cases, default against finest.

    Parameters
    ----------
    kind : str
        "fuel", "electric", "heat pump", or "lifting heat pump", which draws from the bottom.
    n_cases : int
        Cases.
    energy_worst_frac, energy_mean_frac : float
        Error of the year's energy: the largest, and the mean of the sizes. [-]
    missed_worst_frac, missed_mean_frac : float
        Error of the heat missed, over the cases that miss at least 0.2 % of what is asked. [-]
    n_missing : int
        Those cases.
    """

    kind: str
    n_cases: int
    energy_worst_frac: float
    energy_mean_frac: float
    missed_worst_frac: float
    missed_mean_frac: float
    n_missing: int


@lru_cache(maxsize=2)
def convergence(finest: Grain = FINEST_GRAIN) -> tuple[Convergence, ...]:
    """Return the errors of the default resolution by kind of heater.

    Parameters
    ----------
    finest : Grain
        Resolution to compare with.

    Returns
    -------
    tuple of Convergence
        For each kind of tank, 24 cases.
    """
    return tuple(_of_kind(kind, id_, finest) for kind, id_ in _KINDS.items())


def _of_kind(kind: str, id_: str, finest: Grain) -> Convergence:
    heater = next(heater for heater in load_heaters().heaters if heater.id == id_)
    (model,) = calibrated((heater,))[0]
    models = [
        replace(model, heater=replace(heater, id=f"{id_}-{n}", volume_l=heater.volume_l * size))
        for n, size in enumerate(_SIZES)
    ]
    energy, missed, asked = [], [], []
    for inlet_c in _INLETS_C:
        ours, reference = (_run(models, inlet_c, grain) for grain in (DEFAULT_GRAIN, finest))
        energy.append([_sum(o, "main_kj") + _sum(o, "upper_kj") for o in (ours, reference)])
        missed.append([_sum(o, "missed_kj") for o in (ours, reference)])
        asked.append(_sum(reference, "missed_kj") + _sum(reference, "out_kj"))
    energies, misses = np.concatenate(energy, axis=1), np.concatenate(missed, axis=1)
    energy_error = np.abs(energies[0] / energies[1] - 1.0)
    short = misses[1] > _NOTABLE_FRAC * np.concatenate(asked)
    missed_error = np.abs(misses[0, short] / misses[1, short] - 1.0)
    return Convergence(
        kind=kind,
        n_cases=energy_error.size,
        energy_worst_frac=float(energy_error.max()),
        energy_mean_frac=float(energy_error.mean()),
        missed_worst_frac=float(missed_error.max()),
        missed_mean_frac=float(missed_error.mean()),
        n_missing=int(short.sum()),
    )


def _run(models: list[TankModel], inlet_c: float, grain: Grain) -> Outputs:
    """Run tanks through a year of each demand at a constant inlet."""
    air_c, humidity = np.full(365, 18.0), np.full(365, 0.5)
    site = TankSite(
        inlet_c=np.full(365, inlet_c), room_c=air_c, setpoint_c=52.0, use_temp_c=40.0,
        pump_days={
            m.heater.id: daily_tables(m.heater, air_c, humidity, cop_scale=m.cop_scale)
            for m in models
            if m.is_heat_pump
        },
    )  # fmt: skip
    first, pieces = cut_events([_year_of_draws(n) for n in _DRAWS_A_DAY])
    scene = build_scene(models, site, first, pieces)
    pairs = [(m, y) for m in range(len(models)) for y in range(len(_DRAWS_A_DAY))]
    outputs = new_outputs(len(pairs))
    run_pairs(models, pairs, scene, outputs, water_kj_per_l_k(site), grain=grain)
    return outputs


def _year_of_draws(per_day: int) -> Events:
    """Return a plain year of draws of invented habits: many short, one in ten a shower."""
    random = np.random.Generator(np.random.PCG64(_SEED + per_day))
    n = 365 * per_day
    hour = np.where(
        random.random(n) < 0.4, random.normal(7.0, 1.0, n), random.uniform(6.0, 23.0, n)
    )
    long_ = random.random(n) < 0.1
    return Events(
        np.floor(random.random(n) * 365.0) * _DAY_S + 3600.0 * np.clip(hour, 0.0, 23.5),
        np.where(long_, random.uniform(240.0, 600.0, n), random.exponential(35.0, n) + 5.0),
        np.where(long_, 8.0, 4.0) / 60.0,
        np.full(n, 40.0),
    )


def _sum(outputs: Outputs, name: str) -> Floats:
    return np.asarray(outputs.totals[name].sum(axis=1))
