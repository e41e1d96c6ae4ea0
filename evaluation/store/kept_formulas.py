"""Formulas of trials, and the one list of materials they are made of."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from sqlalchemy import Row, delete, select

from evaluation.formulas import Accord, Formula, Line, Material, adds_up, name_key
from evaluation.ground.intake import decimal_of
from evaluation.skin import FormulaLine, lines_of_formula
from evaluation.store import kept_bottles, rows
from evaluation.store.desk import Desk
from evaluation.store.engine import as_the_program_wrote
from evaluation.store.translate import flat


class Formulas:
    """Verbs on what trials are made of."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def write(self, trial_id: str, formula: Formula) -> None:
        """Put this formula in the place of the one the trial had."""
        self.remove(trial_id)
        out_of = "" if formula.out_of is None else str(formula.out_of)
        self._desk.add(rows.formulas, {"trial_id": trial_id, "out_of": out_of, "at": self._desk.now()})
        self._desk.add(rows.formula_accords, *(_accord_row(trial_id, one) for one in formula.accords))
        lines = (_line_row(trial_id, n, one) for n, one in enumerate(formula.lines, start=1))
        self._desk.add(rows.formula_lines, *lines)

    def remove(self, trial_id: str) -> None:
        """Leave a trial without a formula, as if nobody had entered one."""
        self._desk.only_row(select(rows.trials.c.id).where(rows.trials.c.id == trial_id), "trial")
        for table in (rows.formula_lines, rows.formula_accords, rows.formulas):
            self._desk.change(delete(table).where(table.c.trial_id == trial_id))

    def formula(self, trial_id: str) -> Formula | None:
        """What a trial is made of, None where nobody entered it."""
        return formula_of(self._desk, trial_id)

    def of_trials(self, trial_ids: Iterable[str]) -> dict[str, Formula]:
        """The formulas of those trials that have one, under the ids asked for, of bottles too; all read together."""
        return _of_several(self._desk, list(dict.fromkeys(trial_ids)))


def formula_of(desk: Desk, trial_id: str) -> Formula | None:
    """What a trial is made of, whichever bottle of it is named; None where nobody entered it."""
    return _of_several(desk, [trial_id]).get(trial_id)


@as_the_program_wrote()
def _of_several(desk: Desk, asked: Sequence[str]) -> dict[str, Formula]:
    """In as many queries as of one: a page asks for all trials of a brief, again after each tap."""
    trials = kept_bottles.trials_of(desk, asked)
    of = {one: trials.get(one, one) for one in asked}
    head = select(rows.formulas.c.trial_id, rows.formulas.c.out_of)
    out_of = {row.trial_id: row.out_of for row in desk.rows(head.where(rows.formulas.c.trial_id.in_(of.values())))}
    lines, accords = (_lines(desk, list(out_of)), _accords(desk, list(out_of))) if out_of else ({}, {})
    made = {
        trial_id: Formula(tuple(own), tuple(accords.get(trial_id, ())), _out_of(out_of[trial_id]))
        for trial_id, own in lines.items()
    }
    return {one: made[trial_id] for one, trial_id in of.items() if trial_id in made}


def gate_lines(desk: Desk, trial_id: str) -> tuple[FormulaLine, ...]:
    """A formula as the skin gate takes it, accords opened; no lines where nobody entered it."""
    formula = formula_of(desk, trial_id)
    return () if formula is None else lines_of_formula(formula)


def whole_said(desk: Desk, trial_id: str) -> bool:
    """Whether somebody said what the parts of a formula add up to, and they do."""
    formula = formula_of(desk, trial_id)
    return formula is not None and adds_up(formula)


def material_row(material: Material) -> dict[str, Any]:
    """A material as it is kept, with what two names of one share."""
    given = {name: value for name, value in flat(material).items() if name != "minutes"}
    begins, ends = material.minutes or (None, None)
    return given | {"folded": name_key(material.name), "from_minutes": begins, "to_minutes": ends}


def material_of(row: Row[Any]) -> Material:
    """A kept material."""
    minutes = None if row.from_minutes is None else (row.from_minutes, row.to_minutes)
    told = (row.volatility, row.natural, row.phototoxic, row.note, row.made_at, row.solvent, minutes)
    return Material(row.id, row.name, *told)


def _lines(desk: Desk, trial_ids: Sequence[str]) -> dict[str, list[Line]]:
    """In their order, by trial; each material is read once, whatever many lines it stands in."""
    lines = rows.formula_lines
    own = lines.c.trial_id.in_(trial_ids)
    used = rows.materials.c.id.in_(select(lines.c.material_id).where(own))
    known = {row.id: material_of(row) for row in desk.rows(select(rows.materials).where(used))}
    found: dict[str, list[Line]] = {}
    for row in desk.rows(select(lines).where(own).order_by(lines.c.trial_id, lines.c.position)):
        found.setdefault(row.trial_id, []).append(_line_of(row, known[row.material_id]))
    return found


def _accords(desk: Desk, trial_ids: Sequence[str]) -> dict[str, list[Accord]]:
    accords, found = rows.formula_accords, dict[str, list[Accord]]()
    for row in desk.rows(select(accords).where(accords.c.trial_id.in_(trial_ids))):
        found.setdefault(row.trial_id, []).append(_accord_of(row))
    return found


def _line_of(row: Row[Any], material: Material) -> Line:
    numbers = decimal_of("parts", row.parts), decimal_of("stock percent", row.stock_percent)
    return Line(material, *numbers, row.lot, row.accord)


def _out_of(text: str) -> Decimal | None:
    return decimal_of("parts together", text) if text else None


def _line_row(trial_id: str, position: int, line: Line) -> dict[str, Any]:
    numbers = {"parts": str(line.parts), "stock_percent": str(line.stock_percent)}
    words = {"lot": line.lot, "accord": line.accord}
    return {"trial_id": trial_id, "position": position, "material_id": line.material.id} | numbers | words


def _accord_row(trial_id: str, accord: Accord) -> dict[str, Any]:
    parts = "" if accord.parts is None else str(accord.parts)
    return {"trial_id": trial_id, "name": accord.name, "within": accord.within, "parts": parts}


def _accord_of(row: Row[Any]) -> Accord:
    return Accord(row.name, row.within, decimal_of("parts", row.parts) if row.parts else None)
