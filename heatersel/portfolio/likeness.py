"""Simulate each kind of house once, and take over its years for the houses that are like it.

Two houses are of a kind when they differ only in what hardly moves the simulation: the seed of
their draws, prices, what stands there now, the site's readings for the cautions, and small
differences of setpoint, room and height, which are rounded to a step. The kind is simulated with
rounded values and a seed of its own; what a house takes over is scaled, month by month, by the
ratio of the closed form for the house and for its kind. Sizes, cautions, costs and ranking are
found for each house by itself, and where the draws decide whether a heater runs short too often,
the house's own draws are simulated.

Which houses came before does not matter: a kind is made from the house alone. Houses whose
draws are scaled by bills and houses billed by their highest demand are simulated for themselves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from hashlib import sha256
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from heatersel.chain import House, Method, house_of, years_of
from heatersel.demand.busiest_hour import BusiestHours
from heatersel.heaters.catalogue import HeaterList
from heatersel.heaters.heater import EnergySource, Heater
from heatersel.job.emission_table import EmissionChoices
from heatersel.job.models import Home, Household, Job, Place, Preferences, UnitsShown
from heatersel.job.prices import Prices
from heatersel.job.services import Heating
from heatersel.job.site import Panel, Site
from heatersel.recommend import MOST_SHORT_DAYS
from heatersel.simulation.balance import balance_year
from heatersel.simulation.house_air import system_of
from heatersel.simulation.house_year import SimulatedOptions
from heatersel.simulation.result import AnnualResult
from heatersel.sized_job import SizedJob, size_job
from heatersel.sizing.verdict import Verdict

__all__ = ["KindYears", "kind_of", "years_by_likeness"]

Floats = NDArray[np.float64]

_SETPOINT_STEP_F = 1.0
_SAME_K = 1e-6
_ROOM_STEP = 0.10  # of the volume
_SMALL_ROOM_M3 = 30.0  # below it a heat pump may cool its room until it stops: taken as it is
_HEIGHT_STEP_M = 100.0
_MOST_SHOWERS = 2  # more heads than that hardly ever run at once
_UNSURE = (0.83, 1.21)
# Of the short days that keep a heater out. Eight seeded years give a number of short days with a
# standard deviation of 9 % about what many years give (measured over 44 cases, at most 15 %), so
# kind and house differ by 13 %. Beyond one and a half of that the kind decides: a house whose own
# draws would say otherwise must lie there and have a heater that wins by it (699 of 700 the same).
_KINDS_KEPT = 4000
_HOURS = 8760
_MONTH = np.repeat(
    np.arange(12), [d * 24 for d in (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)]
)
_HOUR = np.arange(_HOURS) % 24
_IS_WEEKEND = (np.arange(_HOURS) // 24) % 7 >= 5  # day 0 of the draws is a Monday
_PLACE = (_MONTH * 2 + _IS_WEEKEND) * 24 + _HOUR
_NO_DAYS = BusiestHours(hot_l=np.zeros(0), n_years=0)
_COUNT = np.bincount(_PLACE, minlength=576)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Pattern:
    """One heater in a kind of house: simulated, in closed form, and its electricity by hour."""

    simulated: AnnualResult
    balanced: AnnualResult
    electric_hours: NDArray[np.float32] | None


@dataclass(slots=True, kw_only=True, eq=False)
class KindYears:
    """The simulated years of one kind of house, heater by heater as they are asked for.

    Parameters
    ----------
    house : House
        A house of the kind.
    n_years : int
        Seeded years.
    """

    house: House
    n_years: int
    _known: dict[Heater, _Pattern | None] = field(default_factory=dict)

    def of(self, heaters: Sequence[Heater]) -> Mapping[Heater, _Pattern | None]:
        """Return each heater's years; None for one whose label contradicts itself."""
        new = [heater for heater in heaters if heater not in self._known]
        if new:
            found = years_of(self.house, new, Method.SIMULATION, self.n_years).annual
            for heater in new:
                annual = found.get(heater.id)
                self._known[heater] = None if annual is None else self._pattern(heater, annual)
        return self._known

    def _pattern(self, heater: Heater, annual: AnnualResult) -> _Pattern:
        hours = (annual.hourly_kwh or {}).get(EnergySource.ELECTRICITY)
        mean = None
        if hours is not None and heater.energy_source is EnergySource.ELECTRICITY:
            mean = (np.bincount(_PLACE, hours, 576) / _COUNT).astype(np.float32)
        return _Pattern(
            simulated=replace(annual, hourly_kwh=None),
            balanced=balance_year(heater, self.house.for_heater(heater).conditions),
            electric_hours=mean,
        )


def years_by_likeness(house: House, heaters: Sequence[Heater], *, n_years: int) -> SimulatedOptions:
    """Return years of energy taken over from the kind that a house belongs to.

    Parameters
    ----------
    house : House
        The house.
    heaters : sequence of Heater
        Storage and tankless heaters.
    n_years : int
        Seeded years behind each kind.

    Returns
    -------
    SimulatedOptions
        As the simulation gives them, save that hours are those of a mean day of each month, on
        weekdays and at weekends, and that what only tankless heaters have is left out. Energy
        is within 1 % of the house's own simulation; see docs/portfolio.md for the measurement.
    """
    job = house.sized.job
    if job.household.bills is not None or _has_demand_charge(house):
        return years_of(house, heaters, Method.SIMULATION, n_years)
    simulated = [heater for heater in heaters if heater.energy_source in job.fuels]
    rest = [heater for heater in heaters if heater.energy_source not in job.fuels]
    patterns = _kind_years(kind_of(job), n_years).of(simulated)
    annual = {h.id: balance_year(h, house.for_heater(h).conditions) for h in rest}
    unsure = []
    for heater in simulated:
        pattern = patterns[heater]
        if pattern is None:
            continue
        conditions = house.for_heater(heater).conditions
        annual[heater.id] = _taken_over(pattern, balance_year(heater, conditions))
        if _decides(pattern, heater, house):
            unsure.append(heater)
    own = years_of(house, unsure, Method.SIMULATION, n_years).annual if unsure else {}
    return SimulatedOptions(annual=annual | own, tankless={}, faults=())


def _decides(pattern: _Pattern, heater: Heater, house: House) -> bool:
    """Return whether the house's own draws decide if a heater runs short too often."""
    delivery = pattern.simulated.delivery
    verdict = next((o.sizing.verdict for o in house.sized.options if o.heater is heater), None)
    if delivery is None or verdict in (None, Verdict.SHORT):
        return False
    least, most = (factor * MOST_SHORT_DAYS for factor in _UNSURE)
    return least < delivery.short_days_per_year < most


def kind_of(job: Job) -> Job:
    """Return the job that stands for all houses of a kind.

    Parameters
    ----------
    job : Job
        Of a house.

    Returns
    -------
    Job
        The same for houses that are alike; its own kind is itself.
    """
    plain = Job(
        units=UnitsShown.US,
        household=_plain_household(job.household),
        place=_plain_place(job.place),
        home=_plain_home(job.home, job),
        prices=Prices(),
        emissions=EmissionChoices(),
        preferences=_plain_preferences(job.preferences),
    )
    seed = int.from_bytes(sha256(repr(plain).encode()).digest()[:4]) >> 1
    preferences = plain.preferences.model_copy(update={"seed": seed})
    return plain.model_copy(update={"preferences": preferences})


@lru_cache(maxsize=_KINDS_KEPT)
def _kind_years(kind: Job, n_years: int) -> KindYears:
    sized = size_job(kind, HeaterList(heaters=()))
    if sized.hotter is not None:
        sized = replace(sized, hotter=_without_days(sized.hotter))
    return KindYears(house=house_of(_without_days(sized)), n_years=n_years)


def _without_days(sized: SizedJob) -> SizedJob:
    """Leave out busiest days, for which nothing is sized in a kind of which thousands are kept."""
    demand = replace(sized.demand, busiest_hours=_NO_DAYS, busiest_hours_design=_NO_DAYS)
    return replace(sized, demand=demand)


def _plain_household(household: Household) -> Household:
    fixtures = household.fixtures
    heads = min(fixtures.shower, _MOST_SHOWERS)
    return household.model_copy(
        update={
            "bedrooms": Household.model_fields["bedrooms"].default,
            "simultaneous": None,
            "peak_hour": None,
            "fixtures": fixtures.model_copy(update={"shower": heads}),
        }
    )


def _plain_place(place: Place) -> Place:
    height_m = place.elevation_m
    if height_m is not None:
        height_m = round(height_m / _HEIGHT_STEP_M) * _HEIGHT_STEP_M
    return place.model_copy(update={"elevation_m": height_m})


def _plain_home(home: Home, job: Job) -> Home:
    """Return what of a home moves the simulation: its air, fuels, heating and pipes."""
    volume_m3 = home.room_volume_m3
    if volume_m3 is not None and volume_m3 > _SMALL_ROOM_M3:
        volume_m3 = exp(round(log(volume_m3) / _ROOM_STEP) * _ROOM_STEP)
    site, panel = home.site, home.panel
    return Home.model_construct(
        **{
            **Home().__dict__,
            "heater_location": home.heater_location,
            "room_volume_m3": volume_m3,
            "fuels": job.fuels,
            "heating": home.heating or _heating_apart(job),
            "hot_pipe": home.hot_pipe,
            "panel": None if panel is None else Panel().model_copy(update={"line_v": panel.line_v}),
            "site": Site().model_copy(
                update={
                    name: getattr(site, name)
                    for name in (
                        "altitude_reading", "ducting", "louvered", "room_min_temp_c",
                        "room_max_temp_c", "tempering_valve",
                    )
                }
            ),
        }
    )  # fmt: skip


def _heating_apart(job: Job) -> Heating | None:
    """Return the likely heating where the house's fuels alone would suggest another."""
    if job.heating_fuels == job.fuels:
        return None
    system = system_of(job.home, job.heating_fuels)
    return Heating(energy_source=system.energy_source, efficiency=system.heating_efficiency)


def _plain_preferences(preferences: Preferences) -> Preferences:
    usual = Preferences()
    return preferences.model_copy(
        update={
            "setpoint_c": _rounded_setpoint_c(preferences.setpoint_c),
            "discount_rate": usual.discount_rate,
            "study_years": usual.study_years,
            "sizing_percentile": usual.sizing_percentile,
            "seed": usual.seed,
        }
    )


def _rounded_setpoint_c(setpoint_c: float) -> float:
    """Return a setpoint to the step, in degrees Fahrenheit as most thermostats are marked.

    One that is on a step stays as it is to the last digit: where a heat pump cools its closet to
    just the cut-off, the last digit decides whether it runs.
    """
    setpoint_f = 32.0 + 1.8 * setpoint_c
    rounded_c = (round(setpoint_f / _SETPOINT_STEP_F) * _SETPOINT_STEP_F - 32.0) / 1.8
    return setpoint_c if abs(rounded_c - setpoint_c) < _SAME_K else rounded_c


def _has_demand_charge(house: House) -> bool:
    return any(tariff.demand for tariff in house.basis.tariffs.values())


def _taken_over(pattern: _Pattern, own: AnnualResult) -> AnnualResult:
    """Return a house's year: its kind's, times its own closed form over its kind's."""
    kind, balanced = pattern.simulated, pattern.balanced
    heat = _ratio(own.delivered_kwh + own.missed_kwh, balanced.delivered_kwh + balanced.missed_kwh)
    loss = _ratio(own.standby_loss_kwh, balanced.standby_loss_kwh)
    monthly = {
        source: months * _monthly_ratio(own, balanced, source, heat)
        for source, months in kind.monthly_kwh.items()
    }
    total = _ratio(
        float(sum(months.sum() for months in monthly.values())), sum(kind.energy_kwh.values())
    )
    hours = pattern.electric_hours
    hourly = None
    if hours is not None:
        electric = monthly[EnergySource.ELECTRICITY]
        hourly = {EnergySource.ELECTRICITY: _hours_of(hours.astype(float), electric)}
    return replace(
        kind,
        monthly_kwh=monthly,
        hourly_kwh=hourly,
        delivered_kwh=kind.delivered_kwh * heat,
        missed_kwh=kind.missed_kwh * heat,
        standby_loss_kwh=kind.standby_loss_kwh * loss,
        space_heating_effect_kwh=kind.space_heating_effect_kwh * total,
        space_monthly_kwh={s: months * total for s, months in kind.space_monthly_kwh.items()},
        auxiliary_kwh=kind.auxiliary_kwh * total,
        resistance_kwh=kind.resistance_kwh * total,
        condensate_l=kind.condensate_l * total,
        notes=(*kind.notes, "taken over from a simulated house of the same kind"),
    )


def _monthly_ratio(
    own: AnnualResult, balanced: AnnualResult, source: EnergySource, otherwise: float
) -> Floats:
    mine, theirs = own.monthly_kwh.get(source), balanced.monthly_kwh.get(source)
    if mine is None or theirs is None:
        return np.full(12, otherwise)
    return np.where(theirs > 0.0, mine / np.where(theirs > 0.0, theirs, 1.0), otherwise)


def _hours_of(mean: Floats, monthly_kwh: Floats) -> Floats:
    """Return hours of a year that add up to the months, shaped like mean days."""
    shape = mean[_PLACE]
    of_month = np.bincount(_MONTH, shape, 12)
    return np.asarray(shape * (monthly_kwh / np.where(of_month > 0.0, of_month, 1.0))[_MONTH])


def _ratio(own: float, kind: float) -> float:
    return own / kind if kind > 0.0 else 1.0
