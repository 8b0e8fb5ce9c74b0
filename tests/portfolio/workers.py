"""Stand-ins for the work of a worker: quick, and able to die on demand.

They live in a module of their own because worker processes import them by name.
"""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from concurrent.futures import Future
from pathlib import Path

from heatersel.portfolio.engine import Work, WorkerLostError
from heatersel.portfolio.fields import RECOMMENDATIONS, RESULTS, as_parquet
from heatersel.portfolio.task import ErrorRow, Finished, Settings, Task
from heatersel.portfolio.totals import Totals

SETTINGS = Settings(headings=("house", "household.occupants", "place.climate"), year=2026)


def quick(task: Task) -> Finished:
    """Return a row per house that depends on nothing but the house."""
    numbers = [task.first_row + i for i in range(len(task.rows))]
    alive = [row for row in numbers if row not in task.dead_rows]
    return Finished(
        number=task.number,
        results=as_parquet(RESULTS, [{"row": row, "life_cycle": row / 7.0} for row in alive]),
        recommendations=as_parquet(RECOMMENDATIONS, [{"row": row} for row in alive]),
        errors=tuple(
            ErrorRow(row=row, house="", field="row", value="", reason="dead")
            for row in numbers
            if row in task.dead_rows
        ),
        totals=Totals(houses=len(alive), failed=len(numbers) - len(alive)),
        work_s=0.0,
    )


def unhurried(task: Task) -> Finished:
    """Take long enough to be interrupted."""
    time.sleep(0.02)
    return quick(task)


def deadly(task: Task) -> Finished:
    """Kill the process that meets a house called "poison", as a crash in a library would."""
    for i, cells in enumerate(task.rows):
        if cells[0] == "poison" and task.first_row + i not in task.dead_rows:
            os.kill(os.getpid(), signal.SIGKILL)
    return quick(task)


def deadly_once(task: Task) -> Finished:
    """Kill the process the first time it meets a house whose name is a file that is there."""
    for cells in task.rows:
        mark = Path(str(cells[0]))
        if mark.is_absolute() and mark.exists():
            mark.unlink()
            os.kill(os.getpid(), signal.SIGKILL)
    return quick(task)


class HerePool:
    """A pool without processes: work is done where it is handed in, some of it lost."""

    n_workers = 2
    knows_the_cause = False

    def __init__(self, loses: Callable[[Task], bool] = lambda _: False) -> None:
        self.loses = loses
        self.submitted: list[Task] = []
        self.closed = False

    def submit(self, work: Work, task: Task) -> Future[Finished]:
        self.submitted.append(task)
        future: Future[Finished] = Future()
        if self.loses(task):
            future.set_exception(WorkerLostError())
        else:
            future.set_result(work(task))
        return future

    def result_of(self, future: Future[Finished]) -> Finished:
        return future.result()

    def is_stuck(self) -> bool:
        return False

    def renew(self) -> None:
        """Nothing to replace."""

    def close(self) -> None:
        self.closed = True
