"""What to smell next: the two or three comparisons that would teach most, with people, assessments and strips."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from math import ceil
from types import MappingProxyType
from typing import Final

from evaluation import statistics
from evaluation.deciding.claims import together
from evaluation.deciding.evidence import MOVED, Evidence
from evaluation.deciding.proposals import (
    BEHIND,
    BETTER,
    CAMPS_STAND,
    CIRCLE,
    DISAGREEING,
    LEAD,
    LIKED_AWAY,
    LOST,
    OPEN,
    SEVERAL_LEAD,
    TOLD,
    WAVERING,
    Proposal,
    Standing,
    proposal,
    standings,
)
from evaluation.errors import ArgumentError
from evaluation.judging import figures
from evaluation.judging.entries import Rules
from evaluation.kinds import ByKind, Method, kind_of
from evaluation.planning.outlook import sets_a_sitting
from evaluation.sessions import MOST_REPLICATES

MOST_SHOWN: Final = 3
UNSMELT: Final = "not smelt"  # a trial nobody compared yet
RATED: Final = "rated"  # in one session, and nobody was asked which is better or whether they are told apart
WHICH_WAY: Final = "which way"  # told apart or better, and nobody rated what moved
# Say nothing on which trial to keep once one of the two is out of the running.
IDLE: Final = frozenset({OPEN, TOLD, LOST, WAVERING, RATED})
PROFILE_TIMES: Final = 3  # strip ages of a profile: opening, heart, end
FEWEST_RATING: Final = 8  # people: under so many a resampling of the panel is not shown
IN_TRIANGLES: Final = "tetrad"  # its size is that of a triangle with the share, at the same distance
SITTINGS: Final = 4  # as many as people may be asked for one comparison

AGAIN: Final = None  # by the method the two were compared by last
# What a kind of standing asks for; the order of the table is what teaches most first.
_ASKS: Final[Mapping[str, Method | None]] = MappingProxyType(
    {
        DISAGREEING: AGAIN,
        SEVERAL_LEAD: "preference",
        CIRCLE: "preference",
        WAVERING: AGAIN,
        LOST: None,  # as it was planned
        TOLD: "preference",
        OPEN: AGAIN,
        RATED: "preference",
        UNSMELT: IN_TRIANGLES,
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
    people takes, None out of reach or not asked. ``capacity``: assessments that ``panel`` people can give in four
    sittings; where these are too few, ``finds`` is the smallest share they find with that power, None if none. Of a
    session to be held once more as it was planned, ``assessments`` are those planned and ``lost`` what became of them.
    """

    why: str
    first_id: str
    second_id: str
    method: Method
    assessments: int
    people: int
    strips: int
    panel: int
    replicates: int
    needed: int | None
    alpha: float
    beta: float
    pd: float
    capacity: int = 0
    finds: float | None = None
    lost: tuple[tuple[str, int], ...] = ()

    @property
    def in_triangles(self) -> bool:
        """The share is said of triangles."""
        return self.method == IN_TRIANGLES

    @property
    def beyond(self) -> bool:
        """More than the panel can smell in four sittings."""
        return not kind_of(self.method).rates and 0 < self.capacity < self.assessments


def next_smellings(evidence: Evidence, panel: int, out: Collection[str] = ()) -> tuple[NextSmelling, ...]:
    """The comparisons that would teach most first, at most three, each pair once.

    ``panel``: people there are; ``out``: trials that somebody decided to drop, about which nothing is asked.
    """
    found: dict[frozenset[str], NextSmelling] = {}
    for wanted in _wanted(evidence):
        pair = frozenset((wanted[1], wanted[2]))
        if pair not in found and len(found) < MOST_SHOWN and not pair & set(out):
            found[pair] = _cost(evidence, wanted, panel)
    return tuple(found.values())


Wanted = tuple[str, str, str, Method]


def _wanted(evidence: Evidence) -> Iterator[Wanted]:
    proposed, stand = proposal(evidence), standings(evidence)
    asked = [
        *_from_standings(evidence, stand),
        *_of_leaders(proposed),
        *_rated_only(evidence, proposed, stand),
        *_unsmelt(evidence, proposed),
    ]
    behind = {one.trial_id for one in proposed.beside if one.word == BEHIND}
    asked = [one for one in asked if one[0] not in IDLE or not behind & {one[1], one[2]}]
    current, order = _current(evidence, proposed), list(_ASKS)
    return iter(sorted(asked, key=lambda one: (one[0] in IDLE and not current & {*one[1:3]}, order.index(one[0]))))


def _current(evidence: Evidence, proposed: Proposal) -> set[str]:
    """Trials that no smelt one was made from, and one that leads. Of two others both were carried further: they come
    last."""
    smelt = {trial for session in evidence.sessions if not session.of_one_trial for trial in session.smelt}
    made_from = {one.parent_id for one in evidence.trials if one.id in smelt}
    leads = {proposed.trial_id} if proposed.word == LEAD else set()
    return {one.id for one in evidence.trials if one.id not in made_from} | leads


def _from_standings(evidence: Evidence, stand: tuple[Standing, ...]) -> Iterator[Wanted]:
    for one in stand:
        if one.kind == LOST:
            yield from _once_more(evidence, one)
        elif one.kind in _ASKS:
            yield one.kind, one.first_id, one.second_id, _ASKS[one.kind] or _last_method(evidence, one)
        elif one.kind in BETTER and not _rated(evidence, one):
            yield WHICH_WAY, one.first_id, one.second_id, "profile"


def _once_more(evidence: Evidence, standing: Standing) -> Iterator[Wanted]:
    """The session of which nothing counts; one of several trials once, not for each pair."""
    *_, last = (one for one in evidence.sessions if any(point.pair == standing.pair for point in one.points))
    if standing.pair == set(last.in_order[:2]):
        yield LOST, standing.first_id, standing.second_id, last.method


def _of_leaders(proposed: Proposal) -> Iterator[Wanted]:
    """Trials that each lead, or go round in a circle, against one another."""
    if proposed.rule not in (SEVERAL_LEAD, CIRCLE):
        return
    lead = list(dict.fromkeys(one.better for one in proposed.rests_on))
    if len(lead) > 1:
        yield proposed.rule, lead[0], lead[1], "preference"


def _rated_only(evidence: Evidence, proposed: Proposal, stand: tuple[Standing, ...]) -> Iterator[Wanted]:
    """Trials smelt in profiles alone: against the proposed one where both were rated, else against the last such."""
    compared = {trial for one in stand for trial in one.pair}
    ids = [one.id for one in evidence.trials]
    for trial in (one for one in reversed(ids) if one not in compared or one == proposed.trial_id):
        others = [one for one in ids if one != trial and _only_rated(evidence, trial, one)]
        if others:
            yield RATED, proposed.trial_id if proposed.trial_id in others else others[-1], trial, "preference"


def _only_rated(evidence: Evidence, one: str, other: str) -> bool:
    found = together(evidence, one, other)
    return bool(found.sessions) and not found.asked


def _unsmelt(evidence: Evidence, proposed: Proposal) -> Iterator[Wanted]:
    """Trials no session served, newest first: against the proposed one, else against the one they were made from."""
    ids = [one.id for one in evidence.trials]
    for trial in reversed(evidence.trials):
        if not any(together(evidence, trial.id, one).sessions for one in ids if one != trial.id):
            against = proposed.trial_id or (trial.parent_id if trial.parent_id in ids else "") or ids[0]
            if against and against != trial.id:
                yield UNSMELT, against, trial.id, IN_TRIANGLES


def _last_method(evidence: Evidence, standing: Standing) -> Method:
    """How the two were compared last; two-trial methods only."""
    used = [
        session.method
        for session in evidence.sessions
        if any(point.pair == standing.pair and point.weighs for point in session.points)
    ]
    return next((one for one in reversed(used) if not kind_of(one).several), "preference")


def _rated(evidence: Evidence, standing: Standing) -> bool:
    return any(point.topic == MOVED and point.pair == standing.pair for point in evidence.points)


# --- what it takes ----------------------------------------------------------------------------------------------------


def _cost(evidence: Evidence, wanted: Wanted, panel: int) -> NextSmelling:
    why, one, other, method = wanted
    kind = kind_of(method)
    risks = _risks(evidence)
    planned, lost = _lost(evidence, frozenset((one, other))) if why == LOST else (0, ())
    assessments = planned or _size(method, *risks)
    capacity = _capacity(method, panel)
    return NextSmelling(
        why,
        one,
        other,
        method,
        assessments,
        assessments,
        assessments * (2 * PROFILE_TIMES if kind.rates else kind.strips or 0),
        panel,
        _replicates(method, assessments, panel),
        figures.preference_minimum(panel, risks[0]) if kind.votes and panel else None,
        *risks,
        capacity,
        _finds(method, panel, capacity, *risks[:2]) if capacity < assessments else None,
        lost,
    )


def _lost(evidence: Evidence, pair: frozenset[str]) -> tuple[int, tuple[tuple[str, int], ...]]:
    """Planned, and what became of them, in the last session of the two."""
    *_, last = (one for one in evidence.points if one.pair == pair and not one.answered)
    return last.planned, last.lost


def _capacity(method: Method, panel: int) -> int:
    """Answers that so many people can give in four sittings; one each where a person has one vote."""
    return panel * sets_a_sitting(method) * SITTINGS if kind_of(method).judged else panel


def _finds(method: Method, panel: int, capacity: int, alpha: float, beta: float) -> float | None:
    """The smallest share (pd) that so many answers find with power 1 − beta."""
    if kind_of(method).judged and capacity:
        return statistics.smallest_detectable(capacity, method, alpha, beta)
    if kind_of(method).votes and panel and figures.preference_minimum(panel, alpha) is not None:
        return figures.smallest_preference(panel, alpha, beta)
    return None


def _risks(evidence: Evidence) -> tuple[float, float, float]:
    """Those of the newest session of trials; the usual ones before there is any."""
    of_trials = [one for one in evidence.sessions if not one.of_one_trial]
    if of_trials:
        last = of_trials[-1]
        return float(last.alpha), float(last.beta), float(last.pd)
    usual = Rules()
    return usual.alpha, usual.beta, usual.pd


def _size(method: Method, alpha: float, beta: float, pd: float) -> int:
    """Assessments with power 1 − beta for a share pd; the tetrad at the distance at which a triangle has that share."""
    return _SIZES.of(method)(method, alpha, beta, pd)


def _size_of_choice(method: Method, alpha: float, beta: float, pd: float) -> int:
    return statistics.panel_size(method, alpha, beta, pd, rule="stays")


def _size_in_triangles(method: Method, alpha: float, beta: float, pd: float) -> int:
    return statistics.panel_size(method, alpha, beta, rule="stays", d_prime=_triangle_distance(pd))


def _size_of_preference(method: Method, alpha: float, beta: float, pd: float) -> int:
    return statistics.preference_panel_size(alpha, beta, (1 + pd) / 2, rule="stays")


def _size_of_profile(method: Method, alpha: float, beta: float, pd: float) -> int:
    return FEWEST_RATING


_SIZES: Final[ByKind[Callable[[Method, float, float, float], int]]] = ByKind(
    "a size of panel",
    {
        "forced choice": _size_of_choice,
        IN_TRIANGLES: _size_in_triangles,
        "preference": _size_of_preference,
        "profile": _size_of_profile,
    },
)


def _triangle_distance(pd: float) -> float:
    found = statistics.d_prime((1 + 2 * pd) / 3, "triangle")
    if not found > 0:
        raise ArgumentError(f"pd must be above 0, not {pd}.")
    return float(found)


def _replicates(method: Method, assessments: int, panel: int) -> int:
    """Sets each of the panel for as many answers; 0: people cannot stand in for others, are enough, or too few."""
    if not kind_of(method).judged or not panel or panel >= assessments:
        return 0
    each = ceil(assessments / panel)
    return each if each <= MOST_REPLICATES else 0
