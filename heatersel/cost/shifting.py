"""A heating schedule that avoids dear hours without leaving anyone in cold water.

The search runs the simulation again and again. It stops heating in the dearest hours, then in the
next dearest as well, for the present store temperature and for hotter ones (which need a tempering
valve). Hours with a demand charge count as dearer by the charge spread over them, hours in which
the roof has power to spare as cheaper. Where a schedule leaves the household short, the longest
spans that do not are found by halving, cut at either end or both; at the end the edges of the best
schedule are moved hour by hour. A schedule counts only if the household runs short on no more days
than without it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatersel.cost.bill import Bill, Use, heater_bill, household_bill
from heatersel.cost.calendar import BillingYear, billing_year
from heatersel.cost.solar import SolarSurplus
from heatersel.cost.tariff import Tariff, row_of_hour
from heatersel.cost.timer_words import blocked_in_words
from heatersel.display import Display
from heatersel.errors import InputError, OutOfRangeError
from heatersel.heaters.heater import EnergySource
from heatersel.simulation.result import AnnualResult

__all__ = [
    "HOTTEST_C",
    "HOTTEST_LIFT_C",
    "HeatingSchedule",
    "Shift",
    "cheapest_plan",
    "hour_prices",
    "shift_heating",
]

HOTTEST_C = 75.0
"""Hottest store that is tried with elements. [°C] Common practice, no source."""

HOTTEST_LIFT_C = 60.0
"""Hottest store that is tried with a compressor. [°C] Common practice, no source."""

_STEP_K = 5.0
_LONGEST_H = 23  # no store waits a day, so spans beyond are seasons, not hours
_WORTH_A_TIMER = 12.0  # a year; less would not pay for the timer within its life
_SUN_STEPS = 4  # steps of the roof's share: each level of price takes a run of the search


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatingSchedule:
    """When a tank may heat, and how hot.

    Parameters
    ----------
    setpoint_c : float
        Store temperature. [°C]
    blocked : array of shape (8760,)
        Hours of the clock in which it does not heat; hour 0 begins at 1 January 00:00.
    """

    setpoint_c: float
    blocked: NDArray[np.bool_]

    @property
    def hours_blocked_per_day(self) -> float:
        """Mean number of blocked hours a day. [h]"""
        return float(np.mean(self.blocked) * 24)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shift:
    """What a schedule does.

    Parameters
    ----------
    schedule : HeatingSchedule
        The best one found; the unblocked one where none saves anything.
    cost_per_year, cost_before : float
        What the heater adds to the bill with and without it.
    setpoint_before_c : float
        Store temperature without it. [°C]
    short_days, short_days_before : float
        Days a year on which a fixture runs short.
    annual : AnnualResult
        The year under the schedule.
    n_runs : int
        Simulations that the search took.
    plan : str
        The plan that it is billed on.
    today_plan : str
        The plan that the household is on.
    dearer_per_year : float
        What the household's whole bill comes to on `plan` over that on today's plan, both without
        the schedule; 0 where they are the same.
    when : str
        The blocked hours, days and months in words; empty where there are none.
    """

    schedule: HeatingSchedule
    cost_per_year: float
    cost_before: float
    setpoint_before_c: float
    short_days: float
    short_days_before: float
    annual: AnnualResult
    n_runs: int
    plan: str
    today_plan: str
    dearer_per_year: float = 0.0
    when: str = ""

    @property
    def saving_per_year(self) -> float:
        """What the schedule saves."""
        return self.cost_before - self.cost_per_year

    @property
    def lower_than_today(self) -> float:
        """What schedule and plan together save a year on the household's bill of today."""
        return self.saving_per_year - self.dearer_per_year

    def sentence(self, show: Display) -> str:
        """Return the result in a customer's words."""
        if self.saving_per_year < _WORTH_A_TIMER:
            return f"Heating at other hours saves nothing worth a timer on the plan “{self.plan}”."
        here = self.plan == self.today_plan
        lower = self.lower_than_today
        if not here and lower < _WORTH_A_TIMER:
            by = (f"about {show.money(-lower)} a year higher than" if lower <= -_WORTH_A_TIMER
                  else "hardly lower than")  # fmt: skip
            return (
                f"The plan “{self.plan}” does not pay, not even with a timer: the household's whole"
                f" electricity bill would be {by} on today's plan “{self.today_plan}”."
            )
        saves = (
            f"a timer saves about {show.money(lower)} a year" if here
            else f"and with a timer, the household's whole electricity bill would be about"
            f" {show.money(lower)} a year lower than on today's plan “{self.today_plan}”"
        )  # fmt: skip
        hotter_k = self.schedule.setpoint_c - self.setpoint_before_c
        store = (f" It stores {show.rise(hotter_k)} hotter for that, behind its tempering valve."
                 if hotter_k > 0.5 else "")  # fmt: skip
        return (
            f"On the plan “{self.plan}”, {saves}, with no more days of lukewarm water than before."
            f" The timer keeps it from heating {self.when}.{store}"
        )

    def as_dict(self) -> dict[str, Any]:
        """Return it as plain fields; the schedule as its share of blocked days by hour of day."""
        blocked = self.schedule.blocked.reshape(-1, 24).mean(axis=0)
        return {
            "plan": self.plan,
            "today_plan": self.today_plan,
            "blocked": self.when,
            "setpoint_c": self.schedule.setpoint_c,
            "blocked_share_by_hour": [float(share) for share in blocked],
            "cost_per_year": self.cost_per_year,
            "cost_before": self.cost_before,
            "saving_per_year": self.saving_per_year,
            "lower_than_today_per_year": self.lower_than_today,
            "short_days_per_year": self.short_days,
            "short_days_before": self.short_days_before,
            "n_runs": self.n_runs,
        }


Hours = NDArray[np.float64]
Simulate = Callable[[HeatingSchedule], AnnualResult]


def shift_heating(
    simulate: Simulate,
    tariff: Tariff,
    other: Use | None,
    *,
    bill_year: int,
    setpoint_c: float,
    hottest_c: float | None = None,
    solar: SolarSurplus | None = None,
    today: Tariff | None = None,
    most_runs: int = 30,
) -> Shift:
    """Return the heating schedule that costs least without more days of short water.

    Parameters
    ----------
    simulate : callable
        Runs a year under a schedule; the result holds hourly electricity and the delivery.
    tariff : Tariff
        Of electricity; without prices by the hour or own solar surplus there is nothing to gain.
    other : Use or None
        The household's other use.
    bill_year : int
        Calendar year of the bills.
    setpoint_c : float
        Present store temperature, 40 to 75. [°C]
    hottest_c : float or None
        Hottest store that may be tried, at most 75, where a tempering valve guards the taps;
        None leaves the store as it is. [°C]
    solar : SolarSurplus or None
        Own surplus that the heater takes before the grid; exports that it costs are counted.
    today : Tariff, optional
        The plan that the household is on, where it is another.
    most_runs : int
        Simulations at most, at least 2; twice as many beside own surplus on a plan with hours.

    Returns
    -------
    Shift

    Raises
    ------
    InputError
        If the simulation gives no hours or no delivery.
    OutOfRangeError
        If an argument lies outside the range stated above.
    """
    if not 40.0 <= setpoint_c <= HOTTEST_C:
        raise OutOfRangeError.of("setpoint_c", value=setpoint_c, allowed="40 to 75 °C",
                                 fix="an example is 50")  # fmt: skip
    if hottest_c is not None and not setpoint_c <= hottest_c <= HOTTEST_C:
        raise OutOfRangeError.of("hottest_c", value=hottest_c, allowed="the setpoint to 75 °C",
                                 fix="an example is 65")  # fmt: skip
    if most_runs < 2:
        raise OutOfRangeError.of("most_runs", value=most_runs, allowed="at least 2",
                                 fix="an example is 30")  # fmt: skip
    without = None if other is None else household_bill(tariff, other, bill_year)
    search = _Search(simulate, tariff, other, bill_year, without, solar, most_runs)
    free = HeatingSchedule(setpoint_c=setpoint_c, blocked=np.zeros(8760, dtype=bool))
    before = search.run(free)
    assert before is not None
    present, *hotter = np.arange(setpoint_c, (hottest_c or setpoint_c) + 0.01, _STEP_K)
    best = before
    for number, dear in enumerate(_rankings(tariff, bill_year, solar, before.annual), start=1):
        search.most_runs = number * most_runs
        for store_c in (present, *reversed(hotter)):
            for whole in _by_price(dear, float(store_c)):
                longest = _longest_h(whole)
                if longest > _LONGEST_H:
                    break
                best = search.longest_safe(before, whole, longest, best)
                if not search.any_safe(before, [whole]):
                    break  # cheaper hours on top of these would leave it shorter still
    while True:
        better = search.best(before, _moved_edges(best.schedule), best)
        if better is best:
            break
        best = better
    here = tariff if today is None else today
    return replace(
        best, cost_before=before.cost_per_year, short_days_before=before.short_days,
        setpoint_before_c=setpoint_c, n_runs=search.n_runs, today_plan=here.name,
        dearer_per_year=search.whole_bill(before, tariff) - search.whole_bill(before, here),
        when=blocked_in_words(best.schedule.blocked, tariff, bill_year),
    )  # fmt: skip


def cheapest_plan(
    plans: Sequence[Tariff], annual: AnnualResult, other: Use | None, bill_year: int
) -> Tariff:
    """Return the plan with the lowest bill of the whole household, the first of equals.

    Parameters
    ----------
    plans : sequence of Tariff
        At least one.
    annual : AnnualResult
        The heater's year, with hours.
    other : Use or None
        The household's other use.
    bill_year : int
        Calendar year of the bills.
    """
    use = _use(annual) if other is None else other + _use(annual)
    return min(plans, key=lambda plan: household_bill(plan, use, bill_year).annual)


def hour_prices(tariff: Tariff, bill_year: int) -> Hours:
    """Return the price of a kWh in each modelled hour, all components, first block.

    Parameters
    ----------
    tariff : Tariff
        Of any source.
    bill_year : int
        Calendar year whose weekends, holidays and clock count.

    Returns
    -------
    array of shape (8760,)
    """
    year = billing_year(bill_year, tariff.time_zone, tariff.holidays)
    prices = np.zeros(year.n_hours)
    for component in tariff.components:
        rows = row_of_hour(component.rows, year)
        by_row = np.array([*(row.steps[0].per_kwh for row in component.rows), 0.0])
        prices += by_row[rows]
    return _by_model_hour(prices, year)


def _demand_prices(tariff: Tariff, bill_year: int) -> Hours:
    """Return the demand charges spread over the hours of their windows."""
    year = billing_year(bill_year, tariff.time_zone, tariff.holidays)
    prices = np.zeros(year.n_hours)
    for charge in tariff.demand:
        inside = row_of_hour([charge], year) == 0
        if inside.any():
            months = len(np.unique(year.month[inside]))
            prices[inside] += charge.per_kw * months / np.count_nonzero(inside)
    return _by_model_hour(prices, year)


def _rankings(
    tariff: Tariff, bill_year: int, solar: SolarSurplus | None, annual: AnnualResult
) -> list[Hours]:
    """Return what hours cost: on the plan, and as own solar surplus changes it.

    Both are searched: the sun makes the middle of a dear window cheap, but a demand charge is
    saved by the whole window or not at all.
    """
    by_unit, peaks = hour_prices(tariff, bill_year), _demand_prices(tariff, bill_year)
    on_plan = by_unit + peaks
    if solar is None:
        return [on_plan]
    share = _solar_share(solar, annual)
    sunny = by_unit - share * (by_unit - solar.export_per_kwh) + peaks
    return [on_plan, sunny] if np.ptp(on_plan) > 0 else [sunny]


def _solar_share(solar: SolarSurplus, annual: AnnualResult) -> Hours:
    """Return which part of an hour's use the roof would give, by hour of the day.

    The mean of all days, since a timer knows the hour and not the weather; of the use that a kWh
    of the heater meets in the mean, as it runs in spells. In steps, for few levels of price.
    """
    hourly = _hourly(annual)
    usual_kwh = max(float(hourly @ hourly) / max(float(np.sum(hourly)), 1e-9), 1e-9)
    by_hour = np.minimum(solar.hourly_kwh / usual_kwh, 1.0).reshape(365, 24).mean(axis=0)
    return np.tile(np.round(_SUN_STEPS * by_hour) / _SUN_STEPS, 365)


def _hourly(annual: AnnualResult) -> Hours:
    """Return the electricity by hour; raise InputError where hours or delivery are not known."""
    hourly = (annual.hourly_kwh or {}).get(EnergySource.ELECTRICITY)
    if hourly is None or annual.delivery is None:
        raise InputError.of(
            "simulation", value="without hours or delivery",
            allowed="hourly electricity and the delivery of a year",
            fix="use the simulation rather than the closed-form balance",
        )  # fmt: skip
    return hourly


def _by_model_hour(values: Hours, year: BillingYear) -> Hours:
    by_model_hour = np.zeros(8760)
    by_model_hour[year.model_hour] = values
    return by_model_hour


class _Search:
    """Runs schedules, counts them and keeps the cheapest that is no riskier."""

    def __init__(
        self, simulate: Simulate, tariff: Tariff, other: Use | None, bill_year: int,
        without: Bill | None, solar: SolarSurplus | None, most_runs: int,
    ) -> None:  # fmt: skip
        self._simulate, self._tariff, self._other = simulate, tariff, other
        self._bill_year, self._without, self.most_runs = bill_year, without, most_runs
        self._solar = solar
        self._done: dict[tuple[float, bytes], Shift] = {}

    @property
    def n_runs(self) -> int:
        return len(self._done)

    def run(self, schedule: HeatingSchedule) -> Shift | None:
        """Return the outcome of a schedule, None once the runs are used up."""
        key = (schedule.setpoint_c, schedule.blocked.tobytes())
        if key not in self._done:
            if self.n_runs >= self.most_runs:
                return None
            self._done[key] = self._outcome(schedule)
        return self._done[key]

    def best(self, before: Shift, schedules: Iterable[HeatingSchedule], best: Shift) -> Shift:
        """Return the cheapest of `best` and the schedules that are no riskier than `before`."""
        for schedule in schedules:
            found = self.run(schedule)
            if found is None:
                break
            if _is_safe(found, before) and found.cost_per_year < best.cost_per_year - 1e-6:
                best = found
        return best

    def longest_safe(
        self, before: Shift, whole: HeatingSchedule, longest_h: int, best: Shift
    ) -> Shift:
        """Return the cheapest of `best` and the schedule with its spans as long as is safe."""
        unsafe, safe = -1, longest_h  # hours cut off the spans
        cut = 0
        while safe - unsafe > 1:
            cuts = list(_cut(whole, cut))
            best = self.best(before, cuts, best)
            if self.any_safe(before, cuts):
                safe = cut
            else:
                unsafe = cut
            cut = (unsafe + safe) // 2
        return best

    def any_safe(self, before: Shift, schedules: Iterable[HeatingSchedule]) -> bool:
        """Return whether one of the schedules is no riskier, or the runs are used up."""
        found = [self.run(schedule) for schedule in schedules]
        return any(shift is None or _is_safe(shift, before) for shift in found)

    def whole_bill(self, shift: Shift, tariff: Tariff) -> float:
        """Return the household's bill of a year on a plan, the heater's grid power included."""
        grid = self._grid_use(shift.annual)
        use = grid if self._other is None else self._other + grid
        return household_bill(tariff, use, self._bill_year).annual

    def _grid_use(self, annual: AnnualResult) -> Use:
        use = _use(annual)
        return use if self._solar is None else self._solar.grid_use(use)

    def _outcome(self, schedule: HeatingSchedule) -> Shift:
        annual = self._simulate(schedule)
        bill = heater_bill(self._tariff, self._grid_use(annual), self._other, self._bill_year,
                           without=self._without)  # fmt: skip
        cost = float(np.sum(bill.monthly))
        if self._solar is not None:
            cost += self._solar.forgone(_use(annual))
        assert annual.delivery is not None
        short = annual.delivery.short_days_per_year
        return Shift(schedule=schedule, cost_per_year=cost, cost_before=cost,
                     setpoint_before_c=schedule.setpoint_c, short_days=short,
                     short_days_before=short, annual=annual, n_runs=0,
                     plan=self._tariff.name, today_plan=self._tariff.name)  # fmt: skip


def _use(annual: AnnualResult) -> Use:
    return Use(monthly_kwh=annual.monthly_kwh[EnergySource.ELECTRICITY], hourly_kwh=_hourly(annual))


def _by_price(prices: NDArray[np.float64], setpoint_c: float) -> Iterator[HeatingSchedule]:
    """Yield schedules that block all hours above a price, the dearest hours alone first."""
    levels = np.unique(np.round(prices, 6))
    for level in levels[-2::-1]:
        yield HeatingSchedule(setpoint_c=setpoint_c, blocked=prices > level + 1e-6)


def _is_safe(shift: Shift, before: Shift) -> bool:
    return shift.short_days <= before.short_days + 1e-9


def _longest_h(schedule: HeatingSchedule) -> int:
    """Return the hours of the longest blocked span, as far as it matters."""
    blocked, hours = schedule.blocked, 0
    while blocked.any() and hours <= _LONGEST_H:
        blocked, hours = blocked & np.roll(blocked, 1), hours + 1
    return hours


def _cut(schedule: HeatingSchedule, hours: int) -> Iterator[HeatingSchedule]:
    """Yield the schedule with its spans shorter by `hours`: at the end, both ends, the start."""
    for first in dict.fromkeys((0, hours // 2, hours)):
        blocked = schedule.blocked.copy()
        for k in range(1, hours + 1):
            blocked &= np.roll(schedule.blocked, k if k <= first else first - k)
        yield replace(schedule, blocked=blocked)


def _moved_edges(schedule: HeatingSchedule) -> Iterator[HeatingSchedule]:
    """Yield the schedule with its blocked spans longer or shorter by an hour at either edge."""
    blocked = schedule.blocked
    if not blocked.any():
        return
    earlier, later = np.roll(blocked, -1), np.roll(blocked, 1)
    for changed in (blocked & later, blocked & earlier, blocked | later, blocked | earlier):
        yield replace(schedule, blocked=changed)
