"""What one option costs to buy, to run and to own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatersel.cost.basis import CostBasis, cost_basis, day_shape
from heatersel.cost.bill import HeaterBill, Use, heater_bill
from heatersel.cost.finance import financed, monthly_payment
from heatersel.cost.incentives import AppliedIncentive, apply_incentives
from heatersel.cost.installed import (
    InstalledLine,
    installed_cost,
    maintenance_per_year,
    replacement_cost,
    total,
    upkeep,
)
from heatersel.cost.life_cycle import Ownership, life_cycle_cost
from heatersel.cost.tariff import Tariff
from heatersel.cost.uncertainty import Band
from heatersel.errors import InputError
from heatersel.heaters.heater import EnergySource, Heater
from heatersel.simulation.result import AnnualResult

__all__ = [
    "CostBasis",
    "OptionCost",
    "Purchase",
    "cost_basis",
    "energy_cost",
    "grid_price",
    "grows_straight",
    "option_cost",
    "purchase",
]

_HOURS_NOTE = (
    "The hours at which it runs are not known: the bill takes the usual hours of hot water."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionCost:
    """Cost of one option, in the currency of the job.

    Parameters
    ----------
    currency : str
        "USD" or "CAD".
    energy_per_year : mapping of EnergySource to float
        What the heater adds to each bill, without standing charges.
    space_per_year : mapping of EnergySource to float
        What it adds to the cost of heating and cooling the house (negative: saves), by source.
    fixed_per_year : float
        Standing charges that this heater alone keeps alive.
    maintenance_per_year, total_per_year : float
        Upkeep; sum of the three.
    installed : float
        Price of the installation, after price cuts.
    installed_lines : tuple of InstalledLine
        What it is made of, before incentives.
    incentives : tuple of AppliedIncentive
        Each incentive of the job: applied, or why not.
    bills : mapping of EnergySource to HeaterBill
        Bills by month with and without the heater.
    uses : mapping of EnergySource to Use
        What the heater takes of each source, own solar surplus included.
    export_forgone_per_year : float
        Payment for own solar surplus that is lost because the heater takes it; contained in the
        energy cost.
    monthly_payment : float or None
        Of the loan for the installation, where there is one.
    ownership : Ownership
        What the life-cycle method takes in, loan and later cash included.
    life_years : float
        Mean life. [yr]
    life_cycle : float
        Life-cycle cost over the study.
    band : Band or None
        Spread of the life-cycle cost; None until all options have been drawn together.
    notes : tuple of str
        What was assumed.
    """

    currency: str
    energy_per_year: Mapping[EnergySource, float]
    space_per_year: Mapping[EnergySource, float]
    fixed_per_year: float
    maintenance_per_year: float
    total_per_year: float
    installed: float
    installed_lines: tuple[InstalledLine, ...]
    incentives: tuple[AppliedIncentive, ...]
    bills: Mapping[EnergySource, HeaterBill]
    uses: Mapping[EnergySource, Use]
    export_forgone_per_year: float = 0.0
    monthly_payment: float | None = None
    ownership: Ownership
    life_years: float
    life_cycle: float
    band: Band | None = None
    notes: tuple[str, ...] = ()

    @property
    def life_cycle_p10(self) -> float | None:
        """Life-cycle cost that one future in ten stays below."""
        return None if self.band is None else self.band.p10

    @property
    def life_cycle_p90(self) -> float | None:
        """Life-cycle cost that one future in ten goes beyond."""
        return None if self.band is None else self.band.p90

    @property
    def cheapest_probability(self) -> float | None:
        """Share of the drawn futures in which this option costs least to own."""
        return None if self.band is None else self.band.cheapest_probability

    def as_dict(self) -> dict[str, Any]:
        """Return the cost as the JSON contract has it."""
        return {
            "currency": self.currency,
            "energy_per_year": {str(source): cost for source, cost in self.energy_per_year.items()},
            "space_per_year": {str(source): cost for source, cost in self.space_per_year.items()},
            "fixed_per_year": self.fixed_per_year,
            "maintenance_per_year": self.maintenance_per_year,
            "total_per_year": self.total_per_year,
            "installed": self.installed,
            "installed_lines": [
                {"id": line.id, "text": line.text, "amount": line.amount, "repeats": line.repeats}
                for line in self.installed_lines
            ],
            "monthly_payment": self.monthly_payment,
            "export_forgone_per_year": self.export_forgone_per_year,
            "incentives": [incentive.as_dict() for incentive in self.incentives],
            "life_years": self.life_years,
            "life_cycle": self.life_cycle,
            "life_cycle_p10": self.life_cycle_p10,
            "life_cycle_p90": self.life_cycle_p90,
            "cheapest_probability": self.cheapest_probability,
            "notes": list(self.notes),
        }


def option_cost(
    basis: CostBasis,
    heater: Heater,
    annual: AnnualResult,
    remedies: Iterable[str] = (),
    *,
    descaling_months: float | None = None,
) -> OptionCost:
    """Return what an option costs.

    Parameters
    ----------
    basis : CostBasis
        Tariffs, other use and terms of the job.
    heater : Heater
        The option.
    annual : AnnualResult
        Its year of energy.
    remedies : iterable of str
        Work that its cautions call for.
    descaling_months : float or None
        Time between two descalings of it, None where that is not known. [month]

    Returns
    -------
    OptionCost
        Without a band; see :func:`heatersel.cost.drawn.with_bands`.

    Raises
    ------
    InputError
        If a source it uses has no price.
    """
    uses = {source: _taken(basis, source, annual) for source in annual.monthly_kwh}
    bills = {source: _billed(basis, source, use) for source, use in uses.items()}
    lines = installed_cost(
        heater, currency=basis.currency, present=basis.present, remedies=remedies,
        bathing_fixtures=basis.bathing_fixtures,
    )  # fmt: skip
    keeping = upkeep(heater.heater_class, basis.currency)
    lost = {source: basis.export_forgone(source, use) for source, use in uses.items()}
    energy = {source: bill.energy_per_year + lost[source] for source, bill in bills.items()}
    space = _space_cost(basis, annual)
    both = {s: energy.get(s, 0.0) + space.get(s, 0.0) for s in (*energy, *space)}
    running = Ownership(
        installed=total(lines), replacement=replacement_cost(lines), life_years=keeping.life_years,
        energy_per_year=both, fixed_per_year=sum(bill.fixed_per_year for bill in bills.values()),
        maintenance_per_year=maintenance_per_year(heater, basis.currency, descaling_months),
    )  # fmt: skip
    bought = purchase(basis, heater, lines, running)
    return OptionCost(
        currency=basis.currency,
        energy_per_year=energy,
        space_per_year=space,
        fixed_per_year=running.fixed_per_year,
        maintenance_per_year=running.maintenance_per_year,
        total_per_year=running.running_per_year,
        installed=bought.ownership.installed,
        installed_lines=lines,
        incentives=bought.incentives,
        monthly_payment=bought.monthly_payment,
        bills=bills,
        uses=uses,
        export_forgone_per_year=sum(lost.values()),
        ownership=bought.ownership,
        life_years=keeping.life_years,
        life_cycle=life_cycle_cost(bought.ownership, basis.terms),
        notes=(
            *(basis.notes[source] for source in bills if source in basis.notes),
            *(_HOURS_NOTE for source in bills if _hours_assumed(basis, source, annual)),
        ),
    )


_SAMPLE_KWH = 50.0  # a month; small against a house, so it is billed at the margin


def _space_cost(basis: CostBasis, annual: AnnualResult) -> dict[EnergySource, float]:
    """Return what the house's heating and cooling cost more on the heater's account.

    Priced at the margin of each month over the household's other use, by the usual hours: heating
    is a matter of winter and cooling one of summer, and a tariff may tell the two apart.
    """
    return {
        source: float(_margins_per_kwh(basis, source) @ months)
        for source, months in annual.space_monthly_kwh.items()
        if source in basis.tariffs
    }


@lru_cache(maxsize=8)  # every option of a house asks for the same
def _margins_per_kwh(basis: CostBasis, source: EnergySource) -> NDArray[np.float64]:
    """Return what a further kWh of a source costs in each month, lost exports included."""
    sample = _sample(basis.tariffs[source])
    bill = _billed(basis, source, sample)
    cost = bill.monthly - bill.standing
    if basis.tariffs[source].drops is not None:
        # The bill of a delivered fuel falls in the month of the load, not in that of its use.
        cost = np.full(12, np.mean(cost))
    if source is EnergySource.ELECTRICITY and basis.solar is not None:
        own_kwh = sample.monthly_kwh - basis.grid_use(source, sample).monthly_kwh
        cost = cost + basis.solar.export_per_kwh * own_kwh
    return cost / _SAMPLE_KWH


def _sample(tariff: Tariff) -> Use:
    use = Use(monthly_kwh=np.full(12, _SAMPLE_KWH))
    return use.shaped(day_shape("hot_water")) if tariff.by_hour else use


def grid_price(basis: CostBasis, source: EnergySource) -> float:
    """Return what the bill asks for a further kWh beside the household's other use.

    Parameters
    ----------
    basis : CostBasis
        Tariffs and other use.
    source : EnergySource
        What is bought.

    Returns
    -------
    float
        Charges by unit with their taxes, mean of the year at the usual hours of hot water. Least
        bills and demand charges are left out: they are no price of a kWh.
    """
    tariff = basis.tariffs[source]
    sample = _sample(tariff)
    by_unit = replace(tariff, demand=(), minimum_per_month=0.0, minimum_per_day=0.0)
    bill = heater_bill(by_unit, sample, basis.other_use[source], basis.bill_year)
    return bill.energy_per_year / (12.0 * _SAMPLE_KWH)


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """A price after incentives, and how it is paid.

    Parameters
    ----------
    incentives : tuple of AppliedIncentive
        Each incentive of the job: applied, or why not.
    ownership : Ownership
        With price cuts, later cash and loan.
    monthly_payment : float or None
        Of the loan, where there is one.
    """

    incentives: tuple[AppliedIncentive, ...]
    ownership: Ownership
    monthly_payment: float | None


def purchase(
    basis: CostBasis, heater: Heater, lines: Sequence[InstalledLine], full: Ownership
) -> Purchase:
    """Return what incentives and loan of the job make of a price.

    Parameters
    ----------
    basis : CostBasis
        Incentives, dates, loan and terms.
    heater : Heater
        The option.
    lines : sequence of InstalledLine
        Its price.
    full : Ownership
        Its costs at the full price, in cash.
    """
    incentives = apply_incentives(
        basis.incentives, heater, lines,
        purchase_date=basis.purchase_date, installation_date=basis.installation_date,
        currency=basis.currency, study_years=basis.terms.study_years,
    )  # fmt: skip
    cash = replace(
        full, installed=full.installed - sum(item.price_cut for item in incentives),
        later_cash=tuple((i.after_years, i.later_cash) for i in incentives if i.later_cash),
    )  # fmt: skip
    loan = basis.finance
    if loan is None:
        return Purchase(incentives=incentives, ownership=cash, monthly_payment=None)
    return Purchase(
        incentives=incentives, ownership=financed(cash, loan, basis.terms),
        monthly_payment=monthly_payment(cash.installed * loan.share, loan),
    )  # fmt: skip


def energy_cost(basis: CostBasis, source: EnergySource, use: Use) -> float:
    """Return what energy of a source costs a heater in a year, exports forgone for it included.

    Parameters
    ----------
    basis : CostBasis
        Tariffs, other use and own solar surplus.
    source : EnergySource
        The source.
    use : Use
        What the heater takes of it.

    Returns
    -------
    float
        Without standing charges.
    """
    return _billed(basis, source, use).energy_per_year + basis.export_forgone(source, use)


def grows_straight(basis: CostBasis, source: EnergySource) -> bool:
    """Return whether that cost is in proportion to the energy."""
    sunny = source is EnergySource.ELECTRICITY and basis.solar is not None
    return basis.tariffs[source].is_straight and not sunny


def _taken(basis: CostBasis, source: EnergySource, annual: AnnualResult) -> Use:
    """Return what the heater takes, by the usual hours of hot water where hours are not known.

    Raises InputError where the source has no price.
    """
    if source not in basis.tariffs:
        raise InputError.of(
            f"prices.{source}", value="missing", allowed="a price, a tariff, or a region",
            fix=f'an example is {source} = "1.10 USD/therm"' if source != "electricity"
            else 'an example is electricity = "0.14 USD/kWh"',
        )  # fmt: skip
    hourly = annual.hourly_kwh.get(source) if annual.hourly_kwh else None
    use = Use(monthly_kwh=annual.monthly_kwh[source], hourly_kwh=hourly)
    return use.shaped(day_shape("hot_water")) if _hours_assumed(basis, source, annual) else use


def _hours_assumed(basis: CostBasis, source: EnergySource, annual: AnnualResult) -> bool:
    """Return whether hours matter to the bill and the year of energy does not know them."""
    by_hour = any(p.by_hour for p in (basis.tariffs[source], *basis.plans.get(source, ())))
    solar = source is EnergySource.ELECTRICITY and basis.solar is not None
    return (by_hour or solar) and not (annual.hourly_kwh and source in annual.hourly_kwh)


def _billed(basis: CostBasis, source: EnergySource, use: Use) -> HeaterBill:
    return heater_bill(basis.tariffs[source], basis.grid_use(source, use), basis.other_use[source],
                       basis.bill_year, without=basis.other_bills[source])  # fmt: skip
