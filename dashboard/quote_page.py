"""A quote of the job that stands on the page: what the command line makes of the same job file."""

from __future__ import annotations

import datetime as dt
import json
import threading
from collections.abc import Callable
from typing import Any

from flask import Flask, Response, request

from dashboard.answers import Answers
from dashboard.told import Tables, checked_tables, from_browser
from heatersel import compare, load_heaters
from heatersel.comparison import Comparison
from heatersel.errors import HeaterselError, InputError
from heatersel.job.models import Job
from heatersel.quote.departures import under_policy
from heatersel.quote.document import quote_pdf
from heatersel.quote.policy import Policy, demo_policy
from heatersel.quote.price_book import PriceBook, demo_price_book
from heatersel.quote.quote import Quote, Request, make_quote
from heatersel.quote.record import quote_record

__all__ = ["add_quote_routes"]


def add_quote_routes(
    server: Flask,
    answers: Answers,
    *,
    policy: Policy | None = None,
    book: Callable[[str], PriceBook] = demo_price_book,
) -> None:
    """Add the routes that give out a quote, as its record or as the document.

    ``POST /job/quote`` answers with what ``heatersel quote --json`` prints, ``/job/quote.pdf``
    with the PDF. Both read ``{"tables": ..., "by": ..., "date": ..., "offers": [...],
    "reasons": {...}}``, of which only the tables are needed. What the reader can mend is answered
    with its message and status 400.

    Parameters
    ----------
    server : flask.Flask
        The dashboard's server.
    answers : Answers
        A full comparison that it holds already is used again.
    policy : Policy, optional
        Rules behind each quote; the demo policy if none is given.
    book : callable
        Price book of a currency.
    """
    maker = _Maker(answers, policy or demo_policy(), book)
    server.add_url_rule("/job/quote", "quote", lambda: _reply(maker, _record), methods=["POST"])
    server.add_url_rule("/job/quote.pdf", "quote_pdf", lambda: _reply(maker, _pdf),
                        methods=["POST"])  # fmt: skip


class _Maker:
    """Makes quotes, one at a time."""

    def __init__(self, answers: Answers, policy: Policy, book: Callable[[str], PriceBook]) -> None:
        self._answers, self._policy, self._book = answers, policy, book
        self._turn = threading.Lock()

    def quote(self, given: dict[str, Any]) -> Quote:
        tables = checked_tables(from_browser(given.get("tables")))
        asked, heaters, job = _asked(given), load_heaters(), self._answers.job(tables)
        book = self._book(job.prices.currency)
        with self._turn:
            return make_quote(job, self._comparison(tables, job), heaters, policy=self._policy,
                              book=book, request=asked)  # fmt: skip

    def _comparison(self, tables: Tables, job: Job) -> Comparison:
        """Return the comparison under the policy: the page's own if the policy changes nothing."""
        ruled = under_policy(job, self._policy)
        shown = self._answers.full(tables) if ruled == job else None
        return shown or compare(ruled)


def _asked(given: dict[str, Any]) -> Request:
    """Return who asks for what and for which day; raise InputError if it cannot be understood."""
    by, day = given.get("by", ""), given.get("date")
    offers, reasons = given.get("offers", []), given.get("reasons", {})
    if not (isinstance(by, str) and isinstance(offers, list) and isinstance(reasons, dict)):
        raise InputError.of("quote", value="not understood", allowed="what this page sends",
                            fix="load the page again")  # fmt: skip
    try:
        date = dt.date.today() if day is None else dt.date.fromisoformat(str(day))
    except ValueError:
        raise InputError.of("date", value=str(day)[:20], allowed="a day",
                            fix="an example is 2027-01-31") from None  # fmt: skip
    return Request(date=date, by=by.strip(), offers=tuple(map(str, offers)),
                   reasons={str(rule): str(reason) for rule, reason in reasons.items()},
                   )  # fmt: skip


def _reply(maker: _Maker, show: Callable[[Quote], Response]) -> Response:
    given = request.get_json(silent=True)
    try:
        return show(maker.quote(given if isinstance(given, dict) else {}))
    except HeaterselError as trouble:
        faults = [fault.as_dict() for fault in trouble.faults]
        return _json({"message": str(trouble), "faults": faults}, 400)


def _record(quote: Quote) -> Response:
    return _json(quote_record(quote), 200)


def _pdf(quote: Quote) -> Response:
    _check_release(quote)
    return Response(quote_pdf(quote), mimetype="application/pdf", headers={
        "Content-Disposition": 'attachment; filename="quote.pdf"',
    })  # fmt: skip


def _check_release(quote: Quote) -> None:
    """Refuse to print where the policy wants a review first, which needs the register."""
    if quote.policy.release.reviewed_only:
        raise InputError.of(
            "quote", value="not reviewed", allowed="reviewed quotes, as the policy says",
            fix="make it on the company's server, or with: heatersel quote --register",
        )  # fmt: skip


def _json(tree: dict[str, Any], status: int) -> Response:
    return Response(json.dumps(tree, default=str), status=status, mimetype="application/json")
