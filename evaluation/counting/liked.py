"""Who liked which of two trials better: the answers of one opened session, as one model over sessions takes them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from evaluation.counting.questions import FIRST, SECOND, Held, assess, on_medium
from evaluation.counting.rounds import Ordered, ordered
from evaluation.sessions import NO_PREFERENCE, OVERALL, STRIP, Plan


@dataclass(frozen=True, slots=True)
class Liked:
    """One answer; ``better`` and ``other`` are ids of the plan. ``tied``: neither was preferred."""

    person: str
    better: str
    other: str
    tied: bool = False


def liked(held: Held) -> tuple[Liked, ...]:
    """The answers that count, on strips; () of a session that asks for no preference.

    Of a session with several ages the primary one speaks, else the choice over all of them. A ranking gives its
    neighbours only: that the first is liked better than the third follows, and is no answer of its own.
    """
    plan = held.plan
    if STRIP not in plan.media or len(plan.trial_ids) < 2:  # a ranking of second strips is about one trial
        return ()
    if plan.kind.votes:
        return tuple(_preferences(on_medium(held, STRIP)))
    if plan.kind.pairs or plan.kind.ranks:
        rows = ordered(on_medium(held, STRIP))
        return tuple(one for row in rows if row.counted for one in _in_order(row, plan))
    return ()


def _preferences(held: Held) -> Iterator[Liked]:
    plan = held.plan
    speaks = plan.primary if isinstance(plan.primary, int) else OVERALL
    for row in assess(held):
        if row.counted and row.age == speaks and row.preferred in (FIRST, SECOND, NO_PREFERENCE):
            first, second = plan.trial_ids if row.preferred != SECOND else plan.trial_ids[::-1]
            yield Liked(row.panelist_id or f"seat {row.seat}", first, second, row.preferred == NO_PREFERENCE)


def _in_order(row: Ordered, plan: Plan) -> Iterator[Liked]:
    if not row.best_first:
        first, second = (plan.trial_ids[place] for place in row.trials)
        yield Liked(row.person, first, second, tied=True)
    for better, other in pairwise(row.best_first):
        yield Liked(row.person, plan.trial_ids[better], plan.trial_ids[other])
