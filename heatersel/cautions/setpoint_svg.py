"""The setpoint trade-off drawn: burn, bacteria and cost over one scale of temperature."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from html import escape

from heatersel.cautions.growth import STORE_MINIMUM_C
from heatersel.cautions.ink import Theme, styled, text
from heatersel.cautions.scald import FIXTURE_LIMIT_US_C
from heatersel.cautions.setpoint_tradeoff import HIGHEST_C, LOWEST_C, SetpointPoint
from heatersel.cautions.words import Words, duration

__all__ = ["setpoint_svg"]

_WIDTH, _LEFT, _RIGHT = 360, 74, 344
_TOP, _STRIP, _PLOT = 62, 132, 84
_MINUTE, _HOUR, _DAY = 60.0, 3600.0, 86400.0
_STEPS = {"us": (48.889, 54.444, 60.0, 65.556), "si": (45.0, 50.0, 55.0, 60.0, 65.0)}

Value = Callable[[SetpointPoint], float | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Strip:
    """One of the three curves, stacked over the common scale."""

    title: str
    lines: tuple[tuple[str, str, Value], ...]  # colour, dash, value
    ticks: tuple[tuple[float, str], ...]
    span: tuple[float, float]
    is_log: bool
    say: Callable[[float], str]


def setpoint_svg(
    points: Sequence[SetpointPoint],
    here: SetpointPoint,
    say: Words,
    theme: Theme = Theme.AUTO,
) -> str:
    """Return the trade-off as a drawing.

    Parameters
    ----------
    points : sequence of SetpointPoint
        From :func:`~heatersel.cautions.setpoint_tradeoff.setpoint_tradeoff`.
    here : SetpointPoint
        The setpoint chosen, marked on each curve with its figure.
    say : Words
        Units and currency.
    theme : Theme
        Light, dark, or following the reader's setting.

    Returns
    -------
    str
        SVG, 360 units wide, with title and description. Times stand on a scale of tenfolds,
        cost on one from zero.
    """
    strips = _strips(points, say)
    bottom = _TOP + _STRIP * len(strips)
    drawing = [
        f'<rect width="{_WIDTH}" height="{bottom + 58}" class="hw-ground"/>',
        text(16, 30, "What the setting of the tank trades", "hw-ink", size=17, bold=True),
        *(_strip(strip, points, here, _TOP + _STRIP * row) for row, strip in enumerate(strips)),
        _scale(here, say, bottom),
    ]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {bottom + 58}" role="img" '
        'aria-labelledby="hw-setpoint-title hw-setpoint-desc" font-family="sans-serif">'
        '<title id="hw-setpoint-title">What the setting of the tank trades</title>'
        f'<desc id="hw-setpoint-desc">{escape(_alternative(here, say))}</desc>'
        f"{styled(theme, ''.join(drawing))}</svg>"
    )


def _strips(points: Sequence[SetpointPoint], say: Words) -> tuple[_Strip, ...]:
    top = _round_up(max(point.standby_per_year for point in points))
    return (
        _Strip(
            title="Burns skin in (broken line: a small child)",
            lines=(("hot", "", lambda point: point.scald_time_s),
                   ("hot", "6 4", lambda point: point.scald_time_child_s)),
            ticks=((1.0, "1 s"), (_MINUTE, "1 min"), (_HOUR, "1 h")), span=(0.5, 3 * _HOUR),
            is_log=True, say=duration,
        ),
        _Strip(
            title="Nine of ten bacteria die in",
            lines=(("cold", "", _reduction_s),),
            ticks=((_MINUTE, "1 min"), (_HOUR, "1 h"), (_DAY, "1 day")), span=(20.0, 2 * _DAY),
            is_log=True, say=duration,
        ),
        _Strip(
            title="Keeping it hot costs a year",
            lines=(("copper", "", lambda point: point.standby_per_year),),
            ticks=((0.0, say.money(0.0)), (top / 2, say.money(top / 2)), (top, say.money(top))),
            span=(0.0, top), is_log=False, say=say.money,
        ),
    )  # fmt: skip


def _reduction_s(point: SetpointPoint) -> float | None:
    minutes = point.decimal_reduction_min
    return None if minutes is None else minutes * _MINUTE


def _round_up(amount: float) -> float:
    """Return the next round figure: 1, 2, 4, 6 or 10 times a power of ten."""
    if amount <= 0.0:
        return 1.0
    size = 10.0 ** math.floor(math.log10(amount))
    return next(step * size for step in (1.0, 2.0, 4.0, 6.0, 10.0) if step * size >= amount)


def _x(temp_c: float) -> float:
    return _LEFT + (_RIGHT - _LEFT) * (temp_c - LOWEST_C) / (HIGHEST_C - LOWEST_C)


def _y(strip: _Strip, value: float, top: float) -> float:
    low, high = strip.span
    if strip.is_log:
        low, high, value = math.log(low), math.log(high), math.log(max(value, 1e-9))
    share = (value - low) / (high - low)
    return top + 28 + _PLOT * (1.0 - min(1.0, max(0.0, share)))


def _strip(strip: _Strip, points: Sequence[SetpointPoint], here: SetpointPoint, top: float) -> str:
    out = [text(16, top + 16, strip.title, "hw-ink", size=13, bold=True), _guides(here, top)]
    for value, label in strip.ticks:
        y = _y(strip, value, top)
        out.append(f'<path d="M{_LEFT} {y:.1f}H{_RIGHT}" stroke-width=".7" class="hw-l-line"/>')
        out.append(text(_LEFT - 8, y + 4, label, "hw-quiet", size=12, anchor="end"))
    for colour, dash, value_of in strip.lines:
        drawn = [(_x(p.setpoint_c), _y(strip, v, top)) for p in points
                 if (v := value_of(p)) is not None]  # fmt: skip
        path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in drawn)
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        out.append(f'<path d="{path}" stroke-width="2.6" class="hw-l-{colour}"{dashed}/>')
    return "".join(out) + _mark(strip, here, top)


def _guides(here: SetpointPoint, top: float) -> str:
    """Return the lines that cross one strip: the two marks, and the setting in copper."""
    y = f"{top + 28:g}V{top + 28 + _PLOT:g}"
    marks = "".join(f"M{_x(temp_c):.1f} {y}" for temp_c in (FIXTURE_LIMIT_US_C, STORE_MINIMUM_C))
    out = f'<path d="{marks}" stroke-width="1" stroke-dasharray="2 4" class="hw-l-ink"/>'
    if _is_on_scale(here):
        line = f"M{_x(here.setpoint_c):.1f} {y}"
        out += f'<path d="{line}" stroke-width="2" class="hw-l-copper"/>'
    return out


def _is_on_scale(here: SetpointPoint) -> bool:
    return LOWEST_C <= here.setpoint_c <= HIGHEST_C


def _mark(strip: _Strip, here: SetpointPoint, top: float) -> str:
    """Return a dot on the first curve at the chosen setpoint, with its figure."""
    colour, _, value_of = strip.lines[0]
    value = value_of(here)
    if value is None or not _is_on_scale(here):
        return ""
    x, y = _x(here.setpoint_c), _y(strip, value, top)
    left = x > _RIGHT - 70
    label = text(
        x + (-9 if left else 9), max(y - 9, top + 25), strip.say(value), "hw-ink", size=13,
        bold=True, anchor="end" if left else "start",
    )  # fmt: skip
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" class="hw-{colour}"/>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" stroke-width="1.6" class="hw-l-ground"/>{label}'
    )


def _scale(here: SetpointPoint, say: Words, bottom: float) -> str:
    names = ((FIXTURE_LIMIT_US_C, "limit at showers"), (STORE_MINIMUM_C, "advised store"))
    out = [
        text(_x(temp_c), _TOP - 8, name, "hw-quiet", size=12, anchor="middle")
        for temp_c, name in names
    ]
    out.append(f'<path d="M{_LEFT} {bottom}H{_RIGHT}" stroke-width="1.4" class="hw-l-ink"/>')
    out += [
        text(_x(temp_c), bottom + 17, say.temperature(temp_c), "hw-quiet", size=12, anchor="middle")
        for temp_c in _STEPS[say.system]
    ]
    x = min(max(_x(here.setpoint_c), 90.0), 270.0)
    words = f"your setting, {say.temperature(here.setpoint_c)}"
    out.append(text(x, bottom + 42, words, "hw-copper", size=13, bold=True, anchor="middle"))
    return "".join(out)


def _alternative(here: SetpointPoint, say: Words) -> str:
    """Return the picture in words."""
    burn = "in no published time" if here.scald_time_s is None else duration(here.scald_time_s)
    child = here.scald_time_child_s
    young = "" if child is None else f", a small child's in {duration(child)}"
    seconds = _reduction_s(here)
    die = (
        ""
        if seconds is None
        else f"nine of ten Legionella of one strain die in {duration(seconds)}; "
    )
    return (
        f"At {say.temperature(here.setpoint_c)} water burns skin in {burn}{young}; {die}keeping "
        f"the tank hot costs {say.money(here.standby_per_year)} a year. Hotter water burns faster "
        "and costs more, and bacteria die sooner; a tempering valve parts the two."
    )
