"""Pictures of the water: what runs together each month, and what a setpoint trades."""

from __future__ import annotations

from typing import Any

from dash import html

from dashboard.pictures.picture import axis, figure, frame, label_at, month_names
from dashboard.view import View
from heatersel.comparison import Option
from heatersel.job.models import Fixture
from heatersel.pictures import running_together, setpoint_curve
from heatersel.simulation.together import in_words

__all__ = ["setpoint", "together"]

_SHOWN = (Fixture.SHOWER, Fixture.KITCHEN_SINK, Fixture.LAVATORY, Fixture.BATHTUB,
          Fixture.SOAKING_TUB)  # fmt: skip
_COLD_C, _WARM_C = 6.0, 13.0


def together(view: View) -> html.Figure | None:
    """Return what a heater without a tank can run at once in each month."""
    t, comparison = view.t, view.comparison
    option = _without_tank(view)
    if comparison is None or option is None:
        return None
    found = running_together(comparison, option)
    inlet_c = comparison.inlet.monthly_c
    words = {
        Fixture.SHOWER: t("Showers"), Fixture.KITCHEN_SINK: t("Kitchen sinks"),
        Fixture.LAVATORY: t("Wash basins"), Fixture.BATHTUB: t("Tub fillers"),
        Fixture.SOAKING_TUB: t("Large tub fillers"),
    }  # fmt: skip
    rows_shown = [f for f in _SHOWN if comparison.job.household.fixtures.of(f)]
    inks = [
        "var(--cold)" if c < _COLD_C else "var(--warm)" if c > _WARM_C else "var(--edge)"
        for c in inlet_c
    ]
    data: list[dict[str, Any]] = []
    for row, fixture in enumerate(rows_shown):
        counts = [month.fixtures.get(fixture, 0) for month in found]
        data.append({
            "type": "scatter", "mode": "markers+text", "x": list(range(12)), "y": [row] * 12,
            "text": [str(n) if n else "–" for n in counts],
            "textfont": {"size": 14, "color": [
                "var(--ground)" if n else "var(--quiet)" for n in counts]},
            "marker": {"size": [20 if n else 1 for n in counts], "color": inks, "symbol": "square"},
        })  # fmt: skip
    data.append({
        "type": "scatter", "mode": "text", "x": list(range(12)), "y": [len(rows_shown)] * 12,
        "text": [view.show.temperature(c).split(" ")[0] for c in inlet_c],
        "textfont": {"size": 12, "color": "var(--quiet)"},
    })  # fmt: skip
    labels = [words[fixture] for fixture in rows_shown]
    labels.append(t("Cold water, {unit}", unit=view.show.temperature(0.0).split(" ")[1]))
    drawn = figure(
        data,
        xaxis=axis("", tickvals=list(range(12)), ticktext=[name[0] for name in month_names(view)],
                   range=[-0.9, 11.6], side="top", ticks="", showline=False),
        yaxis=axis("", tickvals=list(range(len(labels))), ticktext=labels, ticks="",
                   range=[len(labels) - 0.4, -0.6], showline=False),
    )  # fmt: skip
    said = t("The {name} runs {what}. Colder water in winter leaves less to go round; a tank has no"
             " such limit until it is empty.",
             name=view.name(option.heater), what=t(in_words(found)))  # fmt: skip
    head = [t("Month"), t("Cold water"), t("Hot flow"), *(words[f] for f in rows_shown)]
    rows = [
        [month_names(view)[k], view.show.temperature(inlet_c[k]),
         view.show.flow(month.hot_flow_l_per_min),
         *(str(month.fixtures.get(f, 0)) for f in rows_shown)]
        for k, month in enumerate(found)
    ]  # fmt: skip
    return frame(view, "together", t("What can run together without a tank"), said, drawn,
                 90 + 44 * len(labels), (head, rows))  # fmt: skip


def _without_tank(view: View) -> Option | None:
    """Return the tankless option to show: one side by side, else the best of the house's fuels."""
    comparison = view.comparison
    if comparison is None:
        return None
    fuels = comparison.job.fuels
    choices = (
        *view.side_by_side(),
        *comparison.ranked,
        *(o for o in comparison.excluded if o.heater.energy_source in fuels),
    )
    return next((option for option in choices if option.heater.is_tankless), None)


def setpoint(view: View) -> html.Figure | None:
    """Return what each setting of the heater trades: burns, bacteria, standby."""
    t, comparison = view.t, view.comparison
    best = comparison.recommended if comparison else None
    if comparison is None or best is None or best.cost is None:
        return None
    curve = setpoint_curve(comparison, best)
    us = view.show.system == "us"
    shown = [1.8 * p.setpoint_c + 32.0 if us else p.setpoint_c for p in curve]
    at_c = comparison.demand.setpoint_c
    at = 1.8 * at_c + 32.0 if us else at_c
    panels = (
        ("y", [p.scald_time_s for p in curve], "hot", "solid"),
        ("y", [p.scald_time_child_s for p in curve], "hot", "dot"),
        ("y2", [p.decimal_reduction_min for p in curve], "fine", "solid"),
        ("y3", [p.standby_per_year for p in curve], "copper", "solid"),
    )
    data = [
        {"type": "scatter", "mode": "lines", "x": shown, "y": values, "yaxis": y,
         "line": {"color": f"var(--{ink})", "width": 3, "dash": dash}}
        for y, values, ink, dash in panels
    ]  # fmt: skip
    times: dict[str, Any] = {"type": "log", "tickvals": [1, 10, 60, 600, 3600],
             "ticktext": [t("1 s"), t("10 s"), t("1 min"), t("10 min"), t("1 h")]}  # fmt: skip
    minutes: dict[str, Any] = {"type": "log", "tickvals": [1, 10, 60, 600],
               "ticktext": [t("1 min"), t("10 min"), t("1 h"), t("10 h")]}  # fmt: skip
    heads = (
        (1.0, t("Skin burns after (dotted: a small child)")),
        (0.64, t("9 of 10 Legionella die in (one strain)")),
        (0.28, t("Standby costs, a year")),
    )
    notes = [
        label_at(0, y, words, "var(--quiet)", xref="paper", yref="paper", xanchor="left",
                 yanchor="bottom", yshift=3, bgcolor="var(--ground)")
        for y, words in heads
    ]  # fmt: skip
    notes.append(label_at(at, 1.0, f"<b>{view.show.temperature(at_c)}</b>", yref="paper",
                          yanchor="bottom", yshift=20, bgcolor="var(--ground)"))  # fmt: skip
    drawn = figure(
        data, annotations=notes,
        shapes=[{"type": "line", "x0": at, "x1": at, "yref": "paper", "y0": 0, "y1": 1.06,
                 "line": {"color": "var(--ink)", "width": 2, "dash": "dash"}}],
        xaxis=axis(t("Heater set to, {unit}", unit="°F" if us else "°C"), anchor="y3",
                   range=[shown[0], shown[-1]], dtick=10 if us else 5),
        yaxis=axis(domain=[0.74, 1.0], **times),
        yaxis2=axis(domain=[0.38, 0.64], **minutes),
        yaxis3=axis(domain=[0.0, 0.28], rangemode="tozero", nticks=3,
                    tickprefix=view.show.money(0)[:-1]),
    )  # fmt: skip
    drawn["layout"]["margin"]["t"] = 52
    near = min(curve, key=lambda p: abs(p.setpoint_c - at_c))
    said = t(
        "At {temp} water burns skin in about {burn}; cooler is safer for skin, hotter is safer"
        " against bacteria, and a tempering valve gives both.",
        temp=view.show.temperature(at_c), burn=_time(view, near.scald_time_s),
    )  # fmt: skip
    head = [t("Set to"), t("Burns an adult in"), t("a small child in"),
            t("9 of 10 Legionella die in"), t("Standby a year")]  # fmt: skip
    rows = [
        [view.show.temperature(p.setpoint_c), _time(view, p.scald_time_s),
         _time(view, p.scald_time_child_s),
         "" if p.decimal_reduction_min is None else _time(view, 60 * p.decimal_reduction_min),
         view.money(p.standby_per_year)]
        for p in curve[::5]
    ]  # fmt: skip
    return frame(view, "setpoint", t("How hot should it be?"), said, drawn, 470, (head, rows))


def _time(view: View, seconds: float | None) -> str:
    t = view.t
    if seconds is None:
        return t("no figure published")
    if seconds < 90:
        return t("{n} seconds", n=f"{seconds:.0f}" if seconds >= 2 else f"{seconds:.1f}")
    if seconds < 5400:
        return t("{n} minutes", n=f"{seconds / 60:.0f}")
    return t("{n} hours", n=f"{seconds / 3600:.0f}")
