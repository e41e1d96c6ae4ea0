"""Alone, what did not go by the plan: the sets it can be said of, each with the answer that was locked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from evaluation.actions import solo
from evaluation.sessions import DEVIATIONS, Serving
from evaluation.store import Notebook

# The likeliest first; alone there is nobody to overhear.
_FIRST: Final = ("wrong code", "ruined strip", "recognised", "wrong strip")
KINDS: Final = (*_FIRST, *(kind for kind in DEVIATIONS if kind not in (*_FIRST, "overheard")))


@dataclass(frozen=True, slots=True)
class SetSoFar:
    """A set on the table or answered, whose marks are not entered; ``locked`` is its answer, "" before there is one."""

    serving_id: str
    place: int
    codes: tuple[str, ...]
    locked: str


@dataclass(frozen=True, slots=True)
class Slips:
    """What can be noted now: ``sets``, the one in hand first, and which set can be made anew."""

    sets: tuple[SetSoFar, ...]
    all_sets: bool  # nothing of the session is marked yet, so that all of it can be set apart
    anew: tuple[int, ...]  # places of sets that are not answered yet and can be made anew
    spare_codes: int  # sets that can still be made anew


def slips(notebook: Notebook, session_id: str) -> Slips:
    """Of a solo session that is sealed and not opened."""
    step = solo.next_step(notebook, session_id)
    with notebook.reading() as tx:
        served = tx.sittings.servings(session_id)
        chosen = {one.serving_id: one.value for one in tx.ballots.answers(step.ballot_id) if one.question == "choice"}
        marked = tx.key.marked(session_id)
    lying = {one.place for one in step.waiting} | ({step.number} if step.kind == solo.ANSWER else set())

    def can_be_noted(one: Serving) -> bool:
        kept = not (one.void or one.spare or one.id in marked)
        return kept and (one.id in chosen or one.place in lying)

    told = tuple(
        SetSoFar(one.id, one.place, one.codes, chosen.get(one.id, ""))
        for one in sorted(served, key=lambda one: (one.place != step.number, -one.place))
        if can_be_noted(one)
    )
    return Slips(told, not marked, solo.to_be_spoilt(step), sum(one.spare for one in served))
