"""The same tasks on a cluster: scheduler and workers of `distributed`, on the loopback."""

from __future__ import annotations

import importlib
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import dask.config
import distributed
import pandas as pd
import pytest
from portfolio.workers import SETTINGS, deadly, quick, unhurried

from heatersel.errors import HeaterselError, InputError
from heatersel.portfolio import engine, pools
from heatersel.portfolio.engine import run_tasks
from heatersel.portfolio.pools import ClusterPool, LocalPool
from heatersel.portfolio.run import Progress, run_portfolio

HEAD = "house,household.occupants,place.climate,existing.energy_source\n"


@pytest.fixture
def cluster() -> Iterator[Any]:
    with (
        dask.config.set({"distributed.scheduler.allowed-failures": 0}),
        distributed.LocalCluster(
            n_workers=2,
            threads_per_worker=1,
            host="127.0.0.1",
            dashboard_address=None,
            worker_dashboard_address=None,
        ) as cluster,
    ):
        yield cluster


def houses(folder: Path, *names: str) -> Path:
    path = folder / "houses.csv"
    rows = [f'{name},{1 + i % 4},"Duluth, MN",electricity\n' for i, name in enumerate(names)]
    path.write_text(HEAD + "".join(rows))
    return path


def test_a_cluster_gives_what_one_machine_gives(cluster: Any, tmp_path: Path) -> None:
    path = houses(tmp_path, *map(str, range(9)))

    run_portfolio(path, tmp_path / "cluster", SETTINGS, ClusterPool(cluster.scheduler_address),
                  partition_rows=2, work=quick)  # fmt: skip
    run_portfolio(path, tmp_path / "here", SETTINGS, LocalPool(1), partition_rows=5, work=quick)

    for name in ("results", "recommendations"):
        one, other = (pd.read_parquet(tmp_path / where / name) for where in ("cluster", "here"))
        pd.testing.assert_frame_equal(one, other, check_exact=True)


def test_a_row_that_kills_workers_of_a_cluster_becomes_an_error_row(
    cluster: Any, tmp_path: Path
) -> None:
    path = houses(tmp_path, "a", "b", "poison", "d", "e")

    outcome = run_portfolio(
        path, tmp_path / "out", SETTINGS, ClusterPool(cluster.scheduler_address),
        partition_rows=2, work=deadly,
    )  # fmt: skip

    assert (outcome.totals.houses, outcome.totals.failed) == (4, 1)
    assert list(pd.read_csv(tmp_path / "out" / "errors.csv")["row"]) == [3]


def test_a_lost_scheduler_ends_the_run_and_the_next_one_goes_on(
    cluster: Any, tmp_path: Path
) -> None:
    path = houses(tmp_path, *map(str, range(40)))
    out, kept = tmp_path / "out", []

    def lose(progress: Progress) -> None:
        kept.append(progress.rows)
        if len(kept) == 3:
            cluster.close()

    with pytest.raises(HeaterselError, match="it was lost; what is finished is kept"):
        run_portfolio(path, out, SETTINGS, ClusterPool(cluster.scheduler_address),
                      partition_rows=2, work=unhurried, on_progress=lose)  # fmt: skip
    outcome = run_portfolio(path, out, SETTINGS, LocalPool(1), partition_rows=2, work=quick)

    assert kept[-1] >= 4
    assert outcome.totals.houses == 40


def test_a_cluster_whose_workers_stay_away_is_said(
    cluster: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for module, name in ((pools, "NO_WORKERS_S"), (engine, "_PATIENCE_S")):
        monkeypatch.setattr(module, name, 0.1)
    monkeypatch.setattr(pools, "_COUNT_EVERY_S", 0.0)
    pool = ClusterPool(cluster.scheduler_address)
    cluster.scale(0)
    end = time.monotonic() + 60.0
    while pool.n_workers:
        assert time.monotonic() < end
        time.sleep(0.02)

    with pytest.raises(HeaterselError, match=r"without workers for 0\.1 s"):
        run_portfolio(houses(tmp_path, "a"), tmp_path / "out", SETTINGS, pool, work=quick)


def test_no_scheduler_at_the_address_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pools, "_CONNECT_S", 1)

    with pytest.raises(InputError, match=r"--scheduler is tcp://127\.0\.0\.1:9; allowed"):
        ClusterPool("tcp://127.0.0.1:9")


def test_without_the_library_the_message_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def missing(name: str) -> Any:
        raise ImportError(name)

    monkeypatch.setattr(importlib, "import_module", missing)
    monkeypatch.setattr(pools, "import_module", missing)

    with pytest.raises(HeaterselError, match=r"pip install 'heatersel\[cluster\]'"):
        ClusterPool("tcp://127.0.0.1:9")


def test_tasks_end_with_the_cluster_that_ran_them(cluster: Any) -> None:
    from portfolio.test_pools import tasks

    pool = ClusterPool(cluster.scheduler_address)
    done = list(run_tasks(tasks(*"abcdefg", size=2), pool, quick))
    pool.close()

    assert sorted(finished.number for finished in done) == [0, 1, 2, 3]
