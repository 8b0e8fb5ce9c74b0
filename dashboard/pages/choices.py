"""Step three: the offers, what tells them apart, and what happens if something changes."""

from __future__ import annotations

from typing import Any

from dash import html

from dashboard.parts.answer import advice, look, waiting
from dashboard.parts.cautions import caution_list
from dashboard.parts.offers import offers
from dashboard.parts.side_by_side import left_out, side_by_side
from dashboard.parts.what_if import what_if
from dashboard.view import View

__all__ = ["ask", "tell"]

Parts = list[Any]


def ask(view: View) -> Parts:
    """Return the heading and the what-if bar."""
    t = view.t
    if view.comparison is None:
        return [html.H1(t("Your choices"), tabIndex="-1")]
    return [
        html.H1(t("Your choices"), tabIndex="-1"),
        html.P(t("Move a slider and watch what changes. Nothing you told is lost."),
               className="lead"),
        what_if(view),
    ]  # fmt: skip


def tell(view: View) -> Parts:
    """Return offers, table, cautions and what is left out."""
    t = view.t
    if view.comparison is None:
        return waiting(view)
    found: Parts = [offers(view, brief=False), side_by_side(view), _cautions(view), left_out(view)]
    if not view.comparison.recommendation.offers:
        found = [*advice(view), *found]
    onward = html.P(html.A(t("Next: why this one"), href="#/why", className="onward"))
    return [part for part in (look(view), *found, onward) if part is not None]


def _cautions(view: View) -> html.Section | None:
    t, options = view.t, view.side_by_side()
    folds = [
        html.Details(
            [
                html.Summary(t("{name}: {n} cautions", name=view.name(option.heater),
                               n=len(option.cautions))),
                *caution_list(view, option),
            ],
            open=place == 0, key=option.id,
        )
        for place, option in enumerate(options)
        if option.cautions
    ]  # fmt: skip
    if not folds:
        return None
    return html.Section([html.H2(t("What to watch with each")), *folds])
