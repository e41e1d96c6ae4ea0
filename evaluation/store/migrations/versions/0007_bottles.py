"""Bottles: what a trial said of its one weighing becomes its first bottle, which bears the trial's id.

Sealed plans name trials by these ids and are so read as sessions of first bottles; nothing of them is written anew.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0007_bottles"
down_revision = "0006_formulas"
branch_labels = None
depends_on = None

_OF_WEIGHING = ("strength_percent", "skin_strength_percent", "mixed_on", "diluted_on", "batch")


def upgrade() -> None:
    op.create_table(
        "bottles",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("trial_id", sa.Text(), nullable=False),
        sa.Column("mark", sa.Text(), nullable=False),
        sa.Column("strength_percent", sa.Text(), nullable=True),
        sa.Column("skin_strength_percent", sa.Text(), nullable=True),
        sa.Column("mixed_on", sa.Date(), nullable=True),
        sa.Column("diluted_on", sa.Date(), nullable=True),
        sa.Column("batch", sa.Text(), nullable=False),
        sa.Column("lots", sa.Text(), nullable=False),
        sa.Column("stored", sa.Text(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["trial_id"], ["trials.id"], name=op.f("fk_bottles_trial_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bottles")),
        sa.UniqueConstraint("trial_id", "mark", name=op.f("uq_bottles_trial_id_mark")),
    )
    taken = ", ".join(_OF_WEIGHING)
    op.execute(
        f"INSERT INTO bottles (id, trial_id, mark, lots, stored, made_at, {taken}) "
        f"SELECT id, id, '1', '', '', made_at, {taken} FROM trials"
    )
    for name in _OF_WEIGHING:
        op.drop_column("trials", name)
    with op.batch_alter_table("patches") as patches:
        patches.add_column(sa.Column("bottle_id", sa.Text(), nullable=True))
        patches.alter_column("formula", server_default=sa.text("''"))  # else it is copied in parentheses
        patches.create_foreign_key(op.f("fk_patches_bottle_id"), "bottles", ["bottle_id"], ["id"])
    op.execute("UPDATE patches SET bottle_id = trial_id")
