"""Rows of a table as a formula, and a formula as the table people type.

A row whose first cell names an accord that other rows belong to places that accord: how many parts it is, and in which
accord it lies. Where no row places it, it lies in the formula itself and is as much as its lines make.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from evaluation.errors import ArgumentError
from evaluation.formulas.lines import PURE, Accord, Formula, Line
from evaluation.formulas.pasting import Row, check_marks, number, read_table
from evaluation.formulas.raw_materials import Material, exact, name_key

T = TypeVar("T")
Known = Mapping[str, Material]  # by name_key


@dataclass(frozen=True, slots=True)
class TypedLines:
    """A table read, before its names are looked up in the list of materials."""

    rows: tuple[Row, ...]  # of materials, in their order
    accords: tuple[tuple[Row | None, str], ...]  # the row that places an accord, and the accord's name

    def unknown(self, known: Known) -> tuple[str, ...]:
        """Names that are in no list of materials yet, each once, as first written."""
        named = _first_spellings(row.cells["material"] for row in self.rows)
        return tuple(name for key, name in named.items() if key not in known)

    def formula(self, known: Known, out_of: Decimal | None = None) -> Formula:
        """The formula; the first cell that does not stand is named by line and column."""
        names = {name_key(name): name for _, name in self.accords}
        lines = tuple(_line(row, known, names) for row in self.rows)
        accords = tuple(_accord(row, name, names) for row, name in self.accords)
        _check_nesting(self.accords, accords)
        return Formula(lines, accords, out_of)


def read_lines(text: str) -> TypedLines:
    """A pasted table; nothing is looked up yet."""
    return sort_rows(read_table(text))


def sort_rows(rows: Sequence[Row]) -> TypedLines:
    """Which rows are materials and which place accords."""
    check_marks(rows)
    for row in rows:
        if not row.cells["material"]:
            raise ArgumentError(f"{row.where('material')} must name a material or an accord, not be empty.")
    for row in rows:
        _check_accord_name(row)
    names = _first_spellings(row.cells["accord"] for row in rows if row.cells["accord"])
    placed: dict[str, Row] = {}
    for row in rows:
        key = name_key(row.cells["material"])
        if key in names and key in placed:
            raise ArgumentError(
                f"{row.where('material')} must place each accord once: {row.cells['material']!r} stands in line "
                f"{placed[key].line} already."
            )
        if key in names:
            placed[key] = row
    of_materials = tuple(row for row in rows if name_key(row.cells["material"]) not in names)
    return TypedLines(of_materials, tuple((placed.get(key), name) for key, name in names.items()))


def _check_accord_name(row: Row) -> None:
    if row.cells["accord"]:
        _at(row, "accord", lambda: Accord(row.cells["accord"]))


def _first_spellings(names: Iterable[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for name in names:
        found.setdefault(name_key(name), name)
    return found


def table_of(formula: Formula) -> tuple[tuple[str, str, str, str, str], ...]:
    """A formula as rows of cells: material, parts, stock, lot, accord; read back they give the same formula."""
    found = [_accord_cells(one) for one in formula.accords if one.within or one.parts is not None]
    return (*found, *(_line_cells(one) for one in formula.lines))


def written(formula: Formula) -> str:
    """A formula as it is typed, cells between semicolons, without the empty ones at the end of a line."""
    return "\n".join("; ".join(map(_quoted, _filled(cells))) for cells in table_of(formula))


# --- cells into values --------------------------------------------------------------------------------------------


def _line(row: Row, known: Known, names: Mapping[str, str]) -> Line:
    material = known.get(name_key(row.cells["material"]))
    if material is None:
        raise ArgumentError(
            f"{row.where('material')}: {row.cells['material']!r} is not among the materials; enter it there first, or "
            "say that new ones are to be entered."
        )
    parts, stock = number(row, "parts"), number(row, "stock")
    if parts is None:
        raise ArgumentError(f"{row.where('parts')} must be a number above 0, not empty.")
    _at(row, "parts", lambda: Line(material, parts))
    _at(row, "stock", lambda: Line(material, parts, PURE if stock is None else stock))
    accord = names[name_key(row.cells["accord"])] if row.cells["accord"] else ""
    return _at(row, "lot", lambda: Line(material, parts, PURE if stock is None else stock, row.cells["lot"], accord))


def _accord(row: Row | None, name: str, names: Mapping[str, str]) -> Accord:
    if row is None:
        return Accord(name)
    for column in ("stock", "lot"):
        if row.cells[column]:
            raise ArgumentError(f"{row.where(column)} must be empty for the accord {name!r}: its lines have their own.")
    within = names[name_key(row.cells["accord"])] if row.cells["accord"] else ""
    parts = number(row, "parts")
    return _at(row, "parts", lambda: Accord(name, within, parts))


def _check_nesting(rows: Iterable[tuple[Row | None, str]], accords: tuple[Accord, ...]) -> None:
    """An accord inside itself is named by the first row that places one of the circle."""
    by_name = {one.name: one for one in accords}
    for row, name in sorted(rows, key=lambda one: one[0].line if one[0] else 0):
        seen, inside = {name}, by_name[name].within
        while inside and row is not None:
            if inside in seen:
                raise ArgumentError(f"{row.where('accord')}: accord must not lie inside itself, as {inside!r} would.")
            seen.add(inside)
            inside = by_name[inside].within


def _at(row: Row, column: str, made: Callable[[], T]) -> T:
    """What is made of a cell; a refusal says where the cell stands."""
    try:
        return made()
    except ArgumentError as refused:
        told = str(refused)
        raise ArgumentError(told if told.startswith("line ") else f"{row.where(column)}: {told}") from None


# --- values into cells --------------------------------------------------------------------------------------------


def _accord_cells(accord: Accord) -> tuple[str, str, str, str, str]:
    return accord.name, "" if accord.parts is None else exact(accord.parts), "", "", accord.within


def _line_cells(line: Line) -> tuple[str, str, str, str, str]:
    stock = "" if line.stock_percent == PURE else exact(line.stock_percent)
    return line.material.name, exact(line.parts), stock, line.lot, line.accord


def _filled(cells: Sequence[str]) -> Sequence[str]:
    last = max((place for place, cell in enumerate(cells, start=1) if cell), default=1)
    return cells[:last]


def _quoted(cell: str) -> str:
    special = any(mark in cell for mark in ';"\t\n\r')
    return '"' + cell.replace('"', '""') + '"' if special else cell
