"""What a session can be pinned on: the changes between its trials against the strip ages, before and after.

For the conductor's screens, as formulas are. Only :func:`handed_on` goes into a report: it counts and names nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from itertools import combinations
from typing import Any

from evaluation.actions import formulas
from evaluation.actions.collect import is_read, verdict_points
from evaluation.actions.opened import Findings
from evaluation.actions.plan import sessions
from evaluation.deciding import pinning
from evaluation.deciding.evidence import Evidence, Point, exact
from evaluation.deciding.pinning import Counted, Pinning
from evaluation.sessions import STRIP, Plan
from evaluation.store import Notebook


def foreseen(notebook: Notebook, plan: Plan) -> tuple[Pinning, ...]:
    """Of every two trials of a plan whose formulas are known: at which planned ages each change may be smelt."""
    return tuple(_foreseen(notebook, plan).values())


def pinned(notebook: Notebook, found: Findings[Any]) -> tuple[Pinning, ...]:
    """The same of an opened session, with the word for each change; none of a kind whose findings are not read."""
    if not is_read(found.plan.method):
        return ()
    points = [point for part in found.found for point in verdict_points(part)]
    return tuple(_judged(notebook, found.plan, points))


def pinned_by_session(notebook: Notebook, seen: Evidence) -> dict[str, tuple[Pinning, ...]]:
    """The same of every opened session of a brief, from its evidence as it stands."""
    plans = {one.id: one.plan for one in sessions(notebook, seen.brief_id)}
    return {
        one.session_id: tuple(_judged(notebook, plans[one.session_id], one.points, by_trial=True))
        for one in seen.sessions
        if one.session_id in plans and is_read(plans[one.session_id].method)
    }


def counted_by_session(notebook: Notebook, seen: Evidence) -> dict[str, tuple[Counted, ...]]:
    """The same in numbers, for the report of a brief."""
    told = pinned_by_session(notebook, seen)
    return {session_id: tuple(map(pinning.counted, each)) for session_id, each in told.items()}


def handed_on(notebook: Notebook, found: Findings[Any]) -> Findings[Any]:
    """The findings with how many changes there are and how many fit: what a report may tell."""
    told = tuple(pinning.counted(one) for one in pinned(notebook, found))
    return replace(found, context=replace(found.context, pinned=told))


def _judged(notebook: Notebook, plan: Plan, points: Iterable[Point], *, by_trial: bool = False) -> Iterable[Pinning]:
    """``by_trial``: the points are told of trials, as evidence has them, whatever bottles were smelt."""
    given = tuple(points)
    with notebook.reading() as tx:
        smelt = tx.bottles.trials(plan.trial_ids) if by_trial else {one: one for one in plan.trial_ids}
    for (first, second), before in _foreseen(notebook, plan).items():
        yield pinning.pinned(before, given, (smelt[first], smelt[second]), plan.alpha)


def _foreseen(notebook: Notebook, plan: Plan) -> dict[tuple[str, str], Pinning]:
    pairs = combinations(plan.trial_ids, 2) if plan.design.separation is None else ()  # effects tell which change it is
    known = formulas.between_all(notebook, pairs)
    with notebook.reading() as tx:
        labels = {one: tx.book.trial(one).label for one in plan.trial_ids}
    ages = strip_ages(plan)
    return {pair: pinning.foreseen(one, (labels[pair[0]], labels[pair[1]]), ages) for pair, one in known.items()}


def strip_ages(plan: Plan) -> tuple[Decimal, ...]:
    """Minutes, spelt as points of evidence spell them; none on skin only."""
    listed = plan.ages_on(STRIP) if STRIP in plan.media else ()
    return tuple(one for one in (exact(age.minutes) for age in listed) if one is not None)
