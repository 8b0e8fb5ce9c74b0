"""What was assumed because nobody said otherwise, each with the control that changes it."""

from __future__ import annotations

from dash import html

from dashboard import forms
from dashboard.view import View
from heatersel.job.keys import key_at
from heatersel.job.texts import said
from heatersel.job.words import meaning

__all__ = ["assumptions"]


def assumptions(view: View) -> html.Details | None:
    """Return the values that the job does not give, with their sources and a way to change them."""
    t, job = view.t, view.job
    if job is None:
        return None
    used = list(job.defaults_used())
    items = []
    for default in used:
        key = key_at(default.field)
        field = forms.field_at(view, default.field, label=t("Change it"))
        if key is None or field is None:
            continue
        value = said(default.value, key, view.show.system)
        name = _name(default.field)
        items.append(
            html.Li(
                [
                    html.Details([
                        html.Summary([html.Span(name), " ", html.B(t.number(str(value)))]),
                        html.Div([field, html.P(t("Source: {source}", source=default.source),
                                                className="source")]),
                    ])
                ]
            )
        )  # fmt: skip
    if not items:
        return None
    head = t.plural("We assumed {n} thing. Change it", "We assumed {n} things. Change them",
                    len(items))  # fmt: skip
    return html.Details(
        [html.Summary(head), html.Ul(items, className="assumed-list")], className="assumptions"
    )


def _name(path: str) -> str:
    parts = path.split(".")
    name = parts[-1].replace("_", " ")
    if parts[-2:-1] == ["fixture_flow"]:
        name = f"{name}, flow"
    words = meaning(path)
    text = f"{name} ({words})" if words and len(words) < 46 and name not in words else name
    return text[:1].upper() + text[1:]
