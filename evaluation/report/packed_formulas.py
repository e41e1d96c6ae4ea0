"""Formulas inside the exported file of a session, where the conductor ticked it: written, and laid in again.

Cells as a formula is typed, so that reading goes the way of what people type and is refused as that is.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any, Final

from evaluation.errors import MouilletteError, StoreError
from evaluation.formulas import Formula, Material, TypedLines, exact, name_key, rows_of_cells, sort_rows, table_of
from evaluation.ground.archives import DAMAGE
from evaluation.ground.canonical import canonical
from evaluation.ground.intake import decimal_of
from evaluation.store import Transaction, new_id

CARRIES: Final = "This file carries formulas, because that was ticked for it: hand it only to those who may know them."


def packed(formulas: Mapping[str, Formula]) -> bytes:
    """Canonical JSON of formulas by trial id, with the names of the solvents among their materials."""
    materials = [line.material for one in formulas.values() for line in one.lines]
    solvents = sorted({one.name for one in materials if one.solvent})
    told = {
        trial_id: {"out_of": "" if one.out_of is None else exact(one.out_of), "lines": table_of(one)}
        for trial_id, one in formulas.items()
    }
    return canonical({"solvents": solvents, "trials": told})


def lay_in(tx: Transaction, given: Mapping[str, Any], trial_ids: Iterable[str]) -> None:
    """Give the trials of a copied session their formulas; StoreError for what ``packed`` never wrote."""
    try:
        _lay_in(tx, given, frozenset(trial_ids))
    except MouilletteError as problem:
        raise StoreError(f"The file was altered: its formulas are none the program wrote: {problem}") from problem
    except DAMAGE as problem:
        raise StoreError("The file was altered: its formulas are none the program wrote.") from problem


def _lay_in(tx: Transaction, given: Mapping[str, Any], trial_ids: frozenset[str]) -> None:
    if given.keys() != {"solvents", "trials"} or not given["trials"].keys() <= trial_ids:
        raise ValueError("other trials, or other parts")
    typed = {trial_id: _typed(one["lines"]) for trial_id, one in given["trials"].items()}
    known = {name_key(name): _made(tx, name, given["solvents"]) for name in _names(typed.values())}
    for trial_id, lines in typed.items():
        out_of = given["trials"][trial_id]["out_of"]
        whole: Decimal | None = decimal_of("what all parts make", out_of) if out_of else None
        tx.formulas.write(trial_id, lines.formula(known, whole))


def _typed(lines: Any) -> TypedLines:
    if not all(isinstance(cell, str) for row in lines for cell in row):
        raise TypeError("cells are text")
    return sort_rows(rows_of_cells(lines))


def _names(typed: Iterable[TypedLines]) -> tuple[str, ...]:
    """Each material once, spelt as it stands first."""
    found: dict[str, str] = {}
    for name in (one for lines in typed for one in lines.unknown({})):
        found.setdefault(name_key(name), name)
    return tuple(found.values())


def _made(tx: Transaction, name: str, solvents: Iterable[str]) -> Material:
    material = Material(new_id(), name, solvent=name in solvents, made_at=tx.clock.now())
    tx.skin.add_material(material)
    return material
