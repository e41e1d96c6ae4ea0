"""Every named change of a brief, and how often each was made on the way to a trial.

A change is named by the formulas of a trial and of the one it was made from, or by what was typed of it. The same
change made in another line of trials is the same; one that takes back what another did counts against it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from evaluation.deciding.evidence import Evidence
from evaluation.deciding.lineages import Pair, places
from evaluation.formulas import ADDED, EXCHANGED, LOWERED, REMOVED, Change, Difference, Material
from evaluation.formulas.separated import TO_TELL

_APART: Final = re.compile(r"[;\n]")  # what was typed may name several changes
_WAY: Final[Mapping[str, int]] = {REMOVED: -1, LOWERED: -1}


@dataclass(frozen=True, slots=True)
class NamedChange:
    """One change, as it was first made: ``by_formula``, else ``typed``; neither where nobody wrote what was changed.

    ``from_id`` is "" for a trial made from no other whose formula is not known beside that of the first: all that sets
    it apart from that is one change.
    """

    from_id: str
    to_id: str
    by_formula: Change | None = None
    typed: str = ""

    @property
    def can_be_mixed(self) -> bool:
        """Whether somebody wrote what it is."""
        return self.by_formula is not None or bool(self.typed)


@dataclass(frozen=True, slots=True)
class Ways:
    """The changes of a brief in the order they were first made, and by trial how often each was made on the way to it.

    A number is 0 or 1 mostly; −1 where a trial has the reverse, 2 where a change was made twice in one line.
    """

    changes: tuple[NamedChange, ...]
    made: Mapping[str, tuple[int, ...]]


def pairs_to_know(seen: Evidence) -> tuple[Pair, ...]:
    """The trials between which a change is asked for: parent and child, and the first with others of no parent."""
    return tuple((one, two) for one, two in _steps(seen) if one)


def _steps(seen: Evidence) -> Iterator[Pair]:
    """To each trial the one it is held against; "" for the first of all."""
    first = ""
    for one in places(seen.parents):
        yield one.parent_id or first, one.trial_id
        first = first or one.trial_id


def ways(seen: Evidence, known: Mapping[Pair, Difference]) -> Ways:
    """``known``: what the formulas of :func:`pairs_to_know` differ in, where both are in the book."""
    found = _Found(seen, known)
    for held_against, trial_id in _steps(seen):
        found.add(held_against, trial_id)
    order = sorted(range(len(found.changes)), key=lambda at: found.made_at[found.changes[at].to_id])
    made = {one.id: tuple(found.made[one.id].get(at, 0) for at in order) for one in seen.trials}
    return Ways(tuple(found.changes[at] for at in order), made)


class _Found:
    """Changes collected on the way from parents to children."""

    def __init__(self, seen: Evidence, known: Mapping[Pair, Difference]) -> None:
        self.seen = {one.id: one for one in seen.trials}
        self.made_at = {one.id: one.made_at for one in seen.trials}
        self.known = known
        self.changes: list[NamedChange] = []
        self.place: dict[Any, tuple[int, int]] = {}  # by what it is: its place, and the way it was made first
        self.made: dict[str, dict[int, int]] = {}

    def add(self, held_against: str, trial_id: str) -> None:
        count = dict(self.made.get(held_against, {}))
        for key, way, change in self._between(held_against, trial_id) if held_against else ():
            at, first_way = self.place.setdefault(key, (len(self.changes), way))
            if at == len(self.changes):
                self.changes.append(change)
            count[at] = count.get(at, 0) + way * first_way
        self.made[trial_id] = count

    def _between(self, one: str, two: str) -> Iterator[tuple[Any, int, NamedChange]]:
        trial = self.seen[two]
        formulas = self.known.get((one, two))
        if formulas is not None and formulas.changes:
            for change in formulas.changes:
                yield *_key(change), NamedChange(one, two, change)
        elif trial.parent_id != one:  # made from no other
            if formulas is None:
                yield ("start", two), 1, NamedChange("", two)
        elif typed := _typed(trial.changed):
            for text in typed:
                yield ("typed", text.casefold()), 1, NamedChange(one, two, None, text)
        elif formulas is None:
            yield ("unwritten", two), 1, NamedChange(one, two)


def _typed(text: str) -> tuple[str, ...]:
    parts = (" ".join(one.split()).rstrip(".") for one in _APART.split(text.removeprefix(TO_TELL)))
    return tuple(dict.fromkeys(one for one in parts if one))


def _key(change: Change) -> tuple[Any, int]:
    """What a change is whichever way it is made, and the way: parts that came or went, or how many times as much."""
    sides = (_side(change.accord, change.materials), _side(change.instead_accord, change.instead))
    if change.kind == EXCHANGED:
        way = 1 if sides[0] <= sides[1] else -1
        amounts = (change.before, change.after)[::way]
        return (EXCHANGED, sides[::way], change.within, amounts), way
    way = _WAY.get(change.kind, 1)
    if change.ratio is None:
        return (ADDED, sides[0], change.within, change.before + change.after), way
    return ("times", sides[0], change.within, max(change.ratio, 1 / change.ratio)), way


def _side(accord: str, materials: tuple[Material, ...]) -> tuple[str, ...]:
    return accord, *sorted(one.id for one in materials)
