"""A year of storage heaters in one house, simulated draw by draw.

The physics is in :mod:`heatersel.simulation.kernel`; here tanks, draws and surroundings become its
records and its totals become results. All heaters see the same draws, so that their differences
are their own. A year has 365 days; hour 0 begins at 1 January 00:00 by the clock of the place.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numba
import numpy as np
from numpy.typing import NDArray

from heatersel.demand.draw_year import DrawYear
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource
from heatersel.simulation import kernel
from heatersel.simulation.arrays import NO_HEAT_C, PLACE, SPAN, TOTALS, Grain, Outputs, Scene
from heatersel.simulation.heat_pump import HeatPumpDays
from heatersel.simulation.laboratory import DEFAULT_GRAIN
from heatersel.simulation.pieces import cut_years
from heatersel.simulation.result import AnnualResult, Delivery
from heatersel.simulation.tank import TankModel, pack_pumps, pack_tanks
from heatersel.water import heat_kwh

__all__ = [
    "MONTH_OF_DAY",
    "TankSite",
    "TankYears",
    "build_scene",
    "new_outputs",
    "run_pairs",
    "simulate_tanks",
    "water_kj_per_l_k",
]

Floats = NDArray[np.float64]

MONTH_OF_DAY = np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
"""Month of each day, 0 = January."""

_DAY_S, _HOUR_S = 86400.0, 3600.0
_HOURS_OF_MONTH = np.bincount(MONTH_OF_DAY) * 24.0
_MONTH_OF_HOUR = np.repeat(MONTH_OF_DAY, 24)
_KWH_PER_KJ = 1.0 / 3600.0
_GOLDEN = 0.6180339887498949


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TankSite:
    """What storage heaters meet in one house through the year.

    Parameters
    ----------
    inlet_c : array of shape (365,)
        Cold water. [°C]
    room_c : array of shape (365,) or (heaters, 365)
        Air around the tank; by heater where they cool or warm it differently. [°C]
    setpoint_c : float or array of shape (8760,)
        Thermostat, constant or by hour. [°C]
    use_temp_c : float
        Least temperature that a fixture's user accepts. [°C]
    pump_days : mapping of str to HeatPumpDays
        What each heat pump, by id, can do on each day, scaled as its model says.
    blocked : array of shape (8760,) or None
        Hours in which nothing may heat.
    """

    inlet_c: Floats
    room_c: Floats
    setpoint_c: float | Floats
    use_temp_c: float
    pump_days: Mapping[str, HeatPumpDays] = field(default_factory=dict)
    blocked: NDArray[np.bool_] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TankYears:
    """Simulated years of one storage heater, as means per year.

    Parameters
    ----------
    annual : AnnualResult
        Energy, heat and delivery.
    starts_per_year : float
        Firings of the main source. [-]
    hot_l_per_year : float
        Water drawn from the tank. [L]
    air_kwh_by_month : array of shape (12,)
        Heat that a heat pump takes from its air. [kWh]
    loss_kwh_by_month : array of shape (12,)
        Heat that the tank gives to the room and the flue. [kWh]
    balance_error_frac : float
        Largest error of a month's heat balance over the heat drawn in the year. [-]
    short_days_by_year : array of shape (n,)
        Short days of each year, for the spread. [-]
    """

    annual: AnnualResult
    starts_per_year: float
    hot_l_per_year: float
    air_kwh_by_month: Floats
    loss_kwh_by_month: Floats
    balance_error_frac: float
    short_days_by_year: Floats


def simulate_tanks(
    models: Sequence[TankModel],
    years: Iterable[DrawYear],
    site: TankSite,
    *,
    threads: int | None = None,
    grain: Grain = DEFAULT_GRAIN,
) -> tuple[TankYears, ...]:
    """Return simulated years of storage heaters, all with the same draws.

    Parameters
    ----------
    models : sequence of TankModel
        Calibrated tanks.
    years : iterable of DrawYear
        Seeded years of draws, at least one.
    site : TankSite
        Inlet, room, setpoint, air of the heat pumps.
    threads : int, optional
        Threads to use, all cores if not given; the result is the same to the last bit.
    grain : Grain
        Resolution.

    Returns
    -------
    tuple of TankYears
        In the order of the models. Hours are those of the first year.

    Raises
    ------
    OutOfRangeError
        If there is no year, a heat pump lacks its days, or an array has the wrong length.

    Notes
    -----
    Against the finest resolution a year's energy is within 0.1 %, a heat pump's within 0.3 %, and
    the heat missed within 5 %. Heat capacity per litre is one number, the mean between the year's
    mean inlet and the setpoint; it is within 0.9 % for any day. Not modelled: conduction through
    the water and the heat of the tank's wall; the calibration takes up part of both.
    """
    models, years = tuple(models), tuple(years)
    if not years:
        raise OutOfRangeError.of("years", value=0, allowed="1 or more", fix="make a year of draws")
    if not models:
        return ()
    first, pieces = cut_years(years)
    scene = build_scene(models, site, first, pieces)
    pairs = [(m, y) for m in range(len(models)) for y in range(len(years))]
    outputs = new_outputs(len(pairs), n_hours=8760)
    run_pairs(models, pairs, scene, outputs, water_kj_per_l_k(site), threads=threads, grain=grain)
    mornings = _busy_mornings(years, site.inlet_c)
    shape = (len(models), len(years))
    totals = outputs.totals.reshape(*shape, 12)
    short_s = outputs.short_s.reshape(*shape, 365, 2)
    hourly_kj = outputs.hourly_kj.reshape(*shape, 8760)[:, 0]
    coldest_c = outputs.coldest_c.reshape(shape)
    return tuple(
        _years(model, totals[n], short_s[n], hourly_kj[n], coldest_c[n], mornings)
        for n, model in enumerate(models)
    )


def water_kj_per_l_k(site: TankSite) -> float:
    """Return the heat capacity of a litre, metered hot, between mean inlet and setpoint."""
    inlet_c, setpoint_c = float(np.mean(site.inlet_c)), float(np.mean(site.setpoint_c))
    return 3600.0 * heat_kwh(1.0, inlet_c, setpoint_c) / (setpoint_c - inlet_c)


def build_scene(
    models: Sequence[TankModel],
    site: TankSite,
    first: NDArray[np.int64],
    pieces: NDArray[np.void],
) -> Scene:
    """Return everything around the tanks, as the compiled tank takes it.

    Parameters
    ----------
    models : sequence of TankModel
        Tanks.
    site : TankSite
        Their house.
    first, pieces : array
        Draws from :func:`heatersel.simulation.pieces.cut_years`.

    Returns
    -------
    Scene

    Raises
    ------
    OutOfRangeError
        As for :func:`simulate_tanks`.
    """
    _check(models, site)
    setpoint_c = np.broadcast_to(np.asarray(site.setpoint_c, dtype=float), (8760,))
    if site.blocked is not None:
        setpoint_c = np.where(site.blocked, NO_HEAT_C, setpoint_c)
    room_c = np.broadcast_to(site.room_c, (len(models), 365))
    allowed = [np.tile(np.array(model.control.allowed_hours()), 365) for model in models]
    watched = np.vstack([setpoint_c, *allowed])
    changes = np.any(watched[:, 1:] != watched[:, :-1], axis=0)
    hours = np.union1d(np.arange(0, 8760, 24), np.flatnonzero(changes) + 1)
    day = hours // 24
    spans = np.zeros(hours.size, SPAN)
    spans["start_s"] = hours * _HOUR_S
    spans["end_s"] = np.append(hours[1:], 8760) * _HOUR_S
    spans["month"], spans["day"], spans["inlet_c"] = MONTH_OF_DAY[day], day, site.inlet_c[day]
    places = np.zeros((len(models), hours.size), PLACE)
    places["room_c"] = room_c[:, day]
    places["setpoint_c"] = setpoint_c[hours]
    for place, model, (compressor, elements) in zip(places, models, allowed, strict=True):
        place["compressor"] = compressor[hours]
        place["elements"] = elements[hours] if model.is_heat_pump else True
    days = [site.pump_days[model.heater.id] for model in models if model.is_heat_pump]
    return Scene(first, pieces, spans, places, pack_pumps(days), site.use_temp_c)


def _check(models: Sequence[TankModel], site: TankSite) -> None:
    for name, values, shapes in (
        ("inlet temperatures", site.inlet_c, {(365,)}),
        ("room temperatures", site.room_c, {(365,), (len(models), 365)}),
        ("setpoint", site.setpoint_c, {(), (8760,)}),
        ("blocked hours", np.zeros(8760) if site.blocked is None else site.blocked, {(8760,)}),
    ):
        if np.shape(values) not in shapes or not np.all(np.isfinite(values)):
            raise OutOfRangeError.of(
                name, value=f"shape {np.shape(values)}",
                allowed=" or ".join(str(shape) for shape in sorted(shapes)) + ", all finite",
                fix="give one value per day (a setpoint: one, or one per hour)",
            )  # fmt: skip
    if np.min(site.setpoint_c) <= np.max(site.inlet_c):
        raise OutOfRangeError.of(
            "setpoint", value=f"{np.min(site.setpoint_c):.1f} °C",
            allowed=f"above the warmest inlet, {np.max(site.inlet_c):.1f} °C",
            fix="raise the setpoint or check the inlet temperatures",
        )  # fmt: skip
    for model in models:
        if model.is_heat_pump and model.heater.id not in site.pump_days:
            raise OutOfRangeError.of(
                f"{model.heater.id}: days of the heat pump", value="missing",
                allowed="what it can do on each day of the year", fix="add them to pump_days",
            )  # fmt: skip


def new_outputs(n_runs: int, *, n_hours: int = 0, n_pieces: int = 0, n_spans: int = 0) -> Outputs:
    """Return empty outputs for so many runs; zero leaves out what costs memory."""
    return Outputs(
        totals=np.zeros((n_runs, 12), TOTALS),
        coldest_c=np.zeros(n_runs),
        end_mean_c=np.zeros(n_runs),
        short_s=np.zeros((n_runs, 365, 2)),
        hourly_kj=np.zeros((n_runs, n_hours)),
        supply_c=np.full((n_runs, n_pieces), np.inf),
        trace=np.zeros((n_runs, n_spans, 3)),
    )


def run_pairs(
    models: Sequence[TankModel],
    pairs: Sequence[tuple[int, int]],
    scene: Scene,
    outputs: Outputs,
    water_kj: float,
    *,
    threads: int | None = None,
    grain: Grain = DEFAULT_GRAIN,
) -> None:
    """Run pairs of heater and year, each into its own row of the outputs, on so many threads."""
    rows = np.array([(*pair, row) for row, pair in enumerate(pairs)], dtype=np.int64)
    # Each thread takes a stretch of the rows: spread the slow heaters evenly over them.
    rows = rows[np.argsort(np.arange(len(rows)) * _GOLDEN % 1.0)]
    tanks = pack_tanks(models, water_kj)
    most = numba.config.NUMBA_NUM_THREADS  # type: ignore[attr-defined]  # set when numba loads
    before = numba.get_num_threads()
    numba.set_num_threads(min(threads or most, most))
    try:
        kernel.run_years(tanks, rows, grain, scene, outputs)
    finally:
        numba.set_num_threads(before)


def _busy_mornings(years: Sequence[DrawYear], inlet_c: Floats) -> NDArray[np.bool_]:
    """Return the busiest quarter of the mornings in the coldest month, shape (years, 365)."""
    volume_l = np.zeros((len(years), 365))
    for n, year in enumerate(years):
        of_day_s = year.start_s % _DAY_S
        early = (of_day_s >= 5.0 * _HOUR_S) & (of_day_s < 11.0 * _HOUR_S)
        volume_l[n] = np.bincount(year.day[early], weights=year.mixed_l[early], minlength=365)
    coldest = np.argmin(np.bincount(MONTH_OF_DAY, weights=inlet_c) / np.bincount(MONTH_OF_DAY))
    in_month = np.broadcast_to(coldest == MONTH_OF_DAY, volume_l.shape)
    return np.asarray(in_month & (volume_l >= np.quantile(volume_l[in_month], 0.75)))


def _years(
    model: TankModel,
    totals: NDArray[np.void],
    short_s: Floats,
    hourly_kj: Floats,
    coldest_c: Floats,
    mornings: NDArray[np.bool_],
) -> TankYears:
    """Return the means of one heater's years."""
    months = {name: totals[name].mean(axis=0) for name in TOTALS.names or ()}
    out_kj = totals["out_kj"].sum(axis=1)
    short_days = (short_s[:, :, 0] > 0.0).sum(axis=1)
    coldest = float(coldest_c.min())
    delivery = Delivery(
        short_days_per_year=float(short_days.mean()),
        short_minutes_per_year=float(months["short_s"].sum()) / 60.0,
        missed_l_per_year=float(months["short_l"].sum()),
        coldest_c=coldest if coldest < 1e299 else float("nan"),
        warm_morning_probability=float((short_s[:, :, 1][mornings] <= 0.0).mean()),
        n_years=totals.shape[0],
    )
    return TankYears(
        annual=_annual(model, months, hourly_kj, delivery),
        starts_per_year=float(months["starts"].sum()),
        hot_l_per_year=float(months["hot_l"].sum()),
        air_kwh_by_month=months["air_kj"] * _KWH_PER_KJ,
        loss_kwh_by_month=months["loss_kj"] * _KWH_PER_KJ,
        balance_error_frac=float(
            (totals["residual_kj"].max(axis=1) / np.maximum(out_kj, 1.0)).max()
        ),
        short_days_by_year=short_days.astype(float),
    )


def _annual(
    model: TankModel, months: Mapping[str, Floats], hourly_kj: Floats, delivery: Delivery
) -> AnnualResult:
    heater = model.heater
    used = (months["main_kj"] + months["upper_kj"]) * _KWH_PER_KJ
    by_hour = hourly_kj * _KWH_PER_KJ
    firing_h = months["main_s"] / _HOUR_S
    watts = 0.001 * np.array([heater.aux_running_w, heater.aux_standby_w])
    if heater.burns_fuel:
        auxiliary = firing_h * watts[0] + (_HOURS_OF_MONTH - firing_h) * watts[1]
        firing = np.minimum(by_hour / (heater.input_kw * model.input_frac), 1.0)
        auxiliary_by_hour = firing * watts[0] + (1.0 - firing) * watts[1]
        # The rated input is measured with the pilot burning: it adds only what burns at rest.
        pilot_kw = 0.001 * heater.pilot_w
        energy = {heater.energy_source: used + pilot_kw * (_HOURS_OF_MONTH - firing_h)}
        hours = {heater.energy_source: by_hour + pilot_kw * (1.0 - firing)}
        if float(watts.max()) > 0.0:
            energy[EnergySource.ELECTRICITY] = auxiliary
            hours[EnergySource.ELECTRICITY] = auxiliary_by_hour
    else:
        # Fan and controls of a running compressor are in its power.
        auxiliary = (_HOURS_OF_MONTH - firing_h) * watts[1]
        energy = {EnergySource.ELECTRICITY: used + auxiliary}
        hours = {EnergySource.ELECTRICITY: by_hour + (auxiliary / _HOURS_OF_MONTH)[_MONTH_OF_HOUR]}
    resistance = months["upper_kj"].sum() * _KWH_PER_KJ if model.is_heat_pump else 0.0
    return AnnualResult(
        heater_id=heater.id,
        method="simulation",
        monthly_kwh=energy,
        hourly_kwh=hours,
        delivered_kwh=float(months["out_kj"].sum()) * _KWH_PER_KJ,
        missed_kwh=float(months["missed_kj"].sum()) * _KWH_PER_KJ,
        standby_loss_kwh=float(months["loss_kj"].sum()) * _KWH_PER_KJ,
        auxiliary_kwh=float(auxiliary.sum()),
        resistance_kwh=float(resistance),
        delivery=delivery,
        notes=_notes(model, months),
    )


def _notes(model: TankModel, months: Mapping[str, Floats]) -> tuple[str, ...]:
    """Return what was assumed for this heater, in plain words."""
    notes = []
    if model.is_heat_pump and model.heater.standby_loss_w_per_k is None:
        notes.append("the tank's standby loss is that of its class; no data sheet states it")
    used_kj = float(months["main_kj"].sum() + months["upper_kj"].sum())
    share = float(months["upper_kj"].sum()) / used_kj if used_kj > 0.0 else 0.0
    if model.is_heat_pump and share > 0.005:
        notes.append(f"{share:.0%} of the electricity goes into the elements")
    if model.input_frac < 1.0:
        lost = f"{1.0 - model.input_frac:.0%}"
        notes.append(
            f"the burner has lost {lost} of its input to altitude"
            if model.heater.burns_fuel
            else f"the elements have lost {lost} of their power to the low voltage of this house"
        )
    return tuple(notes)
