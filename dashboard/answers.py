"""Asks the public functions on behalf of the pages and keeps the last answers.

An answer depends on the job alone, so keeping it changes no result. A first look at the likeliest
heaters comes at once; the full comparison takes seconds, says how far it is, gives way to first
looks and can be stopped. Several processes that serve one address share full comparisons through a
folder of their own.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import threading
import time
from collections import OrderedDict
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from dashboard.told import Tables, signature
from heatersel import compare, first_look, morning, parse_job
from heatersel.comparison import Comparison, Option
from heatersel.job.models import Job

if TYPE_CHECKING:
    from heatersel.simulation.morning import Morning

__all__ = ["Answers", "Busy", "Preparing", "Shelf", "Stopped"]

T = TypeVar("T")
Watch = Callable[[int, int], None]

_LOOKS_AT_ONCE = 2  # one in the compiled models, one beside them
_AT_ONCE = 1  # full comparisons worked out at the same time
_WAITING = 1  # more that may wait for their turn
_PATIENCE_S = 0.01
_HARDLY_S = 0.05
_ANY_HOUSE = {"household": {"occupants": 2}, "place": {"climate": "Boise, ID"}}


class Preparing(Exception):
    """The models are still being loaded, or compiled after an installation; ask again."""


class Stopped(Exception):
    """Nobody waits for the answer any more."""


class Busy(Exception):
    """Too many full comparisons are asked for; ask again in a while."""


class Shelf:
    """A folder in which processes leave finished comparisons for each other.

    Parameters
    ----------
    folder : pathlib.Path
        Nobody else may write there.
    most : int
        Comparisons kept.
    """

    def __init__(self, folder: Path, most: int = 12) -> None:
        """Use the folder as it is."""
        self._folder = folder
        self._most = most

    def get(self, key: str) -> Comparison | None:
        """Return what was left under a key, None if it is not there."""
        try:
            return pickle.loads(self._path(key).read_bytes())  # type: ignore[no-any-return]
        except (OSError, EOFError, pickle.UnpicklingError):
            return None

    def put(self, key: str, comparison: Comparison) -> None:
        """Leave a comparison; the oldest ones go."""
        path = self._path(key)
        mine = path.with_suffix(f".{os.getpid()}")
        with suppress(OSError):  # a full disk costs time, not the answer
            mine.write_bytes(pickle.dumps(comparison, protocol=pickle.HIGHEST_PROTOCOL))
            mine.replace(path)
            kept = sorted(self._folder.glob("*.answer"), key=lambda p: -p.stat().st_mtime)
            for old in kept[self._most :]:
                old.unlink(missing_ok=True)

    def _path(self, key: str) -> Path:
        return self._folder / f"{hashlib.sha256(key.encode()).hexdigest()}.answer"


class Answers:
    """Answers about jobs, the last few kept.

    Parameters
    ----------
    kept : int
        How many comparisons.
    shelf : Shelf or None
        Where other processes find them.
    patience_s : float
        How long a first look waits for models that are still being prepared. [s]
    """

    def __init__(
        self, kept: int = 16, shelf: Shelf | None = None, patience_s: float = 600.0
    ) -> None:
        """Keep nothing yet."""
        self._kept = kept
        self._shelf = shelf
        self._patience_s = patience_s
        self._ready = threading.Event()
        self._prepares = False
        self._lock = threading.Lock()
        self._found: OrderedDict[str, Any] = OrderedDict()
        self._working: dict[str, threading.Event] = {}
        self._looking = 0
        self._looks = threading.Semaphore(_LOOKS_AT_ONCE)
        self._turn = threading.Semaphore(_AT_ONCE)
        self._waiting = 0

    def prepare(self) -> None:
        """Load models and tables, unless somebody does already; return when they are there."""
        with self._lock:
            mine, self._prepares = not self._prepares, True
        if not mine:
            self._ready.wait()
            return
        try:
            look = first_look(parse_job(_ANY_HOUSE))
            self._ready.set()
            morning(look.job, [option.heater for option in look.ranked])
        finally:
            self._ready.set()

    def job(self, tables: Tables) -> Job:
        """Return the job of tables; raise JobError with every fault."""
        return self._once("job " + signature(tables), lambda: parse_job(tables))

    def look(self, tables: Tables, keep: Sequence[str] = ()) -> Comparison:
        """Return the full comparison if it is there, else a first look.

        Raises
        ------
        Preparing
            If the models are not there within the patience.
        """
        if not self._ready.is_set():
            threading.Thread(target=self.prepare, daemon=True).start()
            if not self._ready.wait(self._patience_s):
                self._patience_s = _HARDLY_S  # the page says so by now and asks again
                raise Preparing
        found = self.full(tables)
        if found is not None:
            return found
        key = f"look {','.join(keep)} {signature(tables)}"
        with self._lock:
            self._looking += 1
        try:
            return self._once(key, lambda: self._first_look(tables, keep))
        finally:
            with self._lock:
                self._looking -= 1

    def _first_look(self, tables: Tables, keep: Sequence[str]) -> Comparison:
        with self._looks:  # one after the other: all at once would all be late
            return first_look(self.job(tables), keep=keep)

    def full(self, tables: Tables) -> Comparison | None:
        """Return the full comparison if somebody asked for it before, else None."""
        key = "full " + signature(tables)
        found = self._kept_one(key)
        if found is None and self._shelf is not None:
            found = self._shelf.get(key)
            if found is not None:
                self._keep(key, found)
        return found

    def morning(self, tables: Tables, options: Sequence[Option]) -> tuple[Morning, ...]:
        """Return a January morning with each option."""
        key = f"morning {','.join(option.id for option in options)} {signature(tables)}"
        heaters = [option.heater for option in options]
        return self._once(key, lambda: morning(self.job(tables), heaters))

    def work_out(self, tables: Tables, watch: Watch) -> Comparison:
        """Return the full comparison, worked out with a watch.

        Raises
        ------
        Busy
            If others wait already.
        Exception
            What the watch raises ends the work.
        """
        key = "full " + signature(tables)
        with self._lock:
            if self._waiting > _WAITING:
                raise Busy
            self._waiting += 1
        try:
            while not self._turn.acquire(timeout=0.3):
                watch(0, 0)
        finally:
            with self._lock:
                self._waiting -= 1
        try:
            found = self.full(tables) or compare(
                self.job(tables), watch=lambda done, of: self._give_way(watch, done, of)
            )
        finally:
            self._turn.release()
        self._keep(key, found)
        if self._shelf is not None:
            self._shelf.put(key, found)
        return found

    def _give_way(self, watch: Watch, done: int, of: int) -> None:
        """Let first looks go before."""
        watch(done, of)
        while self._looking:
            time.sleep(_PATIENCE_S)
            watch(done, of)

    def _once(self, key: str, work: Callable[[], T]) -> T:
        """Return a kept answer, or work it out once for all who ask at the same time."""
        while True:
            with self._lock:
                if key in self._found:
                    self._found.move_to_end(key)
                    return self._found[key]  # type: ignore[no-any-return]
                other = self._working.get(key)
                if other is None:
                    mine = self._working[key] = threading.Event()
                    break
            other.wait(timeout=30.0)
        try:
            found = work()
            self._keep(key, found)
            return found
        finally:
            with self._lock:
                del self._working[key]
            mine.set()

    def _kept_one(self, key: str) -> Comparison | None:
        with self._lock:
            if key in self._found:
                self._found.move_to_end(key)
            return self._found.get(key)

    def _keep(self, key: str, found: Any) -> None:
        with self._lock:
            self._found[key] = found
            while len(self._found) > self._kept:
                self._found.popitem(last=False)
