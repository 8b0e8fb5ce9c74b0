"""One morning in January, minute by minute: what each fixture gets and what the heater does.

It is the busiest morning, 05:00 to 11:00, of January's coldest week in the first of the seeded
years, the same for every heater. A tank is run from three days before, so that it meets the
morning as charged as it would be; a tankless heater from the midnight before.

The compiled models keep sums, not moments. A tank's sums are closed after every minute; a
tankless heater is run anew up to the end of every minute, and a minute is what one run has more
than the run before. The energy of the morning is within 0.5 % of the ordinary year's. Within a
minute everything is a mean, and what fixtures lacked is shared alike by those that ran: a burst
of cold of 15 s shows as a minute that is a few kelvins down. The pipe between heater and fixture
is left out. A heat pump held to elements or to hours finds its room as if its compressor did all
the work: up to 2 K colder than in the year.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.draw_year import FIXTURES, DrawYear
from heatersel.heaters.heater import Heater
from heatersel.job.models import Fixture
from heatersel.simulation import tankless_kernel as k
from heatersel.simulation.annual import as_installed, settled_air, warmed_air_c
from heatersel.simulation.arrays import AS_IT_COMES_C, TOTALS, Scene
from heatersel.simulation.house_year import HouseYear
from heatersel.simulation.pieces import cut_years
from heatersel.simulation.rating_test import calibrated
from heatersel.simulation.tank import TankModel
from heatersel.simulation.tankless import TanklessSite, efficiency
from heatersel.simulation.tankless_rating import rate_all, unit_row
from heatersel.simulation.year import TankSite, build_scene, new_outputs, run_pairs
from heatersel.water import heat_kwh

__all__ = ["FIRST_MINUTE", "N_MINUTES", "FixtureMorning", "Morning", "mornings"]

Floats = NDArray[np.float64]

FIRST_MINUTE = 300
"""Minute of the day with which a morning begins."""

N_MINUTES = 360
"""Minutes of a morning."""

_DAY_S, _MINUTE_S = 86400.0, 60.0
_JANUARY, _WEEK, _DAYS_BEFORE = 31, 7, 3
_BUFFER_KEEP_K = 3.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FixtureMorning:
    """One fixture through the morning.

    Parameters
    ----------
    fixture : Fixture
        What it is.
    number : int
        1 for the first of its kind, 2 for one that runs beside it.
    temp_c : array of shape (360,)
        Mixed water in each minute; NaN while it does not run. [°C]
    """

    fixture: Fixture
    number: int
    temp_c: Floats


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Morning:
    """One heater through the morning, by minute from 05:00.

    Parameters
    ----------
    heater_id : str
        The heater.
    day : int
        Day of the year, 0 = 1 January.
    fixtures : tuple of FixtureMorning
        Those that ran, in the order of the job's fixtures.
    charge_frac : array of shape (360,)
        Heat in the store above cold water, as a share of a store at the setpoint; NaN without a
        tank. [-]
    input_kw : array of shape (360,)
        Burner, lower element or compressor. [kW]
    backup_kw : array of shape (360,)
        Upper element, and the elements of a heat pump. [kW]
    short_s : array of shape (360,)
        Seconds in which a running fixture stood below the use temperature, waiting for a
        tankless heater to start not counted. [s]
    wait_s : float
        Seconds of that waiting in the whole morning. [s]
    """

    heater_id: str
    day: int
    fixtures: tuple[FixtureMorning, ...]
    charge_frac: Floats
    input_kw: Floats
    backup_kw: Floats
    short_s: Floats
    wait_s: float

    @property
    def energy_kwh(self) -> float:
        """Energy of the morning, without pilot, fan and controls. [kWh]"""
        return float((self.input_kw + self.backup_kw).sum()) / 60.0

    @property
    def coldest_c(self) -> float:
        """Coldest minute at any fixture; NaN if none ran. [°C]"""
        lowest = [float(np.nanmin(one.temp_c)) for one in self.fixtures]
        return min(lowest, default=float("nan"))


class _Minutes(NamedTuple):
    """Sums of each minute of one heater."""

    main_kj: Floats
    backup_kj: Floats
    missed_kj: Floats
    hot_l: Floats
    out_kj: Floats
    short_s: Floats
    wait_s: float
    charge_frac: Floats


class _Stage(NamedTuple):
    """What all heaters meet."""

    house: HouseYear
    draws: DrawYear
    day: int
    water_kj_per_l_k: float

    @property
    def edges_s(self) -> Floats:
        """Edges of the minutes. [s]"""
        return self.day * _DAY_S + _MINUTE_S * (FIRST_MINUTE + np.arange(N_MINUTES + 1.0))


def mornings(heaters: Sequence[Heater], house: HouseYear) -> tuple[Morning, ...]:
    """Return the busiest morning of January's coldest week with each heater.

    Parameters
    ----------
    heaters : sequence of Heater
        Storage and tankless heaters.
    house : HouseYear
        What they meet; the first of its years gives the draws.

    Returns
    -------
    tuple of Morning
        In the order of the heaters; without storage heaters whose label no tank gives.

    Raises
    ------
    OutOfRangeError
        If the setpoint does not lie above the warmest inlet.

    Notes
    -----
    See the module for what is approximate. A buffer tank's element is not in the input.
    """
    draws = house.years[0]
    mean_c = float(np.mean(house.inlet_c))
    water_kj = 3600.0 * heat_kwh(1.0, mean_c, house.setpoint_c) / (house.setpoint_c - mean_c)
    stage = _Stage(house, draws, _busiest_day(draws, house.inlet_c), float(water_kj))
    models = calibrated([heater for heater in heaters if not heater.is_tankless])[0]
    tanks = {model.heater.id: as_installed(model, house) for model in models}
    found = []
    for heater in heaters:
        if heater.is_tankless:
            found.append(_told(heater, _flowing(heater, stage), stage))
        elif heater.id in tanks:
            found.append(_told(heater, _stored(tanks[heater.id], stage), stage))
    return tuple(found)


def _busiest_day(draws: DrawYear, inlet_c: Floats) -> int:
    """Return the day with the most mixed water in the morning, of January's coldest week."""
    weekly_c = np.convolve(inlet_c[:_JANUARY], np.ones(_WEEK), mode="valid")
    first = int(np.argmin(weekly_c))
    minute = draws.start_s % _DAY_S / _MINUTE_S
    early = (minute >= FIRST_MINUTE) & (minute < FIRST_MINUTE + N_MINUTES)
    drawn_l = np.bincount(draws.day[early], weights=draws.mixed_l[early], minlength=365)
    return first + int(np.argmax(drawn_l[first : first + _WEEK]))


# --- a tank --------------------------------------------------------------------------------


def _stored(model: TankModel, stage: _Stage) -> _Minutes:
    """Return the minutes of a storage heater."""
    house = stage.house
    air = settled_air(model, house) if model.is_heat_pump else None
    site = TankSite(
        inlet_c=house.inlet_c,
        room_c=warmed_air_c(model, house) if air is None else air.mean_c,
        setpoint_c=house.setpoint_c,
        use_temp_c=house.use_temp_c,
        pump_days={} if air is None else {model.heater.id: air.days},
    )
    first_s = (stage.day - _DAYS_BEFORE) * _DAY_S
    draws = _between(stage.draws, max(first_s, 0.0), float(stage.edges_s[-1]))
    scene = _by_minute(build_scene([model], site, *cut_years([draws])), stage)
    outputs = new_outputs(1, n_spans=scene.spans.size)
    outputs = outputs._replace(totals=np.zeros((1, 1 + N_MINUTES), TOTALS))
    run_pairs([model], [(0, 0)], scene, outputs, stage.water_kj_per_l_k, threads=1)
    sums, mean_c = outputs.totals[0, 1:], outputs.trace[0, -N_MINUTES:, 1]
    inlet_c = house.inlet_c[stage.day]
    return _Minutes(
        main_kj=sums["main_kj"],
        backup_kj=sums["upper_kj"],
        missed_kj=sums["missed_kj"],
        hot_l=sums["hot_l"],
        out_kj=sums["out_kj"],
        short_s=sums["short_s"],
        wait_s=0.0,
        charge_frac=np.clip((mean_c - inlet_c) / (house.setpoint_c - inlet_c), 0.0, 1.0),
    )


def _by_minute(scene: Scene, stage: _Stage) -> Scene:
    """Return the scene from days before until the morning ends, whose minutes are its months."""
    edges_s, spans = stage.edges_s, scene.spans
    before = (spans["end_s"] > edges_s[0] - _DAYS_BEFORE * _DAY_S) & (spans["start_s"] < edges_s[0])
    earlier = spans[before].copy()
    earlier["month"] = 0
    earlier["end_s"] = np.minimum(earlier["end_s"], edges_s[0])
    source = np.searchsorted(spans["start_s"], edges_s[:-1], side="right") - 1
    minutes = spans[source]
    minutes["start_s"], minutes["end_s"] = edges_s[:-1], edges_s[1:]
    minutes["month"] = 1 + np.arange(N_MINUTES)
    return scene._replace(
        spans=np.concatenate((earlier, minutes)),
        places=np.concatenate((scene.places[:, before], scene.places[:, source]), axis=1),
    )


def _between(draws: DrawYear, from_s: float, until_s: float) -> DrawYear:
    """Return the draws that start within a time, cut off at its end."""
    inside = (draws.start_s >= from_s) & (draws.start_s < until_s)
    start_s = draws.start_s[inside]
    return DrawYear(
        start_s=start_s,
        duration_s=np.minimum(draws.duration_s[inside], until_s - start_s).astype(np.float32),
        mixed_flow_l_per_min=draws.mixed_flow_l_per_min[inside],
        mixed_temp_c=draws.mixed_temp_c[inside],
        fixture=draws.fixture[inside],
    )


# --- without a tank ------------------------------------------------------------------------


def _flowing(heater: Heater, stage: _Stage) -> _Minutes:
    """Return the minutes of a tankless heater: differences of runs that end a minute apart."""
    house, today = stage.house, slice(stage.day, stage.day + 1)
    midnight_s = stage.day * _DAY_S
    first, pieces = cut_years(
        _between(stage.draws, midnight_s, float(until_s)) for until_s in stage.edges_s
    )
    pieces["start_s"] -= midnight_s
    pieces["end_s"] -= midnight_s
    conversion = efficiency(heater, house.inlet_c[today], house.setpoint_c)
    weather = k.Weather(
        month=np.zeros(1, dtype=np.int64),
        inlet_c=house.inlet_c[today],
        room_c=house.air.air.mean_c[None, today],
        setpoint_c=np.full((1, 1), house.setpoint_c),
        efficiency=conversion[None, :],
        use_c=house.use_temp_c,
    )
    n = stage.edges_s.size
    totals = np.zeros((n, 1, k.N_TOTALS))
    pairs = np.column_stack((np.zeros(n, dtype=np.int64), np.arange(n)))
    k.run_tankless(
        _unit(heater, stage), pairs, first, pieces, weather, totals, np.zeros((n, 0, 2)),
        np.zeros((n, 0)),
    )  # fmt: skip
    by_minute = np.diff(totals[:, 0], axis=0)
    lacked_kj = by_minute[:, k.WAIT_KJ]
    if not house.throttles:  # a cut flow is as warm as a full one
        lacked_kj = lacked_kj + by_minute[:, k.MISSED_KJ]
    return _Minutes(
        main_kj=by_minute[:, k.INPUT_KJ],
        backup_kj=np.zeros(N_MINUTES),
        missed_kj=lacked_kj,
        hot_l=by_minute[:, k.HOT_L],
        out_kj=by_minute[:, k.OUT_KJ],
        short_s=by_minute[:, k.SHORT_S],
        wait_s=float(by_minute[:, k.WAIT_S].sum()),
        charge_frac=np.full(N_MINUTES, np.nan),
    )


def _unit(heater: Heater, stage: _Stage) -> Floats:
    """Return the heater as it would hang in this house, as the compiled model takes it."""
    house = stage.house
    site = TanklessSite(
        inlet_c=house.inlet_c, room_c=house.air.air.mean_c, setpoint_c=house.setpoint_c,
        use_temp_c=house.use_temp_c, altitude_derate_frac=house.altitude_derate_frac,
        supply_v=house.supply_v, buffer_l=house.buffer_l,
    )  # fmt: skip
    has_buffer = house.buffer_l > 0.0
    row = unit_row(
        heater, rate_all((heater,))[0].stored_kj_per_k, input_frac=site.input_frac(heater),
        throttles=house.throttles, buffer_l=site.buffer_l,
        buffer_kw=site.buffer_kw if has_buffer else 0.0, buffer_keep_k=_BUFFER_KEEP_K,
        buffer_w_per_k=site.buffer_w_per_k if has_buffer else 0.0,
        water_kj_per_l_k=stage.water_kj_per_l_k,
    )  # fmt: skip
    return row[None, :]


# --- the fixtures --------------------------------------------------------------------------


class _Lane(NamedTuple):
    """The draws of one fixture, none beside another."""

    fixture: int
    number: int
    draws: list[int]


def _told(heater: Heater, minutes: _Minutes, stage: _Stage) -> Morning:
    """Return the morning of a heater with what its minutes mean at the fixtures."""
    edges_s, house = stage.edges_s, stage.house
    draws = _between(stage.draws, float(edges_s[0]), float(edges_s[-1]))
    running_s = _overlap_s(draws, edges_s)
    flow_l_per_s = draws.mixed_flow_l_per_min / 60.0
    mixes = draws.mixed_temp_c < AS_IT_COMES_C
    mixed_l = (running_s * flow_l_per_s)[:, mixes].sum(axis=1)
    water_kj = stage.water_kj_per_l_k
    lacking_k = minutes.missed_kj / (water_kj * np.maximum(mixed_l, 1e-9))
    supply_c = house.inlet_c[stage.day] + minutes.out_kj / (
        water_kj * np.maximum(minutes.hot_l, 1e-9)
    )
    if house.tempering_valve_c is not None and not heater.is_tankless:
        supply_c = np.minimum(supply_c, house.tempering_valve_c)
    asked_c = draws.mixed_temp_c.astype(float)
    got_c = np.where(mixes, asked_c - lacking_k[:, None], supply_c[:, None])
    return Morning(
        heater_id=heater.id,
        day=stage.day,
        fixtures=tuple(
            FixtureMorning(
                fixture=FIXTURES[lane.fixture],
                number=lane.number,
                temp_c=_mean_c(got_c[:, lane.draws], running_s[:, lane.draws]),
            )
            for lane in _lanes(draws)
        ),
        charge_frac=minutes.charge_frac,
        input_kw=minutes.main_kj / _MINUTE_S,
        backup_kw=minutes.backup_kj / _MINUTE_S,
        short_s=minutes.short_s,
        wait_s=minutes.wait_s,
    )


def _overlap_s(draws: DrawYear, edges_s: Floats) -> Floats:
    """Return the seconds that each draw runs in each minute, shape (minutes, draws)."""
    end_s = draws.start_s + draws.duration_s
    begun = np.maximum(edges_s[:-1, None], draws.start_s)
    ended = np.minimum(edges_s[1:, None], end_s)
    return np.asarray(np.maximum(ended - begun, 0.0))


def _mean_c(temp_c: Floats, running_s: Floats) -> Floats:
    """Return the mean temperature of the draws of a fixture in each minute, NaN without one."""
    total_s = running_s.sum(axis=1)
    mean_c = (temp_c * running_s).sum(axis=1) / np.maximum(total_s, 1e-9)
    return np.where(total_s > 0.0, mean_c, np.nan)


def _lanes(draws: DrawYear) -> Iterator[_Lane]:
    """Yield the draws fixture by fixture; one that begins beside another takes the next."""
    end_s = draws.start_s + draws.duration_s
    for fixture in np.unique(draws.fixture):
        lanes: list[list[int]] = []
        for n in np.flatnonzero(draws.fixture == fixture):
            free = next((lane for lane in lanes if end_s[lane[-1]] <= draws.start_s[n]), None)
            if free is None:
                lanes.append(free := [])
            free.append(int(n))
        for number, lane in enumerate(lanes, start=1):
            yield _Lane(int(fixture), number, lane)
