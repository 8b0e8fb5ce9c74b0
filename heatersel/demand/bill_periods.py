"""Billing periods made ready for a fit: in kWh a day, with their outdoor temperature."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel import units
from heatersel.heaters.heater import EnergySource
from heatersel.job.bills import BillPeriod, Bills, degree_day_temp_c
from heatersel.reference import records

__all__ = ["Periods", "usable_periods"]

Floats = NDArray[np.float64]

_SHORT_PERIOD_DAYS = 14


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Periods:
    """Billing periods ready for a fit.

    Parameters
    ----------
    days : array
        Length of each.
    use_kwh_per_day : array
        Use. [kWh/d]
    temp_c : array
        Mean outdoor temperature. [°C]
    day_temp_c : tuple of array
        Outdoor temperature of each day: of its month, or the period's own mean. [°C]
    day_of_year : tuple of array
        The days of the year in each, 0 = 1 January.
    notes : tuple of str
        What was joined, left out or assumed.
    """

    days: Floats
    use_kwh_per_day: Floats
    temp_c: Floats
    day_temp_c: tuple[Floats, ...]
    day_of_year: tuple[NDArray[np.int64], ...]
    notes: tuple[str, ...]


def usable_periods(bills: Bills, monthly_air_c: Sequence[float], country: str = "US") -> Periods:
    """Return the periods of the bills in kWh per day, with their outdoor temperature.

    An estimated reading is joined with the period after it, whose true reading sets the sum
    right; a period under 14 days, as a changed meter leaves, is joined with its neighbour.
    Missing readings leave a gap.

    Parameters
    ----------
    bills : Bills
        Readings or deliveries.
    monthly_air_c : sequence of 12 float
        Mean air temperatures, for periods without a temperature of their own. [°C]
    country : str
        "US" or "CA", for the heat in a volume of fuel.

    Returns
    -------
    Periods
        In order of time.
    """
    per_l = _heat_content_kwh_per_l(bills.fuel, country)
    spans = list(_joined(bills.periods))
    use, days_in = [], []
    for span in spans:
        amounts = [bills.amount(period.use) for period in span]
        use.append(sum(value * (per_l if unit == "L" else 1.0) for value, unit in amounts))
        days_in.append(np.concatenate([_days_of(period) for period in span]))
    days = np.array([float(part.size) for part in days_in])
    day_temp_c = tuple(
        np.concatenate([_day_temps_c(period, monthly_air_c) for period in span]) for span in spans
    )
    return Periods(
        days=days,
        use_kwh_per_day=np.array(use) / days,
        temp_c=np.array([temps.mean() for temps in day_temp_c]),
        day_temp_c=day_temp_c,
        day_of_year=tuple(days_in),
        notes=tuple(_notes(bills, len(spans))),
    )


def _notes(bills: Bills, n_spans: int) -> Iterator[str]:
    if (n_joined := len(bills.periods) - n_spans) > 0:
        periods = "1 estimated or short period was" if n_joined == 1 else (
            f"{n_joined} estimated or short periods were"
        )  # fmt: skip
        yield f"{periods} joined with a neighbour."
    if any(p.mean_temp_c is None and p.degree_days is None for p in bills.periods):
        yield "Outdoor temperatures are long-term means, not those of the billed months."
    if bills.deliveries:
        yield "Each delivery is taken to fill the tank to the same mark."


def _joined(periods: Sequence[BillPeriod]) -> Iterator[list[BillPeriod]]:
    """Yield groups of touching periods that only make sense together."""
    group: list[BillPeriod] = []
    done: list[list[BillPeriod]] = []
    for period in periods:
        if group and group[-1].end != period.start:
            done.append(group)
            group = []
        group.append(period)
        if not period.estimated and sum(part.days for part in group) >= _SHORT_PERIOD_DAYS:
            done.append(group)
            group = []
    if group:
        done.append(group)
    for place, span in enumerate(done):
        short = sum(part.days for part in span) < _SHORT_PERIOD_DAYS
        if short and place and done[place - 1][-1].end == span[0].start:
            done[place - 1].extend(span)
            done[place] = []
    # A last estimate that no true reading follows, or a stray short period, says nothing.
    yield from (
        span
        for span in done
        if span and not span[-1].estimated and sum(p.days for p in span) >= _SHORT_PERIOD_DAYS
    )


def _days_of(period: BillPeriod) -> NDArray[np.int64]:
    """Return the days of the year of a period; 29 February counts as 28."""
    days = [period.start + timedelta(days=i) for i in range(period.days)]
    return np.array([min(day.replace(year=2001).timetuple().tm_yday - 1, 364)
                     if (day.month, day.day) != (2, 29) else 58 for day in days])  # fmt: skip


def _day_temps_c(period: BillPeriod, monthly_air_c: Sequence[float]) -> Floats:
    """Return the temperature of each day of a period, by its own figure where it has one."""
    own_c = period.mean_temp_c
    if own_c is None and period.degree_days is not None:
        own_c = degree_day_temp_c(period.degree_days, period.days)
    if own_c is not None:
        return np.full(period.days, own_c)
    months = [(period.start + timedelta(days=i)).month for i in range(period.days)]
    return np.array([monthly_air_c[month - 1] for month in months])


@lru_cache(maxsize=8)
def _heat_content_kwh_per_l(fuel: EnergySource, country: str) -> float:
    """Return the heat in a litre of fuel, higher heating value; 0 for electricity. [kWh/L]"""
    for row in records("fuels/heat_content", {"heat_content": ""}):
        if row["energy_source"] == fuel and country in row["default_in"].split():
            return units.convert(row["heat_content"], row["unit"], "kWh/L")
    return 0.0
