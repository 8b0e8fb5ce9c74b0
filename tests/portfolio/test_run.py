"""Whole runs: the same answer however the houses are shared out, and through any interruption."""

from __future__ import annotations

import os
import random
import tracemalloc
from concurrent.futures import Future
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

import pandas as pd
import pyarrow.parquet
import pytest
from portfolio.workers import SETTINGS, HerePool, quick

from heatersel.api import Method, compare
from heatersel.errors import HeaterselError, InputError
from heatersel.heaters.catalogue import load_heaters
from heatersel.job.load import parse_job
from heatersel.portfolio import store as store_module
from heatersel.portfolio.engine import Work
from heatersel.portfolio.pools import LocalPool
from heatersel.portfolio.run import (
    Progress,
    only_options,
    partition_rows_for,
    run_portfolio,
)
from heatersel.portfolio.task import Finished, Settings, Task, run_task

HEAD = (
    "house,household.occupants,place.climate,home.fuels,preferences.setpoint [degF],"
    "existing.energy_source,existing.installed\n"
)
FEW = only_options(load_heaters(), ("gas-tank-50", "heat-pump-65", "electric-tank-50"))
REAL = Settings(headings=(), year=2026, heaters=FEW, method=Method.BALANCE)
SIMULATED = replace(REAL, method=Method.SIMULATION, n_years=1)


def house_rows(n: int) -> str:
    places = ("Duluth, MN", "Boston, MA", "Toronto, ON")
    return "".join(
        f'h{i},{1 + i % 5},"{places[i % 3]}",natural_gas;electricity,{120 + 5 * (i % 3)},'
        f"{'natural_gas' if i % 2 else 'electricity'},{2000 + i}\n"
        for i in range(n)
    )


def houses(folder: Path, text: str) -> Path:
    path = folder / "houses.csv"
    path.write_text(HEAD + text)
    return path


def tables(out: Path) -> dict[str, pd.DataFrame]:
    return {name: pd.read_parquet(out / name) for name in ("results", "recommendations")}


def assert_same(one: Path, other: Path) -> None:
    for name, table in tables(one).items():
        pd.testing.assert_frame_equal(table, tables(other)[name], check_exact=True)
    assert (one / "errors.csv").read_text() == (other / "errors.csv").read_text()


def run_here(path: Path, out: Path, settings: Settings = REAL, **how: Any) -> Any:
    return run_portfolio(path, out, settings, HerePool(), **how)


def test_a_portfolio_of_one_equals_compare_to_the_last_digit(tmp_path: Path) -> None:
    path = houses(tmp_path, 'a,4,"Duluth, MN",natural_gas;electricity,125,natural_gas,2009\n')
    job = parse_job(
        {
            "household": {"occupants": 4},
            "place": {"climate": "Duluth, MN"},
            "home": {"fuels": ["natural_gas", "electricity"]},
            "preferences": {"setpoint": "125 degF"},
            "existing": {"energy_source": "natural_gas", "installed": 2009},
        }
    )

    run_here(path, tmp_path / "out", Settings(headings=(), year=2026, n_years=1))

    found, comparison = tables(tmp_path / "out"), compare(job, n_years=1)
    assert list(found["results"]["option_id"]) == [option.id for option in comparison.options]
    for name, of in {
        "life_cycle": lambda o: o.cost.life_cycle,
        "life_cycle_p10": lambda o: o.cost.life_cycle_p10,
        "total_per_year": lambda o: o.cost.total_per_year,
        "installed": lambda o: o.cost.installed,
        "co2_kg_per_year": lambda o: o.co2_kg_per_year,
        "delivered_kwh": lambda o: o.annual.delivered_kwh,
        "sizing_available": lambda o: o.sizing.available,
        "efficiency": lambda o: o.annual.efficiency,
        "short_days": lambda o: o.annual.delivery and o.annual.delivery.short_days_per_year,
    }.items():
        column = found["results"][name]
        assert [None if pd.isna(v) else v for v in column] == [of(o) for o in comparison.options]
    (advice,) = found["recommendations"].to_dict("records")
    assert comparison.recommended is not None
    assert comparison.existing is not None
    assert advice["option_id"] == comparison.recommended.id
    assert advice["after_per_year"] == comparison.recommended.cost.total_per_year
    assert advice["before_per_year"] == comparison.existing.cost.total_per_year
    assert advice["before_age_years"] == 17


@pytest.mark.parametrize("settings", [REAL, SIMULATED], ids=["balance", "simulation"])
def test_workers_and_partitions_do_not_matter(tmp_path: Path, settings: Settings) -> None:
    path = houses(tmp_path, house_rows(7) + "bad,99,Duluth,electricity,125,electricity,2010\n")

    run_here(path, tmp_path / "one", settings, partition_rows=100)
    run_portfolio(path, tmp_path / "two", settings, LocalPool(2), partition_rows=3)

    assert_same(tmp_path / "one", tmp_path / "two")


def test_every_house_has_draws_of_its_own(tmp_path: Path) -> None:
    row = 'a,4,"Duluth, MN",natural_gas;electricity,125,natural_gas,2009\n'

    run_here(houses(tmp_path, 2 * row), tmp_path / "out", partition_rows=1)

    first, second = tables(tmp_path / "out")["recommendations"].to_dict("records")
    assert (first["seed"], second["seed"]) == (1, 2)


def test_a_poisoned_row_becomes_an_error_row_with_field_and_reason(tmp_path: Path) -> None:
    path = houses(
        tmp_path,
        house_rows(1)
        + 'b,0,"Duluth, MN",electricity,125,electricity,2010\n'
        + 'c,2,"Dulth, MN",gas,125,electricity,2010\n'
        + "d,2\n",
    )

    outcome = run_here(path, tmp_path / "out")

    errors = pd.read_csv(tmp_path / "out" / "errors.csv")
    assert list(errors["row"]) == [2, 3, 3, 4]
    assert list(errors["field"]) == [
        "household.occupants", "place.climate", "home.fuels.1", "row",
    ]  # fmt: skip
    assert errors["reason"].str.contains("allowed").all()
    assert (outcome.totals.houses, outcome.totals.failed) == (1, 3)
    assert list(tables(tmp_path / "out")["recommendations"]["house"]) == ["h0"]


class Forgetful(HerePool):
    """A pool that does not remember what it was given."""

    def submit(self, work: Work, task: Task) -> Future[Finished]:
        future = super().submit(work, task)
        self.submitted.clear()
        return future


def test_memory_does_not_grow_with_the_rows(tmp_path: Path) -> None:
    peaks = []
    for n in (50, 500, 2500):  # the first one loads what is loaded once
        path = tmp_path / f"{n}.csv"
        path.write_text(HEAD + house_rows(n))
        tracemalloc.start()
        run_portfolio(path, tmp_path / str(n), SETTINGS, Forgetful(), partition_rows=50, work=quick)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()

    assert peaks[2] < 1.3 * peaks[1]


def test_defaults_are_counted(tmp_path: Path) -> None:
    outcome = run_here(houses(tmp_path, house_rows(3)), tmp_path / "out")

    assert outcome.totals.defaults["household.bedrooms"] == 3
    assert "preferences.setpoint" not in outcome.totals.defaults


def test_ten_interruptions_at_random_leave_no_trace(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between partitions and in the middle of writing them."""
    path = houses(tmp_path, house_rows(120))
    run_here(path, tmp_path / "whole", SETTINGS, partition_rows=4, work=quick)
    rng, write = random.Random(1), os.fsync
    interruptions, finished = 0, [0]

    def perhaps_interrupted() -> None:
        nonlocal interruptions
        if interruptions < 10 and rng.random() < 0.1:
            interruptions += 1
            raise KeyboardInterrupt

    def written(number: int) -> None:
        perhaps_interrupted()
        write(number)

    def told(progress: Progress) -> None:
        finished.append(progress.rows)
        perhaps_interrupted()

    monkeypatch.setattr(store_module.os, "fsync", written)
    while finished[-1] < 120:
        with suppress(KeyboardInterrupt):
            run_here(path, tmp_path / "cut", SETTINGS, partition_rows=4, work=quick,
                     on_progress=told)  # fmt: skip

    assert interruptions == 10
    assert finished == sorted(finished)
    assert_same(tmp_path / "whole", tmp_path / "cut")


def test_what_is_finished_is_not_computed_again(tmp_path: Path) -> None:
    path = houses(tmp_path, house_rows(12))
    run_here(path, tmp_path / "out", SETTINGS, partition_rows=4, work=quick)
    pool = HerePool()

    run_portfolio(path, tmp_path / "out", SETTINGS, pool, partition_rows=4, work=quick)

    assert not pool.submitted


def test_a_lost_disk_ends_the_run_and_the_next_one_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = houses(tmp_path, house_rows(12))
    written, write = [], os.fsync

    def fills_up(number: int) -> None:
        written.append(number)
        if len(written) > 5:
            raise OSError(28, "No space left on device")
        write(number)

    with monkeypatch.context() as patch:
        patch.setattr(store_module.os, "fsync", fills_up)
        with pytest.raises(HeaterselError, match="No space left"):
            run_here(path, tmp_path / "out", SETTINGS, partition_rows=4, work=quick)
    run_here(path, tmp_path / "out", SETTINGS, partition_rows=4, work=quick)
    run_here(path, tmp_path / "whole", SETTINGS, partition_rows=4, work=quick)

    assert_same(tmp_path / "whole", tmp_path / "out")


def test_other_houses_do_not_go_into_the_same_folder(tmp_path: Path) -> None:
    run_here(houses(tmp_path, house_rows(4)), tmp_path / "out", SETTINGS, work=quick)

    with pytest.raises(InputError, match="houses_sha256"):
        run_here(houses(tmp_path, house_rows(5)), tmp_path / "out", SETTINGS, work=quick)


def test_a_file_without_houses_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no houses"):
        run_here(houses(tmp_path, ""), tmp_path / "out")


def test_the_pool_is_closed_whatever_happens(tmp_path: Path) -> None:
    pool = HerePool()

    with pytest.raises(InputError):
        run_portfolio(tmp_path / "none.csv", tmp_path / "out", SETTINGS, pool)

    assert pool.closed


def test_a_row_gives_the_same_from_parquet_and_csv(tmp_path: Path) -> None:
    path = houses(tmp_path, house_rows(3))
    pd.read_csv(path).to_parquet(tmp_path / "houses.parquet")

    run_here(path, tmp_path / "csv")
    run_here(tmp_path / "houses.parquet", tmp_path / "parquet")

    assert_same(tmp_path / "csv", tmp_path / "parquet")


def test_columns_say_what_they_mean(tmp_path: Path) -> None:
    run_here(houses(tmp_path, house_rows(1)), tmp_path / "out")

    schema = pyarrow.parquet.read_schema(tmp_path / "out" / "results" / "part-000000.parquet")
    assert all(field.metadata[b"meaning"] for field in schema)


def test_partitions_are_neither_too_many_nor_too_few() -> None:
    for n_rows in (1, 100, 10_000, 1_000_000, 100_000_000):
        size = partition_rows_for(n_rows)
        assert size >= 10
        assert n_rows / size <= 20_000


def test_the_work_of_a_worker_can_be_sent_to_it() -> None:
    import pickle

    assert pickle.loads(pickle.dumps((run_task, REAL))) == (run_task, REAL)
