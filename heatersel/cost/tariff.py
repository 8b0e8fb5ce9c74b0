"""A tariff ready for billing: money per kWh, every price with the hours in which it applies.

The job file holds a tariff as the utility's sheet states it, per therm, cubic metre or gallon.
Here the fuel's heat content brings all of it to kWh of the higher heating value, so that a bill
is the same arithmetic for electricity, gas, propane and oil.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from math import inf

import numpy as np
from numpy.typing import NDArray

from heatersel.cost.calendar import BillingYear
from heatersel.errors import InputError
from heatersel.heaters.heater import EnergySource
from heatersel.job.money import FuelAmount, Money
from heatersel.job.tariff_table import CreditRow, DemandRow, EnergyRow, Rider, TariffTable
from heatersel.job.windows import Days, Window

__all__ = [
    "Component",
    "DemandCharge",
    "Drops",
    "Row",
    "Step",
    "Tariff",
    "flat_tariff",
    "tariff_of",
]

_LEAP_YEAR = tuple(dt.date(2000, 1, 1) + dt.timedelta(days=day) for day in range(366))


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A block of a price.

    Parameters
    ----------
    up_to_kwh : float
        Threshold; infinite for the last block. [kWh per month, or per day]
    by_day : bool
        Whether the threshold is per day, times the days of the month.
    per_kwh : float
        Price within the block; negative for a credit.
    """

    up_to_kwh: float = inf
    by_day: bool = False
    per_kwh: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A price within a window, in blocks of the month's use in that window."""

    name: str
    window: Window
    steps: tuple[Step, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """Rows that share out the hours of the year: the energy, its delivery, or a credit."""

    name: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DemandCharge:
    """A charge per kW of the month's highest hour within a window."""

    name: str
    window: Window
    per_kw: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Drops:
    """Fuel that comes by delivery.

    Parameters
    ----------
    size_kwh : float
        Usual delivery. [kWh]
    fee : float
        Paid with each delivery, with the extra for a short drop.
    """

    size_kwh: float
    fee: float


@dataclass(frozen=True, kw_only=True)
class Tariff:
    """A tariff of one energy source, per kWh.

    Parameters
    ----------
    name : str
        As on the utility's sheet.
    source : EnergySource
        What is sold.
    currency : str
        "USD" or "CAD".
    fixed_per_month, fixed_per_day : float
        Standing charge.
    components : tuple of Component
        Charges by unit.
    demand : tuple of DemandCharge
        Charges by highest hour.
    minimum_per_month, minimum_per_day : float
        Least that a month's charges come to, before riders.
    riders : tuple of Rider
        Taxes, riders and rebates, in order.
    drops : Drops or None
        Deliveries of propane or oil.
    heat_content_kwh_per_l : float or None
        Heat of what the meter counts as a litre, altitude included; None where it is not known,
        as for electricity. [kWh/L]
    holidays, time_zone : str or None
        Calendar of the windows, and time zone of the place. The windows are hours of the
        household's clock; the zone says how far that runs ahead of the sun's in summer.
    note : str
        Source and date, to show beside a bill.
    """

    name: str
    source: EnergySource
    currency: str
    fixed_per_month: float = 0.0
    fixed_per_day: float = 0.0
    components: tuple[Component, ...]
    demand: tuple[DemandCharge, ...] = ()
    minimum_per_month: float = 0.0
    minimum_per_day: float = 0.0
    riders: tuple[Rider, ...] = ()
    drops: Drops | None = None
    heat_content_kwh_per_l: float | None = None
    holidays: str | None = None
    time_zone: str | None = None
    note: str = ""

    @cached_property
    def by_hour(self) -> bool:
        """Whether any price depends on the hour or the kind of day."""
        windows = [row.window for component in self.components for row in component.rows]
        return bool(self.demand) or any(
            len(window.hours) < 24 or window.days is not Days.EVERY_DAY for window in windows
        )

    @cached_property
    def is_straight(self) -> bool:
        """Whether the heater's cost is in proportion to its energy: no blocks, least or peaks."""
        rows = [row for component in self.components for row in component.rows]
        return (all(len(row.steps) == 1 for row in rows) and not self.demand
                and not self.has_minimum)  # fmt: skip

    @property
    def has_minimum(self) -> bool:
        """Whether a month's charges have a least amount."""
        return self.minimum_per_month > 0 or self.minimum_per_day > 0

    def scaled(self, factor: float) -> Tariff:
        """Return the tariff with all charges by unit and by demand times `factor`."""
        components = tuple(
            replace(component, rows=tuple(
                replace(row, steps=tuple(
                    replace(step, per_kwh=step.per_kwh * factor) for step in row.steps))
                for row in component.rows))
            for component in self.components
        )  # fmt: skip
        demand = tuple(replace(charge, per_kw=charge.per_kw * factor) for charge in self.demand)
        return replace(self, components=components, demand=demand)


def flat_tariff(
    source: EnergySource,
    per_kwh: float,
    *,
    currency: str = "USD",
    fixed_per_month: float = 0.0,
    heat_content_kwh_per_l: float | None = None,
) -> Tariff:
    """Return a tariff of one price.

    Parameters
    ----------
    source : EnergySource
        What is sold.
    per_kwh : float
        Price on the higher heating value.
    currency : str
        "USD" or "CAD".
    fixed_per_month : float
        Standing charge.
    heat_content_kwh_per_l : float or None
        Heat of what the meter counts as a litre, where it is known. [kWh/L]
    """
    row = Row(name="flat", window=Window(), steps=(Step(per_kwh=per_kwh),))
    return Tariff(
        name="flat price", source=source, currency=currency, fixed_per_month=fixed_per_month,
        components=(Component(name="energy", rows=(row,)),),
        heat_content_kwh_per_l=heat_content_kwh_per_l,
    )  # fmt: skip


def tariff_of(
    table: TariffTable,
    source: EnergySource,
    heat_content_kwh_per_l: float | None = None,
    altitude_factor: float = 1.0,
) -> Tariff:
    """Return the tariff that a table of the job file states.

    Parameters
    ----------
    table : TariffTable
        The checked table.
    source : EnergySource
        What is sold.
    heat_content_kwh_per_l : float or None
        Heat of the fuel where the table gives none; needed if it bills by volume. [kWh/L]
    altitude_factor : float
        Of the meter, where the table gives none, 0.6 to 1. [-]

    Returns
    -------
    Tariff
        Prices per kWh. A gas meter at altitude that is not corrected for pressure counts more
        cubic feet for the same heat: the altitude factor lowers the heat content.

    Raises
    ------
    InputError
        If it bills by volume and the heat content is not known, as for electricity.
    """
    heat = table.heat_content_kwh_per_l or heat_content_kwh_per_l
    content = None if heat is None else heat * table.altitude_factor * altitude_factor
    fixed, least = table.fixed, table.minimum_bill
    return Tariff(
        name=table.name, source=source,
        currency=next(money.currency for _, money in table.money()),
        fixed_per_month=(fixed.amount if fixed and fixed.per == "month" else 0.0)
        + (table.tank_rent.amount / 12.0 if table.tank_rent else 0.0),
        fixed_per_day=fixed.amount if fixed and fixed.per == "day" else 0.0,
        components=_components(table, content),
        demand=_demand(table.demand),
        minimum_per_month=least.amount if least and least.per == "month" else 0.0,
        minimum_per_day=least.amount if least and least.per == "day" else 0.0,
        riders=table.rider, drops=_drops(table, content),
        heat_content_kwh_per_l=content, holidays=table.holidays, time_zone=table.time_zone,
        note=", ".join(filter(None, (table.source, str(table.effective or "")))),
    )  # fmt: skip


def _demand(rows: Sequence[DemandRow]) -> tuple[DemandCharge, ...]:
    return tuple(
        DemandCharge(
            name=row.name or ("demand" if len(rows) == 1 else f"demand {k}"),
            window=row.window, per_kw=row.price.amount,
        )
        for k, row in enumerate(rows, start=1)
    )  # fmt: skip


def _components(table: TariffTable, content: float | None) -> tuple[Component, ...]:
    parts = [
        Component(name=name, rows=tuple(_row(row, f"{name} {k}", content) for k, row in rows))
        for name, rows in (
            ("energy", enumerate(table.energy, start=1)),
            ("delivery", enumerate(table.delivery, start=1)),
            ("credit", enumerate(table.credit, start=1)),
        )
    ]
    return tuple(part for part in parts if part.rows)


def _row(row: EnergyRow | CreditRow, name: str, content: float | None) -> Row:
    if isinstance(row, CreditRow):
        steps = [_step(row.up_to, per_kwh(row.price, content), content)]
        steps += [Step(per_kwh=0.0)] if row.up_to else []
    else:
        steps = [_step(b.up_to, per_kwh(b.price, content), content) for b in row.steps]
    return Row(name=row.name or name, window=row.window, steps=tuple(steps))


def _step(up_to: FuelAmount | None, price: float, content: float | None) -> Step:
    if up_to is None:
        return Step(per_kwh=price)
    return Step(up_to_kwh=amount_kwh(up_to, content), by_day=up_to.days, per_kwh=price)


def _drops(table: TariffTable, content: float | None) -> Drops | None:
    if table.drop is None:
        return None
    size = amount_kwh(table.drop, content)
    least = amount_kwh(table.minimum_drop, content) if table.minimum_drop else 0.0
    short = table.short_drop_fee.amount if table.short_drop_fee and size < least else 0.0
    return Drops(size_kwh=size, fee=(table.drop_fee.amount if table.drop_fee else 0.0) + short)


def per_kwh(price: Money, heat_content_kwh_per_l: float | None) -> float:
    """Return a price per kWh; raise InputError if it is per volume and no heat is known."""
    if price.per == "kWh":
        return price.amount
    return price.amount / _known(heat_content_kwh_per_l)


def amount_kwh(amount: FuelAmount, heat_content_kwh_per_l: float | None) -> float:
    """Return an amount of fuel in kWh; raise InputError as :func:`per_kwh`."""
    if amount.per == "kWh":
        return amount.amount
    return amount.amount * _known(heat_content_kwh_per_l)


def _known(heat_content_kwh_per_l: float | None) -> float:
    if heat_content_kwh_per_l is None:
        raise InputError.of(
            "price", value="per volume", allowed="per energy",
            fix='electricity is billed by energy; an example is "0.14 USD/kWh"',
        )  # fmt: skip
    return heat_content_kwh_per_l


def row_of_hour(rows: Sequence[Row | DemandCharge], year: BillingYear) -> NDArray[np.intp]:
    """Return for each hour of the billing year the row that holds it, -1 for none."""
    table = _row_table(tuple(row.window for row in rows))
    return table[year.leap_day, year.is_off_day.astype(np.intp), year.hour]


@lru_cache(maxsize=256)
def _row_table(windows: tuple[Window, ...]) -> NDArray[np.intp]:
    """Return the row by day of a leap year, kind of day and hour; -1 where there is none."""
    table = np.full((len(_LEAP_YEAR), 2, 24), -1, dtype=np.intp)
    for index, window in enumerate(windows):
        days = [window.season.has(day.month, day.day) for day in _LEAP_YEAR]
        kinds = [window.days is not Days.WEEKENDS, window.days is not Days.WEEKDAYS]
        hours = np.isin(np.arange(24), window.hours)
        table[np.ix_(np.flatnonzero(days), np.flatnonzero(kinds), np.flatnonzero(hours))] = index
    return table
