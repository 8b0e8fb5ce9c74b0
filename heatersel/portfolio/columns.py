"""The columns of a file of houses: the keys of a job file, with the unit in the heading.

A column is named as its value would stand in a job file, dotted by table, and a quantity states
its unit: ``household.occupants``, ``place.main_depth [ft]``, ``prices.electricity [USD/kWh]``.
A cell is put together with its unit into the text that a job file would hold, and is read by the
same models, so that a row and a job file give the same job to the last digit. An empty cell and
a missing column are values that were not given. Several values in a cell stand apart by ";".

Four more columns say which house it is and never reach the job: ``house``, a name or number of
the user's own; ``latitude`` and ``longitude`` in degrees, for the map; ``note``.
"""

from __future__ import annotations

import datetime as dt
import difflib
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from heatersel import units
from heatersel.errors import Fault, InputError
from heatersel.job.answer import meant
from heatersel.job.keys import Key, key_at, keys_of
from heatersel.job.models import Job
from heatersel.job.quantities import Quantity
from heatersel.job.table import InputTable
from heatersel.job.words import example

__all__ = [
    "OWN",
    "Column",
    "Identity",
    "column_names",
    "columns_of",
    "example_unit",
    "identity_of",
    "tables_of",
]

OWN = ("house", "latitude", "longitude", "note")
_REQUIRED = ("household.occupants", "place.climate")
_READINGS = "household.bills.monthly"
_TARIFF_WAYS = ("tariff", "file")
_SOURCE_PRICES = tuple(
    f"prices.{key.name}.{way}"
    for key in keys_of(key_at("prices").table or Job)  # type: ignore[union-attr]
    if key.rows is not None and not key.is_list
    for way in _TARIFF_WAYS
)
_HEADING = re.compile(r"\s*([A-Za-z0-9_.]+)\s*(?:\[\s*([^\]]+?)\s*\])?\s*")
_AMOUNT = re.compile(r"[-+]?[0-9][0-9.,]* ")
_TRIAL_AMOUNTS = ("1", "1000", "0.01")
_LONGEST_NAME = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a file of houses.

    Parameters
    ----------
    heading : str
        As it stands in the file.
    name : str
        Dotted key of the job file, or a column of our own.
    unit : str
        Unit of its cells, empty for none.
    key : Key or None
        What a job file allows there; None for what is read as text.
    """

    heading: str
    name: str
    unit: str
    key: Key | None

    @property
    def is_own(self) -> bool:
        """Whether it says which house it is and does not belong to the job."""
        return self.name in OWN

    def value(self, cell: object) -> Any:
        """Return what a job file would hold for a cell; None if the cell is empty.

        Parameters
        ----------
        cell : object
            Text of a CSV file, or a value of a Parquet file.
        """
        text = _text(cell)
        if text is None:
            return None
        if self.unit:
            parts = [part.strip() for part in text.split(";")]
            amounts = [f"{part} {self.unit}" if part else "" for part in parts]
            is_list = self.name == _READINGS or (self.key is not None and self.key.is_list)
            return amounts if is_list and len(amounts) > 1 else "; ".join(amounts)
        if self.key is None:
            return text
        return meant(text, self.key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """Which house a row is.

    Parameters
    ----------
    row : int
        Number of the row, the first one below the headings is 1.
    house : str
        The user's name for it, else the number of the row.
    latitude_deg, longitude_deg : float or None
        Where it stands; None if the file does not say. [deg]
    """

    row: int
    house: str
    latitude_deg: float | None = None
    longitude_deg: float | None = None


def columns_of(headings: Sequence[str], file: str = "") -> tuple[Column, ...]:
    """Return the columns of a file of houses.

    Parameters
    ----------
    headings : sequence of str
        The first row of the file.
    file : str
        For the messages.

    Returns
    -------
    tuple of Column
        In the order of the file.

    Raises
    ------
    InputError
        Every heading that is not a key, lacks its unit, has a unit of another kind or stands
        there twice, and every column that cannot be done without.
    """
    columns: list[Column] = []
    faults: list[Fault] = []
    for heading in headings:
        try:
            columns.append(_column(heading))
        except InputError as trouble:
            faults += trouble.faults
    faults += _clashes([column.name for column in columns])
    if not faults:
        faults += _missing([column.name for column in columns])
    if faults:
        raise InputError(*(_in_file(fault, file) for fault in faults))
    return tuple(columns)


def column_names() -> tuple[str, ...]:
    """Return every name that a column may have, in the order of the job file."""
    return (*OWN, *_names(Job), *_SOURCE_PRICES)


def tables_of(columns: Sequence[Column], cells: Sequence[object]) -> dict[str, Any]:
    """Return the tables of the job of one row, not validated.

    Parameters
    ----------
    columns : sequence of Column
        As :func:`columns_of` gives them.
    cells : sequence
        The cells of the row, one per column.

    Returns
    -------
    dict
        As a job file gives them.

    Raises
    ------
    InputError
        If the row has more or fewer cells than there are columns, or holds broken text.
    """
    if len(cells) != len(columns):
        raise InputError.of(
            "row", value=f"{len(cells)} cells", allowed=f"{len(columns)}, one for each heading",
            fix="look for a missing quotation mark or a comma inside a cell",
        )  # fmt: skip
    tree: dict[str, Any] = {}
    for column, cell in zip(columns, cells, strict=True):
        if isinstance(cell, str) and not cell.isprintable():
            _refuse_broken_text(column, cell)
        value = None if column.is_own else column.value(cell)
        if value is not None:
            *path, last = column.name.split(".")
            table = tree
            for part in path:
                table = table.setdefault(part, {})
            table[last] = value
    return tree


def identity_of(columns: Sequence[Column], cells: Sequence[object], row: int) -> Identity:
    """Return which house a row is; a cell that is no coordinate is taken as not given.

    Parameters
    ----------
    columns, cells
        As for :func:`tables_of`; missing cells are not given.
    row : int
        Number of the row from 1.
    """
    own = {
        column.name: _text(cell)
        for column, cell in zip(columns, cells, strict=False)
        if column.is_own
    }
    return Identity(
        row=row,
        house=(own.get("house") or str(row))[:_LONGEST_NAME],
        latitude_deg=_degrees(own.get("latitude"), 90.0),
        longitude_deg=_degrees(own.get("longitude"), 180.0),
    )


def _column(heading: str) -> Column:
    match = _HEADING.fullmatch(heading)
    if not match:
        raise InputError.of(
            f"column {heading!r}", value="not a heading", allowed="a key of a job file",
            fix='head it like "household.occupants" or "place.main_depth [ft]"',
        )  # fmt: skip
    name, unit = match[1], match[2] or ""
    if name in OWN:
        return Column(heading=heading, name=name, unit="", key=None)
    if name in _SOURCE_PRICES:
        return _without_unit(Column(heading=heading, name=name, unit=unit, key=None))
    key = key_at(name)
    if key is None or not _is_cell(name, key):
        raise _unknown(heading, name)
    column = Column(heading=heading, name=name, unit=unit, key=key)
    return _with_unit(column, key) if _takes_unit(name, key) else _without_unit(column)


def _takes_unit(name: str, key: Key) -> bool:
    """Return whether a key's value is an amount of something; hours of the day are not."""
    amount = key.reader is not None and bool(_AMOUNT.match(_shown(name)))
    return amount or name == _READINGS


def _is_cell(name: str, key: Key) -> bool:
    """Return whether a key's value fits into one cell; lists of tables do not."""
    return name in ("household.occupants", _READINGS) or key.table is None


def _with_unit(column: Column, key: Key) -> Column:
    unit = example_unit(column.name)
    if not column.unit:
        raise InputError.of(
            f"column {column.heading!r}", value="without a unit",
            allowed="a heading that states the unit of its cells",
            fix=f'head it "{column.name} [{unit}]" or with another unit of that kind',
        )  # fmt: skip
    if not _fits(column.unit, key):
        raise InputError.of(
            f"column {column.heading!r}", value=column.unit,
            allowed=f"a unit that converts to {unit}",
            fix=_why_no_unit(column.unit) or f'an example is "{column.name} [{unit}]"',
        )  # fmt: skip
    return column


def _without_unit(column: Column) -> Column:
    if column.unit:
        raise InputError.of(
            f"column {column.heading!r}", value=column.unit, allowed="no unit",
            fix=f'head it "{column.name}"',
        )  # fmt: skip
    return column


def example_unit(name: str) -> str:
    """Return a unit that the trade uses for a key that has one."""
    return _shown(name).split(" ", 1)[-1] if name != _READINGS else "therm"


def _shown(name: str) -> str:
    """Return an example of a key's value; of the first value of a list."""
    shown = example(name)
    return str(shown[0] if isinstance(shown, list) else shown)


def _fits(unit: str, key: Key) -> bool:
    """Return whether a unit is of the kind that a key takes."""
    if isinstance(key.reader, Quantity):
        return _dimension(unit) == _dimension(key.reader.unit)
    if key.reader is None:
        return _dimension(unit) in (_dimension("kWh"), _dimension("L"))
    return any(_reads(key, f"{amount} {unit}") for amount in _TRIAL_AMOUNTS)


def _dimension(unit: str) -> str:
    try:
        return units.dimension(unit)
    except InputError:
        return ""


def _why_no_unit(unit: str) -> str:
    """Return why a unit is refused, where it says more than that it is of another kind."""
    try:
        units.dimension(unit)
    except InputError as trouble:
        return trouble.faults[0].fix
    return ""


def _reads(key: Key, text: str) -> bool:
    from pydantic_core import PydanticCustomError

    try:
        key.reader.func(text)  # type: ignore[union-attr, call-arg]
    except PydanticCustomError:
        return False
    return True


def _clashes(names: Sequence[str]) -> Iterable[Fault]:
    """Yield a fault for each column that stands twice or holds what another one details."""
    for i, name in enumerate(names):
        if name in names[:i]:
            yield Fault(name=f"column {name!r}", value="there twice", allowed="once",
                        fix="take one of the two out")  # fmt: skip
        inner = next((other for other in names if other.startswith(f"{name}.")), None)
        if inner:
            yield Fault(
                name=f"column {name!r}", value=f"beside {inner!r}",
                allowed="the whole or its parts", fix="take one of the two out",
            )  # fmt: skip


def _missing(names: Sequence[str]) -> Iterable[Fault]:
    for required in _REQUIRED:
        if not any(name == required or name.startswith(f"{required}.") for name in names):
            yield Fault(name=f"column {required!r}", value="missing", allowed="a value per house",
                        fix="add the column; all others have defaults")  # fmt: skip


def _unknown(heading: str, name: str) -> InputError:
    near = difflib.get_close_matches(name, column_names(), n=1, cutoff=0.5)
    return InputError.of(
        f"column {heading!r}", value="not a known key",
        allowed=f"the keys of a job file, and {', '.join(OWN)}",
        fix=f"did you mean {near[0]}?" if near else "take it out, or name it note",
    )  # fmt: skip


def _names(model: type[InputTable], table: str = "") -> Iterable[str]:
    for key in keys_of(model):
        name = f"{table}{key.name}"
        if _is_cell(name, key):
            yield name
        if key.table is not None and not key.is_list:
            yield from _names(key.table, f"{name}.")


def _in_file(fault: Fault, file: str) -> Fault:
    return Fault(name=fault.name, value=fault.value, allowed=fault.allowed, fix=fault.fix,
                 file=file, line=1 if file else 0)  # fmt: skip


def _text(cell: object) -> str | None:
    """Return a cell as text, None if nothing is given."""
    if isinstance(cell, str):
        return cell.strip() or None
    if cell is None or (isinstance(cell, float) and math.isnan(cell)):
        return None
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))  # a column of whole numbers with gaps becomes one of floats
    if isinstance(cell, dt.datetime):
        return cell.date().isoformat()
    if isinstance(cell, list | tuple):
        return ";".join(_text(part) or "" for part in cell) or None
    if isinstance(cell, Mapping):
        return str(dict(cell))
    return str(cell)


def _degrees(text: str | None, most: float) -> float | None:
    try:
        degrees = float(text or "nan")
    except ValueError:
        return None
    return degrees if abs(degrees) <= most else None


def _refuse_broken_text(column: Column, cell: str) -> None:
    if any("\ud800" <= letter <= "\udfff" for letter in cell) or "\0" in cell:
        raise InputError.of(
            column.name, value="not readable text", allowed="text in UTF-8",
            fix="save the file as UTF-8",
        )  # fmt: skip
