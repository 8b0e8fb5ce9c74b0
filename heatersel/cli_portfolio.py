"""The command for many houses: start or take up a run, show how far it is, say where it ended.

Nothing is computed here. Progress goes to standard error, the answer to standard output.
"""

from __future__ import annotations

import math
import signal
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from heatersel.cli_shared import (
    AsJson,
    Extend,
    HeaterFile,
    print_json,
    read_heaters,
    read_method,
)
from heatersel.errors import InputError

if TYPE_CHECKING:
    from heatersel.heaters.catalogue import HeaterList
    from heatersel.portfolio.engine import Pool
    from heatersel.portfolio.run import Outcome, Progress

__all__ = ["population", "portfolio", "time_words"]

_LINE_EVERY_S = 10.0
_MOST_WORKERS = 1024

Houses = Annotated[
    Path,
    typer.Argument(help="Houses, one a row: CSV or Parquet, headed by the keys of a job file."),
]
Out = Annotated[Path, typer.Option("-o", "--out", help="Folder of the results.")]
Workers = Annotated[
    int | None,
    typer.Option(
        "--workers", min=1, max=_MOST_WORKERS, help="Processes; none given: one per core.",
        show_default=False,
    ),
]  # fmt: skip
PartitionRows = Annotated[
    int | None,
    typer.Option(
        "--partition-rows", min=1, max=1_000_000, help="Houses that are kept together.",
        show_default=False,
    ),
]  # fmt: skip
Options = Annotated[
    str | None,
    typer.Option(
        "--options", help="Only these heaters: ids with commas between.", show_default=False
    ),
]
Seed = Annotated[
    int, typer.Option("--seed", min=0, max=2**30, help="Seed of the first house's draws.")
]
Year = Annotated[
    int | None,
    typer.Option(
        "--year", min=1990, max=2100, help="Year that heaters' ages are counted to; none: now.",
        show_default=False,
    ),
]  # fmt: skip
Years = Annotated[
    int,
    typer.Option("--years", min=1, max=100, help="Seeded years of draws behind each option."),
]
Method = Annotated[
    str, typer.Option("--method", help="simulation, or balance: the closed form, no delivery.")
]
Fast = Annotated[
    bool,
    typer.Option(
        "--fast",
        help="Simulate each kind of house once, for all that are like it. Measured: the same "
        "recommendation in 699 of 700 houses, energy within 1 % for 97 % of options (1.7 % at "
        "most).",
    ),
]
Scheduler = Annotated[
    str | None,
    typer.Option(
        "--scheduler", help="Use a cluster: tcp://ADDRESS:PORT of its scheduler.",
        show_default=False,
    ),
]  # fmt: skip
Restart = Annotated[
    bool, typer.Option("--restart", help="Throw away what is finished in the folder.")
]
ReportOnly = Annotated[
    bool, typer.Option("--report-only", help="Report what is finished; compute nothing.")
]


def portfolio(
    houses: Houses,
    out: Out = Path("portfolio"),
    workers: Workers = None,
    partition_rows: PartitionRows = None,
    heaters: HeaterFile = None,
    extend: Extend = False,
    options: Options = None,
    seed: Seed = 1,
    year: Year = None,
    years: Years = 8,
    method: Method = "simulation",
    fast: Fast = False,
    scheduler: Scheduler = None,
    restart: Restart = False,
    report_only: ReportOnly = False,
    as_json: AsJson = False,
) -> None:
    """Compare heaters for many houses, and report who should get what.

    A run that is stopped goes on where it was when the same command is given again.
    """
    from heatersel.portfolio.report import write_report
    from heatersel.portfolio.run import run_portfolio
    from heatersel.portfolio.task import Settings

    settings = Settings(
        headings=(),
        heaters=_heaters(heaters, extend, options),
        first_seed=seed,
        year=year or time.localtime().tm_year,
        method=read_method(method),
        n_years=years,
        fast=fast,
    )
    if fast and method == "balance":
        raise InputError.of(
            "--fast", value="with --method balance", allowed="one of the two",
            fix="the closed form is fast already",
        )  # fmt: skip
    signal.signal(signal.SIGTERM, _stop)
    meter = _Meter(sys.stderr.isatty())
    try:
        outcome = run_portfolio(
            houses, out, settings, _pool(workers, scheduler),
            partition_rows=partition_rows, restart=restart, compute=not report_only,
            on_progress=meter.show,
        )  # fmt: skip
        write_report(outcome.folder, outcome.totals, outcome.manifest)
    except KeyboardInterrupt:
        meter.end()
        print(f"stopped; what is finished is kept in {out}: run the same command to go on",
              file=sys.stderr)  # fmt: skip
        raise typer.Exit(1) from None
    finally:
        meter.end()
    said = _said(outcome)
    if as_json:
        print_json(said)
    else:
        print(_in_words(said))


def population(
    file: Annotated[Path, typer.Argument(help="File to write: HOUSES.csv or HOUSES.parquet.")],
    n: Annotated[
        int, typer.Option("-n", "--houses", min=1, max=200_000_000, help="How many houses.")
    ] = 1000,
    region: Annotated[
        list[str] | None,
        typer.Option(
            "--region",
            help="State or province, such as MN. May be repeated; none: both countries.",
            show_default=False,
        ),
    ] = None,
    seed: Annotated[int, typer.Option("--seed", min=0, max=2**30, help="Another town.")] = 1,
    year: Year = None,
) -> None:
    """Invent houses whose traits are spread as published tables say, to plan without names."""
    from heatersel.portfolio.population import HEADINGS, invented_houses
    from heatersel.portfolio.rows import write_houses

    houses = invented_houses(
        n, regions=region or (), seed=seed, year=year or time.localtime().tm_year
    )
    write_houses(file, HEADINGS, houses)
    print(f"{n:,} invented houses: {file}")


def time_words(seconds: float) -> str:
    """Return a span of time as people say it.

    Examples
    --------
    >>> [time_words(s) for s in (8, 95, 7300, 200_000, float("inf"))]
    ['8 s', '2 min', '2 h 2 min', '2 d 7 h', 'unknown']
    """
    if not math.isfinite(seconds):
        return "unknown"
    minutes = round(seconds / 60.0)
    if seconds < 60.0:
        return f"{seconds:.0f} s"
    if minutes < 60:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {minutes} min"
    return f"{hours // 24} d {hours % 24} h"


class _Meter:
    """Shows progress: one line that is overwritten, or a new line now and then."""

    def __init__(self, live: bool) -> None:
        self._live = live
        self._shown_at = -_LINE_EVERY_S
        self._open = False

    def show(self, progress: Progress) -> None:
        now = time.monotonic()
        done = progress.rows == progress.all_rows
        if not (self._live or done or now - self._shown_at >= _LINE_EVERY_S):
            return
        self._shown_at = now
        failed = f", {progress.failed:,} failed" if progress.failed else ""
        line = f"{progress.rows:,} of {progress.all_rows:,} houses{failed}"
        if progress.rows_per_s > 0.0:
            line += f" · {progress.rows_per_s:.3g} houses/s"
        if not done:
            line += f" · {time_words(progress.left_s)} left"
        end = "\r" if self._live else "\n"
        print(f"{line:<78}", end=end, file=sys.stderr, flush=True)
        self._open = self._live

    def end(self) -> None:
        if self._open:
            print(file=sys.stderr)
        self._open = False


def _stop(*_: object) -> None:
    raise KeyboardInterrupt


def _pool(workers: int | None, scheduler: str | None) -> Pool:
    from heatersel.portfolio.pools import ClusterPool, LocalPool, usable_cores

    if scheduler is None:
        return LocalPool(workers or usable_cores())
    if workers is not None:
        raise InputError.of(
            "--workers", value=f"{workers}, with --scheduler", allowed="one of the two",
            fix="the cluster knows its workers",
        )  # fmt: skip
    return ClusterPool(scheduler)


def _heaters(path: Path | None, extend: bool, options: str | None) -> HeaterList | None:
    if path is None and options is None and not extend:
        return None
    from heatersel.portfolio.run import only_options

    listed = read_heaters(path, extend)
    if options is None:
        return listed
    return only_options(listed, tuple(filter(None, map(str.strip, options.split(",")))))


def _said(outcome: Outcome) -> dict[str, Any]:
    folder = outcome.folder
    return {
        "houses": outcome.totals.houses,
        "failed_rows": outcome.totals.failed,
        "partitions": outcome.partitions,
        "seconds": round(outcome.span_s, 3),
        "worker_seconds": round(outcome.work_s, 3),
        "defaults": dict(outcome.totals.defaults.most_common()),
        "results": str(folder / "results"),
        "recommendations": str(folder / "recommendations"),
        "errors": str(folder / "errors.csv"),
        "tables": str(folder / "tables"),
        "report": str(folder / "report.html"),
    }


def _in_words(said: dict[str, Any]) -> str:
    failed = said["failed_rows"]
    lines = [
        f"the report: {said['report']}",
        f"{said['houses']:,} houses in {said['partitions']:,} parts: {said['recommendations']}",
        f"every option of every house: {said['results']}",
        f"{failed:,} rows without a result: {said['errors']}" if failed else "no row failed",
    ]
    return "\n".join(lines)
