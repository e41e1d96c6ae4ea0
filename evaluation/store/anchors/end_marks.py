"""What an anchor says: one mark for each log, what was found missing, and the lines both are written down in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any, Final

SESSION: Final = "session "
DECISIONS: Final = "decisions "
SERIES: Final = "series "
SKIN: Final = "skin"

Line = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Answered:
    """How many answers one ballot had locked; ``alias`` is whose, "" where the anchor may not say."""

    ballot_id: str
    answers: int
    panelist_id: str = ""
    alias: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """The end of one log: how many records it had, and the hash of the newest.

    ``version`` counts how often lines were taken out of the log on purpose (somebody's words about their skin): marks
    of an earlier version say nothing any more.
    """

    log: str
    count: int
    hash: str
    at: int
    version: int = 0
    people: tuple[Answered, ...] = ()

    def later_than(self, other: Mark) -> bool:
        """Whether this is the newer of two marks of one log, in whatever order they were written down."""
        return (self.version, self.count) >= (other.version, other.count)


@dataclass(frozen=True, slots=True)
class Lost:
    """What was acknowledged and is not there: the mark, how many records were left, and how many answers of whom."""

    mark: Mark
    left: int
    title: str  # of the session or the brief, "" where that is gone too
    missing: tuple[Answered, ...]
    noticed_at: int


@dataclass(slots=True)
class Known:
    """All that an anchor says; its lines are taken in one after another."""

    marks: dict[str, Mark] = field(default_factory=dict)
    lost: list[Lost] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)  # what else happened to the anchor, in sentences
    begun: bool = False
    unreadable: int = 0

    def take(self, line: Line) -> None:
        """One line; one that says nothing known is counted."""
        try:
            for kind, told in line.items():
                _TAKEN[kind](self, told)
        except (KeyError, TypeError, ValueError, AttributeError):
            self.unreadable += 1

    def _anew(self, _: int) -> None:
        self.marks, self.lost, self.notes, self.begun = {}, [], [], True

    def _mark(self, told: Mapping[str, Any]) -> None:
        mark = _mark_of(told)
        before = self.marks.get(mark.log)
        if before is None:
            self.marks[mark.log] = mark
            return
        people = {one.ballot_id: one for one in before.people}
        for one in mark.people:
            if one.ballot_id not in people or one.answers >= people[one.ballot_id].answers:
                people[one.ballot_id] = one
        newest = mark if mark.later_than(before) else before
        self.marks[mark.log] = replace(newest, people=tuple(people.values()))

    def _reset(self, told: Mapping[str, Any]) -> None:
        mark = _mark_of(told)
        self.marks[mark.log] = mark

    def _lost(self, told: Mapping[str, Any]) -> None:
        found = _lost_of(told)
        if not any((one.mark.log, one.mark.hash) == (found.mark.log, found.mark.hash) for one in self.lost):
            self.lost.append(found)

    def _mended(self, told: Mapping[str, Any]) -> None:
        self.lost = [one for one in self.lost if (one.mark.log, one.mark.hash) != (told["log"], told["hash"])]

    def _note(self, told: str) -> None:
        if str(told) not in self.notes:
            self.notes.append(str(told))

    def _seen(self, _: int) -> None:
        self.lost, self.notes = [], []

    def lines(self, now: int) -> Iterator[Line]:
        """The same written down anew, as short as it can be."""
        yield {"anew": now}
        yield from ({"note": one} for one in self.notes)
        yield from ({"lost": asdict(one)} for one in self.lost)
        yield from ({"mark": asdict(one)} for one in self.marks.values())

    def without(self, panelist_ids: frozenset[str]) -> None:
        """Take somebody's alias out."""
        self.marks = {log: replace(one, people=_bare(one.people, panelist_ids)) for log, one in self.marks.items()}
        self.lost = [
            replace(
                one,
                mark=replace(one.mark, people=_bare(one.mark.people, panelist_ids)),
                missing=_bare(one.missing, panelist_ids),
            )
            for one in self.lost
        ]

    def named(self) -> frozenset[str]:
        """The people whose alias is in it."""
        listed = [one.people for one in self.marks.values()] + [one.missing for one in self.lost]
        listed += [one.mark.people for one in self.lost]
        return frozenset(one.panelist_id for people in listed for one in people if one.alias)


_TAKEN: Final[Mapping[str, Any]] = {
    "anew": Known._anew,
    "mark": Known._mark,
    "reset": Known._reset,
    "lost": Known._lost,
    "mended": Known._mended,
    "note": Known._note,
    "seen": Known._seen,
}


def known_of(lines: Iterable[Line], unreadable: int = 0) -> Known:
    """What these lines say together, oldest first."""
    known = Known(unreadable=unreadable)
    for line in lines:
        known.take(line)
    return known


def _bare(people: tuple[Answered, ...], panelist_ids: frozenset[str]) -> tuple[Answered, ...]:
    return tuple(replace(one, alias="") if one.panelist_id in panelist_ids else one for one in people)


def _people_of(told: Iterable[Mapping[str, Any]]) -> tuple[Answered, ...]:
    return tuple(Answered(**one) for one in told)


def _mark_of(told: Mapping[str, Any]) -> Mark:
    if told["log"] != SKIN and not told["log"].startswith((SESSION, DECISIONS, SERIES)):
        raise ValueError("no log of ours")
    given = dict(told) | {"people": _people_of(told["people"])}
    return Mark(**given | {name: int(given[name]) for name in ("count", "at", "version")})


def _lost_of(told: Mapping[str, Any]) -> Lost:
    return Lost(
        **dict(told)
        | {"mark": _mark_of(told["mark"]), "missing": _people_of(told["missing"]), "left": int(told["left"])}
    )
