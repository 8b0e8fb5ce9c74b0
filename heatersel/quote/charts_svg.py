"""The pictures of a quote as small SVG: readable in grey, labelled directly, from zero.

Parts of a bar differ by pattern as well as by colour, so that a black-and-white print tells them
apart. Text is escaped; a picture holds no script and asks for nothing outside itself.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from itertools import pairwise
from math import floor, log10

from heatersel.quote.years import Years

__all__ = ["cost_by_year", "cost_over_years", "cost_over_years_narrow", "hot_water"]

INK, QUIET, COPPER, COLD, WARM, PAPER = (
    "#12312F", "#4A625F", "#A8521F", "#2F6F86", "#E3C79A", "#FFFFFF",
)  # fmt: skip
_FONT = "font-family=\"'Libertinus Serif', Georgia, 'Times New Roman', serif\""
_WIDTH, _NARROW = 520.0, 340.0
_ROW, _BAR, _HEAD = 23.0, 13.0, 15.0
_DASHES = ("", "7 3", "2 3", "9 3 2 3", "1 4", "12 4")
_STRIPE = 4.5


def cost_over_years(bars: Sequence[Years], say: Callable[[float], str]) -> str:
    """Return bars of what each offer costs over the study, in three parts with the spread.

    Parameters
    ----------
    bars : sequence of Years
        One per offer.
    say : callable
        Turns an amount into text.

    Returns
    -------
    str
        SVG, 520 units wide.
    """
    return _bars_over_years(bars, say, _WIDTH, right=142.0)


def cost_over_years_narrow(bars: Sequence[Years], say: Callable[[float], str]) -> str:
    """Return the bars of :func:`cost_over_years` for a phone, without the spread in figures."""
    return _bars_over_years(bars, say, _NARROW, right=60.0)


def _bars_over_years(
    bars: Sequence[Years], say: Callable[[float], str], wide: float, right: float
) -> str:
    left = 18.0
    most = max(max(bar.total, bar.high or 0.0) for bar in bars)
    scale = (wide - left - right) / most
    height = _HEAD + _ROW * len(bars)
    parts = [_legend(bars[0], left, scale)]
    for place, bar in enumerate(bars):
        top = _HEAD + _ROW * place + (_ROW - _BAR) / 2
        parts.append(_text(0, top + _BAR - 3, bar.letter, size=11, weight=700))
        start = left
        for amount, fill in zip(_parts(bar), _FILLS, strict=True):
            width = max(amount, 0.0) * scale
            parts.append(_rect(start, top, width, _BAR, fill))
            if fill == WARM:
                parts.append(_stripes(start, top, width, _BAR))
            start += width
        end = start
        if bar.low is not None and bar.high is not None:
            parts.append(_span(left + bar.low * scale, left + bar.high * scale, top + _BAR + 4))
            end = max(end, left + bar.high * scale)
        parts.append(_text(end + 7, top + _BAR - 3, say(bar.total), size=10.5, weight=700))
        if wide == _WIDTH and bar.low is not None and bar.high is not None:
            span = f"{say(bar.low)} to {say(bar.high)}"
            parts.append(_text(wide, top + _BAR - 3, span, size=8.5, anchor="end", fill=QUIET))
    return _svg(height, parts, wide)


def cost_by_year(lines: Sequence[Years], say: Callable[[float], str]) -> str:
    """Return lines of what has been paid by each year; steps are the next heaters.

    Parameters
    ----------
    lines : sequence of Years
        One per offer.
    say : callable
        Turns an amount into text.
    """
    left, right, top, height = 48.0, 30.0, 8.0, 150.0
    foot = 22.0
    years = len(lines[0].by_year) - 1
    most = _ceiling(max(line.by_year[-1] for line in lines))
    across, up = (_WIDTH - left - right) / years, (height - top - foot) / most

    def at(year: int, amount: float) -> tuple[float, float]:
        return left + year * across, height - foot - amount * up

    parts = []
    for amount in (0.0, most / 2, most):
        y = at(0, amount)[1]
        parts.append(f'<path d="M{left} {y:.1f}H{_WIDTH - right}" stroke="{QUIET}" '
                     'stroke-width=".5" opacity=".5"/>')  # fmt: skip
        parts.append(_text(left - 6, y + 3.5, say(amount), size=10, anchor="end", fill=QUIET))
    for year in range(0, years + 1, 5):
        x = at(year, 0)[0]
        name = "today" if year == 0 else f"year {year}"
        parts.append(_text(x, height - 8, name, size=10, anchor="middle", fill=QUIET))
    for line, dash in zip(lines, _DASHES, strict=False):
        points = " ".join("{:.1f},{:.1f}".format(*at(n, a)) for n, a in enumerate(line.by_year))
        stroke = f'stroke-dasharray="{dash}"' if dash else ""
        parts.append(f'<polyline points="{points}" fill="none" stroke="{INK}" '
                     f'stroke-width="1.6" {stroke}/>')  # fmt: skip
    ends = _apart([at(years, line.by_year[-1])[1] for line in lines], 12.0)
    for line, y in zip(lines, ends, strict=True):
        parts.append(_text(_WIDTH - right + 6, y + 4, line.letter, size=11, weight=700))
    return _svg(height, parts)


def hot_water(rows: Sequence[tuple[str, float, float, str]]) -> str:
    """Return bars of what each offer gives on the coldest day against what is needed.

    Parameters
    ----------
    rows : sequence of (letter, need, give, text)
        In the same unit within a row; the text says both.
    """
    left, right = 18.0, 190.0
    row, bar = 20.0, 11.0
    most = max(max(need, give) / need for _, need, give, _ in rows)
    scale = (_WIDTH - left - right) / most
    line = left + scale
    parts = []
    for place, (letter, need, give, text) in enumerate(rows):
        top = _HEAD + row * place + (row - bar) / 2
        parts.append(_text(0, top + bar - 2, letter, size=11, weight=700))
        parts.append(_rect(left, top, give / need * scale, bar, WARM))
        parts.append(_text(left + max(give / need, 1.0) * scale + 8, top + bar - 2.5, text,
                           size=9.5))  # fmt: skip
    height = _HEAD + row * len(rows)
    parts.append(f'<path d="M{line:.1f} {_HEAD - 4}V{height}" stroke="{INK}" stroke-width="1.6"/>')
    parts.append(_text(line, _HEAD - 8, "what you need", size=9, anchor="middle", fill=INK))
    return _svg(height, parts)


_FILLS = (COPPER, WARM, PAPER)
_PART_NAMES = ("heaters", "energy", "upkeep")


def _parts(bar: Years) -> tuple[float, float, float]:
    return bar.heaters, bar.energy, bar.upkeep


def _legend(bar: Years, left: float, scale: float) -> str:
    """Return the names of the parts over the first bar, moved apart where they would touch."""
    words, start, clear = [], left, 0.0
    for name, amount in zip(_PART_NAMES, _parts(bar), strict=True):
        x = max(start, clear)
        words.append(_text(x, _HEAD - 5, name, size=9, fill=QUIET))
        clear = x + 4.6 * len(name) + 8
        start += max(amount, 0.0) * scale
    return "".join(words)


def _span(low: float, high: float, y: float) -> str:
    return (
        f'<path d="M{low:.1f} {y:.1f}H{high:.1f}M{low:.1f} {y - 2.5:.1f}v5M{high:.1f} '
        f'{y - 2.5:.1f}v5" stroke="{INK}" stroke-width="1" fill="none"/>'
    )


def _rect(x: float, y: float, width: float, height: float, fill: str) -> str:
    return (
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" fill="{fill}" '
        f'stroke="{INK}" stroke-width=".7"/>'
    )


def _text(
    x: float, y: float, words: str, *, size: float, weight: int = 400, anchor: str = "start",
    fill: str = INK,
) -> str:  # fmt: skip
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" font-weight="{weight}" '
        f'text-anchor="{anchor}" fill="{fill}" {_FONT}>{escape(words)}</text>'
    )


def _stripes(x: float, y: float, width: float, height: float) -> str:
    """Return slanting lines inside a bar; drawn one by one, since not every viewer fills patterns.

    A line runs from (foot, bottom) up to (foot + height, top) and is cut off at both ends.
    """
    lines = []
    foot = x - height + _STRIPE
    while foot < x + width:
        left, right = max(foot, x), min(foot + height, x + width)
        if right > left:
            lines.append(f"M{left:.1f} {y + height - (left - foot):.1f}"
                         f"L{right:.1f} {y + height - (right - foot):.1f}")  # fmt: skip
        foot += _STRIPE
    return f'<path d="{"".join(lines)}" stroke="{COPPER}" stroke-width="1.1"/>' if lines else ""


def _svg(height: float, parts: Sequence[str], wide: float = _WIDTH) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:g} {height:g}">'
        f"{''.join(parts)}</svg>"
    )


def _ceiling(amount: float) -> float:
    """Return a round number at or above an amount: such as 1.2, 2, 3 or 5 of its size."""
    size = 10.0 ** floor(log10(amount))
    return next(
        size * step for step in (1, 1.2, 1.6, 2, 2.4, 3, 4, 5, 6, 8, 10) if size * step >= amount
    )


def _apart(heights: Sequence[float], least: float) -> list[float]:
    """Return label heights moved apart so that none covers another, in the given order."""
    order = sorted(range(len(heights)), key=heights.__getitem__)
    moved = list(heights)
    for above, below in pairwise(order):
        moved[below] = max(moved[below], moved[above] + least)
    return moved
