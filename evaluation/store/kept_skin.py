"""Materials and their limits, formula lines, what people said about their skin, and barred trials."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, Final

from sqlalchemy import Row, delete, select, update

from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical
from evaluation.ground.intake import decimal_of
from evaluation.skin import Bar, FormulaLine, Material, SkinFacts, SkinLimit, name_key
from evaluation.store import kept_bottles, rows, skin_log
from evaluation.store.desk import Desk, refused_as
from evaluation.store.engine import as_the_program_wrote
from evaluation.store.kept_formulas import gate_lines, material_of, material_row, whole_said
from evaluation.store.translate import flat

GATE: Final = "skin gate"  # the log's lines on what the gate saw; their note tells materials and shares


class Skin:
    """Verbs on all that the gate asks for."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    # --- materials and their limits -----------------------------------------------------------------------------

    def add_material(self, material: Material) -> None:
        """Store a new material; refused where its name differs from another in case and blanks only."""
        with refused_as(self._name_taken(material)):
            self._desk.add(rows.materials, material_row(material))

    def replace_material(self, material: Material) -> None:
        """Store a material in the place of the one with its id, under the same rule for names."""
        self.material(material.id)
        change = update(rows.materials).where(rows.materials.c.id == material.id)
        with refused_as(self._name_taken(material)):
            self._desk.change(change.values(**material_row(material)))

    def _name_taken(self, material: Material) -> ArgumentError:
        """Asked beforehand: once a database server has refused a row, it answers nothing more in that transaction."""
        folded = rows.materials.c.folded == name_key(material.name)
        found = self._desk.maybe(select(rows.materials.c.name).where(folded, rows.materials.c.id != material.id))
        there = material.name if found is None else found.name
        return ArgumentError(
            f"material must be new: there is {there!r} already, and names that differ in case and blanks only are one."
        )

    def material(self, material_id: str) -> Material:
        """The material of this id, or NotFound."""
        return material_of(
            self._desk.only_row(select(rows.materials).where(rows.materials.c.id == material_id), "material")
        )

    def materials(self) -> tuple[Material, ...]:
        """Every material, by name."""
        return tuple(
            material_of(row) for row in self._desk.rows(select(rows.materials).order_by(rows.materials.c.name))
        )

    def add_limit(self, limit: SkinLimit) -> None:
        """A limit is never changed, only followed by another."""
        self.material(limit.material_id)
        self._desk.add(rows.skin_limits, _limit_row(limit))

    def limits(self) -> tuple[SkinLimit, ...]:
        """Every limit that was entered, oldest first, with who last found its document still current."""
        seen = {body["limit"]: (body["who"], row.at) for row, body in skin_log.lines_of(self._desk, skin_log.CONFIRMED)}
        listed = self._desk.rows(select(rows.skin_limits).order_by(rows.skin_limits.c.id))
        return tuple(_limit_of(row, *seen.get(row.id, ("", None))) for row in listed)

    def confirm_limit(self, number: int, who: str, at: int) -> None:
        """Somebody looked and found the document of this limit still current."""
        row = self._desk.only_row(select(rows.skin_limits).where(rows.skin_limits.c.id == number), "limit")
        about = {"limit": number, "material": row.material_id, "who": who}
        skin_log.append_line(self._desk, skin_log.CONFIRMED, about, at)

    # --- formula ------------------------------------------------------------------------------------------------

    def lines(self, trial_id: str) -> tuple[FormulaLine, ...]:
        """A trial's formula as the gate takes it, accords opened; no lines where nobody entered it."""
        return gate_lines(self._desk, trial_id)

    def whole_said(self, trial_id: str) -> bool:
        """Whether somebody said what the parts of a trial's formula add up to, and they do."""
        return whole_said(self._desk, trial_id)

    # --- barred trials ------------------------------------------------------------------------------------------

    def bar(self, bar: Bar) -> None:
        """Write down that a trial was taken off skin or allowed again: the latest word on it counts."""
        trial = kept_bottles.smelt_as(self._desk, bar.trial_id)
        self._desk.add(rows.skin_bars, flat(bar) | {"trial_id": trial.trial_id})

    def bars(self, trial_ids: Iterable[str]) -> tuple[Bar, ...]:
        """Oldest first, under the ids that were asked for: the latest of a trial counts for each bottle of it."""
        smelt = kept_bottles.trials_of(self._desk, trial_ids)
        query = select(rows.skin_bars).where(rows.skin_bars.c.trial_id.in_(list(smelt.values())))
        listed = self._desk.rows(query.order_by(rows.skin_bars.c.id))
        asked = [(row, one) for row in listed for one, trial_id in smelt.items() if trial_id == row.trial_id]
        return tuple(Bar(one, row.session_id, row.kind, row.reason, row.at) for row, one in asked)

    # --- people -------------------------------------------------------------------------------------------------

    def add_facts(self, facts: SkinFacts) -> None:
        """Write down what a person answered about skin and health; the latest answers count."""
        self._person(facts.panelist_id)
        body = {name: value for name, value in flat(facts).items() if name not in ("panelist_id", "at")}
        row = {"panelist_id": facts.panelist_id, "body": canonical(body).decode(), "at": facts.at}
        self._desk.add(rows.skin_facts, row)

    def facts(self, panelist_ids: Iterable[str]) -> dict[str, SkinFacts]:
        """What each of these people said last."""
        query = select(rows.skin_facts).where(rows.skin_facts.c.panelist_id.in_(list(panelist_ids)))
        return {row.panelist_id: _facts_of(row) for row in self._desk.rows(query.order_by(rows.skin_facts.c.id))}

    def forget(self, panelist_id: str) -> None:
        """Delete what this person said about skin and health, and their patch tests; that they reacted stays."""
        forget(self._desk, panelist_id)

    def _person(self, panelist_id: str) -> None:
        self._desk.only_row(select(rows.panelists.c.id).where(rows.panelists.c.id == panelist_id), "panelist")


def forget(desk: Desk, panelist_id: str, *, erased: bool = False) -> None:
    """No word about this person's health and skin stays; session logs hold random ids only."""
    desk.change(delete(rows.skin_facts).where(rows.skin_facts.c.panelist_id == panelist_id))
    skin_log.forget(desk, panelist_id, erased=erased)


def _limit_row(limit: SkinLimit) -> dict[str, Any]:
    given = flat(limit) | {"percent": str(limit.percent)}
    return {name: given[name] for name in ("material_id", "percent", "document", "dated_on", "kind_of_use", "at")}


@as_the_program_wrote()
def _limit_of(row: Row[Any], who: str, at: int | None) -> SkinLimit:
    given = (row.material_id, decimal_of("percent", row.percent), row.document, row.dated_on, row.kind_of_use, row.at)
    return SkinLimit(*given, row.id, who, at)


@as_the_program_wrote()
def _facts_of(row: Row[Any]) -> SkinFacts:
    return SkinFacts(panelist_id=row.panelist_id, at=row.at, **json.loads(row.body)["value"])
