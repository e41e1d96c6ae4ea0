"""What to smell next: the two or three comparisons that would teach most, with people, assessments and strips."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from types import MappingProxyType
from typing import Final

from evaluation import figures, statistics
from evaluation.entries import Rules
from evaluation.errors import ArgumentError
from evaluation.evidence import MOVED, Evidence
from evaluation.proposals import (
    BETTER,
    CAMPS_STAND,
    CIRCLE,
    DISAGREEING,
    LIKED_AWAY,
    OPEN,
    SEVERAL_LEAD,
    TOLD,
    Proposal,
    Standing,
    proposal,
    standings,
)
from evaluation.sessions import FORCED_CHOICE, MOST_REPLICATES, STRIPS

MOST_SHOWN: Final = 3
UNSMELT: Final = "not smelt"  # a trial nobody compared yet
WHICH_WAY: Final = "which way"  # told apart or better, and nobody rated what moved
IDLE: Final = frozenset({OPEN, TOLD})  # teach nothing on which trial to keep once one of the two is beaten
PROFILE_TIMES: Final = 3  # strip ages of a profile: opening, heart, end
FEWEST_RATING: Final = 8  # people: under so many a resampling of the panel is not shown

# What a kind of standing asks for; the order of the table is what teaches most first.
_ASKS: Final = MappingProxyType(
    {
        DISAGREEING: "again",
        SEVERAL_LEAD: "preference",
        CIRCLE: "preference",
        TOLD: "preference",
        OPEN: "again",
        UNSMELT: "tetrad",
        CAMPS_STAND: "preference",
        LIKED_AWAY: "profile",
        WHICH_WAY: "profile",
    }
)


@dataclass(frozen=True, slots=True)
class NextSmelling:
    """One comparison and what it takes.

    ``assessments`` in all reach power 1 − beta for a share ``pd``; ``people`` of them one each. Where the panel is
    smaller, ``replicates`` each of ``panel`` people give as many, and then the answer is about this panel only; 0
    where people cannot stand in for others (preference, profile). ``needed``: votes that a preference by ``panel``
    people takes, None out of reach or not asked.
    """

    why: str
    first_id: str
    second_id: str
    method: str
    assessments: int
    people: int
    strips: int
    panel: int
    replicates: int
    needed: int | None
    alpha: float
    beta: float
    pd: float


def next_smellings(evidence: Evidence, panel: int) -> tuple[NextSmelling, ...]:
    """The comparisons that would teach most first, at most three, each pair once; ``panel``: people there are."""
    found: dict[frozenset[str], NextSmelling] = {}
    for why, one, other, method in _wanted(evidence):
        pair = frozenset((one, other))
        if pair not in found and len(found) < MOST_SHOWN:
            found[pair] = _cost(evidence, (why, one, other, method), panel)
    return tuple(found.values())


Wanted = tuple[str, str, str, str]


def _wanted(evidence: Evidence) -> Iterator[Wanted]:
    proposed, stand = proposal(evidence), standings(evidence)
    asked = [*_from_standings(evidence, stand), *_of_leaders(proposed), *_unsmelt(evidence, proposed, stand)]
    dropped = {one.trial_id for one in proposed.beside if one.word == "drop"}
    asked = [one for one in asked if one[0] not in IDLE or not dropped & {one[1], one[2]}]
    order = list(_ASKS)
    return iter(sorted(asked, key=lambda one: order.index(one[0])))


def _from_standings(evidence: Evidence, stand: tuple[Standing, ...]) -> Iterator[Wanted]:
    for one in stand:
        if one.kind in _ASKS:
            method = _ASKS[one.kind]
            yield one.kind, one.first_id, one.second_id, _last_method(evidence, one) if method == "again" else method
        elif one.kind in BETTER and not _rated(evidence, one):
            yield WHICH_WAY, one.first_id, one.second_id, "profile"


def _of_leaders(proposed: Proposal) -> Iterator[Wanted]:
    """Trials that each lead, or go round in a circle, against one another."""
    if proposed.rule not in (SEVERAL_LEAD, CIRCLE):
        return
    lead = list(dict.fromkeys(one.better for one in proposed.rests_on))
    if len(lead) > 1:
        yield proposed.rule, lead[0], lead[1], "preference"


def _unsmelt(evidence: Evidence, proposed: Proposal, stand: tuple[Standing, ...]) -> Iterator[Wanted]:
    """Trials nobody compared, newest first: against the proposed one, else against the one they were made from."""
    smelt = {trial for one in stand for trial in one.pair}
    ids = [one.id for one in evidence.trials]
    for trial in reversed(evidence.trials):
        if trial.id not in smelt:
            against = proposed.trial_id or (trial.parent_id if trial.parent_id in ids else "") or ids[0]
            if against and against != trial.id:
                yield UNSMELT, against, trial.id, "tetrad"


def _last_method(evidence: Evidence, standing: Standing) -> str:
    """How the two were compared last; two-trial methods only."""
    used = [
        session.method
        for session in evidence.sessions
        if any(point.pair == standing.pair and point.weighs for point in session.points)
    ]
    return next((one for one in reversed(used) if one in STRIPS), "preference")


def _rated(evidence: Evidence, standing: Standing) -> bool:
    return any(point.topic == MOVED and point.pair == standing.pair for point in evidence.points)


# --- what it takes ----------------------------------------------------------------------------------------------------


def _cost(evidence: Evidence, wanted: Wanted, panel: int) -> NextSmelling:
    why, one, other, method = wanted
    risks = _risks(evidence)
    assessments = _size(method, *risks)
    replicates = _replicates(method, assessments, panel)
    needed = figures.preference_minimum(panel, risks[0]) if method == "preference" and panel else None
    strips = assessments * (STRIPS[method] if method in STRIPS else 2 * PROFILE_TIMES)
    return NextSmelling(why, one, other, method, assessments, assessments, strips, panel, replicates, needed, *risks)


def _risks(evidence: Evidence) -> tuple[float, float, float]:
    """Those of the newest session; the usual ones before there is any."""
    if evidence.sessions:
        last = evidence.sessions[-1]
        return float(last.alpha), float(last.beta), float(last.pd)
    usual = Rules()
    return usual.alpha, usual.beta, usual.pd


def _size(method: str, alpha: float, beta: float, pd: float) -> int:
    """Assessments with power 1 − beta for a share pd; the tetrad at the distance at which a triangle has that share."""
    if method == "profile":
        return FEWEST_RATING
    if method == "preference":
        return statistics.preference_panel_size(alpha, beta, (1 + pd) / 2, rule="stays")
    if method == "tetrad":
        return statistics.panel_size(method, alpha, beta, rule="stays", d_prime=_triangle_distance(pd))
    return statistics.panel_size(method, alpha, beta, pd, rule="stays")


def _triangle_distance(pd: float) -> float:
    found = statistics.d_prime((1 + 2 * pd) / 3, "triangle")
    if not found > 0:
        raise ArgumentError(f"pd must be above 0, not {pd}.")
    return float(found)


def _replicates(method: str, assessments: int, panel: int) -> int:
    """Sets each of the panel for as many answers; 0: people cannot stand in for others, are enough, or too few."""
    if method not in FORCED_CHOICE or not panel or panel >= assessments:
        return 0
    each = ceil(assessments / panel)
    return each if each <= MOST_REPLICATES else 0
