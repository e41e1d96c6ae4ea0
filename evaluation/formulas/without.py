"""A formula without one of its materials: the same weight of the concentrate's own solvent stands in its place."""

from __future__ import annotations

from evaluation.errors import ArgumentError
from evaluation.formulas.amounts import opened
from evaluation.formulas.lines import Formula
from evaluation.formulas.raw_materials import Material
from evaluation.formulas.separated import NamedChange, Weighed, bottles


def without(formula: Formula, material_id: str, solvent: Material) -> Formula:
    """The bottle in which a material is left out of every accord and stock, and no other line's share rises.

    Of a stock the whole weight goes, with what it was made up with.
    """
    amounts = tuple(
        Weighed(one.line.material, -one.parts, one.line.stock_percent, one.line.lot)
        for one in opened(formula)
        if one.line.material.id == material_id
    )
    if not amounts or material_id == solvent.id:
        raise ArgumentError("material must be one of the formula, and another than its solvent.")
    return bottles(formula, (NamedChange("what is left out", amounts),), ("1",), solvent).formulas[0]
