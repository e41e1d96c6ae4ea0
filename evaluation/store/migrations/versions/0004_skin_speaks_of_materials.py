"""Skin: a log of patches, reactions and decisions; patches keep their formula; one material, one name.

Readings become lines of the log, each reaction to a patch and each stop on skin one of its materials. Names equal but
for case and blanks are merged: the lowest limit that counted goes on counting, no document is lost, formula lines point
to what stays (a formula that held both keeps two lines of one material, which are summed). Session logs name materials
in words and are not touched, so their chains stand as they were.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from decimal import Decimal
from typing import Any

import sqlalchemy as sa
from alembic import context, op

from evaluation.ground.canonical import canonical
from evaluation.skin import FORMULA_TOLERANCE, name_key

revision = "0004_skin_speaks_of_materials"
down_revision = "0003_dry_down"
branch_labels = None
depends_on = None

_materials = sa.table(
    "materials",
    *(sa.column(name, sa.Text()) for name in ("id", "name", "volatility", "note", "folded")),
    *(sa.column(name, sa.Boolean()) for name in ("natural", "phototoxic")),
    sa.column("made_at", sa.BigInteger()),
)
_limits = sa.table(
    "skin_limits",
    sa.column("id", sa.Integer()),
    *(sa.column(name, sa.Text()) for name in ("material_id", "percent", "document", "kind_of_use")),
    sa.column("dated_on", sa.Date()),
    sa.column("at", sa.BigInteger()),
)
_lines = sa.table(
    "formula_lines",
    *(sa.column(name, sa.Text()) for name in ("trial_id", "material_id", "share_percent", "stock_percent")),
    sa.column("position", sa.Integer()),
)
_patches = sa.table(
    "patches",
    *(sa.column(name, sa.Text()) for name in ("id", "panelist_id", "trial_id", "result", "note", "formula")),
    sa.column("read_at", sa.BigInteger()),
)
_log = sa.table(
    "skin_log",
    *(sa.column(name, sa.Text()) for name in ("kind", "panelist_id", "body")),
    sa.column("at", sa.BigInteger()),
)


def upgrade() -> None:
    op.create_table(
        "skin_log",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("panelist_id", sa.Text(), nullable=True),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["panelist_id"], ["panelists.id"], name=op.f("fk_skin_log_panelist_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_skin_log")),
    )
    op.create_index(op.f("ix_skin_log_panelist_id"), "skin_log", ["panelist_id"])
    op.add_column("materials", sa.Column("folded", sa.Text(), server_default=sa.text("''"), nullable=False))
    op.add_column("patches", sa.Column("formula", sa.Text(), server_default=sa.text("''"), nullable=False))
    _merge_names()
    op.create_index("ix_materials_folded", "materials", ["folded"], unique=True)
    _keep_formulas()
    _write_readings()
    _write_stops()
    for name in ("read_at", "result", "note"):
        op.drop_column("patches", name)


def _rows(query: Any) -> list[Any]:
    return list(op.get_bind().execute(query))


def _run(statement: Any) -> None:
    op.get_bind().execute(statement)


def _say(kind: str, panelist_id: str | None, body: dict[str, Any], at: int) -> None:
    given = {"kind": kind, "panelist_id": panelist_id, "body": canonical(body).decode(), "at": at}
    _run(_log.insert().values(**given))


# --- names ----------------------------------------------------------------------------------------------------------


def _merge_names() -> None:
    alike: dict[str, list[Any]] = {}
    for row in _rows(sa.select(_materials).order_by(_materials.c.made_at, _materials.c.id)):
        alike.setdefault(name_key(row.name), []).append(row)
    for folded, (kept, *others) in alike.items():
        if others:
            _merge(kept, others)
        _run(_materials.update().where(_materials.c.id == kept.id).values(folded=folded))


def _merge(kept: Any, others: list[Any]) -> None:
    """The first made stays; whatever warns of one of them warns of it from now on."""
    every = [kept, *others]
    gone = [one.id for one in others]
    lowest = _lowest_limits([one.id for one in every])
    moved = _rows(sa.select(_lines.c.trial_id).where(_lines.c.material_id.in_(gone)).distinct())
    for table in (_limits, _lines):
        _run(table.update().where(table.c.material_id.in_(gone)).values(material_id=kept.id))
    for limit in lowest:
        _run(_limits.insert().values(**limit | {"material_id": kept.id}))
    marks = {
        "volatility": next((one.volatility for one in every if one.volatility), ""),
        "natural": any(one.natural for one in every),
        "phototoxic": any(one.phototoxic for one in every),
        "note": "; ".join(dict.fromkeys(one.note for one in every if one.note))[:400],
    }
    _run(_materials.update().where(_materials.c.id == kept.id).values(**marks))
    _run(_materials.delete().where(_materials.c.id.in_(gone)))
    told = {
        "kept": {"id": kept.id, "name": kept.name},
        "merged": [{"id": one.id, "name": one.name} for one in others],
        "limits": [{name: limit[name] for name in ("percent", "document", "kind_of_use")} for limit in lowest],
        "trials": sorted(row.trial_id for row in moved),
    }
    _say("materials merged", None, told, context.config.attributes["moment"])


def _lowest_limits(material_ids: list[str]) -> list[dict[str, Any]]:
    """The lowest limit that counted, of each kind of use, to be entered last where another was entered later."""
    listed = _rows(
        sa.select(_limits).where(_limits.c.material_id.in_(material_ids)).order_by(_limits.c.at, _limits.c.id)
    )
    again = []
    for kind in sorted({row.kind_of_use for row in listed}):
        of_kind = [row for row in listed if row.kind_of_use == kind]
        counted = list({row.material_id: row for row in of_kind}.values())  # the latest of each material
        lowest = min(Decimal(row.percent) for row in counted)
        if Decimal(of_kind[-1].percent) != lowest:
            row = next(row for row in reversed(counted) if Decimal(row.percent) == lowest)
            same = {name: getattr(row, name) for name in ("percent", "document", "dated_on", "kind_of_use")}
            again.append(same | {"at": of_kind[-1].at + 1})
    return again


# --- patches and reactions ------------------------------------------------------------------------------------------


def _lines_of(trial_id: str) -> list[dict[str, Any]]:
    query = sa.select(_lines).where(_lines.c.trial_id == trial_id).order_by(_lines.c.position)
    return [
        {
            "material_id": row.material_id,
            "share_percent": Decimal(row.share_percent),
            "stock_percent": Decimal(row.stock_percent),
        }
        for row in _rows(query)
    ]


def _keep_formulas() -> None:
    """Lines stayed as they were once a trial was on skin: what a trial has now is what its patches were."""
    for row in _rows(sa.select(_patches.c.id, _patches.c.trial_id)):
        lines = _lines_of(row.trial_id)
        if lines:
            formula = canonical({"lines": lines}).decode()
            _run(_patches.update().where(_patches.c.id == row.id).values(formula=formula))


def _write_readings() -> None:
    for row in _rows(sa.select(_patches).where(_patches.c.read_at.is_not(None)).order_by(_patches.c.read_at)):
        told = {"patch": row.id, "result": row.result, "note": row.note}
        _say("reading", row.panelist_id, told, row.read_at)
        if row.result == "reaction":
            _react(row.panelist_id, [row.trial_id], row.read_at, patch=row.id, note=row.note)


def _write_stops() -> None:
    """A stop on skin is a reaction to whatever the trials of its session are made of."""
    found = sa.text(
        "SELECT stops.at, stops.session_id, ballots.panelist_id, sessions.plan FROM stops "
        "JOIN ballots ON ballots.id = stops.ballot_id JOIN sessions ON sessions.id = stops.session_id "
        "WHERE stops.kind = 'skin' ORDER BY stops.at, stops.id"
    )
    for row in _rows(found):
        plan = json.loads(row.plan)["value"]
        trials = [plan["first_trial_id"], plan["second_trial_id"], *plan.get("other_trial_ids", ())]
        _react(row.panelist_id, trials, row.at, session=row.session_id)


def _react(panelist_id: str | None, trials: list[str], at: int, **more: str) -> None:
    told = {"materials": _materials_of(trials), "trials": trials, "session": "", "patch": "", "note": ""}
    _say("reaction", panelist_id, told | more, at)


def _materials_of(trials: Iterable[str]) -> list[str] | None:
    """None where one of these formulas is not known, or does not make up the whole."""
    found: set[str] = set()
    for trial_id in trials:
        lines = _lines_of(trial_id)
        if abs(sum((one["share_percent"] for one in lines), Decimal(0)) - 100) > FORMULA_TOLERANCE:
            return None
        found |= {one["material_id"] for one in lines}
    return sorted(found)
