"""The tables of the register: quotes that never change, and what became of them.

Times are UTC texts that sort as they follow; money is whole cents; a quote's content is its
record as compressed text, with a digest that every reading checks.
"""

from __future__ import annotations

from sqlalchemy import (
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

__all__ = ["EVENT", "META", "METADATA", "QUOTE", "STATES"]

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
