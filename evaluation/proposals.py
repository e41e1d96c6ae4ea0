"""Which trial to keep, as far as the evidence goes: a table of rules, each with what it rests on. People decide.

First every pair of trials that was smelt gets a standing, from the points that weigh, session beside session. Then one
rule about the whole brief applies: the first of its table that fits.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from evaluation.entries import NOT_NOTICED, NOTICED, NOTICED_BUT_SMALL
from evaluation.evidence import (
    CAMPS,
    DISTANCE,
    FIRST,
    NEARER,
    NOTICE,
    PREFERENCE,
    SECOND,
    SPLIT,
    Evidence,
    Point,
)

# How two trials stand to one another
DISAGREEING: Final = "sessions disagree"
CAMPS_STAND: Final = "opposite camps"
LIKED_AWAY: Final = "liked one way, nearer the other"
LIKED: Final = "preferred"
NEAR: Final = "nearer the brief"
ALIKE: Final = "not told apart"
TOLD: Final = "told apart, no better one"
OPEN: Final = "undecided"
BETTER: Final = frozenset({LIKED, NEAR})

# What is said of the whole brief
NOTHING_OPENED: Final = "nothing opened"
BROKEN: Final = "log altered"
NOTHING_SHOWN: Final = "nothing shown"
KEEP: Final = "one leads"
SEVERAL_LEAD: Final = "several lead"
CIRCLE: Final = "circle"
SIMPLER: Final = "simpler stands"


@dataclass(frozen=True, slots=True)
class Standing:
    """How two trials stand; ``better`` is the id of the one that does better, "" where none does.

    Of LIKED_AWAY ``better`` is the one people prefer. ``points`` weigh and are seen from the first trial.
    """

    first_id: str
    second_id: str
    kind: str
    better: str
    points: tuple[Point, ...]

    @property
    def pair(self) -> frozenset[str]:
        return frozenset((self.first_id, self.second_id))

    def other(self, trial_id: str) -> str:
        return self.second_id if trial_id == self.first_id else self.first_id


@dataclass(frozen=True, slots=True)
class Beside:
    """What becomes of another trial: a word, or "" where it was not smelt against the proposed one."""

    trial_id: str
    word: str
    standing: Standing | None


@dataclass(frozen=True, slots=True)
class Proposal:
    """A decision that the evidence would bear; ``word`` and ``trial_id`` are "" where it bears none."""

    rule: str
    word: str
    trial_id: str
    rests_on: tuple[Standing, ...]
    beside: tuple[Beside, ...]


# --- a pair -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Pair:
    """The outcomes that weigh, by topic."""

    told: dict[object, set[str]]  # by medium and time: noticed early and not late is no contradiction
    liked: set[str]
    near: set[str]
    split: bool

    @staticmethod
    def of(points: Iterable[Point]) -> _Pair:
        told: dict[object, set[str]] = {}
        by: dict[str, set[str]] = {}
        for one in points:
            by.setdefault(one.topic, set()).add(one.outcome)
            if one.topic == NOTICE:
                told.setdefault((one.medium, one.minutes), set()).add(one.outcome)
        way = {FIRST, SECOND}
        near = by.get(NEARER, set()) | by.get(DISTANCE, set())
        return _Pair(told, by.get(PREFERENCE, set()) & way, near & way, SPLIT in by.get(CAMPS, set()))

    @property
    def verdicts(self) -> set[str]:
        return {one for found in self.told.values() for one in found}

    @property
    def at_odds(self) -> bool:
        """Both ways of one question, noticed and not at one time, or a preference for what few can tell apart."""
        unlike = any({NOTICED, NOT_NOTICED} <= found for found in self.told.values())
        unheard = bool(self.liked) and self.verdicts == {NOT_NOTICED}
        return len(self.liked) > 1 or len(self.near) > 1 or unlike or unheard

    @property
    def few_notice(self) -> bool:
        return bool(self.verdicts) and self.verdicts <= {NOT_NOTICED, NOTICED_BUT_SMALL}


_PAIR_RULES: Final[tuple[tuple[str, Callable[[_Pair], bool]], ...]] = (
    (DISAGREEING, lambda pair: pair.at_odds),
    (CAMPS_STAND, lambda pair: pair.split),
    (LIKED_AWAY, lambda pair: bool(pair.liked and pair.near and pair.liked != pair.near)),
    (LIKED, lambda pair: bool(pair.liked)),
    (NEAR, lambda pair: bool(pair.near)),
    (ALIKE, lambda pair: pair.few_notice),
    (TOLD, lambda pair: NOTICED in pair.verdicts),
    (OPEN, lambda pair: True),
)


def standings(evidence: Evidence) -> tuple[Standing, ...]:
    """Every pair of trials about which a point weighs, in the order of the book."""
    order = [one.id for one in evidence.trials]
    weighing = [point for point in evidence.points if point.weighs and point.topic in _DECIDING]
    found = []
    for one, other in combinations(order, 2):
        points = tuple(point.seen_from(one) for point in weighing if point.pair == {one, other})
        if points:
            found.append(_standing(one, other, points))
    return tuple(found)


_DECIDING: Final = frozenset({NOTICE, PREFERENCE, NEARER, DISTANCE, CAMPS})


def _standing(one: str, other: str, points: tuple[Point, ...]) -> Standing:
    pair = _Pair.of(points)
    kind = next(name for name, fits in _PAIR_RULES if fits(pair))
    ways = {LIKED: pair.liked, LIKED_AWAY: pair.liked, NEAR: pair.near}.get(kind, set())
    better = "" if not ways else one if FIRST in ways else other
    return Standing(one, other, kind, better, points)


# --- the brief --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _View:
    evidence: Evidence
    standings: tuple[Standing, ...]

    def of(self, *kinds: str) -> tuple[Standing, ...]:
        return tuple(one for one in self.standings if one.kind in kinds)

    @property
    def won(self) -> tuple[Standing, ...]:
        return self.of(*BETTER)

    @property
    def leaders(self) -> tuple[str, ...]:
        """Better than another, beaten by none, and in no pair that speaks against itself."""
        beaten = {one.other(one.better) for one in self.won}
        doubtful = {trial for one in self.of(DISAGREEING, CAMPS_STAND, LIKED_AWAY) for trial in one.pair}
        return tuple(dict.fromkeys(one.better for one in self.won if one.better not in beaten | doubtful))


def proposal(evidence: Evidence) -> Proposal:
    """The first rule that fits."""
    view = _View(evidence, standings(evidence))
    return next(found for found in _proposed(view) if found is not None)


def _proposed(view: _View) -> Iterator[Proposal | None]:
    return (rule(view) for rule in _BRIEF_RULES)


def _nothing_opened(view: _View) -> Proposal | None:
    return None if view.evidence.sessions else Proposal(NOTHING_OPENED, "", "", (), ())


def _broken(view: _View) -> Proposal | None:
    whole = all(one.log_holds for one in view.evidence.sessions)
    return None if whole else Proposal(BROKEN, "", "", (), ())


def _one_leads(view: _View) -> Proposal | None:
    if len(view.leaders) != 1:
        return None
    lead = view.leaders[0]
    rests = tuple(one for one in view.standings if lead in one.pair)
    return Proposal(KEEP, "keep", lead, rests, _beside(view, lead))


def _several_lead(view: _View) -> Proposal | None:
    if len(view.leaders) < 2:
        return None
    rests = tuple(one for one in view.won if one.better in view.leaders)
    return Proposal(SEVERAL_LEAD, "smell again", _latest(view, view.leaders), rests, ())


def _simpler(view: _View) -> Proposal | None:
    """Of trials few can tell apart the simplest; where these make several groups, the first of them in the book."""
    alike = view.of(ALIKE)
    if not alike:
        return None
    stands = view.evidence.simpler(alike[0].first_id, alike[0].second_id)
    for one in alike[1:]:
        if stands in one.pair:
            stands = view.evidence.simpler(*one.pair)
    return Proposal(SIMPLER, "keep", stands, tuple(one for one in alike if stands in one.pair), _beside(view, stands))


def _of_kind(kind: str, word: str) -> Callable[[_View], Proposal | None]:
    """Pairs of one kind; the word is for the one people prefer, else for the later of the first pair."""

    def rule(view: _View) -> Proposal | None:
        found = view.of(kind)
        if not found:
            return None
        trial = found[0].better or _latest(view, found[0].pair)
        return Proposal(kind, word, trial if word else "", found, ())

    return rule


def _circle(view: _View) -> Proposal | None:
    won = view.won
    return Proposal(CIRCLE, "smell again", won[0].better, won, ()) if won else None


def _nothing_shown(view: _View) -> Proposal | None:
    return Proposal(NOTHING_SHOWN, "", "", (), ())


_BRIEF_RULES: Final[tuple[Callable[[_View], Proposal | None], ...]] = (
    _nothing_opened,
    _broken,
    _one_leads,
    _several_lead,
    _of_kind(DISAGREEING, "smell again"),
    _of_kind(CAMPS_STAND, ""),
    _of_kind(LIKED_AWAY, "rework"),
    _circle,
    _simpler,
    _of_kind(TOLD, "smell again"),
    _of_kind(OPEN, "smell again"),
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
    return Beside(trial, "drop" if beaten or spare else "smell again", own)


def _latest(view: _View, trials: Iterable[str]) -> str:
    order = [one.id for one in view.evidence.trials]
    return max(trials, key=order.index)
