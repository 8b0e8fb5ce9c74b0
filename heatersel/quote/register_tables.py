"""The tables of the register: quotes that never change, and what became of them.

Times are UTC texts that sort as they follow; money is whole cents; a quote's content is its
record as compressed text, with a digest that every reading checks.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
)

__all__ = ["ACCOUNT", "EVENT", "META", "METADATA", "QUOTE", "REVIEW", "SESSION", "STATES", "TRAIL"]

STATES = ("offered", "accepted", "declined", "replaced")
"""What an event may say; expired is not stored, it follows from the date."""

METADATA = MetaData(
    naming_convention={"ix": "ix_%(table_name)s_%(column_0_name)s", "pk": "pk_%(table_name)s",
                       "fk": "fk_%(table_name)s_%(column_0_name)s",
                       "ck": "ck_%(table_name)s_%(constraint_name)s"}
)  # fmt: skip

META = Table(
    "register_meta", METADATA,
    Column("name", String(40), primary_key=True),
    Column("value", Text, nullable=False),
)  # fmt: skip

QUOTE = Table(
    "quote", METADATA,
    Column("id", String(36), primary_key=True),
    Column("digest", String(64), nullable=False),
    Column("content_digest", String(64), nullable=False, index=True),
    Column("body", LargeBinary, nullable=False),
    Column("stored_at", String(32), nullable=False, index=True),
    Column("date", String(10), nullable=False, index=True),
    Column("valid_until", String(10), nullable=False),
    Column("by_name", String(80), nullable=False, index=True),
    Column("title", String(200), nullable=False),
    Column("place", String(80), nullable=False),
    Column("policy", String(200), nullable=False),
    Column("price_book", String(200), nullable=False),
    Column("recommended", String(80), nullable=False),
    Column("total_cents", Integer),
    Column("currency", String(3), nullable=False),
    Column("document", LargeBinary),
    Column("document_digest", String(64)),
)  # fmt: skip

EVENT = Table(
    "quote_event", METADATA,
    Column("id", String(36), primary_key=True),
    Column("quote_id", String(36), ForeignKey("quote.id"), nullable=False),
    Column("step", Integer, nullable=False),
    Column("state", String(12), nullable=False),
    Column("at", String(32), nullable=False),
    Column("by_name", String(80), nullable=False),
    Column("option_id", String(80), nullable=False, default=""),
    Column("note", String(400), nullable=False, default=""),
    Column("replaced_by", String(36)),
    CheckConstraint(
        "state in (" + ", ".join(f"'{state}'" for state in STATES) + ")", name="state"
    ),
)  # fmt: skip
Index("ix_quote_event_quote_id_step", EVENT.c.quote_id, EVENT.c.step)

REVIEW = Table(
    "quote_review", METADATA,
    Column("id", String(36), primary_key=True),
    Column("quote_id", String(36), ForeignKey("quote.id"), nullable=False),
    Column("step", Integer, nullable=False),
    Column("verdict", String(12), nullable=False),
    Column("at", String(32), nullable=False),
    Column("by_name", String(80), nullable=False),
    Column("note", String(400), nullable=False, default=""),
    CheckConstraint("verdict in ('approved', 'returned')", name="verdict"),
)  # fmt: skip
Index("ix_quote_review_quote_id_step", REVIEW.c.quote_id, REVIEW.c.step)

ACCOUNT = Table(
    "account", METADATA,
    Column("name", String(80), primary_key=True),
    Column("role", String(12), nullable=False),
    Column("password", String(200), nullable=False),
    Column("active", Boolean, nullable=False),
    Column("failures", Integer, nullable=False),
    Column("rests_until", String(32), nullable=False),
    CheckConstraint("role in ('plumber', 'reviewer', 'manager')", name="role"),
)  # fmt: skip

SESSION = Table(
    "session", METADATA,
    Column("key", String(64), primary_key=True),
    Column("name", String(80), ForeignKey("account.name"), nullable=False, index=True),
    Column("guard", String(64), nullable=False),
    Column("began", String(32), nullable=False),
    Column("seen", String(32), nullable=False),
)  # fmt: skip

TRAIL = Table(
    "trail", METADATA,
    Column("id", String(36), primary_key=True),
    Column("at", String(32), nullable=False, index=True),
    Column("by_name", String(80), nullable=False),
    Column("action", String(40), nullable=False),
    Column("subject", String(200), nullable=False),
    Column("address", String(60), nullable=False),
)  # fmt: skip
