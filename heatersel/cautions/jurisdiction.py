"""Whose rules hold: country, state or province, family of codes and their years.

United States: the plumbing-code families (IPC with IRC and IFGC, or UPC with UMC and NFPA 54)
differ; where a state has its own code or leaves the choice to cities, the rules of both
families are shown. Canada has its own rules throughout and never borrows a US formula.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from heatersel.errors import UnknownChoiceError
from heatersel.job.site import AltitudeReading, CodeFamily, Site
from heatersel.reference import records

__all__ = ["Country", "Jurisdiction", "Straps", "jurisdiction"]

DEFAULT_CODE_YEAR = 2021
"""Edition of the plumbing and gas codes where the job names none; common practice."""

DEFAULT_ELECTRICAL_YEAR = 2023
"""Edition of the electrical code where the job names none; common practice."""


class Country(StrEnum):
    """Whose national model codes hold."""

    US = "US"
    CANADA = "CA"


class Straps(StrEnum):
    """Whether earthquake straps are asked for in a region."""

    USUAL = "usual"
    ASK = "ask"
    UNUSUAL = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Jurisdiction:
    """The rules of one place.

    Parameters
    ----------
    region : str
        State or province code.
    country : Country
        Its country.
    families : frozenset of CodeFamily
        US plumbing-code families whose rules are shown; empty in Canada.
    code_year, electrical_year : int
        Editions of plumbing and gas code, and of the electrical code.
    altitude_reading : AltitudeReading
        Reading of the US derate.
    straps : Straps
        Whether straps are usual here.
    """

    region: str
    country: Country
    families: frozenset[CodeFamily]
    code_year: int
    electrical_year: int
    altitude_reading: AltitudeReading
    straps: Straps

    @property
    def name(self) -> str:
        """The place and its code family in short, "MN, US (UPC 2021)"."""
        if self.country is Country.CANADA:
            return f"{self.region}, Canada"
        families = " or ".join(sorted(family.value.upper() for family in self.families))
        return f"{self.region}, US ({families} {self.code_year})"


@lru_cache(maxsize=1)
def _regions() -> dict[str, dict[str, str]]:
    return {row["region"]: row for row in records("safety/regions", {})}


def jurisdiction(region: str, site: Site) -> Jurisdiction:
    """Return whose rules hold in a region.

    Parameters
    ----------
    region : str
        State or province code, such as "MN" or "ON".
    site : Site
        Its plumbing_code, code years and altitude_reading replace the region's.

    Returns
    -------
    Jurisdiction
        The rules; years default to 2021 (plumbing, gas) and 2023 (electrical).

    Raises
    ------
    UnknownChoiceError
        If the region is no US state, District of Columbia or Canadian province or territory.

    Notes
    -----
    Which family a state follows: datasets/safety/regions.csv, partly from memory.
    """
    row = _regions().get(region.strip().upper())
    if row is None:
        raise UnknownChoiceError.of(
            "region", value=region, allowed="a US state or Canadian province code",
            fix='an example is "MN" or "ON"',
        )  # fmt: skip
    country = Country(row["country"])
    return Jurisdiction(
        region=row["region"], country=country, families=_families(country, row, site),
        code_year=site.code_year or DEFAULT_CODE_YEAR,
        electrical_year=site.electrical_code_year or DEFAULT_ELECTRICAL_YEAR,
        altitude_reading=site.altitude_reading or AltitudeReading.SEA_LEVEL,
        straps=Straps(row["straps"]),
    )  # fmt: skip


def _families(country: Country, row: dict[str, str], site: Site) -> frozenset[CodeFamily]:
    if country is Country.CANADA:
        return frozenset()
    if site.plumbing_code is not None:
        return frozenset({site.plumbing_code})
    if row["plumbing_code"] == "either":
        return frozenset(CodeFamily)
    return frozenset({CodeFamily(row["plumbing_code"])})
