"""What the recommendations of a run add up to, read part by part.

Sums are kept as whole numbers of millionths, so that they are those of the rows however the
houses were shared out. Before and after are compared over the houses for which both are known.
"""

from __future__ import annotations

import heapq
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from heatersel.heaters.heater import EnergySource
from heatersel.portfolio.rows import pyarrow_module
from heatersel.portfolio.spread import Spread

__all__ = ["ENERGY", "Group", "Risk", "Summary", "summarise"]

ENERGY = tuple(source.value for source in EnergySource)
_MICRO = 1_000_000
_BOTH = (
    *(f"{when}_{source}_kwh" for when in ("before", "after") for source in ENERGY),
    "before_per_year",
    "after_per_year",
    "before_co2_kg_per_year",
    "after_co2_kg_per_year",
)
_SPREADS = ("installed", "saving_per_year", "co2_saving_kg_per_year", "cheapest_probability")
_WORDS = ("must_cautions", "to_measure", "nothing_fits_because")
_COLUMNS = (
    "row", "house", "place", "region", "latitude_deg", "longitude_deg", "located", "option_id",
    "option_name", "heater_class", "currency", "reasons", "installed", "cheapest_probability",
    "before_class", "before_age_years", "fails_within_a_year_frac", "site_work", *_WORDS, *_BOTH,
)  # fmt: skip
_MOST_AT_RISK = 50
_NEAR_DEG = 0.1


@dataclass(kw_only=True)
class Group:
    """Sums over some of the houses.

    Parameters
    ----------
    houses, compared : int
        With a recommendation; with a present heater to compare with as well.
    micro : Counter of str
        Sums by column, in millionths: `installed` over the houses, the rest over those compared.
    spreads : dict of str to Spread
        Of installed price, saving and so on.
    """

    houses: int = 0
    compared: int = 0
    micro: Counter[str] = field(default_factory=Counter)
    spreads: dict[str, Spread] = field(default_factory=lambda: defaultdict(Spread))

    def total(self, column: str) -> float:
        """Return the sum of a column."""
        return self.micro[column] / _MICRO

    def add(self, rows: Any) -> None:
        """Add the rows of a table of recommendations."""
        both = rows[rows["before_per_year"].notna()]
        self.houses += len(rows)
        self.compared += len(both)
        self.micro["installed"] += _micro(rows["installed"])
        for column in _BOTH:
            self.micro[column] += _micro(both[column])
        for column in _SPREADS:
            self.spreads[column].add(rows[column].to_numpy(float))


@dataclass(frozen=True, slots=True, order=True)
class Risk:
    """A heater that may fail soon: chance within a year, age, class, and where it stands."""

    chance_frac: float
    row: int
    house: str
    place: str
    before_class: str
    age_years: float
    option_name: str


@dataclass(kw_only=True)
class Summary:
    """What a run adds up to.

    Parameters
    ----------
    houses : int
        Houses computed, with a recommendation or without.
    all : dict of currency to Group
        Over all houses with a recommendation.
    by_class, by_region : dict of (currency, word) to Group
        By construction class recommended, and by state or province.
    changes : Counter of (before, after)
        Houses by construction class of the present and the recommended heater.
    options : Counter of (str, str)
        Houses by id and name of the recommended heater.
    words : dict of str to Counter
        Site work, measurements and causes, by their column.
    site_work : int
        Houses with work to do first.
    places : dict of (latitude, longitude, name) to Counter
        Houses by construction class recommended, on a grid of 0.1°.
    towns : dict of str to Counter
        Houses by construction class recommended, by climate station.
    expected_failures : float
        Sum of the chances that a heater fails within a year.
    known_ages : int
        Heaters of known age.
    at_risk : list of Risk
        The heaters most likely to fail, the first ones first.
    examples : dict of str to (int, str, tuple of str)
        For each construction class the first house, its name and its reasons.
    """

    houses: int = 0
    all: dict[str, Group] = field(default_factory=lambda: defaultdict(Group))
    by_class: dict[tuple[str, str], Group] = field(default_factory=lambda: defaultdict(Group))
    by_region: dict[tuple[str, str], Group] = field(default_factory=lambda: defaultdict(Group))
    changes: Counter[tuple[str, str]] = field(default_factory=Counter)
    options: Counter[tuple[str, str]] = field(default_factory=Counter)
    words: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    site_work: int = 0
    places: dict[tuple[float, float, str], Counter[str]] = field(
        default_factory=lambda: defaultdict(Counter)
    )
    towns: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    failures_micro: int = 0
    known_ages: int = 0
    at_risk: list[Risk] = field(default_factory=list)
    examples: dict[str, tuple[int, str, tuple[str, ...]]] = field(default_factory=dict)

    @property
    def recommended(self) -> int:
        """Houses with a recommendation."""
        return sum(group.houses for group in self.all.values())

    @property
    def expected_failures(self) -> float:
        """Heaters that will fail within a year, on average."""
        return self.failures_micro / _MICRO

    def add(self, rows: Any) -> None:
        """Add the rows of a table of recommendations, as pandas reads it."""
        self.houses += len(rows)
        for column in _WORDS:
            self.words[column].update(word for words in rows[column] for word in words)
        self._count_risks(rows[rows["fails_within_a_year_frac"].notna()])
        rows = rows.assign(
            saving_per_year=rows["before_per_year"] - rows["after_per_year"],
            co2_saving_kg_per_year=rows["before_co2_kg_per_year"] - rows["after_co2_kg_per_year"],
        )
        best = rows[rows["option_id"].notna()]
        self.site_work += int(best["site_work"].sum())
        self.options.update(zip(best["option_id"], best["option_name"], strict=True))
        self.changes.update(zip(_or_empty(best["before_class"]), best["heater_class"], strict=True))
        for currency, group in best.groupby("currency"):
            self.all[currency].add(group)
        for key, group in best.groupby(["currency", "heater_class"]):
            self.by_class[key].add(group)
            self._keep_example(key[1], group)
        for key, group in best.groupby(["currency", "region"]):
            self.by_region[key].add(group)
        for place, group in best.groupby("place"):
            self.towns[place].update(group["heater_class"].tolist())
        self._place(best)

    def _keep_example(self, heater_class: str, rows: Any) -> None:
        first = rows.loc[rows["row"].idxmin()]
        found = (int(first["row"]), str(first["house"]), tuple(first["reasons"]))
        self.examples[heater_class] = min(self.examples.get(heater_class, found), found)

    def _count_risks(self, rows: Any) -> None:
        self.known_ages += len(rows)
        self.failures_micro += _micro(rows["fails_within_a_year_frac"])
        rows = rows.assign(option_name=_or_empty(rows["option_name"]))
        worst = rows.nlargest(_MOST_AT_RISK, "fails_within_a_year_frac")
        found = (
            Risk(
                chance_frac=float(row.fails_within_a_year_frac), row=int(row.row),
                house=str(row.house), place=str(row.place), before_class=str(row.before_class),
                age_years=float(row.before_age_years), option_name=str(row.option_name),
            )
            for row in worst.itertuples()
        )  # fmt: skip
        self.at_risk = heapq.nlargest(
            _MOST_AT_RISK, [*self.at_risk, *found], key=lambda risk: (risk.chance_frac, -risk.row)
        )

    def _place(self, rows: Any) -> None:
        located = rows["located"].to_numpy(bool)
        grid = {
            axis: np.where(
                located, np.round(rows[axis].to_numpy(float) / _NEAR_DEG) * _NEAR_DEG, rows[axis]
            ).round(4)
            for axis in ("latitude_deg", "longitude_deg")
        }
        names = np.where(located, "", rows["place"])
        for latitude, longitude, name, heater_class in zip(
            grid["latitude_deg"], grid["longitude_deg"], names, rows["heater_class"], strict=True
        ):
            self.places[float(latitude), float(longitude), str(name)][heater_class] += 1


def summarise(folder: Path) -> Summary:
    """Return what the recommendations of a run add up to.

    Parameters
    ----------
    folder : pathlib.Path
        Of the run; what is finished is taken, also of a run under way.

    Returns
    -------
    Summary
        The same for any number of workers and any size of partition.
    """
    summary = Summary()
    for rows in _tables(folder / "recommendations"):
        summary.add(rows)
    return summary


def _tables(folder: Path) -> Iterator[Any]:
    _, parquet = pyarrow_module()
    for path in sorted(folder.glob("part-*.parquet")):
        yield parquet.read_table(path, columns=list(_COLUMNS)).to_pandas()


def _micro(amounts: Iterable[float]) -> int:
    """Return the sum of amounts in millionths; what is not known is passed over."""
    known = np.nan_to_num(np.asarray(amounts, dtype=float))
    return sum(map(int, np.rint(known * _MICRO).tolist()))


def _or_empty(words: Iterable[Any]) -> list[str]:
    """Return words, an empty one where nothing is known."""
    return [word if isinstance(word, str) else "" for word in words]
