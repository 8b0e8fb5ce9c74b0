"""A heating schedule that avoids dear hours without leaving anyone in cold water.

The search runs the simulation again and again. It stops heating in all hours above some price,
for the present store temperature and for hotter ones (which need a tempering valve). Where that
leaves the household short, the blocked spans lose an hour at either end until it does not; at the
end the edges of the best schedule are moved hour by hour. A schedule counts only if the household
runs short on no more days than without it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from heatersel.cost.bill import Bill, Use, heater_bill, household_bill
from heatersel.cost.calendar import billing_year
from heatersel.cost.tariff import Tariff, row_of_hour
from heatersel.errors import InputError, OutOfRangeError
from heatersel.heaters.heater import EnergySource
from heatersel.simulation.result import AnnualResult

__all__ = ["HeatingSchedule", "Shift", "hour_prices", "shift_heating"]

_HOTTEST_C = 75.0
_STEP_K = 5.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatingSchedule:
    """When a tank may heat, and how hot.

    Parameters
    ----------
    setpoint_c : float
        Store temperature. [°C]
    blocked : array of shape (8760,)
        Hours in which it does not heat; hour 0 begins at 1 January 00:00 standard time.
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
    short_days, short_days_before : float
        Days a year on which a fixture runs short.
    annual : AnnualResult
        The year under the schedule.
    n_runs : int
        Simulations that the search took.
    """

    schedule: HeatingSchedule
    cost_per_year: float
    cost_before: float
    short_days: float
    short_days_before: float
    annual: AnnualResult
    n_runs: int

    @property
    def saving_per_year(self) -> float:
        """What the schedule saves."""
        return self.cost_before - self.cost_per_year

    def sentence(self, currency: str, setpoint_before_c: float) -> str:
        """Return the result in a customer's words."""
        sign = "C$" if currency == "CAD" else "$"
        if self.saving_per_year < 1.0:
            return "Heating at other hours saves nothing worth a timer on this tariff."
        hotter = self.schedule.setpoint_c - setpoint_before_c
        store = (f" It stores {hotter:.0f} °C hotter for that, so it needs a tempering valve."
                 if hotter > 0.5 else "")  # fmt: skip
        return (
            f"A timer that keeps it from heating in the dearest"
            f" {self.schedule.hours_blocked_per_day:.0f} hours of the day saves about"
            f" {sign}{self.saving_per_year:.0f} a year, with no more days of lukewarm water"
            f" than before.{store}"
        )


Simulate = Callable[[HeatingSchedule], AnnualResult]


def shift_heating(
    simulate: Simulate,
    tariff: Tariff,
    other: Use | None,
    *,
    bill_year: int,
    setpoint_c: float,
    has_tempering_valve: bool = False,
    most_runs: int = 40,
) -> Shift:
    """Return the heating schedule that costs least without more days of short water.

    Parameters
    ----------
    simulate : callable
        Runs a year under a schedule; the result holds hourly electricity and the delivery.
    tariff : Tariff
        Of electricity, with prices by the hour.
    other : Use or None
        The household's other use.
    bill_year : int
        Calendar year of the bills.
    setpoint_c : float
        Present store temperature, 40 to 75. [°C]
    has_tempering_valve : bool
        Whether hotter storage may be tried, up to 75 °C.
    most_runs : int
        Simulations at most, at least 2.

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
    if not 40.0 <= setpoint_c <= _HOTTEST_C:
        raise OutOfRangeError.of("setpoint_c", value=setpoint_c, allowed="40 to 75 °C",
                                 fix="an example is 50")  # fmt: skip
    if most_runs < 2:
        raise OutOfRangeError.of("most_runs", value=most_runs, allowed="at least 2",
                                 fix="an example is 40")  # fmt: skip
    without = None if other is None else household_bill(tariff, other, bill_year)
    search = _Search(simulate, tariff, other, bill_year, without, most_runs)
    free = HeatingSchedule(setpoint_c=setpoint_c, blocked=np.zeros(8760, dtype=bool))
    before = search.run(free)
    assert before is not None
    hottest = _HOTTEST_C if has_tempering_valve else setpoint_c
    stores = np.arange(setpoint_c, hottest + 0.01, _STEP_K)
    best = before
    for whole in _by_price(hour_prices(tariff, bill_year), stores):
        for trimmed in _trimmed(whole):
            best = search.best(before, trimmed, best)
            if search.any_safe(before, trimmed):
                break
    while True:
        better = search.best(before, _moved_edges(best.schedule), best)
        if better is best:
            break
        best = better
    return replace(
        best, cost_before=before.cost_per_year, short_days_before=before.short_days,
        n_runs=search.n_runs,
    )  # fmt: skip


def hour_prices(tariff: Tariff, bill_year: int) -> NDArray[np.float64]:
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
    by_model_hour = np.zeros(8760)
    by_model_hour[year.model_hour] = prices
    return by_model_hour


class _Search:
    """Runs schedules, counts them and keeps the cheapest that is no riskier."""

    def __init__(
        self, simulate: Simulate, tariff: Tariff, other: Use | None, bill_year: int,
        without: Bill | None, most_runs: int,
    ) -> None:  # fmt: skip
        self._simulate, self._tariff, self._other = simulate, tariff, other
        self._bill_year, self._without, self._most_runs = bill_year, without, most_runs
        self._done: dict[tuple[float, bytes], Shift] = {}

    @property
    def n_runs(self) -> int:
        return len(self._done)

    def run(self, schedule: HeatingSchedule) -> Shift | None:
        """Return the outcome of a schedule, None once the runs are used up."""
        key = (schedule.setpoint_c, schedule.blocked.tobytes())
        if key not in self._done:
            if self.n_runs >= self._most_runs:
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

    def any_safe(self, before: Shift, schedules: Iterable[HeatingSchedule]) -> bool:
        """Return whether one of the schedules is no riskier, or the runs are used up."""
        found = [self.run(schedule) for schedule in schedules]
        return any(shift is None or _is_safe(shift, before) for shift in found)

    def _outcome(self, schedule: HeatingSchedule) -> Shift:
        annual = self._simulate(schedule)
        hourly = (annual.hourly_kwh or {}).get(EnergySource.ELECTRICITY)
        if hourly is None or annual.delivery is None:
            raise InputError.of(
                "simulation", value="without hours or delivery",
                allowed="hourly electricity and the delivery of a year",
                fix="use the simulation rather than the closed-form balance",
            )  # fmt: skip
        use = Use(monthly_kwh=annual.monthly_kwh[EnergySource.ELECTRICITY], hourly_kwh=hourly)
        bill = heater_bill(self._tariff, use, self._other, self._bill_year, without=self._without)
        cost = float(np.sum(bill.monthly))
        short = annual.delivery.short_days_per_year
        return Shift(schedule=schedule, cost_per_year=cost, cost_before=cost, short_days=short,
                     short_days_before=short, annual=annual, n_runs=0)  # fmt: skip


def _by_price(
    prices: NDArray[np.float64], stores: NDArray[np.float64]
) -> Iterator[HeatingSchedule]:
    """Yield schedules that block all hours above each price, hotter stores last."""
    levels = np.unique(np.round(prices, 6))
    for setpoint_c in stores:
        for level in levels[:-1]:
            yield HeatingSchedule(setpoint_c=float(setpoint_c), blocked=prices > level + 1e-6)


def _is_safe(shift: Shift, before: Shift) -> bool:
    return shift.short_days <= before.short_days + 1e-9


def _trimmed(schedule: HeatingSchedule) -> Iterator[list[HeatingSchedule]]:
    """Yield the schedule whole, then with its spans one hour shorter in all ways, then two..."""
    shorter = [schedule.blocked]
    while shorter[0].any():
        yield [replace(schedule, blocked=blocked) for blocked in shorter]
        without_last = [blocked & np.roll(blocked, -1) for blocked in shorter]
        shorter = [*without_last, shorter[-1] & np.roll(shorter[-1], 1)]


def _moved_edges(schedule: HeatingSchedule) -> Iterator[HeatingSchedule]:
    """Yield the schedule with its blocked spans longer or shorter by an hour at either edge."""
    blocked = schedule.blocked
    if not blocked.any():
        return
    earlier, later = np.roll(blocked, -1), np.roll(blocked, 1)
    for changed in (blocked & later, blocked & earlier, blocked | later, blocked | earlier):
        yield replace(schedule, blocked=changed)
