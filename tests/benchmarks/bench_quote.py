"""What a document costs on top of a comparison: whole processes, byte code compiled, kernel cached.

Run as ``python tests/benchmarks/bench_quote.py``. ``compare`` and ``quote`` of the bundled job take
turns, so that both meet the same load; the fastest of each is printed with its processor time, then
their difference beside the goal, their ratio, and what setting the page alone takes.
"""

from __future__ import annotations

import datetime as dt
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROUNDS = 5
GOAL_S = 0.5
RUN = "import sys; from heatersel.cli import main; sys.argv[0] = 'heatersel'; main()"


def seconds(*arguments: str) -> tuple[float, float]:
    """Return wall and processor time of one fresh process."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run([sys.executable, "-c", RUN, *arguments], check=True, capture_output=True,
                   env=environment)  # fmt: skip
    wall, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    return wall, after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def page_seconds() -> tuple[float, float]:
    """Return the processor time of the first page that this process sets, and of the next."""
    from heatersel.cli_quote import read_policy, read_prices
    from heatersel.cli_shared import read_heaters, read_job
    from heatersel.quote.document import document_data, pdf_of
    from heatersel.quote.quote import Request, quote_job

    job = read_job(None)
    made = quote_job(job, read_heaters(None, extend=False), policy=read_policy(None),
                     book=read_prices(None, job.prices.currency),
                     request=Request(date=dt.date(2026, 11, 20)))  # fmt: skip
    data = document_data(made)
    times = [time.process_time()]
    for letter in "ab":
        pdf_of(data | {"fingerprint": letter})
        times.append(time.process_time())
    return times[1] - times[0], times[2] - times[1]


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        commands = {"compare": ("compare",), "quote": ("quote", "-o", str(Path(folder) / "q.pdf"))}
        times = {name: [seconds(*command)] for name, command in commands.items()}
        for _ in range(ROUNDS):
            for name, command in commands.items():
                times[name].append(seconds(*command))
    best = {name: [min(column) for column in zip(*rows[1:], strict=True)]
            for name, rows in times.items()}  # fmt: skip
    print(f"{'':12}{'wall, s':>10}{'processor, s':>14}")
    for name, (wall, processor) in best.items():
        print(f"{name:12}{wall:10.2f}{processor:14.2f}")
    added = [quote - compare for compare, quote in zip(*best.values(), strict=True)]
    ratio = [quote / compare for compare, quote in zip(*best.values(), strict=True)]
    print(f"{'added':12}{added[0]:10.2f}{added[1]:14.2f}   goal: under {GOAL_S}")
    print(f"{'ratio':12}{ratio[0]:10.2f}{ratio[1]:14.2f}")
    print("the page alone: {:.2f} s, the next one {:.2f} s".format(*page_seconds()))


if __name__ == "__main__":
    main()
