"""Step four: why this one, in pictures that can be read, and the working behind them."""

from __future__ import annotations

from typing import Any

from dash import html

from dashboard.parts.answer import advice, look, waiting
from dashboard.parts.what_if import what_if
from dashboard.parts.working import working
from dashboard.pictures import money, water
from dashboard.pictures.morning import morning
from dashboard.view import View

__all__ = ["ask", "tell"]

Parts = list[Any]

_PICTURES = (morning, money.years, money.chance, money.months, water.together, water.setpoint,
             money.price_map)  # fmt: skip


def ask(view: View) -> Parts:
    """Return the heading and the what-if bar."""
    t = view.t
    head = html.H1(t("Why this one?"), tabIndex="-1")
    return [head] if view.comparison is None else [head, what_if(view)]


def tell(view: View) -> Parts:
    """Return the reasons, the pictures and the working."""
    t = view.t
    if view.comparison is None:
        return waiting(view)
    drawn = [picture for make in _PICTURES if (picture := make(view)) is not None]
    folds = [working(view, option) for option in view.side_by_side()]
    return [
        look(view),
        *advice(view),
        html.Div(drawn, className="pictures"),
        html.Section([html.H2(t("The working")), *folds]),
        html.P(html.A(t("Next: what to do"), href="#/next", className="onward")),
    ]
