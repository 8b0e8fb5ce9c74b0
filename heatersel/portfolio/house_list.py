"""The list of all houses as a CSV file: what each gets, what it saves and what comes first.

For those who plan visits and write letters with a spreadsheet; the Parquet tables hold more. It
is written part by part, so that memory does not grow with the houses.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from heatersel.portfolio.outcome import ALWAYS
from heatersel.portfolio.rows import pyarrow_module
from heatersel.portfolio.site_work import field_words, work_words
from heatersel.portfolio.store import whole
from heatersel.portfolio.tables import class_name

__all__ = ["HOUSE_COLUMNS", "write_house_list"]

HOUSE_COLUMNS = (
    "row", "house", "place", "heater now", "age [year]", "chance of failing within a year",
    "recommended", "price", "currency", "saved a year", "CO2 saved [kg/yr]",
    "chance of being the cheapest", "work to do first", "still to be measured", "why",
)  # fmt: skip
_READ = (
    "row", "house", "place", "before_class", "before_age_years", "fails_within_a_year_frac",
    "option_name", "installed", "currency", "before_per_year", "after_per_year",
    "before_co2_kg_per_year", "after_co2_kg_per_year", "cheapest_probability", "must_cautions",
    "to_measure", "reasons", "nothing_fits_because",
)  # fmt: skip


def write_house_list(folder: Path) -> Path:
    """Write tables/houses.csv for what is finished in the folder of a run.

    Parameters
    ----------
    folder : pathlib.Path
        Of the run.

    Returns
    -------
    pathlib.Path
        The file; a line for each house that was computed, in the order of the rows.

    Raises
    ------
    HeaterselError
        If the file cannot be written.
    """
    _, parquet = pyarrow_module()
    path = folder / "tables" / "houses.csv"
    path.parent.mkdir(exist_ok=True)
    with whole(path) as out:
        text = io.TextIOWrapper(out, encoding="utf-8", newline="", write_through=True)
        writer = csv.writer(text, lineterminator="\n")
        writer.writerow(HOUSE_COLUMNS)
        for part in sorted((folder / "recommendations").glob("part-*.parquet")):
            writer.writerows(_lines(parquet.read_table(part, columns=list(_READ)).to_pylist()))
        text.detach()
    return path


def _lines(rows: list[dict[str, Any]]) -> Iterator[tuple[Any, ...]]:
    for row in rows:
        work = [work_words(id_) for id_ in row["must_cautions"] if id_ != ALWAYS]
        measured = [field_words(field) for field in row["to_measure"]]
        yield (
            row["row"], row["house"], row["place"], class_name(row["before_class"] or ""),
            row["before_age_years"], _rounded(row["fails_within_a_year_frac"], 3),
            row["option_name"] or "nothing fits", _rounded(row["installed"], 0), row["currency"],
            _saved(row, "per_year"), _saved(row, "co2_kg_per_year"),
            _rounded(row["cheapest_probability"], 2), "; ".join(work), "; ".join(measured),
            "; ".join(row["reasons"] or row["nothing_fits_because"]),
        )  # fmt: skip


def _saved(row: dict[str, Any], column: str) -> float | None:
    before, after = row[f"before_{column}"], row[f"after_{column}"]
    return None if before is None or after is None else _rounded(before - after, 0)


def _rounded(amount: float | None, digits: int) -> float | None:
    return None if amount is None else round(amount, digits or None)
