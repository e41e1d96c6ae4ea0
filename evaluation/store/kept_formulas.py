"""Formulas of trials, and the one list of materials they are made of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
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
        """The formulas of those trials that have one: a page asks for all of a brief, so they are read together."""
        listed = list(dict.fromkeys(trial_ids))
        read = _of_several(self._desk, listed)
        found = {one: read[one] if one in read else formula_of(self._desk, one) for one in listed}
        return {trial_id: one for trial_id, one in found.items() if one is not None}


@as_the_program_wrote()
def formula_of(desk: Desk, trial_id: str) -> Formula | None:
    """What a trial is made of, whichever bottle of it is named; None where nobody entered it."""
    trial_id = kept_bottles.trials_of(desk, [trial_id]).get(trial_id, trial_id)
    head = desk.maybe(select(rows.formulas.c.out_of).where(rows.formulas.c.trial_id == trial_id))
    lines = tuple(_lines(desk, trial_id))
    if head is None or not lines:
        return None
    accords = desk.rows(select(rows.formula_accords).where(rows.formula_accords.c.trial_id == trial_id))
    return Formula(lines, tuple(_accord_of(row) for row in accords), _out_of(head.out_of))


@as_the_program_wrote()
def _of_several(desk: Desk, trial_ids: Sequence[str]) -> dict[str, Formula]:
    """Formulas by trial id, each material read once, in as many queries as of one trial."""
    of, lines = rows.formulas.c, rows.formula_lines.c
    heads = {
        row.trial_id: row.out_of for row in desk.rows(select(of.trial_id, of.out_of).where(of.trial_id.in_(trial_ids)))
    }
    used = select(lines.material_id).where(lines.trial_id.in_(trial_ids))
    known = {row.id: material_of(row) for row in desk.rows(select(rows.materials).where(rows.materials.c.id.in_(used)))}
    held: dict[str, list[Line]] = {}
    ordered = select(rows.formula_lines).where(lines.trial_id.in_(trial_ids)).order_by(lines.trial_id, lines.position)
    for row in desk.rows(ordered):
        held.setdefault(row.trial_id, []).append(_line_of(row, known[row.material_id]))
    accords: dict[str, list[Accord]] = {}
    for row in desk.rows(select(rows.formula_accords).where(rows.formula_accords.c.trial_id.in_(trial_ids))):
        accords.setdefault(row.trial_id, []).append(_accord_of(row))
    return {
        trial_id: Formula(tuple(held[trial_id]), tuple(accords.get(trial_id, ())), _out_of(out_of))
        for trial_id, out_of in heads.items()
        if trial_id in held
    }


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


def _lines(desk: Desk, trial_id: str) -> Iterator[Line]:
    found = rows.formula_lines
    query = select(found, rows.materials).join(rows.materials, rows.materials.c.id == found.c.material_id)
    for row in desk.rows(query.where(found.c.trial_id == trial_id).order_by(found.c.position)):
        yield _line_of(row, material_of(row))


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
