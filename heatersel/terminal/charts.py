"""Charts made of characters: bars with their figures beside them, readable in a pipe."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["bar_lines", "column_lines"]

_EIGHTHS = " ▏▎▍▌▋▊▉█"
_LEVELS = " ▁▂▃▄▅▆▇█"


def bar_lines(
    labels: Sequence[str], values: Sequence[float], said: Sequence[str], width: int = 80
) -> list[str]:
    """Return one line per value: label, bar from zero, figure.

    Parameters
    ----------
    labels, said : sequence of str
        What each bar is, and its figure in words.
    values : sequence of float
        Lengths, 0 or more.
    width : int
        Columns for the whole line.

    Returns
    -------
    list of str
        The longest bar fills what labels and figures leave.
    """
    left = max((len(label) for label in labels), default=0)
    right = max((len(text) for text in said), default=0)
    room = max(width - left - right - 4, 8)
    top = max(values, default=0.0) or 1.0
    lines = []
    for label, value, text in zip(labels, values, said, strict=True):
        eighths = round(8 * room * value / top)
        bar = "█" * (eighths // 8) + _EIGHTHS[eighths % 8].strip()
        lines.append(f"{label:<{left}}  {bar:<{room}}  {text:>{right}}".rstrip())
    return lines


def column_lines(values: Sequence[float], height: int = 5, column: int = 2) -> list[str]:
    """Return columns that grow from zero, `height` lines high, the top line first.

    Parameters
    ----------
    values : sequence of float
        Heights, 0 or more.
    height : int
        Lines.
    column : int
        Characters per value, the last one a gap where there are two or more.

    Returns
    -------
    list of str
        Without labels.
    """
    top = max(values, default=0.0) or 1.0
    levels = [round(8 * height * value / top) for value in values]
    gap = " " if column > 1 else ""
    lines = []
    for line in range(height - 1, -1, -1):
        cells = (_LEVELS[max(0, min(8, level - 8 * line))] for level in levels)
        lines.append("".join(cell * max(column - len(gap), 1) + gap for cell in cells).rstrip())
    return lines
