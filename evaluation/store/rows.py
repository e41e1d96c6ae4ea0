"""The tables. Instants are whole milliseconds UTC, decimals are text, an id is random text.

Four tables stand apart on purpose: ``keys`` and ``key_orders`` are read by the verbs of ``key.py`` only, ``groupings``
by one verb of ``ballots.py``, and ``personal_texts`` can be emptied without touching what is sealed. A backup takes
them all, and lays what belongs to sessions that are not opened into a part of its own.
"""

from __future__ import annotations

from typing import Any, Final

from sqlalchemy import (
    BigInteger,
    Boolean,
    CheckConstraint,
    Column,
    Date,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    UniqueConstraint,
    false,
    text,
)

metadata: Final = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)


def _id() -> Column[str]:
    return Column("id", Text, primary_key=True)


def _words(name: str) -> Column[str]:
    return Column(name, Text, nullable=False)


def _count(name: str) -> Column[int]:
    return Column(name, Integer, nullable=False)


def _instant(name: str, *, nullable: bool = False) -> Column[int]:
    return Column(name, BigInteger, nullable=nullable)


def _yes(name: str) -> Column[bool]:
    return Column(name, Boolean, nullable=False)


def _refers_to(name: str, target: str, *, nullable: bool = False, **more: Any) -> Column[str]:
    return Column(name, Text, ForeignKey(target), nullable=nullable, **more)


# --- trial book and panel -------------------------------------------------------------------------------------

briefs: Final = Table("briefs", metadata, _id(), _words("title"), _words("text"), _instant("made_at"))

trials: Final = Table(
    "trials",
    metadata,
    _id(),
    _refers_to("brief_id", "briefs.id"),
    _words("label"),
    _refers_to("parent_id", "trials.id", nullable=True),
    _words("changed"),
    _instant("made_at"),
    UniqueConstraint("brief_id", "label"),
)

# What is smelt: weighings of a trial. The first of them has the id of its trial; plans name bottles by these ids.
bottles: Final = Table(
    "bottles",
    metadata,
    _id(),
    _refers_to("trial_id", "trials.id"),
    _words("mark"),
    Column("strength_percent", Text),
    Column("skin_strength_percent", Text),
    Column("mixed_on", Date),
    Column("diluted_on", Date),
    _words("batch"),
    _words("lots"),
    _words("stored"),
    _instant("made_at"),
    UniqueConstraint("trial_id", "mark"),
)

panelists: Final = Table(
    "panelists", metadata, _id(), _words("alias"), _words("note"), _yes("active"), _instant("made_at")
)
Index(
    "ix_panelists_active_alias",
    panelists.c.alias,
    unique=True,
    sqlite_where=text("active"),
    postgresql_where=text("active"),
)

# What a brief wants rated and aims at; written anew at every change, the latest of a kind counts.
brief_sheets: Final = Table(
    "brief_sheets",
    metadata,
    Column("id", Integer, primary_key=True),
    _refers_to("brief_id", "briefs.id", index=True),
    _words("kind"),
    _words("body"),  # canonical JSON
    _instant("at"),
)

# --- skin -----------------------------------------------------------------------------------------------------

materials: Final = Table(
    "materials",
    metadata,
    _id(),
    Column("name", Text, nullable=False, unique=True),
    _words("volatility"),
    _yes("natural"),
    _yes("phototoxic"),
    _words("note"),
    _instant("made_at"),
    Column("folded", Text, nullable=False, server_default=text("''")),  # what two names of one material share
    Column("solvent", Boolean, nullable=False, server_default=false()),
    Column("from_minutes", Integer, nullable=True),  # when it is smelt on a strip, if the user knows
    Column("to_minutes", Integer, nullable=True),
)
Index("ix_materials_folded", materials.c.folded, unique=True)

# A limit is never changed, only followed by another; so is what somebody said about their skin.
skin_limits: Final = Table(
    "skin_limits",
    metadata,
    Column("id", Integer, primary_key=True),
    _refers_to("material_id", "materials.id", index=True),
    _words("percent"),
    _words("document"),
    Column("dated_on", Date, nullable=False),
    _words("kind_of_use"),
    _instant("at"),
)

# A formula of a trial; written anew as a whole, never once a session with it is sealed.
formulas: Final = Table(
    "formulas",
    metadata,
    _refers_to("trial_id", "trials.id", primary_key=True),
    _words("out_of"),  # what the parts are said to add up to, "" where nobody said
    _instant("at"),  # 0: before formulas stood in the trial book
)

formula_accords: Final = Table(
    "formula_accords",
    metadata,
    _refers_to("trial_id", "formulas.trial_id", primary_key=True),
    Column("name", Text, primary_key=True),
    _words("within"),
    _words("parts"),  # "" for as many as its lines make
)

formula_lines: Final = Table(
    "formula_lines",
    metadata,
    _refers_to("trial_id", "trials.id", primary_key=True),
    Column("position", Integer, primary_key=True, autoincrement=False),
    _refers_to("material_id", "materials.id"),
    _words("parts"),
    _words("stock_percent"),
    Column("lot", Text, nullable=False, server_default=text("''")),
    Column("accord", Text, nullable=False, server_default=text("''")),
)

skin_bars: Final = Table(
    "skin_bars",
    metadata,
    Column("id", Integer, primary_key=True),
    _refers_to("trial_id", "trials.id", index=True),
    _refers_to("session_id", "sessions.id", nullable=True),
    _words("kind"),  # barred, or allowed again
    _words("reason"),
    _instant("at"),
)

skin_facts: Final = Table(
    "skin_facts",
    metadata,
    Column("id", Integer, primary_key=True),
    _refers_to("panelist_id", "panelists.id", index=True),
    _words("body"),  # canonical JSON
    _instant("at"),
)

patches: Final = Table(
    "patches",
    metadata,
    _id(),
    _refers_to("panelist_id", "panelists.id", index=True),
    _refers_to("trial_id", "trials.id"),
    _words("code"),
    _words("site"),
    _words("strength_percent"),
    _instant("applied_at"),
    Column("formula", Text, nullable=False, server_default=text("''")),  # as it was put on, canonical JSON; "" unknown
    _refers_to("bottle_id", "bottles.id", nullable=True),  # never empty, but a column could only be added so
)

# Appended, never changed: readings, cancelled patches, reactions, advice, decisions, and what else was said of skin. A
# row without a person is about materials, or about somebody who was erased.
skin_log: Final = Table(
    "skin_log",
    metadata,
    Column("id", Integer, primary_key=True),
    _words("kind"),
    _refers_to("panelist_id", "panelists.id", nullable=True, index=True),
    _words("body"),  # canonical JSON
    _instant("at"),
)

# --- series ---------------------------------------------------------------------------------------------------

# What adds up over sittings, sealed before the first of them; never changed.
series: Final = Table(
    "series",
    metadata,
    _id(),
    _refers_to("brief_id", "briefs.id"),
    _count("number"),  # in the brief, from 1
    _words("kind"),
    _words("body"),  # canonical JSON
    _instant("sealed_at"),
    _words("hash"),
    UniqueConstraint("brief_id", "number"),
)

# One chain a brief: what was sealed, and what was ended. Appended, never changed.
series_log: Final = Table(
    "series_log",
    metadata,
    _refers_to("brief_id", "briefs.id", primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    _refers_to("series_id", "series.id", index=True),
    _words("kind"),
    _words("body"),  # canonical JSON
    _instant("at"),
    _words("previous"),
    _words("hash"),
)

# --- sessions -------------------------------------------------------------------------------------------------

sessions: Final = Table(
    "sessions",
    metadata,
    _id(),
    _refers_to("brief_id", "briefs.id", index=True),
    _refers_to("first_trial_id", "trials.id"),
    _refers_to("second_trial_id", "trials.id"),
    _words("plan"),  # canonical JSON
    _words("state"),
    _instant("made_at"),
    _instant("sealed_at", nullable=True),
    _words("sealed_hash"),
    _words("commitment"),
    _refers_to("series_id", "series.id", nullable=True),  # of a sitting of a series
)

servings: Final = Table(
    "servings",
    metadata,
    _id(),
    _refers_to("session_id", "sessions.id"),
    _count("position"),  # as drawn
    _count("seat"),
    _count("place"),
    _count("age_seconds"),
    _count("replicate"),
    _words("codes"),
    _yes("spare"),
    _yes("void"),
    Column("medium", Text, nullable=False, server_default="strip"),
    Column("sites", Text, nullable=False, server_default=text("''")),
    Column("dips", Text, nullable=False, server_default=text("''")),  # "": in tray order
    UniqueConstraint("session_id", "position"),
)

ballots: Final = Table(
    "ballots",
    metadata,
    _id(),
    _refers_to("session_id", "sessions.id"),
    _count("seat"),
    _refers_to("panelist_id", "panelists.id", nullable=True, index=True),
    _count("issue"),
    Column("token_hash", Text, unique=True),
    _instant("finished_at", nullable=True),
    UniqueConstraint("session_id", "seat"),
)

# --- key ------------------------------------------------------------------------------------------------------

keys: Final = Table(
    "keys",
    metadata,
    _refers_to("session_id", "sessions.id", primary_key=True),
    _words("seed"),
    _words("first_letter"),
    _words("second_letter"),
    Column("first_again_letter", Text),  # with null sets: a trial in a second vial
    Column("second_again_letter", Text),
    Column("further_letters", Text),  # of a third trial and on
)

key_orders: Final = Table(
    "key_orders", metadata, _refers_to("serving_id", "servings.id", primary_key=True), _words("trials")
)

# Alone nothing is drawn: what each set was is entered afterwards, once, from the marks on the strips.
marks: Final = Table(
    "marks",
    metadata,
    _refers_to("serving_id", "servings.id", primary_key=True),
    _words("trials"),
    _instant("at"),
    _count("sequence"),
)

groupings: Final = Table(
    "groupings", metadata, _refers_to("serving_id", "servings.id", primary_key=True), _words("pattern")
)

# --- log ------------------------------------------------------------------------------------------------------

heads: Final = Table(
    "heads",
    metadata,
    _refers_to("session_id", "sessions.id", primary_key=True),
    _count("sequence"),
    _words("hash"),
)

records: Final = Table(
    "records",
    metadata,
    _refers_to("session_id", "sessions.id", primary_key=True),
    Column("sequence", Integer, primary_key=True, autoincrement=False),
    _instant("at"),
    _words("kind"),
    _words("body"),  # canonical JSON
    _words("hash"),
)

# Text and salt become NULL when a person is erased; the digest is what the chain holds, so it stays verifiable.
personal_texts: Final = Table(
    "personal_texts",
    metadata,
    Column("digest", Text, primary_key=True),
    _refers_to("session_id", "sessions.id", index=True),
    _refers_to("panelist_id", "panelists.id", nullable=True, index=True),
    Column("salt", Text),
    Column("text", Text),
)


def _in_chain() -> ForeignKeyConstraint:
    return ForeignKeyConstraint(["session_id", "sequence"], ["records.session_id", "records.sequence"])


def _whole_or_serving() -> CheckConstraint:
    return CheckConstraint("coalesce(serving_ref, '') = serving_id", name="serving_ref")


# ``serving_id`` is "" for what is not about one set, so that the unique index holds there too (NULLs never clash);
# ``serving_ref`` is the same thing as a foreign key. Rows are appended, never changed.
answers: Final = Table(
    "answers",
    metadata,
    Column("id", Integer, primary_key=True),
    _refers_to("session_id", "sessions.id"),
    _refers_to("ballot_id", "ballots.id"),
    _words("serving_id"),
    _refers_to("serving_ref", "servings.id", nullable=True),
    _words("question"),
    _words("value"),  # "" where the value is personal text
    _refers_to("text_digest", "personal_texts.digest", nullable=True),
    _instant("at"),
    _yes("final"),
    Column("sequence", Integer),
    _in_chain(),
    _whole_or_serving(),
    Index("ix_answers_session_id", "session_id"),
)
Index(
    "ix_answers_one_final",
    answers.c.ballot_id,
    answers.c.serving_id,
    answers.c.question,
    unique=True,
    sqlite_where=text("final"),
    postgresql_where=text("final"),
)

# A rating screen asks for its drafts at every tap.
Index(
    "ix_answers_drafts",
    answers.c.ballot_id,
    answers.c.serving_id,
    sqlite_where=text("final = 0"),
    postgresql_where=text("NOT final"),
)

deviations: Final = Table(
    "deviations",
    metadata,
    Column("id", Integer, primary_key=True),
    _refers_to("session_id", "sessions.id", index=True),
    _words("serving_id"),
    _refers_to("serving_ref", "servings.id", nullable=True),
    _count("seat"),
    _words("kind"),
    _refers_to("text_digest", "personal_texts.digest"),
    _instant("at"),
    _count("sequence"),
    _in_chain(),
    _whole_or_serving(),
)

# --- bench ----------------------------------------------------------------------------------------------------

# The timetable is not sealed: each revision is kept and the latest counts.
timetables: Final = Table(
    "timetables",
    metadata,
    Column("id", Integer, primary_key=True),
    _refers_to("session_id", "sessions.id"),
    _count("revision"),
    _words("body"),  # canonical JSON
    _instant("at"),
    _count("sequence"),
    _in_chain(),
    UniqueConstraint("session_id", "revision"),
)

# When the strips of a set were dipped (or a trial applied to skin); a later row of the same set corrects it.
dips: Final = Table(
    "dips",
    metadata,
    Column("id", Integer, primary_key=True),
    _refers_to("session_id", "sessions.id", index=True),
    _refers_to("serving_id", "servings.id"),
    _instant("dipped_at"),
    _instant("at"),
    _count("sequence"),
    _in_chain(),
)

stops: Final = Table(
    "stops",
    metadata,
    Column("id", Integer, primary_key=True),
    _refers_to("session_id", "sessions.id", index=True),
    _refers_to("ballot_id", "ballots.id"),
    _words("kind"),  # skin, or unwell
    _instant("at"),
    _count("sequence"),
    _in_chain(),
)

# --- decisions --------------------------------------------------------------------------------------------------

decisions: Final = Table(
    "decisions",
    metadata,
    _id(),
    _refers_to("brief_id", "briefs.id"),
    _count("number"),
    _refers_to("trial_id", "trials.id"),
    _words("word"),
    _words("reason"),
    _words("evidence"),  # canonical JSON, as it stood
    _refers_to("supersedes", "decisions.id", nullable=True),
    _instant("at"),
    _words("previous"),
    _words("hash"),
    UniqueConstraint("brief_id", "number"),
)

# --- doors ----------------------------------------------------------------------------------------------------

settings: Final = Table("settings", metadata, Column("name", Text, primary_key=True), _words("value"))

visits: Final = Table(
    "visits",
    metadata,
    Column("token_hash", Text, primary_key=True),
    _words("role"),
    _refers_to("ballot_id", "ballots.id", nullable=True, index=True),
    _instant("began_at"),
    _instant("expires_at"),
    _instant("ended_at", nullable=True),
)

attempts: Final = Table(
    "attempts",
    metadata,
    Column("id", Integer, primary_key=True),
    _words("door"),
    _yes("ok"),
    _instant("at"),
    Index("ix_attempts_door_at", "door", "at"),
)
