"""Move quotes between registers: a laptop and the office, a backup file and a register.

A quote has the same id everywhere and never changes, events are only added. So merging is a
union: what one side lacks is copied, nothing is overwritten, and doing it twice changes nothing.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from heatersel.errors import DataError, InputError
from heatersel.quote.register import Register
from heatersel.quote.register_rows import Row, document_in, opened
from heatersel.quote.register_tables import EVENT, QUOTE, REVIEW

__all__ = ["Merged", "TwoAnswers", "export_backup", "import_backup", "sync"]

_SCHEMA = "heatersel.register/1"
_ADDED = (EVENT, REVIEW)
"""What is only ever added about a quote."""
_KINDS = {"quote": QUOTE, "event": EVENT, "review": REVIEW}
_LATER = ("document", "document_digest")
"""Columns that backups of the first schema lack."""
_BATCH = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoAnswers:
    """A quote that was accepted here and declined there, or for different options.

    Parameters
    ----------
    quote_id : str
        The quote.
    answers : tuple of str
        What was entered, oldest first; the last one counts until somebody corrects it.
    """

    quote_id: str
    answers: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """What a merge did.

    Parameters
    ----------
    quotes_sent, events_sent : int
        Copied from the first register to the second.
    quotes_received, events_received : int
        Copied the other way.
    two_answers : tuple of TwoAnswers
        Quotes that people on both sides answered differently.
    """

    quotes_sent: int = 0
    events_sent: int = 0
    quotes_received: int = 0
    events_received: int = 0
    two_answers: tuple[TwoAnswers, ...] = ()


def sync(laptop: Register, office: Register) -> Merged:
    """Give each of two registers what it lacks of the other.

    Parameters
    ----------
    laptop, office : Register
        Two registers; the order only decides what counts as sent.

    Returns
    -------
    Merged

    Raises
    ------
    DataError
        If a quote has one id and two contents, or does not match its digest; nothing that was
        there before is touched.
    """
    _same_content(laptop, office)
    shared = _ids(laptop)[EVENT] & _ids(office)[EVENT]
    sent = _copy(laptop, office)
    received = _copy(office, laptop)
    return Merged(
        quotes_sent=sent[0], events_sent=sent[1], quotes_received=received[0],
        events_received=received[1], two_answers=tuple(_two_answers(office, shared)),
    )  # fmt: skip


def export_backup(register: Register, path: Path) -> int:
    """Write every quote and event to a file and return the number of quotes.

    Parameters
    ----------
    register : Register
        The register.
    path : pathlib.Path
        The file: one JSON object a line, the last with the digest of all before. It is written
        beside its place first, so that a backup is whole or not there.
    """
    digest = hashlib.sha256()
    count = 0
    beside = path.with_name(f"{path.name}.part")
    try:
        with beside.open("w", encoding="utf-8", newline="\n") as file:
            for line in _backup_lines(register):
                count += '"quote":' in line[:9]
                digest.update(line.encode())
                file.write(line)
            file.write(json.dumps({"end": digest.hexdigest()}) + "\n")
        beside.replace(path)
    except OSError as trouble:
        raise InputError.of("backup", value=str(path), allowed="a file that can be written",
                            fix=f"choose another place ({trouble.strerror})") from None  # fmt: skip
    return count


def import_backup(path: Path, register: Register) -> Merged:
    """Bring the quotes and events of a backup into a register, all or none.

    Parameters
    ----------
    path : pathlib.Path
        A file that :func:`export_backup` wrote.
    register : Register
        Empty or not; what it has already stays as it is.

    Raises
    ------
    InputError
        If the file is no backup, was cut short or was changed.
    DataError
        If a quote in it does not match its digest, or has another content here.
    """
    rows = _read_backup(path)
    with register.writing() as connection:
        held = _digests(connection)
        for row in rows["quote"]:
            _check_same(row["id"], row["digest"], held)
            opened(row)
            document_in(row)
        new = [row for row in rows["quote"] if row["id"] not in held]
        _insert(connection, QUOTE, new)
        added = 0
        for kind, table in (("event", EVENT), ("review", REVIEW)):
            known = set(connection.scalars(sa.select(table.c.id)))
            lacking = [row for row in rows[kind] if row["id"] not in known]
            _insert(connection, table, lacking)
            added += len(lacking)
    return Merged(quotes_received=len(new), events_received=added)


def _copy(source: Register, target: Register) -> tuple[int, int]:
    """Copy what the target lacks; a quote and its events never arrive one without the other."""
    theirs, ours = _ids(source), _ids(target)
    wanted = sorted(theirs[QUOTE] - ours[QUOTE])
    for batch in _batches(wanted):
        with source.reading() as connection:
            rows = _rows(connection, QUOTE, QUOTE.c.id, batch)
            about = {t: _rows(connection, t, t.c.quote_id, batch) for t in _ADDED}
        for row in rows:
            opened(row)
            document_in(row)
        with target.writing() as connection:
            _insert(connection, QUOTE, rows)
            for table, added in about.items():
                _insert(connection, table, added)
    count = 0
    for table in _ADDED:  # also what is about quotes that both sides have
        lacking = sorted(theirs[table] - ours[table])
        count += len(lacking)
        for batch in _batches(lacking):
            with source.reading() as connection:
                rows = _rows(connection, table, table.c.id, batch)
            with target.writing() as connection:
                _insert(connection, table, rows)
    return len(wanted), count


def _ids(register: Register) -> dict[sa.Table, set[str]]:
    """Return the ids in each table, all at the same moment."""
    with register.reading() as connection:
        return {t: set(connection.scalars(sa.select(t.c.id))) for t in (QUOTE, *_ADDED)}


def _insert(connection: sa.Connection, table: sa.Table, rows: Sequence[Row]) -> None:
    """Insert rows that somebody else may have inserted since we looked."""
    if not rows:
        return
    if connection.dialect.name == "postgresql":
        from sqlalchemy.dialects.postgresql import insert
    else:
        from sqlalchemy.dialects.sqlite import insert  # type: ignore[assignment]
    connection.execute(insert(table).on_conflict_do_nothing(index_elements=["id"]),
                       [dict(row) for row in rows])  # fmt: skip


def _rows(
    connection: sa.Connection, table: sa.Table, column: sa.Column[Any], ids: Sequence[str]
) -> list[Row]:
    found = connection.execute(sa.select(table).where(column.in_(ids))).mappings()
    return [dict(row) for row in found]


def _digests(connection: sa.Connection) -> dict[str, str]:
    return {row.id: row.digest for row in connection.execute(sa.select(QUOTE.c.id, QUOTE.c.digest))}


def _same_content(one: Register, other: Register) -> None:
    with one.reading() as connection:
        held = _digests(connection)
    with other.reading() as connection:
        for quote_id, digest in _digests(connection).items():
            _check_same(quote_id, digest, held)


def _check_same(quote_id: str, digest: str, held: dict[str, str]) -> None:
    if held.get(quote_id, digest) != digest:
        raise DataError.of(
            f"quote {quote_id}", value="two different contents", allowed="one content per id",
            fix="one of the two was changed by hand; compare both with their backups",
        )  # fmt: skip


def _two_answers(register: Register, shared: set[str]) -> Iterator[TwoAnswers]:
    """Yield quotes that got more than one answer, some of them from the other side."""
    answered = ("accepted", "declined")
    with register.reading() as connection:
        statement = (
            sa.select(EVENT).where(EVENT.c.state.in_(answered)).order_by(EVENT.c.step, EVENT.c.at)
        )
        by_quote: dict[str, list[Row]] = {}
        for row in connection.execute(statement).mappings():
            by_quote.setdefault(row["quote_id"], []).append(dict(row))
    for quote_id, events in by_quote.items():
        new = [event for event in events if event["id"] not in shared]
        meant = {(event["state"], event["option_id"]) for event in events}
        if new and len(meant) > 1:
            yield TwoAnswers(quote_id=quote_id, answers=tuple(map(_answer, events)))


def _answer(event: Row) -> str:
    option = f" {event['option_id']}" if event["option_id"] else ""
    return f"{event['state']}{option} by {event['by_name']} at {event['at']}"


def _batches(ids: Sequence[str]) -> Iterator[Sequence[str]]:
    for start in range(0, len(ids), _BATCH):
        yield ids[start : start + _BATCH]


def _backup_lines(register: Register) -> Iterator[str]:
    with register.reading() as connection:
        yield _line({"schema": _SCHEMA})
        for kind, table in _KINDS.items():
            for row in connection.execute(sa.select(table).order_by(table.c.id)).mappings():
                yield _line({kind: {name: _written(value) for name, value in row.items()}})


def _written(value: Any) -> Any:
    return base64.b64encode(value).decode() if isinstance(value, bytes) else value


def _line(content: dict[str, Any]) -> str:
    return json.dumps(content, ensure_ascii=False, separators=(",", ":")) + "\n"


def _read_backup(path: Path) -> dict[str, list[Row]]:
    try:
        text = path.read_text(encoding="utf-8")
    except FileNotFoundError:
        raise InputError.of("backup", value=f"{path}, missing", allowed="an existing file",
                            fix="check the name") from None  # fmt: skip
    except (OSError, UnicodeDecodeError) as trouble:
        raise _no_backup(path, 0, str(trouble)) from None
    *lines, end = text.splitlines(keepends=True) or [""]
    rows: dict[str, list[Row]] = {kind: [] for kind in _KINDS}
    for number, line in enumerate([*lines, end], start=1):
        try:
            ((kind, content),) = json.loads(line).items()
        except (json.JSONDecodeError, ValueError, AttributeError):
            raise _no_backup(path, number, "a line that cannot be read") from None
        if number == 1 and (kind, content) != ("schema", _SCHEMA):
            raise _no_backup(path, 1, f"a file that does not begin with {_SCHEMA}")
        if kind in rows:
            rows[kind].append(_row(kind, content, path, number))
    digest = hashlib.sha256("".join(lines).encode()).hexdigest()
    if json.loads(end) != {"end": digest}:
        raise _no_backup(path, len(lines) + 1, "cut short or changed")
    return rows


def _row(kind: str, content: Any, path: Path, number: int) -> Row:
    table = _KINDS[kind]
    if kind == "quote" and isinstance(content, dict):
        content = dict.fromkeys(_LATER) | content
    if not isinstance(content, dict) or set(content) != set(table.c.keys()):
        raise _no_backup(path, number, "a row with other fields than this version has")
    for column in table.c:
        if isinstance(column.type, sa.LargeBinary) and content[column.name] is not None:
            content[column.name] = base64.b64decode(content[column.name])
    return content


def _no_backup(path: Path, line: int, why: str) -> InputError:
    return InputError.of("backup", value=why, allowed="a whole file of: heatersel register export",
                         fix="take another backup; nothing was imported", file=str(path),
                         line=line)  # fmt: skip
