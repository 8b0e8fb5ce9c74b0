"""Read a file of houses, CSV or Parquet, in slices: never more than one slice in memory.

A row that cannot be read (broken quotation, broken text) is kept as :class:`Unreadable` in its
place, so that every row has the same number however the file is sliced.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Collection, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from importlib import import_module
from itertools import islice
from pathlib import Path
from typing import Any

from heatersel.errors import HeaterselError, InputError
from heatersel.portfolio.columns import Column, columns_of

__all__ = ["HouseFile", "Slice", "Unreadable", "pyarrow_module", "write_houses"]

Cells = Sequence[object]

_PANDAS_INDEX = "__index_level_"
_READ_BYTES = 1 << 20
_BLOCK_ROWS = 20_000


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A row that is no row of cells, and why."""

    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Slice:
    """Rows that stand together in the file.

    Parameters
    ----------
    number : int
        Place among the slices of the file, from 0.
    first_row : int
        Number of the first row, from 1.
    rows : tuple
        Cells of each row, or why it has none.
    """

    number: int
    first_row: int
    rows: tuple[Cells | Unreadable, ...]


@dataclass(frozen=True)
class HouseFile:
    """A file of houses.

    Parameters
    ----------
    path : pathlib.Path
        Ends in .csv or .parquet.
    """

    path: Path

    @cached_property
    def is_parquet(self) -> bool:
        """Whether it is a Parquet file; raise InputError if it is neither kind."""
        ending = self.path.suffix.lower()
        if ending not in (".csv", ".parquet", ".pq"):
            raise InputError.of(
                str(self.path), value=ending or "no ending", allowed="a file of houses ending in "
                ".csv or .parquet", fix="a single job file is for: heatersel compare",
            )  # fmt: skip
        return ending != ".csv"

    @cached_property
    def columns(self) -> tuple[Column, ...]:
        """Its columns; raise InputError naming every heading that cannot be used."""
        if self.is_parquet:
            with self._parquet() as file:
                return columns_of([name for name in file.schema_arrow.names if _counts(name)],
                                  str(self.path))  # fmt: skip
        with self._csv() as reader:
            return columns_of(next(reader, []), str(self.path))

    @cached_property
    def n_rows(self) -> int:
        """Rows below the headings; blank lines of a CSV file are none."""
        if self.is_parquet:
            with self._parquet() as file:
                return int(file.metadata.num_rows)
        return sum(1 for _ in self._csv_rows())

    @cached_property
    def sha256(self) -> str:
        """Fingerprint of its contents."""
        digest = hashlib.sha256()
        with self._opened("rb") as stream:
            while block := stream.read(_READ_BYTES):
                digest.update(block)
        return digest.hexdigest()

    def slices(self, size: int, skip: Collection[int] = ()) -> Iterator[Slice]:
        """Yield the rows in slices.

        Parameters
        ----------
        size : int
            Rows of each; the last one may have fewer.
        skip : collection of int
            Numbers of slices that are not wanted.
        """
        rows: list[Cells | Unreadable] = []
        number = 0
        for row in self._parquet_rows(size) if self.is_parquet else self._csv_rows():
            rows.append(row)
            if len(rows) == size:
                if number not in skip:
                    yield Slice(number=number, first_row=number * size + 1, rows=tuple(rows))
                rows, number = [], number + 1
        if rows and number not in skip:
            yield Slice(number=number, first_row=number * size + 1, rows=tuple(rows))

    def _csv_rows(self) -> Iterator[Cells | Unreadable]:
        with self._csv() as reader:
            next(reader, None)
            while True:
                try:
                    row = next(reader)
                except StopIteration:
                    return
                except csv.Error as trouble:
                    yield Unreadable(str(trouble))
                    continue
                if any(cell.strip() for cell in row):
                    yield row

    def _parquet_rows(self, size: int) -> Iterator[Cells]:
        with self._parquet() as file:
            names = [name for name in file.schema_arrow.names if _counts(name)]
            for batch in file.iter_batches(batch_size=size, columns=names):
                yield from zip(*(column.to_pylist() for column in batch.columns), strict=True)

    @contextmanager
    def _csv(self) -> Iterator[Any]:
        with self._opened("r", newline="", encoding="utf-8-sig", errors="surrogateescape") as text:
            yield csv.reader(text)

    @contextmanager
    def _parquet(self) -> Iterator[Any]:
        arrow, parquet = pyarrow_module()
        with self._opened("rb") as stream:
            try:
                file = parquet.ParquetFile(stream)
            except (arrow.ArrowException, OSError) as trouble:
                raise InputError.of(
                    str(self.path), value="unreadable", allowed="a Parquet file", fix=str(trouble)
                ) from None
            yield file

    @contextmanager
    def _opened(self, mode: str, **how: Any) -> Iterator[Any]:
        try:
            stream = self.path.open(mode, **how)
        except FileNotFoundError:
            raise InputError.of(
                str(self.path), value="missing", allowed="an existing file of houses",
                fix="check the name, or invent houses with: heatersel population",
            ) from None  # fmt: skip
        except OSError as trouble:
            raise InputError.of(str(self.path), value="unreadable", fix=str(trouble)) from None
        with stream:
            yield stream


def write_houses(path: Path, headings: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Write a file of houses, CSV or Parquet by its ending, a block of rows at a time.

    Parameters
    ----------
    path : pathlib.Path
        Ends in .csv or .parquet.
    headings : sequence of str
        As :func:`heatersel.portfolio.columns.columns_of` takes them.
    rows : iterable of sequence
        One cell per heading.

    Raises
    ------
    InputError
        If the ending is another one, a row is refused, or the file cannot be written.
    """
    write = _write_parquet if HouseFile(path).is_parquet else _write_csv
    try:
        write(path, headings, rows)
    except OSError as trouble:
        raise InputError.of(str(path), value="not writable", fix=str(trouble)) from None


def _write_csv(path: Path, headings: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(headings)
        writer.writerows(rows)


def _write_parquet(path: Path, headings: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Write every cell as text: it is read like the cell of a CSV file."""
    arrow, parquet = pyarrow_module()
    schema = arrow.schema([(heading, arrow.string()) for heading in headings])
    waiting = iter(rows)
    with parquet.ParquetWriter(path, schema) as out:
        while block := list(islice(waiting, _BLOCK_ROWS)):
            columns = [[str(cell) for cell in column] for column in zip(*block, strict=True)]
            out.write_table(arrow.table(columns, schema=schema))


def pyarrow_module() -> tuple[Any, Any]:
    """Return pyarrow and pyarrow.parquet; raise HeaterselError saying what to install."""
    try:
        return import_module("pyarrow"), import_module("pyarrow.parquet")
    except ImportError:
        raise HeaterselError.of(
            "portfolio", value="not usable without a library that is missing", allowed="pyarrow",
            fix="install it with: pip install 'heatersel[portfolio]'",
        ) from None  # fmt: skip


def _counts(name: str) -> bool:
    """Return whether a column of a Parquet file is the user's and not an index of pandas."""
    return not name.startswith(_PANDAS_INDEX)
