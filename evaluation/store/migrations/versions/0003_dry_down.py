"""The dry-down, skin and decisions: timetables, dips, stops, formulas, skin limits, patches, targets and records."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003_dry_down"
down_revision = "0002_small_panels"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("trials", sa.Column("skin_strength_percent", sa.Text(), nullable=True))
    op.add_column("keys", sa.Column("further_letters", sa.Text(), nullable=True))
    op.add_column("servings", sa.Column("medium", sa.Text(), server_default="strip", nullable=False))
    op.add_column("servings", sa.Column("sites", sa.Text(), server_default=sa.text("''"), nullable=False))
    op.create_index(
        "ix_answers_drafts",
        "answers",
        ["ballot_id", "serving_id"],
        unique=False,
        sqlite_where=sa.text("final = 0"),
        postgresql_where=sa.text("NOT final"),
    )
    op.create_table(
        "brief_sheets",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("brief_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name=op.f("fk_brief_sheets_brief_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_brief_sheets")),
    )
    op.create_index(op.f("ix_brief_sheets_brief_id"), "brief_sheets", ["brief_id"])
    op.create_table(
        "materials",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("volatility", sa.Text(), nullable=False),
        sa.Column("natural", sa.Boolean(), nullable=False),
        sa.Column("phototoxic", sa.Boolean(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.UniqueConstraint("name", name=op.f("uq_materials_name")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_materials")),
    )
    op.create_table(
        "skin_limits",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("material_id", sa.Text(), nullable=False),
        sa.Column("percent", sa.Text(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("dated_on", sa.Date(), nullable=False),
        sa.Column("kind_of_use", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["material_id"], ["materials.id"], name=op.f("fk_skin_limits_material_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_skin_limits")),
    )
    op.create_index(op.f("ix_skin_limits_material_id"), "skin_limits", ["material_id"])
    op.create_table(
        "formula_lines",
        sa.Column("trial_id", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("material_id", sa.Text(), nullable=False),
        sa.Column("share_percent", sa.Text(), nullable=False),
        sa.Column("stock_percent", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["material_id"], ["materials.id"], name=op.f("fk_formula_lines_material_id")),
        sa.ForeignKeyConstraint(["trial_id"], ["trials.id"], name=op.f("fk_formula_lines_trial_id")),
        sa.PrimaryKeyConstraint("trial_id", "position", name=op.f("pk_formula_lines")),
    )
    op.create_table(
        "skin_bars",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("trial_id", sa.Text(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_skin_bars_session_id")),
        sa.ForeignKeyConstraint(["trial_id"], ["trials.id"], name=op.f("fk_skin_bars_trial_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_skin_bars")),
    )
    op.create_index(op.f("ix_skin_bars_trial_id"), "skin_bars", ["trial_id"])
    op.create_table(
        "skin_facts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("panelist_id", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["panelist_id"], ["panelists.id"], name=op.f("fk_skin_facts_panelist_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_skin_facts")),
    )
    op.create_index(op.f("ix_skin_facts_panelist_id"), "skin_facts", ["panelist_id"])
    op.create_table(
        "patches",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("panelist_id", sa.Text(), nullable=False),
        sa.Column("trial_id", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("site", sa.Text(), nullable=False),
        sa.Column("strength_percent", sa.Text(), nullable=False),
        sa.Column("applied_at", sa.BigInteger(), nullable=False),
        sa.Column("read_at", sa.BigInteger(), nullable=True),
        sa.Column("result", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["panelist_id"], ["panelists.id"], name=op.f("fk_patches_panelist_id")),
        sa.ForeignKeyConstraint(["trial_id"], ["trials.id"], name=op.f("fk_patches_trial_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_patches")),
    )
    op.create_index(op.f("ix_patches_panelist_id"), "patches", ["panelist_id"])
    op.create_table(
        "timetables",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_timetables_session_id")),
        sa.ForeignKeyConstraint(
            ["session_id", "sequence"],
            ["records.session_id", "records.sequence"],
            name=op.f("fk_timetables_session_id_sequence"),
        ),
        sa.UniqueConstraint("session_id", "revision", name=op.f("uq_timetables_session_id_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_timetables")),
    )
    op.create_table(
        "dips",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("serving_id", sa.Text(), nullable=False),
        sa.Column("dipped_at", sa.BigInteger(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["serving_id"], ["servings.id"], name=op.f("fk_dips_serving_id")),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_dips_session_id")),
        sa.ForeignKeyConstraint(
            ["session_id", "sequence"],
            ["records.session_id", "records.sequence"],
            name=op.f("fk_dips_session_id_sequence"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_dips")),
    )
    op.create_index(op.f("ix_dips_session_id"), "dips", ["session_id"])
    op.create_table(
        "stops",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("ballot_id", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["ballot_id"], ["ballots.id"], name=op.f("fk_stops_ballot_id")),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_stops_session_id")),
        sa.ForeignKeyConstraint(
            ["session_id", "sequence"],
            ["records.session_id", "records.sequence"],
            name=op.f("fk_stops_session_id_sequence"),
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stops")),
    )
    op.create_index(op.f("ix_stops_session_id"), "stops", ["session_id"])
    op.create_table(
        "decisions",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("brief_id", sa.Text(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("trial_id", sa.Text(), nullable=False),
        sa.Column("word", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("evidence", sa.Text(), nullable=False),
        sa.Column("supersedes", sa.Text(), nullable=True),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("previous", sa.Text(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name=op.f("fk_decisions_brief_id")),
        sa.ForeignKeyConstraint(["supersedes"], ["decisions.id"], name=op.f("fk_decisions_supersedes")),
        sa.ForeignKeyConstraint(["trial_id"], ["trials.id"], name=op.f("fk_decisions_trial_id")),
        sa.UniqueConstraint("brief_id", "number", name=op.f("uq_decisions_brief_id_number")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decisions")),
    )
