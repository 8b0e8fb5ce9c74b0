"""Workers: processes of this machine, or of a cluster with a scheduler.

Both run the same function on the same tasks. On one machine the standard process pool is enough;
many machines need the `distributed` library, an extra.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Iterator
from concurrent.futures import CancelledError, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager, suppress
from importlib import import_module
from multiprocessing.context import SpawnContext
from typing import Any

from heatersel.errors import HeaterselError, InputError
from heatersel.portfolio.engine import Work, WorkerLostError
from heatersel.portfolio.task import Finished, Task

__all__ = ["NO_WORKERS_S", "ClusterPool", "LocalPool", "usable_cores"]

_CONNECT_S = 10
_COUNT_EVERY_S = 5.0

NO_WORKERS_S = 120.0
"""How long a run waits for the workers of a cluster to come back. [s]"""

_THREAD_SETTINGS = ("NUMBA_NUM_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS",
                    "MKL_NUM_THREADS")  # fmt: skip


def usable_cores() -> int:
    """Return how many processors this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not every system can say
        return os.cpu_count() or 1


class LocalPool:
    """Processes of this machine, each with one thread.

    Parameters
    ----------
    n_workers : int
        1 or more.
    """

    knows_the_cause = False

    def __init__(self, n_workers: int) -> None:
        """Start no process yet; the first task does."""
        self.n_workers = n_workers
        self._context = _Spawning()
        self._pool = self._started()

    @property
    def processes(self) -> tuple[int, ...]:
        """Numbers of the processes that run now."""
        return self._context.running

    def submit(self, work: Work, task: Task) -> Future[Finished]:
        """Hand a task to a process."""
        try:
            return self._pool.submit(work, task)
        except BrokenProcessPool:  # it broke since it was last looked at
            self._pool = self._started()
            return self._pool.submit(work, task)

    def result_of(self, future: Future[Finished]) -> Finished:
        """Return what a task came to; raise WorkerLostError if its process died."""
        try:
            return future.result()
        except (BrokenProcessPool, MemoryError) as trouble:
            raise WorkerLostError from trouble

    def is_stuck(self) -> bool:
        """Return whether a process died without the pool noticing."""
        return self._context.has_lost_one

    def renew(self) -> None:
        """Start processes anew."""
        self.close()
        self._pool = self._started()

    def close(self) -> None:
        """End the processes; tasks under way are given up."""
        self._pool.shutdown(wait=False, cancel_futures=True)
        self._context.end_all()

    def _started(self) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(self.n_workers, mp_context=self._context, initializer=_begin)


class _Spawning(SpawnContext):
    """Starts fresh processes with one thread each, and remembers them so that it can end them."""

    def __init__(self) -> None:
        super().__init__()
        self._started: list[Any] = []

    def Process(self, *args: Any, **how: Any) -> Any:  # type: ignore[override]
        process = multiprocessing.get_context("spawn").Process(*args, **how)
        self._started.append(process)
        return process

    @property
    def running(self) -> tuple[int, ...]:
        return tuple(process.pid for process in self._started if process.is_alive())

    @property
    def has_lost_one(self) -> bool:
        return any(process.exitcode is not None for process in self._started)

    def end_all(self) -> None:
        for process in self._started:
            if process.is_alive():
                process.terminate()
        for process in self._started:
            if process.pid is not None:
                process.join()
        self._started.clear()


def _begin() -> None:
    """Prepare a worker process: one thread, no say in Ctrl-C, no life after the parent's."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    for name in _THREAD_SETTINGS:
        os.environ[name] = "1"
    if "numba" in sys.modules:  # a script that imports it does so before this
        sys.modules["numba"].config.NUMBA_NUM_THREADS = 1
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_follow, args=(parent,), daemon=True).start()


def _follow(parent: Any) -> None:
    parent.join()
    os._exit(1)


class ClusterPool:
    """Workers of a cluster, by the address of its scheduler.

    Parameters
    ----------
    address : str
        Such as "tcp://10.0.0.5:8786".
    """

    knows_the_cause = True

    def __init__(self, address: str) -> None:
        """Connect; raise InputError or HeaterselError if that fails."""
        try:
            distributed = import_module("distributed")
        except ImportError:
            raise HeaterselError.of(
                "--scheduler", value="not usable without a library that is missing",
                allowed="distributed",
                fix="install it with: pip install 'heatersel[cluster]'",
            ) from None  # fmt: skip
        self._address = address
        self._killed = distributed.KilledWorker
        try:
            self._client = distributed.Client(address, timeout=_CONNECT_S, set_as_default=False)
        except (OSError, ValueError, TimeoutError) as trouble:
            raise InputError.of(
                "--scheduler", value=address, allowed="the address of a scheduler that answers",
                fix=f'an example is tcp://127.0.0.1:8786 ({trouble or type(trouble).__name__})',
            ) from None  # fmt: skip
        self._pool = self._client.get_executor(pure=False)
        self._counted_at = -_COUNT_EVERY_S
        self._n_workers = 1
        self._seen_at = time.monotonic()

    @property
    def n_workers(self) -> int:
        """Threads of all workers that are connected."""
        if time.monotonic() - self._counted_at >= _COUNT_EVERY_S:
            with self._while_it_stays():
                self._n_workers = sum(map(int, self._client.nthreads().values()))
            self._counted_at = time.monotonic()
        return self._n_workers

    def submit(self, work: Work, task: Task) -> Future[Finished]:
        """Hand a task to a worker."""
        with self._while_it_stays():
            future: Future[Finished] = self._pool.submit(work, task)
        return future

    def result_of(self, future: Future[Finished]) -> Finished:
        """Return what a task came to; raise WorkerLostError if several workers died of it."""
        with self._while_it_stays():
            try:
                return future.result()
            except (self._killed, MemoryError) as trouble:
                raise WorkerLostError from trouble

    def is_stuck(self) -> bool:
        """Return False: tasks wait for workers; raise HeaterselError if none come for long."""
        self._counted_at = -_COUNT_EVERY_S
        if self.n_workers:
            self._seen_at = time.monotonic()
        elif time.monotonic() - self._seen_at > NO_WORKERS_S:
            raise HeaterselError.of(
                "--scheduler", value=f"{self._address}, without workers for {NO_WORKERS_S:g} s",
                allowed="a cluster with workers",
                fix="what is finished is kept: start workers and run the same command",
            )  # fmt: skip
        return False

    @contextmanager
    def _while_it_stays(self) -> Iterator[None]:
        try:
            yield
        except (CancelledError, OSError) as trouble:
            raise HeaterselError.of(
                "--scheduler", value=self._address, allowed="a scheduler that stays",
                fix="it was lost; what is finished is kept: start it and run the same command",
            ) from trouble  # fmt: skip

    def renew(self) -> None:
        """Leave it to the cluster to replace its workers."""

    def close(self) -> None:
        """Take back what is under way and disconnect; the cluster goes on."""
        with suppress(CancelledError, OSError):  # a lost scheduler needs no goodbye
            self._pool.shutdown(wait=False)
            self._client.close(timeout=_CONNECT_S)
