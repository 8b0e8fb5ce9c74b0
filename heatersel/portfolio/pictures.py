"""Pictures of the report: plain SVG, to scale, labelled directly, readable in grey."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape
from math import ceil, cos, floor, hypot, radians, sqrt

import numpy as np

from heatersel.climate import climates
from heatersel.plots.figure import (
    FAINT,
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
_LETTER = 7.3  # mean width of a letter of the pictures
_ROW = 30.0
_LARGEST, _SMALLEST, _ROOM_FOR_LETTER = 16.0, 3.0, 7.0
_SIDE, _TOP, _HIGHEST = 90.0, 70.0, 420.0
_LEAST_SPAN = 0.2  # degrees; a street is drawn in its town
_MOST_TOWNS = 14
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
    label = _label_width([name for name, _, _ in rows])
    wide = _WIDTH - label - _label_width([words for _, _, words in rows])
    out = []
    for number, (name, value, words) in enumerate(rows):
        y = number * _ROW
        length = wide * value / most
        colour = PALETTE[0] if number == 0 else PALETTE[1]
        out.append(
            f'<text x="{label - 10}" y="{y + 19:.0f}" text-anchor="end">{escape(name)}</text>'
            f'<rect x="{label}" y="{y + 5:.0f}" width="{max(length, 1.0):.1f}" height="19" '
            f'fill="{colour}"/>'
            f'<text x="{label + length + 8:.1f}" y="{y + 19:.0f}">{escape(words)}</text>'
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
    label = _label_width([row[0] for row in rows])
    longest = [f"then {words}" for row in rows for words in row[3:]]
    wide = _WIDTH - label - _label_width(longest)
    out = []
    for number, (name, before, after, said_before, said_after) in enumerate(rows):
        y = number * 1.7 * _ROW
        out.append(
            f'<text x="{label - 10}" y="{y + 26:.0f}" text-anchor="end">{escape(name)}</text>'
        )
        for step, (value, said, when) in enumerate(
            ((before, said_before, "now"), (after, said_after, "then"))
        ):
            top, length = y + 4.0 + 19.0 * step, wide * value / most
            look = (
                f'fill="{GROUND}" stroke="{INK}"' if step == 0 else f'fill="{PALETTE[0]}"'
            )  # hollow is before, full is after
            out.append(
                f'<rect x="{label}" y="{top:.0f}" width="{max(length, 1.0):.1f}" height="15" '
                f'{look}/><text x="{label + length + 8:.1f}" y="{top + 12:.0f}">'
                f"{escape(f'{when} {said}')}</text>"
            )
    return _svg(len(rows) * 1.7 * _ROW + 6.0, sentence, out)


def _label_width(names: Sequence[str]) -> float:
    """Return the room that the longest of some words takes, its gap included."""
    return 20.0 + _LETTER * max(map(len, names), default=0)


def load_svg(group: GroupLoad) -> str:
    """Return the mean day of the month of the highest load, the day of the peak, what is added."""
    after_peak = int(np.argmax(np.maximum(group.after_kw, group.before_kw)))
    before, after = (group.by_month_and_hour(p) for p in (group.before_kw, group.after_kw))
    month = int(np.argmax(after.max(axis=1)))
    day = group.day_of(after_peak)
    date = hour_words(after_peak).partition(",")[0]
    return figure_svg(
        Figure(
            title="Electric load of all water heaters",
            sentence="Mean power in each hour, by the clock of each place, now and after the "
            "change; below, what the change adds: its mean over the year, and the span of all "
            "days.",
            panels=(
                _load_panel(f"A mean day in {_MONTH_NAMES[month]}", before[month], after[month]),
                _load_panel(
                    f"The day of the peak, {date}", group.before_kw[day], group.after_kw[day]
                ),
                _added_panel(group.added_kw.reshape(365, 24)),
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


def _added_panel(added_kw: np.ndarray) -> Panel:
    unit, scale = ("MW", 1e-3) if np.abs(added_kw).max() >= 1e4 else ("kW", 1.0)

    def said(power: np.ndarray) -> tuple[float, ...]:
        return tuple(float(v) for v in power * scale)

    return Panel(
        title="Added in each hour of the day",
        x=tuple(float(hour) for hour in range(24)),
        series=(
            Series(
                name="mean day",
                values=said(added_kw.mean(axis=0)),
                low=said(added_kw.min(axis=0)),
                high=said(added_kw.max(axis=0)),
            ),
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
    if not places:
        return ""
    view = _View.of(list(places))
    shown = _merged(places, groups, view.degrees(2.0 * _LARGEST))
    names = sorted({group for _, _, _, group, _ in shown})
    most = max(houses for *_, houses in shown)
    out = [_key(names), *_grid(view)]
    for latitude, longitude, name, group, houses in sorted(shown, key=lambda p: -p[4]):
        x, y = view.at(latitude, longitude)
        radius = max(_SMALLEST, _LARGEST * sqrt(houses / most))
        out.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" '
            f'fill="{PALETTE[names.index(group) % 6]}" stroke="{GROUND}">'
            f"<title>{escape(name or 'houses')}: {houses:,}, most get {escape(group)}</title>"
            "</circle>"
        )
        if radius > _ROOM_FOR_LETTER:
            out.append(
                f'<text x="{x:.1f}" y="{y + 4:.1f}" text-anchor="middle" fill="{GROUND}" '
                f'font-size="11">{group[0].upper()}</text>'
            )
    return _svg(view.height, sentence, [*out, *_towns(view, shown)])


@dataclass(frozen=True, slots=True, kw_only=True)
class _View:
    """A stretch of country to one scale."""

    north: float
    south: float
    west: float
    east: float
    shrink: float
    scale: float

    @classmethod
    def of(cls, places: Sequence[tuple[float, float, str]]) -> _View:
        latitudes = [latitude for latitude, _, _ in places]
        longitudes = [longitude for _, longitude, _ in places]
        middle = (min(latitudes) + max(latitudes)) / 2.0
        high = max(max(latitudes) - min(latitudes), _LEAST_SPAN)
        shrink = cos(radians(middle))
        wide = max((max(longitudes) - min(longitudes)) * shrink, _LEAST_SPAN)
        centre = (min(longitudes) + max(longitudes)) / 2.0
        return cls(
            north=middle + high / 2.0,
            south=middle - high / 2.0,
            west=centre - wide / shrink / 2.0,
            east=centre + wide / shrink / 2.0,
            shrink=shrink,
            scale=min((_WIDTH - 2.0 * _SIDE) / wide, _HIGHEST / high),
        )

    @property
    def height(self) -> float:
        return 2.0 * _TOP + (self.north - self.south) * self.scale

    def at(self, latitude: float, longitude: float) -> tuple[float, float]:
        left = (_WIDTH - (self.east - self.west) * self.shrink * self.scale) / 2.0
        return (
            left + (longitude - self.west) * self.shrink * self.scale,
            _TOP + (self.north - latitude) * self.scale,
        )

    def degrees(self, length: float) -> float:
        return length / self.scale


def _grid(view: _View) -> list[str]:
    """Return lines of latitude and longitude with their degrees."""
    step = _round_step((view.north - view.south) / 4.0)
    (left, top), (right, bottom) = (
        view.at(view.north, view.west), view.at(view.south, view.east)
    )  # fmt: skip
    out = []
    for k in range(ceil(view.south / step), floor(view.north / step) + 1):
        y = view.at(k * step, view.west)[1]
        out.append(
            f'<line x1="{left - 30:.1f}" x2="{right + 30:.1f}" y1="{y:.1f}" y2="{y:.1f}" '
            f'stroke="{FAINT}"/><text x="{left - 36:.1f}" y="{y + 4:.1f}" text-anchor="end" '
            f'font-size="11">{abs(k * step):g}° {"N" if k >= 0 else "S"}</text>'
        )
    for k in range(ceil(view.west / step), floor(view.east / step) + 1):
        x = view.at(view.north, k * step)[0]
        out.append(
            f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{top - 24:.1f}" y2="{bottom + 38:.1f}" '
            f'stroke="{FAINT}"/><text x="{x:.1f}" y="{bottom + 54:.1f}" text-anchor="middle" '
            f'font-size="11">{abs(k * step):g}° {"E" if k >= 0 else "W"}</text>'
        )
    return out


def _towns(view: _View, shown: Sequence[tuple[float, float, str, str, int]]) -> list[str]:
    """Return names of places that the climate table knows, the ones with most houses near."""
    near: Counter[tuple[float, float, str]] = Counter()
    towns = [(here.latitude_deg, here.longitude_deg, here.place) for here in climates()]
    for latitude, longitude, _, _, houses in shown:
        town = min(towns, key=lambda t: _apart(t, (latitude, longitude), view.shrink))
        if _apart(town, (latitude, longitude), view.shrink) < view.degrees(2.0 * _LARGEST):
            near[town] += houses
    out: list[str] = []
    taken: list[tuple[float, float]] = []
    for (latitude, longitude, place), _ in near.most_common(_MOST_TOWNS):
        x, y = view.at(latitude, longitude)
        if all(abs(x - other) > 90.0 or abs(y - line) > 16.0 for other, line in taken):
            taken.append((x, y))
            out.append(
                f'<text x="{x:.1f}" y="{y + _LARGEST + 13.0:.1f}" text-anchor="middle" '
                f'font-size="12" stroke="{GROUND}" stroke-width="4" paint-order="stroke">'
                f"{escape(place.partition(',')[0])}</text>"
            )
    return out


def _apart(town: tuple[float, float, str], at: tuple[float, float], shrink: float) -> float:
    return hypot(town[0] - at[0], (town[1] - at[1]) * shrink)


def _merged(
    places: Mapping[tuple[float, float, str], Counter[str]],
    groups: Mapping[str, str],
    cell: float,
) -> list[tuple[float, float, str, str, int]]:
    """Return places with their commonest group; smaller ones join a larger one within a cell."""
    shrink = cos(radians(sum(latitude for latitude, _, _ in places) / len(places)))
    order = sorted(places, key=lambda place: (-places[place].total(), place))
    centres = np.empty((len(order), 2))
    joined: list[Counter[tuple[str, str]]] = []
    for latitude, longitude, name in order:
        at = np.array([latitude, longitude * shrink])
        away = np.hypot(*(centres[: len(joined)] - at).T)
        nearest = int(np.argmin(away)) if joined else 0
        if not joined or away[nearest] >= cell:
            nearest = len(joined)
            centres[nearest] = at
            joined.append(Counter())
        for heater_class, houses in places[latitude, longitude, name].items():
            joined[nearest][name, groups[heater_class]] += houses
    return [
        (float(centres[i, 0]), float(centres[i, 1]) / shrink, *_commonest(counts))
        for i, counts in enumerate(joined)
    ]


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
