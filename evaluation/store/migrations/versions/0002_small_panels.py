"""Small panels: a trial in a second vial for null sets, and the marks of solo sessions."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002_small_panels"
down_revision = "0001_main_job"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("keys", sa.Column("first_again_letter", sa.Text(), nullable=True))
    op.add_column("keys", sa.Column("second_again_letter", sa.Text(), nullable=True))
    op.create_table(
        "marks",
        sa.Column("serving_id", sa.Text(), nullable=False),
        sa.Column("trials", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["serving_id"], ["servings.id"], name=op.f("fk_marks_serving_id")),
        sa.PrimaryKeyConstraint("serving_id", name=op.f("pk_marks")),
    )
