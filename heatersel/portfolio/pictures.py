"""Pictures of the report: plain SVG, to scale, labelled directly, readable in grey."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from html import escape
from math import cos, radians, sqrt

import numpy as np

from heatersel.plots.figure import (
    GROUND,
    INK,
    PALETTE,
    Figure,
    Panel,
    Series,
    figure_svg,
)
from heatersel.portfolio.load import GroupLoad, hour_words
from heatersel.portfolio.spread import Spread

__all__ = ["bars_svg", "load_svg", "map_svg", "pairs_svg", "spread_svg"]

_WIDTH = 720.0
_LABEL = 232.0
_ROW = 30.0
_MOST_CIRCLES = 400
_MOST_BARS = 24
_MONTH_NAMES = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def bars_svg(rows: Sequence[tuple[str, float, str]], sentence: str) -> str:
    """Return horizontal bars from zero, each with its name and what is said of it.

    Parameters
    ----------
    rows : sequence of (name, value, words)
        Values not negative.
    sentence : str
        What the picture shows, for those who cannot see it.
    """
    most = max((value for _, value, _ in rows), default=0.0) or 1.0
    wide = _WIDTH - _LABEL - 150.0
    out = []
    for number, (name, value, words) in enumerate(rows):
        y = number * _ROW
        length = wide * value / most
        colour = PALETTE[0] if number == 0 else PALETTE[1]
        out.append(
            f'<text x="{_LABEL - 10}" y="{y + 19:.0f}" text-anchor="end">{escape(name)}</text>'
            f'<rect x="{_LABEL}" y="{y + 5:.0f}" width="{max(length, 1.0):.1f}" height="19" '
            f'fill="{colour}"/>'
            f'<text x="{_LABEL + length + 8:.1f}" y="{y + 19:.0f}">{escape(words)}</text>'
        )
    return _svg(len(rows) * _ROW + 6.0, sentence, out)


def pairs_svg(rows: Sequence[tuple[str, float, float, str, str]], sentence: str) -> str:
    """Return two bars per row, before above and after below, to one scale.

    Parameters
    ----------
    rows : sequence of (name, before, after, words of before, words of after)
        Values not negative, all of one unit.
    sentence : str
        What the picture shows.
    """
    most = max((max(row[1:3]) for row in rows), default=0.0) or 1.0
    wide = _WIDTH - _LABEL - 190.0
    out = []
    for number, (name, before, after, said_before, said_after) in enumerate(rows):
        y = number * 1.7 * _ROW
        out.append(
            f'<text x="{_LABEL - 10}" y="{y + 26:.0f}" text-anchor="end">{escape(name)}</text>'
        )
        for step, (value, said, when) in enumerate(
            ((before, said_before, "now"), (after, said_after, "then"))
        ):
            top, length = y + 4.0 + 19.0 * step, wide * value / most
            look = (
                f'fill="{GROUND}" stroke="{INK}"' if step == 0 else f'fill="{PALETTE[0]}"'
            )  # hollow is before, full is after
            out.append(
                f'<rect x="{_LABEL}" y="{top:.0f}" width="{max(length, 1.0):.1f}" height="15" '
                f'{look}/><text x="{_LABEL + length + 8:.1f}" y="{top + 12:.0f}">'
                f"{escape(f'{when} {said}')}</text>"
            )
    return _svg(len(rows) * 1.7 * _ROW + 6.0, sentence, out)


def load_svg(group: GroupLoad) -> str:
    """Return the mean day of the month of the highest load, and the day of the peak itself."""
    after_peak = int(np.argmax(np.maximum(group.after_kw, group.before_kw)))
    before, after = (group.by_month_and_hour(p) for p in (group.before_kw, group.after_kw))
    month = int(np.argmax(after.max(axis=1)))
    day = group.day_of(after_peak)
    date = hour_words(after_peak).partition(",")[0]
    return figure_svg(
        Figure(
            title="Electric load of all water heaters",
            sentence="Mean power in each hour, local standard time, now and after the change.",
            panels=(
                _load_panel(f"A mean day in {_MONTH_NAMES[month]}", before[month], after[month]),
                _load_panel(
                    f"The day of the peak, {date}", group.before_kw[day], group.after_kw[day]
                ),
            ),
        )
    )


def _load_panel(title: str, before: np.ndarray, after: np.ndarray) -> Panel:
    unit, scale = ("MW", 1e-3) if max(before.max(), after.max()) >= 1e4 else ("kW", 1.0)
    return Panel(
        title=title,
        x=tuple(float(hour) for hour in range(24)),
        series=tuple(
            Series(name=name, values=tuple(float(v) for v in power * scale), shape="line")
            for name, power in (("then", after), ("now", before))
        ),
        x_label="hour of the day",
        y_label=unit,
    )


def spread_svg(spread: Spread, title: str, unit: str) -> str:
    """Return how many houses lie in each step of an amount."""
    low, high = spread.quantile(0.01), spread.quantile(0.99)
    step = _round_step((high - low) / _MOST_BARS)
    edges = step * np.arange(np.floor(low / step), np.ceil(high / step) + 1.0)
    if len(edges) < 2:
        edges = np.array([edges[0], edges[0] + step])
    return figure_svg(
        Figure(
            title=title,
            sentence=f"Houses in each step of {step:,.6g} {unit}; the outer steps are open.",
            panels=(
                Panel(
                    title="",
                    x=tuple(f"{edge:,.6g}" for edge in edges[:-1]),
                    series=(
                        Series(
                            name="",
                            values=tuple(float(count) for count in spread.bars(edges)),
                            shape="bar",
                        ),
                    ),
                    x_label=unit,
                    y_label="houses",
                ),
            ),
        )
    )


def map_svg(
    places: Mapping[tuple[float, float, str], Counter[str]],
    groups: Mapping[str, str],
    sentence: str,
) -> str:
    """Return a circle for each place, its area by houses, its colour by what most houses get.

    Parameters
    ----------
    places : mapping of (latitude, longitude, name) to Counter of construction class
        Houses by place.
    groups : mapping of construction class to group
        What a colour stands for.
    sentence : str
        What the picture shows.
    """
    shown = _merged(places, groups)
    if not shown:
        return ""
    names = sorted({group for _, _, _, group, _ in shown})
    latitudes = [latitude for latitude, *_ in shown]
    longitudes = [longitude for _, longitude, *_ in shown]
    shrink = cos(radians((min(latitudes) + max(latitudes)) / 2.0))
    wide = max((max(longitudes) - min(longitudes)) * shrink, 0.5)
    high = max(max(latitudes) - min(latitudes), 0.5)
    scale = min((_WIDTH - 120.0) / wide, 420.0 / high)
    most = max(houses for *_, houses in shown)
    out = [_key(names)]
    for latitude, longitude, name, group, houses in sorted(shown, key=lambda p: -p[4]):
        x = 60.0 + (longitude - min(longitudes)) * shrink * scale
        y = 70.0 + (max(latitudes) - latitude) * scale
        radius = max(2.5, 22.0 * sqrt(houses / most))
        number = names.index(group)
        out.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" fill="{PALETTE[number % 6]}" '
            f'fill-opacity=".75" stroke="{INK}"><title>{escape(name or "houses")}: {houses:,}, '
            f"most get {escape(group)}</title></circle>"
            f'<text x="{x:.1f}" y="{y + 4:.1f}" text-anchor="middle" fill="{GROUND}" '
            f'font-size="11">{group[0].upper() if radius > 7.0 else ""}</text>'
        )
        if name and houses >= most / 8.0:
            out.append(
                f'<text x="{x:.1f}" y="{y + radius + 13:.1f}" text-anchor="middle" '
                f'font-size="11">{escape(name)}</text>'
            )
    return _svg(70.0 + high * scale + 50.0, sentence, out)


def _merged(
    places: Mapping[tuple[float, float, str], Counter[str]], groups: Mapping[str, str]
) -> list[tuple[float, float, str, str, int]]:
    """Return places with their commonest group; near ones together until few enough are left."""
    cell = 0.0
    while True:
        joined: dict[tuple[float, float], Counter[tuple[str, str]]] = {}
        for (latitude, longitude, name), classes in places.items():
            at = (latitude, longitude)
            if cell:
                at = (round(latitude / cell) * cell, round(longitude / cell) * cell)
            for heater_class, houses in classes.items():
                joined.setdefault(at, Counter())[name, groups[heater_class]] += houses
        if len(joined) <= _MOST_CIRCLES:
            break
        cell = max(0.1, 2.0 * cell)
    return [(*at, *_commonest(counts)) for at, counts in sorted(joined.items())]


def _commonest(counts: Counter[tuple[str, str]]) -> tuple[str, str, int]:
    by_group: Counter[str] = Counter()
    names: Counter[str] = Counter()
    for (name, group), houses in counts.items():
        by_group[group] += houses
        names[name] += houses
    name = max(names, key=lambda n: (names[n], n))
    return name, max(by_group, key=lambda g: (by_group[g], g)), counts.total()


def _key(names: Sequence[str]) -> str:
    out = []
    for number, name in enumerate(names):
        x = 20.0 + 170.0 * number
        out.append(
            f'<circle cx="{x}" cy="16" r="8" fill="{PALETTE[number % 6]}" stroke="{INK}"/>'
            f'<text x="{x + 14}" y="20">{escape(name)} ({escape(name[0].upper())})</text>'
        )
    return "".join(out)


def _round_step(least: float) -> float:
    if not least > 0.0:
        return 1.0
    size = 10.0 ** np.floor(np.log10(least))
    return float(next(m * size for m in (1.0, 2.0, 5.0, 10.0) if m * size >= least * 0.999))


def _svg(height: float, sentence: str, parts: Sequence[str]) -> str:
    return (
        f'<svg viewBox="0 0 {_WIDTH:.0f} {height:.0f}" role="img" '
        f'aria-label="{escape(sentence, quote=True)}" fill="{INK}" font-size="14" '
        f'font-family="inherit">{"".join(parts)}</svg>'
    )
