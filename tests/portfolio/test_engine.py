from __future__ import annotations

import pickle
from collections.abc import Iterator
from concurrent.futures import Future

import pytest
from portfolio.workers import SETTINGS, HerePool, quick

from heatersel.errors import HeaterselError
from heatersel.portfolio import engine
from heatersel.portfolio.engine import Work, run_tasks
from heatersel.portfolio.task import Finished, Task


def tasks(*names: str, size: int = 4) -> list[Task]:
    rows = [(name, "2", "x") for name in names]
    return [
        Task(number=i, first_row=i * size + 1, rows=tuple(rows[i * size : (i + 1) * size]),
             settings=SETTINGS)
        for i in range(-(-len(rows) // size))
    ]  # fmt: skip


def holds_poison(task: Task) -> bool:
    return any(
        cells[0] == "poison" and task.first_row + i not in task.dead_rows
        for i, cells in enumerate(task.rows)
    )


def test_every_task_is_finished_once() -> None:
    done = [finished.number for finished in run_tasks(tasks(*"abcdefghij"), HerePool(), quick)]

    assert sorted(done) == [0, 1, 2]


def test_no_more_tasks_are_taken_than_workers_need() -> None:
    taken = 0

    def counted() -> Iterator[Task]:
        nonlocal taken
        for task in tasks(*"abcdefgh", size=1):
            taken += 1
            yield task

    next(run_tasks(counted(), HerePool(), quick))

    assert taken == 2 * HerePool.n_workers


@pytest.mark.parametrize("knows_the_cause", [False, True])
def test_a_row_that_kills_its_worker_becomes_an_error_row(knows_the_cause: bool) -> None:
    pool = HerePool(loses=holds_poison)
    pool.knows_the_cause = knows_the_cause

    done = sorted(
        run_tasks(tasks(*"abcde", "poison", *"ghij"), pool, quick), key=lambda f: f.number
    )

    assert [error.row for finished in done for error in finished.errors] == [6]
    assert {finished.number: finished.totals.houses for finished in done} == {0: 4, 1: 3, 2: 2}


def test_several_killing_rows_of_one_task_are_all_found() -> None:
    pool = HerePool(loses=holds_poison)

    (only,) = run_tasks(tasks("poison", "b", "poison", "d"), pool, quick)

    assert [error.row for error in only.errors] == [1, 3]


def test_a_task_lost_by_chance_is_tried_again_and_nothing_is_blamed() -> None:
    pool = HerePool()
    pool.loses = lambda task: len(pool.submitted) == 2

    done = list(run_tasks(tasks(*"abcdefghij"), pool, quick))

    assert sorted(finished.number for finished in done) == [0, 1, 2]
    assert not any(finished.errors for finished in done)


def test_rows_too_many_for_a_worker_together_end_with_a_clear_message() -> None:
    pool = HerePool(loses=lambda task: len(task.rows) > 3)

    with pytest.raises(HeaterselError, match=r"rows 1 to 4 .*--partition-rows"):
        list(run_tasks(tasks(*"abcd"), pool, quick))


def test_tasks_that_will_never_end_are_tried_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """As when a pool does not notice that its process died."""
    monkeypatch.setattr(engine, "_PATIENCE_S", 0.01)
    pool = HerePool()
    submit = pool.submit

    def silent_once(work: Work, task: Task) -> Future[Finished]:
        if len(pool.submitted) == 1:
            pool.submitted.append(task)
            return Future()
        return submit(work, task)

    monkeypatch.setattr(pool, "submit", silent_once)
    monkeypatch.setattr(pool, "is_stuck", lambda: True)

    done = list(run_tasks(tasks(*"abcdefghij"), pool, quick))

    assert sorted(finished.number for finished in done) == [0, 1, 2]


def test_a_task_travels_whole() -> None:
    (task,) = tasks("a", "b")

    assert pickle.loads(pickle.dumps(task)) == task


def test_a_task_that_stood_beside_a_killer_is_not_blamed() -> None:
    """As on a cluster, where all that waits at a dead worker counts as lost."""
    pool = HerePool()
    pool.knows_the_cause = True
    beside = [True]
    pool.loses = lambda task: (
        holds_poison(task) or (task.number == 1 and bool(beside) and beside.pop())
    )

    done = list(run_tasks(tasks("a", "poison", "c", "d", *"efghij"), pool, quick))

    assert sorted(finished.number for finished in done) == [0, 1, 2]
    assert [error.row for finished in done for error in finished.errors] == [2]
