"""Materials and their limits, formula lines, what people said about their skin, patch tests, and barred trials."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any, Final

from sqlalchemy import Row, delete, select, update

from evaluation.canonical import canonical
from evaluation.errors import ArgumentError, StateError
from evaluation.skin import BARRED, UNREAD, Bar, FormulaLine, Material, Patch, Reaction, SkinFacts, SkinLimit
from evaluation.store import rows
from evaluation.store.desk import Desk, refused_as
from evaluation.store.translate import flat

GATE: Final = "skin gate"  # the log's lines on what the gate saw; their note tells materials and shares
STOPPED: Final = "somebody stopped a session because their skin reacted"


class Skin:
    """Verbs on all that the gate asks for."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    # --- materials and their limits -----------------------------------------------------------------------------

    def add_material(self, material: Material) -> None:
        with refused_as(_name_taken(material)):
            self._desk.add(rows.materials, flat(material))

    def replace_material(self, material: Material) -> None:
        self.material(material.id)
        change = update(rows.materials).where(rows.materials.c.id == material.id)
        with refused_as(_name_taken(material)):
            self._desk.run(change.values(**flat(material)))

    def material(self, material_id: str) -> Material:
        return _material_of(
            self._desk.one(select(rows.materials).where(rows.materials.c.id == material_id), "material")
        )

    def materials(self) -> tuple[Material, ...]:
        return tuple(
            _material_of(row) for row in self._desk.rows(select(rows.materials).order_by(rows.materials.c.name))
        )

    def add_limit(self, limit: SkinLimit) -> None:
        """A limit is never changed, only followed by another."""
        self.material(limit.material_id)
        self._desk.add(rows.skin_limits, flat(limit) | {"percent": str(limit.percent)})

    def limits(self) -> tuple[SkinLimit, ...]:
        """Every limit that was entered, oldest first."""
        return tuple(
            _limit_of(row) for row in self._desk.rows(select(rows.skin_limits).order_by(rows.skin_limits.c.id))
        )

    # --- formula ------------------------------------------------------------------------------------------------

    def write_lines(self, trial_id: str, lines: Sequence[FormulaLine]) -> None:
        """Put these lines in the place of those the trial had."""
        self._trial(trial_id)
        self._desk.run(delete(rows.formula_lines).where(rows.formula_lines.c.trial_id == trial_id))
        self._desk.add(rows.formula_lines, *(_line_row(trial_id, n, line) for n, line in enumerate(lines, start=1)))

    def lines(self, trial_id: str) -> tuple[FormulaLine, ...]:
        found = rows.formula_lines
        query = select(found, rows.materials).join(rows.materials, rows.materials.c.id == found.c.material_id)
        mine = query.where(found.c.trial_id == trial_id).order_by(found.c.position)
        return tuple(_line_of(row) for row in self._desk.rows(mine))

    # --- barred trials ------------------------------------------------------------------------------------------

    def bar(self, bar: Bar) -> None:
        self._trial(bar.trial_id)
        self._desk.add(rows.skin_bars, flat(bar))

    def bar_after_stop(self, session_id: str, trial_ids: Iterable[str]) -> None:
        """Somebody stopped this session on skin: its trials stay off skin until somebody writes why they may return."""
        for trial_id in trial_ids:
            self.bar(Bar(trial_id, session_id, BARRED, STOPPED, self._desk.now()))

    def bars(self, trial_ids: Iterable[str]) -> tuple[Bar, ...]:
        """Oldest first; the latest of a trial counts."""
        query = select(rows.skin_bars).where(rows.skin_bars.c.trial_id.in_(list(trial_ids)))
        listed = self._desk.rows(query.order_by(rows.skin_bars.c.id))
        return tuple(Bar(row.trial_id, row.session_id, row.kind, row.reason, row.at) for row in listed)

    def reactions(self, trial_ids: Iterable[str]) -> tuple[Reaction, ...]:
        """Who stopped a session on skin, with which of these trials on it, as the bar of that session has it."""
        bars, stops, ballots = rows.skin_bars, rows.stops, rows.ballots
        query = (
            select(ballots.c.panelist_id, bars.c.trial_id, stops.c.at)
            .join(stops, stops.c.session_id == bars.c.session_id)
            .join(ballots, ballots.c.id == stops.c.ballot_id)
            .where(bars.c.trial_id.in_(list(trial_ids)), stops.c.kind == "skin", ballots.c.panelist_id.is_not(None))
            .distinct()
            .order_by(stops.c.at, bars.c.trial_id)
        )
        return tuple(Reaction(row.panelist_id, row.trial_id, row.at) for row in self._desk.rows(query))

    # --- people -------------------------------------------------------------------------------------------------

    def add_facts(self, facts: SkinFacts) -> None:
        self._person(facts.panelist_id)
        body = {name: value for name, value in flat(facts).items() if name not in ("panelist_id", "at")}
        row = {"panelist_id": facts.panelist_id, "body": canonical(body).decode(), "at": facts.at}
        self._desk.add(rows.skin_facts, row)

    def facts(self, panelist_ids: Iterable[str]) -> dict[str, SkinFacts]:
        """What each of these people said last."""
        query = select(rows.skin_facts).where(rows.skin_facts.c.panelist_id.in_(list(panelist_ids)))
        return {row.panelist_id: _facts_of(row) for row in self._desk.rows(query.order_by(rows.skin_facts.c.id))}

    def forget(self, panelist_id: str) -> None:
        """Delete what this person said about skin and health, and their patch tests."""
        forget(self._desk, panelist_id)

    def _person(self, panelist_id: str) -> None:
        self._desk.one(select(rows.panelists.c.id).where(rows.panelists.c.id == panelist_id), "panelist")

    def _trial(self, trial_id: str) -> None:
        self._desk.one(select(rows.trials.c.id).where(rows.trials.c.id == trial_id), "trial")

    # --- patches ------------------------------------------------------------------------------------------------

    def add_patch(self, patch: Patch) -> None:
        self._person(patch.panelist_id)
        self._trial(patch.trial_id)
        self._desk.add(rows.patches, flat(patch) | {"strength_percent": str(patch.strength_percent)})

    def patch(self, patch_id: str) -> Patch:
        return _patch_of(self._desk.one(select(rows.patches).where(rows.patches.c.id == patch_id), "patch"))

    def patches(self, trial_id: str | None = None) -> tuple[Patch, ...]:
        """All of them, or those of one trial, oldest first."""
        query = select(rows.patches).order_by(rows.patches.c.applied_at, rows.patches.c.code)
        found = query if trial_id is None else query.where(rows.patches.c.trial_id == trial_id)
        return tuple(_patch_of(row) for row in self._desk.rows(found))

    def read_patch(self, patch_id: str, result: str, read_at: int, note: str = "") -> Patch:
        """Write down what was seen; a clear reading may be followed by a reaction, nothing else is changed."""
        held = select(rows.patches).where(rows.patches.c.id == patch_id).with_for_update()
        before = _patch_of(self._desk.one(held, "patch"))  # a reaction read at this moment is not written over
        if before.result != UNREAD and not (before.result == "clear" and result == "reaction"):
            raise StateError("This patch is read already; put a new one on instead.")
        after = replace(before, result=result, read_at=read_at, note=note)
        change = update(rows.patches).where(rows.patches.c.id == patch_id)
        self._desk.run(change.values(result=after.result, read_at=after.read_at, note=after.note))
        return after


def forget(desk: Desk, panelist_id: str) -> None:
    """No word about this person's health and skin stays; the log holds random ids only."""
    for table in (rows.skin_facts, rows.patches):
        desk.run(delete(table).where(table.c.panelist_id == panelist_id))


def _name_taken(material: Material) -> ArgumentError:
    return ArgumentError(f"material must be new: there is {material.name!r} already.")


def _material_of(row: Row[Any]) -> Material:
    return Material(row.id, row.name, row.volatility, row.natural, row.phototoxic, row.note, row.made_at)


def _limit_of(row: Row[Any]) -> SkinLimit:
    return SkinLimit(row.material_id, Decimal(row.percent), row.document, row.dated_on, row.kind_of_use, row.at)


def _line_row(trial_id: str, position: int, line: FormulaLine) -> dict[str, Any]:
    numbers = {"share_percent": str(line.share_percent), "stock_percent": str(line.stock_percent)}
    return {"trial_id": trial_id, "position": position, "material_id": line.material.id} | numbers


def _line_of(row: Row[Any]) -> FormulaLine:
    return FormulaLine(_material_of(row), Decimal(row.share_percent), Decimal(row.stock_percent))


def _facts_of(row: Row[Any]) -> SkinFacts:
    return SkinFacts(panelist_id=row.panelist_id, at=row.at, **json.loads(row.body)["value"])


def _patch_of(row: Row[Any]) -> Patch:
    values = dict(row._mapping)
    return Patch(**values | {"strength_percent": Decimal(values["strength_percent"])})
