"""Hand tasks to workers, and go on when a worker dies.

At most a few tasks per worker are under way, so that memory stays bounded however many rows
there are. When a worker dies, all tasks under way on a local pool are lost with it and nobody
says which was to blame. They are then run one at a time; one that dies alone twice is searched
by halves for the row that kills, and that row becomes an error row.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import replace
from typing import Protocol

from heatersel.errors import HeaterselError
from heatersel.portfolio.task import Finished, Task

__all__ = ["Pool", "Work", "WorkerLostError", "run_tasks"]

Work = Callable[[Task], Finished]

_PER_WORKER = 2
_CHANCES = 2


class WorkerLostError(Exception):
    """A task was lost because its worker died."""


class Pool(Protocol):
    """Workers that take tasks: processes of this machine, or of a cluster."""

    @property
    def n_workers(self) -> int:
        """How many tasks run at once."""

    def submit(self, work: Work, task: Task) -> Future[Finished]:
        """Hand a task to a worker."""

    def result_of(self, future: Future[Finished]) -> Finished:
        """Return what a task came to; raise WorkerLostError if its worker died."""

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
        while len(running) < _PER_WORKER * pool.n_workers and (task := next(waiting, None)):
            running[pool.submit(work, task)] = task
        if not running:
            return
        done, _ = wait(running, return_when=FIRST_COMPLETED)
        lost: list[Task] = []
        for future in done:
            task = running.pop(future)
            try:
                yield pool.result_of(future)
            except WorkerLostError:
                lost.append(task)
        if lost:
            saved, more = _collected(running, pool)
            running.clear()
            yield from saved
            for task in sorted(lost + more, key=lambda task: task.number):
                yield _alone(task, pool, work)


def _collected(
    running: dict[Future[Finished], Task], pool: Pool
) -> tuple[list[Finished], list[Task]]:
    """Wait for all that is under way; return what was finished and what was lost."""
    saved, lost = [], []
    for future, task in running.items():
        try:
            saved.append(pool.result_of(future))
        except WorkerLostError:
            lost.append(task)
    return saved, lost


def _alone(task: Task, pool: Pool, work: Work) -> Finished:
    """Return what a suspect comes to when nothing else runs; leave out rows that kill."""
    while (found := _tried(task, pool, work)) is None:
        row = _killing_row(task, pool, work)
        if row is None:
            raise HeaterselError.of(
                f"rows {task.first_row} to {task.first_row + len(task.rows) - 1}",
                value="end their worker, though no single row does",
                allowed="rows that fit into the memory of a worker together",
                fix="run again into another folder with fewer --partition-rows",
            )  # fmt: skip
        task = replace(task, dead_rows=task.dead_rows | {row})
    return found


def _tried(task: Task, pool: Pool, work: Work) -> Finished | None:
    """Return what a task comes to alone; None if its worker dies each time."""
    for _ in range(_CHANCES):
        pool.renew()
        try:
            return pool.result_of(pool.submit(work, task))
        except WorkerLostError:
            continue
    return None


def _killing_row(task: Task, pool: Pool, work: Work) -> int | None:
    """Return the first row that kills its worker; None if none does by itself."""
    parts = deque([task])
    while parts:
        part = parts.popleft()
        if _tried(part, pool, work) is not None:
            continue
        if len(part.rows) == 1:
            return part.first_row
        middle = len(part.rows) // 2
        parts.extendleft([part.part(middle, len(part.rows)), part.part(0, middle)])
    return None
