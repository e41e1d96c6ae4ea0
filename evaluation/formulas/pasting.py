"""A table as it comes out of a spreadsheet or a file, read cell by cell: which line and column each cell stood in.

Tab, semicolon or comma between cells, whichever is there first; quoted cells; a decimal comma; a header or none. What
could be read in two ways is refused, never guessed.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from types import MappingProxyType
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.formulas.raw_materials import name_key
from evaluation.ground import intake
from evaluation.ground.intake import shortened

LONGEST_TEXT: Final = 100_000
LONGEST_NUMBER: Final = 60  # letters of a cell that is a number
COLUMNS: Final = ("material", "parts", "stock", "lot", "accord")
# Words a header may have for each column, compared without case and blanks.
HEADER: Final[Mapping[str, str]] = MappingProxyType(
    {
        name_key(word): column
        for column, words in {
            "material": "material, raw material, ingredient, name",
            "parts": "parts, parts by weight, weight, amount, quantity, grams, g, share, share %, %",
            "stock": "stock, stock %, strength, strength %, strength of stock, strength of the stock, dilution",
            "lot": "lot, batch, lot number",
            "accord": "accord, group, belongs to",
        }.items()
        for word in words.split(", ")
    }
)
_NUMBER: Final = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+", re.ASCII)
_HEADER_HELP: Final = "a header line such as material;parts;stock;lot;accord"


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table: its cells by the name of their column, and where they stood."""

    line: int
    cells: Mapping[str, str]
    places: Mapping[str, int]

    def where(self, column: str) -> str:
        """How an error names a cell: line and column as they were pasted."""
        place = self.places.get(column, COLUMNS.index(column) + 1)
        return f"line {self.line}, column {place} ({column})"


@dataclass(frozen=True, slots=True)
class _Physical:
    line: int
    cells: tuple[str, ...]


def read_table(text: str) -> tuple[Row, ...]:
    """The rows of a pasted table; the first that does not stand is named by line and column."""
    if len(text) > LONGEST_TEXT:
        raise ArgumentError(f"table may have at most {LONGEST_TEXT} characters, not {len(text)}.")
    plain = text.removeprefix("\ufeff")
    separator = _separator(plain)
    rows = list(_rows(plain, separator))
    if not rows:
        raise ArgumentError("table must name at least one material.")
    header = _header(rows[0])
    if header is None:
        _check_unnamed(rows, separator)
    named, body = header or COLUMNS, rows[1:] if header else rows
    if not body:
        raise ArgumentError("table must name at least one material below its header.")
    return tuple(_named(row, named) for row in body)


def rows_of_cells(table: Iterable[Sequence[str]]) -> tuple[Row, ...]:
    """Rows of an editor whose columns are ``COLUMNS``, empty ones left out, numbered as they stand."""
    places = MappingProxyType({column: place for place, column in enumerate(COLUMNS, start=1)})
    trimmed = ((number, [one.strip() for one in cells]) for number, cells in enumerate(table, start=1))
    found: list[Row] = []
    for line, cells in trimmed:
        if any(cells):
            intake.check_row(intake.FORMULA, len(found) + 1, line, cells)
            found.append(Row(line, MappingProxyType(dict(zip(COLUMNS, cells, strict=True))), places))
    if not found:
        raise ArgumentError("table must name at least one material.")
    return tuple(found)


def number(row: Row, column: str) -> Decimal | None:
    """A cell as an exact number, None where it is empty; marks for thousands are refused."""
    cell = row.cells[column].removesuffix("%").strip()
    if not cell:
        return None
    if len(cell) > LONGEST_NUMBER or not _NUMBER.fullmatch(cell):
        raise ArgumentError(
            f"{row.where(column)} must be a number such as 4 or 0.25, without signs or marks for thousands, not "
            f"{shortened(row.cells[column])}."
        )
    return Decimal(cell.replace(",", "."))


def check_marks(rows: Iterable[Row]) -> None:
    """Refuse a table in which some numbers have a decimal comma and some a point: one of them may mean thousands."""
    first: tuple[str, Row, str] | None = None
    for row in rows:
        for column in ("parts", "stock"):
            mark = next((one for one in row.cells[column] if one in ",."), "")
            if mark and first is not None and mark != first[0]:
                raise ArgumentError(
                    f"{row.where(column)} must have the decimal mark of {first[1].where(first[2])}, not "
                    f"{shortened(row.cells[column])}: a comma in one and a point in the other can mean thousands."
                )
            first = (mark, row, column) if mark and first is None else first


def _separator(text: str) -> str:
    bare = re.sub(r'"[^"]*"', "", text)
    return next((one for one in "\t;," if one in bare), ";")


def _rows(text: str, separator: str) -> Iterator[_Physical]:
    """Lines that hold anything, each with the number it has in the text."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True, skipinitialspace=True)
    begins, number = 1, 0
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            raise ArgumentError(
                f"line {begins}: a quoted cell must end with a quotation mark, and the separator follow it."
            ) from None
        trimmed = tuple(one.strip() for one in cells)
        if any(trimmed):
            number += 1
            intake.check_row(intake.FORMULA, number, begins, list(trimmed))
            yield _Physical(begins, trimmed)
        begins = reader.line_num + 1


def _header(first: _Physical) -> tuple[str, ...] | None:
    """The columns a header names, in its order; None where the first line is none."""
    named = [HEADER.get(name_key(one)) for one in first.cells]
    if sum(one is not None for one in named) < min(2, len(named)):
        return None
    found: list[str] = []
    for place, column in enumerate(named, start=1):
        cell = first.cells[place - 1]
        if column is None or column in found:
            twice = "a column not named before" if column else f"one of {', '.join(COLUMNS)}"
            raise ArgumentError(f"line {first.line}, column {place} must be {twice}, not {shortened(cell)}.")
        found.append(column)
    if not {"material", "parts"} <= set(found):
        raise ArgumentError(f"line {first.line} must name the columns material and parts, not {', '.join(found)} only.")
    return tuple(found)


def _check_unnamed(rows: Iterable[_Physical], separator: str) -> None:
    """Without a header, a comma between cells and a decimal comma look alike from the third cell on."""
    for row in rows:
        if separator == "," and len(row.cells) > 2:
            raise ArgumentError(
                f"line {row.line}, column 3 could be a decimal or a cell of its own: put {_HEADER_HELP} first, or "
                "semicolons between the cells."
            )


def _named(row: _Physical, columns: tuple[str, ...]) -> Row:
    for place, cell in enumerate(row.cells[len(columns) :], start=len(columns) + 1):
        if cell:
            raise ArgumentError(
                f"line {row.line}, column {place} must be empty, not {shortened(cell)}: the columns are "
                f"{', '.join(columns)}."
            )
    given = dict(zip(columns, row.cells, strict=False))
    places = {column: place for place, column in enumerate(columns, start=1)}
    return Row(row.line, MappingProxyType({one: given.get(one, "") for one in COLUMNS}), MappingProxyType(places))
