"""How long demand takes: run with `python tests/benchmarks/bench_demand.py`.

Fixed seed and sizes; median and shortest of the repeats are printed, with the goals beside them.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from itertools import count

import numpy as np

from heatersel.demand.busiest_hour import busiest_hours
from heatersel.demand.change_point import fit_five_parameter
from heatersel.demand.draw_year import draw_year, draw_years, plan_draws
from heatersel.demand.peak_flow import busy_fixtures, flow_distribution
from heatersel.job.models import Household

FAMILY = {"adults": 2, "teenagers": 1, "children": 2}


def times_ms(work: Callable[[], object], repeats: int = 15) -> tuple[float, float]:
    """Return the median and the shortest duration of `work` after one warm run. [ms]"""
    work()
    spans = []
    for _ in range(repeats):
        begin = time.perf_counter()
        work()
        spans.append(1e3 * (time.perf_counter() - begin))
    return statistics.median(spans), min(spans)


def main() -> None:
    """Print one line per case."""
    house = Household.model_validate(
        {"occupants": FAMILY, "fixtures": {"shower": 2, "lavatory": 3}}
    )
    plan, years = plan_draws(house), count()
    share = np.full(365, 0.8)
    temp = np.linspace(-12.0, 28.0, 24)
    use = 18.0 + 2.0 * np.maximum(13.0 - temp, 0.0) + 1.2 * np.maximum(temp - 21.0, 0.0)
    cases: dict[str, tuple[Callable[[], object], str]] = {
        "one year of draws": (lambda: draw_year(plan, 1, next(years)), "under 15 ms"),
        "busiest hours, 8 years": (lambda: busiest_hours(plan, (share, share), 1), "under 100 ms"),
        "100 years streamed": (lambda: sum(1 for _ in draw_years(plan, 1, 100)), "under 1,500 ms"),
        "peak flow distribution": (
            lambda: flow_distribution(busy_fixtures(house.fixtures, house.fixture_flow)),
            "under 1 ms",
        ),
        "five-parameter fit": (lambda: fit_five_parameter(temp, use, np.ones(24)), "under 50 ms"),
    }
    for name, (work, goal) in cases.items():
        repeats = 3 if "100 years" in name else 15
        median, shortest = times_ms(work, repeats)
        print(f"{name:<26}{median:10.2f} ms  shortest {shortest:8.2f} ms   goal {goal}")
    print(f"{'memory of a year':<26}{draw_year(plan, 1).n_bytes / 1e6:10.2f} MB   goal under 2 MB")


if __name__ == "__main__":
    main()
