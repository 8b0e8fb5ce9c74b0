"""One run over a file of houses, from the first row to the finished folder.

The same houses and settings give the same tables for any number of workers and any size of
partition. A run that was stopped goes on where it was when it is started again.
"""

from __future__ import annotations

import hashlib
import math
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from heatersel import __version__
from heatersel.errors import HeaterselError, InputError
from heatersel.heaters.catalogue import HeaterList
from heatersel.portfolio.engine import Pool, Work, run_tasks
from heatersel.portfolio.rows import HouseFile
from heatersel.portfolio.store import Store
from heatersel.portfolio.task import Finished, Settings, Task, run_task
from heatersel.portfolio.totals import Totals
from heatersel.reference import datasets_folder

__all__ = ["Outcome", "Progress", "only_options", "partition_rows_for", "run_portfolio"]

_MOST_ROWS, _LEAST_ROWS = 500, 10
_GOOD_PARTS, _MOST_PARTS = 200, 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a run is.

    Parameters
    ----------
    rows, failed : int
        Rows done, those of earlier starts included, and those that gave no result.
    all_rows : int
        Rows of the file.
    rows_per_s : float
        Rate since this start. [1/s]
    left_s : float
        Time left at that rate; infinite before the first partition ends. [s]
    """

    rows: int
    failed: int
    all_rows: int
    rows_per_s: float
    left_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """A finished run.

    Parameters
    ----------
    folder : pathlib.Path
        Where its tables are.
    manifest : dict
        Inputs and settings of the run.
    totals : Totals
        Sums over all houses.
    partitions : int
        How many parts the tables have.
    work_s, span_s : float
        Time the workers took together, and the time from start to end, both of this start. [s]
    """

    folder: Path
    manifest: dict[str, Any]
    totals: Totals
    partitions: int
    work_s: float
    span_s: float


def run_portfolio(
    houses: Path,
    out: Path,
    settings: Settings,
    pool: Pool,
    *,
    partition_rows: int | None = None,
    restart: bool = False,
    compute: bool = True,
    on_progress: Callable[[Progress], None] = lambda _: None,
    work: Work = run_task,
) -> Outcome:
    """Compute every house of a file and keep the tables in a folder.

    Parameters
    ----------
    houses : pathlib.Path
        CSV or Parquet.
    out : pathlib.Path
        Folder of the run; partitions that are finished there are not computed again.
    settings : Settings
        What all houses share; `headings` and `folder` are taken from the file.
    pool : Pool
        The workers; closed at the end.
    partition_rows : int, optional
        Rows of a partition, 1 or more; chosen by the number of rows if not given.
    restart : bool
        Whether to throw away what is finished there.
    compute : bool
        Whether to compute what is not finished; without it what is finished is taken up.
    on_progress : callable
        Told after each partition.
    work : callable
        What a worker does with a task.

    Returns
    -------
    Outcome
        Rows that could not be computed are in errors.csv.

    Raises
    ------
    InputError
        If the file or the folder cannot be used.
    HeaterselError
        If the disk is full or the cluster is lost; what is finished is kept.
    """
    begin = time.perf_counter()
    try:
        file = _opened(houses)
        size = partition_rows or partition_rows_for(file.n_rows)
        settings = replace(
            settings,
            headings=tuple(column.heading for column in file.columns),
            folder=str(houses.parent),
        )
        with Store(out, _manifest(file, settings, size), restart=restart) as store:
            meter = _Meter(file.n_rows, store.totals, begin, on_progress)
            tasks = _tasks(file, settings, size, store.done) if compute else ()
            work_s = _keep_all(run_tasks(tasks, pool, work), store, meter)
    finally:
        pool.close()
    return Outcome(
        folder=out,
        manifest=store.manifest,
        totals=store.totals,
        partitions=len(store.done),
        work_s=work_s,
        span_s=time.perf_counter() - begin,
    )


def _opened(houses: Path) -> HouseFile:
    file = HouseFile(houses)
    if file.columns and not file.n_rows:
        raise InputError.of(
            str(houses), value="no houses", allowed="one row or more below the headings",
            fix="add the houses",
        )  # fmt: skip
    return file


def _keep_all(done: Iterator[Finished], store: Store, meter: _Meter) -> float:
    """Keep partitions as they end; return the time that the workers took. [s]"""
    work_s = 0.0
    meter.tell(store.totals)
    try:
        for finished in done:
            store.keep(finished)
            work_s += finished.work_s
            meter.tell(store.totals)
    except BaseException:
        with suppress(HeaterselError):  # the first trouble is the one to tell
            store.write_errors()
        raise
    store.write_errors()
    return work_s


def partition_rows_for(n_rows: int) -> int:
    """Return a good number of rows for a partition.

    Small enough that workers end together and little is lost with one, large enough that a
    million rows do not become a million files.

    Examples
    --------
    >>> [partition_rows_for(n) for n in (50, 20_000, 1_000_000, 100_000_000)]
    [10, 100, 500, 5000]
    """
    wanted = min(_MOST_ROWS, max(_LEAST_ROWS, math.ceil(n_rows / _GOOD_PARTS)))
    return max(wanted, math.ceil(n_rows / _MOST_PARTS))


def only_options(heaters: HeaterList, ids: tuple[str, ...]) -> HeaterList:
    """Return the heaters of a list that are named; raise UnknownChoiceError for an unknown id."""
    from heatersel.heaters.catalogue import heater_by_id

    kept = tuple(heater_by_id(heaters.heaters, id_) for id_ in dict.fromkeys(ids))
    return HeaterList(heaters=kept, faults=heaters.faults)


def _tasks(file: HouseFile, settings: Settings, size: int, done: frozenset[int]) -> Iterator[Task]:
    for part in file.slices(size, skip=done):
        yield Task(number=part.number, first_row=part.first_row, rows=part.rows, settings=settings)


class _Meter:
    """Counts rows against time."""

    def __init__(
        self, all_rows: int, before: Totals, begin: float, on_progress: Callable[[Progress], None]
    ) -> None:
        self._all_rows = all_rows
        self._before = before.houses + before.failed
        self._begin = begin
        self._on_progress = on_progress

    def tell(self, totals: Totals) -> None:
        rows = totals.houses + totals.failed
        rate = (rows - self._before) / (time.perf_counter() - self._begin)
        left = self._all_rows - rows
        self._on_progress(
            Progress(
                rows=rows,
                failed=totals.failed,
                all_rows=self._all_rows,
                rows_per_s=rate,
                left_s=left / rate if rate > 0.0 else math.inf,
            )
        )


def _manifest(file: HouseFile, settings: Settings, size: int) -> dict[str, Any]:
    """Return all that moves the results of a run."""
    return {
        "schema": "heatersel.portfolio/1",
        "version": __version__,
        "datasets": _folder_sha256(datasets_folder()),
        "houses": file.path.name,
        "houses_sha256": file.sha256,
        "rows": file.n_rows,
        "partition_rows": size,
        "first_seed": settings.first_seed,
        "year": settings.year,
        "method": settings.method.value,
        "n_years": settings.n_years,
        "fast": settings.fast,
        "heaters": hashlib.sha256(repr(settings.heaters).encode()).hexdigest(),
    }


def _folder_sha256(folder: Path) -> str:
    digest = hashlib.sha256()
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            digest.update(path.relative_to(folder).as_posix().encode())
            digest.update(path.read_bytes())
    return digest.hexdigest()
