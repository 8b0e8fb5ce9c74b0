"""Invented houses whose traits are spread as published tables say, for planning without names.

Each trait is drawn by itself from its own table, by region; how traits hang together in real
houses (old heaters in old houses, large families in large ones) is left out, except that a house
with a fuel-fired heater has that fuel. Nobody lives in these houses, and every row says so. The
same seed gives the same houses, and more houses begin with the same ones.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from heatersel.climate import climates
from heatersel.errors import OutOfRangeError, UnknownChoiceError
from heatersel.reference import records

__all__ = ["HEADINGS", "invented_houses", "known_regions"]

HEADINGS = (
    "house", "note", "place.climate", "household.occupants.adults",
    "household.occupants.children", "household.bedrooms", "household.fixtures.shower",
    "home.heater_location", "home.room_volume [ft3]", "home.fuels", "home.panel.service [A]",
    "home.panel.spare_poles", "home.static_pressure [psi]", "existing.kind",
    "existing.energy_source", "existing.volume [gal]", "existing.installed",
    "preferences.setpoint [degF]",
)  # fmt: skip
"""Columns of the invented houses, as :func:`heatersel.portfolio.columns.columns_of` reads them."""

_NOTE = "invented"
_BLOCK = 10_000
_CLIMATE_REGIONS = ("us", "cold", "mixed_humid", "dry", "hot_humid", "marine")
_SIZES_GAL = {"small": 30, "medium": 40, "large": 50}
_TERRITORY_SHARES = {"electricity": 50.0, "fuel_oil": 50.0}
_MOST_BEDROOMS = 6

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class _Shares:
    """Values and how likely each is."""

    values: tuple[Any, ...]
    cumulative: Floats

    @classmethod
    def of(cls, weights: Mapping[Any, float]) -> _Shares:
        weight = np.array(list(weights.values()), dtype=float)
        return cls(tuple(weights), np.cumsum(weight) / weight.sum())

    def pick(self, uniform: float) -> Any:
        return self.values[min(int(np.searchsorted(self.cumulative, uniform, "right")),
                               len(self.values) - 1)]  # fmt: skip


def known_regions() -> tuple[str, ...]:
    """Return the codes of the states and provinces that houses can be invented for."""
    stations = {here.region for here in climates()}
    return tuple(row["region"] for row in _regions() if row["region"] in stations)


def invented_houses(
    n: int, *, regions: Sequence[str] = (), seed: int = 1, year: int
) -> Iterator[tuple[Any, ...]]:
    """Yield invented houses, each as a row under :data:`HEADINGS`.

    Parameters
    ----------
    n : int
        How many, 1 or more.
    regions : sequence of str
        Codes of states and provinces; all of both countries if not given. Houses are shared out
        by their people, and within each evenly over its climate stations.
    seed : int
        0 or more.
    year : int
        Calendar year that the age of heaters is counted back from.

    Yields
    ------
    tuple
        One house.

    Raises
    ------
    OutOfRangeError
        If n or seed is too small.
    UnknownChoiceError
        If a region is not known.
    """
    if n < 1 or seed < 0:
        raise OutOfRangeError.of("number of houses or seed", value=min(n, seed), allowed="houses "
                                 "1 or more, seed 0 or more", fix="an example is 1000")  # fmt: skip
    stations = _stations(tuple(dict.fromkeys(regions)))
    streams = [np.random.Generator(np.random.PCG64(seed=[seed, k])) for k in range(_N_STREAMS)]
    for start in range(0, n, _BLOCK):
        size = min(_BLOCK, n - start)
        uniform = np.array([stream.random(size) for stream in streams]).T
        for place, numbers in enumerate(uniform):
            yield _house(start + place + 1, stations, numbers.tolist(), year)


_STREAMS = (
    "station", "people", "children", "shower", "location", "service", "poles", "pressure",
    "setpoint", "fuel", "gas", "size", "age", "age_within", "bedrooms",
)  # fmt: skip
_N_STREAMS = len(_STREAMS)


def _house(number: int, stations: _Shares, uniform: list[float], year: int) -> tuple[Any, ...]:
    at = dict(zip(_STREAMS, uniform, strict=True))
    place, region = stations.pick(at["station"])
    heaters, traits = _heaters(region), _traits()
    people = int(_people().pick(at["people"]))
    children = 2 if at["children"] < traits["children"][str(people)] / 100.0 else 0
    source = heaters["fuel"].pick(at["fuel"])
    size = heaters["size"].pick(at["size"]) if source != "fuel_oil" else "small"
    first, _, last = heaters["age"].pick(at["age"]).partition("-")
    age = int(first) + int(at["age_within"] * (int(last) - int(first) + 1))
    location = _locations(region).pick(at["location"])
    has_gas = source == "natural_gas" or (
        source == "electricity" and at["gas"] < heaters["gas_beside"]
    )
    fuels = {"electricity", source} | ({"natural_gas"} if has_gas else set())
    return (
        f"invented-{number:07d}", _NOTE, place, people - children, children,
        min(_MOST_BEDROOMS, max(1, people - (at["bedrooms"] < 0.4) + (at["bedrooms"] > 0.8))),
        int(_shares("shower").pick(at["shower"])), location, traits["room_volume"][location],
        ";".join(sorted(fuels)), int(_shares("service").pick(at["service"])),
        int(_shares("spare_poles").pick(at["poles"])),
        int(_shares("static_pressure").pick(at["pressure"])),
        "tankless" if size == "tankless" else "storage", source, _SIZES_GAL.get(size, ""),
        year - age, int(_shares("setpoint").pick(at["setpoint"])),
    )  # fmt: skip


def _stations(regions: tuple[str, ...]) -> _Shares:
    """Return climate stations with their region, by the people they stand for."""
    known = known_regions()
    for region in regions:
        if region not in known:
            raise UnknownChoiceError.of(
                "--region", value=region, allowed=", ".join(known), fix="an example is MN"
            )
    places: dict[str, list[str]] = {}
    for here in climates():
        places.setdefault(here.region, []).append(here.place)
    people = {row["region"]: row["people"] for row in _regions()}
    return _Shares.of(
        {
            (place, region): people[region] / len(places[region])
            for region in regions or known
            for place in places[region]
        }
    )


@lru_cache(maxsize=1)
def _regions() -> tuple[dict[str, Any], ...]:
    return records("population/regions", {"people": ""})


@lru_cache(maxsize=1)
def _people() -> _Shares:
    rows = records("population/household_size", {"people": "", "share": ""})
    return _Shares.of({int(row["people"]): row["share"] for row in rows})


@lru_cache(maxsize=1)
def _traits() -> dict[str, dict[str, float]]:
    found: dict[str, dict[str, float]] = {}
    for row in records("population/house_traits", {"weight": ""}):
        found.setdefault(row["trait"], {})[row["value"]] = row["weight"]
    return found


@lru_cache(maxsize=16)
def _shares(trait: str) -> _Shares:
    return _Shares.of(_traits()[trait])


@lru_cache(maxsize=2)
def _locations_of(is_cold: bool) -> _Shares:
    """Return where heaters stand: in the cold not in a garage, in the heat not in a basement."""
    weights = _traits()["heater_location"]
    left_out = "garage" if is_cold else "basement"
    return _Shares.of({name: weight for name, weight in weights.items() if name != left_out})


def _locations(region: str) -> _Shares:
    return _locations_of(_climate_region(region) in ("cold", "mixed_humid", ""))


@lru_cache(maxsize=128)
def _climate_region(region: str) -> str:
    return next(str(row["climate_region"]) for row in _regions() if row["region"] == region)


@lru_cache(maxsize=128)
def _heaters(region: str) -> dict[str, Any]:
    """Return the shares of fuel, size and age of a state or province, and of gas beside."""
    climate_region = _climate_region(region) or "cold"
    table: dict[str, dict[str, float]] = {}
    for row in records("population/water_heaters_us", dict.fromkeys(_CLIMATE_REGIONS, "")):
        table.setdefault(row["trait"], {})[row["value"]] = row[climate_region] or 0.0
    fuels, homes = table["fuel"], table["homes"]
    without = homes["all"] - fuels["natural_gas"]
    beside = (homes["with_natural_gas"] - fuels["natural_gas"]) / without
    if not _climate_region(region):
        fuels, beside = _canadian_fuels(region), 0.0
    return {
        "fuel": _Shares.of({fuel: share for fuel, share in fuels.items() if share}),
        "size": _Shares.of(table["size"]),
        "age": _Shares.of(table["age"]),
        "gas_beside": beside,
    }


def _canadian_fuels(region: str) -> dict[str, float]:
    """Return fuels by the province's space heating; what it does not name is electricity."""
    named = ("natural_gas", "fuel_oil", "propane")
    columns = dict.fromkeys(("electricity", "wood", *named), "")
    for row in records("population/heating_fuel_canada", columns):
        if row["region"] == region:
            fuels = {fuel: row[fuel] or 0.0 for fuel in named}
            return {"electricity": 100.0 - sum(fuels.values()), **fuels}
    return dict(_TERRITORY_SHARES)
