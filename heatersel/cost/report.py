"""The cost of all options in full: bills, ledger, bands, break-even prices, and in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from heatersel.cost.basis import CostBasis
from heatersel.cost.bill import household_bill
from heatersel.cost.break_even import (
    PriceLine,
    PriceMap,
    PriceRange,
    cheapest_range,
    price_lines,
    price_map,
    prices_today,
)
from heatersel.cost.drawn import leads_over, uncertain, with_bands
from heatersel.cost.emissions import EmissionFactors, co2_kg_by_year, refrigerant_leak
from heatersel.cost.life_cycle import LedgerYear, equivalent_annual_cost, ledger
from heatersel.cost.option_cost import OptionCost
from heatersel.cost.savings import Savings, savings_against
from heatersel.cost.sensitivity import Influence, influences
from heatersel.cost.uncertainty import N_DRAWS, Ranges
from heatersel.cost.words import PlanYear, sentences
from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource, Heater

__all__ = ["CostReport", "OptionReport", "PlanYear", "Priced", "cost_report", "like_for_like"]

_FUELS = (EnergySource.NATURAL_GAS, EnergySource.PROPANE, EnergySource.FUEL_OIL)


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """A heater with its cost and its energy of a year.

    Parameters
    ----------
    heater : Heater
        The option.
    cost : OptionCost
        Its cost.
    energy_kwh : mapping of EnergySource to float
        Site energy of a year. [kWh]
    space_kwh : mapping of EnergySource to float
        Energy of the house's heating and cooling on its account; less is negative. [kWh]
    """

    heater: Heater
    cost: OptionCost
    energy_kwh: Mapping[EnergySource, float]
    space_kwh: Mapping[EnergySource, float] = field(default_factory=dict)

    @property
    def whole_kwh(self) -> dict[EnergySource, float]:
        """Both together. [kWh]"""
        return {
            source: self.energy_kwh.get(source, 0.0) + self.space_kwh.get(source, 0.0)
            for source in (*self.energy_kwh, *self.space_kwh)
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionReport:
    """Everything about the cost of one option.

    Parameters
    ----------
    id, name : str
        The option.
    cost : OptionCost
        With its band.
    ledger : tuple of LedgerYear
        Year by year.
    co2_kg_by_year : tuple of float
        Emissions of each year of the study. [kg]
    annual_equivalent : float
        The level yearly payment that is worth the life-cycle cost.
    savings : Savings or None
        Against the like-for-like replacement.
    ranges : tuple of PriceRange
        Prices between which it is the cheapest, one per energy source in play.
    influences : tuple of Influence
        What moves its lead over the next best, the strongest first; of the cheapest option only.
    plans : tuple of PlanYear
        The household's whole bill with this option on each plan of the job, today's first.
    sentences : tuple of str
        The same for the customer.
    """

    id: str
    name: str
    cost: OptionCost
    ledger: tuple[LedgerYear, ...]
    co2_kg_by_year: tuple[float, ...]
    annual_equivalent: float
    savings: Savings | None
    ranges: tuple[PriceRange, ...]
    influences: tuple[Influence, ...]
    plans: tuple[PlanYear, ...]
    sentences: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """Return it as the JSON contract of `cost` has it."""
        band = self.cost.band
        return {
            "id": self.id,
            "name": self.name,
            "currency": self.cost.currency,
            "bill_by_month": {
                str(source): [float(month) for month in bill.monthly]
                for source, bill in self.cost.bills.items()
            },
            "bill_parts_by_month": {
                str(source): {
                    "with_heater": _parts(bill.with_heater.parts),
                    "without_heater": _parts(bill.without_heater.parts),
                }
                for source, bill in self.cost.bills.items()
            },
            "ledger": [_ledger_dict(year) for year in self.ledger],
            "life_cycle": self.cost.life_cycle,
            "equivalent_annual_cost": self.annual_equivalent,
            "p10": band.p10 if band else None,
            "p50": band.p50 if band else None,
            "p90": band.p90 if band else None,
            "p50_error": band.p50_error if band else None,
            "cheapest_probability": band.cheapest_probability if band else None,
            "cheapest_probability_error": band.probability_error if band else None,
            "regret": band.regret if band else None,
            "n_futures": band.n_draws if band else None,
            "cost": self.cost.as_dict(),
            "savings": self.savings.as_dict() if self.savings else None,
            "cheapest_between": [price.as_dict() for price in self.ranges],
            "influences": [item.as_dict() for item in self.influences],
            "plans": [plan.as_dict() for plan in self.plans],
            "co2_kg_by_year": list(self.co2_kg_by_year),
            "co2_kg_in_all": sum(self.co2_kg_by_year),
            "sentences": list(self.sentences),
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class CostReport:
    """The cost of all options of a job.

    Parameters
    ----------
    options : tuple of OptionReport
        The cheapest to own first.
    baseline_id : str or None
        The like-for-like replacement that savings are counted against.
    price_map : PriceMap or None
        Cheapest option by electricity and fuel price, where both are in play.
    emissions : EmissionFactors or None
        How they are counted; None where they are not.
    assumptions : mapping
        Ranges of the drawn inputs, discount rate, study period, bill year, seed.
    """

    options: tuple[OptionReport, ...]
    baseline_id: str | None
    price_map: PriceMap | None
    emissions: EmissionFactors | None
    assumptions: Mapping[str, Any]

    def option(self, option_id: str) -> OptionReport:
        """Return one option; raise UnknownChoiceError if it is not there."""
        for option in self.options:
            if option.id == option_id:
                return option
        raise UnknownChoiceError.of(
            "option", value=option_id, allowed=", ".join(option.id for option in self.options),
            fix="use one of the options that compete; compare --show-excluded says why others do"
            " not",
        )  # fmt: skip

    def as_dict(self) -> dict[str, Any]:
        """Return it as the JSON contract of `cost` has it."""
        return {
            "schema": "heatersel.cost/1",
            "options": [option.as_dict() for option in self.options],
            "baseline": self.baseline_id,
            "price_map": self.price_map.as_dict() if self.price_map else None,
            "emissions": self.emissions.as_dict() if self.emissions else None,
            "assumptions": dict(self.assumptions),
        }

    def bill_rows(self) -> tuple[dict[str, Any], ...]:
        """Return the bills as rows of a table: option, source, month, charge, with and without."""
        return tuple(
            {"option": option.id, "energy_source": str(source), "month": month + 1,
             "charge": charge,
             "with_heater": _month(bill.with_heater.parts, charge, month),
             "without_heater": _month(bill.without_heater.parts, charge, month)}
            for option in self.options
            for source, bill in option.cost.bills.items()
            for charge in dict.fromkeys((*bill.with_heater.parts, *bill.without_heater.parts))
            for month in range(12)
        )  # fmt: skip

    def ledger_rows(self) -> tuple[dict[str, Any], ...]:
        """Return the ledgers as rows of a table: one per option and year."""
        return tuple(
            {"option": option.id, **_ledger_dict(year)}
            for option in self.options
            for year in option.ledger
        )


def cost_report(
    basis: CostBasis,
    options: Sequence[Priced],
    *,
    baseline_id: str | None = None,
    emissions: EmissionFactors | None = None,
    ranges: Ranges | None = None,
    n_draws: int = N_DRAWS,
    seed: int = 1,
) -> CostReport:
    """Return the cost of the options that compete, the cheapest to own first.

    Parameters
    ----------
    basis : CostBasis
        What their costs were found with.
    options : sequence of Priced
        Feasible and adequate options.
    baseline_id : str or None
        The like-for-like replacement; see :func:`like_for_like`.
    emissions : EmissionFactors or None
        To count emissions over the study.
    ranges : Ranges, optional
        How far inputs may be off.
    n_draws, seed : int
        Futures drawn, and from where.

    Returns
    -------
    CostReport
        Empty of options if none competes.
    """
    costs = with_bands(basis, [(o.heater, o.cost) for o in options], ranges=ranges,
                       n_draws=n_draws, seed=seed)  # fmt: skip
    ranked = sorted(
        zip(options, costs, strict=True), key=lambda item: (item[1].life_cycle, item[0].heater.id)
    )
    lines = price_lines(basis, [(o.heater.id, cost) for o, cost in ranked])
    today = prices_today(basis, costs)
    drawn = [(o.heater, cost) for o, cost in ranked]
    base = next((item for item in drawn if item[0].id == baseline_id), None)
    leads = () if base is None else leads_over(basis, base, drawn, ranges=ranges,
                                               n_draws=n_draws, seed=seed)  # fmt: skip
    reports = []
    for place, (option, cost) in enumerate(ranked):
        found = tuple(cheapest_range(lines, option.heater.id, s, today[s]) for s in today)
        plans = _plans(basis, cost)
        saved, lead = None, None
        if base is not None and option.heater.id != baseline_id:
            saved = savings_against(base[1].ownership, cost.ownership, basis.terms)
            lead = leads[place]
        reports.append(
            OptionReport(
                id=option.heater.id,
                name=option.heater.name,
                cost=cost,
                ledger=ledger(cost.ownership, basis.terms),
                co2_kg_by_year=() if emissions is None else co2_kg_by_year(
                    option.whole_kwh, emissions, basis.terms.study_years,
                    refrigerant_leak(option.heater, emissions, cost.life_years)),
                annual_equivalent=equivalent_annual_cost(cost.life_cycle, basis.terms),
                savings=saved,
                ranges=found,
                influences=_influences(basis, ranked, ranges) if place == 0 else (),
                plans=plans,
                sentences=sentences(cost, saved, found, plans, basis, lead),
            )
        )  # fmt: skip
    return CostReport(
        options=tuple(reports), baseline_id=baseline_id if base else None,
        price_map=_map(lines, today), emissions=emissions,
        assumptions=_assumptions(basis, ranges, n_draws, seed),
    )  # fmt: skip


def like_for_like(options: Sequence[Priced], existing: Heater | None) -> str | None:
    """Return the option that replaces what stands there by its like; None if there is none.

    Same kind, source and vent where there is one, else same kind and source; of several the one
    nearest in volume (tankless: in input), then the cheaper to put in.
    """
    if existing is None:
        return None
    alike = [o for o in options if o.heater.kind is existing.kind
             and o.heater.energy_source is existing.energy_source]  # fmt: skip
    alike = [o for o in alike if o.heater.vent_type is existing.vent_type] or alike

    def distance(option: Priced) -> tuple[float, float]:
        volume = abs(option.heater.volume_l - existing.volume_l)
        size = abs(option.heater.input_kw - existing.input_kw) if existing.is_tankless else volume
        return round(size), option.cost.installed

    return min(alike, key=distance).heater.id if alike else None


def _influences(
    basis: CostBasis, ranked: Sequence[tuple[Priced, OptionCost]], ranges: Ranges | None
) -> tuple[Influence, ...]:
    """Return what moves the lead of the cheapest option over the next of another class."""
    (best, best_cost), *others = ranked
    own_class = best.heater.heater_class
    rival = next((item for item in others if item[0].heater.heater_class is not own_class), None)
    if rival is None:
        return ()
    ours = uncertain(basis, best.heater, best_cost)
    theirs = uncertain(basis, rival[0].heater, rival[1])
    return influences(ours, theirs, basis.terms, ranges)


def _plans(basis: CostBasis, cost: OptionCost) -> tuple[PlanYear, ...]:
    """Return the whole bill on each plan, for sources with more than one plan."""
    found = []
    for source, others in basis.plans.items():
        if not others or source not in cost.uses:
            continue
        other, own = basis.other_use[source], basis.grid_use(source, cost.uses[source])
        use = own if other is None else other + own
        found += [
            PlanYear(source=source, plan=plan.name,
                     per_year=household_bill(plan, use, basis.bill_year).annual)
            for plan in (basis.tariffs[source], *others)
        ]  # fmt: skip
    return tuple(found)


def _map(lines: Sequence[PriceLine], today: Mapping[EnergySource, float]) -> PriceMap | None:
    fuel = next((source for source in _FUELS if source in today), None)
    if fuel is None or EnergySource.ELECTRICITY not in today:
        return None
    return price_map(lines, today, up=fuel)


def _assumptions(
    basis: CostBasis, ranges: Ranges | None, n_draws: int, seed: int
) -> dict[str, Any]:
    terms = basis.terms
    return {
        "currency": basis.currency,
        "discount_rate": terms.discount_rate,
        "study_years": terms.study_years,
        "escalation": {str(source): growth for source, growth in terms.escalation.items()},
        "bill_year": basis.bill_year,
        "heat_content_kwh_per_l": {
            str(source): tariff.heat_content_kwh_per_l for source, tariff in basis.tariffs.items()
        },
        "finance": None if basis.finance is None else asdict(basis.finance),
        "ranges": (ranges or Ranges()).as_dict(),
        "n_futures": n_draws,
        "seed": seed,
    }


def _parts(parts: Mapping[str, Any]) -> dict[str, list[float]]:
    return {name: [float(month) for month in months] for name, months in parts.items()}


def _month(parts: Mapping[str, Any], charge: str, month: int) -> float:
    return float(parts[charge][month]) if charge in parts else 0.0


def _ledger_dict(year: LedgerYear) -> dict[str, Any]:
    return {
        "year": year.year,
        "investment": year.investment,
        **{f"energy_{source}": cost for source, cost in year.energy.items()},
        "fixed": year.fixed,
        "maintenance": year.maintenance,
        "residual": year.residual,
        "total": year.total,
        "present_value": year.present_value,
    }
