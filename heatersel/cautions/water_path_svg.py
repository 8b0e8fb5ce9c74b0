"""The hot-water path drawn: one copper pipe from the street to the taps, readable on a phone.

What has to be added is drawn broken and carries a flag with the words; what is to be checked is
dotted and carries a question mark; what is there is drawn whole with a tick. Colour repeats what
shape and word already say.
"""

from __future__ import annotations

from html import escape

from heatersel.cautions.ink import Theme, styled, text, wrapped
from heatersel.cautions.water_path import Part, PathPart, Standing, WaterPath
from heatersel.heaters.heater import Heater, Kind

__all__ = ["water_path_svg"]

_WIDTH = 360
_PIPE_X = 62
_TEXT_X = 124
_COLUMNS = 33
_LINE = 17
_GAP = 30
_TANK_TOP, _TANK_W, _TANK_H = 34, 92, 128
_WARM_C, _HOT_C = 25.0, 49.5  # above that it is hotter than a shower may be


def water_path_svg(path: WaterPath, theme: Theme = Theme.AUTO) -> str:
    """Return the drawing of a hot-water path.

    Parameters
    ----------
    path : WaterPath
        The path.
    theme : Theme
        Light, dark, or following the reader's setting.

    Returns
    -------
    str
        SVG, 360 units wide, with title and description; its own ground is painted, so that it
        can stand on any page.
    """
    drawn: list[str] = []
    y = 60.0
    drawn.append(text(16, 30, "The way of your hot water", "hw-ink", size=17, bold=True))
    last = len(path.parts) - 1
    temp_c = path.parts[0].temp_c
    relief = next((part for part in path.parts if part.part is Part.RELIEF), None)
    for index, part in enumerate(path.parts):
        if part.part is Part.RELIEF:
            continue
        height = _height(part, relief)
        if part.part is Part.HEATER and part is not relief:
            drawn.append(_heater_row(path.heater, part, relief, y, temp_c))
        else:
            drawn.append(_row(part, y, height, temp_c, ends=index == last))
        temp_c = part.temp_c
        y += height
    name = f"hw-{path.heater.id}"
    ground = f'<rect width="{_WIDTH}" height="{y + 8:g}" class="hw-ground"/>'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {y + 8:g}" role="img" '
        f'aria-labelledby="{name}-title {name}-desc" font-family="sans-serif">'
        f'<title id="{name}-title">{escape(path.title)}</title>'
        f'<desc id="{name}-desc">{escape(path.alternative)}</desc>'
        f"{styled(theme, ground + ''.join(drawn))}</svg>"
    )


def _water(temp_c: float) -> str:
    """Return the colour word of water at a temperature."""
    return "cold" if temp_c < _WARM_C else "warm" if temp_c < _HOT_C else "hot"


def _height(part: PathPart, relief: PathPart | None) -> float:
    if part.part is Part.HEATER:
        beside = _words_height(part) + (_words_height(relief) + 20.0 if relief else 0.0)
        return max(_TANK_TOP + _TANK_H + 34.0, 44.0 + beside + 12.0)
    return max(74.0, _words_height(part) + _GAP)


def _words_height(part: PathPart) -> float:
    columns = _COLUMNS - 3 if part.part in (Part.HEATER, Part.RELIEF) else _COLUMNS
    lines = len(wrapped(part.name, columns - 3)) + len(wrapped(part.says, columns))
    return _LINE * (lines + (part.standing is not Standing.PLAIN))


def _words(part: PathPart, x: float, y: float, columns: int) -> str:
    out = [
        text(x, y + _LINE * row, line, "hw-ink", size=15, bold=True)
        for row, line in enumerate(wrapped(part.name, columns - 3))
    ]
    y += _LINE * len(out)
    for line in wrapped(part.says, columns):
        out.append(text(x, y, line, "hw-quiet"))
        y += _LINE
    return "".join(out) + _tag(part.standing, x, y)


def _tag(standing: Standing, x: float, y: float) -> str:
    """Return the flag under a device's words: tick, filled flag or question mark, with its word."""
    if standing is Standing.THERE:
        tick = f'<path d="M{x:g} {y - 5:g}l4 4 7-9" stroke-width="2.2" class="hw-l-fine"/>'
        return tick + text(x + 16, y, standing.value, "hw-fine", size=12.5, bold=True)
    if standing is Standing.ADD:
        flag = f'<path d="M{x:g} {y - 12:g}h62l7 8-7 8h-62z" class="hw-must"/>'
        return flag + text(x + 7, y, standing.value, "hw-ground", size=12.5, bold=True)
    if standing is Standing.ASK:
        ring = (
            f'<circle cx="{x + 7:g}" cy="{y - 4:g}" r="7" stroke-width="1.8" '
            'stroke-dasharray="2 2.4" class="hw-l-ink"/>'
        )
        mark = text(x + 7, y, "?", "hw-ink", size=11, bold=True, anchor="middle")
        return ring + mark + text(x + 20, y, standing.value, "hw-ink", size=12.5, bold=True)
    return ""


def _pipe(d: str, temp_c: float) -> str:
    """Return a stretch of copper pipe with water in it."""
    return (
        f'<path d="{d}" stroke-width="13" stroke-linejoin="round" class="hw-l-copper"/>'
        f'<path d="{d}" stroke-width="8" stroke-linejoin="round" class="hw-l-{_water(temp_c)}"/>'
    )


def _row(part: PathPart, y: float, height: float, temp_c: float, *, ends: bool) -> str:
    x, middle = _PIPE_X, y + 26
    if part.part is Part.STREET:
        pipe = _pipe(f"M-4 {middle:g}H{x}V{y + height + 1:g}", part.temp_c)
    elif ends:
        pipe = _pipe(f"M{x} {y:g}V{middle:g}", temp_c)
    else:
        pipe = _pipe(f"M{x} {y:g}V{middle:g}", temp_c) + _pipe(
            f"M{x} {middle:g}V{y + height + 1:g}", part.temp_c
        )
    symbol = _SYMBOLS[part.part](middle, part.standing)
    return pipe + symbol + _words(part, _TEXT_X, y + 16, _COLUMNS)


def _line(standing: Standing) -> str:
    """Return how a device's outline is drawn: whole, broken or dotted."""
    dash = {Standing.ADD: "7 4", Standing.ASK: "2.4 3"}.get(standing)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    colour = "must" if standing is Standing.ADD else "ink"
    return f'class="hw-l-{colour}" stroke-width="2.4" stroke-linejoin="round"{dashed}'


def _street(y: float, standing: Standing) -> str:
    ground = "".join(f"M{x} {y + 20:g}l-9 9" for x in range(12, 52, 10))
    return f'<path d="M0 {y + 20:g}H46{ground}" {_line(standing)}/>'


def _meter(y: float, standing: Standing) -> str:
    x = _PIPE_X
    case = f'<rect x="{x - 19}" y="{y - 13:g}" width="38" height="26" rx="7" '
    dial = f'<circle cx="{x}" cy="{y:g}" r="8.5" {_line(standing)}/>'
    hand = f'<path d="M{x} {y:g}l5-4" {_line(standing)}/>'
    return f'{case}class="hw-ground"/>{case}{_line(standing)}/>{dial}{hand}'


def _pressure_tank(y: float, standing: Standing) -> str:
    branch = _pipe(f"M{_PIPE_X} {y + 24:g}H25V{y + 16:g}", 5.0)
    body = f'<rect x="7" y="{y - 32:g}" width="36" height="50" rx="9" '
    water = f'<path d="M11 {y + 2:g}h28v6q0 6-6 6h-16q-6 0-6-6z" class="hw-cold"/>'
    return f'{branch}{body}class="hw-ground"/>{water}{body}{_line(standing)}/>'


def _backflow(y: float, standing: Standing) -> str:
    x = _PIPE_X
    body = f'<circle cx="{x}" cy="{y:g}" r="17" class="hw-ground"/>'
    return (
        f'{body}<circle cx="{x}" cy="{y:g}" r="17" {_line(standing)}/>'
        f'<path d="M{x - 8} {y - 7:g}h16l-8 12zM{x - 8} {y + 7:g}h16" {_line(Standing.PLAIN)}/>'
    )


def _regulator(y: float, standing: Standing) -> str:
    x = _PIPE_X
    d = f"M{x - 15} {y - 10:g}h30v20h-30zM{x - 15} {y:g}h-12M{x - 27} {y - 10:g}a9 10 0 0 0 0 20z"
    return f'<path d="{d}" class="hw-ground"/><path d="{d}" {_line(standing)}/>'


def _shutoff(y: float, standing: Standing) -> str:
    x = _PIPE_X
    d = f"M{x - 15} {y - 16:g}h30l-30 32h30z"
    handle = f"M{x} {y:g}h-24m0-9v18"
    return f'<path d="{d}" class="hw-ground"/><path d="{d}{handle}" {_line(standing)}/>'


def _expansion(y: float, standing: Standing) -> str:
    branch = _pipe(f"M{_PIPE_X} {y - 12:g}H24V{y - 4:g}", 5.0)
    body = f'<rect x="8" y="{y - 4:g}" width="32" height="42" rx="15" '
    skin = f'<path d="M8 {y + 18:g}q16 9 32 0" {_line(standing)}/>'
    return f'{branch}{body}class="hw-ground"/>{body}{_line(standing)}/>{skin}'


def _tempering(y: float, standing: Standing) -> str:
    x = _PIPE_X
    cold = _pipe(f"M10 {y:g}H{x}", 5.0)
    body = f'<circle cx="{x}" cy="{y:g}" r="17" class="hw-ground"/>'
    halves = (
        f'<path d="M{x} {y - 11:g}a11 11 0 0 0 0 22z" class="hw-cold"/>'
        f'<path d="M{x} {y - 11:g}a11 11 0 0 1 0 22z" class="hw-hot"/>'
    )
    return f'{cold}{body}{halves}<circle cx="{x}" cy="{y:g}" r="17" {_line(standing)}/>'


def _fixtures(y: float, standing: Standing) -> str:
    x = _PIPE_X
    rose = f"M{x - 22} {y + 14:g}q22-26 44 0z"
    drops = "".join(f"M{x + dx} {y + 21:g}v{9 + 4 * (dx == 0)}" for dx in (-14, -5, 5, 14))
    return (
        f'<path d="{rose}" class="hw-ground"/><path d="{rose}" {_line(Standing.PLAIN)}/>'
        f'<path d="{drops}" stroke-width="2.6" stroke-linecap="round" class="hw-l-warm"/>'
    )


_SYMBOLS = {
    Part.STREET: _street,
    Part.METER: _meter,
    Part.PRESSURE_TANK: _pressure_tank,
    Part.BACKFLOW: _backflow,
    Part.REGULATOR: _regulator,
    Part.SHUTOFF: _shutoff,
    Part.EXPANSION: _expansion,
    Part.TEMPERING: _tempering,
    Part.FIXTURES: _fixtures,
}


def _heater_row(
    heater: Heater, part: PathPart, relief: PathPart | None, y: float, inlet_c: float
) -> str:
    height = _height(part, relief)
    top, bottom, left = y + _TANK_TOP, y + _TANK_TOP + _TANK_H, 22
    right = left + _TANK_W
    in_x, out_x = left + 24, right - 18
    cold = _pipe(f"M{_PIPE_X} {y:g}V{y + 10:g}H{in_x}V{top + 6:g}", inlet_c)
    around = f"V{y + 12:g}H{right + 12}V{bottom + 18:g}H{_PIPE_X}V{y + height + 1:g}"
    hot = _pipe(f"M{out_x} {top + 6:g}{around}", part.temp_c)
    body = _tankless_body if heater.kind is Kind.TANKLESS else _tank_body
    words = _words(part, _TEXT_X + 14, y + 44, _COLUMNS - 3)
    if relief is not None:
        beside = y + 44 + _words_height(part) + 20
        words += _words(relief, _TEXT_X + 14, beside, _COLUMNS - 3)
        words += _relief(left, top, bottom, relief.standing)
    return cold + hot + body(heater, left, top) + words


def _tank_body(heater: Heater, x: float, y: float) -> str:
    w, h = _TANK_W, _TANK_H
    outline = f'<rect x="{x}" y="{y:g}" width="{w}" height="{h}" rx="14" '
    inner = f'<rect x="{x + 9}" y="{y + 9:g}" width="{w - 18}" height="{h - 18}" rx="8" '
    warm = f"M{x + 9} {y + 78:g}q18-7 37 0t37 0v22h-74z"
    cold = f"M{x + 9} {y + 96:g}q18-7 37 0t37 0v15q0 8-8 8h-58q-8 0-8-8z"
    layers = (
        f'{inner}class="hw-hot"/><path d="{warm}" class="hw-warm"/>'
        f'<path d="{cold}" class="hw-cold"/>'
    )
    return f'{outline}class="hw-ground"/>{layers}{outline}{_line(Standing.PLAIN)}/>' + _heat_mark(
        heater, x + w / 2, y
    )


def _heat_mark(heater: Heater, x: float, y: float) -> str:
    """Return what heats the tank: a flame, two elements, or a fan on top."""
    if heater.burns_fuel:
        flame = f"M{x - 9:g} {y + 116:g}q-2-14 9-24q11 10 9 24q-9 6-18 0z"
        return f'<path d="{flame}" class="hw-ground"/><path d="{flame}" {_line(Standing.PLAIN)}/>'
    if heater.kind is Kind.HEAT_PUMP_STORAGE:
        fan = "".join(f"M{x:g} {y + 34:g}{blade}" for blade in
                      ("q12-2 9-13", "q-2 12-13 9", "q-12 2-9 13", "q2-12 13-9"))  # fmt: skip
        ring = f'<circle cx="{x:g}" cy="{y + 34:g}" r="19" class="hw-ground"/>'
        edge = f'<circle cx="{x:g}" cy="{y + 34:g}" r="19" {_line(Standing.PLAIN)}/>'
        return f'{ring}{edge}<path d="{fan}" {_line(Standing.PLAIN)}/>'
    coil = "".join(f"M{x - 30:g} {y + dy:g}l6-7 8 14 8-14 8 14 8-14 8 14 6-7" for dy in (44, 88))
    return f'<path d="{coil}" stroke-width="2.6" class="hw-l-ground"/>'


def _tankless_body(heater: Heater, x: float, y: float) -> str:
    w, h = _TANK_W, _TANK_H
    outline = f'<rect x="{x}" y="{y:g}" width="{w}" height="{h}" rx="9" '
    cold = f"M{x + 24} {y - 1:g}v23h34v22h-35"
    hot = f"M{x + 24} {y + 44:g}v22h50V{y - 1:g}"
    mark = _heat_mark(heater, x + w / 2, y + 4) if heater.burns_fuel else ""
    return (
        f'{outline}class="hw-ground"/>{outline}{_line(Standing.PLAIN)}/>'
        f"{_pipe(cold, 5.0)}{_pipe(hot, 60.0)}{mark}"
    )


def _relief(x: float, top: float, bottom: float, standing: Standing) -> str:
    d = f"M{x} {top + 22:g}h-7v-8h-8v16h8v-8M{x - 11} {top + 30:g}V{bottom - 2:g}"
    return f'<path d="{d}" {_line(standing)}/>'
