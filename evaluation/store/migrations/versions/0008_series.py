"""Series: what adds up over sittings, sealed before the first of them, in a chain of its own for each brief."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0008_series"
down_revision = "0007_bottles"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "series",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("brief_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("sealed_at", sa.BigInteger(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name=op.f("fk_series_brief_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_series")),
        sa.UniqueConstraint("brief_id", "number", name=op.f("uq_series_brief_id_number")),
    )
    op.create_table(
        "series_log",
        sa.Column("brief_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("series_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("previous", sa.Text(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name=op.f("fk_series_log_brief_id")),
        sa.ForeignKeyConstraint(["series_id"], ["series.id"], name=op.f("fk_series_log_series_id")),
        sa.PrimaryKeyConstraint("brief_id", "number", name=op.f("pk_series_log")),
    )
    op.create_index(op.f("ix_series_log_series_id"), "series_log", ["series_id"])
    with op.batch_alter_table("sessions") as sessions:
        sessions.add_column(sa.Column("series_id", sa.Text(), nullable=True))
        sessions.create_foreign_key(op.f("fk_sessions_series_id"), "series", ["series_id"], ["id"])
