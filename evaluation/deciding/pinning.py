"""What a session whose trials differ in several named changes can and cannot be pinned on.

All changes are served at once, so that no answer tells which of them did it. Only the time can speak against one: the
rule stands in ``formulas.windows``. Facts are found here, ``wording.of_pinning`` renders them.

An age counts as one at which something moved where the session's sealed analysis shows it in its family: a word of a
verdict, or what moved in a profile. Which trial was held nearer the brief is a family of its own and stays out, and so
does what is described only: then every age at which something moved without cause is a false one of one family. So
where a window is right within a factor of two, the change that did it is called unfitting with a chance of at most the
sealed alpha.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from evaluation.deciding.evidence import FIRST, MOVED, NOTICE, NUMBER, PREFERENCE, SECOND, Point
from evaluation.formulas import FITS, NOT_SAID, UNFITTING, Change, Difference, ages_inside, fitting, scented
from evaluation.judging.entries import NOTICED, NOTICED_BUT_SMALL
from evaluation.sessions import STRIP

_SHOWN: Final = {
    NOTICE: frozenset({NOTICED, NOTICED_BUT_SMALL}),
    PREFERENCE: frozenset({FIRST, SECOND}),
    MOVED: frozenset({FIRST, SECOND}),
}


@dataclass(frozen=True, slots=True)
class MovedAt:
    """A strip age at which something moved; ``by``: NOTICE, PREFERENCE, or the descriptors that moved."""

    minutes: Decimal
    by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """One named change against the strip ages of a session.

    ``inside``: the ages at which it may be smelt, its windows widened twofold; None where a window is not known.
    ``by_class``: a window of it is that of a volatility class. ``word`` is "" until something moved.
    """

    change: Change
    inside: tuple[Decimal, ...] | None
    by_class: bool
    word: str = NOT_SAID


@dataclass(frozen=True, slots=True)
class Pinning:
    """All changes between two trials of one session, and what its strip ages say about each.

    ``ages``: the strip ages in minutes, none for a session on skin only, of which windows say nothing. ``over_all``:
    something moved over all ages taken together, which is at no age. ``beside``: other stocks, other lots and solvent
    made up; ``thinned``: nothing made up what was added or taken, so that all that stayed has another share.
    """

    first: str  # labels of the trials
    second: str
    ages: tuple[Decimal, ...]
    changes: tuple[Placed, ...]
    beside: tuple[Change, ...]
    thinned: bool
    moved: tuple[MovedAt, ...] = ()
    over_all: bool = False
    alpha: Decimal | None = None  # as sealed; None of a draft

    def called(self, word: str) -> tuple[Placed, ...]:
        """The changes that carry a word."""
        return tuple(one for one in self.changes if one.word == word)

    @property
    def unknown(self) -> tuple[Placed, ...]:
        """The changes that fit whatever is found, since a window of them is not known."""
        return tuple(one for one in self.changes if one.inside is None)

    @property
    def alike(self) -> tuple[tuple[Placed, ...], ...]:
        """Changes smelt at the same of these ages, together: this session cannot tell them from one another."""
        groups: dict[tuple[Decimal, ...] | None, list[Placed]] = {}
        for one in self.changes:
            groups.setdefault(one.inside, []).append(one)
        return tuple(map(tuple, groups.values()))


@dataclass(frozen=True, slots=True)
class Counted:
    """The same in numbers, for what is handed on: no change is named, so that no formula leaves the house."""

    first: str
    second: str
    changes: int
    moved: tuple[MovedAt, ...]
    unfitting: int
    fitting: int
    unknown: int


def foreseen(found: Difference, names: tuple[str, str], ages: tuple[Decimal, ...]) -> Pinning:
    """Before anybody smells: at which of the planned strip ages each change may be smelt."""
    thinned = bool(found.changes) and found.rest != 1
    return Pinning(*names, ages, tuple(_placed(one, ages) for one in found.changes), found.besides, thinned)


def _placed(change: Change, ages: Sequence[Decimal]) -> Placed:
    by_class = any(one.minutes is None and one.window is not None for one in scented(change.touched))
    return Placed(change, ages_inside(change.touched, ages), by_class)


def pinned(before: Pinning, points: Iterable[Point], pair: tuple[str, str], alpha: Decimal) -> Pinning:
    """After opening: the word for each change, from the points of the session's sealed analysis about these two."""
    shown = [one for one in points if one.pair == frozenset(pair) and _is_shown(one)]
    moved, over_all = _moved(shown, before.ages)
    ages = [one.minutes for one in moved]
    changes = tuple(replace(one, word=fitting(one.change.touched, ages)) for one in before.changes)
    return replace(before, changes=changes, moved=moved, over_all=over_all, alpha=alpha)


def _is_shown(point: Point) -> bool:
    return point.medium == STRIP and point.answered and point.outcome in _SHOWN.get(point.topic, ())


def _moved(shown: Iterable[Point], ages: Sequence[Decimal]) -> tuple[tuple[MovedAt, ...], bool]:
    by_age: dict[Decimal, list[str]] = {}
    over_all = False
    for point in shown:
        at = tuple(_ages_of(point, ages))
        over_all = over_all or not at
        for minutes in at:
            by_age.setdefault(minutes, []).append(point.descriptor or point.topic)
    moved = tuple(MovedAt(one, tuple(dict.fromkeys(by_age[one]))) for one in sorted(by_age))
    return moved, over_all


def _ages_of(point: Point, ages: Sequence[Decimal]) -> Iterator[Decimal]:
    """A profile tells every age of a move; what is told over all ages has one where there is only one."""
    if point.topic == MOVED:
        yield from (Decimal(one[NUMBER]) for one in point.facts["ages"])
    elif point.minutes is not None:
        yield point.minutes
    elif len(ages) == 1:
        yield ages[0]


def counted(found: Pinning) -> Counted:
    """What may be handed on of it."""
    return Counted(
        found.first,
        found.second,
        len(found.changes),
        found.moved,
        len(found.called(UNFITTING)),
        len(found.called(FITS)),
        len(found.unknown),
    )
