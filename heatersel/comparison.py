"""The comparison: every option with its size, year, cost, cautions and place in the ranking.

These frozen records are what each face shows and what `--json` prints; nothing is computed here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isnan
from typing import TYPE_CHECKING, Any

from heatersel.cautions.caution import LOCAL_RULES, Caution, Measure
from heatersel.demand.household import Demand
from heatersel.demand.inlet import Inlet
from heatersel.errors import Fault, UnknownChoiceError
from heatersel.heaters.heater import Heater
from heatersel.job.models import Job
from heatersel.recommend import Recommendation
from heatersel.simulation.result import AnnualResult
from heatersel.sizing.verdict import Sizing

if TYPE_CHECKING:
    from heatersel.cost.option_cost import OptionCost
    from heatersel.simulation.tankless import TanklessYears

__all__ = ["SCHEMA", "Comparison", "Option"]

SCHEMA = "heatersel.comparison/1"


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One heater in this house.

    Parameters
    ----------
    heater : Heater
        The heater, or several in parallel as one.
    sizing : Sizing
        Required, available, verdict.
    annual : AnnualResult
        The year's energy.
    cost : OptionCost
        What it costs to buy, run and own.
    tankless : TanklessYears or None
        Waits, cold slugs and draws too small to fire, of a simulated tankless heater.
    setpoint_c : float
        Temperature that it is set to: what the job wants, or what the rules ask at least. [°C]
    co2_kg_per_year : float
        Emissions of its energy. [kg/yr]
    cautions : tuple of Caution
        What must be right before it is installed.
    to_measure : tuple of Measure
        What nobody has measured yet and this option depends on.
    excluded_because : tuple of str
        Why it is not ranked; empty if it is.
    rank : int or None
        Place by life-cycle cost.
    """

    heater: Heater
    sizing: Sizing
    annual: AnnualResult
    cost: OptionCost
    setpoint_c: float
    co2_kg_per_year: float
    tankless: TanklessYears | None = None
    cautions: tuple[Caution, ...] = ()
    to_measure: tuple[Measure, ...] = ()
    excluded_because: tuple[str, ...] = ()
    rank: int | None = None

    @property
    def id(self) -> str:
        """Id of the option."""
        return self.heater.id

    def as_dict(self) -> dict[str, Any]:
        """Return the option as the JSON contract has it, SI units."""
        place = (
            {"rank": self.rank}
            if self.rank is not None
            else {"excluded_because": list(self.excluded_because)}
        )
        return {
            "id": self.heater.id,
            "name": self.heater.name,
            "kind": self.heater.kind.value,
            "heater_class": self.heater.heater_class.value,
            "energy_source": self.heater.energy_source.value,
            "units": self.heater.units,
            "setpoint_c": self.setpoint_c,
            "rating": rating_dict(self.heater),
            "sizing": sizing_dict(self.sizing),
            "annual": annual_dict(self.annual),
            "tankless": None if self.tankless is None else tankless_dict(self.tankless),
            "cost": self.cost.as_dict(),
            "emissions": {"co2_kg_per_year": self.co2_kg_per_year},
            "cautions": [caution.as_dict() for caution in self.cautions],
            "to_measure": [measure.as_dict() for measure in self.to_measure],
            **place,
        }


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """All options for one job, ranked, with everything behind the ranking.

    Parameters
    ----------
    job : Job
        The job as understood.
    inlet : Inlet
        Cold water through the year.
    demand : Demand
        What the household asks for.
    options : tuple of Option
        Ranked ones first.
    existing : Option or None
        What stands there now, run through the same chain.
    recommendation : Recommendation
        Choice, reasons and offers.
    rejected : tuple of Fault
        Heaters left out because their rating contradicts itself, and bad rows of a list.
    provenance : mapping
        Version, data sets and seed.
    """

    job: Job
    inlet: Inlet
    demand: Demand
    options: tuple[Option, ...]
    existing: Option | None
    recommendation: Recommendation
    rejected: tuple[Fault, ...]
    provenance: Mapping[str, Any]

    @property
    def ranked(self) -> tuple[Option, ...]:
        """Options that take part, by rank."""
        return tuple(option for option in self.options if option.rank is not None)

    @property
    def excluded(self) -> tuple[Option, ...]:
        """Options that do not take part."""
        return tuple(option for option in self.options if option.rank is None)

    @property
    def recommended(self) -> Option | None:
        """The recommended option."""
        id_ = self.recommendation.option_id
        return None if id_ is None else self.option(id_)

    def option(self, option_id: str) -> Option:
        """Return an option by id; raise UnknownChoiceError with the nearest ids."""
        for option in self.options:
            if option.heater.id == option_id:
                return option
        import difflib

        ids = [option.heater.id for option in self.options]
        near = difflib.get_close_matches(option_id, ids, n=3, cutoff=0.4)
        raise UnknownChoiceError.of(
            "option",
            value=option_id,
            allowed="an option id of the comparison",
            fix=f"did you mean {', '.join(near)}?" if near else "list them with: compare --all",
        )

    def as_dict(self) -> dict[str, Any]:
        """Return the comparison as the JSON contract has it, SI units."""
        from heatersel.job.write import job_tables

        recommendation = self.recommendation
        return {
            "schema": SCHEMA,
            "inputs": job_tables(self.job),
            "defaults_used": [
                {"field": d.field, "attribute": d.attribute, "value": d.value, "source": d.source}
                for d in self.job.defaults_used()
            ],
            "inlet": inlet_dict(self.inlet),
            "demand": self.demand.as_dict(),
            "options": [option.as_dict() for option in self.options],
            "existing": None if self.existing is None else self.existing.as_dict(),
            "recommendation": {
                "option": recommendation.option_id,
                "runner_up": recommendation.runner_up_id,
                "reasons": [
                    {"measure": name, "option": ours, "runner_up": theirs}
                    for name, ours, theirs in recommendation.reasons
                ],
                "offers": [
                    {"option": offer.option_id, "basis": list(offer.basis)}
                    for offer in recommendation.offers
                ],
            },
            "rejected": [fault.as_dict() for fault in self.rejected],
            "local_rules": LOCAL_RULES,
            "provenance": dict(self.provenance),
        }


def inlet_dict(inlet: Inlet) -> dict[str, Any]:
    """Return a year of cold water as plain fields."""
    return {
        "method": str(inlet.method),
        "monthly_c": [float(temp_c) for temp_c in inlet.monthly_c],
        "annual_mean_c": inlet.annual_mean_c,
        "design_c": inlet.design_c,
        "note": inlet.note,
    }


def rating_dict(heater: Heater) -> dict[str, Any]:
    """Return the rating of a heater; the measure of size is that of its kind."""
    size = (
        {"max_flow_l_per_min": heater.max_flow_l_per_min}
        if heater.is_tankless
        else {"first_hour_rating_l": heater.first_hour_rating_l}
    )
    return {
        "uef": heater.uef,
        **size,
        "volume_l": heater.volume_l,
        "input_kw": heater.input_kw,
        "draw_pattern": heater.draw_pattern.value,
    }


def sizing_dict(sizing: Sizing) -> dict[str, Any]:
    """Return a sizing as plain fields."""
    return {
        "measure": sizing.measure,
        "required": sizing.required,
        "available": sizing.available,
        "unit": sizing.unit,
        "margin_frac": sizing.margin_frac,
        "verdict": sizing.verdict.value,
        "starts_at": sizing.starts_at,
        "least_draw": sizing.least_draw,
    }


def annual_dict(annual: AnnualResult) -> dict[str, Any]:
    """Return a year as plain fields."""
    delivery = annual.delivery
    return {
        "method": annual.method,
        "energy_kwh": {str(source): kwh for source, kwh in annual.energy_kwh.items()},
        "energy_by_month_kwh": {
            str(source): [float(kwh) for kwh in months]
            for source, months in annual.monthly_kwh.items()
        },
        "delivered_kwh": annual.delivered_kwh,
        "missed_kwh": annual.missed_kwh,
        "standby_loss_kwh": annual.standby_loss_kwh,
        "efficiency": annual.efficiency,
        "short_days": None if delivery is None else delivery.short_days_per_year,
        "short_minutes": None if delivery is None else delivery.short_minutes_per_year,
        "coldest_c": (  # none where nobody was ever short
            None if delivery is None or isnan(delivery.coldest_c) else delivery.coldest_c
        ),
        "warm_morning_probability": (
            None if delivery is None else delivery.warm_morning_probability
        ),
        "space_heating_effect_kwh": annual.space_heating_effect_kwh,
        "space_energy_kwh": {str(source): kwh for source, kwh in annual.space_energy_kwh.items()},
        "room_monthly_c": (
            None if annual.room_monthly_c is None else [float(c) for c in annual.room_monthly_c]
        ),
        "condensate_l": annual.condensate_l,
        "auxiliary_kwh": annual.auxiliary_kwh,
        "resistance_kwh": annual.resistance_kwh,
        "notes": list(annual.notes),
    }


def tankless_dict(years: TanklessYears) -> dict[str, Any]:
    """Return what only a tankless heater has, as plain fields."""
    return {
        "starts_per_year": years.starts_per_year,
        "waited_s_per_start": years.waited_s_per_start,
        "waited_l_per_start": years.waited_l_per_start,
        "slugs_per_year": years.slugs_per_year,
        "unfired_per_year": years.unfired_per_year,
        "unfired_l_per_year": years.unfired_l_per_year,
        "low_fire_h_per_year": years.low_fire_h_per_year,
    }
