"""What was changed between two formulas, as few named changes: an accord raised as a whole is one.

Materials are compared by the weight of the material itself, whatever stock it is weighed from and whatever accord it
is written under. Parts of two formulas are brought to that scale on which fewest changes are left: formulas written of
100 and of 1000 do not differ by that.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Final

from evaluation.formulas.amounts import Opened, total
from evaluation.formulas.lines import Formula
from evaluation.formulas.pairs import Key, Pair, Side, scales
from evaluation.formulas.raw_materials import Material, exact

ADDED: Final = "added"
REMOVED: Final = "removed"
RAISED: Final = "raised"
LOWERED: Final = "lowered"
EXCHANGED: Final = "exchanged"
MADE_UP: Final = "made up"  # a solvent, so that the whole stays what it was
OTHER_STOCK: Final = "other stock"  # the same amount, weighed from another strength
OTHER_LOT: Final = "other lot"
_KEPT: Final = 1024  # pairs: every page of a brief asks for all of its own, again after each tap


@dataclass(frozen=True, slots=True)
class Change:
    """One named change: of a material, or of an accord whose lines all changed alike.

    ``before`` and ``after`` are parts as the two formulas have them, 0 where it is not in one; of an exchange those of
    what went and what came. ``ratio``: how many times as much there is, both formulas on one scale.
    """

    kind: str
    materials: tuple[Material, ...]
    accord: str = ""  # the accord that changed as a whole
    within: str = ""  # the accord it lies in
    ratio: Fraction | None = None
    before: Fraction = Fraction(0)
    after: Fraction = Fraction(0)
    instead: tuple[Material, ...] = ()  # of an exchange: what came
    instead_accord: str = ""
    told: tuple[str, str] = ("", "")  # of another stock or lot: what it was, and is

    @property
    def touched(self) -> tuple[Material, ...]:
        """Every material there is more or less of."""
        return (*self.materials, *self.instead)


@dataclass(frozen=True, slots=True)
class Difference:
    """All that two formulas differ in.

    ``scale``: parts of the second for one part of the first. ``rest``: the share of the whole that what did not change
    makes up in the second, over that in the first: under 1 where something was added and nothing made up.
    """

    changes: tuple[Change, ...]
    besides: tuple[Change, ...]  # solvent made up, other stocks and lots
    scale: Fraction
    rest: Fraction

    @property
    def same(self) -> bool:
        """Whether the two are one formula, as far as it is written."""
        return not self.changes and not self.besides


@lru_cache(_KEPT)
def difference(first: Formula, second: Formula) -> Difference:
    """What was changed from ``first`` to ``second``; it says what was weighed, not what can be smelt."""
    sides = Side(first), Side(second)
    found = [_on_scale(Pair(*sides, scale)) for scale in scales(*sides)]
    return min(found, key=lambda one: len(one.changes))  # of as few, the likelier scale


def _on_scale(pair: Pair) -> Difference:
    found = [one.change for one in _exchanged(pair, _by_accord(pair, [*_by_line(pair)]))]
    stocks = tuple(_other_stocks(pair))
    changes, made_up = _without_made_up(pair, found, stocks)
    rest = pair.scale * total(pair.first.formula) / total(pair.second.formula)  # what was weighed, not what was said
    return Difference(changes, (*made_up, *stocks, *_other_lots(pair)), pair.scale, rest)


# --- line by line ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Entry:
    """A change, the keys it covers, and where it stands: the accord around it, and the kept material before it."""

    change: Change
    keys: frozenset[Key]
    place: int


def _by_line(pair: Pair) -> Iterator[_Entry]:
    """Each material whose weight changed: in each accord by itself, or as a whole where it went to another accord."""
    order = {one: None for side in pair.sides for one in (each.line.material.id for each in side.lines)}
    for material_id in order:
        if pair.unchanged(material_id):
            continue
        there = [side.accords_of(material_id) for side in pair.sides]
        if there[0] - there[1] and there[1] - there[0]:
            yield _moved(pair, material_id)
            continue
        for accord in dict.fromkeys(one for side in pair.sides for one, id_ in side.held if id_ == material_id):
            yield from _in_accord(pair, (accord, material_id))


def _in_accord(pair: Pair, key: Key) -> Iterator[_Entry]:
    one, two = (side.held.get(key) for side in pair.sides)
    known = two or one
    assert known is not None  # the key is of one of the two
    before, after = (held.parts if held else Fraction(0) for held in (one, two))
    ratio = pair.ratio(one.active, two.active) if one and two else None
    if ratio != 1:
        change = Change(_kind(one is None, ratio), (known.material,), "", key[0], ratio, before, after)
        yield _Entry(change, frozenset({key}), _place(pair, frozenset({key})))


def _moved(pair: Pair, material_id: str) -> _Entry:
    """One change of a material that lies in other accords than before."""
    keys = frozenset(key for side in pair.sides for key in side.held if key[1] == material_id)
    held = [[side.held[key] for key in side.held if key in keys] for side in pair.sides]
    before, after = (sum((one.parts for one in side), Fraction(0)) for side in held)
    ratio = pair.ratio(*(side.active[material_id] for side in pair.sides))
    within = held[1][0].within[-1] if held[1][0].within else ""
    change = Change(_kind(False, ratio), (held[1][0].material,), "", within, ratio, before, after)
    return _Entry(change, keys, _place(pair, keys))


def _kind(new: bool, ratio: Fraction | None) -> str:
    if ratio is None:
        return ADDED if new else REMOVED
    return RAISED if ratio > 1 else LOWERED


def _place(pair: Pair, keys: frozenset[Key]) -> int:
    """Where it stands, to list changes in the order of the formulas."""
    for side in reversed(pair.sides):
        for place, one in enumerate(side.lines):
            if (one.line.accord, one.line.material.id) in keys:
                return place
    return 0


# --- accords as a whole ---------------------------------------------------------------------------------------------


def _by_accord(pair: Pair, entries: Sequence[_Entry]) -> list[_Entry]:
    """Entries of an accord whose lines all changed alike as one, outermost accords first."""
    left = list(entries)
    for accord in _outermost_first(pair):
        inside = {key for side in pair.sides for key, held in side.held.items() if accord in held.within}
        mine = [one for one in left if one.keys <= inside]
        covered = frozenset(key for one in mine for key in one.keys)
        alike = {(one.change.kind, one.change.ratio) for one in mine}
        if mine and covered == inside and len(alike) == 1:
            left = [one for one in left if one not in mine]
            left.append(_as_one(pair, accord, mine, covered))
    return sorted(left, key=lambda one: one.place)


def _outermost_first(pair: Pair) -> list[str]:
    names = (one.accords[: depth + 1] for side in pair.sides for one in side.lines for depth in range(len(one.accords)))
    depths = {path[-1]: len(path) for path in names}
    return sorted(depths, key=lambda name: depths[name])


def _as_one(pair: Pair, accord: str, mine: Sequence[_Entry], keys: frozenset[Key]) -> _Entry:
    changes = [one.change for one in mine]
    materials = tuple({each.id: each for one in changes for each in one.materials}.values())
    before, after = (sum((getattr(one, name) for one in changes), Fraction(0)) for name in ("before", "after"))
    around = next(one.accords for side in reversed(pair.sides) for one in side.lines if accord in one.accords)
    within = around[around.index(accord) - 1] if around.index(accord) else ""
    change = Change(changes[0].kind, materials, accord, within, changes[0].ratio, before, after)
    return _Entry(change, keys, _place(pair, keys))


# --- one for another ------------------------------------------------------------------------------------------------


def _exchanged(pair: Pair, entries: Sequence[_Entry]) -> list[_Entry]:
    """What went and what came at the same place, paired in their order where they are as many."""
    slots: dict[tuple[str, str | None], tuple[list[_Entry], list[_Entry]]] = {}
    for one in entries:
        if one.change.kind in (REMOVED, ADDED):
            side = pair.first if one.change.kind == REMOVED else pair.second
            slot = slots.setdefault((one.change.within, _kept_before(pair, side, one)), ([], []))
            slot[one.change.kind == ADDED].append(one)
    left = list(entries)
    for gone, came in slots.values():
        if len(gone) == len(came):
            for one, two in zip(gone, came, strict=True):
                left.remove(one)
                left[left.index(two)] = _Entry(_for_another(one.change, two.change), one.keys | two.keys, two.place)
    return left


def _kept_before(pair: Pair, side: Side, entry: _Entry) -> str | None:
    """The material of both formulas that stands before it; None where it comes first."""
    last = None
    for one in side.lines:
        if (one.line.accord, one.line.material.id) in entry.keys:
            return last
        if one.line.material.id in pair.first.active and one.line.material.id in pair.second.active:
            last = one.line.material.id
    return last


def _for_another(gone: Change, came: Change) -> Change:
    return Change(
        EXCHANGED,
        gone.materials,
        gone.accord,
        came.within,
        None,
        gone.before,
        came.after,
        came.materials,
        came.accord,
    )


# --- besides --------------------------------------------------------------------------------------------------------


def _without_made_up(
    pair: Pair, changes: Sequence[Change], stocks: Sequence[Change]
) -> tuple[tuple[Change, ...], tuple[Change, ...]]:
    """Solvents that make up what else was changed, so that the total stays, are a consequence and no change."""
    of_solvents = [one for one in changes if one.kind != EXCHANGED and all(each.solvent for each in one.materials)]
    left = tuple(one for one in changes if one not in of_solvents)
    kept = total(pair.second.formula) == pair.scale * total(pair.first.formula)
    if not kept or not (left or stocks):
        return tuple(changes), ()
    return left, tuple(replace(one, kind=MADE_UP) for one in of_solvents)


def _other_stocks(pair: Pair) -> Iterator[Change]:
    for material, lines in _of_both(pair):
        first, second = (sorted({one.line.stock_percent for one in side}) for side in lines)
        if pair.unchanged(material.id) and first != second:
            yield Change(OTHER_STOCK, (material,), told=(_listed(first), _listed(second)))


def _listed(strengths: Iterable[Decimal]) -> str:
    return ", ".join(f"{exact(one)} %" for one in strengths)


def _other_lots(pair: Pair) -> Iterator[Change]:
    """Only where lots are known of both."""
    for material, lines in _of_both(pair):
        lots = [sorted({one.line.lot for one in side if one.line.lot}) for side in lines]
        if all(lots) and lots[0] != lots[1]:
            yield Change(OTHER_LOT, (material,), told=(", ".join(lots[0]), ", ".join(lots[1])))


def _of_both(pair: Pair) -> Iterator[tuple[Material, list[list[Opened]]]]:
    names: Mapping[str, Material] = {one.line.material.id: one.line.material for one in pair.second.lines}
    for material_id in pair.first.active:
        if material_id in names:
            yield (
                names[material_id],
                [[one for one in side.lines if one.line.material.id == material_id] for side in pair.sides],
            )
