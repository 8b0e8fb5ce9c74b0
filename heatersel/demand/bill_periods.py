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
    day_of_year : tuple of array
        The days of the year in each, 0 = 1 January.
    notes : tuple of str
        What was joined, left out or assumed.
    """

    days: Floats
    use_kwh_per_day: Floats
    temp_c: Floats
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
    use, temps, days_in = [], [], []
    for span in spans:
        amounts = [bills.amount(period.use) for period in span]
        use.append(sum(value * (per_l if unit == "L" else 1.0) for value, unit in amounts))
        days_in.append(np.concatenate([_days_of(period) for period in span]))
        temps.append(_mean_temp_c(span, monthly_air_c))
    days = np.array([float(part.size) for part in days_in])
    notes = []
    if (n_joined := len(bills.periods) - len(spans)) > 0:
        notes.append(f"{n_joined} estimated or short periods were joined with their neighbours.")
    if not all(period.mean_temp_c or period.degree_days for period in bills.periods):
        notes.append("Outdoor temperatures are long-term means, not those of the billed months.")
    return Periods(
        days=days, use_kwh_per_day=np.array(use) / days, temp_c=np.array(temps),
        day_of_year=tuple(days_in), notes=tuple(notes),
    )  # fmt: skip


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


def _mean_temp_c(span: Sequence[BillPeriod], monthly_air_c: Sequence[float]) -> float:
    """Return the mean temperature of a span, by its own figures where it has them."""
    total = 0.0
    for period in span:
        if period.mean_temp_c is not None:
            temp = period.mean_temp_c
        elif period.degree_days is not None:
            temp = degree_day_temp_c(period.degree_days, period.days)
        else:
            days = [period.start + timedelta(days=i) for i in range(period.days)]
            temp = sum(monthly_air_c[day.month - 1] for day in days) / len(days)
        total += temp * period.days
    return total / sum(period.days for period in span)


@lru_cache(maxsize=8)
def _heat_content_kwh_per_l(fuel: EnergySource, country: str) -> float:
    """Return the heat in a litre of fuel, higher heating value; 0 for electricity. [kWh/L]"""
    for row in records("fuels/heat_content", {"heat_content": ""}):
        if row["energy_source"] == fuel and country in row["default_in"].split():
            return units.convert(row["heat_content"], row["unit"], "kWh/L")
    return 0.0
