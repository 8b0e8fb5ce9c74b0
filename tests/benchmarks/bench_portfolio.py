"""How fast many houses are, as ratios of one run: python tests/benchmarks/bench_portfolio.py

Invented houses, fixed seeds and sizes. The rate counts a house, times the heaters that are
simulated for it (what stands there now included), times the seeded years. Times are of the
processor where one process works, and of the clock where several do. Larger sizes:

    python tests/benchmarks/bench_portfolio.py --houses 400 --rows 1000 10000 100000

With `--rows-only FOLDER` nothing but time against rows is measured, and the tables stay there.
"""

from __future__ import annotations

import os

os.environ["NUMBA_NUM_THREADS"] = "1"  # as in a worker; has to be set before the compiler loads

import argparse
import io
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pandas as pd

from heatersel import api, chain
from heatersel.demand import draw_year, household
from heatersel.heaters.catalogue import load_heaters
from heatersel.plots.figure import Figure, Panel, Series, write_figure
from heatersel.portfolio import task as task_module
from heatersel.portfolio.columns import columns_of
from heatersel.portfolio.likeness import kind_of
from heatersel.portfolio.pools import LocalPool
from heatersel.portfolio.population import HEADINGS, invented_houses
from heatersel.portfolio.rows import write_houses
from heatersel.portfolio.run import only_options, run_portfolio
from heatersel.portfolio.task import Finished, Settings, Task, job_of_row, run_task
from heatersel.simulation import annual, kernel, pieces, tankless_kernel

REGIONS = ("MN",)
YEAR = 2026
OPTIONS = (
    "gas-tank-40", "gas-tank-50", "gas-power-vent-50", "gas-condensing-50", "electric-tank-50",
    "heat-pump-50", "heat-pump-65", "heat-pump-80", "gas-tankless-180",
    "gas-tankless-condensing-199", "propane-tank-50", "oil-tank-30",
)  # fmt: skip
USD_PER_CORE_HOUR = 0.04
"""Price of a rented core; an assumption without a source: put in your own."""

ROWS_FOR_A_RATE = 30_000
"""From here on most houses of one state are of a kind that is known."""

FEW = only_options(load_heaters(), OPTIONS)
WHOLE = Settings(headings=HEADINGS, year=YEAR)
SHORT = replace(WHOLE, heaters=FEW)


def task(n: int, settings: Settings, first: int = 0) -> Task:
    """Return invented houses as one task."""
    rows = tuple(invented_houses(first + n, regions=REGIONS, year=YEAR))[first:]
    return Task(number=0, first_row=first + 1, rows=rows, settings=settings)


def simulated_years(finished: Finished, settings: Settings) -> int:
    """Return house x option x years of a finished task: those with a delivery were simulated."""
    rows = pd.read_parquet(io.BytesIO(finished.results), columns=["short_days"])
    return (int(rows["short_days"].notna().sum()) + finished.totals.houses) * settings.n_years


STAGES: dict[str, tuple[tuple[ModuleType, str], ...]] = {
    "compiled tanks and tankless": ((kernel, "run_years"), (tankless_kernel, "run_tankless"),
                                    (pieces, "cut_draws")),
    "draws": ((draw_year, "draw_year"),),
    "busiest hours, draws aside": ((household, "busiest_hours"),),
    "simulation around the kernel": ((annual, "simulate_options"), (chain, "house_year")),
    "cautions": ((chain, "cautions_for"),),
    "cost and its bands": ((chain, "option_cost"), (api, "with_bands"), (chain, "cost_basis")),
    "rows to jobs": ((task_module, "job_of_row"),),
    "tables": ((task_module, "as_parquet"), (task_module, "results"),
               (task_module, "recommendation"), (task_module, "electric_load")),
}  # fmt: skip


class Clock:
    """Processor time of each stage without that of the stages that it calls."""

    def __init__(self) -> None:
        self.spent: Counter[str] = Counter()
        self._open: list[str] = []
        self._since = 0.0

    def _turn(self) -> None:
        now = time.process_time()
        if self._open:
            self.spent[self._open[-1]] += now - self._since
        self._since = now

    def counting(self, stage: str, work: Callable[..., Any]) -> Callable[..., Any]:
        """Return a function whose time is counted."""

        def counted(*given: Any, **named: Any) -> Any:
            self._turn()
            self._open.append(stage)
            try:
                return work(*given, **named)
            finally:
                self._turn()
                self._open.pop()

        return counted


@contextmanager
def timed() -> Iterator[Counter[str]]:
    """Count the processor time of each stage."""
    clock = Clock()
    kept = [(module, name, getattr(module, name), stage)
            for stage, places in STAGES.items() for module, name in places]  # fmt: skip
    for module, name, work, stage in kept:
        setattr(module, name, clock.counting(stage, work))
    try:
        yield clock.spent
    finally:
        for module, name, work, _ in kept:
            setattr(module, name, work)


def rate(name: str, settings: Settings, n: int) -> None:
    """Print years per second and core, and where the time goes."""
    run_task(task(n, settings))  # heaters are fitted to their labels here, once per worker
    with timed() as spent:
        begin = time.process_time()
        finished = run_task(task(n, settings, first=n))
        span_s = time.process_time() - begin
    years = simulated_years(finished, settings)
    print(
        f"{name:34}{years / span_s:8.0f} house-option-years/s/core (goal 350, stretch 600)"
        f"{n / span_s:8.2f} houses/s"
    )
    for stage in STAGES:
        print(f"    {stage:40}{spent[stage] / span_s:6.1%}"
              f"{' (goal 70 %)' if stage.startswith('compiled') else ''}")  # fmt: skip
    print(f"    {'the rest':40}{1.0 - spent.total() / span_s:6.1%}")


def likeness(n: int) -> None:
    """Print how well --fast agrees with the simulation of each house, and what it spares."""
    found, spans = {}, {}
    for name, settings in (("full", SHORT), ("fast", replace(SHORT, fast=True))):
        run_task(task(n, settings))  # kinds are simulated here
        begin = time.process_time()
        found[name] = run_task(task(n, settings))
        spans[name] = time.process_time() - begin
    columns = columns_of(HEADINGS)
    rows = task(n, SHORT).rows
    kinds = {kind_of(job_of_row(columns, cells, 1, SHORT)) for cells in rows}
    tables = {
        name: [pd.read_parquet(io.BytesIO(part)) for part in (done.results, done.recommendations)]
        for name, done in found.items()
    }
    (full, advice), (fast, other) = tables["full"], tables["fast"]
    same = float((advice["option_id"].fillna("") == other["option_id"].fillna("")).mean())
    both = full[full["rank"].notna()].merge(fast, on=["row", "option_id"], suffixes=("", "_fast"))
    sources = ("electricity", "natural_gas", "propane", "fuel_oil")
    energy, near = (
        sum(both[f"{source}_kwh{end}"].fillna(0.0) for source in sources) for end in ("", "_fast")
    )
    error = np.abs(near / energy - 1.0)
    together = float(near.sum() / energy.sum() - 1.0)
    print(
        f"--fast, {n} houses of {len(kinds)} kinds: same recommendation {same:.1%} (goal 99 %), "
        f"energy within 1 % for {float((error <= 0.01).mean()):.1%} of options, at most "
        f"{float(error.max()):.2%}, of all together {together:+.2%}; "
        f"{spans['full'] / spans['fast']:.1f} times as many houses a second once kinds are known"
    )


def scaling(folder: Path, n: int, settings: Settings = SHORT) -> None:
    """Print two workers over one, and what is not spent on work."""
    path = folder / "houses.csv"
    write_houses(path, HEADINGS, invented_houses(n, regions=REGIONS, year=YEAR))
    spans = {}
    for workers in (1, 2):
        pool = LocalPool(workers)
        warm = [pool.submit(run_task, task(1, settings)) for _ in range(2 * workers)]
        for future in warm:
            future.result()
        outcome = run_portfolio(
            path, folder / str(workers), settings, pool, partition_rows=max(1, n // 24)
        )
        spans[workers] = outcome.span_s
        over = 1.0 - outcome.work_s / (workers * outcome.span_s)
        print(f"{workers} worker(s), {n} houses: {outcome.span_s:7.1f} s, "
              f"not spent on work {over:.1%} (goal 5 %)")  # fmt: skip
    print(f"two workers over one: {spans[1] / spans[2]:.2f} (goal 1.85)")


def by_rows(folder: Path, sizes: list[int], picture: Path | None) -> None:
    """Print time against rows with --fast, draw it, and say what it means for more of them."""
    settings, seconds = replace(SHORT, fast=True), []
    for n in sizes:
        path = folder / f"houses-{n}.csv"
        write_houses(path, HEADINGS, invented_houses(n, regions=REGIONS, year=YEAR))
        outcome = run_portfolio(path, folder / f"rows-{n}", settings, LocalPool(2))
        seconds.append(outcome.span_s)
        print(f"--fast, 2 workers, {n:7,} houses: {outcome.span_s:8.1f} s, "
              f"{n / outcome.span_s:6.1f} houses/s")  # fmt: skip
    if len(sizes) > 1:
        (small, large), (begin, end) = sizes[-2:], seconds[-2:]
        print("  the last two sizes: "
              f"{(end / begin) / (large / small):.2f} times as long per house")  # fmt: skip
    core_s = 2.0 * seconds[-1] / sizes[-1]
    if sizes[-1] < ROWS_FOR_A_RATE:
        print("  (with so few rows most time goes to finding kinds: what follows is too high)")
    for n, cores in ((1_000_000, 2), (1_000_000, 64), (100_000_000, 1000)):
        print(f"  {n:11,} houses on {cores:5,} cores at that rate: "
              f"{n * core_s / cores / 3600.0:7.1f} h")  # fmt: skip
    print(f"  a million houses: {1e6 * core_s / 3600.0:.0f} core-hours, "
          f"{1e6 * core_s / 3600.0 * USD_PER_CORE_HOUR:.0f} USD at an assumed "
          f"{USD_PER_CORE_HOUR} USD per core-hour")  # fmt: skip
    if picture:
        write_figure(_chart(sizes, seconds), picture)


def _chart(sizes: list[int], seconds: list[float]) -> Figure:
    houses = tuple(f"{n:,}" for n in sizes)
    minutes = tuple(span / 60.0 for span in seconds)
    each = tuple(2000.0 * span / n for n, span in zip(sizes, seconds, strict=True))
    return Figure(
        title="Time against houses",
        sentence="Two workers, twelve heaters, eight seeded years, each kind of house simulated "
        "once. The more houses there are, the fewer of them are of a new kind.",
        panels=tuple(
            Panel(title=title, x=houses, series=(Series(name="", values=values),), y_label=unit,
                  x_label="houses")
            for title, values, unit in (
                ("From start to end", minutes, "minutes"),
                ("For each house, on one core", each, "ms"),
            )
        ),
    )  # fmt: skip


def main(arguments: list[str]) -> None:
    """Run all cases."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--houses", type=int, default=24)
    parser.add_argument("--rows", type=int, nargs="*", default=[200])
    parser.add_argument("--picture", type=Path)
    parser.add_argument("--rows-only", type=Path, metavar="FOLDER")
    given = parser.parse_args(arguments)
    if given.rows_only:
        by_rows(given.rows_only, given.rows, given.picture)
        return
    n = given.houses
    rate("whole list, 8 years", WHOLE, max(4, n // 3))
    rate("12 heaters, 8 years", SHORT, n)
    likeness(n)
    with tempfile.TemporaryDirectory() as folder:
        scaling(Path(folder), 2 * n)
        by_rows(Path(folder), given.rows, given.picture)


if __name__ == "__main__":
    main(sys.argv[1:])
