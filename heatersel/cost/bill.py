"""The utility's bill month by month, and what the water heater adds to it.

The heater is billed at the margin: the bill of the household with it less the bill without it.
So increasing blocks bite where the household already stands, a minimum bill swallows small use,
and a standing charge counts only where the heater alone keeps the account open.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel.cost.calendar import BillingYear, billing_year
from heatersel.cost.tariff import Component, DemandCharge, Row, Tariff, row_of_hour
from heatersel.errors import OutOfRangeError
from heatersel.job.windows import Season, Window

__all__ = ["Bill", "HeaterBill", "Use", "heater_bill", "household_bill"]

Months = NDArray[np.float64]
Hours = NDArray[np.float64]
_HOURS = 8760
_FEBRUARY = 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Use:
    """Energy that passes one meter in a modelled year of 365 days.

    Parameters
    ----------
    monthly_kwh : array of shape (12,)
        By month. [kWh]
    hourly_kwh : array of shape (8760,) or None
        By hour of the household's clock; without it each month is spread evenly over its hours.
        [kWh]
    """

    monthly_kwh: Months
    hourly_kwh: Hours | None = None

    def __post_init__(self) -> None:
        """Refuse values outside their range."""
        for name, size in (("monthly_kwh", 12), ("hourly_kwh", _HOURS)):
            values = getattr(self, name)
            if values is not None and (values.shape != (size,) or not np.all(values >= -1e-9)):
                raise OutOfRangeError.of(
                    name, value=f"shape {values.shape}, least {np.min(values, initial=0.0):g}",
                    allowed=f"{size} values, none negative", fix="check the meter's data",
                )  # fmt: skip

    def __add__(self, other: Use) -> Use:
        """Return the use of both through one meter."""
        monthly = self.monthly_kwh + other.monthly_kwh
        if self.hourly_kwh is None and other.hourly_kwh is None:
            return Use(monthly_kwh=monthly)
        return Use(monthly_kwh=monthly, hourly_kwh=self.hours() + other.hours())

    def hours(self) -> Hours:
        """Return the use by hour, spread evenly over the month where it is not known. [kWh]"""
        if self.hourly_kwh is not None:
            return self.hourly_kwh
        year = billing_year(2001)
        return (self.monthly_kwh / (24.0 * year.days_in_month))[year.month]

    def shaped(self, day: NDArray[np.float64]) -> Use:
        """Return the same months with each day spread like `day`, 24 multiples of its mean."""
        hourly = self.hours() * np.tile(day / np.mean(day), 365)
        return Use(monthly_kwh=self.monthly_kwh, hourly_kwh=hourly)

    def scaled(self, factor: float) -> Use:
        """Return the same use times `factor`."""
        hourly = None if self.hourly_kwh is None else self.hourly_kwh * factor
        return Use(monthly_kwh=self.monthly_kwh * factor, hourly_kwh=hourly)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bill:
    """A year of bills, January first.

    Parameters
    ----------
    parts : mapping of str to array of shape (12,)
        Each charge by month: "fixed", the components, demand charges, "minimum bill" where the
        tariff has one, riders. A name that occurs again is numbered.
    """

    parts: Mapping[str, Months]

    @property
    def monthly(self) -> Months:
        """Total by month."""
        return np.sum(list(self.parts.values()), axis=0) if self.parts else np.zeros(12)

    @property
    def annual(self) -> float:
        """Total of the year."""
        return float(np.sum(self.monthly))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeaterBill:
    """What the heater adds to the bill of one energy source.

    Parameters
    ----------
    with_heater, without_heater : Bill
        The household's bill in both cases.
    account_closes : bool
        Whether there is no account at all without the heater.
    standing : array of shape (12,)
        Part of the difference that is standing charge, with its share of the riders.
    """

    with_heater: Bill
    without_heater: Bill
    account_closes: bool
    standing: Months

    @property
    def monthly(self) -> Months:
        """What the heater adds, by month."""
        return self.with_heater.monthly - self.without_heater.monthly

    @property
    def energy_per_year(self) -> float:
        """What its energy costs in the year."""
        return float(np.sum(self.monthly - self.standing))

    @property
    def fixed_per_year(self) -> float:
        """Standing charges that it alone keeps alive."""
        return float(np.sum(self.standing))


def heater_bill(
    tariff: Tariff, heater: Use, other: Use | None, year: int, *, without: Bill | None = None
) -> HeaterBill:
    """Return what a heater adds to the household's bill under a tariff.

    Parameters
    ----------
    tariff : Tariff
        Of the energy source.
    heater : Use
        What the heater uses.
    other : Use or None
        What else passes the meter; None if nothing does, so that the account closes without
        the heater and the standing charge is the heater's own.
    year : int
        Calendar year of the bills.
    without : Bill, optional
        The bill of `other` alone, where it is already known.

    Returns
    -------
    HeaterBill
        Both bills and their difference.
    """
    if other is None:
        nothing = Use(monthly_kwh=np.zeros(12))
        closed = float(np.sum(heater.monthly_kwh)) <= 0.0
        with_heater = Bill(parts={}) if closed else household_bill(tariff, heater, year)
        standing = np.zeros(12) if closed else household_bill(tariff, nothing, year).monthly
        return HeaterBill(with_heater=with_heater, without_heater=Bill(parts={}),
                          account_closes=True, standing=standing)  # fmt: skip
    return HeaterBill(
        with_heater=household_bill(tariff, other + heater, year),
        without_heater=without or household_bill(tariff, other, year),
        account_closes=False, standing=np.zeros(12),
    )  # fmt: skip


def household_bill(tariff: Tariff, use: Use, year: int) -> Bill:
    """Return a year of bills.

    Parameters
    ----------
    tariff : Tariff
        Of the energy source.
    use : Use
        All that passes the meter.
    year : int
        Calendar year; 29 February repeats the 28th, or takes the month's mean day where only
        months are known.

    Returns
    -------
    Bill
        Every charge by month. Fuel by delivery is billed in the month of the delivery; what is
        left in the tank at the end of the year is booked in December at its own price and its
        share of the delivery fee, so that a year pays for the fuel it burns.
    """
    calendar = billing_year(year, tariff.time_zone, tariff.holidays)
    hourly = _hourly(tariff, use, calendar)
    monthly = (
        _by_month(hourly, calendar)
        if hourly is not None
        else use.monthly_kwh * _month_stretch(calendar)
    )
    parts = {"fixed": tariff.fixed_per_month + tariff.fixed_per_day * calendar.days_in_month}
    by_unit = {
        component.name: _component_cost(component, monthly, hourly, calendar)
        for component in tariff.components
    }
    if tariff.drops is not None:
        by_unit = _by_delivery(tariff, by_unit, monthly)
    parts |= by_unit
    for charge in tariff.demand:
        _put(parts, charge.name, charge.per_kw * _peaks(charge, hourly, calendar))
    if tariff.has_minimum:
        least = tariff.minimum_per_month + tariff.minimum_per_day * calendar.days_in_month
        _put(parts, "minimum bill", np.maximum(least - sum(parts.values()), 0.0))
    for name, amount in _riders(tariff, parts, by_unit).items():
        _put(parts, name, amount)
    return Bill(parts=parts)


def _put(parts: dict[str, Months], name: str, amount: Months) -> None:
    """Put a charge under its name, with a number where another charge has that name already."""
    names = (name, *(f"{name} {k}" for k in range(2, len(parts) + 2)))
    parts[next(free for free in names if free not in parts)] = amount


def _hourly(tariff: Tariff, use: Use, calendar: BillingYear) -> Hours | None:
    """Return the use by hour of the billing year where the tariff or the use needs hours."""
    if tariff.by_hour:
        return calendar.of_model(use.hours())
    return None if use.hourly_kwh is None else calendar.of_model(use.hourly_kwh)


def _month_stretch(calendar: BillingYear) -> Months:
    stretch = np.ones(12)
    stretch[_FEBRUARY] = calendar.days_in_month[_FEBRUARY] / 28.0
    return stretch


def _by_month(hourly: Hours, calendar: BillingYear) -> Months:
    return np.bincount(calendar.month, hourly, 12).astype(float)


def _component_cost(
    component: Component, monthly: Months, hourly: Hours | None, year: BillingYear
) -> Months:
    if len(component.rows) == 1 and component.rows[0].window == Window():
        return _in_blocks(component.rows[0], monthly, np.ones(12), year.days_in_month)
    held, place, shares = _layout(component, year)
    shape = (12, len(component.rows))
    if hourly is None:
        weights = (monthly / (24.0 * year.days_in_month))[year.month[held]]
    else:
        weights = hourly[held]
    used = np.bincount(place, weights, shape[0] * shape[1]).reshape(shape).astype(float)
    return sum(
        (
            _in_blocks(row, used[:, index], shares[index], year.days_in_month)
            for index, row in enumerate(component.rows)
        ),
        start=np.zeros(12),
    )


@lru_cache(maxsize=64)
def _layout(
    component: Component, year: BillingYear
) -> tuple[NDArray[np.bool_], NDArray[np.intp], tuple[Months, ...]]:
    """Return which hours a component holds, their place by month and row, and the rows' share.

    The share is the part of each month's days that lies in a row's season; its blocks shrink
    with it where a season begins or ends within a month.
    """
    rows = row_of_hour(component.rows, year)
    held = rows >= 0
    place = (rows + len(component.rows) * year.month)[held]
    return held, place, tuple(_share_of_days(row.window.season, year) for row in component.rows)


def _share_of_days(season: Season, year: BillingYear) -> Months:
    days = [
        sum(season.has(month, day) for day in range(1, int(length) + 1))
        for month, length in enumerate(year.days_in_month, start=1)
    ]
    return np.array(days) / year.days_in_month


def _in_blocks(row: Row, used: Months, share: Months, days: Months) -> Months:
    """Return the cost of a month's use in growing blocks."""
    cost, below = np.zeros(12), np.zeros(12)
    for step in row.steps:
        end = (
            np.full(12, np.inf)
            if step.up_to_kwh == np.inf
            else step.up_to_kwh * share * (days if step.by_day else 1.0)
        )
        cost += step.per_kwh * np.clip(used - below, 0.0, end - below)
        below = end
    return cost


def _by_delivery(tariff: Tariff, by_unit: dict[str, Months], monthly: Months) -> dict[str, Months]:
    """Return charges by unit moved to the months of delivery, with the delivery fees."""
    assert tariff.drops is not None
    size, fee = tariff.drops.size_kwh, tariff.drops.fee
    burned = np.cumsum(monthly)
    arrived = np.floor(burned / size + 1e-9)
    arrived[-1] = burned[-1] / size
    share = np.diff(arrived, prepend=0.0) * size
    cost = {name: _moved(amount, monthly, share) for name, amount in by_unit.items()}
    return cost | {"deliveries": fee * share / size}


def _moved(amount: Months, burned: Months, billed: Months) -> Months:
    """Return each month's charge moved to where its fuel is billed, first burned first billed."""
    paid = np.concatenate(([0.0], np.cumsum(amount)))
    used = np.concatenate(([0.0], np.cumsum(burned)))
    at_bill = np.interp(np.cumsum(billed), used, paid)
    return np.diff(at_bill, prepend=0.0)


def _peaks(charge: DemandCharge, hourly: Hours | None, year: BillingYear) -> Months:
    assert hourly is not None  # a demand charge makes the tariff one by the hour
    held = row_of_hour((charge,), year) == 0
    peaks = np.zeros(12)
    np.maximum.at(peaks, year.month[held], hourly[held])
    return peaks


def _riders(
    tariff: Tariff, parts: Mapping[str, Months], by_unit: Mapping[str, Months]
) -> dict[str, Months]:
    charges = np.sum(list(parts.values()), axis=0)
    energy = np.sum(list(by_unit.values()), axis=0)
    total = charges.copy()
    found: dict[str, Months] = {}
    for rider in tariff.riders:
        base = {"energy": energy, "charges": charges, "total": total}[rider.of]
        amount = (np.full(12, rider.amount.amount) if rider.amount is not None
                  else (rider.share or 0.0) * base)  # fmt: skip
        total = total + amount
        found[rider.name] = found.get(rider.name, np.zeros(12)) + amount
    return found
