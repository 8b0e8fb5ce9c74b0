from __future__ import annotations

import io
from typing import Any

import pandas as pd
import pytest

from heatersel.api import Method
from heatersel.heaters.catalogue import load_heaters
from heatersel.portfolio import task as task_module
from heatersel.portfolio.rows import Unreadable
from heatersel.portfolio.run import only_options
from heatersel.portfolio.task import Settings, Task, run_task

SETTINGS = Settings(
    headings=("house", "household.occupants", "place.climate", "preferences.seed"),
    heaters=only_options(load_heaters(), ("electric-tank-50",)),
    year=2026,
    method=Method.BALANCE,
)
GOOD = ("a", "2", "Duluth, MN", "")


def done(*rows: Any, first_row: int = 1, dead: frozenset[int] = frozenset()) -> Any:
    return run_task(
        Task(number=0, first_row=first_row, rows=rows, settings=SETTINGS, dead_rows=dead)
    )


def seeds(finished: Any) -> list[int]:
    return list(pd.read_parquet(io.BytesIO(finished.recommendations))["seed"])


def test_seeds_follow_the_rows_unless_a_row_states_its_own() -> None:
    assert seeds(done(GOOD, (*GOOD[:3], "77"), GOOD, first_row=11)) == [11, 77, 13]


def test_a_row_that_could_not_be_read_says_why() -> None:
    (error,) = done(Unreadable("field larger than field limit"), GOOD).errors

    assert (error.row, error.field) == (1, "row")
    assert "field larger than field limit" in error.reason


def test_a_row_that_kills_is_not_tried_again() -> None:
    finished = done(GOOD, GOOD, dead=frozenset({2}))

    assert [error.row for error in finished.errors] == [2]
    assert finished.totals.houses == 1


def test_an_unforeseen_error_is_kept_to_its_row(monkeypatch: pytest.MonkeyPatch) -> None:
    compare = task_module.compare

    def fails_for_one(job: Any, heaters: Any, **how: Any) -> Any:
        if job.household.occupants.total == 3:
            raise ZeroDivisionError("float division by zero")
        return compare(job, heaters, **how)

    monkeypatch.setattr(task_module, "compare", fails_for_one)

    finished = done(GOOD, ("b", "3", "Duluth, MN", ""))

    (error,) = finished.errors
    assert (error.row, error.house) == (2, "b")
    assert "ZeroDivisionError: float division by zero" in error.reason
    assert finished.totals.houses == 1


def test_several_faults_of_a_row_are_several_error_rows_of_one_failed_row() -> None:
    finished = done(("a", "0", "Nowhere, XX", ""))

    assert {error.field for error in finished.errors} == {"household.occupants", "place.climate"}
    assert finished.totals.failed == 1
