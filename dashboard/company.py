"""The company server: sign-in, stored quotes, review, policy, accounts and trail.

Plain pages without scripts. Each request is checked in one place: who is signed in, whether the
form is one of ours, and whether the role allows it. A quote that somebody may not see is answered
like one that does not exist.
"""

from __future__ import annotations

import datetime as dt
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from flask import Flask, Response, abort, g, redirect, render_template, request
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response as Reply

from heatersel.errors import DataError, HeaterselError, InputError
from heatersel.heaters.catalogue import HeaterList
from heatersel.job.load import parse_job
from heatersel.quote.accounts import Account, Accounts, Action, Role, Session
from heatersel.quote.document import document_data, pdf_of
from heatersel.quote.fingerprint import short
from heatersel.quote.policy import Policy
from heatersel.quote.price_book import PriceBook
from heatersel.quote.quote import Request, quote_job
from heatersel.quote.record import quote_record
from heatersel.quote.register import Register
from heatersel.quote.register_rows import Entry
from heatersel.quote.reviews import check_may_leave, may_leave, review, reviews_of, waiting

__all__ = ["Company", "create_company_app"]

_COOKIE = "heatersel_session"
_PAGE = 50
_MOST_BYTES = 300_000
_WHOLE_ID = 36
_OPEN = {"sign_in", "style"}
_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; form-action 'self'; "
    "base-uri 'none'; frame-ancestors 'none'",
    "Cache-Control": "no-store",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "same-origin",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Company:
    """What a company server works with.

    Parameters
    ----------
    register : Register
        Quotes and accounts.
    policy : Policy
        Rules behind every quote.
    book : callable
        Price book of a currency.
    heaters : HeaterList
        The list to choose from.
    now : callable
        The time, with its zone.
    secure : bool
        Whether the pages are reached by https only, as behind an office's proxy.
    """

    register: Register
    policy: Policy
    book: Callable[[str], PriceBook]
    heaters: HeaterList
    now: Callable[[], dt.datetime] = lambda: dt.datetime.now(dt.UTC)
    secure: bool = False


def create_company_app(company: Company) -> Flask:
    """Return the server as a WSGI application.

    Parameters
    ----------
    company : Company
        What it works with.
    """
    app = Flask("dashboard", template_folder="company_pages", static_folder=None)
    app.config["MAX_CONTENT_LENGTH"] = _MOST_BYTES
    app.jinja_env.globals.update(Action=Action, Role=Role, short=short)
    pages = _Pages(company)
    _guard(app, company, pages)
    for rule, name, methods in (
        ("/sign-in", "sign_in", ("GET", "POST")), ("/sign-out", "sign_out", ("POST",)),
        ("/", "quotes", ("GET",)), ("/quotes/new", "new_quote", ("GET", "POST")),
        ("/quotes/<quote_id>", "quote", ("GET",)),
        ("/quotes/<quote_id>/answer", "answer", ("POST",)),
        ("/quotes/<quote_id>/review", "review", ("POST",)),
        ("/quotes/<quote_id>/quote.pdf", "paper", ("GET",)),
        ("/review", "to_review", ("GET",)),
        ("/policy", "policy", ("GET",)), ("/password", "password", ("GET", "POST")),
        ("/accounts", "accounts", ("GET", "POST")), ("/trail", "trail", ("GET",)),
        ("/style.css", "style", ("GET",)),
    ):  # fmt: skip
        app.add_url_rule(rule, name, getattr(pages, name), methods=list(methods))
    return app


def _guard(app: Flask, company: Company, pages: _Pages) -> None:
    """Let no request through that is not signed in or not from a form of ours."""

    @app.before_request
    def _know_who() -> Reply | None:
        g.session = pages.known.session(request.cookies.get(_COOKIE, ""), company.now())
        if request.method == "POST" and not _from_here(company.secure):
            abort(403, "This form was sent from another page. Open it here and send it again.")
        if request.endpoint in _OPEN or request.endpoint is None:
            return None
        if g.session is None:
            return redirect("/sign-in", 303)
        if request.method == "POST" and not g.session.guards(request.form.get("guard", "")):
            abort(403, "This form is too old. Open the page again and send it once more.")
        return None

    @app.after_request
    def _with_headers(answer: Response) -> Response:
        for name, value in _HEADERS.items():
            answer.headers.setdefault(name, value)
        return answer

    @app.errorhandler(HeaterselError)
    def _ours(trouble: HeaterselError) -> tuple[str, int]:
        status = 500 if isinstance(trouble, DataError) else 400
        sentences = [fault.sentence() for fault in trouble.faults]
        return _page("trouble.html", sentences=sentences), status

    @app.errorhandler(HTTPException)
    def _theirs(trouble: HTTPException) -> tuple[str, int]:
        said = {404: "There is nothing here, or nothing that you may see.",
                413: "That file is too large for a job."}  # fmt: skip
        status = trouble.code or 500
        sentence = said.get(status, trouble.description or "That did not work.")
        return _page("trouble.html", sentences=[sentence]), status


def _from_here(secure: bool) -> bool:
    """Return whether a request comes from a page of this server, as far as the browser says."""
    origin = request.headers.get("Origin")
    site = request.headers.get("Sec-Fetch-Site", "same-origin")
    ours = f"https://{request.host}" if secure else request.host_url.rstrip("/")
    return site in ("same-origin", "none") and origin in (None, ours)


def _page(template: str, **shown: Any) -> str:
    session: Session | None = g.get("session")
    account = session.account if session else None
    guard = session.guard if session else ""
    return render_template(template, me=account, guard=guard, **shown)


class _Pages:
    """The pages of one company."""

    def __init__(self, company: Company) -> None:
        self.company = company
        self.register = company.register
        self.known = Accounts(company.register)

    # ---- who

    @property
    def me(self) -> Account:
        """Who is signed in; the guard has seen to it that somebody is."""
        account: Account = g.session.account
        return account

    def _allow(self, action: Action) -> None:
        if not self.me.may(action):
            self._note("refused", f"{action} {request.path}")
            abort(403, "Your account is not allowed to do that.")

    def _note(self, action: str, subject: str) -> None:
        self.known.note(self.me.name, action, subject, at=self.company.now(),
                        address=request.remote_addr or "")  # fmt: skip

    def sign_in(self) -> Reply | str | tuple[str, int]:
        """Show the form, or sign in with a session that nobody can have known before."""
        if request.method == "GET":
            return redirect("/", 303) if g.session else _page("sign_in.html", refused=False)
        session = self.known.sign_in(
            request.form.get("name", ""), request.form.get("password", ""),
            at=self.company.now(), address=request.remote_addr or "",
        )  # fmt: skip
        if session is None:
            return _page("sign_in.html", refused=True), 401
        if g.session is not None:
            self.known.sign_out(g.session, at=self.company.now())
        answer = redirect("/", 303)
        answer.set_cookie(_COOKIE, session.key, httponly=True, samesite="Strict",
                          secure=self.company.secure or request.is_secure)  # fmt: skip
        return answer

    def sign_out(self) -> Reply:
        """End the session."""
        self.known.sign_out(g.session, at=self.company.now(), address=request.remote_addr or "")
        answer = redirect("/sign-in", 303)
        answer.delete_cookie(_COOKIE)
        return answer

    def password(self) -> Reply | str:
        """Let somebody change their own password; the present one is asked for again."""
        if request.method == "GET":
            return _page("password.html")
        name, now = self.me.name, self.company.now()
        proof = self.known.sign_in(name, request.form.get("present", ""), at=now,
                                   address=request.remote_addr or "")  # fmt: skip
        if proof is None:
            raise InputError.of("present password", value="another one", fix="try again",
                                allowed="the password you signed in with")  # fmt: skip
        self.known.change(name, by=name, at=now, password=request.form.get("new", ""))
        return redirect("/sign-in", 303)

    # ---- quotes

    def quotes(self) -> str:
        """List the quotes that somebody may see."""
        words, state = request.args.get("words", "")[:200], request.args.get("state", "")
        page = max(0, request.args.get("page", 0, int))
        today = self.company.now().date()
        mine = None if self.me.may(Action.SEE_ALL) else self.me.name
        rows = self.register.search(on=today, text=words, state=state, by_name=mine,
                                    limit=_PAGE + 1, offset=page * _PAGE)  # fmt: skip
        return _page("quotes.html", rows=rows[:_PAGE], more=len(rows) > _PAGE, page=page,
                     words=words, state=state)  # fmt: skip

    def new_quote(self) -> Reply | str:
        """Make a quote of a job file under the company's policy and prices, and keep it."""
        self._allow(Action.MAKE)
        if request.method == "GET":
            return _page("new_quote.html", policy=self.company.policy)
        job = parse_job(_job_tables())
        names = request.form.get("offers", "").split(",")
        made = quote_job(
            job, self.company.heaters, policy=self.company.policy,
            book=self.company.book(job.prices.currency),
            request=Request(
                date=self.company.now().date(), by=self.me.name,
                offers=tuple(filter(None, (name.strip() for name in names))),
                reasons=_reasons(request.form.get("reasons", "")),
            ),
        )  # fmt: skip
        quote_id = self.register.add(quote_record(made), at=self.company.now(), by=self.me.name,
                                     document=document_data(made))  # fmt: skip
        self._note("make quote", quote_id)
        return redirect(f"/quotes/{quote_id}", 303)

    def _entry(self, quote_id: str) -> Entry:
        """Return a quote that somebody may see; answer 404 for any other, there or not."""
        if len(quote_id) != _WHOLE_ID:
            abort(404)
        try:
            entry = self.register.get(quote_id, self.company.now().date())
        except InputError:
            abort(404)
        if not self.me.may_see(entry.record["by"]):
            self._note("refused", f"quote {quote_id}")
            abort(404)
        return entry

    def quote(self, quote_id: str) -> str:
        """Show one quote with its history and its reviews."""
        entry = self._entry(quote_id)
        reviews = reviews_of(self.register, entry.id)
        may_review = self.me.may(Action.REVIEW) and entry.record["by"] != self.me.name
        return _page("quote.html", entry=entry, reviews=reviews, may_review=may_review,
                     leaves=may_leave(entry, reviews))  # fmt: skip

    def answer(self, quote_id: str) -> Reply:
        """Enter what a customer said."""
        self._allow(Action.ANSWER)
        entry = self._entry(quote_id)
        self.register.tell(
            entry.id, request.form.get("state", ""), at=self.company.now(), by=self.me.name,
            option_id=request.form.get("option", ""), note=request.form.get("note", ""),
        )  # fmt: skip
        self._note(request.form["state"], entry.id)
        return redirect(f"/quotes/{entry.id}", 303)

    def review(self, quote_id: str) -> Reply:
        """Enter what a colleague says to a quote."""
        self._allow(Action.REVIEW)
        entry = self._entry(quote_id)
        found = review(self.register, entry, request.form.get("verdict", ""),
                       at=self.company.now(), by=self.me.name,
                       note=request.form.get("note", ""))  # fmt: skip
        self._note(found.verdict, entry.id)
        return redirect(f"/quotes/{entry.id}", 303)

    def to_review(self) -> str:
        """List what waits for a second look."""
        self._allow(Action.REVIEW)
        rows = waiting(self.register, self.company.now().date(), self.me.name)
        return _page("review.html", rows=rows)

    def paper(self, quote_id: str) -> Response:
        """Give out the document, where the policy lets it leave."""
        self._allow(Action.PRINT)
        entry = self._entry(quote_id)
        check_may_leave(self.register, entry)
        data = self.register.document(entry.id)
        if data is None:
            abort(404)
        self._note("print", entry.id)
        name = f"quote-{entry.id[:8]}.pdf"
        return Response(pdf_of(data), mimetype="application/pdf", headers={
            "Content-Disposition": f'attachment; filename="{name}"',
        })  # fmt: skip

    # ---- the company

    def policy(self) -> str:
        """Show the rules behind every quote."""
        self._allow(Action.SEE_POLICY)
        return _page("policy.html", policy=self.company.policy)

    def accounts(self) -> Reply | str:
        """List accounts, add one, or change one."""
        self._allow(Action.MANAGE_ACCOUNTS)
        if request.method == "GET":
            return _page("accounts.html", accounts=self.known.all())
        form, now, me = request.form, self.company.now(), self.me.name
        if form.get("what") == "add":
            self.known.add(form.get("name", ""), form.get("password", ""), form.get("role", ""),
                           by=me, at=now)  # fmt: skip
        else:
            self.known.change(
                form.get("name", ""), by=me, at=now, role=form.get("role", ""),
                active={"yes": True, "no": False}.get(form.get("active", "")),
                password=form.get("password", ""),
            )  # fmt: skip
        return redirect("/accounts", 303)

    def trail(self) -> str:
        """Show who did what."""
        self._allow(Action.SEE_TRAIL)
        return _page("trail.html", rows=self.known.trail())

    def style(self) -> Response:
        """Give out the style sheet."""
        text = (Path(__file__).parent / "company_pages" / "style.css").read_text(encoding="utf-8")
        return Response(text, mimetype="text/css", headers={"Cache-Control": "max-age=3600"})


def _job_tables() -> dict[str, Any]:
    """Return the tables of the job file in a form; raise InputError if it is none."""
    file = request.files.get("job")
    content = file.read() if file else b""
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError, ValueError) as trouble:
        raise InputError.of("job file", value="not TOML", allowed="a job file of heatersel",
                            fix=f"choose another file ({trouble})"[:200]) from None  # fmt: skip


def _reasons(text: str) -> dict[str, str]:
    """Return reasons by rule from lines such as setpoint = the reason."""
    pairs = (line.partition("=") for line in text.splitlines() if "=" in line)
    return {rule.strip(): reason.strip() for rule, _, reason in pairs}
