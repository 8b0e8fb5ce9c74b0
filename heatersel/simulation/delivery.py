"""Whether the hot water lasts: a week at the coldest inlet, and the smallest tank that will do.

The design week is the busiest of the seeded years, by mixed water, met with the coldest inlet and
the coldest room of the year. What the tank still holds when a busy morning begins depends on the
day before, so the week is run with several days before it. Sizes are scanned, never bisected: a
larger slow heater may not have cut in before the peak and fail where a smaller one passes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.draw_year import DrawYear
from heatersel.errors import OutOfRangeError
from heatersel.simulation.arrays import Scene
from heatersel.simulation.heat_pump import HeatPumpDays
from heatersel.simulation.pieces import Events, cut_events, events_of
from heatersel.simulation.tank import TankModel
from heatersel.simulation.year import (
    TankSite,
    build_scene,
    new_outputs,
    run_pairs,
    water_kj_per_l_k,
)

__all__ = ["DesignWeek", "design_week", "smallest_adequate"]

Floats = NDArray[np.float64]

_DAY_S = 86400.0
_WEEK = 7
_BEFORE = 4
"""Different days before the week."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DesignWeek:
    """How a storage heater gets through the busiest week at the coldest inlet.

    Every figure is the worst over the different days before the week.

    Parameters
    ----------
    heater_id : str
        The heater.
    short_days : int
        Days on which a running fixture fell below the use temperature, 0 to 7.
    short_minutes : float
        Minutes of it. [min]
    missed_l : float
        Mixed water below the use temperature. [L]
    coldest_c : float
        Coldest water at a fixture that was short; NaN if none was. [°C]
    asked_l : float
        Mixed water that the week asks for. [L]
    """

    heater_id: str
    short_days: int
    short_minutes: float
    missed_l: float
    coldest_c: float
    asked_l: float

    @property
    def is_adequate(self) -> bool:
        """Whether no fixture ran short, whatever the day before."""
        return self.short_days == 0


def design_week(
    models: Sequence[TankModel],
    years: Sequence[DrawYear],
    site: TankSite,
    *,
    threads: int | None = None,
) -> tuple[DesignWeek, ...]:
    """Return how storage heaters get through the household's busiest week at the coldest inlet.

    Parameters
    ----------
    models : sequence of TankModel
        Calibrated tanks.
    years : sequence of DrawYear
        Seeded years, at least one; the busiest seven days in a row among them are taken.
    site : TankSite
        The house; its coldest inlet, and the room and heat pump of that day, hold all week.
    threads : int, optional
        As for :func:`heatersel.simulation.year.simulate_tanks`.

    Returns
    -------
    tuple of DesignWeek
        In the order of the models.

    Raises
    ------
    OutOfRangeError
        If there is no year.
    """
    if not years:
        raise OutOfRangeError.of("years", value=0, allowed="1 or more", fix="make a year of draws")
    if not models:
        return ()
    first, pieces = cut_events(_weeks(years))
    scene = _eight_days(build_scene(models, _coldest(site), first, pieces))
    pairs = [(m, v) for m in range(len(models)) for v in range(_BEFORE)]
    outputs = new_outputs(len(pairs))
    run_pairs(models, pairs, scene, outputs, water_kj_per_l_k(_coldest(site)), threads=threads)
    shape = (len(models), _BEFORE)
    short_s = outputs.short_s[:, 1 : 1 + _WEEK, 0].reshape(*shape, _WEEK)
    missed_l = outputs.totals["short_l"][:, 1].reshape(shape)
    coldest_c = outputs.coldest_c.reshape(shape)
    asked_l = _busiest(years)[2]
    return tuple(
        DesignWeek(
            heater_id=model.heater.id,
            short_days=int((short_s[n] > 0.0).sum(axis=1).max()),
            short_minutes=float(short_s[n].sum(axis=1).max()) / 60.0,
            missed_l=float(missed_l[n].max()),
            coldest_c=float(coldest_c[n].min()) if coldest_c[n].min() < 1e299 else float("nan"),
            asked_l=asked_l,
        )
        for n, model in enumerate(models)
    )


def smallest_adequate(
    models: Sequence[TankModel],
    years: Sequence[DrawYear],
    site: TankSite,
) -> TankModel | None:
    """Return the smallest tank of a range of sizes from which on every size lasts.

    Parameters
    ----------
    models : sequence of TankModel
        Tanks of one kind in different sizes.
    years, site
        As for :func:`design_week`.

    Returns
    -------
    TankModel or None
        The smallest that gets through the design week without a short minute, and with it every
        larger one; None if the largest does not.

    Notes
    -----
    Every size is run. Halving the range would be wrong where a larger tank fails after a smaller
    one has passed.
    """
    by_size = sorted(models, key=lambda model: (model.heater.volume_l, model.heater.id))
    weeks = design_week(by_size, years, site)
    smallest = None
    for model, week in zip(reversed(by_size), reversed(weeks), strict=True):
        if not week.is_adequate:
            break
        smallest = model
    return smallest


def _busiest(years: Sequence[DrawYear]) -> tuple[int, int, float]:
    """Return year and first day of the busiest week, and its mixed water."""
    best = (0, 0, -1.0)
    for n, year in enumerate(years):
        daily_l = np.bincount(year.day, weights=year.mixed_l, minlength=365)[:365]
        weekly_l = np.convolve(daily_l, np.ones(_WEEK), mode="valid")
        day = int(weekly_l.argmax())
        if weekly_l[day] > best[2]:
            best = (n, day, float(weekly_l[day]))
    return best


def _weeks(years: Sequence[DrawYear]) -> list[Events]:
    """Return the busiest week after each of several days: eight days each, the week from day 1."""
    n, first_day, _ = _busiest(years)
    events = events_of(years[n])
    # The day that really came before, and others spread over the year.
    days = [(first_day - 1 - 91 * k) % 365 for k in range(_BEFORE)]
    week = _shifted(events, first_day, first_day + _WEEK, to_day=1)
    return [_joined(_shifted(events, day, day + 1, to_day=0), week) for day in days]


def _shifted(events: Events, from_day: int, until_day: int, *, to_day: int) -> Events:
    """Return the draws that start on some days, moved so that the first of them is `to_day`."""
    start_s, end_s = from_day * _DAY_S, until_day * _DAY_S
    inside = (events.start_s >= start_s) & (events.start_s < end_s)
    moved = Events(*(values[inside] for values in events))
    return moved._replace(start_s=moved.start_s - start_s + to_day * _DAY_S)


def _joined(one: Events, other: Events) -> Events:
    return Events(*(np.concatenate(pair) for pair in zip(one, other, strict=True)))


def _coldest(site: TankSite) -> TankSite:
    """Return the house with the conditions of its coldest inlet on every day."""
    day = int(np.argmin(site.inlet_c))
    room_c = np.asarray(site.room_c)
    same = np.full(365, day)
    return replace(
        site,
        inlet_c=site.inlet_c[same],
        room_c=room_c[..., same],
        pump_days={id_: _held(days, same) for id_, days in site.pump_days.items()},
    )


def _held(days: HeatPumpDays, same: NDArray[np.int64]) -> HeatPumpDays:
    return replace(
        days, cop=days.cop[same], heat_kw=days.heat_kw[same], locked_out=days.locked_out[same],
        surface_c=days.surface_c[same], sensible_frac=days.sensible_frac[same],
    )  # fmt: skip


def _eight_days(scene: Scene) -> Scene:
    """Return the scene cut to eight days, the first under month 0 and the week under month 1."""
    kept = scene.spans["day"] < 1 + _WEEK
    spans = scene.spans[kept].copy()
    spans["month"] = np.minimum(spans["day"], 1)
    return scene._replace(spans=spans, places=scene.places[:, kept])
