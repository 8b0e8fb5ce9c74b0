"""Read a company's table, CSV or XLSX, as text cells that remember where they stand."""

from __future__ import annotations

import csv
import datetime as dt
import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from heatersel.errors import InputError

__all__ = ["Sheet", "SheetRow", "column_letter", "read_sheet"]

_MOST_BYTES = 5_000_000
_MOST_ROWS = 20_000
_MOST_COLUMNS = 100
_DELIMITERS = (",", ";", "\t")


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetRow:
    """One row below the headings.

    Parameters
    ----------
    line : int
        Line of a CSV file (the last one, where a cell holds line breaks) or row of a sheet.
    cells : tuple of str
        Text of each cell, stripped; as many as there are headings.
    """

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A table with one heading row.

    Parameters
    ----------
    file : str
        Where it was read from.
    line : int
        Line of the headings.
    headings : tuple of str
        As they stand.
    rows : tuple of SheetRow
        Rows with anything in them.
    """

    file: str
    line: int
    headings: tuple[str, ...]
    rows: tuple[SheetRow, ...]


def column_letter(index: int) -> str:
    """Return the letter that a spreadsheet shows over a column, from 0.

    Examples
    --------
    >>> column_letter(0), column_letter(26)
    ('A', 'AA')
    """
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def read_sheet(path: Path) -> Sheet:
    """Return the table of a CSV or XLSX file (its first sheet).

    Parameters
    ----------
    path : pathlib.Path
        CSV in UTF-8, separated by commas, semicolons or tabs; or XLSX.

    Returns
    -------
    Sheet
        Every cell as text: a date as 2027-01-31, a number in plain digits, a cell that is shown
        in percent as that percentage.

    Raises
    ------
    InputError
        If the file cannot be read, is too large, is empty, has a row longer than its headings,
        or a formula without a stored value.
    """
    file = str(path)
    try:
        size = path.stat().st_size
        if size > _MOST_BYTES:
            raise InputError.of(file, value=f"{size:,} bytes", allowed=f"up to {_MOST_BYTES:,}",
                                fix="is this the right file?")  # fmt: skip
        grid = _xlsx(path) if path.suffix.lower() == ".xlsx" else _csv(path)
        lines = [(line, cells) for line, cells in grid if any(cells)]
    except FileNotFoundError:
        raise InputError.of(
            file, value="missing", allowed="an existing file", fix="check the name"
        ) from None
    except (OSError, UnicodeDecodeError, csv.Error) as trouble:
        raise InputError.of(
            file, value="unreadable", allowed="a CSV file in UTF-8 or an XLSX file",
            fix=f"save it again as one of them ({trouble})",
        ) from None  # fmt: skip
    if len(lines) < 2:
        raise InputError.of(file, value="empty", allowed="a heading row and a row for each price",
                            fix="is this the right file?")  # fmt: skip
    (first, headings), *rest = lines
    while headings and not headings[-1]:
        headings = headings[:-1]
    return Sheet(file=file, line=first, headings=tuple(headings),
                 rows=tuple(_fitted(file, line, cells, len(headings)) for line, cells in rest),
                 )  # fmt: skip


def _fitted(file: str, line: int, cells: list[str], width: int) -> SheetRow:
    """Return a row with as many cells as there are headings."""
    extra = next((cell for cell in cells[width:] if cell), None)
    if extra is not None:
        raise InputError.of(
            f"column {column_letter(width)}", value=repr(extra), file=file, line=line,
            allowed=f"cells under the {width} headings",
            fix="put quotes around a text that holds the separator, or give the column a heading",
        )  # fmt: skip
    return SheetRow(line=line, cells=tuple((cells + [""] * width)[:width]))


def _csv(path: Path) -> Iterator[tuple[int, list[str]]]:
    text = path.read_text(encoding="utf-8-sig")
    if "\0" in text:
        raise csv.Error("it holds bytes that are no text")
    first = text.lstrip().partition("\n")[0]
    delimiter = max(_DELIMITERS, key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    for count, cells in enumerate(reader):
        _not_too_long(path, count)
        yield reader.line_num, [cell.strip() for cell in cells]


def _xlsx(path: Path) -> Iterator[tuple[int, list[str]]]:
    try:
        import openpyxl
    except ImportError:
        raise InputError.of(
            str(path), allowed="CSV, or XLSX with the openpyxl package",
            fix="save it as CSV, or: pip install openpyxl",
        ) from None  # fmt: skip
    import zipfile

    try:
        shown = openpyxl.load_workbook(path, read_only=True, data_only=True)
        typed = openpyxl.load_workbook(path, read_only=True)
    except (zipfile.BadZipFile, KeyError, ValueError, TypeError) as trouble:
        raise OSError(str(trouble)) from None
    try:
        pairs = zip(*(book.worksheets[0].iter_rows() for book in (shown, typed)), strict=True)
        for count, (row, formulas) in enumerate(pairs):
            _not_too_long(path, count)
            line = count + 1
            yield (
                line,
                [
                    _cell_text(path, line, index, cell, formula.value)
                    for index, (cell, formula) in enumerate(zip(row, formulas, strict=True))
                    if index < _MOST_COLUMNS
                ],
            )
    finally:
        shown.close()
        typed.close()


def _not_too_long(path: Path, count: int) -> None:
    if count > _MOST_ROWS:
        raise InputError.of(str(path), value=f"over {_MOST_ROWS:,} rows",
                            allowed=f"up to {_MOST_ROWS:,}", fix="is this the right file?",
                            )  # fmt: skip


def _cell_text(path: Path, line: int, index: int, cell: Any, formula: Any) -> str:
    """Return a cell as text; raise InputError for a formula that was never calculated."""
    value = cell.value
    if value is None and isinstance(formula, str) and formula.startswith("="):
        raise InputError.of(
            f"cell {column_letter(index)}{line}", value=formula[:40], file=str(path), line=line,
            allowed="a value, or a formula with its result stored",
            fix="open the file in the spreadsheet program once and save it",
        )  # fmt: skip
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dt.datetime | dt.date):
        return value.isoformat()[:10]
    if isinstance(value, int | float):
        scale = 100.0 if "%" in (cell.number_format or "") else 1.0
        return f"{round(value * scale, 9):.9f}".rstrip("0").rstrip(".")
    return str(value or "").strip()
