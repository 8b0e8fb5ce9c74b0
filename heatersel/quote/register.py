"""The register: every quote as it was made, and what became of it.

A quote that is stored never changes; the database itself refuses. What becomes of it is told by
events that are only added: offered, accepted, declined, replaced. It counts as expired once its
last day is past and nobody has answered. SQLite in a file by default, PostgreSQL by URL.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Self

import sqlalchemy as sa

from heatersel.errors import DataError, HeaterselError, InputError, UnknownChoiceError
from heatersel.quote.database import HEAD, engine_of, in_words, revision_of, upgrade, url_of
from heatersel.quote.register_rows import (
    CHANGES,
    Entry,
    Event,
    Row,
    document_in,
    opened,
    sealed_quote,
    state_on,
    utc_text,
)
from heatersel.quote.register_tables import EVENT, META, QUOTE

__all__ = ["Register"]

_SHOWN = (
    "id", "stored_at", "date", "valid_until", "by_name", "title", "place", "policy",
    "price_book", "recommended", "total_cents", "currency", "content_digest",
)  # fmt: skip
_LONGEST_NOTE = 400


class Register:
    """An open register.

    Use as a context manager::

        with Register.open("quotes.db") as register:
            quote_id = register.add(record, at=now, by="A. Plumber")
    """

    def __init__(self, engine: sa.Engine) -> None:
        """Keep the engine of a database at the right schema."""
        self.engine = engine

    @classmethod
    def open(cls, place: str, *, create: bool = True) -> Self:
        """Return the register in a file or at a database URL.

        Parameters
        ----------
        place : str
            A file, made if it is not there, or postgresql://USER@HOST/NAME.
        create : bool
            Whether an empty database is set up.

        Returns
        -------
        Register
            A file of an older schema is copied beside itself and brought up to date; an office
            database is not, since other programs may still use the old one.

        Raises
        ------
        InputError
            If the place is none, or is not there and may not be made.
        DataError
            If the database is no register, is damaged, of a newer schema, or of an older one on
            a server.
        """
        engine = engine_of(url_of(place))
        try:
            _bring_up(engine, place, create)
        except HeaterselError:
            engine.dispose()
            raise
        return cls(engine)

    def __enter__(self) -> Self:
        """Return the register itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close its connections."""
        self.engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """Yield a connection that reads one state of the database."""
        with in_words(self.engine), self.engine.connect() as connection:
            options: dict[str, Any] = {"reads_only": True}
            if connection.dialect.name == "postgresql":
                options["isolation_level"] = "REPEATABLE READ"
            connection = connection.execution_options(**options)
            with connection.begin():
                yield connection

    @contextmanager
    def writing(self) -> Iterator[sa.Connection]:
        """Yield a connection whose changes are all kept, or none of them."""
        with in_words(self.engine), self.engine.begin() as connection:
            yield connection

    def add(
        self, record: Row, *, at: dt.datetime, by: str, replaces: str | None = None,
        document: Row | None = None,
    ) -> str:  # fmt: skip
        """Store a quote and return its id; once this returns, it is kept.

        Parameters
        ----------
        record : mapping
            From :func:`heatersel.quote.record.quote_record`.
        at : datetime.datetime
            Now, with its time zone.
        by : str
            Who stores it.
        replaces : str, optional
            Id of the quote that it takes the place of.
        document : mapping, optional
            From :func:`heatersel.quote.document.document_data`, to print it again as it was.
        """
        quote_id = str(uuid.uuid4())
        stamp = utc_text(at)
        with self.writing() as connection:
            old = None if replaces is None else self._known_id(connection, replaces)
            connection.execute(QUOTE.insert(), sealed_quote(quote_id, record, stamp, document))
            self._tell(connection, quote_id, "offered", stamp, by)
            if old is not None:
                self._check_change(connection, old, "replaced", at.date())
                self._tell(connection, old, "replaced", stamp, by, replaced_by=quote_id)
        return quote_id

    def tell(
        self, quote_id: str, state: str, *, at: dt.datetime, by: str, option_id: str = "",
        note: str = "",
    ) -> Event:  # fmt: skip
        """Add what became of a quote: accepted or declined.

        Parameters
        ----------
        quote_id : str
            Its id, or the start of it.
        state : str
            "accepted" or "declined".
        at, by : datetime.datetime, str
            When and who.
        option_id : str
            The option that was accepted.
        note : str
            Up to 400 characters.

        Raises
        ------
        InputError
            If there is no such quote, the state cannot follow, the option was not offered, or
            the note is too long.
        """
        if len(note) > _LONGEST_NOTE:
            raise InputError.of("note", value=f"{len(note)} characters",
                                allowed=f"up to {_LONGEST_NOTE}", fix="shorten it")  # fmt: skip
        with self.writing() as connection:
            known = self._known_id(connection, quote_id)
            self._check_change(connection, known, state, at.date())
            if state == "accepted":
                option_id = self._offered_option(connection, known, option_id)
            return self._tell(connection, known, state, utc_text(at), by, option_id=option_id,
                              note=note)  # fmt: skip

    def get(self, quote_id: str, on: dt.date) -> Entry:
        """Return a stored quote by id, or by the start of it.

        Parameters
        ----------
        quote_id : str
            At least four characters of it.
        on : datetime.date
            Day for which the state is told.

        Raises
        ------
        InputError
            If there is no such quote, or more than one.
        DataError
            If its content does not match its digest.
        """
        with self.reading() as connection:
            known = self._known_id(connection, quote_id)
            row = _quote_row(connection, known)
            events = self._events(connection, known)
        record = opened(row)
        state = state_on(events, row["valid_until"], on)
        return Entry(id=known, record=record, state=state, events=events)

    def document(self, quote_id: str) -> dict[str, Any] | None:
        """Return the document data of a stored quote, None if none was kept with it."""
        with self.reading() as connection:
            row = _quote_row(connection, self._known_id(connection, quote_id))
        return document_in(row)

    def search(
        self, *, on: dt.date, text: str = "", state: str = "", since: str = "", until: str = "",
        by_name: str | None = None, limit: int = 50, offset: int = 0,
    ) -> tuple[Row, ...]:  # fmt: skip
        """Return quotes without their content, the newest first.

        Parameters
        ----------
        on : datetime.date
            Day for which states are told.
        text : str
            Part of title, place, name, policy, price book or id.
        state : str
            "offered", "accepted", "declined", "expired" or "replaced"; all if empty.
        since, until : str
            Days of the quote, 2027-01-31, both included.
        by_name : str, optional
            Only quotes that somebody made.
        limit, offset : int
            Page; 0 for the limit returns all.
        """
        found = self._matching(on, text, state, since, until)
        if by_name is not None:
            found = found.where(QUOTE.c.by_name == by_name)
        statement = found.order_by(QUOTE.c.stored_at.desc(), QUOTE.c.id)
        if limit:
            statement = statement.limit(limit).offset(offset)
        with self.reading() as connection:
            return tuple(dict(row) for row in connection.execute(statement).mappings())

    def count(self) -> int:
        """Return how many quotes are stored."""
        with self.reading() as connection:
            return int(connection.scalar(sa.select(sa.func.count()).select_from(QUOTE)) or 0)

    def entries(self, on: dt.date) -> Iterator[Entry]:
        """Yield every stored quote with its history, the oldest first."""
        with self.reading() as connection:
            order = sa.select(QUOTE.c.id).order_by(QUOTE.c.stored_at, QUOTE.c.id)
            ids = list(connection.scalars(order))
        for quote_id in ids:
            yield self.get(quote_id, on)

    def verify(self) -> tuple[str, ...]:
        """Return the ids of quotes whose content does not match their digest."""
        bad = []
        with self.reading() as connection:
            for row in connection.execute(sa.select(QUOTE)).mappings():
                try:
                    opened(dict(row))
                    document_in(dict(row))
                except DataError:
                    bad.append(str(row["id"]))
        return tuple(bad)

    def setting(self, name: str) -> str | None:
        """Return a setting of the register, None if it was never set."""
        with self.reading() as connection:
            value = connection.scalar(sa.select(META.c.value).where(META.c.name == name))
            return None if value is None else str(value)

    # ---- inside a transaction

    def _matching(
        self, on: dt.date, text: str, state: str, since: str, until: str
    ) -> sa.Select[Any]:
        """Return the query of a search; the state is that of the latest event, or expired."""
        latest = (
            sa.select(EVENT.c.state)
            .where(EVENT.c.quote_id == QUOTE.c.id)
            .order_by(EVENT.c.step.desc(), EVENT.c.at.desc(), EVENT.c.id.desc())
            .limit(1)
            .scalar_subquery()
        )
        past = QUOTE.c.valid_until < on.isoformat()
        now = sa.case((sa.and_(latest == "offered", past), "expired"), else_=latest)
        columns = [QUOTE.c[name] for name in _SHOWN]
        statement = sa.select(*columns, now.label("state"))
        for word in text.split():
            pattern = f"%{_escaped(word)}%"
            searched = (QUOTE.c.title, QUOTE.c.place, QUOTE.c.by_name, QUOTE.c.policy,
                        QUOTE.c.price_book, QUOTE.c.id, QUOTE.c.recommended)  # fmt: skip
            statement = statement.where(
                sa.or_(*(column.ilike(pattern, escape="\\") for column in searched))
            )
        if state:
            if state not in CHANGES:
                raise UnknownChoiceError.of("state", value=state, allowed=", ".join(CHANGES),
                                            fix="leave it out for all")  # fmt: skip
            statement = statement.where(now == state)
        if since:
            statement = statement.where(QUOTE.c.date >= since)
        if until:
            statement = statement.where(QUOTE.c.date <= until)
        return statement

    def _known_id(self, connection: sa.Connection, start: str) -> str:
        """Return the one id that begins with a text."""
        plain = start.strip().lower()
        if len(plain) < 4 or set(plain) - set("0123456789abcdef-"):
            raise _no_quote(start)
        statement = sa.select(QUOTE.c.id).where(QUOTE.c.id.like(f"{plain}%")).limit(2)
        ids = list(connection.scalars(statement))
        if len(ids) != 1:
            raise _no_quote(start, several=len(ids) > 1)
        return str(ids[0])

    def _events(self, connection: sa.Connection, quote_id: str) -> tuple[Event, ...]:
        statement = (
            sa.select(EVENT)
            .where(EVENT.c.quote_id == quote_id)
            .order_by(EVENT.c.step, EVENT.c.at, EVENT.c.id)
        )
        return tuple(Event(**row) for row in connection.execute(statement).mappings())

    def _check_change(
        self, connection: sa.Connection, quote_id: str, state: str, on: dt.date
    ) -> None:
        """Refuse a state that cannot follow; on a server, hold the quote until we are done."""
        if connection.dialect.name == "postgresql":
            key = int.from_bytes(hashlib.sha256(quote_id.encode()).digest()[:8], signed=True)
            connection.execute(sa.text("select pg_advisory_xact_lock(:key)"), {"key": key})
        last = connection.scalar(sa.select(QUOTE.c.valid_until).where(QUOTE.c.id == quote_id))
        now = state_on(self._events(connection, quote_id), str(last), on)
        if state not in CHANGES[now]:
            allowed = ", ".join(CHANGES[now]) or "nothing more"
            until = f"; its offers held until {last}, make a new quote" if now == "expired" else ""
            raise InputError.of(
                "state", value=f"{state} for a quote that is {now}",
                allowed=f"{allowed} after {now}", fix=f"look at its history{until}",
            )  # fmt: skip

    def _offered_option(self, connection: sa.Connection, quote_id: str, option_id: str) -> str:
        """Return the id of an option that a quote offers, by id or letter."""
        offers = opened(_quote_row(connection, quote_id))["offers"]
        for offer in offers:
            if option_id in (offer["option"], offer["letter"]):
                return str(offer["option"])
        shown = ", ".join(f"{offer['letter']} ({offer['option']})" for offer in offers)
        raise UnknownChoiceError.of("offer", value=option_id or "none", allowed=shown,
                                    fix="name the offer that was signed")  # fmt: skip

    def _tell(
        self, connection: sa.Connection, quote_id: str, state: str, at: str, by: str,
        *, option_id: str = "", note: str = "", replaced_by: str | None = None,
    ) -> Event:  # fmt: skip
        last = sa.select(sa.func.max(EVENT.c.step)).where(EVENT.c.quote_id == quote_id)
        step = int(connection.scalar(last) or 0) + 1
        event = Event(id=str(uuid.uuid4()), quote_id=quote_id, step=step, state=state, at=at,
                      by_name=by[:80], option_id=option_id, note=note,
                      replaced_by=replaced_by)  # fmt: skip
        values = {name: getattr(event, name) for name in Event.__slots__}
        connection.execute(EVENT.insert(), values)
        return event


def _quote_row(connection: sa.Connection, quote_id: str) -> Row:
    found = connection.execute(sa.select(QUOTE).where(QUOTE.c.id == quote_id))
    return dict(found.mappings().one())


def _escaped(word: str) -> str:
    """Return a search word whose signs stand for themselves."""
    for sign in ("\\", "%", "_"):
        word = word.replace(sign, f"\\{sign}")
    return word


def _no_quote(start: str, several: bool = False) -> InputError:
    return InputError.of(
        "quote", value=f"{start!r}{', more than one' if several else ''}",
        allowed="the id of a stored quote, or its first four characters or more",
        fix="write more of it" if several else "list them with: heatersel register list",
    )  # fmt: skip


def _bring_up(engine: sa.Engine, place: str, create: bool) -> None:
    """Bring a database to the schema of this program; a file of an older one is copied first."""
    is_file = engine.dialect.name == "sqlite"
    there = not is_file or Path(str(engine.url.database)).exists()
    revision = revision_of(engine) if there or create else None  # connecting makes a file
    if revision is None and not create:
        raise InputError.of(
            "register", value=f"{place}, {'empty' if there else 'missing'}",
            allowed="a register with quotes",
            fix=f"check its name, or make one with: heatersel quote --register {place}",
        )  # fmt: skip
    if revision is None:
        upgrade(engine)
    elif revision < HEAD:
        if not is_file:
            raise DataError.of(
                "register", value=f"schema {revision}", allowed=f"schema {HEAD}",
                fix="when nobody else uses it, run: heatersel register upgrade",
            )  # fmt: skip
        backup_sqlite(engine, f"{engine.url.database}.before-{HEAD}")
        upgrade(engine)


def backup_sqlite(engine: sa.Engine, target: str) -> None:
    """Copy an SQLite database, also while others write to it."""
    import sqlite3

    with in_words(engine), engine.connect() as connection:
        source = connection.connection.driver_connection
        copy = sqlite3.connect(target)
        try:
            source.backup(copy)  # type: ignore[union-attr]  # it is an sqlite3 connection
        finally:
            copy.close()
