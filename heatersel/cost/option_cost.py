"""What one option costs to buy, to run and to own."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from heatersel.cost.basis import CostBasis, cost_basis
from heatersel.cost.bill import HeaterBill, Use, heater_bill
from heatersel.cost.incentives import AppliedIncentive, apply_incentives
from heatersel.cost.installed import (
    InstalledLine,
    installed_cost,
    replacement_cost,
    total,
    upkeep,
)
from heatersel.cost.life_cycle import Ownership, life_cycle_cost
from heatersel.cost.uncertainty import Band
from heatersel.errors import InputError
from heatersel.heaters.heater import EnergySource, Heater
from heatersel.simulation.result import AnnualResult

__all__ = ["CostBasis", "OptionCost", "cost_basis", "option_cost", "with_bands"]


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionCost:
    """Cost of one option, in the currency of the job.

    Parameters
    ----------
    currency : str
        "USD" or "CAD".
    energy_per_year : mapping of EnergySource to float
        What the heater adds to each bill, without standing charges.
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
    ownership : Ownership
        What the life-cycle method takes in.
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
    fixed_per_year: float
    maintenance_per_year: float
    total_per_year: float
    installed: float
    installed_lines: tuple[InstalledLine, ...]
    incentives: tuple[AppliedIncentive, ...]
    bills: Mapping[EnergySource, HeaterBill]
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
            "fixed_per_year": self.fixed_per_year,
            "maintenance_per_year": self.maintenance_per_year,
            "total_per_year": self.total_per_year,
            "installed": self.installed,
            "installed_lines": [
                {"id": line.id, "text": line.text, "amount": line.amount, "repeats": line.repeats}
                for line in self.installed_lines
            ],
            "incentives": [incentive.as_dict() for incentive in self.incentives],
            "life_years": self.life_years,
            "life_cycle": self.life_cycle,
            "life_cycle_p10": self.life_cycle_p10,
            "life_cycle_p90": self.life_cycle_p90,
            "cheapest_probability": self.cheapest_probability,
            "notes": list(self.notes),
        }


def option_cost(
    basis: CostBasis, heater: Heater, annual: AnnualResult, remedies: Iterable[str] = ()
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

    Returns
    -------
    OptionCost
        Without a band; see :func:`with_bands`.

    Raises
    ------
    InputError
        If a source it uses has no price.
    """
    bills = {source: _bill(basis, source, annual) for source in annual.monthly_kwh}
    lines = installed_cost(
        heater, currency=basis.currency, existing_source=basis.existing_source,
        existing_vent=basis.existing_vent, remedies=remedies,
    )  # fmt: skip
    incentives = apply_incentives(
        basis.incentives, heater, lines,
        purchase_date=basis.purchase_date, installation_date=basis.installation_date,
    )  # fmt: skip
    keeping = upkeep(heater.heater_class, basis.currency)
    energy = {source: bill.energy_per_year for source, bill in bills.items()}
    fixed = sum(bill.fixed_per_year for bill in bills.values())
    ownership = Ownership(
        installed=total(lines) - sum(item.price_cut for item in incentives),
        replacement=replacement_cost(lines), life_years=keeping.life_years,
        energy_per_year=energy, fixed_per_year=fixed,
        maintenance_per_year=keeping.maintenance_per_year,
        later_cash=tuple((i.after_years, i.later_cash) for i in incentives if i.later_cash),
    )  # fmt: skip
    return OptionCost(
        currency=basis.currency, energy_per_year=energy, fixed_per_year=fixed,
        maintenance_per_year=keeping.maintenance_per_year,
        total_per_year=ownership.running_per_year, installed=ownership.installed,
        installed_lines=lines, incentives=incentives, bills=bills, ownership=ownership,
        life_years=keeping.life_years, life_cycle=life_cycle_cost(ownership, basis.terms),
        notes=tuple(basis.notes[source] for source in bills if source in basis.notes),
    )  # fmt: skip


def with_bands(costs: Sequence[OptionCost], bands: Sequence[Band]) -> tuple[OptionCost, ...]:
    """Return the costs with the bands that were drawn for them together."""
    return tuple(replace(cost, band=band) for cost, band in zip(costs, bands, strict=True))


def _bill(basis: CostBasis, source: EnergySource, annual: AnnualResult) -> HeaterBill:
    if source not in basis.tariffs:
        raise InputError.of(
            f"prices.{source}", value="missing", allowed="a price, a tariff, or a region",
            fix=f'an example is {source} = "1.10 USD/therm"' if source != "electricity"
            else 'an example is electricity = "0.14 USD/kWh"',
        )  # fmt: skip
    hourly = annual.hourly_kwh.get(source) if annual.hourly_kwh else None
    use = Use(monthly_kwh=annual.monthly_kwh[source], hourly_kwh=hourly)
    if source is EnergySource.ELECTRICITY and basis.solar is not None:
        use = basis.solar.grid_use(use)
    return heater_bill(basis.tariffs[source], use, basis.other_use[source], basis.bill_year,
                       without=basis.other_bills[source])  # fmt: skip
