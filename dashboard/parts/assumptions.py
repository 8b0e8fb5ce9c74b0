"""What was assumed because nobody said otherwise, each with the control that changes it."""

from __future__ import annotations

from dash import html

from dashboard import forms
from dashboard.texts import Texts
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
        name = _name(default.field, t)
        items.append(
            html.Li(
                [
                    html.Details([
                        html.Summary([html.Span(name), " ", html.B(t.number(str(value)))]),
                        html.Div([field, html.P(t("Source: {source}", source=default.source),
                                                className="source")]),
                    ])
                ],
                key=default.field,
            )
        )  # fmt: skip
    if not items:
        return None
    head = t.plural("We assumed {n} thing. Change it", "We assumed {n} things. Change them",
                    len(items))  # fmt: skip
    return html.Details(
        [html.Summary(head), html.Ul(items, className="assumed-list")], className="assumptions"
    )


def _name(path: str, t: Texts) -> str:
    parts, words = path.split("."), meaning(path)
    name = t(forms.name_of(path))
    if parts[-2:-1] == ["fixture_flow"]:
        name = t("{fixture}, flow", fixture=name)
    is_told_by_name = forms.name_of(path).lower() in words
    return f"{name} ({t(words)})" if words and len(words) < 46 and not is_told_by_name else name
