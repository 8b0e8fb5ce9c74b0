"""Documents as they were printed, reviews, and the accounts of a company server."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"

_GUARDED = ("quote_review", "trail")


def upgrade() -> None:
    """Add the columns and tables."""
    op.add_column("quote", sa.Column("document", sa.LargeBinary))
    op.add_column("quote", sa.Column("document_digest", sa.String(64)))
    op.create_table(
        "quote_review",
        sa.Column("id", sa.String(36), primary_key=True),
        sa.Column("quote_id", sa.String(36), sa.ForeignKey("quote.id"), nullable=False),
        sa.Column("step", sa.Integer, nullable=False),
        sa.Column("verdict", sa.String(12), nullable=False),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("by_name", sa.String(80), nullable=False),
        sa.Column("note", sa.String(400), nullable=False),
        sa.CheckConstraint("verdict in ('approved', 'returned')", name="ck_quote_review_verdict"),
    )
    op.create_index("ix_quote_review_quote_id_step", "quote_review", ["quote_id", "step"])
    op.create_table(
        "account",
        sa.Column("name", sa.String(80), primary_key=True),
        sa.Column("role", sa.String(12), nullable=False),
        sa.Column("password", sa.String(200), nullable=False),
        sa.Column("active", sa.Boolean, nullable=False),
        sa.Column("failures", sa.Integer, nullable=False),
        sa.Column("rests_until", sa.String(32), nullable=False),
        sa.CheckConstraint("role in ('plumber', 'reviewer', 'manager')", name="ck_account_role"),
    )
    op.create_table(
        "session",
        sa.Column("key", sa.String(64), primary_key=True),
        sa.Column("name", sa.String(80), sa.ForeignKey("account.name"), nullable=False),
        sa.Column("guard", sa.String(64), nullable=False),
        sa.Column("began", sa.String(32), nullable=False),
        sa.Column("seen", sa.String(32), nullable=False),
    )
    op.create_index("ix_session_name", "session", ["name"])
    op.create_table(
        "trail",
        sa.Column("id", sa.String(36), primary_key=True),
        sa.Column("at", sa.String(32), nullable=False),
        sa.Column("by_name", sa.String(80), nullable=False),
        sa.Column("action", sa.String(40), nullable=False),
        sa.Column("subject", sa.String(200), nullable=False),
        sa.Column("address", sa.String(60), nullable=False),
    )
    op.create_index("ix_trail_at", "trail", ["at"])
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
