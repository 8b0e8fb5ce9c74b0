"""Step two: the house, walked through from the street to the heater."""

from __future__ import annotations

from typing import Any

from dash import html

from dashboard import forms
from dashboard.parts.answer import answer
from dashboard.parts.path import water_path
from dashboard.view import View
from heatersel.cautions.walk import Question, questions

__all__ = ["ask", "tell"]

Parts = list[Any]

_FIRST = (
    "home.heater_location", "home.vent", "home.backflow_preventer", "home.floor_drain",
    "home.room_volume", "place.supply",
)  # fmt: skip


def ask(view: View) -> Parts:
    """Return the questions about the house, station by station."""
    t = view.t
    wanted = _asked(view)
    stations: dict[str, list[Any]] = {}
    for item in questions():
        if item.field in _FIRST:
            continue
        field = forms.field_at(view, item.field, t(item.question), _why(view, item, wanted))
        if field is not None:
            stations.setdefault(item.station, []).append((item, field))
    by_field = {item.field: item for item in questions()}
    first = [
        forms.field_at(view, path, t(by_field[path].question) if path in by_field else "",
                       _why(view, by_field.get(path), wanted))
        for path in _FIRST
    ]  # fmt: skip
    walk = [
        forms.fold(_station(view, name, [item for item, _ in held], wanted),
                   *(field for _, field in held), key=name)
        for name, held in stations.items()
    ]  # fmt: skip
    return [
        html.H1(t("What is the house like?"), tabIndex="-1"),
        html.P(t("Answer what you can see. What you leave open stays a question for the visit and"
                 " is never counted as fine."), className="lead"),
        *first,
        html.Section([html.H2(t("Walk through the house")), *walk], className="walk"),
        html.P(html.A(t("Next: your choices"), href="#/choices", className="onward")),
    ]  # fmt: skip


def tell(view: View) -> Parts:
    """Return the answer with the way of the hot water through this house."""
    drawn = water_path(view)
    head, *found = answer(view)
    return [head, drawn, *found] if drawn is not None else [head, *found]


def _asked(view: View) -> dict[str, str]:
    """Return what is still asked for the options side by side: field and reason."""
    return {
        measure.field: measure.why
        for option in view.side_by_side()
        for measure in option.to_measure
    }


def _why(view: View, item: Question | None, wanted: dict[str, str]) -> str:
    if item is None or item.field not in wanted:
        return ""
    return view.t("Matters here: {why}.", why=wanted[item.field].rstrip("."))


def _station(view: View, name: str, items: list[Question], wanted: dict[str, str]) -> str:
    t = view.t
    n = sum(item.field in wanted for item in items)
    said = t(name[:1].upper() + name[1:])
    return t("{station}: {n} open", station=said, n=n) if n else said
