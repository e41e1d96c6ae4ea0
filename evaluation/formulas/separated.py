"""Formulas of the bottles that separate changes: each change made or not, its weight in solvent where it is not.

An absent change is replaced by its weight of the concentrate's own solvent, so that every bottle weighs the same and no
other line's share rises or falls with it. Where the base holds enough of that solvent, a change takes its room there,
and the base bottle is the base as it stands; else all bottles are that much thinner, alike.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import count
from math import lcm
from typing import Final

from evaluation.errors import ArgumentError
from evaluation.formulas.amounts import Opened, opened
from evaluation.formulas.changes import Change, Difference, difference
from evaluation.formulas.lines import PURE, Formula, Line
from evaluation.formulas.pairs import Side
from evaluation.formulas.raw_materials import (
    LONGEST_NUMBER,
    Material,
    as_decimal,
    exact,
    few_digits,
    name_key,
    percent,
)
from evaluation.formulas.typed_lines import Known

TO_TELL: Final = "to tell changes apart: "  # how what was changed begins, of a trial written for this; then each by ";"

FLASKS: Final = "ABCDEFGHIJKLMNOP"
_NAMED: Final = re.compile(r"separated \d+ ([A-P])(?: bottle (\d+))?")

Key = tuple[str, Decimal, str]  # material id, stock, lot


@dataclass(frozen=True, slots=True)
class Weighed:
    """So many parts of the base more of a stock, or fewer."""

    material: Material
    parts: Fraction
    stock_percent: Decimal = PURE
    lot: str = ""

    @property
    def key(self) -> Key:
        """Lines of one stock and lot are one."""
        return self.material.id, self.stock_percent, self.lot


@dataclass(frozen=True, slots=True)
class NamedChange:
    """A change by the name it is called on every screen; no amounts where it was only named."""

    name: str
    amounts: tuple[Weighed, ...] = ()

    @property
    def parts(self) -> Fraction:
        """What it adds to the weight, below 0 where it takes away more than it adds."""
        return sum((one.parts for one in self.amounts), Fraction(0))


@dataclass(frozen=True, slots=True)
class Bottles:
    """The formula of every bottle in the order asked for, and how much solvent each holds in the place of changes.

    ``room``: the changes found their room in the base's own solvent, so that the bottle without any is the base.
    """

    formulas: tuple[Formula, ...]
    solvent: Material
    in_place: tuple[Fraction, ...]  # parts
    room: bool


@dataclass(frozen=True, slots=True)
class _Line:
    material: Material
    parts: Fraction
    stock_percent: Decimal
    lot: str


def changes_between(base: Formula, other: Formula, names: Sequence[str] = ()) -> tuple[NamedChange, ...]:
    """The named changes from one formula to another, each with what it weighs in parts of the base.

    ``names``: what they are called, in their order; left out or empty: as the first material, or the accord.
    """
    found = difference(base, other)
    called = [*names, *[""] * (len(found.changes) - len(names))]
    pair = (base, other)
    listed = tuple(
        NamedChange(own or short_name(one), _amounts(pair, found, one))
        for own, one in zip(called, found.changes, strict=False)
    )
    _check_all(pair, found, listed)
    return listed


def short_name(change: Change) -> str:
    """A few words for a change: "cedar", "fig for rose"."""
    came = change.instead_accord or (change.instead[0].name if change.instead else "")
    first = change.accord or change.materials[0].name
    return f"{came} for {first}".replace(":", " ") if came else first.replace(":", " ")


def own_solvent(base: Formula) -> Material | None:
    """The solvent there is most of in a concentrate; None where no line is said to be one."""
    held: dict[str, Fraction] = {}
    solvents = [one for one in opened(base) if one.line.material.solvent]
    for one in solvents:
        held[one.line.material.id] = held.get(one.line.material.id, Fraction(0)) + one.parts
    return max((one.line.material for one in solvents), key=lambda one: held[one.id], default=None)


def bottles(base: Formula, changes: Sequence[NamedChange], made: Iterable[str], solvent: Material) -> Bottles:
    """The formulas of these combinations ("011": the second and the third change).

    ArgumentError where a change takes away more of a line than is there, or its solvent is no solvent.
    """
    if not solvent.solvent:
        raise ArgumentError(f"solvent must be one that is marked as solvent or carrier, and {solvent.name} is not.")
    listed = tuple(made)
    room = _has_room(base, changes, solvent)
    spare = Fraction(0) if room else sum((max(one.parts, Fraction(0)) for one in changes), Fraction(0))
    formulas, in_place = [], []
    for one in listed:
        held = [change for change, digit in zip(changes, one, strict=True) if digit == "1"]
        fill = spare - sum((change.parts for change in held), Fraction(0))
        in_place.append(sum((max(change.parts, Fraction(0)) for change in changes if change not in held), Fraction(0)))
        formulas.append(_formula(base, held, solvent, fill, one))
    return Bottles(tuple(formulas), solvent, tuple(in_place), room)


def _has_room(base: Formula, changes: Sequence[NamedChange], solvent: Material) -> bool:
    """Whether the pure solvent of the base can give way to all changes together, and stays in it."""
    held = sum(
        (one.parts for one in opened(base) if one.line.material.id == solvent.id and one.line.stock_percent == PURE),
        Fraction(0),
    )
    taken = sum(
        (one.parts for change in changes for one in change.amounts if one.material.id == solvent.id), Fraction(0)
    )
    return held + min(taken, Fraction(0)) >= sum((max(one.parts, Fraction(0)) for one in changes), Fraction(0))


def _formula(base: Formula, held: Sequence[NamedChange], solvent: Material, fill: Fraction, called: str) -> Formula:
    lines = _lines(base)
    for change in held:
        for one in change.amounts:
            _add(lines, one, change.name)
    _add(lines, Weighed(solvent, fill, PURE, _lot_of(lines, solvent)), "what is made up")
    left = [one for one in lines.values() if one.parts]
    if not left:
        raise ArgumentError(f"bottle {called} would hold nothing.")
    return Formula(tuple(_written(left)), (), None)


def _lines(base: Formula) -> dict[Key, _Line]:
    """The base's lines with its accords opened, those of one stock and lot as one."""
    found: dict[Key, _Line] = {}
    for one in opened(base):
        key = (one.line.material.id, one.line.stock_percent, one.line.lot)
        before = found[key].parts if key in found else Fraction(0)
        found[key] = _Line(one.line.material, before + one.parts, one.line.stock_percent, one.line.lot)
    return found


def _lot_of(lines: dict[Key, _Line], solvent: Material) -> str:
    """What is made up comes from the bottle of solvent the base has."""
    mine = [one for one in lines.values() if one.material.id == solvent.id and one.stock_percent == PURE]
    return max(mine, key=lambda one: one.parts).lot if mine else ""


def _add(lines: dict[Key, _Line], one: Weighed, name: str) -> None:
    if not one.parts:
        return
    before = lines[one.key].parts if one.key in lines else Fraction(0)
    if before + one.parts < 0:
        raise ArgumentError(
            f"{name} must take at most the {exact(as_decimal(before))} parts of {one.material.name} that are there, "
            f"not {exact(as_decimal(-one.parts))}."
        )
    lines[one.key] = _Line(one.material, before + one.parts, one.stock_percent, one.lot)


def _written(lines: Sequence[_Line]) -> Iterable[Line]:
    """Parts as decimals: where a fraction has no end, all parts are multiplied until every one has."""
    factor = _factor([one.parts for one in lines])
    for one in lines:
        parts = as_decimal(one.parts * factor)
        if not isinstance(parts, Decimal) or len(parts.as_tuple().digits) > LONGEST_NUMBER:
            raise ArgumentError(
                f"{one.material.name} must have parts of at most {LONGEST_NUMBER} digits with accords opened, not "
                f"{exact(one.parts)}: write the accord in rounder parts."
            )
        yield Line(one.material, parts, one.stock_percent, one.lot)


def _factor(parts: Sequence[Fraction]) -> int:
    endless = lcm(*(one.denominator for one in parts))
    for prime in (2, 5):
        while endless % prime == 0:
            endless //= prime
    return endless


# --- how flasks are called --------------------------------------------------------------------------------------------


def next_set(taken: Iterable[str]) -> int:
    """The number of the next set of bottles, of which no trial of the brief has the name."""
    labels = [one.casefold() for one in taken]
    return next(at for at in count(1) if not any(one.startswith(f"separated {at} ") for one in labels))


def flask_label(number: int, place: int) -> str:
    """ "separated 2 C": short and like no other of its set, with the letter its flask has on the weighing sheet."""
    return f"separated {number} {FLASKS[place]}"


def flask_marks(names: Sequence[str]) -> tuple[str, ...]:
    """What is written on each flask beside its name: the letter in the name, with the number of a further bottle.

    Where that would be told of two flasks, all are numbered instead: a letter must never contradict a name.
    """
    marks = tuple(_mark(name, place) for place, name in enumerate(names))
    return marks if len({*marks}) == len(marks) else tuple(str(at) for at in range(1, len(names) + 1))


def _mark(name: str, place: int) -> str:
    named = _NAMED.search(name)
    return FLASKS[place] if named is None else named[1] + (named[2] or "")


# --- from a difference ------------------------------------------------------------------------------------------------


def _amounts(pair: tuple[Formula, Formula], found: Difference, change: Change) -> tuple[Weighed, ...]:
    """Everything of the touched materials that goes, and everything that comes, on the scale of the base."""
    net: dict[Key, Weighed] = {}
    for side, per_part in zip(pair, (Fraction(-1), 1 / found.scale), strict=True):
        for one in _touched(side, found, change):
            line = one.line
            key = (line.material.id, line.stock_percent, line.lot)
            before = net[key].parts if key in net else Fraction(0)
            net[key] = Weighed(line.material, before + one.parts * per_part, line.stock_percent, line.lot)
    return tuple(one for one in net.values() if one.parts)


def _touched(side: Formula, found: Difference, change: Change) -> Iterator[Opened]:
    """The lines of a change; where a material is in several changes, those of its accord only."""
    often = Counter(one.id for each in found.changes for one in each.touched)
    named = {change.accord, change.instead_accord, change.within} - {""}
    for one in opened(side):
        material = one.line.material.id
        if material in {each.id for each in change.touched} and (
            often[material] == 1 or (bool(named & {*one.accords}) if named else not one.accords)
        ):
            yield one


def _check_all(pair: tuple[Formula, Formula], found: Difference, changes: Sequence[NamedChange]) -> None:
    """All changes together make the other formula, as far as they touch it."""
    first, second = (Side(one).active for one in pair)
    moved: dict[str, Fraction] = {}
    for one in (amount for change in changes for amount in change.amounts):
        active = one.parts * Fraction(one.stock_percent) / 100
        moved[one.material.id] = moved.get(one.material.id, Fraction(0)) + active
    for material, more in moved.items():
        wanted = second.get(material, Fraction(0)) / found.scale - first.get(material, Fraction(0))
        if more != wanted:
            raise ArgumentError(
                "changes between these two formulas must touch each material once, or in accords of their own: type "
                "them by name instead."
            )


# --- typed ------------------------------------------------------------------------------------------------------------


def read_changes(text: str, known: Known) -> tuple[NamedChange, ...]:
    """Typed changes, one line each: name; material; parts more or fewer, such as +2 or -1; its stock in %.

    Lines of one name are one change; a name alone is a change without amounts, and then no formula is made.
    """
    found: dict[str, list[Weighed]] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        cells = [one.strip() for one in line.replace("\t", ";").split(";")]
        if any(cells):
            name, *rest = cells
            if not name:
                raise ArgumentError(f"line {number} must begin with the name of a change, such as {EXAMPLE!r}.")
            found.setdefault(name, []).extend(_weighed(number, rest, known))
    return tuple(NamedChange(name, tuple(amounts)) for name, amounts in found.items())


def _weighed(number: int, cells: Sequence[str], known: Known) -> Iterator[Weighed]:
    named, parts, stock, *more = (*cells, "", "", "")
    if not named and not parts:
        return
    if any(more):
        raise ArgumentError(f"line {number} must have at most four cells, such as {EXAMPLE!r}.")
    material = known.get(name_key(named))
    if material is None:
        raise ArgumentError(f"line {number} must name a material of the trial book, and {named!r} is none.")
    strength = _number(number, stock or "100")
    percent(f"stock of {material.name} in line {number}", strength, 0)
    yield Weighed(material, Fraction(_number(number, parts)), strength)


def _number(line: int, text: str) -> Decimal:
    plain = text.replace("\u2212", "-").replace(",", ".").removesuffix("%").strip()
    if not _NUMBER.fullmatch(plain):
        raise ArgumentError(f"line {line} must have a number of parts more or fewer, such as +2 or -0.5, not {text!r}.")
    few_digits(f"number in line {line}", Decimal(plain))
    return Decimal(plain)


EXAMPLE: Final = "more cedar; Cedarwood oil; +2"
_NUMBER: Final = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)", re.ASCII)
