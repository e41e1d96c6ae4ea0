"""What each kind of opened session says about its trials, as points of evidence. A kind that is not in the table of
collectors is named as a gap and never guessed at."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import Any, Final

from evaluation.actions.collect_profile import moved_points, profile
from evaluation.actions.collect_rounds import pair_points, rounds
from evaluation.actions.two_findings import TwoFound, two_findings
from evaluation.counting.questions import Loss
from evaluation.deciding.evidence import NEARER, NOTICE, Collected, Point, Said, Unread, exact, facts_of, point_of
from evaluation.judging.sequences import SequentialEntry
from evaluation.kinds import ByKind
from evaluation.sessions import Medium, Session
from evaluation.store import Notebook

Collector = Callable[[Notebook, Session], Collected]


def collect(notebook: Notebook, session: Session) -> Collected:
    """Points of an opened session; StillBlind for any other."""
    collector = COLLECTORS.get(session.plan.method)
    if collector is None:
        return Collected((), gaps=(facts_of(Unread()),))
    return collector(notebook, session)


def two_trials(notebook: Notebook, session: Session) -> Collected:
    """Forced choices and preferences: verdicts, sequential ones, and which was held nearer the brief."""
    parts = two_findings(notebook, session.id).found
    return Collected(
        tuple(point for part in parts for point in _of_part(part)),
        said=tuple(one for part in parts for one in _said(part)),
    )


def _said(found: TwoFound) -> Iterator[Said]:
    """What people said of each trial by itself, whatever they prefer."""
    trials = {"first": found.plan.first_trial_id, "second": found.plan.second_trial_id}
    for one in found.impressions:
        yield Said(trials[one.trial], found.medium, one.asked, one.counts)


def _of_part(found: TwoFound) -> Iterator[Point]:
    pair, medium = (found.plan.first_trial_id, found.plan.second_trial_id), found.medium
    for entry in found.entries:
        yield point_of(entry, pair, medium, loss=found.loss_of(entry))
    for entry in found.nearer:
        yield point_of(entry, pair, medium, NEARER, found.loss_of(entry))
    if found.sequence is not None:
        yield _of_looks(found.sequence, pair, medium, found.loss_of(found.sequence))


def _of_looks(entry: SequentialEntry, pair: tuple[str, str], medium: Medium, loss: Loss | None) -> Point:
    bare = Point(NOTICE, *pair, medium, exact(entry.age_minutes), entry.verdict, True, facts_of(entry))
    found = replace(bare, people=entry.panelists, settle=entry.settle)
    return found if loss is None or loss.counted else replace(found, planned=loss.planned, lost=loss.left_out)


COLLECTORS: Final[ByKind[Collector]] = ByKind(
    "a way to collect what it says",
    {
        "forced choice": two_trials,
        "preference": two_trials,
        "profile": profile,
        "round": rounds,
        "ranking": rounds,
    },
)

# What the sealed analysis of one part of a session says, from what was found already
_BY_VERDICT: Final[ByKind[Callable[[Any], Iterable[Point]]]] = ByKind(
    "points of its verdict",
    {
        "forced choice": _of_part,
        "preference": _of_part,
        "profile": moved_points,
        "round": pair_points,
        "ranking": pair_points,
    },
)


def is_read(method: str) -> bool:
    """Whether points are made of what a kind of session finds; of one nobody registered them for nothing is guessed."""
    return _BY_VERDICT.get(method) is not None


def verdict_points(part: Any) -> Iterable[Point]:
    """Points of one part of findings of any kind, without what only stands beside its analysis in a profile."""
    return _BY_VERDICT.of(part.plan.method)(part)
