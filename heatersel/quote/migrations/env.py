"""Run the steps on the connection that the register hands over."""

from __future__ import annotations

from alembic import context

from heatersel.quote.register_tables import METADATA

context.configure(connection=context.config.attributes["connection"], target_metadata=METADATA)
with context.begin_transaction():
    context.run_migrations()
