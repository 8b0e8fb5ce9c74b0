"""Find the line of a key in a TOML file, so that an error can point at it."""

from __future__ import annotations

import re

__all__ = ["line_of"]

_HEADING = re.compile(r"^\s*(\[\[?)\s*([A-Za-z0-9_.\-]+)\s*\]\]?")
_KEY = re.compile(r"^\s*([A-Za-z0-9_\-]+(?:\s*\.\s*[A-Za-z0-9_\-]+)*)\s*=")


def line_of(text: str, dotted: str) -> int:
    """Return the line of a dotted key, of its table where the key is not there, else 0.

    Parameters
    ----------
    text : str
        The file.
    dotted : str
        Such as "wording.company" or "must_have.2.item"; lists count from 1.

    Notes
    -----
    Looks line by line, so a key inside an inline table is found by the line of that table.

    Examples
    --------
    >>> line_of("a = 1\\n[[b]]\\nc = 1\\n[[b]]\\nc = 2", "b.2.c")
    5
    """
    wanted = dotted.split(".")
    table: list[str] = []
    counts: dict[str, int] = {}
    best, best_depth = 0, 0
    for number, line in enumerate(text.splitlines(), start=1):
        path = table
        if heading := _HEADING.match(line):
            table = heading[2].split(".")
            if heading[1] == "[[":
                counts[heading[2]] = counts.get(heading[2], 0) + 1
                table = [*table, str(counts[heading[2]])]
            path = table
        elif key := _KEY.match(line):
            path = [*table, *(part.strip() for part in key[1].split("."))]
        else:
            continue
        depth = _shared(path, wanted)
        if depth == len(path) and depth > best_depth:
            best, best_depth = number, depth
    return best


def _shared(path: list[str], wanted: list[str]) -> int:
    depth = 0
    for ours, theirs in zip(path, wanted, strict=False):
        if ours != theirs:
            break
        depth += 1
    return depth
