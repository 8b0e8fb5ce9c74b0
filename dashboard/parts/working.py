"""The working behind numbers: formula, inputs and source, one tap away."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from dash import html

from dashboard.controls import aria
from dashboard.view import View
from heatersel.comparison import Option
from heatersel.explain import Step
from heatersel.words import step_inputs, step_value

__all__ = ["why_number", "working"]


def working(view: View, option: Option) -> html.Details:
    """Return the whole working of an option, folded."""
    t = view.t
    steps = [_step(view, step) for step in view.steps(option)]
    return html.Details(
        [
            html.Summary(t("Every number of the {name}, step by step",
                           name=view.name(option.heater))),
            html.Ol(steps, className="working"),
        ],
        key=option.id,
    )  # fmt: skip


def why_number(
    view: View, options: Sequence[Option], names: Iterable[str], label: str
) -> html.Details | None:
    """Return the working of one figure for several options, folded."""
    t, wanted = view.t, tuple(names)
    parts: list[Any] = []
    for option in options:
        steps = [step for step in view.steps(option) if step.name.startswith(wanted)]
        if steps:
            parts.append(html.H4(view.name(option.heater)))
            parts.append(html.Ol([_step(view, step) for step in steps], className="working"))
    if not parts:
        return None
    summary = html.Summary(t("Why?"), **aria(label=t("Why? {what}", what=label)))
    return html.Details([summary, html.Div(parts)], className="why")


def _step(view: View, step: Step) -> html.Li:
    t, show = view.t, view.show
    inputs = step_inputs(step, show)
    parts = [
        html.P([step.name[:1].upper() + step.name[1:], " ",
                html.B(t.number(step_value(step, show)))]),
        html.P("= " + step.formula, className="formula"),
    ]  # fmt: skip
    if inputs:
        parts.append(html.P(t("from {inputs}", inputs=t.number(inputs)), className="hint"))
    if step.source:
        parts.append(html.P(t("Source: {source}", source=step.source), className="source"))
    return html.Li(parts)
