"""Cold starts as a plumber meets them: whole processes, byte code compiled, kernel cached.

Run as ``python tests/benchmarks/bench_start.py``. Each command is run once to fill the caches and
then five times; the fastest is printed beside its goal and as a ratio to an empty interpreter.

A plain install has neither SciPy nor dask, which only tests and clusters need; the compiler and the
units library import them where they find them (0.2 s). They are hidden here, and the full
comparison with them is the last row.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time

ROUNDS = 5
GOALS_S = {
    ("--help",): 0.2,
    ("size",): 0.8,
    ("compare", "--method", "balance"): 0.8,
    ("compare",): 2.0,
}
RUN = "import sys; {hide}from heatersel.cli import main; sys.argv[0] = 'heatersel'; main()"
HIDE = "sys.modules.update(dict.fromkeys(['dask', 'scipy'])); "


def seconds(code: str, *arguments: str) -> float:
    """Return the wall time of the fastest of several fresh processes."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    command = [sys.executable, "-c", code, *arguments]
    times = []
    for _ in range(ROUNDS + 1):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True, env=environment)
        times.append(time.perf_counter() - start)
    return min(times[1:])


def main() -> None:
    """Print the table."""
    empty = seconds("pass")
    print(f"{'command':<34}{'fastest':>10}{'goal':>8}{'over empty':>12}")
    for arguments, goal in GOALS_S.items():
        found = seconds(RUN.format(hide=HIDE), *arguments)
        name = "heatersel " + " ".join(arguments)
        print(f"{name:<34}{found:>8.2f} s{goal:>6.1f} s{found / empty:>11.0f}x")
    found = seconds(RUN.format(hide=""), "compare")
    print(f"{'with what tests install':<34}{found:>8.2f} s{'':>8}{found / empty:>11.0f}x")


if __name__ == "__main__":
    main()
