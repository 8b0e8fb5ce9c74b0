"""What all options of a job have in common when their cost is found.

Prices the job gives are used as they stand. Where it gives none, the price of the region stands
in, with its date, less the standing charge that such an average contains.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from heatersel import reference, units
from heatersel.cost.bill import Bill, Use, household_bill
from heatersel.cost.calendar import billing_year
from heatersel.cost.finance import Finance
from heatersel.cost.installed import PresentHeater
from heatersel.cost.life_cycle import StudyTerms
from heatersel.cost.regional_prices import RegionalPrice, regional_price
from heatersel.cost.solar import SolarSurplus
from heatersel.cost.tariff import Tariff, amount_kwh, flat_tariff, per_kwh, tariff_of
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource, VentType
from heatersel.job.incentive_table import IncentiveTable
from heatersel.job.models import Fixture, Job, VentPresent
from heatersel.job.money import FuelAmount, Money
from heatersel.job.prices import Prices

__all__ = ["CostBasis", "cost_basis", "day_shape", "heat_content_kwh_per_l", "typical_use"]

_GASES = (EnergySource.NATURAL_GAS, EnergySource.PROPANE)
_BATHING = (Fixture.SHOWER, Fixture.BATHTUB, Fixture.SOAKING_TUB)
_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CostBasis:
    """Tariffs, other use, dates and terms of one job.

    Parameters
    ----------
    currency : str
        "USD" or "CAD".
    tariffs : mapping of EnergySource to Tariff
        Today's plan of each source.
    plans : mapping of EnergySource to tuple of Tariff
        Other plans the household could take.
    other_use : mapping of EnergySource to Use or None
        What the household uses beside hot water; None where the heater is the last appliance.
    other_bills : mapping of EnergySource to Bill or None
        The bills of that other use alone.
    bill_year : int
        Calendar year of the bills.
    terms : StudyTerms
        Discount rate, study period, escalation.
    incentives : tuple of IncentiveTable
        As entered.
    finance : Finance or None
        Loan for the installation.
    solar : SolarSurplus or None
        Own surplus the heater may use.
    purchase_date, installation_date : datetime.date or None
        Of the job.
    present : PresentHeater
        What stands there now.
    bathing_fixtures : int
        Showers and baths of the house.
    region : str
        State or province code.
    typical_use : frozenset of EnergySource
        Sources whose other use is typical of the region rather than given.
    notes : mapping of EnergySource to str
        What was assumed of each price.
    """

    currency: str
    tariffs: Mapping[EnergySource, Tariff]
    plans: Mapping[EnergySource, tuple[Tariff, ...]] = field(default_factory=dict)
    other_use: Mapping[EnergySource, Use | None]
    other_bills: Mapping[EnergySource, Bill | None]
    bill_year: int
    terms: StudyTerms
    incentives: tuple[IncentiveTable, ...] = ()
    finance: Finance | None = None
    solar: SolarSurplus | None = None
    purchase_date: dt.date | None = None
    installation_date: dt.date | None = None
    present: PresentHeater = field(default_factory=PresentHeater)
    bathing_fixtures: int = 1
    region: str = ""
    typical_use: frozenset[EnergySource] = frozenset()
    notes: Mapping[EnergySource, str] = field(default_factory=dict)

    def grid_use(self, source: EnergySource, use: Use) -> Use:
        """Return what the utility supplies of a use: the rest after own solar surplus."""
        if source is not EnergySource.ELECTRICITY or self.solar is None:
            return use
        return self.solar.grid_use(use)

    def export_forgone(self, source: EnergySource, use: Use) -> float:
        """Return what the utility no longer pays in a year for surplus that a use takes."""
        if source is not EnergySource.ELECTRICITY or self.solar is None:
            return 0.0
        return self.solar.forgone(use)


def cost_basis(job: Job) -> CostBasis:
    """Return what the costs of all options of a job rest on.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    CostBasis
        A price for each energy source: the job's own, or the region's.
    """
    region = job.prices.region or job.place.climate.rpartition(", ")[2]
    prices = job.prices.model_copy(update={"region": region})
    tariffs, plans, notes = {}, {}, {}
    for source in EnergySource:
        own = prices.price_of(source)
        if isinstance(own, tuple):
            heat, altitude = _heat_content(prices, source), _altitude_factor(prices, source)
            tables = [tariff_of(table, source, heat, altitude) for table in own]
            tariffs[source], plans[source] = tables[0], tuple(tables[1:])
        elif own is not None:
            tariffs[source] = _flat(prices, source, own)
        elif (regional := regional_price(region, source)).currency == prices.currency:
            tariffs[source] = _regional(prices, regional)
            notes[source] = (
                f"The price of {source.replace('_', ' ')} is that of the {regional.basis}"
                f" ({regional.period}), not this household's."
            )
    preferences = job.preferences
    power = tariffs.get(EnergySource.ELECTRICITY)
    clock = billing_year(prices.bill_year, power.time_zone if power else None)
    other = {source: _other_use(job, prices, tariff) for source, tariff in tariffs.items()}
    for source, use in other.items():
        if use is not None and any(p.by_hour for p in (tariffs[source], *plans.get(source, ()))):
            other[source] = use.shaped(day_shape("household"))
    return CostBasis(
        currency=prices.currency, tariffs=tariffs, plans=plans, notes=notes, region=region,
        typical_use=frozenset(
            s for s in tariffs if getattr(prices.other_use, s.value) is None and other[s]
        ),
        other_use=other, other_bills={
            source: None if use is None else household_bill(
                tariffs[source], use, prices.bill_year)
            for source, use in other.items()
        },
        bill_year=prices.bill_year, incentives=prices.incentive,
        terms=StudyTerms(
            discount_rate=preferences.discount_rate, study_years=preferences.study_years,
            inflation=prices.inflation,
            escalation={s: float(getattr(prices.escalation, s.value)) for s in EnergySource},
        ),
        finance=None if prices.finance is None else Finance(
            share=prices.finance.share, nominal_rate=prices.finance.rate,
            years=prices.finance.years,
            fee=prices.finance.fee.amount if prices.finance.fee else 0.0,
        ),
        solar=None if prices.solar is None else SolarSurplus(
            hourly_kwh=clock.by_clock(np.array(prices.solar.surplus)),
            export_per_kwh=prices.solar.export_price.amount if prices.solar.export_price else 0.0,
        ),
        purchase_date=prices.purchase_date, installation_date=prices.installation_date,
        present=_present(job),
        bathing_fixtures=max(1, sum(job.household.fixtures.of(kind) for kind in _BATHING)),
    )  # fmt: skip


def heat_content_kwh_per_l(source: EnergySource, country: str = "US") -> float | None:
    """Return the heat of a fuel on the higher heating value; None for electricity. [kWh/L]

    The figure is the one that datasets/fuels/heat_content marks as the country's default; a
    bill's own factor is better.
    """
    if source is EnergySource.ELECTRICITY:
        return None
    for row in reference.records("fuels/heat_content", {"heat_content": ""}):
        if row["energy_source"] == source and country in row["default_in"].split():
            return units.convert(row["heat_content"], row["unit"], "kWh/L")
    raise UnknownChoiceError.of("country", value=country, allowed="US or CA")


@lru_cache(maxsize=256)
def typical_use(source: EnergySource, region: str, country: str) -> Use:
    """Return what a household of a region typically uses beside hot water.

    Parameters
    ----------
    source : EnergySource
        Electricity or a fuel.
    region : str
        State or province code.
    country : str
        "US" or "CA", for a region without a row of its own.

    Returns
    -------
    Use
        By month. Rough: see datasets/costs/typical_use for what each figure holds.
    """
    amounts = {
        (row["region"], row["fuel"]): row["amount"]
        for row in reference.records("costs/typical_use", {"amount": "kWh"})
    }
    national = amounts["CANADA" if country == "CA" else "US", source.value]
    mean = amounts.get((region, source.value), national)
    shapes = reference.records("costs/month_shape", dict.fromkeys(_MONTHS, ""))
    shape = next(row for row in shapes if row["fuel"] == source)
    return Use(monthly_kwh=mean * np.array([shape[month] for month in _MONTHS]))


@lru_cache(maxsize=2)
def day_shape(name: str) -> NDArray[np.float64]:
    """Return how a day's electricity lies over its hours where that is not known, mean 1.

    `name` is "hot_water" or "household"; see datasets/costs/day_shape, which is rough.
    """
    rows = reference.records("costs/day_shape", {name: ""})
    return np.array([row[name] for row in rows])


def _heat_content(prices: Prices, source: EnergySource) -> float | None:
    usual = heat_content_kwh_per_l(source, "CA" if prices.currency == "CAD" else "US")
    if source is not EnergySource.NATURAL_GAS:
        return usual
    return prices.gas_heat_content_kwh_per_l or usual


def _altitude_factor(prices: Prices, source: EnergySource) -> float:
    return prices.gas_altitude_factor if source is EnergySource.NATURAL_GAS else 1.0


def _metered_content(prices: Prices, source: EnergySource) -> float | None:
    heat = _heat_content(prices, source)
    return None if heat is None else heat * _altitude_factor(prices, source)


def _flat(prices: Prices, source: EnergySource, price: Money) -> Tariff:
    content = _metered_content(prices, source)
    return flat_tariff(
        source, per_kwh(price, content), currency=price.currency,
        fixed_per_month=_fixed_per_month(prices, source) or 0.0, heat_content_kwh_per_l=content,
    )  # fmt: skip


def _fixed_per_month(prices: Prices, source: EnergySource) -> float | None:
    charge: Money | None = getattr(prices.fixed_charge, source.value)
    if charge is None:
        return None
    return charge.amount * (units.convert(1.0, "month", "day") if charge.per == "day" else 1.0)


def _regional(prices: Prices, price: RegionalPrice) -> Tariff:
    """Return a flat tariff whose bill at typical use has the region's average price."""
    content = _metered_content(prices, price.energy_source)
    currency, unit = price.unit.split("/")
    energy = unit in ("kWh", "therm", "GJ")
    amount = units.convert(price.amount, price.unit, f"{currency}/{'kWh' if energy else 'L'}")
    average = amount if energy else amount / (content or 1.0)
    country = "CA" if currency == "CAD" else "US"
    use = float(np.mean(typical_use(price.energy_source, price.region, country).monthly_kwh))
    fixed = _fixed_per_month(prices, price.energy_source)
    fixed = price.fixed_charge_per_month if fixed is None else fixed
    marginal = max(average - fixed / use, 0.5 * average)
    return flat_tariff(
        price.energy_source, marginal, currency=currency, fixed_per_month=fixed,
        heat_content_kwh_per_l=content,
    )  # fmt: skip


def _other_use(job: Job, prices: Prices, today: Tariff) -> Use | None:
    """Return what else the household uses, a volume at the heat of the tariff that bills it."""
    source = today.source
    electric = source is EnergySource.ELECTRICITY
    given: tuple[FuelAmount, ...] | None = getattr(prices.other_use, source.value)
    if given is not None:
        days = billing_year(2001).days_in_month
        months = [
            amount_kwh(amount, today.heat_content_kwh_per_l) * (days[month] if amount.days else 1.0)
            for month, amount in enumerate(given * (12 // len(given)))
        ]
        return Use(monthly_kwh=np.array(months)) if electric or sum(months) > 0 else None
    if not electric and source not in job.fuels:
        return None
    if source in _GASES and job.home.other_gas_input_kw == 0.0:
        return None
    return typical_use(source, prices.region or "", "CA" if prices.currency == "CAD" else "US")


def _present(job: Job) -> PresentHeater:
    existing, panel = job.existing, job.home.panel
    if existing is None:
        return PresentHeater()
    return PresentHeater(
        kind=existing.kind, energy_source=existing.energy_source, vent_type=_vent_now(job),
        vent_is_known=job.home.vent is not None,
        has_circuit_240v=bool(panel and panel.heater_breaker_a),
        has_outlet_120v=bool(panel and panel.outlet_120v),
    )  # fmt: skip


def _vent_now(job: Job) -> VentType | None:
    """Return how the present heater is vented, where the job says so."""
    if job.existing is None or job.existing.energy_source is EnergySource.ELECTRICITY:
        return None
    oil = job.existing.energy_source is EnergySource.FUEL_OIL
    natural = VentType.BAROMETRIC if oil else VentType.DRAFT_HOOD
    return {
        VentPresent.MASONRY_CHIMNEY: natural, VentPresent.LINED_CHIMNEY: natural,
        VentPresent.B_VENT: natural, VentPresent.PLASTIC_VENT: VentType.POWER_VENT,
        VentPresent.STAINLESS_VENT: VentType.DIRECT_VENT,
    }.get(job.home.vent) if job.home.vent else None  # fmt: skip
