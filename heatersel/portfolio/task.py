"""The work of one worker: some rows in, finished tables out. The same on every kind of machine.

Nothing is read or written here: rows come with the task, draws are made from seeds, tables go
back as Parquet in memory. A row that cannot be computed becomes error rows; it never stops the
others.
"""

from __future__ import annotations

import pickle
import time
import zlib
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

from heatersel.api import N_YEARS, Method, compare
from heatersel.comparison import Comparison
from heatersel.errors import Fault, HeaterselError
from heatersel.heaters.catalogue import HeaterList
from heatersel.job.load import parse_job
from heatersel.job.models import Job
from heatersel.portfolio.columns import Column, Identity, columns_of, identity_of, tables_of
from heatersel.portfolio.fields import RECOMMENDATIONS, RESULTS, as_parquet
from heatersel.portfolio.likeness import years_by_likeness
from heatersel.portfolio.outcome import electric_load, recommendation, results
from heatersel.portfolio.rows import Unreadable
from heatersel.portfolio.totals import Totals

__all__ = ["ErrorRow", "Finished", "Settings", "Task", "run_task"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What all houses of a run share.

    Parameters
    ----------
    headings : tuple of str
        Of the file of houses.
    folder : str
        Where files that rows name are looked for.
    heaters : HeaterList or None
        The list to choose from; None for the generic one.
    first_seed : int
        Seed of the first row; each further row has the next one, unless it states its own.
    year : int
        Calendar year that the age of heaters is counted to.
    method : Method
        How the year of energy is found.
    n_years : int
        Seeded years of draws behind a simulation, 1 or more.
    fast : bool
        Whether houses take over the years of a simulated house of their kind.
    """

    headings: tuple[str, ...]
    folder: str = ""
    heaters: HeaterList | None = None
    first_seed: int = 1
    year: int
    method: Method = Method.SIMULATION
    n_years: int = N_YEARS
    fast: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Rows for one worker.

    Parameters
    ----------
    number : int
        Of the partition.
    first_row : int
        Number of its first row, from 1.
    rows : tuple
        Cells of each row.
    settings : Settings
        Of the run.
    dead_rows : frozenset of int
        Rows that ended the worker that tried them; they are not tried again.
    """

    number: int
    first_row: int
    rows: tuple[Any, ...]
    settings: Settings
    dead_rows: frozenset[int] = frozenset()

    def __reduce__(self) -> tuple[Any, ...]:
        """Travel packed: a task that fits into a pipe at once never waits for a dead reader."""
        values = tuple(getattr(self, name) for name in _TASK_FIELDS)
        return _unpacked, (zlib.compress(pickle.dumps(values), 1),)

    def part(self, start: int, stop: int) -> Task:
        """Return a task of some of its rows, by their place in it."""
        return replace(self, first_row=self.first_row + start, rows=self.rows[start:stop])


_TASK_FIELDS = tuple(Task.__dataclass_fields__)


def _unpacked(packed: bytes) -> Task:
    values = pickle.loads(zlib.decompress(packed))
    return Task(**dict(zip(_TASK_FIELDS, values, strict=True)))


@dataclass(frozen=True, slots=True, kw_only=True)
class ErrorRow:
    """One thing that is wrong with one row.

    Parameters
    ----------
    row : int
        Number of the row, from 1.
    house : str
        Its name.
    field, value, reason : str
        What is wrong, what was given, and why that is no good.
    """

    row: int
    house: str
    field: str
    value: str
    reason: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finished:
    """What a task came to.

    Parameters
    ----------
    number : int
        Of the partition.
    results, recommendations : bytes
        The two tables as Parquet.
    errors : tuple of ErrorRow
        Of the rows that gave no result.
    totals : Totals
        Sums over its houses.
    work_s : float
        Time the worker took. [s]
    """

    number: int
    results: bytes
    recommendations: bytes
    errors: tuple[ErrorRow, ...]
    totals: Totals
    work_s: float


@dataclass(slots=True)
class _Tables:
    results: list[dict[str, Any]] = field(default_factory=list)
    recommendations: list[dict[str, Any]] = field(default_factory=list)
    errors: list[ErrorRow] = field(default_factory=list)
    totals: Totals = field(default_factory=Totals)


def run_task(task: Task) -> Finished:
    """Return the finished tables of a task.

    Parameters
    ----------
    task : Task
        Rows and settings.

    Returns
    -------
    Finished
        The same for the same task on every machine, the time aside.
    """
    begin = time.perf_counter()
    tables = _Tables()
    columns = _columns(task.settings.headings)
    for place, cells in enumerate(task.rows):
        row = task.first_row + place
        who = _identity(columns, cells, row)
        try:
            if row in task.dead_rows:
                raise HeaterselError.of("row", value="the end of every worker that computes it")
            comparison = _comparison(columns, cells, row, task.settings)
            found = results(who, comparison)
            advice = recommendation(who, comparison, task.settings.year)
            load = electric_load(comparison)
        except HeaterselError as trouble:
            _fail(tables, who, trouble.faults)
        except MemoryError:
            raise
        except Exception as trouble:  # a poisoned row must not stop the others
            reason = f"not computable: {type(trouble).__name__}: {trouble}"
            _fail(tables, who, (Fault(name="row", value=reason),))
        else:
            tables.results += found
            tables.recommendations.append(advice)
            tables.totals.count(comparison.job, load)
    return Finished(
        number=task.number,
        results=as_parquet(RESULTS, tables.results),
        recommendations=as_parquet(RECOMMENDATIONS, tables.recommendations),
        errors=tuple(tables.errors),
        totals=tables.totals,
        work_s=time.perf_counter() - begin,
    )


def job_of_row(columns: tuple[Column, ...], cells: Any, row: int, settings: Settings) -> Job:
    """Return the job of a row; raise InputError listing every fault of it.

    Parameters
    ----------
    columns : tuple of Column
        Of the file.
    cells : sequence or Unreadable
        Of the row.
    row : int
        Its number, from 1: with `settings.first_seed` it gives the seed of its draws.
    settings : Settings
        Of the run.
    """
    if isinstance(cells, Unreadable):
        raise HeaterselError.of("row", value="not readable", fix=cells.reason)
    tables = tables_of(columns, cells)
    tables.setdefault("preferences", {}).setdefault("seed", settings.first_seed + row - 1)
    return parse_job(tables, file=str(Path(settings.folder) / "row"))


def _comparison(
    columns: tuple[Column, ...], cells: Any, row: int, settings: Settings
) -> Comparison:
    return compare(
        job_of_row(columns, cells, row, settings),
        settings.heaters,
        method=settings.method,
        n_years=settings.n_years,
        years=partial(years_by_likeness, n_years=settings.n_years) if settings.fast else None,
    )


@lru_cache(maxsize=4)
def _columns(headings: tuple[str, ...]) -> tuple[Column, ...]:
    return columns_of(headings)


def _identity(columns: tuple[Column, ...], cells: Any, row: int) -> Identity:
    return identity_of(columns, () if isinstance(cells, Unreadable) else cells, row)


def _fail(tables: _Tables, who: Identity, faults: tuple[Fault, ...]) -> None:
    tables.totals.failed += 1
    for fault in faults:
        reason = replace(fault, file="", line=0).sentence()
        tables.errors.append(
            ErrorRow(row=who.row, house=who.house, field=fault.name, value=fault.value,
                     reason=reason)
        )  # fmt: skip
