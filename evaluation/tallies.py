"""Counts of answers, one entry per person: what the rule is fed with, whether from a session or from a file."""

from __future__ import annotations

from dataclasses import dataclass

from evaluation import checks
from evaluation.errors import ArgumentError
from evaluation.sessions import FORCED_CHOICE, OVERALL


@dataclass(frozen=True, slots=True)
class Tally:
    """Correct answers at one strip age of one comparison, one entry per person."""

    comparison: str
    method: str
    age_minutes: float | str
    people: tuple[str, ...]
    correct: tuple[int, ...]
    assessments: tuple[int, ...]

    def __post_init__(self) -> None:
        checks.choice("method", self.method, FORCED_CHOICE)
        _check_people(self, self.correct, self.assessments)
        if self.people and min(self.assessments) < 1:
            raise ArgumentError("assessments must be 1 or more for every person: leave out who did not answer.")
        if any(map(int.__gt__, self.correct, self.assessments)):
            raise ArgumentError("correct must not be more than assessments.")


@dataclass(frozen=True, slots=True)
class PreferenceTally:
    """Preferences at one strip age (or ``"overall"``) of one comparison, one entry per person."""

    comparison: str
    method: str
    age_minutes: float | str
    people: tuple[str, ...]
    first: tuple[int, ...]
    second: tuple[int, ...]
    none: tuple[int, ...]

    def __post_init__(self) -> None:
        checks.choice("method", self.method, ("preference",))
        _check_people(self, self.first, self.second, self.none)


AnyTally = Tally | PreferenceTally


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
