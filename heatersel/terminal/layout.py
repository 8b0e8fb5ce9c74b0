"""Small pieces of layout that several terminal views share."""

from __future__ import annotations

import re
import sys
import textwrap
from typing import IO, cast

from rich.console import Console
from rich.table import Table

__all__ = ["plain_table", "print_hanging", "screen"]

_WIDEST_TEXT = 100  # longer lines are hard to read, however wide the terminal is


def screen() -> Console:
    """Return the console for results: as wide as the terminal, 80 columns of plain text in a pipe.

    Rich fills table cells with blanks; in a pipe those at the ends of lines are dropped.
    """
    if sys.stdout.isatty():
        return Console(highlight=False, soft_wrap=False)
    pipe = cast(IO[str], _WithoutTrailingBlanks(sys.stdout))
    return Console(file=pipe, width=80, highlight=False, soft_wrap=False)


class _WithoutTrailingBlanks:
    """A text stream that drops blanks at the ends of lines."""

    def __init__(self, stream: IO[str]) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        return self._stream.write(re.sub(r" +(?=\n)", "", text))

    def flush(self) -> None:
        self._stream.flush()


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
