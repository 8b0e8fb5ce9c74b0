"""A January morning, minute by minute: what comes out of the taps and what the heater does."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from dash import html

from dashboard.controls import Field
from dashboard.pictures.picture import (
    axis,
    chart,
    figure,
    framed,
    label_at,
    marks,
    month_names,
    pattern_of,
)
from dashboard.view import View
from heatersel.comparison import Option
from heatersel.heaters.heater import Kind
from heatersel.job.models import Fixture

if TYPE_CHECKING:
    from heatersel.simulation.morning import FixtureMorning, Morning

__all__ = ["morning"]

_LANE_PX, _PANEL_PX, _GAP_PX, _FOOT_PX = 44, 78, 34, 34
_FILLED = 0.62  # of a lane's height by water as warm as it should be
_FIRST_HOUR, _N_HOURS = 5, 6
_LUKEWARM_K = 1.0
_NOTICED_MIN = 0.5
_WORTH_A_LABEL = 2  # minutes
_EVERY = 15  # minutes of a row of the table
_TWO = 2


def morning(view: View) -> html.Figure | None:
    """Return the morning with the first of the options side by side and the second beside it."""
    t, comparison = view.t, view.comparison
    options = view.side_by_side()[:_TWO]
    if comparison is None or not options:
        return None
    told = {one.heater_id: one for one in view.answers.morning(view.tables, options)}
    shown = [option for option in options if option.id in told]
    if not shown:
        return None
    mornings = [told[option.id] for option in shown]
    signs = marks(view, shown)
    height = _height_px(mornings[0])
    heading = t("A January morning, minute by minute")
    said = " ".join(
        _in_words(view, option, one, mark.label)
        for option, one, mark in zip(shown, mornings, signs, strict=True)
    )
    charts = [
        html.Div([
            html.H3([html.Span(mark.label, className="letter"), view.name(option.heater)]),
            chart(f"morning-{n}", _drawn(view, option, one), height,
                  _in_words(view, option, one, view.name(option.heater))),
        ])
        for n, (mark, option, one) in enumerate(zip(signs, shown, mornings, strict=True))
    ]  # fmt: skip
    notes = html.P(
        t("{day} {month}, the busiest morning of the coldest week; the minutes are drawn by chance"
          " from how people use water. Each bar is a minute of running water: full height is {use}"
          " or more, as warm as you want it; short and striped is too cool. The wait in the pipe"
          " comes on top.", day=mornings[0].day + 1, month=month_names(view)[0],
          use=view.show.temperature(comparison.job.household.use_temp_c)), className="hint",
    )  # fmt: skip
    labels = [mark.label for mark in signs]
    return framed(
        view, heading, said, html.Div(charts, className="pair"),
        _table(view, labels, shown, mornings), [notes, _pickers(view, shown)], "picture wide",
    )  # fmt: skip


def _in_words(view: View, option: Option, one: Morning, name: str) -> str:
    """Return how the morning goes with one option."""
    t, short_min = view.t, float(one.short_s.sum()) / 60.0
    if short_min < _NOTICED_MIN and option.heater.is_tankless:
        return t("{name} keeps every tap warm once it has started: {n} seconds of waiting in all.",
                 name=name, n=round(one.wait_s))  # fmt: skip
    if short_min < _NOTICED_MIN:
        said = t("{name} keeps every tap warm.", name=name)
    else:
        said = t.plural(
            "{name} runs too cool for about a minute, at worst {coldest}.",
            "{name} runs too cool for about {n} minutes, at worst {coldest}.",
            round(short_min), name=name, coldest=view.show.temperature(_coldest_c(one)),
        )  # fmt: skip
    if option.heater.is_tankless:
        return said
    share = f"{float(one.charge_frac.min()):.0%}"
    left = t("Its tank goes down to {share} of its heat.", share=share)
    return f"{said} {left}"


def _coldest_c(one: Morning) -> float:
    """Return the coldest minute among those that are short."""
    short = one.short_s > 0.0
    lowest = [f.temp_c[short] for f in one.fixtures if np.isfinite(f.temp_c[short]).any()]
    return min(float(np.nanmin(temp_c)) for temp_c in lowest) if lowest else one.coldest_c


# --- the drawing ---------------------------------------------------------------------------


def _height_px(one: Morning) -> int:
    return _LANE_PX * len(one.fixtures) + 2 * (_PANEL_PX + _GAP_PX) + _FOOT_PX


def _drawn(view: View, option: Option, one: Morning) -> dict[str, Any]:
    """Return lanes of fixtures above the tank's heat and the heater's input."""
    t = view.t
    height = _height_px(one) - _FOOT_PX
    panels = [_PANEL_PX / height] * 2
    gap = _GAP_PX / height
    domains = [(0.0, panels[0]), (panels[0] + gap, panels[0] + gap + panels[1])]
    lanes_from = domains[1][1] + gap / 2
    data, notes = _lanes(view, one)
    minute = list(range(one.charge_frac.size))
    heads = [
        (domains[1][1], t("Heat left in the tank") if not option.heater.is_tankless
         else t("No tank: nothing is stored")),
        (domains[0][1], _source_words(view, option)),
    ]  # fmt: skip
    if not option.heater.is_tankless:
        data.append({"type": "scatter", "mode": "lines", "x": minute, "yaxis": "y2",
                     "y": np.round(one.charge_frac, 3).tolist(), "fill": "tozeroy",
                     "fillcolor": "var(--warm-area)",
                     "line": {"color": "var(--warm)", "width": 2}})  # fmt: skip
    data.append(_steps(one.input_kw, "copper", ""))
    if one.backup_kw.any():
        data.append(_steps(one.backup_kw, "stop", "/"))
    notes += [
        label_at(0, y, words, "var(--quiet)", xref="paper", yref="paper", xanchor="left",
                 yanchor="bottom", yshift=2)
        for y, words in heads
    ]  # fmt: skip
    most_kw = float((one.input_kw + one.backup_kw).max()) or 1.0
    hours = [t("{hour} am", hour=_FIRST_HOUR + n) if n in (0, _N_HOURS) else str(_FIRST_HOUR + n)
             for n in range(_N_HOURS + 1)]  # fmt: skip
    has_tank = not option.heater.is_tankless
    drawn = figure(
        data, annotations=notes, barmode="stack", bargap=0,
        xaxis=axis("", range=[0, 60 * _N_HOURS], tickvals=[60 * n for n in range(_N_HOURS + 1)],
                   ticktext=hours, tickangle=0, anchor="y3"),
        yaxis=axis("", domain=[lanes_from, 1.0], range=[0, len(one.fixtures)], visible=False),
        yaxis2=axis("", domain=list(domains[1]), range=[0, 1.05], tickvals=[0, 0.5, 1],
                    tickformat=".0%", visible=has_tank, tickfont={"size": 11}, automargin=False),
        yaxis3=axis("", domain=list(domains[0]), range=[0, 1.1 * most_kw], nticks=3,
                    ticksuffix=" kW", tickfont={"size": 11}, automargin=False),
    )  # fmt: skip
    drawn["layout"]["margin"] = {"l": 52, "r": 26, "t": 6, "b": _FOOT_PX - 6}
    return drawn


def _lanes(view: View, one: Morning) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Return the bars of each fixture's running minutes, and the words over them."""
    comparison = view.comparison
    assert comparison is not None
    inlet_c = comparison.inlet.daily_c[one.day]
    use_c = comparison.job.household.use_temp_c
    bars: dict[bool, tuple[list[int], list[float], list[float]]] = {
        True: ([], [], []), False: ([], [], []),
    }  # fmt: skip
    notes = []
    for row, fixture in enumerate(reversed(one.fixtures)):
        notes.append(label_at(0, row + _FILLED, _fixture_words(view, one, fixture), xanchor="left",
                              yanchor="bottom", yshift=-1))  # fmt: skip
        running = np.flatnonzero(np.isfinite(fixture.temp_c))
        for minute in running:
            temp_c = float(fixture.temp_c[minute])
            share = min(1.0, max(0.06, (temp_c - inlet_c) / (use_c - inlet_c)))
            x, base, y = bars[temp_c >= use_c - _LUKEWARM_K]
            x.append(int(minute))
            base.append(row)
            y.append(round(_FILLED * share, 3))
        cool = running[fixture.temp_c[running] < use_c - _LUKEWARM_K]
        if cool.size >= _WORTH_A_LABEL:
            at = int(cool[np.argmin(fixture.temp_c[cool])])
            words = f"<b>{view.show.temperature(float(fixture.temp_c[at]))}</b>"
            notes.append(label_at(at, row + _FILLED, words, "var(--cold)", xanchor="center",
                                  yanchor="bottom", yshift=-1))  # fmt: skip
    floors = [{"type": "scatter", "mode": "lines", "x": [0, 60 * _N_HOURS], "y": [row, row],
               "line": {"color": "var(--line)", "width": 1}}
              for row in range(len(one.fixtures))]  # fmt: skip
    drawn = [
        {"type": "bar", "x": x, "base": base, "y": y, "width": 2.0,
         "marker": {"color": f"var(--{ink})", "line": {"width": 0},
                    "pattern": pattern_of(pattern)}}
        for (x, base, y), ink, pattern in ((bars[True], "hot", ""), (bars[False], "cold", "/"))
        if x
    ]  # fmt: skip
    return [*floors, *drawn], notes


def _steps(values: Any, ink: str, pattern: str) -> dict[str, Any]:
    """Return a bar for each minute with input."""
    minutes = np.flatnonzero(values > 0.0)
    return {"type": "bar", "x": minutes.tolist(), "y": np.round(values[minutes], 3).tolist(),
            "yaxis": "y3", "width": 1.0,
            "marker": {"color": f"var(--{ink})", "line": {"width": 0},
                       "pattern": pattern_of(pattern)}}  # fmt: skip


# --- words ---------------------------------------------------------------------------------


def _fixture_words(view: View, one: Morning, fixture: FixtureMorning) -> str:
    t = view.t
    words = {
        Fixture.SHOWER: t("Shower"), Fixture.BATHTUB: t("Bath"), Fixture.LAVATORY: t("Wash basin"),
        Fixture.KITCHEN_SINK: t("Kitchen sink"), Fixture.DISHWASHER: t("Dishwasher"),
        Fixture.CLOTHES_WASHER: t("Washing machine"), Fixture.SOAKING_TUB: t("Large tub"),
        Fixture.BODY_SPRAY: t("Body spray"),
    }[fixture.fixture]  # fmt: skip
    alike = sum(other.fixture is fixture.fixture for other in one.fixtures)
    return t("{fixture} {n}", fixture=words, n=fixture.number) if alike > 1 else words


def _source_words(view: View, option: Option) -> str:
    t, heater = view.t, option.heater
    if heater.kind is Kind.HEAT_PUMP_STORAGE:
        return t("Heat pump on (striped: backup element)")
    if heater.burns_fuel:
        return t("Burner on")
    return t("Elements on") if heater.is_tankless else t("Element on (striped: the upper one)")


def _table(
    view: View, labels: Sequence[str], options: Sequence[Option], mornings: Sequence[Morning]
) -> tuple[list[str], list[list[str]]]:
    """Return the morning by quarter hours."""
    t = view.t
    head = [t("From")]
    for label, option in zip(labels, options, strict=True):
        head.append(t("{label}, coldest running tap", label=label))
        if not option.heater.is_tankless:
            head.append(t("{label}, heat in the tank", label=label))
        head.append(t("{label}, input", label=label))
    rows = []
    for start in range(0, 60 * _N_HOURS, _EVERY):
        part = slice(start, start + _EVERY)
        row = [f"{_FIRST_HOUR + start // 60}:{start % 60:02d}"]
        for option, one in zip(options, mornings, strict=True):
            ran = [f.temp_c[part] for f in one.fixtures if np.isfinite(f.temp_c[part]).any()]
            row.append(view.show.temperature(min(float(np.nanmin(c)) for c in ran)) if ran
                       else t("none runs"))  # fmt: skip
            if not option.heater.is_tankless:
                row.append(f"{float(one.charge_frac[part].min()):.0%}")
            input_kw = float((one.input_kw + one.backup_kw)[part].mean())
            row.append(t.number(f"{input_kw:.1f} kW"))
        rows.append(row)
    return head, rows


def _pickers(view: View, shown: Sequence[Option]) -> html.Div | None:
    """Return the choice of the two heaters."""
    t, comparison = view.t, view.comparison
    if comparison is None or len(shown) < _TWO:
        return None
    laid = [option.id for option in view.side_by_side()]

    def field(place: int, label: str) -> Field:
        other = shown[1 - place].id
        options = []
        for option in comparison.ranked:
            if option.id == other:
                continue
            pair = [option.id, other] if place == 0 else [other, option.id]
            rest = [id_ for id_ in laid if id_ not in (*pair, shown[place].id)]
            options.append({"value": option.id, "label": view.name(option.heater),
                            "chosen": [*pair, *rest][:4]})  # fmt: skip
        return Field(
            id=f"morning-pick-{place}", kind="pick", label=label, value=shown[place].id,
            groups=[{"options": options}], revision=view.told.revision,
        )  # fmt: skip

    return html.Div([field(0, t("Show the morning with")), field(1, t("and beside it"))],
                    className="adding no-print")  # fmt: skip
