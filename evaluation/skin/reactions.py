"""Reactions speak of materials, not of one trial; what may lift them, and stops that were no reaction.

A formula that is not known shares with every other. For one person an advice of somebody qualified lifts exactly the
materials it names; for everybody the conductor decides, with a reason, which materials may be applied again. Neither
speaks of a reaction that comes after it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from evaluation.ground import checks


@dataclass(frozen=True, slots=True)
class Reaction:
    """Somebody's skin reacted: to a patch, in a session (a stop on skin), or as they told later."""

    panelist_id: str | None  # None once that person is erased
    material_ids: frozenset[str] | None  # of what was on that skin then; None: not known, so any
    at: int
    trial_ids: tuple[str, ...] = ()
    session_id: str = ""
    patch_id: str = ""
    note: str = ""

    def __post_init__(self) -> None:
        checks.text("note", self.note, 400, empty=True)


@dataclass(frozen=True, slots=True)
class Advice:
    """Somebody qualified said of one person which materials may come on that skin again."""

    panelist_id: str
    material_ids: frozenset[str]
    who: str
    given_on: date
    at: int
    note: str = ""

    def __post_init__(self) -> None:
        checks.text("who advised", self.who, 200)
        checks.text("note", self.note, 400, empty=True)


@dataclass(frozen=True, slots=True)
class GoAhead:
    """The conductor decided which materials may be applied to others again, and why."""

    material_ids: frozenset[str]
    reason: str
    at: int

    def __post_init__(self) -> None:
        checks.text("reason", self.reason, 400)


@dataclass(frozen=True, slots=True)
class Unwell:
    """Somebody stopped a session without their skin reacting."""

    panelist_id: str
    session_id: str
    at: int


@dataclass(frozen=True, slots=True)
class Explained:
    """What such a stop was, and why skin may go on, in words."""

    panelist_id: str
    reason: str
    at: int

    def __post_init__(self) -> None:
        checks.text("reason", self.reason, 400)


@dataclass(frozen=True, slots=True)
class Held:
    """What of a formula is held back by a reaction; ``material_ids`` None: a formula that is not known."""

    reaction: Reaction
    material_ids: frozenset[str] | None


def held(
    material_ids: frozenset[str] | None, reactions: Iterable[Reaction], lifts: Sequence[Advice] | Sequence[GoAhead]
) -> tuple[Held, ...]:
    """What holds a formula of these materials back (None: not known), oldest reaction first."""
    found = []
    for one in sorted(reactions, key=lambda each: each.at):
        lifted = frozenset[str]().union(*(lift.material_ids for lift in lifts if lift.at > one.at))
        shared = _shared(material_ids, one.material_ids)
        if shared is None or shared - lifted:
            found.append(Held(one, None if shared is None or material_ids is None else shared - lifted))
    return tuple(found)


def _shared(ours: frozenset[str] | None, theirs: frozenset[str] | None) -> frozenset[str] | None:
    """What both may hold; None where neither formula is known."""
    if ours is None or theirs is None:
        return theirs if ours is None else ours
    return ours & theirs


def shares_with(material_ids: frozenset[str] | None, reaction: Reaction) -> bool:
    """Whether a formula shares a line with what somebody reacted to; one that is not known always does."""
    if material_ids is None or reaction.material_ids is None:
        return True
    return bool(material_ids & reaction.material_ids)


def unexplained(panelist_id: str, unwell: Iterable[Unwell], explained: Iterable[Explained]) -> Unwell | None:
    """The latest stop of this person that nobody has written a reason about since."""
    told = max((one.at for one in explained if one.panelist_id == panelist_id), default=-1)
    mine = [one for one in unwell if one.panelist_id == panelist_id and one.at >= told]
    return max(mine, key=lambda one: one.at, default=None)
