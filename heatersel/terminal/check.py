"""A file that is in order, and what it leaves to assumptions."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.text import Text

from heatersel.job.table import DefaultUsed
from heatersel.terminal.layout import plain_table

__all__ = ["print_good_file"]


def print_good_file(console: Console, path: Path, defaults: Sequence[DefaultUsed]) -> None:
    """Print that a file is in order and which defaults it falls back on, with their sources."""
    console.print(Text(f"{path} is in order.", style="bold"))
    if not defaults:
        return
    console.print(f"{len(defaults)} values are assumed, since the file does not give them:")
    table = plain_table(("field", "left"), ("value", "right"), ("source", "left"))
    for default in defaults:
        table.add_row(default.field, _value(default), default.source)
    table.columns[2].no_wrap = False
    console.print(table)


def _value(default: DefaultUsed) -> str:
    endings = {"_l_per_min": "L/min", "_c": "°C", "_m": "m", "_kwh": "kWh"}
    unit = next((u for ending, u in endings.items() if default.attribute.endswith(ending)), "")
    amount = f"{default.value:g}" if isinstance(default.value, float) else str(default.value)
    return f"{amount} {unit}".strip()
