"""Hand tasks to workers, and go on when a worker dies.

At most a few tasks per worker are under way, so that memory stays bounded however many rows
there are. When a worker dies, tasks that only stood in its queue are lost with it (on a local pool
all that are under way) and nobody says which was to blame. They are then run one at a time; one
that dies alone is searched by halves for the row that kills, and that row becomes an error row.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import replace
from typing import Protocol

from heatersel.errors import HeaterselError
from heatersel.portfolio.task import Finished, Task

__all__ = ["Pool", "Work", "WorkerLostError", "run_tasks"]

Work = Callable[[Task], Finished]

_PER_WORKER = 2
_CHANCES = 2
_PATIENCE_S = 5.0


class WorkerLostError(Exception):
    """A task was lost because its worker died."""


class Pool(Protocol):
    """Workers that take tasks: processes of this machine, or of a cluster."""

    @property
    def n_workers(self) -> int:
        """How many tasks run at once."""

    @property
    def knows_the_cause(self) -> bool:
        """Whether a task that is lost while nothing else runs has ended several workers."""

    def submit(self, work: Work, task: Task) -> Future[Finished]:
        """Hand a task to a worker."""

    def result_of(self, future: Future[Finished]) -> Finished:
        """Return what a task that ended came to; raise WorkerLostError if its worker died."""

    def is_stuck(self) -> bool:
        """Return whether nothing under way will ever end; asked when nothing did for a while."""

    def renew(self) -> None:
        """Replace workers that died."""

    def close(self) -> None:
        """End the workers; tasks under way are given up."""


def run_tasks(tasks: Iterable[Task], pool: Pool, work: Work) -> Iterator[Finished]:
    """Yield what each task comes to, in the order in which they end.

    Parameters
    ----------
    tasks : iterable of Task
        Taken only as workers ask for more.
    pool : Pool
        The workers.
    work : callable
        What a worker does with a task; importable by name.

    Yields
    ------
    Finished
        One per task, whatever happens to single workers.
    """
    waiting = iter(tasks)
    running: dict[Future[Finished], Task] = {}
    while True:
        while len(running) < _PER_WORKER * max(1, pool.n_workers) and (task := next(waiting, None)):
            running[pool.submit(work, task)] = task
        if not running:
            return
        lost: list[Task] = []
        for future in _ended(running, pool) or tuple(running):
            task = running.pop(future)
            try:
                yield _result(future, pool)
            except WorkerLostError:
                lost.append(task)
        if lost:
            saved, more = _collected(running, pool)
            running.clear()
            yield from saved
            for task in sorted(lost + more, key=lambda task: task.number):
                yield _alone(task, pool, work)


def _ended(running: Collection[Future[Finished]], pool: Pool) -> set[Future[Finished]]:
    """Wait for the first to end, and return those that did; none if none ever will."""
    while True:
        done, _ = wait(running, timeout=_PATIENCE_S, return_when=FIRST_COMPLETED)
        if done or pool.is_stuck():
            return done


def _result(future: Future[Finished], pool: Pool) -> Finished:
    """Return what a task comes to; raise WorkerLostError if its worker died."""
    if not _ended([future], pool):
        raise WorkerLostError
    return pool.result_of(future)


def _collected(
    running: dict[Future[Finished], Task], pool: Pool
) -> tuple[list[Finished], list[Task]]:
    """Wait for all that is under way; return what was finished and what was lost."""
    saved, lost = [], []
    for future, task in running.items():
        try:
            saved.append(_result(future, pool))
        except WorkerLostError:
            lost.append(task)
    return saved, lost


def _alone(task: Task, pool: Pool, work: Work) -> Finished:
    """Return what a suspect comes to when nothing else runs."""
    return _tried(task, pool, work) or _without_killers(task, pool, work)


def _without_killers(task: Task, pool: Pool, work: Work) -> Finished:
    """Return what a task comes to that ends its worker, without the rows that do it."""
    while True:
        row = _killing_row(task, pool, work)
        if row is None:
            raise HeaterselError.of(
                f"rows {task.first_row} to {task.first_row + len(task.rows) - 1}",
                value="too much for a worker together, though no single row is",
                allowed="rows that fit into the memory of a worker together",
                fix="run again into another folder with fewer --partition-rows",
            )  # fmt: skip
        task = replace(task, dead_rows=task.dead_rows | {row})
        found = _tried(task, pool, work)
        if found is not None:
            return found


def _killing_row(task: Task, pool: Pool, work: Work) -> int | None:
    """Return the first row of a task that by itself ends its worker, as the task does."""
    if len(task.rows) == 1:
        return task.first_row
    middle = len(task.rows) // 2
    for part in (task.part(0, middle), task.part(middle, len(task.rows))):
        if _tried(part, pool, work) is None:
            return _killing_row(part, pool, work)
    return None


def _tried(task: Task, pool: Pool, work: Work) -> Finished | None:
    """Return what a task comes to alone; None if its worker dies each time."""
    for _ in range(1 if pool.knows_the_cause else _CHANCES):
        pool.renew()
        try:
            return _result(pool.submit(work, task), pool)
        except WorkerLostError:
            continue
    return None
