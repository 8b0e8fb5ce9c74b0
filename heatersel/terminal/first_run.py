"""What the first simulation on a machine has to say: it compiles its models, once."""

from __future__ import annotations

import sys

__all__ = ["say_if_first_run"]


def say_if_first_run() -> None:
    """Say on standard error that compiling takes a while, if no compiled models are kept yet."""
    from heatersel.simulation.compiler import cache_folder

    folder = cache_folder()
    if folder is None or not any(folder.rglob("kernel.run_years-*.nbc")):
        print("Preparing the simulation for this computer: half a minute, only once.",
              file=sys.stderr, flush=True)  # fmt: skip
