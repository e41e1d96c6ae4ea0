"""What one point of evidence says, in words: made from its facts where it is shown, or as it was written once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any, Final

from evaluation.counting.changes_did import Did
from evaluation.counting.fans import Candidate, FanFound
from evaluation.counting.profiles import Move
from evaluation.counting.questions import Loss
from evaluation.counting.rounds import Pair
from evaluation.deciding.claims import Apart
from evaluation.deciding.evidence import (
    FIRST,
    NEARER,
    NEITHER,
    NUMBER,
    Camps,
    EffectsShown,
    Evidence,
    Facts,
    Nearness,
    NoDistance,
    NotApart,
    OftenNearer,
    Point,
    SessionShown,
    Summed,
    Unheard,
    Unmoved,
    Unrated,
    Unread,
)
from evaluation.judging.entries import Entry, PreferenceEntry, Weighed
from evaluation.judging.sequences import Look, SequentialEntry
from evaluation.judging.suspecting import Suspected, Trace, TraceTold
from evaluation.statistics.dry_down.curves import Stretch
from evaluation.values.trials import sentence_case, trial_name
from evaluation.wording.of_fans import evidence_line
from evaluation.wording.of_looks import sentence as look_sentence
from evaluation.wording.of_profiles import move_words, no_parting_words, parting_words, unmoved_words
from evaluation.wording.of_separations import effects_line
from evaluation.wording.of_sums import summed_words
from evaluation.wording.of_suspects import evidence_words
from evaluation.wording.of_verdicts import count, none_counted, p_words, sentence

Names = tuple[str, str]  # labels of the two trials, as the session has them


def point_words(point: Point, session: SessionShown, evidence: Evidence) -> str:
    """The sentence of a point as its session has it; of evidence that was frozen with words, those."""
    if point.sentence:
        return point.sentence
    found = given(point.facts)
    first, second = evidence.labels(point.first_id, point.second_id)
    return _TELLERS[type(found)](found, point, (first, second), float(session.alpha))


def gap_words(gap: Facts | str) -> str:
    """What else must be known of a session, and what could not be read; of evidence frozen with words, those."""
    if isinstance(gap, str):
        return gap
    found = given(gap)
    return _GAPS[type(found)](found)


# --- facts back as what was found -------------------------------------------------------------------------------------

_KNOWN: Final = MappingProxyType(
    {
        kind.__name__: kind
        for kind in (
            *(Apart, Camps, Entry, Look, Move, Nearness, NotApart, Pair, PreferenceEntry, SequentialEntry, Stretch),
            *(Candidate, Did, EffectsShown, FanFound, NoDistance, OftenNearer, Summed, Unheard, Unmoved, Unrated),
            *(Suspected, Trace, TraceTold, Unread, Weighed),
        )
    }
)


def given(facts: Any) -> Any:
    """What :func:`evaluation.deciding.evidence.facts_of` was given."""
    if isinstance(facts, list | tuple):
        return tuple(given(one) for one in facts)
    if not isinstance(facts, Mapping):
        return facts
    if NUMBER in facts:
        return float(facts[NUMBER])
    return _KNOWN[facts["of"]](**{name: given(one) for name, one in facts.items() if name != "of"})


# --- each in words ----------------------------------------------------------------------------------------------------


def _loss(point: Point) -> Loss | None:
    """Known where no answer counted."""
    return None if point.answered else Loss("", point.planned, sum(n for _, n in point.lost), 0, point.lost)


def _verdict(entry: Any, point: Point, names: Names, alpha: float) -> str:
    return sentence(entry, names, _loss(point), nearer=point.topic == NEARER)


def _looks(entry: SequentialEntry, point: Point, names: Names, alpha: float) -> str:
    return look_sentence(entry, _loss(point))


def _move(move: Move, point: Point, names: Names, alpha: float) -> str:
    return f"{move_words(move, alpha)}."


def _unmoved(found: Unmoved, point: Point, names: Names, alpha: float) -> str:
    return unmoved_words(names, found.bound, 1.0 - alpha)


def _apart(one: Apart, point: Point, names: Names, alpha: float) -> str:
    return parting_words(one)


def _not_apart(found: NotApart, point: Point, names: Names, alpha: float) -> str:
    return no_parting_words(names, found.least, alpha)


def _nearness(found: Nearness, point: Point, names: Names, alpha: float) -> str:
    first, second = map(trial_name, names)
    told = f"Neither {first} nor {second} is shown to lie nearer the targets"
    if point.outcome != NEITHER:
        near, far = (first, second) if point.outcome == FIRST else (second, first)
        told = f"{sentence_case(near)} lies nearer the targets than {far}"
    p = found.p_family
    shown = ": too few people rated both" if p is None else f" ({p_words(p, alpha)}, corrected for all pairs)"
    late = "" if point.weighs else " The targets were written after opening, so this decides nothing."
    return f"{told}{shown}.{late}"


def _pair(pair: Pair, point: Point, names: Names, alpha: float) -> str:
    one, other = map(trial_name, names)
    even = f", {pair.even} both alike" if pair.even else ""
    people = count(pair.people, "person", "people")
    p = p_words(pair.p_family, pair.alpha)
    if pair.shown:
        first = point.outcome == FIRST
        better, worse, most = (one, other, pair.for_first) if first else (other, one, pair.for_second)
        told = f"{sentence_case(better)} is preferred to {worse} by {most} of {people}{even}"
        return f"{told} ({p}, corrected for all pairs)."
    votes = f"{pair.for_first} of {people} for {one}, {pair.for_second} for {other}"
    return f"No preference shown between {one} and {other}: {votes}{even} ({p}, corrected for all pairs)."


def _camps(found: Camps, point: Point, names: Names, alpha: float) -> str:
    return f"The panel falls into two camps about {trial_name(*names)}: some keep preferring the one, some the other."


def _summed(found: Summed, point: Point, names: Names, alpha: float) -> str:
    return summed_words(found, names)


def _unheard(found: Unheard, point: Point, names: Names, alpha: float) -> str:
    if not found.alone:
        return f"No preference shown: {none_counted(point.planned, point.lost, 'sets')}."
    named = trial_name(*names)
    if point.answered:
        return f"Nobody answered about {named} in this session."
    return f"No preference shown between {named}: {none_counted(point.planned, point.lost)}."


_TELLERS: Final[MappingProxyType[type, Callable[[Any, Point, Names, float], str]]] = MappingProxyType(
    {
        Entry: _verdict,
        PreferenceEntry: _verdict,
        SequentialEntry: _looks,
        Move: _move,
        Unmoved: _unmoved,
        Apart: _apart,
        NotApart: _not_apart,
        Nearness: _nearness,
        Pair: _pair,
        Camps: _camps,
        Unheard: _unheard,
        Summed: _summed,
    }
)


def _unrated(found: Unrated) -> str:
    named = ", ".join(f"{word}{f' at {minutes} min' if minutes else ''}" for word, minutes in found.targets)
    return f"Targets that were not rated here, and are no part of the distance: {named}."


def _no_distance(found: NoDistance) -> str:
    return f"No distance to the brief: {found.why}"


def _often_nearer(found: OftenNearer) -> str:
    told = ", ".join(f"{trial_name(name)} ({count(times, 'time', 'times')})" for name, times in found.times)
    return f"Said to be the nearer to the brief of a pair, in answers and not tested: {told}."


def _unread(found: Unread) -> str:
    return "What sessions of this kind say is not read here; see their findings."


_GAPS: Final[MappingProxyType[type, Callable[[Any], str]]] = MappingProxyType(
    {
        Unrated: _unrated,
        NoDistance: _no_distance,
        OftenNearer: _often_nearer,
        EffectsShown: effects_line,
        Unread: _unread,
        FanFound: evidence_line,
        TraceTold: evidence_words,
    }
)
