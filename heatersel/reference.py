"""The only reader of the data tables under datasets/.

A table is a CSV file whose headings carry their units ("volume [gal]"), beside a sidecar
`<stem>.source.toml` that states where every number comes from. :func:`records` converts the
numeric columns to the units the caller asks for; :func:`read_records` does the same for a file
of the user's own and reports each bad cell with file, line and column.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from heatersel import units
from heatersel.errors import DataError, Fault, InputError

__all__ = ["Record", "dataset_path", "datasets_folder", "read_records", "records", "sidecar"]

Record = dict[str, Any]

_PACKAGE = Path(__file__).parent


@lru_cache(maxsize=1)
def datasets_folder() -> Path:
    """Return the folder of data tables, inside the installed package or beside it in a checkout."""
    for folder in (_PACKAGE / "datasets", _PACKAGE.parent / "datasets"):
        if folder.is_dir():
            return folder
    raise DataError.of("datasets", allowed="the folder that ships with heatersel", fix="reinstall")


def dataset_path(name: str) -> Path:
    """Return the path of a file under datasets/; raise DataError if it is not there."""
    path = datasets_folder() / name
    if not path.exists():
        raise DataError.of(name, allowed="a file under datasets/", fix="reinstall heatersel")
    return path


@cache
def sidecar(name: str) -> Record:
    """Return the source sheet of a table: title, publisher, year, status and so on."""
    return tomllib.loads(dataset_path(f"{name}.source.toml").read_text(encoding="utf-8"))


def records(name: str, numbers: Mapping[str, str]) -> tuple[Record, ...]:
    """Return the rows of a shipped table.

    Parameters
    ----------
    name : str
        Path under datasets/ without the ending, such as "heaters/generic".
    numbers : mapping of str to str
        Numeric columns and the unit each is wanted in; "" for a plain number. All other
        columns stay text.

    Returns
    -------
    tuple of dict
        One per row; an empty numeric cell is None.

    Raises
    ------
    DataError
        If the table is missing or a cell is not a number.
    """
    kept = _kept_records(name, tuple(numbers.items()))
    return tuple(row.copy() for row in kept)  # what a caller does to its rows stays with it


@cache
def _kept_records(name: str, numbers: tuple[tuple[str, str], ...]) -> tuple[Record, ...]:
    found, faults = read_records(dataset_path(f"{name}.csv"), dict(numbers))
    if faults:
        raise DataError(*faults)
    return found


def read_records(
    path: Path, numbers: Mapping[str, str]
) -> tuple[tuple[Record, ...], tuple[Fault, ...]]:
    """Return the rows of any CSV file and the faults of its cells.

    Parameters
    ----------
    path : pathlib.Path
        The file; UTF-8, one heading row.
    numbers : mapping of str to str
        As for :func:`records`.

    Returns
    -------
    rows : tuple of dict
        One per row, with its line number under "line".
    faults : tuple of Fault
        Every cell that is not a number and every row with cells too few or too many, which is
        left out; with file, line and column.

    Raises
    ------
    InputError
        If the file cannot be read or a heading is unusable.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        raise InputError.of(
            str(path), value="missing", allowed="an existing CSV file", fix="check the name"
        ) from None
    except (OSError, UnicodeDecodeError) as trouble:
        raise InputError.of(
            str(path), value="unreadable", allowed="a CSV file in UTF-8", fix=str(trouble)
        ) from None
    reader = csv.reader(text.splitlines())
    columns = [_column(title, numbers, path) for title in next(reader, [])]
    rows: list[Record] = []
    faults: list[Fault] = []
    for cells in reader:
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) != len(columns):
            faults.append(
                Fault(name="row", value=f"{len(cells)} cells", file=str(path),
                      allowed=f"{len(columns)}, one under each heading", line=reader.line_num,
                      fix="put a text that holds a comma in quotes"),
            )  # fmt: skip
            continue
        row: Record = {"line": reader.line_num}
        for (name, scale), cell in zip(columns, cells, strict=True):
            row[name] = _cell(cell.strip(), scale, path, reader.line_num, name, faults)
        rows.append(row)
    return tuple(rows), tuple(faults)


_Scale = tuple[float, float] | None


def _column(title: str, numbers: Mapping[str, str], path: Path) -> tuple[str, _Scale]:
    """Return a column's name and its conversion (offset, factor), None for a text column."""
    try:
        name, unit = units.heading(title)
        wanted = numbers.get(name)
        if wanted is None:
            return name, None
        if wanted and not unit:
            raise InputError.of(
                "unit", value="without a unit", allowed=f"a unit that converts to {wanted}"
            )
        if unit and not wanted:
            raise InputError.of(
                "unit", value=f"in {unit}", allowed="no unit", fix=f"head it {name}"
            )
        if not unit:
            return name, (0.0, 1.0)
        zero = units.convert(0.0, unit, wanted)
        return name, (zero, units.convert(1.0, unit, wanted) - zero)
    except InputError as trouble:
        fault = trouble.faults[0]
        raise InputError.of(
            f"column {title!r}", value=fault.value, allowed=fault.allowed, file=str(path), line=1,
            fix=fault.fix or 'head it like "volume [gal]"',
        ) from None  # fmt: skip


def _cell(
    cell: str, scale: _Scale, path: Path, line: int, name: str, faults: list[Fault]
) -> float | str | None:
    if scale is None:
        return cell
    if not cell:
        return None
    try:
        return scale[0] + scale[1] * float(cell)
    except ValueError:
        faults.append(
            Fault(name=name, value=cell, allowed="a number", fix="correct the cell",
                  file=str(path), line=line)
        )  # fmt: skip
        return None
