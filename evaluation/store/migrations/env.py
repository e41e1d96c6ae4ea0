"""Run by Alembic: the connection, already in our transaction, comes from evaluation/store/schema.py."""

from __future__ import annotations

from alembic import context

from evaluation.store.rows import metadata

_given = context.config.attributes
context.configure(
    connection=_given["connection"],
    version_table=_given["version_table"],
    target_metadata=metadata,
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
