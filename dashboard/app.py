"""The app factory: a Dash app that shows the public functions' answers and computes nothing."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from dash import ClientsideFunction, Dash, Input, Output, no_update

from dashboard import carry
from dashboard.answers import Answers, Shelf
from dashboard.controls import page_of, tree_of
from dashboard.frame import frame, index_page
from dashboard.pages import choices, house, next_steps, people, why
from dashboard.parts import answer
from dashboard.progress import add_progress
from dashboard.quote_page import add_quote_routes
from dashboard.security import guard
from dashboard.settings import Settings
from dashboard.texts import Texts
from dashboard.told import Told, told_of
from dashboard.view import View, view_of
from heatersel.errors import HeaterselError

__all__ = ["create_app"]

_ASSETS = Path(__file__).parent / "assets"
_PAGES = {"people": people, "house": house, "choices": choices, "why": why, "next": next_steps}
_NOTHING_TOLD = Told(tables={}, tried={}, chosen=(), step="people", revision=0)


def create_app(settings: Settings | None = None) -> Dash:
    """Return the dashboard.

    Parameters
    ----------
    settings : Settings, optional
        Names it answers to, language, limits.

    Returns
    -------
    dash.Dash
        Its `server` is the WSGI application.
    """
    settings = settings or Settings()
    t = Texts(settings.language)
    shelf = Shelf(settings.shelf) if settings.shelf else None
    answers = Answers(settings.kept_answers, shelf, settings.patience_s)
    app = Dash(
        "dashboard", title="heatersel", update_title="", assets_folder=str(_ASSETS),
        assets_ignore=r"^plotly", use_pages=False, pages_folder="", compress=True,
        serve_locally=True, suppress_callback_exceptions=True,
        index_string=index_page(settings.language, t, "assets/letters.woff2"),
    )  # fmt: skip
    first = view_of(_NOTHING_TOLD, answers, t)
    app.layout = frame(t, people.ask(first), people.tell(first), answer.strip(first))
    app.clientside_callback(  # type: ignore[no-untyped-call]  # Dash leaves it untyped
        ClientsideFunction("heatersel", "start"), Output("job", "data"), Input("words", "data")
    )
    app.clientside_callback(  # type: ignore[no-untyped-call]  # the same
        ClientsideFunction("heatersel", "answered"), Output("words", "id"), Input("look", "data"),
        prevent_initial_call=True,
    )  # fmt: skip

    @app.callback(
        *(Output(id_, "tree") for id_ in ("ask", "tell", "strip", "tried", "trouble")),
        Output("title", "children"), Output("look", "data"),
        Input("job", "data"),
        prevent_initial_call=True,
    )  # fmt: skip
    def _answer(data: Any) -> tuple[Any, ...]:
        return _shown(data, answers, t)

    app.server.extensions["answers"] = answers
    carry.add_routes(app.server, answers)
    add_progress(app.server, answers, t)
    add_quote_routes(app.server, answers)
    app.server.config["COMPRESS_STREAMS"] = False
    guard(app.server, settings, app.csp_hashes(), t)
    with app.server.test_request_context():
        app.index()  # type: ignore[no-untyped-call]  # which files the page may ask for is known once it has been written
    return app


def _shown(data: Any, answers: Answers, t: Texts) -> tuple[Any, ...]:
    """Return what each part of the page shows for a state."""
    try:
        view = view_of(told_of(data), answers, t)
    except HeaterselError as trouble:
        bad = view_of(_NOTHING_TOLD, answers, t)
        parts = answer.trouble(View(t=t, told=bad.told, show=bad.show, answers=answers,
                                    tables={}, faults=trouble.faults))  # fmt: skip
        return (no_update,) * 4 + (tree_of(parts), no_update, no_update)
    page = _PAGES[view.told.step]
    stale = bool(view.faults) and view.comparison is None and view.told.is_begun
    title = view.tables.get("title", "")
    return (
        page_of(page.ask(view), view.told.step),
        no_update if stale else page_of(page.tell(view), view.told.step),
        no_update if stale else tree_of(answer.strip(view)),
        tree_of(answer.tried_bar(view)),
        tree_of(answer.trouble(view)),
        title if isinstance(title, str) else "",
        {"revision": view.told.revision, "first": view.is_first_look, "again": view.is_preparing},
    )
