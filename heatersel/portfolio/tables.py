"""The tables of the report, each also a CSV file of its own."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from heatersel.cautions.registry import rules
from heatersel.cost.sensitivity import CLASS_NAMES
from heatersel.heaters.heater import HeaterClass
from heatersel.job.words import meaning
from heatersel.portfolio.load import LoadStudy
from heatersel.portfolio.outcome import ALWAYS
from heatersel.portfolio.site_work import work_words
from heatersel.portfolio.store import write_whole
from heatersel.portfolio.summary import ENERGY, Group, Summary
from heatersel.portfolio.totals import Totals

__all__ = ["Table", "class_name", "tables_of", "write_tables"]

_QUANTILES = (0.10, 0.25, 0.50, 0.75, 0.90)
_SPREAD_WORDS = {
    "installed": "price of the installation",
    "saving_per_year": "saving a year",
    "co2_saving_kg_per_year": "CO2 saved a year [kg]",
    "cheapest_probability": "chance of being the cheapest",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of the report.

    Parameters
    ----------
    name : str
        Of its CSV file, without the ending.
    title : str
        What it shows.
    columns : tuple of str
        With their units in brackets.
    rows : tuple of tuple
        Text and plain numbers; NaN where nothing is known.
    """

    name: str
    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]

    def as_csv(self) -> bytes:
        """Return it as a CSV file."""
        text = io.StringIO()
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(self.columns)
        for row in self.rows:
            writer.writerow(["" if _is_unknown(cell) else cell for cell in row])
        return text.getvalue().encode()


def tables_of(summary: Summary, totals: Totals, study: LoadStudy) -> dict[str, Table]:
    """Return every table of the report by its name.

    Parameters
    ----------
    summary : Summary
        What the recommendations add up to.
    totals : Totals
        What was added up while computing.
    study : LoadStudy
        Electric load by group.
    """
    made: tuple[Callable[[], Table], ...] = (
        lambda: _who_gets_what(summary),
        lambda: _changes(summary),
        lambda: _options(summary),
        lambda: _before_after(summary),
        lambda: _regions(summary),
        lambda: _spread(summary),
        lambda: _site_work(summary),
        lambda: _to_measure(summary),
        lambda: _nothing_fits(summary),
        lambda: _at_risk(summary),
        lambda: _places(summary),
        lambda: _towns(summary),
        lambda: _defaults(totals),
        lambda: Table(name="electric_peaks", title="Electric load of water heaters at its peak",
                      columns=study.PEAK_COLUMNS, rows=study.peak_rows()),
        lambda: Table(name="electric_load", title="Electric load of water heaters by hour",
                      columns=study.HOUR_COLUMNS, rows=study.hour_rows()),
    )  # fmt: skip
    return {table.name: table for table in (make() for make in made)}


def write_tables(folder: Path, tables: Iterable[Table]) -> None:
    """Write each table into a folder as a CSV file; raise HeaterselError if the disk refuses."""
    folder.mkdir(exist_ok=True)
    for table in tables:
        write_whole(folder / f"{table.name}.csv", table.as_csv())


def class_name(heater_class: str) -> str:
    """Return what a customer calls a construction class; "unknown" for none."""
    return CLASS_NAMES[HeaterClass(heater_class)] if heater_class else "unknown"


def _who_gets_what(summary: Summary) -> Table:
    rows = []
    for (currency, heater_class), group in _largest(summary.by_class):
        number, house, reasons = summary.examples[heater_class]
        rows.append(
            (
                class_name(heater_class), currency, group.houses,
                group.houses / summary.houses,
                *(group.spreads[name].quantile(0.5) for name in _SPREAD_WORDS),
                house if house != str(number) else f"row {number}", "; ".join(reasons),
            )
        )  # fmt: skip
    return Table(
        name="who_gets_what", title="Who gets what, and why", rows=tuple(rows),
        columns=("heater", "currency", "houses", "share", "median price",
                 "median saving [1/yr]", "median CO2 saved [kg/yr]",
                 "median chance of being cheapest", "for example house", "because"),
    )  # fmt: skip


def _changes(summary: Summary) -> Table:
    rows = [
        (class_name(before), class_name(after), houses)
        for (before, after), houses in _by_count(summary.changes)
    ]
    return Table(name="changes", title="What takes the place of what",
                 columns=("now", "recommended", "houses"), rows=tuple(rows))  # fmt: skip


def _options(summary: Summary) -> Table:
    rows = [(name, id_, houses) for (id_, name), houses in _by_count(summary.options)]
    return Table(name="heaters", title="Heaters to have in stock",
                 columns=("heater", "id", "houses"), rows=tuple(rows))  # fmt: skip


def _before_after(summary: Summary) -> Table:
    rows: list[tuple[Any, ...]] = []
    for currency, group in sorted(summary.all.items()):
        pairs = [
            *((source.replace("_", " "), "kWh/yr", f"{source}_kwh") for source in ENERGY),
            ("cost", f"{currency}/yr", "per_year"),
            ("CO2", "kg/yr", "co2_kg_per_year"),
        ]
        for what, unit, column in pairs:
            before, after = (group.total(f"{when}_{column}") for when in ("before", "after"))
            rows.append((currency, what, unit, before, after, after - before))
    return Table(
        name="before_after",
        title="Before and after, over the houses whose present heater is known",
        columns=("currency of the houses", "what", "unit", "before", "after", "change"),
        rows=tuple(rows),
    )  # fmt: skip


def _regions(summary: Summary) -> Table:
    rows = [
        (region, currency, group.houses, group.compared, *_pairs(group), group.total("installed"))
        for (currency, region), group in sorted(summary.by_region.items(), key=lambda kv: kv[0][1])
    ]
    return Table(
        name="regions", title="By state and province", rows=tuple(rows),
        columns=("region", "currency", "houses", "compared", "cost before [1/yr]",
                 "cost after [1/yr]", "CO2 before [kg/yr]", "CO2 after [kg/yr]",
                 "price of all installations"),
    )  # fmt: skip


def _pairs(group: Group) -> tuple[float, ...]:
    return tuple(
        group.total(f"{when}_{column}")
        for column in ("per_year", "co2_kg_per_year")
        for when in ("before", "after")
    )


def _spread(summary: Summary) -> Table:
    rows = [
        (currency, said, group.spreads[name].n,
         *(group.spreads[name].quantile(share) for share in _QUANTILES))
        for currency, group in sorted(summary.all.items())
        for name, said in _SPREAD_WORDS.items()
    ]  # fmt: skip
    return Table(
        name="spread", title="How houses differ", rows=tuple(rows),
        columns=("currency", "amount", "houses",
                 *(f"{share:.0%} stay below" for share in _QUANTILES)),
    )  # fmt: skip


def _site_work(summary: Summary) -> Table:
    said = {rule.id: (rule.subject, rule.trigger) for rule in rules()}
    rows = [
        (id_, work_words(id_), *said.get(id_, ("", "")), houses)
        for id_, houses in _by_count(summary.words["must_cautions"])
        if id_ != ALWAYS
    ]
    return Table(name="site_work", title="What must be done on site first",
                 columns=("caution", "work", "subject", "where", "houses"),
                 rows=tuple(rows))  # fmt: skip


def _to_measure(summary: Summary) -> Table:
    rows = [
        (field, meaning(field), houses) for field, houses in _by_count(summary.words["to_measure"])
    ]
    return Table(name="to_measure", title="What is still to be measured",
                 columns=("field", "meaning", "houses"), rows=tuple(rows))  # fmt: skip


def _nothing_fits(summary: Summary) -> Table:
    return Table(name="nothing_fits", title="Why nothing fits some houses",
                 columns=("reason", "houses"),
                 rows=tuple(_by_count(summary.words["nothing_fits_because"])))  # fmt: skip


def _at_risk(summary: Summary) -> Table:
    rows = [
        (risk.house, risk.row, risk.place, class_name(risk.before_class), risk.age_years,
         risk.chance_frac, risk.option_name)
        for risk in summary.at_risk
    ]  # fmt: skip
    return Table(
        name="at_risk", title="Heaters most likely to fail within a year", rows=tuple(rows),
        columns=("house", "row", "place", "heater now", "age [year]", "chance", "recommended"),
    )  # fmt: skip


def _places(summary: Summary) -> Table:
    rows = [
        (name, latitude, longitude, classes.total(), class_name(max(classes, key=lambda c: (
            classes[c], c))))
        for (latitude, longitude, name), classes in sorted(summary.places.items())
    ]  # fmt: skip
    return Table(
        name="places", title="By place", rows=tuple(rows),
        columns=("place", "latitude [deg]", "longitude [deg]", "houses", "most often recommended"),
    )  # fmt: skip


def _towns(summary: Summary) -> Table:
    rows = [
        (place, class_name(heater_class), houses)
        for place, classes in sorted(summary.towns.items())
        for heater_class, houses in _by_count(classes)
    ]
    return Table(name="towns", title="By climate station", rows=tuple(rows),
                 columns=("climate station", "recommended", "houses"))  # fmt: skip


def _defaults(totals: Totals) -> Table:
    rows = [(field, houses, *totals.assumed[field]) for field, houses in _by_count(totals.defaults)]
    return Table(
        name="defaults", title="What was assumed where the file says nothing", rows=tuple(rows),
        columns=("field", "houses", "value, SI", "source"),
    )  # fmt: skip


def _by_count(counts: Any) -> list[tuple[Any, int]]:
    """Return what was counted, the most frequent first, in an order that does not depend on it."""
    return sorted(counts.items(), key=lambda item: (-item[1], item[0]))


def _largest(groups: dict[tuple[str, str], Group]) -> list[tuple[tuple[str, str], Group]]:
    return sorted(groups.items(), key=lambda item: (-item[1].houses, item[0]))


def _is_unknown(cell: Any) -> bool:
    return isinstance(cell, float) and math.isnan(cell)
