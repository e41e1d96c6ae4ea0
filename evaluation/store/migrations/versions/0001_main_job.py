"""The main job: trial book, panel, sessions, key, ballots, log, doors."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001_main_job"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "attempts",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("door", sa.Text(), nullable=False),
        sa.Column("ok", sa.Boolean(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_attempts")),
    )
    op.create_index("ix_attempts_door_at", "attempts", ["door", "at"], unique=False)
    op.create_table(
        "briefs",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_briefs")),
    )
    op.create_table(
        "panelists",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("alias", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("active", sa.Boolean(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_panelists")),
    )
    op.create_index(
        "ix_panelists_active_alias",
        "panelists",
        ["alias"],
        unique=True,
        sqlite_where=sa.text("active"),
        postgresql_where=sa.text("active"),
    )
    op.create_table(
        "settings",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_settings")),
    )
    op.create_table(
        "trials",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("brief_id", sa.Text(), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("parent_id", sa.Text(), nullable=True),
        sa.Column("changed", sa.Text(), nullable=False),
        sa.Column("strength_percent", sa.Text(), nullable=True),
        sa.Column("mixed_on", sa.Date(), nullable=True),
        sa.Column("diluted_on", sa.Date(), nullable=True),
        sa.Column("batch", sa.Text(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name=op.f("fk_trials_brief_id")),
        sa.ForeignKeyConstraint(["parent_id"], ["trials.id"], name=op.f("fk_trials_parent_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_trials")),
        sa.UniqueConstraint("brief_id", "label", name=op.f("uq_trials_brief_id_label")),
    )
    op.create_table(
        "sessions",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("brief_id", sa.Text(), nullable=False),
        sa.Column("first_trial_id", sa.Text(), nullable=False),
        sa.Column("second_trial_id", sa.Text(), nullable=False),
        sa.Column("plan", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("sealed_at", sa.BigInteger(), nullable=True),
        sa.Column("sealed_hash", sa.Text(), nullable=False),
        sa.Column("commitment", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["brief_id"], ["briefs.id"], name=op.f("fk_sessions_brief_id")),
        sa.ForeignKeyConstraint(["first_trial_id"], ["trials.id"], name=op.f("fk_sessions_first_trial_id")),
        sa.ForeignKeyConstraint(["second_trial_id"], ["trials.id"], name=op.f("fk_sessions_second_trial_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sessions")),
    )
    op.create_index(op.f("ix_sessions_brief_id"), "sessions", ["brief_id"], unique=False)
    op.create_table(
        "ballots",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("seat", sa.Integer(), nullable=False),
        sa.Column("panelist_id", sa.Text(), nullable=True),
        sa.Column("issue", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.Text(), nullable=True),
        sa.Column("finished_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(["panelist_id"], ["panelists.id"], name=op.f("fk_ballots_panelist_id")),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_ballots_session_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_ballots")),
        sa.UniqueConstraint("session_id", "seat", name=op.f("uq_ballots_session_id_seat")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_ballots_token_hash")),
    )
    op.create_index(op.f("ix_ballots_panelist_id"), "ballots", ["panelist_id"], unique=False)
    op.create_table(
        "heads",
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_heads_session_id")),
        sa.PrimaryKeyConstraint("session_id", name=op.f("pk_heads")),
    )
    op.create_table(
        "keys",
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("seed", sa.Text(), nullable=False),
        sa.Column("first_letter", sa.Text(), nullable=False),
        sa.Column("second_letter", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_keys_session_id")),
        sa.PrimaryKeyConstraint("session_id", name=op.f("pk_keys")),
    )
    op.create_table(
        "personal_texts",
        sa.Column("digest", sa.Text(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("panelist_id", sa.Text(), nullable=True),
        sa.Column("salt", sa.Text(), nullable=True),
        sa.Column("text", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["panelist_id"], ["panelists.id"], name=op.f("fk_personal_texts_panelist_id")),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_personal_texts_session_id")),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_personal_texts")),
    )
    op.create_index(op.f("ix_personal_texts_panelist_id"), "personal_texts", ["panelist_id"], unique=False)
    op.create_index(op.f("ix_personal_texts_session_id"), "personal_texts", ["session_id"], unique=False)
    op.create_table(
        "records",
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("sequence", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("hash", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_records_session_id")),
        sa.PrimaryKeyConstraint("session_id", "sequence", name=op.f("pk_records")),
    )
    op.create_table(
        "servings",
        sa.Column("id", sa.Text(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("seat", sa.Integer(), nullable=False),
        sa.Column("place", sa.Integer(), nullable=False),
        sa.Column("age_seconds", sa.Integer(), nullable=False),
        sa.Column("replicate", sa.Integer(), nullable=False),
        sa.Column("codes", sa.Text(), nullable=False),
        sa.Column("spare", sa.Boolean(), nullable=False),
        sa.Column("void", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_servings_session_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_servings")),
        sa.UniqueConstraint("session_id", "position", name=op.f("uq_servings_session_id_position")),
    )
    op.create_table(
        "answers",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("ballot_id", sa.Text(), nullable=False),
        sa.Column("serving_id", sa.Text(), nullable=False),
        sa.Column("serving_ref", sa.Text(), nullable=True),
        sa.Column("question", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("text_digest", sa.Text(), nullable=True),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("final", sa.Boolean(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=True),
        sa.CheckConstraint("coalesce(serving_ref, '') = serving_id", name=op.f("ck_answers_serving_ref")),
        sa.ForeignKeyConstraint(["ballot_id"], ["ballots.id"], name=op.f("fk_answers_ballot_id")),
        sa.ForeignKeyConstraint(["serving_ref"], ["servings.id"], name=op.f("fk_answers_serving_ref")),
        sa.ForeignKeyConstraint(
            ["session_id", "sequence"],
            ["records.session_id", "records.sequence"],
            name=op.f("fk_answers_session_id_sequence"),
        ),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_answers_session_id")),
        sa.ForeignKeyConstraint(["text_digest"], ["personal_texts.digest"], name=op.f("fk_answers_text_digest")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_answers")),
    )
    op.create_index(
        "ix_answers_one_final",
        "answers",
        ["ballot_id", "serving_id", "question"],
        unique=True,
        sqlite_where=sa.text("final"),
        postgresql_where=sa.text("final"),
    )
    op.create_index("ix_answers_session_id", "answers", ["session_id"], unique=False)
    op.create_table(
        "deviations",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("session_id", sa.Text(), nullable=False),
        sa.Column("serving_id", sa.Text(), nullable=False),
        sa.Column("serving_ref", sa.Text(), nullable=True),
        sa.Column("seat", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("text_digest", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.CheckConstraint("coalesce(serving_ref, '') = serving_id", name=op.f("ck_deviations_serving_ref")),
        sa.ForeignKeyConstraint(["serving_ref"], ["servings.id"], name=op.f("fk_deviations_serving_ref")),
        sa.ForeignKeyConstraint(
            ["session_id", "sequence"],
            ["records.session_id", "records.sequence"],
            name=op.f("fk_deviations_session_id_sequence"),
        ),
        sa.ForeignKeyConstraint(["session_id"], ["sessions.id"], name=op.f("fk_deviations_session_id")),
        sa.ForeignKeyConstraint(["text_digest"], ["personal_texts.digest"], name=op.f("fk_deviations_text_digest")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deviations")),
    )
    op.create_index(op.f("ix_deviations_session_id"), "deviations", ["session_id"], unique=False)
    op.create_table(
        "groupings",
        sa.Column("serving_id", sa.Text(), nullable=False),
        sa.Column("pattern", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["serving_id"], ["servings.id"], name=op.f("fk_groupings_serving_id")),
        sa.PrimaryKeyConstraint("serving_id", name=op.f("pk_groupings")),
    )
    op.create_table(
        "key_orders",
        sa.Column("serving_id", sa.Text(), nullable=False),
        sa.Column("trials", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["serving_id"], ["servings.id"], name=op.f("fk_key_orders_serving_id")),
        sa.PrimaryKeyConstraint("serving_id", name=op.f("pk_key_orders")),
    )
    op.create_table(
        "visits",
        sa.Column("token_hash", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("ballot_id", sa.Text(), nullable=True),
        sa.Column("began_at", sa.BigInteger(), nullable=False),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        sa.Column("ended_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(["ballot_id"], ["ballots.id"], name=op.f("fk_visits_ballot_id")),
        sa.PrimaryKeyConstraint("token_hash", name=op.f("pk_visits")),
    )
    op.create_index(op.f("ix_visits_ballot_id"), "visits", ["ballot_id"], unique=False)
