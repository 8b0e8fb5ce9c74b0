"""The rows of a register: a sealed quote, an event, and the state that follows from them."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from heatersel.errors import DataError, InputError
from heatersel.quote.fingerprint import canonical_json

__all__ = [
    "CHANGES",
    "Entry",
    "Event",
    "Row",
    "document_in",
    "opened",
    "sealed_quote",
    "state_on",
    "utc_text",
]

CHANGES = {
    "offered": ("accepted", "declined", "replaced"),
    "declined": ("accepted", "replaced"),  # people change their minds
    "accepted": ("declined", "replaced"),
    "expired": ("declined", "replaced"),
    "replaced": (),
}
"""What may follow each state."""

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that happened to a quote.

    Parameters
    ----------
    id, quote_id : str
        Own id, and the quote it is about.
    step : int
        One more than the last step known where it was entered: 1 for the offer. It orders the
        history also where clocks disagree; steps that two registers added apart are ordered by
        time.
    state : str
        "offered", "accepted", "declined" or "replaced".
    at : str
        When, UTC.
    by_name : str
        Who entered it.
    option_id : str
        Option that was accepted, else empty.
    note : str
        Free text.
    replaced_by : str or None
        The quote that took its place.
    """

    id: str
    quote_id: str
    step: int
    state: str
    at: str
    by_name: str
    option_id: str = ""
    note: str = ""
    replaced_by: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A stored quote with its history.

    Parameters
    ----------
    id : str
        In every register it is merged into.
    record : mapping
        The quote, as :func:`heatersel.quote.record.quote_record` made it.
    state : str
        State on the day that was asked for.
    events : tuple of Event
        Oldest first.
    """

    id: str
    record: Row
    state: str
    events: tuple[Event, ...]


def utc_text(at: dt.datetime) -> str:
    """Return a moment as a text that sorts as it follows; raise InputError without a zone."""
    if at.tzinfo is None:
        raise InputError.of("at", value=str(at), allowed="a time with its zone")
    return at.astimezone(dt.UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def sealed_quote(
    quote_id: str, record: Row, stored_at: str, document: Row | None = None
) -> dict[str, Any]:
    """Return a quote as the row that holds it: content, digests, and what is searched for."""
    content = canonical_json(record).encode()
    printed = None if document is None else canonical_json(document).encode()
    best = next(o for o in record["offers"] if o["option"] == record["recommended"])
    total = best["total"]
    policy, book = record["policy"], record["price_book"]
    return {
        "id": quote_id, "digest": hashlib.sha256(content).hexdigest(),
        "content_digest": record["content_digest"], "body": zlib.compress(content, 6),
        "stored_at": stored_at, "date": record["date"], "valid_until": record["valid_until"],
        "by_name": record["by"][:80], "title": record["title"][:200],
        "place": record["place"][:80], "policy": f"{policy['title']} {policy['version']}"[:200],
        "price_book": f"{book['title']} {book['version']}"[:200],
        "recommended": record["recommended"][:80],
        "total_cents": None if total is None else round(total * 100),
        "currency": record["currency"],
        "document": None if printed is None else zlib.compress(printed, 6),
        "document_digest": None if printed is None else hashlib.sha256(printed).hexdigest(),
    }  # fmt: skip


def opened(row: Row) -> dict[str, Any]:
    """Return the record in a row; raise DataError if it is not what was stored."""
    record: dict[str, Any] = json.loads(_unsealed(row, "body", "digest"))
    return record


def document_in(row: Row) -> dict[str, Any] | None:
    """Return the document data in a row, None if none was kept; raise DataError if damaged."""
    if row["document"] is None:
        return None
    data: dict[str, Any] = json.loads(_unsealed(row, "document", "document_digest"))
    return data


def _unsealed(row: Row, name: str, digest: str) -> bytes:
    try:
        content = zlib.decompress(row[name])
    except zlib.error:
        content = b""
    if hashlib.sha256(content).hexdigest() != row[digest]:
        raise DataError.of(
            f"quote {row['id']}", value="damaged", allowed="the content that was stored",
            fix="bring it back from a backup: heatersel register import BACKUP",
        )  # fmt: skip
    return content


def state_on(events: Sequence[Event], valid_until: str, on: dt.date) -> str:
    """Return the state of a quote on a day."""
    last = max(events, key=lambda event: (event.step, event.at, event.id), default=None)
    state = "offered" if last is None else last.state
    return "expired" if state == "offered" and valid_until < on.isoformat() else state
