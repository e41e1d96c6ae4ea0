"""The order in which the strips of a set are dipped; empty, as for all sets drawn before: in tray order."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005_dips"
down_revision = "0004_skin_speaks_of_materials"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("servings", sa.Column("dips", sa.Text(), server_default=sa.text("''"), nullable=False))
