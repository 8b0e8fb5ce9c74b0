"""The register as a table for a spreadsheet: one row per quote, safe to open.

A cell of text that a spreadsheet would take for a formula is written with an apostrophe before
it, which the spreadsheet shows as plain text.
"""

from __future__ import annotations

import csv
import datetime as dt
from pathlib import Path
from typing import Any

from heatersel.errors import InputError
from heatersel.quote.money import money_text
from heatersel.quote.register import Register
from heatersel.quote.register_rows import Row

__all__ = ["COLUMNS", "export_table", "harmless"]

COLUMNS = (
    "id", "date", "valid_until", "state", "by", "title", "place", "recommended", "total",
    "currency", "policy", "price_book", "stored_at", "content_digest",
)  # fmt: skip
"""Columns of the table."""

_FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")


def export_table(register: Register, path: Path, on: dt.date) -> int:
    """Write all quotes to a CSV or Parquet file and return their number.

    Parameters
    ----------
    register : Register
        The register.
    path : pathlib.Path
        Ending in .csv or .parquet.
    on : datetime.date
        Day for which states are told.

    Raises
    ------
    InputError
        If the ending is another, the file cannot be written, or a library is missing.
    """
    rows = [_flat(row) for row in register.search(on=on, limit=0)]
    kind = path.suffix.lower()
    try:
        if kind == ".csv":
            _write_csv(path, rows)
        elif kind == ".parquet":
            _write_parquet(path, rows)
        else:
            raise InputError.of("output", value=str(path), fix="an example is quotes.csv",
                                allowed="a file ending in .csv, .parquet or .jsonl (a backup)",
                                )  # fmt: skip
    except OSError as trouble:
        raise InputError.of("output", value=str(path), allowed="a file that can be written",
                            fix=f"choose another place ({trouble.strerror})") from None  # fmt: skip
    return len(rows)


def harmless(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula.

    Notes
    -----
    Texts that begin with = + - @, a tab or a line end are read as formulae by common
    spreadsheets (OWASP, "CSV Injection", from memory); | and % are quoted as well.

    Examples
    --------
    >>> harmless("=1+1"), harmless("Duluth, MN")
    ("'=1+1", 'Duluth, MN')
    """
    bare = text.lstrip(" ")
    return f"'{text}" if bare.startswith(_FORMULA_SIGNS) else text


def _flat(row: Row) -> dict[str, Any]:
    cents = row["total_cents"]
    return {
        "id": row["id"], "date": row["date"], "valid_until": row["valid_until"],
        "state": row["state"], "by": row["by_name"], "title": row["title"],
        "place": row["place"], "recommended": row["recommended"],
        "total": None if cents is None else cents / 100, "currency": row["currency"],
        "policy": row["policy"], "price_book": row["price_book"], "stored_at": row["stored_at"],
        "content_digest": row["content_digest"],
    }  # fmt: skip


def _write_csv(path: Path, rows: list[dict[str, Any]]) -> None:
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow(COLUMNS)
        for row in rows:
            writer.writerow([_cell(name, row[name]) for name in COLUMNS])


def _cell(name: str, value: Any) -> str:
    if value is None:
        return ""
    if name == "total":
        return money_text(round(value * 100), "").replace(",", "").strip()
    return harmless(str(value))


def _write_parquet(path: Path, rows: list[dict[str, Any]]) -> None:
    try:
        import pyarrow  # type: ignore[import-untyped]  # it ships no types
        import pyarrow.parquet  # type: ignore[import-untyped]
    except ImportError:
        raise InputError.of("output", value=str(path), allowed="Parquet with the package pyarrow",
                            fix='pip install "heatersel[portfolio]", or write a .csv',
                            ) from None  # fmt: skip
    fields = [
        pyarrow.field(name, pyarrow.float64() if name == "total" else pyarrow.string())
        for name in COLUMNS
    ]
    table = pyarrow.Table.from_pylist(rows, schema=pyarrow.schema(fields))
    pyarrow.parquet.write_table(table, path)
