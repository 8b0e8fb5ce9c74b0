"""Small pieces of layout that several terminal views share."""

from __future__ import annotations

import textwrap

from rich.console import Console
from rich.table import Table

__all__ = ["plain_table", "print_hanging"]

_WIDEST_TEXT = 100  # longer lines are hard to read, however wide the terminal is


def print_hanging(console: Console, lead: str, text: str, style: str = "") -> None:
    """Print text that hangs indented under its lead, such as a bullet or a label.

    A no-break space keeps a number with its unit; it is printed as a plain space.
    """
    width = max(min(console.width, _WIDEST_TEXT) - len(lead), 20)
    lines = textwrap.wrap(text, width, break_long_words=False, break_on_hyphens=False) or [""]
    for number, line in enumerate(lines):
        console.print(
            (lead if number == 0 else " " * len(lead)) + line.replace("\u00a0", " "),
            style=style, markup=False, soft_wrap=True,
        )  # fmt: skip


def plain_table(*columns: tuple[str, str]) -> Table:
    """Return a table without lines; each column is a heading and "left" or "right".

    The first column wraps where the terminal is narrow, the others never do.
    """
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    for number, (heading, side) in enumerate(columns):
        table.add_column(
            heading, justify="right" if side == "right" else "left", no_wrap=number > 0
        )
    return table
