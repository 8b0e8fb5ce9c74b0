"""What energy costs households of a state or province, where the household gives no price.

A region without a price of its own takes that of its Census division (electricity, gas), its
petroleum district (propane) or its country; the answer says which. Electricity and gas prices
are averages over the whole bill, fixed charge included, and so lie above the price of one more
unit, by about 5 to 10 % and 10 to 20 %. Each price carries its period: the household's own bill
is always better.

References
----------
.. [1] US Energy Information Administration: Electric Power Annual (2023), Short-Term Energy
   Outlook (2024 values), Heating Oil and Propane Update (March 2026). (seen)
.. [2] Statistics Canada, table 25-10-0059, and a public rate comparison of 2025. (copies seen)
"""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import lru_cache

from heatersel.errors import UnknownChoiceError
from heatersel.heaters.heater import EnergySource
from heatersel.reference import Record, records

__all__ = ["RegionalPrice", "regional_price", "regions"]

_COUNTRY_AREA = {"US": "united_states", "CA": "canada"}


@dataclass(frozen=True, slots=True, kw_only=True)
class RegionalPrice:
    """The price of one energy source in one region.

    Parameters
    ----------
    region : str
        Two-letter code of state or province.
    energy_source : EnergySource
        What is priced.
    amount : float
        Price, fixed charge averaged in. [unit]
    unit : str
        Currency per unit as billed, such as "USD/kWh" or "CAD/m3".
    currency : str
        "USD" or "CAD".
    fixed_charge_per_month : float
        Common charge for being connected: an assumption, in the currency of the price.
    period : str
        Year, months or week that the price is of.
    basis : str
        What the price is of: "state", "province", "division", "district" or "country".
    source : str
        Key of the source in the sidecar of datasets/prices/residential.
    status : str
        "seen", "memory" or "computed".
    """

    region: str
    energy_source: EnergySource
    amount: float
    unit: str
    currency: str
    fixed_charge_per_month: float
    period: str
    basis: str
    source: str
    status: str


def regional_price(region: str, energy_source: EnergySource) -> RegionalPrice:
    """Return the price of an energy source in a region, or in the wider area it belongs to.

    Parameters
    ----------
    region : str
        Two-letter code of a US state, DC or a Canadian province or territory.
    energy_source : EnergySource
        What is priced.

    Returns
    -------
    RegionalPrice

    Raises
    ------
    UnknownChoiceError
        If the region is not known; the nearest codes are named.

    Examples
    --------
    >>> found = regional_price("MN", EnergySource.ELECTRICITY)
    >>> found.amount, found.unit, found.basis
    (0.1473, 'USD/kWh', 'state')
    """
    place = _region(region)
    prices = _prices()
    for basis, area in _areas(place):
        row = prices.get((area, energy_source.value))
        if row is not None:
            return RegionalPrice(
                region=place["region"],
                energy_source=energy_source,
                amount=row["price"],
                unit=row["unit"],
                currency=row["unit"].split("/")[0],
                fixed_charge_per_month=_fixed_charges()[place["country"], energy_source.value],
                period=row["period"],
                basis=basis,
                source=row["source"],
                status=row["status"],
            )
    # The country rows cover every energy source; a test holds that.
    raise UnknownChoiceError.of("energy source", value=energy_source.value)


@lru_cache(maxsize=1)
def regions() -> dict[str, str]:
    """Return the name of every region by its two-letter code, the United States first."""
    return {row["region"]: row["name"] for row in records("prices/regions", {})}


def _areas(place: Record) -> tuple[tuple[str, str], ...]:
    """Return basis and code of every area that a region belongs to, narrowest first."""
    own = "state" if place["country"] == "US" else "province"
    return (
        (own, place["region"]),
        ("division", place["division"]),
        ("district", place["petroleum_district"]),
        ("country", _COUNTRY_AREA[place["country"]]),
    )


def _region(code: str) -> Record:
    by_code = {row["region"]: row for row in records("prices/regions", {})}
    found = by_code.get(code.strip().upper())
    if found is not None:
        return found
    names = {row["name"].lower(): row["region"] for row in by_code.values()}
    near = difflib.get_close_matches(code.lower(), names, n=2)
    hint = [f"{names[name]} ({name.title()})" for name in near]
    raise UnknownChoiceError.of(
        "region", value=code, allowed="the two-letter code of a US state or Canadian province",
        fix="did you mean " + " or ".join(hint) if hint else "an example is MN or ON",
    )  # fmt: skip


@lru_cache(maxsize=1)
def _prices() -> dict[tuple[str, str], Record]:
    rows = records("prices/residential", {"price": ""})
    return {(row["area"], row["energy_source"]): row for row in rows}


@lru_cache(maxsize=1)
def _fixed_charges() -> dict[tuple[str, str], float]:
    rows = records("prices/fixed_charges", {"charge": ""})
    return {(row["country"], row["energy_source"]): row["charge"] for row in rows}
