"""A year of a tankless heater: energy, waiting, cold slugs and what it could not serve.

The physics is in :mod:`heatersel.simulation.tankless_kernel`; here households and heaters become
its inputs and its totals become results. Start-up is counted as waiting, not as a short day:
every tankless heater has it. A day is short when a draw that has been warm cannot be kept warm.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from heatersel.demand.draw_year import DrawYear
from heatersel.errors import OutOfRangeError
from heatersel.heaters.heater import EnergySource, Heater, HeaterClass, input_left_frac
from heatersel.heaters.rated import DELIVERY_TEMP_C, INLET_TEMP_C
from heatersel.simulation import tankless_kernel as k
from heatersel.simulation.flue import combustion_efficiency
from heatersel.simulation.pieces import cut_years
from heatersel.simulation.result import AnnualResult, Delivery
from heatersel.simulation.tankless_rating import rate_all, unit_row
from heatersel.water import heat_kwh

__all__ = ["Overload", "TanklessSite", "TanklessYears", "efficiency", "simulate_tankless"]

Floats = NDArray[np.float64]

# Flue gas leaves a condensing exchanger this far above the returning water, and by this share of
# the rise more (from memory, medium: 5 to 15 K).
_FLUE_ABOVE_K = 4.0
_FLUE_SHARE = 0.15
_MOST_EFFICIENCY = 0.99

# Below this room temperature a freeze heater runs (from memory, medium: 50 to 150 W).
_FREEZE_C = 3.0
_FREEZE_W = 100.0

_MONTH = np.repeat(np.arange(12), [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
_BUFFER_KEEP_K = 3.0
_KWH_PER_KJ = 1.0 / 3600.0


class Overload(StrEnum):
    """What gives way when the fixtures ask for more than full input."""

    SAG = "sag"  # the outlet temperature
    THROTTLE = "throttle"  # the flow


@dataclass(frozen=True, slots=True, kw_only=True)
class TanklessSite:
    """Where and how a tankless heater is installed.

    Parameters
    ----------
    inlet_c, room_c : array of shape (365,)
        Cold water, and air around the heater. [°C]
    setpoint_c, use_temp_c : float
        Outlet temperature set, and the least a fixture's user accepts. [°C]
    altitude_derate_frac : float
        Input of a burner lost to altitude, 0 to 0.6. [-]
    supply_v : float or None
        Supply of an electric unit, if not the one of its rating. [V]
    overload : Overload
        Outlet sags or flow is cut.
    buffer_l, buffer_kw, buffer_w_per_k : float
        Small tank behind the heater: volume up to 40 L, its element, its loss. [L], [kW], [W/K]
    """

    inlet_c: Floats
    room_c: Floats
    setpoint_c: float
    use_temp_c: float
    altitude_derate_frac: float = 0.0
    supply_v: float | None = None
    overload: Overload = Overload.SAG
    buffer_l: float = 0.0
    buffer_kw: float = 1.4
    buffer_w_per_k: float = 0.5

    def __post_init__(self) -> None:
        """Refuse what no installation has."""
        for name, value, low, high, unit in (
            ("setpoint", self.setpoint_c, 30.0, 85.0, "°C"),
            ("altitude derate", self.altitude_derate_frac, 0.0, 0.6, ""),
            ("buffer volume", self.buffer_l, 0.0, 40.0, "L"),
            ("buffer element", self.buffer_kw, 0.1, 10.0, "kW"),
        ):
            if not low <= value <= high:
                raise OutOfRangeError.of(
                    name, value=f"{value:g} {unit}".strip(),
                    allowed=f"{low:g} to {high:g} {unit}".strip(),
                    fix="check the number and its unit",
                )  # fmt: skip

    def input_frac(self, heater: Heater) -> float:
        """Return the share of a heater's input that altitude or supply leaves. [-]"""
        return input_left_frac(heater, self.altitude_derate_frac, self.supply_v)


@dataclass(frozen=True, slots=True, kw_only=True)
class TanklessYears:
    """Simulated years of one tankless heater, as means per year.

    Parameters
    ----------
    annual : AnnualResult
        Energy, delivered heat, short days, as for every heater.
    starts_per_year, waited_s_per_start, waited_l_per_start : float
        Starts of the burner; seconds and litres until the outlet is warm enough to use,
        without the pipe. [-], [s], [L]
    slugs_per_year : float
        Starts that follow warm water with a slug of cold: the exchanger was still warm and
        cooled below use before the fire caught up.
    unfired_per_year, unfired_l_per_year : float
        Draws too small to fire it, and their water. [-], [L]
    throttled_l_per_year : float
        Mixed water withheld to hold the setpoint. [L]
    low_fire_h_per_year : float
        Hours below the burner's lowest input, in which it cycles. [h]
    buffer_kwh_per_year : float
        Electricity of a buffer tank's element. [kWh]
    """

    annual: AnnualResult
    starts_per_year: float
    waited_s_per_start: float
    waited_l_per_start: float
    slugs_per_year: float
    unfired_per_year: float
    unfired_l_per_year: float
    throttled_l_per_year: float
    low_fire_h_per_year: float
    buffer_kwh_per_year: float


def simulate_tankless(
    heaters: Sequence[Heater], years: Iterable[DrawYear], site: TanklessSite
) -> tuple[TanklessYears, ...]:
    """Return simulated years of tankless heaters, all with the same draws.

    Parameters
    ----------
    heaters : sequence of Heater
        Tankless rows; several in parallel as one.
    years : iterable of DrawYear
        Seeded years of draws, at least one.
    site : TanklessSite
        Inlet, room, setpoint and installation.

    Returns
    -------
    tuple of TanklessYears
        In the order of the heaters; hours are those of the first year.

    Raises
    ------
    OutOfRangeError
        If there is no year.

    Notes
    -----
    Electricity: fan and controls while firing and at rest, a freeze heater on days on which the
    room is below 3 °C, and a buffer's element. The heat balance of every month closes to 1e-6
    of the heat delivered, or the run would be in error; the tests check it.
    """
    heaters, years = tuple(heaters), tuple(years)
    if not years:
        raise OutOfRangeError.of("years", value=0, allowed="1 or more", fix="make a year of draws")
    ratings = rate_all(heaters)
    first, pieces = cut_years(years)
    count, runs = len(heaters), len(heaters) * len(years)
    inlet_mean_c = float(np.mean(site.inlet_c))
    water_kj_per_l_k = (
        3600.0 * heat_kwh(1.0, inlet_mean_c, site.setpoint_c) / (site.setpoint_c - inlet_mean_c)
    )
    units = np.array(
        [
            unit_row(
                heater, rating.stored_kj_per_k, input_frac=site.input_frac(heater),
                throttles=site.overload is Overload.THROTTLE, buffer_l=site.buffer_l,
                buffer_kw=site.buffer_kw if site.buffer_l > 0.0 else 0.0,
                buffer_keep_k=_BUFFER_KEEP_K,
                buffer_w_per_k=site.buffer_w_per_k if site.buffer_l > 0.0 else 0.0,
                water_kj_per_l_k=water_kj_per_l_k,
            )
            for heater, rating in zip(heaters, ratings, strict=True)
        ]
    )  # fmt: skip
    weather = k.Weather(
        month=_MONTH,
        inlet_c=site.inlet_c,
        room_c=np.tile(site.room_c, (count, 1)),
        setpoint_c=np.full((count, 365), site.setpoint_c),
        efficiency=np.array([efficiency(h, site.inlet_c, site.setpoint_c) for h in heaters]),
        use_c=site.use_temp_c,
    )
    pairs = np.array([(h, y) for h in range(count) for y in range(len(years))])
    totals = np.zeros((runs, 12, k.N_TOTALS))
    short_s, hourly_kj = np.zeros((runs, 365, 2)), np.zeros((runs, 8760))
    k.run_tankless(units, pairs, first, pieces, weather, totals, short_s, hourly_kj)
    by_heater = totals.reshape(count, len(years), 12, k.N_TOTALS)
    shorts = short_s.reshape(count, len(years), 365, 2)
    hours = hourly_kj.reshape(count, len(years), 8760)[:, 0]
    return tuple(
        _years(heater, by_heater[n], shorts[n], hours[n], site) for n, heater in enumerate(heaters)
    )


def efficiency(heater: Heater, inlet_c: Floats, setpoint_c: float) -> Floats:
    """Return heat over input while firing, by the water that comes in and goes out.

    Parameters
    ----------
    heater : Heater
        A tankless row.
    inlet_c : array
        Water entering, cold or returned by a loop. [°C]
    setpoint_c : float
        Water leaving. [°C]

    Returns
    -------
    array
        The row's recovery efficiency, for a condensing unit shifted by what the flue gas gives
        up between the test's temperatures and these; at most 0.99. [-]

    Notes
    -----
    Flue gas is taken to leave 4 K and 15 % of the rise above the entering water (assumption
    within the usual 5 to 15 K).

    References
    ----------
    See :func:`heatersel.simulation.flue.combustion_efficiency`.
    """
    rated = np.full(np.shape(inlet_c), heater.recovery_efficiency)
    if heater.heater_class is not HeaterClass.TANKLESS_CONDENSING:
        return rated
    here = combustion_efficiency(heater.energy_source, _flue_c(inlet_c, setpoint_c))
    test = combustion_efficiency(
        heater.energy_source, _flue_c(np.array(INLET_TEMP_C), DELIVERY_TEMP_C)
    )
    return np.minimum(rated + here - test, _MOST_EFFICIENCY)


def _flue_c(inlet_c: Floats, outlet_c: float) -> Floats:
    return inlet_c + _FLUE_ABOVE_K + _FLUE_SHARE * (outlet_c - inlet_c)


def _years(
    heater: Heater, totals: Floats, short_s: Floats, hourly_kj: Floats, site: TanklessSite
) -> TanklessYears:
    """Return the means of one heater's years."""
    months = totals.mean(axis=0)
    months[:, k.COLDEST_C] = totals[:, :, k.COLDEST_C].min(axis=0)
    year = months.sum(axis=0)
    starts = max(float(year[k.STARTS]), 1e-9)
    return TanklessYears(
        annual=_annual(heater, months, short_s, hourly_kj, site),
        starts_per_year=float(year[k.STARTS]),
        waited_s_per_start=float(year[k.WAIT_S]) / starts,
        waited_l_per_start=float(year[k.WAIT_L]) / starts,
        slugs_per_year=float(year[k.SLUGS]),
        unfired_per_year=float(year[k.UNFIRED]),
        unfired_l_per_year=float(year[k.UNFIRED_L]),
        throttled_l_per_year=float(year[k.THROTTLED_L]),
        low_fire_h_per_year=float(year[k.LOW_FIRE_S]) / 3600.0,
        buffer_kwh_per_year=float(year[k.BUFFER_KJ]) * _KWH_PER_KJ,
    )


def _annual(
    heater: Heater, months: Floats, short_s: Floats, hourly_kj: Floats, site: TanklessSite
) -> AnnualResult:
    year = months.sum(axis=0)
    main = months[:, k.INPUT_KJ] * _KWH_PER_KJ
    auxiliary = _auxiliary_kwh(heater, months, site)
    buffer = months[:, k.BUFFER_KJ] * _KWH_PER_KJ
    hourly = hourly_kj * _KWH_PER_KJ
    extra_by_hour = (auxiliary / _HOURS + buffer / _HOURS)[_MONTH_OF_HOUR]
    if heater.burns_fuel:
        monthly = {heater.energy_source: main, EnergySource.ELECTRICITY: auxiliary + buffer}
        by_hour = {heater.energy_source: hourly, EnergySource.ELECTRICITY: extra_by_hour}
    else:
        monthly = {EnergySource.ELECTRICITY: main + auxiliary + buffer}
        by_hour = {EnergySource.ELECTRICITY: hourly + extra_by_hour}
    missed_kwh = float(year[k.MISSED_KJ]) * _KWH_PER_KJ
    return AnnualResult(
        heater_id=heater.id,
        method="simulation",
        monthly_kwh=monthly,
        hourly_kwh=by_hour,
        delivered_kwh=float(year[k.OUT_KJ]) * _KWH_PER_KJ,
        missed_kwh=missed_kwh,
        standby_loss_kwh=float(year[k.LOSS_KJ]) * _KWH_PER_KJ,
        auxiliary_kwh=float(auxiliary.sum()),
        delivery=_delivery(months, short_s, site.inlet_c),
        notes=_notes(heater, site),
    )


_HOURS = np.bincount(_MONTH) * 24.0
_MONTH_OF_HOUR = np.repeat(_MONTH, 24)


def _auxiliary_kwh(heater: Heater, months: Floats, site: TanklessSite) -> Floats:
    """Return fan, controls and freeze heater by month."""
    firing_h = months[:, k.FIRING_S] / 3600.0
    watt_h = firing_h * heater.aux_running_w + (_HOURS - firing_h) * heater.aux_standby_w
    if heater.burns_fuel:
        cold_days = np.bincount(_MONTH, weights=site.room_c < _FREEZE_C)
        watt_h = watt_h + 24.0 * cold_days * _FREEZE_W * heater.units
    return 0.001 * watt_h


def _delivery(months: Floats, short_s: Floats, inlet_c: Floats) -> Delivery:
    """Return how well the household is served; waiting at each start is not counted here.

    The mornings are all of the month with the coldest inlet.
    """
    n_years = short_s.shape[0]
    short_days = (short_s[:, :, 0] > 0.0).sum(axis=1)
    coldest_c = float(months[:, k.COLDEST_C].min())
    coldest_month = _MONTH[int(np.argmin(inlet_c))]
    mornings = short_s[:, coldest_month == _MONTH, 1]
    return Delivery(
        short_days_per_year=float(short_days.mean()),
        short_minutes_per_year=float(months[:, k.SHORT_S].sum()) / 60.0,
        missed_l_per_year=float(months[:, [k.SHORT_L, k.THROTTLED_L]].sum()),
        coldest_c=coldest_c if coldest_c < 1e299 else float("nan"),
        warm_morning_probability=float((mornings <= 0.0).mean()),
        n_years=n_years,
    )


def _notes(heater: Heater, site: TanklessSite) -> tuple[str, ...]:
    notes = []
    if site.input_frac(heater) < 1.0:
        notes.append(f"runs at {site.input_frac(heater):.0%} of its rated input here")
    if heater.burns_fuel and np.any(site.room_c < _FREEZE_C):
        notes.append(
            f"{_FREEZE_W:.0f} W of freeze heater on {int((site.room_c < _FREEZE_C).sum())} days"
        )
    return tuple(notes)
