"""Asks the public functions on behalf of the pages and keeps the last answers.

An answer depends on the job alone, so keeping it changes no result. Two questions about the same
job at the same time are worked out once.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import Any, TypeVar

from dashboard.told import Tables, signature
from heatersel import api
from heatersel.comparison import Comparison
from heatersel.cost.report import CostReport
from heatersel.job.load import parse_job
from heatersel.job.models import Job

__all__ = ["Answers"]

T = TypeVar("T")


class Answers:
    """Answers about jobs, the last few kept.

    Parameters
    ----------
    kept : int
        How many.
    """

    def __init__(self, kept: int) -> None:
        """Keep nothing yet."""
        self._kept = kept
        self._lock = threading.Lock()
        self._found: OrderedDict[tuple[str, str], Any] = OrderedDict()
        self._working: dict[tuple[str, str], threading.Event] = {}

    def job(self, tables: Tables) -> Job:
        """Return the job of tables; raise JobError with every fault."""
        return self._once("job", tables, lambda: parse_job(tables))

    def comparison(self, tables: Tables) -> Comparison:
        """Return the comparison of a job."""
        return self._once("comparison", tables, lambda: api.compare(self.job(tables)))

    def cost(self, tables: Tables) -> CostReport:
        """Return the costs of a job's options year by year."""
        return self._once("cost", tables, lambda: api.cost_of_job(self.job(tables)))

    def _once(self, kind: str, tables: Tables, work: Callable[[], T]) -> T:
        key = (kind, signature(tables))
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
            with self._lock:
                self._found[key] = found
                while len(self._found) > self._kept:
                    self._found.popitem(last=False)
            return found
        finally:
            with self._lock:
                del self._working[key]
            mine.set()
