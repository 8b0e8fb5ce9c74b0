"""What an option's energy puts into the air, in the first year and over its study.

Combustion counts carbon dioxide on the higher heating value. Electricity counts the average rate
of the region's grid at the generator (United States, CO2) or at the customer (Canada, CO2
equivalent); a marginal rate and a decline of the grid can be given. Leakage of methane before
the meter and of refrigerant are switches, off unless asked for, since published figures differ
widely.

References
----------
.. [1] US Environmental Protection Agency, GHG Emission Factors Hub (2024), table 1; eGRID2022.
   (seen)
.. [2] Environment and Climate Change Canada, National Inventory Report, annex 13. (copy seen)
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import ceil
from typing import Any

from heatersel import reference
from heatersel.errors import OutOfRangeError, UnknownChoiceError
from heatersel.heaters.heater import EnergySource, Heater
from heatersel.job.emission_table import EmissionChoices

__all__ = [
    "EmissionFactors",
    "RefrigerantLeak",
    "co2_kg_by_year",
    "co2_kg_per_year",
    "emission_factors",
    "methane_kg_co2e_per_kwh",
    "refrigerant_leak",
]

METHANE_MJ_PER_KG = 55.5
"""Higher heating value of methane. [MJ/kg] (from memory)"""

_MJ_PER_KWH = 3.6
_SAME = 1e-9  # a life that ends this close to the end of a year ends with it


@dataclass(frozen=True, slots=True, kw_only=True)
class RefrigerantLeak:
    """Refrigerant that escapes from a heat pump.

    Parameters
    ----------
    charge_kg : float
        Charge, 0 to 10. [kg]
    warming : float
        Warming of 1 kg against carbon dioxide over 100 years. [kg CO2e/kg]
    life_years : float
        Years until a unit is scrapped and one alike takes its place, 1 to 60. [yr]
    per_year_frac, at_end_frac : float
        Part of the charge lost each year, and of what is left when a unit is scrapped. [-]
    """

    charge_kg: float
    warming: float
    life_years: float
    per_year_frac: float = 0.02
    at_end_frac: float = 0.5

    def __post_init__(self) -> None:
        """Refuse values outside their range."""
        for name, low, high in (("charge_kg", 0, 10), ("warming", 0, 20000), ("life_years", 1, 60),
                                ("per_year_frac", 0, 1), ("at_end_frac", 0, 1)):  # fmt: skip
            value = getattr(self, name)
            if not low <= value <= high:
                raise OutOfRangeError.of(name, value=value, allowed=f"{low} to {high}",
                                         fix="check the data sheet")  # fmt: skip

    def escaped_kg(self, years: float) -> float:
        """Return what has escaped so many years after the installation, replacements included."""
        whole = ceil(years / self.life_years - 1.0 + _SAME)  # units scrapped by then
        last = max(0.0, years - whole * self.life_years)
        worn = min(1.0, self.per_year_frac * self.life_years)
        scrapped = worn + self.at_end_frac * (1.0 - worn)
        return self.charge_kg * (whole * scrapped + min(1.0, self.per_year_frac * last))


@dataclass(frozen=True, slots=True, kw_only=True)
class EmissionFactors:
    """Emissions per kWh of each source, and how the grid's change.

    Parameters
    ----------
    kg_per_kwh : mapping of EnergySource to float
        In the first year. [kg/kWh]
    grid_decline_per_year : float
        Fall of the grid's rate a year, 0 to 0.5. [1/yr]
    basis : str
        What the grid's rate is, with its edition.
    edition : str
        Edition of the grid's rate; empty for one that the job gives.
    counts_methane, counts_refrigerant : bool
        Whether gas that leaks before the meter and leaking refrigerant are counted.
    switches : tuple of str
        Leakage that was switched on, in words; empty by default.
    """

    kg_per_kwh: Mapping[EnergySource, float]
    grid_decline_per_year: float = 0.0
    basis: str = ""
    edition: str = ""
    counts_methane: bool = False
    counts_refrigerant: bool = False
    switches: tuple[str, ...] = field(default=())

    @property
    def sentence(self) -> str:
        """How electricity and leaks are counted, in a customer's words."""
        falls = (f", falling by {100 * self.grid_decline_per_year:.3g} % a year"
                 if self.grid_decline_per_year else "")  # fmt: skip
        left_out = [name for name, counted in (("methane before the meter", self.counts_methane),
                                               ("refrigerant", self.counts_refrigerant))
                    if not counted]  # fmt: skip
        leaks = [*self.switches]
        leaks += [f"leaks of {' and of '.join(left_out)} are not counted"] if left_out else []
        return f"Electricity counts the {self.basis}{falls}; {'; '.join(leaks)}."

    def as_dict(self) -> dict[str, Any]:
        """Return how emissions are counted as plain fields."""
        return {
            "basis": self.basis,
            "edition": self.edition or None,
            "grid_decline_per_year": self.grid_decline_per_year,
            "switches": {
                "methane_leakage": self.counts_methane,
                "refrigerant_leakage": self.counts_refrigerant,
            },
            "counted_besides": list(self.switches),
        }


def emission_factors(region: str, choices: EmissionChoices | None = None) -> EmissionFactors:
    """Return the emission factors of a region.

    Parameters
    ----------
    region : str
        Two-letter code of state or province.
    choices : EmissionChoices, optional
        A marginal rate in place of the grid's average, the grid's decline, and the part of the
        gas that leaks before the meter; without them the average, no decline and no leakage.

    Returns
    -------
    EmissionFactors

    Raises
    ------
    UnknownChoiceError
        If the region is not known.
    """
    choices = choices or EmissionChoices()
    grid, basis, edition = _grid(region)
    if choices.marginal_kg_per_kwh is not None:
        grid, basis, edition = choices.marginal_kg_per_kwh, "marginal rate as given", ""
    rates = {EnergySource.ELECTRICITY: grid} | _combustion()
    switches: tuple[str, ...] = ()
    if choices.refrigerant_leakage:
        switches = (
            "refrigerant: 2 % of the charge leaks each year, and half of what is left when a unit"
            " is scrapped",
        )
    if choices.methane_leakage > 0:
        rates[EnergySource.NATURAL_GAS] += methane_kg_co2e_per_kwh(
            choices.methane_leakage, choices.methane_horizon
        )
        switches += (
            f"methane: {choices.methane_leakage:.1%} of the gas delivered leaks before the meter,"
            f" counted over {choices.methane_horizon} years",
        )
    return EmissionFactors(
        kg_per_kwh=rates,
        grid_decline_per_year=choices.grid_decline,
        basis=basis,
        edition=edition,
        counts_methane=choices.methane_leakage > 0,
        counts_refrigerant=choices.refrigerant_leakage,
        switches=switches,
    )


def refrigerant_leak(
    heater: Heater, factors: EmissionFactors, life_years: float
) -> RefrigerantLeak | None:
    """Return the leakage of a heater's refrigerant; None unless it is switched on and known.

    Parameters
    ----------
    heater : Heater
        The option.
    factors : EmissionFactors
        Whether it is counted.
    life_years : float
        Mean life of the heater. [yr]

    Returns
    -------
    RefrigerantLeak or None
        Warming and charge come from datasets/costs/refrigerants (from memory, charge assumed);
        2 % of the charge a year and half of what is left at the end are assumptions.
    """
    if not factors.counts_refrigerant or not heater.refrigerant:
        return None
    for row in reference.records("costs/refrigerants", {"warming": "", "charge": "kg"}):
        if row["refrigerant"] == heater.refrigerant.upper():
            return RefrigerantLeak(charge_kg=row["charge"] * heater.units, warming=row["warming"],
                                   life_years=life_years)  # fmt: skip
    return None


def co2_kg_per_year(energy_kwh: Mapping[EnergySource, float], factors: EmissionFactors) -> float:
    """Return the emissions of a year of energy. [kg/yr]

    Parameters
    ----------
    energy_kwh : mapping of EnergySource to float
        Site energy of the year, fuel on the higher heating value. [kWh]
    factors : EmissionFactors
        Of the region.
    """
    return sum(kwh * factors.kg_per_kwh[source] for source, kwh in energy_kwh.items())


def co2_kg_by_year(
    energy_kwh: Mapping[EnergySource, float],
    factors: EmissionFactors,
    years: int,
    refrigerant: RefrigerantLeak | None = None,
) -> tuple[float, ...]:
    """Return the emissions of each year of the study, the first year first. [kg]

    The grid's rate falls by its decline each year after the first. Refrigerant leaks each year,
    and once more in the year in which a unit is scrapped; the unit that outlasts the study is
    not scrapped within it.
    """
    total = []
    for year in range(years):
        cleaner = (1.0 - factors.grid_decline_per_year) ** year
        total.append(sum(
            kwh * factors.kg_per_kwh[source]
            * (cleaner if source is EnergySource.ELECTRICITY else 1.0)
            for source, kwh in energy_kwh.items()
        ))  # fmt: skip
    if refrigerant is not None:
        total = [
            kg + refrigerant.warming
            * (refrigerant.escaped_kg(year + 1) - refrigerant.escaped_kg(year))
            for year, kg in enumerate(total)
        ]  # fmt: skip
    return tuple(total)


def methane_kg_co2e_per_kwh(leak_frac: float, horizon_years: int = 100) -> float:
    """Return the warming of methane that leaks for each kWh of natural gas burned. [kg CO2e/kWh]

    Parameters
    ----------
    leak_frac : float
        Leaked mass over delivered mass. [-]
    horizon_years : int
        100 or 20.

    Raises
    ------
    UnknownChoiceError
        If no warming is known for that horizon.

    Notes
    -----
    kWh of gas * 3.6 MJ/kWh / 55.5 MJ/kg * leak * warming of fossil methane (IPCC, sixth
    assessment: 29.8 over 100 years, 82.5 over 20).
    """
    rows = reference.records("emissions/warming", {"horizon": "year", "co2_equivalent": ""})
    fossil = {round(row["horizon"]): row["co2_equivalent"] for row in rows
              if row["gas"] == "ch4_fossil" and row["assessment"] == "AR6"}  # fmt: skip
    if horizon_years not in fossil:
        raise UnknownChoiceError.of(
            "methane_horizon_years", value=horizon_years,
            allowed=" or ".join(map(str, sorted(fossil))), fix="an example is 100",
        )  # fmt: skip
    return float(_MJ_PER_KWH / METHANE_MJ_PER_KG * leak_frac * fossil[horizon_years])


def _combustion() -> dict[EnergySource, float]:
    rows = reference.records("emissions/factors", {"factor": "kg/kWh"})
    return {
        EnergySource(row["energy_source"]): row["factor"]
        for row in rows
        if row["gas"] == "co2" and row["default"] == "yes"
    }


def _grid(region: str) -> tuple[float, str, str]:
    """Return the rate of a region's grid, what it is, and its edition."""
    states = {row["region"]: row["subregion"]
              for row in reference.records("emissions/grid_us_states", {})}  # fmt: skip
    if region in states:
        rates = reference.records("emissions/grid_us", {"co2": "kg/kWh"})
        row = next(row for row in rates if row["subregion"] == states[region])
        edition = "eGRID2022"
        return row["co2"], f"average of the grid subregion {row['name']}, {edition}", edition
    for row in reference.records("emissions/grid_canada", {"consumption": "kg/kWh"}):
        if row["region"] == region:
            edition = f"inventory of about {reference.sidecar('emissions/grid_canada')['year']}"
            return row["consumption"], f"average of the province's grid, {edition}", edition
    raise UnknownChoiceError.of(
        "region", value=region, allowed="the two-letter code of a US state or Canadian province",
        fix="an example is MN or ON",
    )  # fmt: skip
