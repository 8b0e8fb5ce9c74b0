"""How fast many houses are, as ratios of one run: python tests/benchmarks/bench_portfolio.py

Invented houses, fixed seeds and sizes. The rate counts a house, times the heaters that are
simulated for it (what stands there now included), times the seeded years. Times are of the
processor where one process works, and of the clock where several do. Larger sizes:

    python tests/benchmarks/bench_portfolio.py --houses 400 --rows 1000 10000 100000
"""

from __future__ import annotations

import argparse
import io
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numba
import numpy as np
import pandas as pd

from heatersel.api import Method
from heatersel.heaters.catalogue import load_heaters
from heatersel.plots.figure import Figure, Panel, Series, write_figure
from heatersel.portfolio.columns import columns_of
from heatersel.portfolio.likeness import kind_of
from heatersel.portfolio.pools import LocalPool
from heatersel.portfolio.population import HEADINGS, invented_houses
from heatersel.portfolio.rows import write_houses
from heatersel.portfolio.run import only_options, run_portfolio
from heatersel.portfolio.task import Finished, Settings, Task, job_of_row, run_task
from heatersel.simulation import kernel, tankless_kernel

REGIONS = ("MN",)
YEAR = 2026
OPTIONS = (
    "gas-tank-40", "gas-tank-50", "gas-power-vent-50", "gas-condensing-50", "electric-tank-50",
    "heat-pump-50", "heat-pump-65", "heat-pump-80", "gas-tankless-180",
    "gas-tankless-condensing-199", "propane-tank-50", "oil-tank-30",
)  # fmt: skip
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


@contextmanager
def timed(spent: dict[str, float]) -> Iterator[None]:
    """Count the processor time of the compiled tanks and tankless heaters."""
    places = ((kernel, "run_years"), (tankless_kernel, "run_tankless"))
    kept = [(module, name, getattr(module, name)) for module, name in places]

    def counting(work: Callable[..., Any]) -> Callable[..., Any]:
        def counted(*given: Any) -> Any:
            begin = time.process_time()
            try:
                return work(*given)
            finally:
                spent["kernel"] = spent.get("kernel", 0.0) + time.process_time() - begin

        return counted

    for module, name, work in kept:
        setattr(module, name, counting(work))
    try:
        yield
    finally:
        for module, name, work in kept:
            setattr(module, name, work)


def rate(name: str, settings: Settings, n: int) -> None:
    """Print years per second and core, and the share of the compiled code."""
    numba.set_num_threads(1)
    run_task(task(2, settings))
    spent: dict[str, float] = {}
    with timed(spent):
        begin = time.process_time()
        finished = run_task(task(n, settings, first=2))
        span_s = time.process_time() - begin
    years = simulated_years(finished, settings)
    print(
        f"{name:34}{years / span_s:8.0f} house-option-years/s/core (goal 350)"
        f"{n / span_s:8.2f} houses/s  compiled {spent.get('kernel', 0.0) / span_s:4.0%} (goal 70 %)"
    )


def likeness(n: int) -> None:
    """Print how well --fast agrees with the simulation of each house, and what it spares."""
    numba.set_num_threads(1)
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
    print(
        f"--fast, {n} houses of {len(kinds)} kinds: same recommendation {same:.1%} (goal 99 %), "
        f"energy within 1 % for {float((error <= 0.01).mean()):.1%} of options, at most "
        f"{float(error.max()):.2%}; {spans['full'] / spans['fast']:.1f} times as many houses a "
        "second once the kinds are known"
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
        outcome = run_portfolio(path, folder / str(workers), settings, pool, partition_rows=10)
        spans[workers] = outcome.span_s
        over = 1.0 - outcome.work_s / (workers * outcome.span_s)
        print(f"{workers} worker(s), {n} houses: {outcome.span_s:7.1f} s, "
              f"not spent on work {over:.1%} (goal 5 %)")  # fmt: skip
    print(f"two workers over one: {spans[1] / spans[2]:.2f} (goal 1.85)")


def by_rows(folder: Path, sizes: list[int], picture: Path | None) -> None:
    """Print time against rows with --fast, and draw it."""
    settings, seconds = replace(SHORT, fast=True), []
    for n in sizes:
        path = folder / f"houses-{n}.csv"
        write_houses(path, HEADINGS, invented_houses(n, regions=REGIONS, year=YEAR))
        outcome = run_portfolio(path, folder / f"rows-{n}", settings, LocalPool(2))
        seconds.append(outcome.span_s)
        print(f"--fast, 2 workers, {n:7,} houses: {outcome.span_s:8.1f} s, "
              f"{n / outcome.span_s:6.1f} houses/s")  # fmt: skip
    if picture:
        write_figure(_chart(sizes, seconds), picture)


def _chart(sizes: list[int], seconds: list[float]) -> Figure:
    logs = tuple(float(np.log10(n)) for n in sizes)
    return Figure(
        title="Time against houses",
        sentence="Two workers, twelve heaters, eight seeded years, each kind simulated once. Both "
        "axes are powers of ten.",
        panels=(
            Panel(
                title="",
                x=logs,
                series=(Series(name="", values=tuple(float(np.log10(s)) for s in seconds)),),
                x_label="houses, power of ten",
                y_label="seconds, power of ten",
            ),
        ),
    )


def main(arguments: list[str]) -> None:
    """Run all cases."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--houses", type=int, default=24)
    parser.add_argument("--rows", type=int, nargs="*", default=[200])
    parser.add_argument("--picture", type=Path)
    given = parser.parse_args(arguments)
    n = given.houses
    rate("whole list, 8 years", WHOLE, max(4, n // 3))
    rate("12 heaters, 8 years", SHORT, n)
    rate("12 heaters, closed form", replace(SHORT, method=Method.BALANCE), n)
    likeness(n)
    with tempfile.TemporaryDirectory() as folder:
        scaling(Path(folder), 2 * n)
        by_rows(Path(folder), given.rows, given.picture)


if __name__ == "__main__":
    main(sys.argv[1:])
