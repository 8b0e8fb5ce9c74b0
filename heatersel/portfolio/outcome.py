"""What one house comes to: its rows for the results, the recommendation, its electric load."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatersel.cautions.caution import Severity
from heatersel.climate import climate
from heatersel.comparison import Comparison, Option
from heatersel.cost.basis import day_shape
from heatersel.cost.bill import Use
from heatersel.cost.installed import upkeep
from heatersel.heaters.heater import EnergySource
from heatersel.job.models import Job
from heatersel.portfolio.columns import Identity
from heatersel.recommend import FUEL_NAMES, MOST_SHORT_DAYS
from heatersel.sizing.verdict import Verdict
from heatersel.words import reason_sentences

__all__ = [
    "ALWAYS",
    "ElectricLoad",
    "electric_load",
    "fails_within_a_year",
    "recommendation",
    "results",
]

Floats = NDArray[np.float64]

_SOURCES = tuple(EnergySource)
_MOST_CAUSES = 3

ALWAYS = "permit"
"""The one thing that every installation must have; it is not counted as site work."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ElectricLoad:
    """Electricity of a house's water heater by hour, before and after the change.

    Parameters
    ----------
    region, plan : str
        State or province, and the tariff of the house.
    before_kwh, after_kwh : array of shape (8760,)
        Hour 0 begins at 1 January 00:00 by the clock of the place; zero where there is none. [kWh]
    """

    region: str
    plan: str
    before_kwh: Floats
    after_kwh: Floats


def results(who: Identity, comparison: Comparison) -> list[dict[str, Any]]:
    """Return a row for each option of a house, the best first, as `fields.RESULTS` names them."""
    currency = str(comparison.provenance["currency"])
    house = {"row": who.row, "house": who.house, "currency": currency}
    return [house | _option_row(option) for option in comparison.options]


def _option_row(option: Option) -> dict[str, Any]:
    heater, sizing, annual, cost = option.heater, option.sizing, option.annual, option.cost
    return {
        "option_id": heater.id,
        "option_name": heater.name,
        "kind": heater.kind.value,
        "heater_class": heater.heater_class.value,
        "energy_source": heater.energy_source.value,
        "rank": option.rank,
        "excluded_because": list(option.excluded_because),
        "sizing_required": sizing.required,
        "sizing_available": sizing.available,
        "sizing_unit": sizing.unit,
        "margin_frac": sizing.margin_frac,
        "verdict": sizing.verdict.value,
        **{f"{source.value}_kwh": kwh for source, kwh in annual.energy_kwh.items()},
        "delivered_kwh": annual.delivered_kwh,
        "missed_kwh": annual.missed_kwh,
        "standby_loss_kwh": annual.standby_loss_kwh,
        "efficiency": annual.efficiency,
        "short_days": _short_days(option),
        "space_heating_effect_kwh": annual.space_heating_effect_kwh,
        **{f"{source.value}_per_year": part for source, part in cost.energy_per_year.items()},
        "fixed_per_year": cost.fixed_per_year,
        "maintenance_per_year": cost.maintenance_per_year,
        "total_per_year": cost.total_per_year,
        "installed": cost.installed,
        "life_years": cost.life_years,
        **_spread(option),
        "co2_kg_per_year": option.co2_kg_per_year,
        "must_cautions": _cautions(option, Severity.MUST),
        "stop_cautions": _cautions(option, Severity.STOP),
        "to_measure": [measure.field for measure in option.to_measure],
    }


def recommendation(who: Identity, comparison: Comparison, year: int) -> dict[str, Any]:
    """Return the one row of a house, as `fields.RECOMMENDATIONS` names its columns.

    Parameters
    ----------
    who : Identity
        The house.
    comparison : Comparison
        Its options.
    year : int
        Calendar year that the age of the present heater is counted to.
    """
    job, best, present = comparison.job, comparison.recommended, comparison.existing
    here = climate(job.place.climate)
    located = who.latitude_deg is not None and who.longitude_deg is not None
    age_years = _age_years(job, year)
    row: dict[str, Any] = {
        "row": who.row,
        "house": who.house,
        "place": here.place,
        "region": here.region,
        "latitude_deg": who.latitude_deg if located else here.latitude_deg,
        "longitude_deg": who.longitude_deg if located else here.longitude_deg,
        "located": located,
        "occupants": job.household.occupants.total,
        "daily_hot_water_l": comparison.demand.daily_hot_water_l,
        "seed": job.preferences.seed,
        "defaults_used": sum(1 for _ in job.defaults_used()),
        "runner_up_id": comparison.recommendation.runner_up_id,
        "offers": [offer.option_id for offer in comparison.recommendation.offers],
        "reasons": reason_sentences(comparison),
        "options_ranked": len(comparison.ranked),
        "options_excluded": len(comparison.excluded),
        "must_cautions": [],
        "site_work": False,
        "to_measure": [],
        "nothing_fits_because": [] if best else _main_causes(comparison),
        "currency": str(comparison.provenance["currency"]),
        "before_age_years": age_years,
        "electricity_plan": electricity_plan(job),
    }
    if present is not None:
        row |= _running("before", present) | {
            "before_class": present.heater.heater_class.value,
            "before_source": present.heater.energy_source.value,
            "fails_within_a_year_frac": _failing(present, age_years, row["currency"]),
        }
    if best is not None:
        row |= _running("after", best) | _spread(best) | {
            "option_id": best.id,
            "option_name": best.heater.name,
            "heater_class": best.heater.heater_class.value,
            "energy_source": best.heater.energy_source.value,
            "installed": best.cost.installed,
            "must_cautions": _cautions(best, Severity.MUST),
            "site_work": bool(set(_cautions(best, Severity.MUST)) - {ALWAYS}),
            "to_measure": [measure.field for measure in best.to_measure],
            "short_days": _short_days(best),
        }  # fmt: skip
    return row


def electric_load(comparison: Comparison) -> ElectricLoad | None:
    """Return the electricity by hour before and after; None unless both heaters are known."""
    best, present = comparison.recommended, comparison.existing
    if best is None or present is None:
        return None
    job = comparison.job
    return ElectricLoad(
        region=climate(job.place.climate).region,
        plan=electricity_plan(job),
        before_kwh=_hours(present),
        after_kwh=_hours(best),
    )


def electricity_plan(job: Job) -> str:
    """Return the name of a house's electricity tariff."""
    price = job.prices.electricity
    if price is None:
        return "average price of the region"
    return price[0].name if isinstance(price, tuple) else "flat price"


def fails_within_a_year(age_years: float, life_years: float, life_shape: float) -> float:
    """Return the chance that a heater that still runs fails within a year.

    Parameters
    ----------
    age_years : float
        Its age, 0 or more. [yr]
    life_years : float
        Mean life of its kind, above 0. [yr]
    life_shape : float
        Weibull shape of life, above 0. [-]

    Returns
    -------
    float
        0 to 1. [-]

    Notes
    -----
    1 - S(age + 1)/S(age) with S(t) = exp(-(t/scale)^shape) and scale = mean/Gamma(1 + 1/shape):
    the hazard of the Weibull distribution over one year [1]_. Water, upkeep and brand, which
    move it much, are not known here.

    References
    ----------
    .. [1] NIST/SEMATECH, "e-Handbook of Statistical Methods", 2012, section 8.1.6.2, Weibull.
       (memory, sure of the formula)

    Examples
    --------
    >>> round(fails_within_a_year(0.0, 13.0, 1.0), 4)  # constant hazard: 1 - exp(-1/13)
    0.074
    """
    scale = life_years / math.gamma(1.0 + 1.0 / life_shape)
    now, later = (age_years / scale) ** life_shape, ((age_years + 1.0) / scale) ** life_shape
    return -math.expm1(now - later)


def _failing(present: Option, age_years: float | None, currency: str) -> float | None:
    if age_years is None:
        return None
    kept = upkeep(present.heater.heater_class, currency)
    return fails_within_a_year(age_years, kept.life_years, kept.life_shape)


def _age_years(job: Job, year: int) -> float | None:
    installed = job.existing.installed if job.existing else None
    return None if installed is None else float(max(0, year - installed))


def _running(when: str, option: Option) -> dict[str, float]:
    """Return what an option uses, costs and emits in a year; sources it does not use are 0."""
    energy = option.annual.energy_kwh
    return {
        **{f"{when}_{source.value}_kwh": energy.get(source, 0.0) for source in _SOURCES},
        f"{when}_per_year": option.cost.total_per_year,
        f"{when}_co2_kg_per_year": option.co2_kg_per_year,
    }


def _spread(option: Option) -> dict[str, float | None]:
    cost = option.cost
    return {
        "life_cycle": cost.life_cycle,
        "life_cycle_p10": cost.life_cycle_p10,
        "life_cycle_p90": cost.life_cycle_p90,
        "cheapest_probability": cost.cheapest_probability,
    }


def _short_days(option: Option) -> float | None:
    delivery = option.annual.delivery
    return None if delivery is None else delivery.short_days_per_year


def _cautions(option: Option, severity: Severity) -> list[str]:
    return [caution.id for caution in option.cautions if caution.severity is severity]


def _main_causes(comparison: Comparison) -> list[str]:
    """Return what keeps most options out, amounts aside."""
    causes = Counter(
        cause
        for option in comparison.excluded
        for cause in dict.fromkeys(_causes(option, comparison.job))
    )
    return [cause for cause, _ in causes.most_common(_MOST_CAUSES)]


def _causes(option: Option, job: Job) -> Iterator[str]:
    """Yield what keeps an option out, without its amounts."""
    if option.heater.energy_source not in job.fuels:
        yield f"no {FUEL_NAMES[option.heater.energy_source]} in this house"
        return
    for caution in option.cautions:
        if caution.severity is Severity.STOP:
            yield f"not allowed as the house stands: {caution.subject}"
    if option.sizing.verdict is Verdict.SHORT:
        yield "too small on the coldest morning"
    elif (_short_days(option) or 0.0) > MOST_SHORT_DAYS:
        yield "water turns cold on too many days of the year"


def _hours(option: Option) -> Floats:
    """Return a heater's electricity by hour, by the usual hours where they are not simulated."""
    annual = option.annual
    monthly = annual.monthly_kwh.get(EnergySource.ELECTRICITY)
    if monthly is None:
        return np.zeros(8760)
    if annual.hourly_kwh and EnergySource.ELECTRICITY in annual.hourly_kwh:
        return np.asarray(annual.hourly_kwh[EnergySource.ELECTRICITY])
    return Use(monthly_kwh=np.asarray(monthly)).shaped(day_shape("hot_water")).hours()
