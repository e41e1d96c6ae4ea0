"""What an opened round of pairs or ranking says of every two of its trials."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import combinations

from evaluation.actions.round_findings import round_findings
from evaluation.counting.fans import fan_of
from evaluation.counting.rounds import Pair, RoundFound
from evaluation.deciding.evidence import (
    CAMPS,
    FIRST,
    NEITHER,
    PREFERENCE,
    SECOND,
    SPLIT,
    Camps,
    Collected,
    Facts,
    OftenNearer,
    Point,
    Unheard,
    facts_of,
)
from evaluation.sessions import Medium, Session
from evaluation.store import Notebook


def rounds(notebook: Notebook, session: Session) -> Collected:
    """People's preferences for every two trials, camps where they are shown. A fan is of one trial and says nothing of
    trials: what it found stands beside.
    """
    parts = round_findings(notebook, session.id).found
    if session.plan.strips_a_code > 1:
        return Collected((), gaps=tuple(facts_of(fan) for fan in map(fan_of, parts) if fan is not None))
    points = tuple(point for part in parts for point in pair_points(part))
    return Collected(points, gaps=tuple(one for part in parts for one in _beside(part)))


def pair_points(found: RoundFound) -> Iterator[Point]:
    """Of every two trials which is preferred, or why nothing can be said; a fan is of one trial."""
    if found.plan.strips_a_code > 1:
        return
    if not found.answered:
        yield from _unanswered(found)
    for pair in found.pairs:
        yield from _of_pair(found, pair)


def _unanswered(found: RoundFound) -> Iterator[Point]:
    """Nothing counts: every two trials are as open as before, and the reason is known."""
    planned, lost, facts = found.came.planned, found.came.left_out, facts_of(Unheard(alone=False))
    for pair in combinations(found.plan.trial_ids, 2):
        yield Point(PREFERENCE, *pair, found.medium, None, NEITHER, True, facts, planned=planned, lost=lost)


def _of_pair(found: RoundFound, pair: Pair) -> Iterator[Point]:
    about = (found.plan.trial_ids[pair.first], found.plan.trial_ids[pair.second], found.medium, None)
    outcome = NEITHER if not pair.shown else FIRST if pair.better == pair.first else SECOND
    votes = ("", pair.for_first, pair.for_second, pair.people)
    if not pair.people:
        yield _unheard(found, pair, about)
        return
    yield Point(PREFERENCE, *about, outcome, True, facts_of(pair), *votes)
    if pair.camps:
        yield Point(CAMPS, *about, SPLIT, True, facts_of(Camps()), *votes)


def _unheard(found: RoundFound, pair: Pair, about: tuple[str, str, Medium, None]) -> Point:
    """Where each nose smells some pairs only, nobody may have smelt this one, or every answer about it was left out."""
    own = [row for row in found.rows if {pair.first, pair.second} <= set(row.trials)]
    lost = tuple(sorted(Counter(row.left_out[0] for row in own if row.left_out).items()))
    facts = facts_of(Unheard(alone=True))
    if not own:
        return Point(PREFERENCE, *about, NEITHER, False, facts)
    return Point(PREFERENCE, *about, NEITHER, True, facts, planned=len(own), lost=lost)


def _beside(found: RoundFound) -> Iterator[Facts]:
    if found.nearer:
        yield facts_of(OftenNearer(tuple(found.nearer)))
