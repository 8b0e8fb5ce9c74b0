"""Real worker processes, killed for real."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from portfolio.workers import SETTINGS, deadly, deadly_once, quick, unhurried

from heatersel.portfolio.engine import run_tasks
from heatersel.portfolio.pools import LocalPool, usable_cores
from heatersel.portfolio.task import Finished, Task


@pytest.fixture
def pool() -> Iterator[LocalPool]:
    pool = LocalPool(2)
    yield pool
    pool.close()


def tasks(*names: str, size: int = 3) -> list[Task]:
    rows = [(name, "2", "x") for name in names]
    return [
        Task(number=i // size, first_row=i + 1, rows=tuple(rows[i : i + size]), settings=SETTINGS)
        for i in range(0, len(rows), size)
    ]


def houses_by_number(done: list[Finished]) -> dict[int, int]:
    return {finished.number: finished.totals.houses for finished in done}


def test_processes_finish_every_task(pool: LocalPool) -> None:
    done = list(run_tasks(tasks(*"abcdefgh"), pool, quick))

    assert houses_by_number(done) == {0: 3, 1: 3, 2: 2}


def test_a_poisoned_row_is_found_though_it_kills_its_process(pool: LocalPool) -> None:
    done = list(run_tasks(tasks("a", "poison", "c", "d"), pool, deadly))

    assert houses_by_number(done) == {0: 2, 1: 1}
    assert [error.row for finished in done for error in finished.errors] == [2]


def test_a_process_killed_by_chance_costs_nothing(pool: LocalPool, tmp_path: Path) -> None:
    mark = tmp_path / "mark"
    mark.write_text("")

    done = list(run_tasks(tasks("a", "b", "c", str(mark), "e"), pool, deadly_once))

    assert houses_by_number(done) == {0: 3, 1: 2}
    assert not any(finished.errors for finished in done)


def test_processes_killed_from_outside_are_replaced(pool: LocalPool) -> None:
    done: list[Finished] = []
    for finished in run_tasks(tasks(*map(str, range(60)), size=2), pool, unhurried):
        done.append(finished)
        if len(done) == 3:
            for process in pool.processes:
                os.kill(process, signal.SIGKILL)

    assert houses_by_number(done) == dict.fromkeys(range(30), 2)


def test_closing_ends_the_processes(pool: LocalPool) -> None:
    next(run_tasks(tasks(*"abcdef", size=1), pool, unhurried))
    processes = pool.processes

    pool.close()

    assert processes
    assert not any(_alive(process) for process in processes)


def test_workers_do_not_outlive_their_parent(tmp_path: Path) -> None:
    import subprocess
    import sys

    code = (
        "import sys, time\n"
        "from portfolio.test_pools import tasks\n"
        "from portfolio.workers import unhurried\n"
        "from heatersel.portfolio.engine import run_tasks\n"
        "from heatersel.portfolio.pools import LocalPool\n"
        "if __name__ == '__main__':\n"
        "    pool = LocalPool(1)\n"
        "    next(run_tasks(tasks(*'abcd', size=1), pool, unhurried))\n"
        "    print(*pool.processes, flush=True)\n"
        "    time.sleep(60)\n"
    )
    script = tmp_path / "parent.py"
    script.write_text(code)
    paths = os.pathsep.join([str(Path(__file__).parents[1]), str(Path(__file__).parents[2])])
    with subprocess.Popen(
        [sys.executable, str(script)], stdout=subprocess.PIPE, text=True,
        env=os.environ | {"PYTHONPATH": paths},
    ) as parent:  # fmt: skip
        assert parent.stdout is not None
        worker = int(parent.stdout.readline())
        assert _alive(worker)
        parent.kill()
    assert _gone(worker)


def test_at_least_one_core_is_usable() -> None:
    assert usable_cores() >= 1


def _alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    status = Path(f"/proc/{process}/stat")
    return not (status.exists() and status.read_text().rpartition(")")[2].split()[0] == "Z")


def _gone(process: int, patience_s: float = 10.0) -> bool:
    end = time.monotonic() + patience_s
    while _alive(process) and time.monotonic() < end:
        time.sleep(0.05)
    return not _alive(process)
