"""The first schema: quotes, what became of them, and a guard that neither is changed."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision: str | None = None

_GUARDED = ("quote", "quote_event")


def upgrade() -> None:
    """Create the tables and their guards."""
    op.create_table(
        "register_meta",
        sa.Column("name", sa.String(40), primary_key=True),
        sa.Column("value", sa.Text, nullable=False),
    )
    op.create_table(
        "quote",
        sa.Column("id", sa.String(36), primary_key=True),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("content_digest", sa.String(64), nullable=False),
        sa.Column("body", sa.LargeBinary, nullable=False),
        sa.Column("stored_at", sa.String(32), nullable=False),
        sa.Column("date", sa.String(10), nullable=False),
        sa.Column("valid_until", sa.String(10), nullable=False),
        sa.Column("by_name", sa.String(80), nullable=False),
        sa.Column("title", sa.String(200), nullable=False),
        sa.Column("place", sa.String(80), nullable=False),
        sa.Column("policy", sa.String(200), nullable=False),
        sa.Column("price_book", sa.String(200), nullable=False),
        sa.Column("recommended", sa.String(80), nullable=False),
        sa.Column("total_cents", sa.Integer),
        sa.Column("currency", sa.String(3), nullable=False),
    )
    for column in ("content_digest", "stored_at", "date", "by_name"):
        op.create_index(f"ix_quote_{column}", "quote", [column])
    op.create_table(
        "quote_event",
        sa.Column("id", sa.String(36), primary_key=True),
        sa.Column("quote_id", sa.String(36), sa.ForeignKey("quote.id"), nullable=False),
        sa.Column("step", sa.Integer, nullable=False),
        sa.Column("state", sa.String(12), nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("by_name", sa.String(80), nullable=False),
        sa.Column("option_id", sa.String(80), nullable=False),
        sa.Column("note", sa.String(400), nullable=False),
        sa.Column("replaced_by", sa.String(36)),
        sa.CheckConstraint(
            "state in ('offered', 'accepted', 'declined', 'replaced')",
            name="ck_quote_event_state",
        ),
    )
    op.create_index("ix_quote_event_quote_id_step", "quote_event", ["quote_id", "step"])
    for table in _GUARDED:
        _guard(table)


def _guard(table: str) -> None:
    """Let the database itself refuse to change or delete a row."""
    if op.get_bind().dialect.name == "sqlite":
        for action in ("update", "delete"):
            op.execute(
                f"create trigger no_{action}_of_{table} before {action} on {table} "
                f"begin select raise(abort, 'rows of {table} are never changed'); end"
            )
        return
    op.execute(
        f"create function no_change_of_{table}() returns trigger language plpgsql as "
        f"$$ begin raise exception 'rows of {table} are never changed'; end $$"
    )
    op.execute(
        f"create trigger no_change_of_{table} before update or delete or truncate on {table} "
        f"for each statement execute function no_change_of_{table}()"
    )
