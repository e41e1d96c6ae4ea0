"""Briefs made for tests: trials in a chain or a star, and opened sessions judged by the real rule from counts of votes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache

from evaluation.counting.tallies import PreferenceTally, Tally
from evaluation.deciding.evidence import (
    MOVED,
    NEARER,
    NEITHER,
    Evidence,
    Point,
    SessionShown,
    TrialShown,
    Unmoved,
    facts_of,
    point_of,
)
from evaluation.judging.entries import Rules
from evaluation.judging.verdicts import judge_tallies

RULES = Rules(primary_age=5.0)
RISKS = (Decimal("0.05"), Decimal("0.05"), Decimal("0.30"))
AGES = (5.0,)
Votes = tuple[int, int, int]  # people for the first trial, the second, neither


def trials(number: int, shape: str = "chain") -> tuple[TrialShown, ...]:
    """``number`` trials: each made from the one before, or all from the first."""
    parents = [None, *(f"t{place if shape == 'chain' else 0}" for place in range(number - 1))]
    return tuple(TrialShown(f"t{n}", str(100 + n), parent, "a change", n) for n, parent in enumerate(parents))


def brief(made: Sequence[TrialShown], sessions: Iterable[SessionShown]) -> Evidence:
    return Evidence("brief", tuple(made), (), None, tuple(sessions), 0)


@cache
def _preference(votes: Votes, topic: str) -> Point:
    """A preference of so many people at one age, judged; about trials "a" and "b"."""
    first, second, none = votes
    each = [(1, 0, 0)] * first + [(0, 1, 0)] * second + [(0, 0, 1)] * none
    counts = tuple(zip(*each, strict=True)) or ((), (), ())
    people = tuple(f"P{place}" for place in range(len(each)))
    (entry,) = judge_tallies([PreferenceTally("a and b", "preference", 5.0, people, *counts)], RULES)
    return point_of(entry, ("a", "b"), "strip", topic)


@cache
def _difference(correct: int, people: int) -> Point:
    own = (1,) * correct + (0,) * (people - correct)
    named = tuple(f"P{place}" for place in range(people))
    (entry,) = judge_tallies([Tally("a and b", "triangle", 5.0, named, own, (1,) * people)], RULES)
    return point_of(entry, ("a", "b"), "strip")


def _session(number: int, method: str, trial_ids: tuple[str, ...], points: Iterable[Point]) -> SessionShown:
    fields = (f"s{number}", f"Session {number}", method, "strip", number, trial_ids, *RISKS, "hash", True, False)
    return SessionShown(*fields, tuple(points))


def _about(point: Point, pair: tuple[str, str]) -> Point:
    return replace(point, first_id=pair[0], second_id=pair[1])


def preference(number: int, pair: tuple[str, str], votes: Votes, nearer: Votes | None = None) -> SessionShown:
    """An opened preference, with or without the question which is nearer the brief."""
    points = [_preference(votes, "")] + ([] if nearer is None else [_preference(nearer, NEARER)])
    return _session(number, "preference", pair, (_about(one, pair) for one in points))


def triangle(number: int, pair: tuple[str, str], correct: int, people: int) -> SessionShown:
    return _session(number, "triangle", pair, (_about(_difference(correct, people), pair),))


def profile(number: int, pair: tuple[str, str]) -> SessionShown:
    """An opened profile in which nothing moved; the brief has no targets."""
    point = Point(MOVED, *pair, "strip", None, NEITHER, True, facts_of(Unmoved(None)))
    return _session(number, "profile", pair, (point,))
