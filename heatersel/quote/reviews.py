"""The second look: somebody else approves a quote or gives it back, and when it may leave."""

from __future__ import annotations

import datetime as dt
import uuid
from dataclasses import dataclass

import sqlalchemy as sa

from heatersel.errors import InputError, UnknownChoiceError
from heatersel.quote.register import Register
from heatersel.quote.register_rows import Entry, utc_text
from heatersel.quote.register_tables import REVIEW

__all__ = [
    "VERDICTS",
    "Review",
    "Waiting",
    "check_may_leave",
    "may_leave",
    "review",
    "reviews_of",
    "waiting",
]

VERDICTS = ("approved", "returned")
_LONGEST_NOTE = 400
_MOST_WAITING = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """What somebody said to a quote of somebody else.

    Parameters
    ----------
    id, quote_id : str
        Own id, and the quote.
    step : int
        One more than the last review that was known.
    verdict : str
        "approved" or "returned".
    at, by_name, note : str
        When (UTC), who, and why.
    """

    id: str
    quote_id: str
    step: int
    verdict: str
    at: str
    by_name: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A quote that waits for somebody to look at it.

    Parameters
    ----------
    id, title, date, by : str
        The quote, and who made it when.
    reasons : tuple of str
        Why the policy wants a second look; empty where every quote has to be reviewed.
    returned_by : str
        Who gave it back last; empty if nobody has looked yet.
    """

    id: str
    title: str
    date: str
    by: str
    reasons: tuple[str, ...]
    returned_by: str


def review(
    register: Register, entry: Entry, verdict: str, *, at: dt.datetime, by: str, note: str = ""
) -> Review:
    """Add a review of a quote.

    Parameters
    ----------
    register : Register
        Where the quote is stored.
    entry : Entry
        The quote.
    verdict : str
        "approved" or "returned".
    at, by : datetime.datetime, str
        When and who; nobody reviews a quote of their own.
    note : str
        Up to 400 characters; needed to give a quote back.

    Raises
    ------
    InputError
        If verdict, reviewer or note cannot be.
    """
    if verdict not in VERDICTS:
        raise UnknownChoiceError.of("verdict", value=verdict, allowed=" or ".join(VERDICTS),
                                    fix="use one of these words")  # fmt: skip
    if not by.strip() or by.strip() == entry.record["by"]:
        raise InputError.of("reviewer", value=by or "nobody named", fix="ask a colleague",
                            allowed="somebody other than who made the quote")  # fmt: skip
    if len(note) > _LONGEST_NOTE or (verdict == "returned" and not note.strip()):
        raise InputError.of("note", value=f"{len(note)} characters", fix="say what has to change",
                            allowed=f"1 to {_LONGEST_NOTE} to give a quote back")  # fmt: skip
    with register.writing() as connection:
        last = sa.select(sa.func.max(REVIEW.c.step)).where(REVIEW.c.quote_id == entry.id)
        step = int(connection.scalar(last) or 0) + 1
        found = Review(id=str(uuid.uuid4()), quote_id=entry.id, step=step, verdict=verdict,
                       at=utc_text(at), by_name=by.strip()[:80], note=note.strip())  # fmt: skip
        values = {name: getattr(found, name) for name in Review.__slots__}
        connection.execute(REVIEW.insert(), values)
    return found


def reviews_of(register: Register, quote_id: str) -> tuple[Review, ...]:
    """Return the reviews of a quote, the oldest first."""
    order = (
        sa.select(REVIEW)
        .where(REVIEW.c.quote_id == quote_id)
        .order_by(REVIEW.c.step, REVIEW.c.at, REVIEW.c.id)
    )
    with register.reading() as connection:
        return tuple(Review(**row) for row in connection.execute(order).mappings())


def waiting(register: Register, on: dt.date, name: str) -> tuple[Waiting, ...]:
    """Return open quotes of others that nobody has approved and the policy wants looked at.

    Parameters
    ----------
    register : Register
        Where the quotes are stored.
    on : datetime.date
        Day for which states are told.
    name : str
        Who asks; quotes of their own are for a colleague.

    Returns
    -------
    tuple of Waiting
        The longest waiting first, among the newest 200 open quotes.
    """
    found = []
    for row in reversed(register.search(on=on, state="offered", limit=_MOST_WAITING)):
        reviews = reviews_of(register, row["id"])
        if row["by_name"] == name or (reviews and reviews[-1].verdict == "approved"):
            continue
        record = register.get(row["id"], on).record
        if record["second_opinion"] or record.get("reviewed_only", False):
            found.append(Waiting(
                id=row["id"], title=record["title"] or record["place"], date=record["date"],
                by=record["by"], reasons=tuple(record["second_opinion"]),
                returned_by=reviews[-1].by_name if reviews else "",
            ))  # fmt: skip
    return tuple(found)


def may_leave(entry: Entry, reviews: tuple[Review, ...]) -> bool:
    """Return whether a quote may leave as a document: free, or approved last."""
    if not entry.record.get("reviewed_only", False):
        return True
    return bool(reviews) and reviews[-1].verdict == "approved"


def check_may_leave(register: Register, entry: Entry) -> None:
    """Raise InputError where the policy lets only reviewed quotes leave and this one is not."""
    if not may_leave(entry, reviews_of(register, entry.id)):
        raise InputError.of(
            "document", value=f"quote {entry.id[:8]}, not approved",
            allowed="a quote that a colleague has approved, as the policy says",
            fix=f"have it looked at: heatersel register review {entry.id[:8]} approved --by NAME",
        )  # fmt: skip
