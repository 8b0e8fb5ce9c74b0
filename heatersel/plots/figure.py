"""A figure as data, and its drawing: stacked panels of bars, lines and bands.

Every panel has a title that says what it shows, names where the lines end or, on a sheet too
narrow for that, in a key above them, axes from zero for amounts, and a table of its values in the
HTML version. Colours differ in lightness and each series also in dash or hatch, so that it reads
in grey. No name is ever cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from itertools import accumulate
from math import floor, log10
from pathlib import Path

from heatersel.errors import InputError

__all__ = ["Figure", "Panel", "Series", "figure_html", "figure_svg", "write_figure"]

GROUND, INK, FAINT = "#FAF6EF", "#12312F", "#C9C2B4"
PALETTE = ("#A8521F", "#2F6F86", "#12312F", "#C98538", "#2F6B45", "#9B2226")
DASHES = ("", "7 4", "2 3", "9 3 2 3", "4 2", "1 2")

_WIDTH, _PANEL, _TOP, _LEFT, _RIGHT, _GAP = 720, 220, 86, 62, 118, 66
_NARROW, _NARROW_RIGHT, _LINE, _ROW = 600, 24, 18, 36
_HALO = f'stroke="{GROUND}" stroke-width="4" paint-order="stroke"'  # clear of the lines behind
_LETTER = 6.9  # mean width of a letter at size 12, bold


@dataclass(frozen=True, slots=True, kw_only=True)
class Series:
    """One row of values of a panel.

    Parameters
    ----------
    name : str
        Said beside it.
    values : tuple of float
        One for each x.
    shape : str
        "bar", "line", "step" (a line that jumps), or "span" (a dot in its span, one row per x;
        alone in its panel).
    low, high : tuple of float
        Span around the values; empty for none.
    """

    name: str
    values: tuple[float, ...]
    shape: str = "line"
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One picture with its axes.

    Parameters
    ----------
    title : str
        What it shows, as a sentence.
    x : sequence of str or float
        Labels (then values stand side by side) or numbers (then to scale).
    series : tuple of Series
        At least one.
    x_label, y_label : str
        What the axes count, with units.
    from_zero : bool
        Whether the y axis starts at zero; amounts do, temperatures need not.
    """

    title: str
    x: Sequence[str | float]
    series: tuple[Series, ...]
    x_label: str = ""
    y_label: str = ""
    from_zero: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """Panels under one title and one sentence that says what they mean.

    Parameters
    ----------
    title, sentence : str
        What it is about and what it shows.
    panels : tuple of Panel
        From the top down.
    width : int
        Width of the sheet, with letters of 12; below 600 for names too long to stand beside their
        lines, and for phones.
    """

    title: str
    sentence: str
    panels: tuple[Panel, ...]
    width: int = _WIDTH


def write_figure(figure: Figure, path: Path) -> None:
    """Write a figure as .svg, .html or .png, by the ending of `path`.

    Raises
    ------
    InputError
        If the ending is another one or the file cannot be written.
    """
    ending = path.suffix.lower()
    if ending not in (".svg", ".html", ".png"):
        raise InputError.of(
            "--plot", value=str(path), allowed="a file ending in .svg, .html or .png",
            fix="name it such as picture.svg",
        )  # fmt: skip
    data = (
        _png(figure)
        if ending == ".png"
        else (figure_svg(figure) if ending == ".svg" else figure_html(figure)).encode("utf-8")
    )
    try:
        path.write_bytes(data)
    except OSError as trouble:
        raise InputError.of(str(path), value="cannot be written", fix=str(trouble)) from None


def _png(figure: Figure) -> bytes:
    import resvg_py

    return bytes(resvg_py.svg_to_bytes(svg_string=figure_svg(figure), width=2 * _WIDTH))


def figure_html(figure: Figure) -> str:
    """Return the figure as a page of its own, with a table of the values behind each panel."""
    tables = "".join(_table(panel) for panel in figure.panels)
    return (
        f'<!doctype html><html lang="en"><meta charset="utf-8">'
        f'<meta name="viewport" content="width=device-width"><title>{escape(figure.title)}</title>'
        f"<style>body{{background:{GROUND};color:{INK};font:16px/1.5 sans-serif;margin:2rem auto;"
        f"max-width:{min(46, figure.width / 12):.0f}rem;padding:0 .5rem}}"
        f"svg{{width:100%;height:auto}}table{{display:block;overflow-x:auto}}td,th{{text-align:right;"
        f"padding:.1rem .6rem;font-variant-numeric:tabular-nums}}td:first-child,th:first-child"
        f"{{text-align:left}}</style><body><main>{figure_svg(figure)}{tables}</main></body></html>"
    )


def _table(panel: Panel) -> str:
    spans = [name for s in panel.series for name in _columns(s)]
    head = "".join(f"<th>{escape(name)}</th>" for name in ["", *spans])
    rows = []
    for i, x in enumerate(panel.x):
        cells = [c[i] for s in panel.series for c in (s.values, s.low, s.high) if c]
        row = "".join(f"<td>{value:,.4g}</td>" for value in cells)
        rows.append(f"<tr><td>{escape(_said(x))}</td>{row}</tr>")
    return (
        f"<details><summary>{escape(panel.title)}: the numbers</summary>"
        f"<table><tr>{head}</tr>{''.join(rows)}</table></details>"
    )


def _columns(series: Series) -> list[str]:
    return [series.name] + ([f"{series.name}, low", f"{series.name}, high"] if series.low else [])


def figure_svg(figure: Figure) -> str:
    """Return the figure as SVG text, with title and description for screen readers."""
    title = _wrapped(figure.title, int(figure.width / (1.5 * _LETTER)) - 3)
    sentence = _wrapped(figure.sentence, int(figure.width / _LETTER * 0.9) - 2)
    words = [*((line, 'font-size="18" font-weight="700"') for line in title),
             *((line, 'font-size="13"') for line in sentence)]  # fmt: skip
    tops = list(accumulate(
        (_height(panel, figure.width) for panel in figure.panels),
        initial=_TOP + 14 + (len(words) - 2) * _LINE + 4 * (len(title) - 1),
    ))  # fmt: skip
    height = tops[-1] - 14
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {figure.width} {height}" role="img" '
        f'aria-labelledby="t d" font-family="sans-serif" font-size="12" fill="{INK}">',
        f'<title id="t">{escape(figure.title)}</title>',
        f'<desc id="d">{escape(figure.sentence)}</desc>',
        f'<rect width="{figure.width}" height="{height}" fill="{GROUND}"/>',
    ]
    y = 28
    for number, (line, style) in enumerate(words):
        parts.append(f'<text x="16" y="{y}" {style}>{escape(line)}</text>')
        y += 22 if number < len(title) else _LINE
    parts += [_panel_svg(p, top, figure.width) for p, top in zip(figure.panels, tops, strict=False)]
    return "".join(parts) + "</svg>"


def _height(panel: Panel, width: int) -> int:
    """Return the room a panel takes, its titles, key and axis included."""
    plot = _PANEL
    if panel.series[0].shape == "span" and width < _NARROW:
        plot = 12 + _ROW * len(panel.x)
    return plot + _GAP + _above(panel, width)


def _above(panel: Panel, width: int) -> int:
    """Return the room that further lines of the title and the key take above the plot."""
    return _LINE * (len(_title(panel, width)) - 1 + len(_keyed(panel, width)))


def _title(panel: Panel, width: int) -> list[str]:
    return _wrapped(panel.title, int((width - _LEFT - 8) / _LETTER))


def _title_svg(panel: Panel, y0: float, width: int) -> str:
    return "".join(
        f'<text x="{_LEFT}" y="{y0 + _LINE * i}" font-weight="700">{escape(line)}</text>'
        for i, line in enumerate(_title(panel, width))
    )


def _keyed(panel: Panel, width: int) -> list[int]:
    """Return the series that are named in a key, since their names do not fit beside them."""
    if width >= _NARROW:
        return []
    return [i for i, s in enumerate(panel.series) if s.name and s.shape != "span"]


def _key_svg(panel: Panel, y0: float, width: int) -> str:
    out, y = "", y0 + _LINE * len(_title(panel, width))
    for i in _keyed(panel, width):
        colour, dash = PALETTE[i % len(PALETTE)], DASHES[i % len(DASHES)]
        bar = panel.series[i].shape == "bar"
        out += (
            f'<line x1="{_LEFT}" x2="{_LEFT + 28}" y1="{y - 4}" y2="{y - 4}" stroke="{colour}" '
            f'stroke-width="{10 if bar else 2}" stroke-dasharray="{"" if bar else dash}"/>'
            f'<text x="{_LEFT + 36}" y="{y}">{escape(panel.series[i].name)}</text>'
        )
        y += _LINE
    return out


@dataclass(frozen=True, slots=True)
class _Frame:
    """Where values stand in a panel."""

    y0: float
    low: float
    high: float
    places: tuple[float, ...]
    width: int

    @property
    def wide(self) -> float:
        return self.width - _LEFT - (_NARROW_RIGHT if self.width < _NARROW else _RIGHT)

    def x(self, i: int) -> float:
        return _LEFT + self.wide * self.places[i]

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return self.y0 + 12 + (_PANEL - 12) * (1.0 - share)


def _panel_svg(panel: Panel, top: float, width: int) -> str:
    head = _title_svg(panel, top, width) + _key_svg(panel, top, width)
    y0 = top + _above(panel, width)
    if panel.series[0].shape == "span":
        return head + _span_panel_svg(panel, y0, width)
    low, high, ticks = _scale(panel)
    frame = _Frame(y0, low, high, tuple(_places(panel.x)), width)
    wide = frame.wide
    out = [head]
    for tick in ticks:
        y = frame.y(tick)
        out.append(
            f'<line x1="{_LEFT}" x2="{_LEFT + wide}" y1="{y:.1f}" y2="{y:.1f}" stroke="{FAINT}"/>'
            f'<text x="{_LEFT - 6}" y="{y + 4:.1f}" text-anchor="end">{_said(tick)}</text>'
        )
    bars = [s for s in panel.series if s.shape == "bar"]
    for series in panel.series:
        colour = PALETTE[panel.series.index(series) % len(PALETTE)]
        if series.shape == "bar":
            out.append(_bars_svg(series, bars, colour, frame))
        else:
            out.append(_line_svg(series, panel, colour, frame))
    out += _end_labels(panel, frame)
    out += _x_labels(panel, frame)
    out.append(_axis_words(panel, y0 + _PANEL))
    return "".join(out)


def _axis_words(panel: Panel, bottom: float) -> str:
    words = " · ".join(filter(None, (panel.y_label, panel.x_label)))
    return f'<text x="{_LEFT}" y="{bottom + 34}" fill-opacity=".75">{escape(words)}</text>'


def _span_panel_svg(panel: Panel, y0: float, width: int) -> str:
    """Return rows of a name, its span and a dot at its value, to scale from the left.

    On a narrow sheet the name stands above its span.
    """
    series = panel.series[0]
    low, high, ticks = _scale(panel)
    narrow = width < _NARROW
    left, right = (float(_LEFT), 36.0) if narrow else (250.0, 40.0)
    wide = width - left - right
    room = float(_ROW) if narrow else (_PANEL - 12.0) / len(panel.x)
    bottom = y0 + 12.0 + room * len(panel.x)

    def at(value: float) -> float:
        return left + wide * (value - low) / (high - low)

    out = []
    for tick in ticks:
        out.append(
            f'<line x1="{at(tick):.1f}" x2="{at(tick):.1f}" y1="{y0 + 12}" y2="{bottom}" '
            f'stroke="{FAINT}"/><text x="{at(tick):.1f}" y="{bottom + 16}" '
            f'text-anchor="middle">{_said(tick)}</text>'
        )
    for i, name in enumerate(panel.x):
        y = y0 + 12.0 + (i + 0.5) * room + (8.0 if narrow else 0.0)
        colour = PALETTE[0] if i == 0 else INK
        place = (f'x="{left}" y="{y - 10:.1f}" {_HALO}' if narrow
                 else f'x="{left - 12}" y="{y + 4:.1f}" text-anchor="end"')  # fmt: skip
        out.append(
            f"<text {place}>{escape(_said(name))}</text>"
            f'<line x1="{at(series.low[i]):.1f}" x2="{at(series.high[i]):.1f}" y1="{y:.1f}" '
            f'y2="{y:.1f}" stroke="{colour}" stroke-width="6" stroke-opacity=".35"/>'
            f'<circle cx="{at(series.values[i]):.1f}" cy="{y:.1f}" r="5" fill="{colour}"/>'
        )
    out.append(_axis_words(panel, bottom))
    return "".join(out)


_LABEL_GAP = 15.0


def _end_labels(panel: Panel, frame: _Frame) -> list[str]:
    """Return the names of the lines at their ends, pushed apart where they would overlap."""
    if _keyed(panel, frame.width):
        return []
    lines = sorted(
        (frame.y(s.values[-1]) + 4.0, i) for i, s in enumerate(panel.series) if s.shape != "bar"
    )
    out, last = [], -1e9
    for y, i in lines:
        last = max(y, last + _LABEL_GAP)
        out.append(
            f'<text x="{frame.x(len(panel.x) - 1) + 6:.1f}" y="{last:.1f}" '
            f'fill="{PALETTE[i % len(PALETTE)]}">{escape(panel.series[i].name)}</text>'
        )
    bars = [(i, s) for i, s in enumerate(panel.series) if s.shape == "bar" and s.name]
    for place, (i, series) in enumerate(bars):
        out.append(
            f'<text x="{frame.width - _RIGHT + 8}" y="{frame.y(0.0) - 60 + 16 * place:.1f}" '
            f'fill="{PALETTE[i % len(PALETTE)]}">■ {escape(series.name)}</text>'
        )
    return out


def _bars_svg(series: Series, bars: Sequence[Series], colour: str, frame: _Frame) -> str:
    room = frame.wide / len(series.values)
    width = 0.8 * room / len(bars)
    shift = -0.4 * room + bars.index(series) * width
    base = frame.y(max(frame.low, 0.0))
    out = []
    for i, value in enumerate(series.values):
        top, bottom = sorted((frame.y(value), base))
        out.append(
            f'<rect x="{frame.x(i) + shift:.1f}" y="{top:.1f}" width="{0.92 * width:.1f}" '
            f'height="{max(bottom - top, 0.5):.1f}" fill="{colour}"/>'
        )
    return "".join(out)


def _line_svg(series: Series, panel: Panel, colour: str, frame: _Frame) -> str:
    dash = DASHES[panel.series.index(series) % len(DASHES)]
    points = [(frame.x(i), frame.y(value)) for i, value in enumerate(series.values)]
    out = ""
    if series.low:
        edge = [(frame.x(i), frame.y(v)) for i, v in enumerate(series.high)]
        edge += [(frame.x(i), frame.y(v)) for i, v in reversed(list(enumerate(series.low)))]
        out += f'<polygon points="{_joined(edge)}" fill="{colour}" fill-opacity=".18"/>'
    if series.shape == "step":
        points = [p for i, (x, y) in enumerate(points)
                  for p in (((x, points[i - 1][1]), (x, y)) if i else ((x, y),))]  # fmt: skip
    return out + (
        f'<polyline points="{_joined(points)}" fill="none" stroke="{colour}" stroke-width="2" '
        f'stroke-dasharray="{dash}"/>'
    )


def _joined(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _x_labels(panel: Panel, frame: _Frame) -> list[str]:
    """Return labels under the x axis: round numbers to scale, or names that fit."""
    numbers = [float(value) for value in panel.x if not isinstance(value, str)]
    if len(numbers) == len(panel.x) and len(numbers) > 1:
        span = numbers[-1] - numbers[0]
        step = _round_step(span * 45.0 / frame.wide)
        first = -(-numbers[0] // step)
        marks = [
            first * step + k * step for k in range(int((numbers[-1] / step) - first + 1e-9) + 1)
        ]
        places = [(_LEFT + frame.wide * (mark - numbers[0]) / span, _said(mark)) for mark in marks]
    else:
        every = max(1, -(-len(panel.x) // 13))
        places = [(frame.x(i), _said(x)) for i, x in enumerate(panel.x) if i % every == 0]
    y = frame.y0 + _PANEL + 16
    return [
        f'<text x="{x:.1f}" y="{y}" text-anchor="middle">{escape(text)}</text>'
        for x, text in places
    ]


def _round_step(raw: float) -> float:
    """Return the next round step, 1, 2, 2.5 or 5 times a power of ten."""
    size = 10.0 ** floor(log10(raw))
    return next(m * size for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * size >= raw * 0.999)


def _places(x: Sequence[str | float]) -> list[float]:
    """Return where each x stands, as a share of the width."""
    numbers = [float(value) for value in x if not isinstance(value, str)]
    if len(numbers) == len(x) and len(x) > 1:
        span = numbers[-1] - numbers[0] or 1.0
        return [(value - numbers[0]) / span for value in numbers]
    return [(i + 0.5) / len(x) for i in range(len(x))]


def _scale(panel: Panel) -> tuple[float, float, list[float]]:
    """Return bottom, top and round ticks of the y axis."""
    values = [v for s in panel.series for v in (*s.values, *s.low, *s.high)]
    low, high = min(values), max(values)
    if panel.from_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    span = (high - low) or 1.0
    step = _round_step(span / 4.0)
    bottom = floor(low / step) * step
    ticks = [bottom]
    while ticks[-1] < high - 1e-9 * span:
        ticks.append(ticks[-1] + step)
    return bottom, ticks[-1] if len(ticks) > 1 else bottom + step, ticks


def _said(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:,.6g}"


def _wrapped(text: str, width: int) -> list[str]:
    import textwrap

    return textwrap.wrap(text, width) or [""]
