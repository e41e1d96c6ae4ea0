"""A formula as it is written: lines in parts by weight, and accords that hold lines and other accords.

The lines of an accord are written in parts of that accord. It makes up as much of what it lies in as its lines do, or
as many parts as are written for it. Parts are of one formula: what they make together, or what they are said to be of.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.formulas.raw_materials import Material, few_digits, name_key, percent
from evaluation.ground import checks

MOST_LINES: Final = 400
DEEPEST: Final = 8  # accords in accords: nobody weighs deeper
PURE: Final = Decimal(100)


def check_parts(name: str, value: Decimal) -> None:
    """Refuse parts that are no number above 0."""
    if not value.is_finite() or value <= 0:
        raise ArgumentError(f"{name} must be above 0, not {value}.")
    few_digits(name, value)


@dataclass(frozen=True, slots=True)
class Line:
    """So many parts of a material, weighed from a stock of some strength (100: the material itself)."""

    material: Material
    parts: Decimal
    stock_percent: Decimal = PURE
    lot: str = ""  # "" where it is not known
    accord: str = ""  # "" where it lies in the formula itself

    def __post_init__(self) -> None:
        check_parts(f"parts of {self.material.name}", self.parts)
        percent(f"stock of {self.material.name}", self.stock_percent, 0)
        checks.text("lot", self.lot, 80, empty=True)


@dataclass(frozen=True, slots=True)
class Accord:
    """Some lines under one name. ``parts``: how many it is of what it lies in; None: as many as its lines make."""

    name: str
    within: str = ""
    parts: Decimal | None = None

    def __post_init__(self) -> None:
        checks.text("accord", self.name, 80)
        if not name_key(self.name):
            raise ArgumentError("accord must be named in signs that can be seen.")
        if self.parts is not None:
            check_parts(f"parts of accord {self.name}", self.parts)


@dataclass(frozen=True)
class Formula:
    """All lines of a trial, in the order they are written, and its accords, in the order of their names.

    ``out_of``: what the parts are said to add up to, such as 1000; a forgotten line shows by it. None: nobody said.
    """

    lines: tuple[Line, ...]
    accords: tuple[Accord, ...] = ()
    out_of: Decimal | None = None

    def __post_init__(self) -> None:
        if not 0 < len(self.lines) <= MOST_LINES:
            raise ArgumentError(f"formula must have from 1 to {MOST_LINES} lines, not {len(self.lines)}.")
        if self.out_of is not None:
            check_parts("what the parts add up to", self.out_of)
        object.__setattr__(self, "accords", tuple(sorted(self.accords, key=lambda one: name_key(one.name))))
        _check_names(self)
        for one in self.accords:
            path(self, one.name)
        _check_filled(self)

    @cached_property
    def by_name(self) -> dict[str, Accord]:
        """Each accord under its name."""
        return {one.name: one for one in self.accords}


def path(formula: Formula, name: str) -> tuple[str, ...]:
    """The accords around a line of accord ``name``, from outside in; an accord inside itself is refused."""
    found: list[str] = []
    while name:
        if name in found:
            inside = " in ".join((*reversed(found[: found.index(name) + 1]), found[0]))
            raise ArgumentError(f"accord must not lie inside itself, as {inside} would.")
        found.insert(0, name)
        if len(found) > DEEPEST:
            raise ArgumentError(f"accords may lie at most {DEEPEST} in one another, and {found[-1]!r} lies deeper.")
        name = formula.by_name[name].within
    return tuple(found)


def _check_names(formula: Formula) -> None:
    names = [one.name for one in formula.accords]
    keys = [name_key(one) for one in names]
    for place, key in enumerate(keys):
        if key in keys[:place]:
            raise ArgumentError(f"accord must be named once, and {names[place]!r} is named twice.")
    for line in formula.lines:
        if name_key(line.material.name) in keys:
            raise ArgumentError(f"accord must not be named like a material of the formula, {line.material.name!r}.")
    for name in _referred(formula):
        if name and name not in names:
            raise ArgumentError(f"accord must be one of the formula, and {name!r} is not.")


def _referred(formula: Formula) -> Iterator[str]:
    yield from (one.accord for one in formula.lines)
    yield from (one.within for one in formula.accords)


def _check_filled(formula: Formula) -> None:
    held = {name for line in formula.lines for name in path(formula, line.accord)}
    for one in formula.accords:
        if one.name not in held:
            raise ArgumentError(f"accord must hold at least one line, and {one.name!r} holds none.")
