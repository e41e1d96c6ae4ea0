"""Formulas of the trial book: parts, lots, accords beside what the skin gate asked for; when a material is smelt.

Lines entered for skin were shares in percent: they become parts of 100, so that the gate finds the shares it found.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006_formulas"
down_revision = "0005_dips"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "formulas",
        sa.Column("trial_id", sa.Text(), nullable=False),
        sa.Column("out_of", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["trial_id"], ["trials.id"], name=op.f("fk_formulas_trial_id")),
        sa.PrimaryKeyConstraint("trial_id", name=op.f("pk_formulas")),
    )
    op.create_table(
        "formula_accords",
        sa.Column("trial_id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("within", sa.Text(), nullable=False),
        sa.Column("parts", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["trial_id"], ["formulas.trial_id"], name=op.f("fk_formula_accords_trial_id")),
        sa.PrimaryKeyConstraint("trial_id", "name", name=op.f("pk_formula_accords")),
    )
    op.execute("ALTER TABLE formula_lines RENAME COLUMN share_percent TO parts")
    for name in ("lot", "accord"):
        op.add_column("formula_lines", sa.Column(name, sa.Text(), server_default=sa.text("''"), nullable=False))
    op.add_column("materials", sa.Column("solvent", sa.Boolean(), server_default=sa.false(), nullable=False))
    for name in ("from_minutes", "to_minutes"):
        op.add_column("materials", sa.Column(name, sa.Integer(), nullable=True))
    op.execute("INSERT INTO formulas (trial_id, out_of, at) SELECT DISTINCT trial_id, '100', 0 FROM formula_lines")
