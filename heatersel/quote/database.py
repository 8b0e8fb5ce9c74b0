"""Open a register's database: SQLite or PostgreSQL, at the schema that this program knows."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from heatersel.errors import DataError, InputError

__all__ = ["HEAD", "engine_of", "in_words", "revision_of", "upgrade", "url_of"]

HEAD = "0002"
"""Revision that this program reads and writes."""

_FOLDER = Path(__file__).with_name("migrations")
_BUSY_MS = 60_000
_LOCK_KEY = 0x68656174  # any number, the same in every program
_KINDS = ("sqlite", "postgresql")


def url_of(place: str) -> sa.URL:
    """Return the database URL of a register named by a file or a URL.

    Parameters
    ----------
    place : str
        A file such as quotes.db, or postgresql://user@host/name.

    Raises
    ------
    InputError
        If it is neither.
    """
    if "://" not in place:
        return sa.URL.create("sqlite", database=str(Path(place).expanduser()))
    try:
        url = sa.make_url(place)
    except sa.exc.ArgumentError:
        raise _no_register(place) from None
    kind = url.get_backend_name()
    if kind not in _KINDS:
        raise _no_register(url.render_as_string(hide_password=True))
    return url.set(drivername="postgresql+psycopg") if kind == "postgresql" else url


def engine_of(url: sa.URL) -> sa.Engine:
    """Return an engine whose transactions are safe against a sudden death of the program."""
    if url.get_backend_name() == "sqlite":
        engine = sa.create_engine(url, connect_args={"timeout": _BUSY_MS / 1000})
        sa.event.listen(engine, "connect", _set_up_sqlite)
        sa.event.listen(engine, "begin", _begin_at_once)
        return engine
    try:
        return sa.create_engine(url, pool_pre_ping=True)
    except ModuleNotFoundError as missing:
        raise InputError.of(
            "register", value=url.render_as_string(hide_password=True),
            allowed=f"PostgreSQL with the package {missing.name}",
            fix='pip install "heatersel[postgresql]", or name a file',
        ) from None  # fmt: skip


def revision_of(engine: sa.Engine) -> str | None:
    """Return the revision of a database, None if it is empty.

    Raises
    ------
    DataError
        If it holds something else, is newer than this program, or cannot be read.
    """
    with in_words(engine), engine.connect() as connection:
        names = set(sa.inspect(connection).get_table_names())
        if not names:
            return None
        if "alembic_version" not in names or "quote" not in names:
            raise DataError.of(
                "register", value=_shown(engine), allowed="a register of heatersel, or an empty "
                "database", fix="name another file or database; this one is left as it is",
            )  # fmt: skip
        revision = str(connection.scalar(sa.text("select version_num from alembic_version")))
    if revision > HEAD:
        raise DataError.of(
            "register", value=f"{_shown(engine)} of schema {revision}",
            allowed=f"schema {HEAD} or older", fix="a newer heatersel wrote it: update this one; "
            "nothing was changed",
        )  # fmt: skip
    return revision


def upgrade(engine: sa.Engine, revision: str = HEAD) -> None:
    """Bring a database to a revision, in one transaction.

    Parameters
    ----------
    engine : Engine
        Its database; an empty one is set up.
    revision : str
        The newest by default; tests set up older ones.
    """
    import alembic.command
    import alembic.config

    config = alembic.config.Config()
    config.set_main_option("script_location", str(_FOLDER))
    with in_words(engine), engine.begin() as connection:
        if connection.dialect.name == "postgresql":  # two programs may set up at the same time
            connection.execute(sa.text("select pg_advisory_xact_lock(:key)"), {"key": _LOCK_KEY})
        config.attributes["connection"] = connection
        alembic.command.upgrade(config, revision)


@contextmanager
def in_words(engine: sa.Engine) -> Iterator[None]:
    """Turn what a database complains of into an error that says what to do."""
    try:
        yield
    except DBAPIError as trouble:
        raise _trouble(engine, str(trouble.orig).strip()) from None
    except (SQLAlchemyError, sqlite3.Error) as trouble:
        raise _trouble(engine, str(trouble).strip()) from None


def _trouble(engine: sa.Engine, said: str) -> DataError:
    plain = said.splitlines()[0] if said else "no reason given"
    damaged = any(word in plain for word in ("malformed", "not a database", "disk image"))
    if damaged:
        return DataError.of(
            "register", value=f"{_shown(engine)}, damaged ({plain})",
            allowed="a whole database", fix="keep the file as it is, and bring the last backup "
            "back with: heatersel register import BACKUP --register NEW",
        )  # fmt: skip
    if "never changed" in plain:
        return DataError.of("register", value=plain, allowed="new quotes and new events",
                            fix="store a new quote that replaces the old one")  # fmt: skip
    return DataError.of("register", value=f"{_shown(engine)}: {plain}",
                        allowed="a database that answers",
                        fix="check its name, its rights and whether it runs")  # fmt: skip


def _shown(engine: sa.Engine) -> str:
    if engine.url.get_backend_name() == "sqlite":
        return str(engine.url.database)
    return engine.url.render_as_string(hide_password=True)


def _no_register(place: str) -> InputError:
    return InputError.of("register", value=place, allowed="a file, or postgresql://USER@HOST/NAME",
                         fix="an example is quotes.db")  # fmt: skip


def _set_up_sqlite(connection: sqlite3.Connection, _record: Any) -> None:
    connection.isolation_level = None  # the register says itself when a transaction begins
    cursor = connection.cursor()
    cursor.execute(f"pragma busy_timeout = {_BUSY_MS}")
    cursor.execute("pragma foreign_keys = on")
    cursor.execute("pragma journal_mode = wal")
    cursor.execute("pragma synchronous = full")  # a committed quote survives a power cut
    cursor.close()


def _begin_at_once(connection: sa.Connection) -> None:
    """Take the write lock first: two writers wait for each other instead of failing half-way."""
    reads = connection.get_execution_options().get("reads_only")
    connection.exec_driver_sql("begin" if reads else "begin immediate")
