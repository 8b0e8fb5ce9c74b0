"""Monthly air temperatures of 122 places in the United States and Canada.

The mains correlation and the soil model need the mean of the year and the spread between the
warmest and the coldest month. The US means are of 1981-2010, the Canadian ones of 1960-1994,
which is cooler than today by about 1 K (from memory). Humidity is not known.

References
----------
.. [1] NOAA NCEI, U.S. Climate Normals 1981-2010, daily mean temperature normals. (seen)
.. [2] J.O. Ramsay, B.W. Silverman, "Functional Data Analysis", 2nd ed., Springer, 2005, data set
   of Environment Canada station averages 1960-1994. (seen)
"""

from __future__ import annotations

import difflib
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

from heatersel.errors import UnknownChoiceError
from heatersel.reference import records

__all__ = ["Climate", "climate", "climates"]

_MONTHS = (
    "january", "february", "march", "april", "may", "june",
    "july", "august", "september", "october", "november", "december",
)  # fmt: skip
_DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """Monthly mean air temperatures of one place.

    Parameters
    ----------
    place : str
        City and two-letter code of state or province, such as "Duluth, MN".
    country, region : str
        "US" or "CA"; the two-letter code.
    latitude_deg, longitude_deg : float
        North and east. [deg]
    elevation_m : float or None
        Of the station; None where not known. [m]
    monthly_air_c : tuple of 12 float
        Mean air temperature, January first. [°C]
    period : str
        Years averaged.
    status : str
        "seen" or "memory".
    """

    place: str
    country: str
    region: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None
    monthly_air_c: tuple[float, ...]
    period: str
    status: str

    @property
    def annual_mean_c(self) -> float:
        """Mean of the year: the months weighted by their days. [°C]"""
        pairs = zip(self.monthly_air_c, _DAYS_IN_MONTH, strict=True)
        return sum(air_c * days for air_c, days in pairs) / sum(_DAYS_IN_MONTH)

    @property
    def monthly_swing_k(self) -> float:
        """Warmest less coldest monthly mean. [K]"""
        return max(self.monthly_air_c) - min(self.monthly_air_c)


@lru_cache(maxsize=1)
def climates() -> tuple[Climate, ...]:
    """Return every place of the table, the United States first, then by region and name."""
    numbers = {"latitude_deg": "", "longitude_deg": "", "elevation": "m"}
    rows = records("climate/stations", numbers | dict.fromkeys(_MONTHS, "degC"))
    return tuple(
        Climate(
            place=row["place"],
            country=row["country"],
            region=row["region"],
            latitude_deg=row["latitude_deg"],
            longitude_deg=row["longitude_deg"],
            elevation_m=row["elevation"],
            monthly_air_c=tuple(row[month] for month in _MONTHS),
            period=row["period"],
            status=row["status"],
        )
        for row in rows
    )


def climate(place: str) -> Climate:
    """Return the climate of a place.

    Parameters
    ----------
    place : str
        City and two-letter code of state or province. Capitals, accents and dots do not matter.

    Returns
    -------
    Climate

    Raises
    ------
    UnknownChoiceError
        If the table lacks the place; the nearest names are given, and what the region has.

    Examples
    --------
    >>> round(climate("Duluth, MN").annual_mean_c, 1)
    4.3
    """
    by_key = _by_key()
    key = _key(place)
    if key in by_key:
        return by_key[key]
    raise UnknownChoiceError.of(
        "climate", value=place,
        allowed=f'one of {len(by_key)} places in the form "City, ST"',
        fix="did you mean " + " or ".join(_nearest(key)),
    )  # fmt: skip


@lru_cache(maxsize=1)
def _by_key() -> dict[str, Climate]:
    return {_key(found.place): found for found in climates()}


def _key(place: str) -> str:
    """Return a place in lower case without accents, dots and doubled blanks."""
    plain = unicodedata.normalize("NFKD", place).encode("ascii", "ignore").decode()
    return " ".join(plain.lower().replace(".", "").replace("'", "").replace(",", ", ").split())


def _nearest(key: str) -> list[str]:
    """Return up to five places: like-named ones first, then others of the same region."""
    by_key = _by_key()
    near = difflib.get_close_matches(key, by_key, n=3, cutoff=0.6)
    city, _, region = key.partition(", ")
    near += [other for other in by_key if other.startswith(f"{city}, ")]
    near += [other for other in by_key if region and other.endswith(f", {region}")]
    near = near or difflib.get_close_matches(key, by_key, n=3, cutoff=0.0)
    return [by_key[other].place for other in list(dict.fromkeys(near))[:4]]
