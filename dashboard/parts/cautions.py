"""Cautions: what can happen, how bad, what fixes it and who does it; the gravest first."""

from __future__ import annotations

from typing import Any

from dash import html

from dashboard.controls import aria
from dashboard.texts import Texts
from dashboard.view import View
from heatersel.cautions.caution import Caution, Severity
from heatersel.cautions.order import gravest_first
from heatersel.comparison import Option

__all__ = ["caution_list", "first_things", "severity_words"]

_SIGNS = {Severity.STOP: "■", Severity.MUST: "▲", Severity.NOTE: "●"}


def severity_words(severity: Severity, t: Texts) -> str:
    """Return a severity in plain words."""
    return {
        Severity.STOP: t("Not like this"),
        Severity.MUST: t("Put right first"),
        Severity.NOTE: t("Good to know"),
    }[severity]


def first_things(view: View) -> html.Section | None:
    """Return what must be right before the recommended heater goes in, in short."""
    comparison, t = view.comparison, view.t
    best = comparison.recommended if comparison else None
    if best is None:
        return None
    told = sorted(best.cautions, key=gravest_first)
    grave = [c for c in told if c.severity is not Severity.NOTE]
    if not grave:
        return None
    head = t.plural("{n} thing must be right first", "{n} things must be right first", len(grave))
    return html.Section(
        [
            html.H2([_sign(grave[0].severity), " ", head]),
            html.Ul([html.Li(caution.message) for caution in grave[:2]]),
            html.P(html.A(t("All of them, and who puts them right"), href="#/next")),
        ],
        className=f"first {grave[0].severity.value}",
    )  # fmt: skip


def caution_list(view: View, option: Option) -> list[Any]:
    """Return the cautions of an option; those that are only good to know are folded."""
    t = view.t
    told = sorted(option.cautions, key=gravest_first)
    grave = [c for c in told if c.severity is not Severity.NOTE]
    notes = [c for c in told if c.severity is Severity.NOTE]
    parts: list[Any] = []
    if grave:
        parts.append(html.Ul([_caution(view, caution) for caution in grave], className="cautions"))
    if notes:
        head = t.plural("{n} more that is good to know", "{n} more that are good to know",
                        len(notes))  # fmt: skip
        held = html.Ul([_caution(view, caution) for caution in notes], className="cautions")
        parts.append(html.Details([html.Summary(head), held]))
    return parts


def _caution(view: View, caution: Caution) -> html.Li:
    t = view.t
    trade: list[Any] = [
        html.P(caution.trade_message),
        html.P(t("Source: {source}{edition}. Known: {status}.", source=caution.source,
                 edition=f", {caution.edition}" if caution.edition else "",
                 status=caution.status.value), className="source"),
    ]  # fmt: skip
    if caution.lifts:
        trade.insert(0, html.P(t("What would lift this: {what}", what=caution.lifts)))
    return html.Li(
        [
            html.P([_sign(caution.severity), " ", severity_words(caution.severity, t)],
                   className="severity"),
            html.P(caution.message),
            html.P([html.B(t("What fixes it: ")), caution.remedy], className="remedy"),
            html.Details([html.Summary(t("Why, and says who?")), html.Div(trade)],
                         className="why"),
        ],
        className=caution.severity.value, key=caution.id,
    )  # fmt: skip


def _sign(severity: Severity) -> html.Span:
    return html.Span(_SIGNS[severity], className=f"sign {severity.value}",
                     **aria(hidden="true"))  # fmt: skip
