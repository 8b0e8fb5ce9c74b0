"""The cost of an offer over the years, split into what a customer can picture."""

from __future__ import annotations

from dataclasses import dataclass

from heatersel.cost.life_cycle import StudyTerms, ledger
from heatersel.cost.option_cost import OptionCost

__all__ = ["Years", "years_of"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Years:
    """Cost of one offer over the study, at present value.

    Parameters
    ----------
    letter : str
        The offer.
    heaters : float
        Today's heater and the next ones when they are due, less what the last is still worth.
    energy : float
        Energy.
    upkeep : float
        Upkeep and standing charges.
    low, high : float or None
        Costs that one future in ten stays below or goes beyond.
    by_year : tuple of float
        All that has been paid by the end of each year, year 0 first, before any residual.
    """

    letter: str
    heaters: float
    energy: float
    upkeep: float
    low: float | None
    high: float | None
    by_year: tuple[float, ...]

    @property
    def total(self) -> float:
        """Life-cycle cost."""
        return self.heaters + self.energy + self.upkeep


def years_of(letter: str, cost: OptionCost, terms: StudyTerms) -> Years:
    """Return the parts of an offer's life-cycle cost.

    Parameters
    ----------
    letter : str
        The offer.
    cost : OptionCost
        At the company's price.
    terms : StudyTerms
        Of the comparison.

    Returns
    -------
    Years
        The parts add up to `cost.life_cycle`.
    """
    rate = terms.discount_rate
    energy = upkeep = heaters = paid = 0.0
    by_year = []
    for year in ledger(cost.ownership, terms):
        now = (1.0 + rate) ** -year.year
        year_energy = sum(year.energy.values()) * now
        year_upkeep = (year.fixed + year.maintenance) * now
        energy, upkeep = energy + year_energy, upkeep + year_upkeep
        heaters += year.present_value - year_energy - year_upkeep
        paid += year.present_value - year.residual * now
        by_year.append(paid)
    band = cost.band
    return Years(
        letter=letter, heaters=heaters, energy=energy, upkeep=upkeep, by_year=tuple(by_year),
        low=band.p10 if band else None, high=band.p90 if band else None,
    )  # fmt: skip
