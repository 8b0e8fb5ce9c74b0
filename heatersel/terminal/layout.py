"""Small pieces of layout that several terminal views share."""

from __future__ import annotations

from rich.table import Table

__all__ = ["hanging", "plain_table"]


def hanging(lead: str, text: str) -> Table:
    """Return text that hangs indented under its lead."""
    grid = Table.grid(padding=0)
    grid.add_column(no_wrap=True, width=len(lead))
    grid.add_column(overflow="fold")
    grid.add_row(lead, text)
    return grid


def plain_table(*columns: tuple[str, str]) -> Table:
    """Return a table without lines; each column is a heading and "left" or "right"."""
    table = Table(box=None, pad_edge=False, padding=(0, 1), header_style="bold")
    for number, (heading, side) in enumerate(columns):
        wraps = side == "left" and number < 2
        table.add_column(heading, justify="right" if side == "right" else "left", no_wrap=not wraps)
    return table
