"""The frame around the pages: heading, steps, tools, the strip with the answer."""

from __future__ import annotations

from typing import Any

from dash import html

from dashboard.controls import FilePicker, Live, State, aria, data, page_of, tree_of
from dashboard.texts import Texts
from heatersel.cautions.caution import LOCAL_RULES

__all__ = ["frame", "index_page", "script_words"]


def index_page(language: str, t: Texts, font: str) -> str:
    """Return the page that the browser loads first."""
    lang = language.replace("_", "-")
    loading = t("One moment: the page is being put together.")
    without = t("This page needs JavaScript. The same answers come from: heatersel compare")
    return f"""<!DOCTYPE html>
<html lang="{lang}">
<head>
{{%metas%}}
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<meta name="theme-color" content="#A8521F">
<title>{{%title%}}</title>
<link rel="preload" href="{font}" as="font" type="font/woff2" crossorigin>
{{%favicon%}}
{{%css%}}
</head>
<body>
<noscript>{without}</noscript>
{{%app_entry%}}
<footer hidden>{{%config%}}{{%scripts%}}{{%renderer%}}</footer>
</body>
</html>""".replace("Loading...", loading)


def frame(
    t: Texts, first_ask: list[Any], first_tell: list[Any], first_strip: list[Any]
) -> html.Div:
    """Return the whole page with the first step in it."""
    stops = (
        ("people", t("People")), ("house", t("House")), ("choices", t("Choices")),
        ("why", t("Why")), ("next", t("Next")),
    )  # fmt: skip
    return html.Div(
        [
            html.A(t("Skip to the questions"), href="#main", className="skip",
                   **data(action="skip")),
            State(id="job", data=None),
            State(id="look", data=None),
            State(id="words", data=script_words(t)),
            html.Header([
                html.Div([
                    html.A(["heater", html.Span("sel")], href="#/people", className="mark",
                           **aria(label="heatersel")),
                    html.P(id="title", className="job-title"),
                    html.Div([_button("undo", "↶", t("Undo the last change")),
                              _menu(t)], className="tools"),
                ], className="bar-top"),
                html.Nav(html.Ol([
                    html.Li(html.A(html.Span(label), href=f"#/{name}", **data(stop=name)))
                    for name, label in stops
                ], className="stops"), **aria(label=t("Steps"))),
            ], className="head"),
            html.Div(id="said", className="said", role="status", hidden=True),
            html.Main([
                Live(id="trouble", className="trouble", role="alert", tree=[]),
                Live(id="tried", className="tried", tree=[]),
                Live(id="ask", className="ask", tree=page_of(first_ask, "people")),
                Live(id="tell", className="tell", tree=page_of(first_tell, "people")),
            ], id="main", tabIndex="-1"),
            html.Footer([
                html.P(LOCAL_RULES),
                html.P(t("Nothing leaves this computer: your answers stay in this browser, and the"
                         " sums are done by the program that serves this page.")),
            ], className="foot"),
            Live(id="strip", className="strip", role="region", label=t("The answer in short"),
                 tree=tree_of(first_strip)),
        ],
        id="page",
    )  # fmt: skip


def _menu(t: Texts) -> html.Div:
    return html.Div([
        html.Details([
            html.Summary(t("Keep")),
            html.Div([
                _button("save", t("Save to a file")),
                _button("open-file", t("Open a file")),
                _button("link", t("Make a link")),
                html.Div([
                    html.Label(t("Link to this state"), htmlFor="link"),
                    html.Textarea(id="link", rows="3", readOnly="readonly"),
                ], className="carry-link", hidden=True),
                _button("print", t("Print")),
                _button("results", t("Save all figures (JSON)")),
                _button("redo", t("Redo")),
                _button("start-over", t("Start over")),
                FilePicker(id="file", label=t("Job file"), accept=".toml,text/plain"),
            ], className="menu-held"),
        ], className="menu"),
        html.Details([
            html.Summary(t("View")),
            html.Div([
                _group(t("How deep"), ("depth=plain", t("Plain words")), ("depth=full", t("Full"))),
                _edits(t("Units"), ('{"units": "us"}', t("US")), ('{"units": "si"}', t("SI"))),
                _group(t("Light"), ("theme=auto", t("As the device")), ("theme=light", t("Light")),
                       ("theme=dark", t("Dark"))),
            ], className="menu-held"),
        ], className="menu"),
    ], className="menus")  # fmt: skip


def _button(action: str, label: str, words: str | None = None) -> html.Button:
    more = {"aria-label": words, "title": words} if words else {}
    return html.Button(label, type="button", **data(action=action, **more))


def _group(label: str, *views: tuple[str, str]) -> html.Div:
    buttons = [
        html.Button(words, type="button", **data(view=value), **aria(pressed="false"))
        for value, words in views
    ]
    return html.Div([html.Span(label), *buttons], role="group", **aria(label=label))


def _edits(label: str, *edits: tuple[str, str]) -> html.Div:
    buttons = [html.Button(words, type="button", **data(edit=patch)) for patch, words in edits]
    return html.Div([html.Span(label), *buttons], role="group", **aria(label=label))


def script_words(t: Texts) -> dict[str, str]:
    """Return the words that the browser says by itself."""
    return {
        "not_kept": t("This browser does not let us keep your answers; save them to a file."),
        "counting": t("Trying every heater against eight years of mornings: {done} of {of}",
                      done="{done}", of="{of}"),
        "queueing": t("Others are being answered first; yours follows."),
        "stopped": t("Stopped at the first look."),
        "no_server": t("The program that serves this page does not answer. Start it again; your"
                       " answers are kept here."),
        "too_big": t("That file is larger than 1 MB, which no job is. Is it the right one?"),
        "saved": t("Saved as job.toml."),
        "quoting": t("The quote is being written; that takes a few seconds."),
        "quoted": t("Saved as quote.pdf."),
        "opened": t("Opened. Undo brings back what was here before."),
        "link_copied": t("The link is copied. It holds all your answers."),
        "link_ready": t("The link is ready to copy. It holds all your answers."),
        "link_opened": t("Opened from the link. Undo brings back what was here before."),
        "link_broken": t("That link is damaged or cut short; nothing was changed."),
        "started_over": t("Everything is empty again. Undo brings it back."),
    }  # fmt: skip
