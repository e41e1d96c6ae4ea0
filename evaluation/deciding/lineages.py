"""The trials of a brief as a tree: where each stands in its picture, and what lies between two of them.

Words and drawings are made elsewhere. Nothing here is more than the book, the sessions and the record say.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from evaluation.deciding.claims import together
from evaluation.deciding.evidence import Evidence, SessionShown, line_of
from evaluation.formulas import Difference
from evaluation.ground.states import State

SEALED: Final = "sealed"  # and not opened: nothing is told of it but that it is
PLANNED: Final = "planned"
_AHEAD: Final = {"draft": PLANNED, "sealed": SEALED, "smelling": SEALED, "closed": SEALED}

Pair = tuple[str, str]


# --- where each trial stands ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Place:
    """Where a trial stands: in a lane, with the lines to its left that pass it by.

    ``passing`` names for each lane left of it the trial to which the line there goes on. ``turns``: its own line comes
    from the lane to the left and not from above. ``goes_on`` is the trial made from it that stands in its own lane
    further down, "" at the end of a lane.
    """

    trial_id: str
    parent_id: str | None
    passing: tuple[str, ...] = ()
    turns: bool = False
    goes_on: str = ""

    @property
    def lane(self) -> int:
        """The first lane is 0."""
        return len(self.passing)


def places(parents: Mapping[str, str | None]) -> tuple[Place, ...]:
    """Every trial once, from top to bottom; ``parents`` in the order in which trials were made.

    Of the trials made from one, the last is drawn below it in its own lane: that with most trials behind it, of equals
    the one made last. The others come before it, each one lane to the right, so that whatever stands in a lane has
    nothing but room to its right. A lane more is taken only by at most half of the trials below one, so n trials need
    at most 1 + log2(n) lanes.
    """
    made_from = _without_circles(parents)
    behind = _behind(made_from)
    below: dict[str | None, list[str]] = {}
    for one, parent in made_from.items():
        below.setdefault(parent, []).append(one)
    order = {one: number for number, one in enumerate(made_from)}
    waiting: list[tuple[str, tuple[str, ...], bool]] = [(one, (), False) for one in reversed(below.get(None, []))]
    found = []
    while waiting:
        one, passing, turns = waiting.pop()
        children = below.get(one, [])
        goes_on = max(children, key=lambda child: (behind[child], order[child]), default="")
        found.append(Place(one, made_from[one], passing, turns, goes_on))
        if goes_on:
            waiting.append((goes_on, passing, False))
        waiting += [(child, (*passing, goes_on), True) for child in reversed(children) if child != goes_on]
    return tuple(found)


def _without_circles(parents: Mapping[str, str | None]) -> dict[str, str | None]:
    """Each trial with the one it was made from, where the book has it. The book refuses circles; one would be cut."""
    found: dict[str, str | None] = dict.fromkeys(parents)
    for one, parent in parents.items():
        if parent is not None and parent in parents and one not in line_of(found, parent):
            found[one] = parent
    return found


def _behind(made_from: Mapping[str, str | None]) -> dict[str, int]:
    """How many trials stand behind each, itself included."""
    found = dict.fromkeys(made_from, 0)
    for one in made_from:
        for passed in line_of(made_from, one):
            found[passed] += 1
    return found


# --- what lies between two --------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Held:
    """A session as it stands, with the trials its bottles are of; ``separates``: it will say nothing of any two."""

    state: State
    trial_ids: tuple[str, ...]
    separates: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """Two trials and what lies between: the change, if both formulas are known, and who smelt them together.

    ``ahead``: what is sealed or planned beside the opened ``sessions``; "" for nothing.
    """

    first_id: str
    second_id: str
    change: Difference | None
    sessions: tuple[SessionShown, ...]
    ahead: str


@dataclass(frozen=True, slots=True)
class Lineage:
    """A brief as a tree: a step to each trial that was made from another, and ``besides`` those smelt all the same.

    ``decided`` is the last word that stands about a trial, ``lead`` the trial the evidence makes lead, "" for none.
    """

    evidence: Evidence
    places: tuple[Place, ...]
    steps: Mapping[str, Step]
    besides: tuple[Step, ...]
    decided: Mapping[str, str]
    lead: str


def pairs_of(seen: Evidence, sessions: Iterable[Held]) -> tuple[tuple[Pair, ...], tuple[Pair, ...]]:
    """Parent and child, each such pair once; and pairs of other trials that were smelt together or are sealed."""
    steps = tuple((one.parent_id, one.trial_id) for one in places(seen.parents) if one.parent_id is not None)
    known = {frozenset(pair) for pair in steps}
    sealed = [one.trial_ids for one in sessions if _AHEAD.get(one.state) == SEALED and not one.separates]
    smelt = [one.smelt for one in seen.sessions if not one.separates]
    others = (pair for ids in (*smelt, *sealed) for pair in _pairs(ids, seen))
    return steps, tuple(dict.fromkeys(pair for pair in others if frozenset(pair) not in known))


def _pairs(trial_ids: Iterable[str], seen: Evidence) -> Iterator[Pair]:
    """Every two trials of a session, the one made first in front; two bottles of one trial are no pair."""
    made = {one.id: number for number, one in enumerate(seen.trials)}
    return combinations(sorted({one for one in trial_ids if one in made}, key=lambda one: made[one]), 2)


def step(pair: Pair, seen: Evidence, sessions: Iterable[Held], change: Difference | None) -> Step:
    """What lies between two trials."""
    states = [_AHEAD.get(one.state, "") for one in sessions if set(pair) <= set(one.trial_ids)]
    ahead = next((word for word in (SEALED, PLANNED) if word in states), "")
    return Step(*pair, change, together(seen, *pair).sessions, ahead)
