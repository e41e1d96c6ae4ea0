"""Where the evidence of a brief points: a table of rules, each with what it rests on. People decide.

First every pair of trials that was smelt gets a standing, from the points that weigh, session beside session. Then one
rule about the whole brief applies: the first of its table that fits. A brief is a search with many comparisons, and
nothing holds the risk of all of them: what it found is a *lead*, told with the number of comparisons it was found
among, and never a *keep*: only a final proposes that, fresh answers about one trial that was named beforehand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

from evaluation.deciding.claims import DECIDING, LIKING, NEARNESS, Asked, Search, asked, search
from evaluation.deciding.evidence import CAMPS, FIRST, NOTICE, SECOND, SPLIT, Evidence, Point, Summed
from evaluation.judging.adding_up import CAPPED, ENDED, GAVE_UP, KEEP
from evaluation.judging.entries import NOT_NOTICED, NOTICED, NOTICED_BUT_SMALL

# How two trials stand to one another
DISAGREEING: Final = "sessions disagree"
CAMPS_STAND: Final = "opposite camps"
LIKED_AWAY: Final = "liked one way, nearer the other"
LIKED: Final = "preferred"
NEAR: Final = "nearer the brief"
WAVERING: Final = "shown, and not shown as often"
ALIKE: Final = "not told apart"
TOLD: Final = "told apart, no better one"
OPEN: Final = "undecided"
LOST: Final = "no answer counts"
UNBORNE: Final = "not borne out by its final"
BETTER: Final = frozenset({LIKED, NEAR})

NOTHING_SEARCHED: Final = Search(0, 0)

# What is said of the whole brief
NOTHING_OPENED: Final = "nothing opened"
BROKEN: Final = "log altered"
NOTHING_SHOWN: Final = "nothing shown"
ONE_LEADS: Final = "one leads"
SEVERAL_LEAD: Final = "several lead"
CIRCLE: Final = "circle"
SIMPLER: Final = "simpler leads"
KEPT: Final = "kept by a final"

# Words of a proposal: a lead is no decision; "rework" and "smell again" are words people decide with, too.
LEAD: Final = "lead"
REWORK: Final = "rework"
SMELL_AGAIN: Final = "smell again"
BEHIND: Final = "behind"  # of another trial, beside the lead


@dataclass(frozen=True, slots=True)
class Standing:
    """How two trials stand; ``better`` is the id of the one that does better, "" where none does.

    Of LIKED_AWAY ``better`` is the one people prefer. ``points`` weigh and are seen from the first trial; ``liked`` and
    ``near`` count the comparisons in which that was asked.
    """

    first_id: str
    second_id: str
    kind: str
    better: str
    points: tuple[Point, ...]
    liked: Asked
    near: Asked

    @property
    def pair(self) -> frozenset[str]:
        """Both trials, in no order."""
        return frozenset((self.first_id, self.second_id))

    def other(self, trial_id: str) -> str:
        """The trial of the two that is not this one."""
        return self.second_id if trial_id == self.first_id else self.first_id


@dataclass(frozen=True, slots=True)
class Beside:
    """What becomes of another trial: a word, or "" where it was not smelt against the proposed one."""

    trial_id: str
    word: str
    standing: Standing | None


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the evidence would bear; ``word`` and ``trial_id`` are "" where it bears nothing.

    ``among``: the comparisons the whole brief was searched in; a lead is never told without it.
    """

    rule: str
    word: str
    trial_id: str
    rests_on: tuple[Standing, ...]
    beside: tuple[Beside, ...]
    among: Search = NOTHING_SEARCHED
    final: Summed | None = None  # the final a *keep* rests on, or that did not bear a lead out


# --- a pair -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Pair:
    """The outcomes that weigh."""

    told: dict[object, set[str]]  # verdicts by medium and time: noticed early and not late is no contradiction
    liked: Asked
    near: Asked
    split: bool
    answered: bool
    unborne: bool  # its newest final ended without a *keep*

    @staticmethod
    def of(points: Iterable[Point], liked: Asked, near: Asked, unborne: bool) -> _Pair:
        counting = [one for one in points if one.answered]
        told: dict[object, set[str]] = {}
        for one in counting:
            if one.topic == NOTICE:
                told.setdefault((one.medium, one.minutes), set()).add(one.outcome)
        split = any(one.topic == CAMPS and one.outcome == SPLIT for one in counting)
        return _Pair(told, liked, near, split, bool(counting), unborne)

    @property
    def verdicts(self) -> set[str]:
        return {one for found in self.told.values() for one in found}

    @property
    def at_odds(self) -> bool:
        """Both ways of one question, noticed and not at one time, or a preference for what few can tell apart."""
        unlike = any({NOTICED, NOT_NOTICED} <= found for found in self.told.values())
        unheard = bool(self.liked.ways) and self.verdicts == {NOT_NOTICED}
        return len(self.liked.ways) > 1 or len(self.near.ways) > 1 or unlike or unheard

    @property
    def away(self) -> bool:
        """Shown to be liked one way and nearer the other, however often neither was shown."""
        return bool(self.liked.ways and self.near.ways and self.liked.ways != self.near.ways)

    @property
    def wavers(self) -> bool:
        """Shown at least once, and not more often than it was asked in vain."""
        return bool(self.liked.ways or self.near.ways)

    @property
    def few_notice(self) -> bool:
        return bool(self.verdicts) and self.verdicts <= {NOT_NOTICED, NOTICED_BUT_SMALL}


_PAIR_RULES: Final[tuple[tuple[str, Callable[[_Pair], bool]], ...]] = (
    (UNBORNE, lambda pair: pair.unborne),
    (LOST, lambda pair: not pair.answered),
    (DISAGREEING, lambda pair: pair.at_odds),
    (CAMPS_STAND, lambda pair: pair.split),
    (LIKED_AWAY, lambda pair: pair.away),
    (LIKED, lambda pair: bool(pair.liked.leads)),
    (NEAR, lambda pair: bool(pair.near.leads)),
    (WAVERING, lambda pair: pair.wavers),
    (ALIKE, lambda pair: pair.few_notice),
    (TOLD, lambda pair: NOTICED in pair.verdicts),
    (OPEN, lambda pair: True),
)


def standings(evidence: Evidence) -> tuple[Standing, ...]:
    """Every pair of trials about which a point weighs, in the order of the book."""
    order = [one.id for one in evidence.trials]
    weighing = [point for point in evidence.points if point.weighs and point.topic in DECIDING]
    found = []
    for one, other in combinations(order, 2):
        points = tuple(point.seen_from(one) for point in weighing if point.pair == {one, other})
        if points:
            found.append(_standing(evidence, one, other, points))
    return tuple(found)


def _standing(evidence: Evidence, one: str, other: str, points: tuple[Point, ...]) -> Standing:
    liked, near = (asked(evidence.sessions, one, other, topics) for topics in (LIKING, NEARNESS))
    pair = _Pair.of(points, liked, near, _unborne(evidence, frozenset((one, other))) is not None)
    kind = next(name for name, fits in _PAIR_RULES if fits(pair))
    ways = {LIKED: liked.ways, LIKED_AWAY: liked.ways, NEAR: near.ways}.get(kind, frozenset())
    better = "" if not ways else one if FIRST in ways else other
    return Standing(one, other, kind, better, points, liked, near)


FAILED: Final = frozenset({GAVE_UP, CAPPED, ENDED})


def _unborne(evidence: Evidence, pair: frozenset[str]) -> Summed | None:
    """The newest final of two trials, where it ended without a *keep*."""
    last = next((one for one in reversed(evidence.finals) if one.pair == pair), None)
    return last if last is not None and last.word in FAILED else None


# --- the brief --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _View:
    evidence: Evidence
    standings: tuple[Standing, ...]

    def standing_as(self, *kinds: str) -> tuple[Standing, ...]:
        return tuple(one for one in self.standings if one.kind in kinds)

    @property
    def won(self) -> tuple[Standing, ...]:
        return self.standing_as(*BETTER)

    @property
    def leaders(self) -> tuple[str, ...]:
        """Better than another, beaten by none, and in no pair that speaks against itself."""
        beaten = {one.other(one.better) for one in self.won}
        doubtful = {trial for one in self.standing_as(DISAGREEING, CAMPS_STAND, LIKED_AWAY) for trial in one.pair}
        return tuple(dict.fromkeys(one.better for one in self.won if one.better not in beaten | doubtful))


def proposal(evidence: Evidence) -> Proposal:
    """The first rule that fits. Whatever a search found, only a final proposes to keep a trial."""
    view = _View(evidence, standings(evidence))
    found = next(found for found in _proposed(view) if found is not None)
    return replace(found, among=search(evidence))


def _proposed(view: _View) -> Iterator[Proposal | None]:
    return (rule(view) for rule in _BRIEF_RULES)


def _nothing_opened(view: _View) -> Proposal | None:
    return None if view.evidence.sessions else Proposal(NOTHING_OPENED, "", "", (), ())


def _broken(view: _View) -> Proposal | None:
    whole = all(one.log_holds for one in view.evidence.sessions)
    return None if whole else Proposal(BROKEN, "", "", (), ())


def _kept(view: _View) -> Proposal | None:
    """The trial of the newest final that kept one, while the search points at no trial it was not held against, and
    nothing opened since shows another to do better.
    """
    kept = [one for one in view.evidence.finals if one.word == KEEP]
    if not kept:
        return None
    settled = {trial for one in kept for trial in one.pair}
    lead = kept[-1].trial_id
    if set(view.leaders) - settled or _beaten_since(view.evidence, kept[-1]):
        return None
    rests = tuple(one for one in view.standings if lead in one.pair)
    return Proposal(KEPT, KEEP, lead, rests, _beside(view, lead), final=kept[-1])


def _beaten_since(evidence: Evidence, final: Summed) -> bool:
    """Whether a session opened after the final shows another trial to do better than the one it kept."""
    ended_at = max(one.opened_at for one in evidence.sessions if one.summed == final)
    later = (point for one in evidence.sessions if one.opened_at > ended_at for point in one.points)
    return any(
        point.weighs and point.topic in (*LIKING, *NEARNESS) and point.seen_from(final.trial_id).outcome == SECOND
        for point in later
        if final.trial_id in point.pair
    )


def _not_borne_out(view: _View) -> Proposal | None:
    """A lead that its final did not bear out: nothing is kept, and the search goes on."""
    failed = [one for one in view.evidence.finals if _unborne(view.evidence, one.pair) == one]
    if not failed:
        return None
    rests = tuple(one for one in view.standing_as(UNBORNE) if one.pair == failed[-1].pair)
    return Proposal(UNBORNE, "", "", rests, (), final=failed[-1])


def _one_leads(view: _View) -> Proposal | None:
    if len(view.leaders) != 1:
        return None
    lead = view.leaders[0]
    rests = tuple(one for one in view.standings if lead in one.pair)
    return Proposal(ONE_LEADS, LEAD, lead, rests, _beside(view, lead))


def _several_lead(view: _View) -> Proposal | None:
    if len(view.leaders) < 2:
        return None
    rests = tuple(one for one in view.won if one.better in view.leaders)
    return Proposal(SEVERAL_LEAD, SMELL_AGAIN, _latest(view, view.leaders), rests, ())


def _simpler(view: _View) -> Proposal | None:
    """Of trials few can tell apart the simplest leads; where these make several groups, the first of them in the book.

    No keep either: with many comparisons some come out "not noticed" that are not.
    """
    alike = view.standing_as(ALIKE)
    if not alike:
        return None
    stands = view.evidence.simpler(alike[0].first_id, alike[0].second_id)
    for one in alike[1:]:
        if stands in one.pair:
            stands = view.evidence.simpler(*one.pair)
    return Proposal(SIMPLER, LEAD, stands, tuple(one for one in alike if stands in one.pair), _beside(view, stands))


def _of_kind(kind: str, word: str) -> Callable[[_View], Proposal | None]:
    """Pairs of one kind; the word is for the one people prefer, else for the later of the first pair."""

    def rule(view: _View) -> Proposal | None:
        found = view.standing_as(kind)
        if not found:
            return None
        trial = found[0].better or _latest(view, found[0].pair)
        return Proposal(kind, word, trial if word else "", found, ())

    return rule


def _circle(view: _View) -> Proposal | None:
    won = view.won
    return Proposal(CIRCLE, SMELL_AGAIN, won[0].better, won, ()) if won else None


def _nothing_shown(view: _View) -> Proposal | None:
    return Proposal(NOTHING_SHOWN, "", "", (), ())


_BRIEF_RULES: Final[tuple[Callable[[_View], Proposal | None], ...]] = (
    _nothing_opened,
    _broken,
    _kept,
    _one_leads,
    _several_lead,
    _not_borne_out,
    _of_kind(DISAGREEING, SMELL_AGAIN),
    _of_kind(CAMPS_STAND, ""),
    _of_kind(LIKED_AWAY, REWORK),
    _circle,
    _of_kind(WAVERING, SMELL_AGAIN),
    _simpler,
    _of_kind(TOLD, SMELL_AGAIN),
    _of_kind(OPEN, SMELL_AGAIN),
    _of_kind(LOST, SMELL_AGAIN),
    _nothing_shown,
)


def _beside(view: _View, kept: str) -> tuple[Beside, ...]:
    return tuple(_other(view, kept, one.id) for one in view.evidence.trials if one.id != kept)


def _other(view: _View, kept: str, trial: str) -> Beside:
    own = next((one for one in view.standings if one.pair == {kept, trial}), None)
    if own is None:
        return Beside(trial, "", None)
    beaten = own.better == kept
    spare = own.kind == ALIKE and view.evidence.simpler(kept, trial) == kept
    return Beside(trial, BEHIND if beaten or spare else SMELL_AGAIN, own)


def _latest(view: _View, trials: Iterable[str]) -> str:
    order = [one.id for one in view.evidence.trials]
    return max(trials, key=order.index)
