"""Counts of answers, one entry per person: what the rule is fed with, whether from a session or from a file."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from evaluation.errors import ArgumentError
from evaluation.ground import checks
from evaluation.kinds import Method, methods
from evaluation.sessions import OVERALL

Said = tuple[tuple[int, int], ...]  # (answers, right) for each word of sureness, guess first


@dataclass(frozen=True, slots=True)
class Tally:
    """Correct answers at one strip age of one comparison, one entry per person.

    ``said``: the same answers by the sureness said with them, where that is to weigh; a blank counts as a guess.
    """

    comparison: str
    method: Method
    age_minutes: float | str
    people: tuple[str, ...]
    correct: tuple[int, ...]
    assessments: tuple[int, ...]
    said: Said = ()

    def __post_init__(self) -> None:
        checks.choice("method", self.method, methods(lambda kind: kind.judged))
        _check_people(self, self.correct, self.assessments)
        if self.people and min(self.assessments) < 1:
            raise ArgumentError("assessments must be 1 or more for every person: leave out who did not answer.")
        if any(map(int.__gt__, self.correct, self.assessments)):
            raise ArgumentError("correct must not be more than assessments.")
        if self.said and tuple(map(sum, zip(*self.said, strict=True))) != (sum(self.assessments), sum(self.correct)):
            raise ArgumentError("said must add up to the answers and to the right ones.")

    def pooled(self) -> Pooled:
        """The sums the rule works with."""
        asked = sum(self.assessments)
        replicated = 1 < len(self.people) < asked
        own = tuple(zip(self.correct, self.assessments, strict=True)) if replicated else ()
        people = len(self.people)
        return Pooled(self.comparison, self.method, self.age_minutes, people, asked, sum(self.correct), own, self.said)


@dataclass(frozen=True, slots=True)
class PreferenceTally:
    """Preferences at one strip age (or ``"overall"``) of one comparison, one entry per person."""

    comparison: str
    method: Method
    age_minutes: float | str
    people: tuple[str, ...]
    first: tuple[int, ...]
    second: tuple[int, ...]
    none: tuple[int, ...]

    def __post_init__(self) -> None:
        checks.choice("method", self.method, ("preference",))
        _check_people(self, self.first, self.second, self.none)

    def pooled(self) -> PooledVotes:
        """The sums the rule works with: one vote per person, or the answers of a panel of one."""
        answers = (sum(self.first), sum(self.second), sum(self.none))
        each = [own for own in zip(self.first, self.second, self.none, strict=True) if any(own)]
        votes = answers if len(each) == 1 else majorities(each)
        return PooledVotes(self.comparison, self.method, self.age_minutes, len(each), votes, answers)


@dataclass(frozen=True, slots=True)
class Pooled:
    """A forced-choice tally added up. ``own``: each person's (correct, assessments), only where several people
    answered and one of them more than once. ``said``: by the sureness said, where that was counted."""

    comparison: str
    method: Method
    age_minutes: float | str
    panelists: int
    assessments: int
    correct: int
    own: tuple[tuple[int, int], ...] = ()
    said: Said = ()

    @property
    def replicated(self) -> bool:
        """True where one of several people answered more than once: then answers are no longer independent."""
        return bool(self.own)


@dataclass(frozen=True, slots=True)
class PooledVotes:
    """A preference tally added up: ``votes`` and ``answers`` are counts of (first, second, none)."""

    comparison: str
    method: Method
    age_minutes: float | str
    panelists: int
    votes: tuple[int, int, int]
    answers: tuple[int, int, int]


AnyTally = Tally | PreferenceTally
AnyPooled = Pooled | PooledVotes


def majorities(each: Iterable[tuple[int, int, int]]) -> tuple[int, int, int]:
    """One vote per person: the answer given most often; an even split is no preference."""
    votes = [0, 0, 0]
    for own in each:
        most = max(own)
        votes[own.index(most) if own.count(most) == 1 else 2] += 1
    return votes[0], votes[1], votes[2]


def check_age(name: str, age: float | str) -> None:
    """Refuse a strip age that is neither a number of minutes nor ``"overall"``."""
    if age != OVERALL:
        checks.real(name, age, 0.0)


def _check_people(tally: AnyTally, *counts: tuple[int, ...]) -> None:
    check_age("age_minutes", tally.age_minutes)
    if any(len(one) != len(tally.people) for one in counts):
        raise ArgumentError("a tally must hold one count per person.")
    if len(set(tally.people)) != len(tally.people):
        raise ArgumentError("people must name each person once.")
    if tally.people and min(map(min, counts)) < 0:
        raise ArgumentError("counts must be 0 or more.")
