"""Small facts that sentences rest on. Each names its evidence: sessions, ages, trials, counts; words only render them.

What a sentence may claim is decided here: that nobody compared two trials, that one change lies between them, that two
curves of strength part, that one method finds less than another, and how often a question came out which way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from evaluation import statistics
from evaluation.counting.profiles import ProfileFound
from evaluation.counting.shown_ages import ROUNDING
from evaluation.deciding.evidence import (
    CAMPS,
    DISTANCE,
    FIRST,
    NEARER,
    NEITHER,
    NOTICE,
    PREFERENCE,
    SECOND,
    Evidence,
    Point,
    Said,
    SessionShown,
    line_of,
)
from evaluation.kinds import Method
from evaluation.serving.asking import STRENGTH_NAME
from evaluation.statistics import PairDecay, Stretch

DECIDING: Final = frozenset({NOTICE, PREFERENCE, NEARER, DISTANCE, CAMPS})
LIKING: Final = frozenset({PREFERENCE})
NEARNESS: Final = frozenset({NEARER, DISTANCE})

# --- who compared what ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Together:
    """The opened sessions in which both trials were smelt blind by one panel; none: nobody compared them."""

    first_id: str
    second_id: str
    sessions: tuple[SessionShown, ...]

    @property
    def asked(self) -> tuple[SessionShown, ...]:
        """Those that asked which of the two is better, or whether they are told apart."""
        pair = {self.first_id, self.second_id}
        return tuple(s for s in self.sessions if any(p.pair == pair and p.topic in DECIDING for p in s.points))


def together(evidence: Evidence, first_id: str, second_id: str) -> Together:
    """Who compared two trials, also where nothing weighs: a profile of the two is a comparison."""
    pair = frozenset((first_id, second_id))
    return Together(first_id, second_id, tuple(one for one in evidence.sessions if _smelt(one, pair)))


def _smelt(session: SessionShown, pair: frozenset[str]) -> bool:
    """Both were served, and it is not on record that nobody answered about them."""
    asked_of = [p for p in session.points if p.pair == pair and p.topic in (NOTICE, PREFERENCE)]
    return pair <= session.smelt and not (asked_of and all(map(_silent, asked_of)))


def _silent(point: Point) -> bool:
    """No answer came in; of a round in which each nose smells some pairs only, nobody smelt this one."""
    unasked = point.topic == PREFERENCE and not point.people and not point.weighs
    return unasked or bool(point.planned and not point.lost)


# --- what was looked through ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Search:
    """What a lead was found among: opened ``sessions`` and the ``comparisons`` of two trials in them that weigh.

    A comparison is two trials in one session on one medium, whatever was asked about them there; where several bottles
    of one of them were smelt, each is one more.
    """

    sessions: int
    comparisons: int


def search(evidence: Evidence) -> Search:
    """Everything of a brief that could have made a trial lead."""
    asked_of = Counter(
        ((s.session_id, p.pair, p.medium), (p.topic, p.minutes)) for s in evidence.sessions for p in weighing(s.points)
    )
    found: dict[tuple[str, frozenset[str], str], int] = {}
    for (comparison, _), bottles in asked_of.items():
        found[comparison] = max(bottles, found.get(comparison, 0))
    return Search(len({session for session, _, _ in found}), sum(found.values()))


def weighing(points: Iterable[Point]) -> Iterator[Point]:
    """Those a proposal rests on: sealed, on a question that decides, with an answer that counts."""
    return (one for one in points if one.weighs and one.topic in DECIDING and one.answered)


@dataclass(frozen=True, slots=True)
class Asked:
    """How a question about two trials came out, in comparisons: for the ``first``, the ``second``, or ``neither``.

    ``leads`` asks for more comparisons that show it than do not, and none the other way. Two trials that are the same,
    asked again and again at alpha until one leads, then make one lead with a chance of at most alpha / (1 − alpha / 2)
    in all: a walk that goes up with chance alpha / 2 and else down ever gets above its start with chance
    (alpha / 2) / (1 − alpha / 2), on either side (the ruin of a gambler: Feller 1968, An Introduction to Probability
    Theory and Its Applications I, XIV.2, from memory).
    """

    first: int
    second: int
    neither: int

    @property
    def times(self) -> int:
        """In how many comparisons it was asked, however they came out."""
        return self.first + self.second + self.neither

    @property
    def ways(self) -> frozenset[str]:
        """Every way that was shown at least once."""
        return frozenset(way for way, number in ((FIRST, self.first), (SECOND, self.second)) if number)

    @property
    def leads(self) -> str:
        """FIRST or SECOND; "" where comparisons that showed nothing are as many, or both ways were shown."""
        shown = max(self.first, self.second)
        return next(iter(self.ways)) if len(self.ways) == 1 and shown > self.neither else ""


def asked(sessions: Iterable[SessionShown], first_id: str, second_id: str, topics: frozenset[str]) -> Asked:
    """Counted by comparison and topic: the ages of one session are one family, and count once."""
    counts = {FIRST: 0, SECOND: 0, NEITHER: 0}
    for outcomes in _by_comparison(sessions, first_id, second_id, topics):
        for way in outcomes - {NEITHER} or {NEITHER}:
            counts[way] += 1
    return Asked(*counts.values())


def _by_comparison(
    sessions: Iterable[SessionShown], first_id: str, second_id: str, topics: frozenset[str]
) -> Iterator[set[str]]:
    pair = {first_id, second_id}
    for session in sessions:
        found: dict[tuple[str, str], set[str]] = {}
        for point in weighing(session.points):
            if point.pair == pair and point.topic in topics:
                found.setdefault((point.medium, point.topic), set()).add(point.seen_from(first_id).outcome)
        yield from found.values()


def called(evidence: Evidence, trial_id: str) -> tuple[tuple[SessionShown, Said], ...]:
    """What people said of one trial by itself, session by session: how strong it is, whether they would wear it.

    Where several bottles of it were smelt, what was said is of one of them and not of the trial.
    """
    told = [session for session in evidence.sessions if session.of_trials.count(trial_id) < 2]
    return tuple((session, one) for session in told for one in session.said if one.trial_id == trial_id)


# --- what lies between two trials -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Between:
    """The steps of the book between two trials, each the trial it made; ``related`` False: no common origin.

    One step may itself hold several changes: the book has it in words and nobody counts them.
    """

    first_id: str
    second_id: str
    steps: tuple[str, ...]
    related: bool


def between(parents: Mapping[str, str | None], first_id: str, second_id: str) -> Between:
    """Up from the first to where the two lines meet, and down to the second."""
    one, other = line_of(parents, first_id), line_of(parents, second_id)
    meeting = next((trial for trial in one if trial in other), None)
    if meeting is None:
        return Between(first_id, second_id, (), related=False)
    up, down = one[: one.index(meeting)], other[: other.index(meeting)]
    return Between(first_id, second_id, (*up, *reversed(down)), related=True)


# --- when two curves of strength part ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Apart:
    """A stretch in which one curve of strength lies above the other, and where the sealed family shows that.

    ``shown_at``: ages in minutes at which it does, with the largest ``p_family`` of them; empty: nowhere in the
    stretch, and then no time of it may be told.
    """

    stretch: Stretch
    weaker: str
    shown_at: tuple[float, ...]
    p_family: float

    @property
    def may_be_told(self) -> bool:
        """Whether the sealed family shows it at any age."""
        return bool(self.shown_at)


def partings(found: ProfileFound, pair: PairDecay) -> tuple[Apart, ...]:
    """Every stretch of two curves with its evidence."""
    return tuple(_apart(found, pair, one) for one in pair.stretches)


def least_p(found: ProfileFound, pair: PairDecay) -> float | None:
    """The smallest family p of a difference of strength between two trials at any age; None where none was rated."""
    rows = [p for _, _, p in _strength(found, pair)]
    return min(rows) if rows else None


def _apart(found: ProfileFound, pair: PairDecay, one: Stretch) -> Apart:
    up = one.stronger == pair.second
    inside = [
        (age, p)
        for age, difference, p in _strength(found, pair)
        if one.since <= age <= one.until and (difference > 0) == up and p <= found.alpha * ROUNDING
    ]
    weaker = pair.first if up else pair.second
    return Apart(one, weaker, tuple(age for age, _ in inside), max((p for _, p in inside), default=1.0))


def _strength(found: ProfileFound, pair: PairDecay) -> list[tuple[float, float, float]]:
    """Age, difference second − first, family p; rows outside the family claim nothing."""
    if found.differences is None:
        return []
    table = found.differences.table
    own = table[(table["first"] == pair.first) & (table["second"] == pair.second) & table["in_family"]]
    own = own[own["descriptor"] == STRENGTH_NAME].sort_values("age_minutes")
    return list(zip(own["age_minutes"], own["difference"], own["p_family"], strict=True))


# --- which method finds less ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Finer:
    """A method with the same guessing is right more often than another at every distance up to ``up_to`` (d-prime),
    as long as its further strips do not make the two seem nearer by the share ``spare``. ``right``: of the answers to
    the other method, at that largest distance."""

    method: Method
    than: Method
    up_to: float
    right: float
    spare: float


DISTANCES: Final = tuple(step / 20 for step in range(2, 61))  # d-prime .1 to 3: beyond, nearly everybody is right


@lru_cache
def finer(method: Method, than: Method) -> Finer | None:
    """None where it is not so from the smallest distance on, or where the two methods guess unlike."""
    if statistics.chance(method) != statistics.chance(than):
        return None
    spares: list[float] = []
    for distance in DISTANCES:
        as_good = float(statistics.d_prime(statistics.proportion_correct(distance, than), method))
        if as_good >= distance:
            break
        spares.append(1.0 - as_good / distance)
    if not spares:
        return None
    up_to = DISTANCES[len(spares) - 1]
    return Finer(method, than, up_to, float(statistics.proportion_correct(up_to, than)), min(spares))
