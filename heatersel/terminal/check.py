"""A file that is in order, and what it leaves to assumptions."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.text import Text

from heatersel.job.keys import key_at
from heatersel.job.table import DefaultUsed
from heatersel.job.texts import said
from heatersel.terminal.layout import print_hanging

__all__ = ["print_good_file"]


def print_good_file(
    console: Console, path: Path, defaults: Sequence[DefaultUsed], system: str = "us"
) -> None:
    """Print that a file is in order and which defaults it falls back on, with their sources.

    Values stand as a job file would hold them, in the units of `system`, "us" or "si".
    """
    console.print(Text(f"{path} is in order.", style="bold"))
    if not defaults:
        return
    print_hanging(
        console, "",
        "1 value is assumed, since the file does not give it:" if len(defaults) == 1
        else f"{len(defaults)} values are assumed, since the file does not give them:",
    )  # fmt: skip
    width = max(len(default.field) for default in defaults)
    for default in defaults:
        line = f"{default.field:<{width}}  {_value(default, system)}"
        console.print(line, markup=False, soft_wrap=True)
        print_hanging(console, "    ", default.source, style="dim")


def _value(default: DefaultUsed, system: str) -> str:
    key = key_at(default.field)
    return str(default.value if key is None else said(default.value, key, system))
