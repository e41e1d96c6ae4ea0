"""Proposals, what would change them, and what to smell next, in sentences. The person decides, these only propose."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from types import MappingProxyType
from typing import Final

from evaluation import proposals
from evaluation.decisions import WORDS
from evaluation.entries import NOT_NOTICED, NOTICED, NOTICED_BUT_SMALL
from evaluation.evidence import DISTANCE, FIRST, NEARER, NOTICE, PREFERENCE, Evidence, Point
from evaluation.next_smellings import PROFILE_TIMES, UNSMELT, WHICH_WAY, NextSmelling
from evaluation.proposals import Proposal, Standing
from evaluation.wording_ballot import method_name
from evaluation.wording_verdicts import count, percent, risk

_WORDS: Final = MappingProxyType(dict(zip(WORDS, ("Keep", "Rework", "Drop", "Smell again"), strict=True)))


def word_name(word: str) -> str:
    """A decision's word as screens write it."""
    return _WORDS[word]


def headline(found: Proposal, evidence: Evidence) -> str:
    """The proposal in a line: "Keep 8: noticed, preferred by 14 of 18 people." """
    if not found.word:
        return _BARE[found.rule]
    trial = evidence.label(found.trial_id)
    because = "; ".join(_because(found, evidence))
    return f"{_WORDS[found.word]} {trial}: {because}."


_BARE: Final = MappingProxyType(
    {
        proposals.NOTHING_OPENED: "Nothing opened yet: no session of this brief has told anything, so nothing is "
        "proposed.",
        proposals.BROKEN: "Nothing is proposed: the log of a session no longer holds, so what it says may have been "
        "changed. Look at that log first.",
        proposals.NOTHING_SHOWN: "Nothing is proposed: sessions were opened, and none of them weighs for or against a "
        "trial.",
        proposals.CAMPS_STAND: "Nothing is proposed: the panel falls into two camps that want opposite things. An "
        "average would be a wish that nobody holds; decide whom the scent is for.",
    }
)


# --- reasons ----------------------------------------------------------------------------------------------------------


def _because(found: Proposal, evidence: Evidence) -> Iterator[str]:
    """For and beside the proposed trial, one clause a pair."""
    if found.rule in _SAID:
        yield _SAID[found.rule].format(pairs=_pairs(found.rests_on, evidence))
        return
    for one in found.rests_on:
        yield pair_words(one, evidence, found.trial_id)


_SAID: Final = MappingProxyType(
    {
        proposals.SEVERAL_LEAD: "more than one trial leads, and they were not set against each other ({pairs})",
        proposals.CIRCLE: "the trials beat one another in a circle ({pairs})",
        proposals.DISAGREEING: "what was opened contradicts itself ({pairs})",
        proposals.LIKED_AWAY: "people prefer it, and the other is nearer the brief ({pairs})",
        proposals.TOLD: "it is told apart, and nobody has been shown to want one more ({pairs})",
        proposals.OPEN: "the answers so far decide nothing ({pairs})",
    }
)


def _pairs(stand: Iterable[Standing], evidence: Evidence) -> str:
    named = (f"{evidence.label(one.first_id)} and {evidence.label(one.second_id)}" for one in stand)
    return ", ".join(dict.fromkeys(named))


def pair_words(standing: Standing, evidence: Evidence, trial_id: str) -> str:
    """How ``trial_id`` stands to the other of the pair."""
    other = evidence.label(standing.other(trial_id))
    points = tuple(one.seen_from(trial_id) for one in standing.points)
    if standing.kind == proposals.ALIKE:
        simpler = evidence.simpler(trial_id, standing.other(trial_id)) == trial_id
        told = f"{other} is not told apart from it within the limit you set"
        return told + (", so the simpler one stands" if simpler else f", and {other} is the simpler one")
    if standing.kind in proposals.BETTER:
        if standing.better == trial_id:
            return f"against {other}, {', '.join(_merits(points))}"
        return f"{other} does better: {', '.join(_merits(tuple(p.seen_from(standing.better) for p in points)))}"
    return f"against {other}: {_STANDS[standing.kind]}"


_STANDS: Final = MappingProxyType(
    {
        proposals.DISAGREEING: "what was opened contradicts itself",
        proposals.CAMPS_STAND: "the panel falls into two camps",
        proposals.LIKED_AWAY: "one is preferred, the other is nearer the brief",
        proposals.TOLD: "told apart, neither shown to be wanted more",
        proposals.OPEN: "undecided",
    }
)


def _merits(points: tuple[Point, ...]) -> Iterator[str]:
    """What speaks for the first trial, in the order people ask: heard at all, wanted, nearer."""
    verdicts = {one.outcome for one in points if one.topic == NOTICE}
    for verdict in (NOTICED, NOTICED_BUT_SMALL, NOT_NOTICED):
        if verdict in verdicts:
            yield verdict
            break
    for topic, told in _FOR.items():
        won = [one for one in points if one.topic == topic and one.outcome == FIRST]
        if won:
            yield told.format(most=_voters(won))


_FOR: Final = MappingProxyType(
    {PREFERENCE: "preferred{most}", NEARER: "held nearer the brief{most}", DISTANCE: "nearer the targets of the brief"}
)


def _voters(points: list[Point]) -> str:
    """ " by 14 of 18 people", session by session; nothing where the outcome rests on more than votes."""
    told = [f"{one.for_first} of {count(one.people, 'person', 'people')}" for one in points if one.people]
    return f" by {' and by '.join(told)}" if told else ""


def beside(found: Proposal, evidence: Evidence) -> tuple[str, ...]:
    """What becomes of the other trials, a sentence each; one for all that were not compared."""
    told = [
        f"{_WORDS[one.word]} {evidence.label(one.trial_id)}: {pair_words(one.standing, evidence, one.trial_id)}."
        for one in found.beside
        if one.standing is not None
    ]
    unsaid = [evidence.label(one.trial_id) for one in found.beside if one.standing is None]
    if unsaid:
        were, them = ("was", "it") if len(unsaid) == 1 else ("were", "them")
        kept = evidence.label(found.trial_id)
        told.append(f"{', '.join(unsaid)} {were} not compared with {kept}: nothing is said of {them}.")
    return tuple(told)


def would_change(found: Proposal, evidence: Evidence) -> tuple[str, ...]:
    """What would change the proposal, a sentence each."""
    told = [_CHANGES[found.rule].format(trial=evidence.label(found.trial_id) if found.trial_id else "")]
    if found.rule in (proposals.KEEP, proposals.SIMPLER):
        told.append("A session that contradicts one of those it rests on: then neither counts until it is smelt again.")
        if any(one.standing is None for one in found.beside):
            told.append("A trial that was not compared with it and does better.")
    if evidence.waiting:
        told.append(
            f"{count(evidence.waiting, 'session', 'sessions')} of this brief sealed and not opened yet: no part of "
            "this proposal."
        )
    return tuple(told)


_CHANGES: Final = MappingProxyType(
    {
        proposals.NOTHING_OPENED: "A first session, smelt, closed and opened.",
        proposals.BROKEN: "A log that holds: go back to a backup, or smell again.",
        proposals.NOTHING_SHOWN: "Answers that count: smell again with more people.",
        proposals.KEEP: "Another trial that people prefer to {trial}, or that comes nearer the brief.",
        proposals.SEVERAL_LEAD: "A session in which those that lead stand against each other.",
        proposals.CIRCLE: "A round of pairs over all of them with more people.",
        proposals.SIMPLER: "A session in which {trial} and the other are noticed apart, and the other is preferred.",
        proposals.DISAGREEING: "A fresh and larger session of the same kind, which is then one more beside these.",
        proposals.CAMPS_STAND: "Knowing whom the scent is for, and a panel of such people.",
        proposals.LIKED_AWAY: "A rework that keeps what people prefer and comes nearer the brief; or other targets.",
        proposals.TOLD: "A session that asks which of the two people prefer, or which comes nearer the brief.",
        proposals.OPEN: "A fresh session with more assessments.",
    }
)


# --- next -------------------------------------------------------------------------------------------------------------


def next_words(one: NextSmelling, evidence: Evidence) -> tuple[str, str, str]:
    """Title, why, and what it takes."""
    pair = f"{evidence.label(one.first_id)} and {evidence.label(one.second_id)}"
    return f"{pair}: {method_name(one.method)}", _WHY[one.why], " ".join(_takes(one))


_WHY: Final = MappingProxyType(
    {
        proposals.DISAGREEING: "What was opened about these two contradicts itself.",
        proposals.SEVERAL_LEAD: "Both lead, and they were never set against each other.",
        proposals.CIRCLE: "The trials beat one another in a circle.",
        proposals.TOLD: "They are told apart; which of them people want is not known.",
        proposals.OPEN: "Undecided so far; a fresh session stands beside the one there is, never added to it.",
        UNSMELT: "Nobody has compared these two blind.",
        proposals.CAMPS_STAND: "The panel is in two camps; ask the people the scent is for.",
        proposals.LIKED_AWAY: "Preferred one way, nearer the other: rate what takes it away from the brief.",
        WHICH_WAY: "One does better; rating both would say what moved, and when.",
    }
)


def _takes(one: NextSmelling) -> Iterator[str]:
    if one.method == "profile":
        yield (
            f"At least {one.people} people rate both at {PROFILE_TIMES} strip ages: {one.strips} strips. More people "
            "teach more here than ratings said twice."
        )
        return
    shares = percent(one.pd if one.method != "preference" else (1 + one.pd) / 2)
    does = "prefer one of them" if one.method == "preference" else "would notice"
    if one.method == "tetrad":
        does = "would notice in a triangle"
    yield (
        f"{count(one.assessments, 'assessment', 'assessments')} find it with power {percent(1 - one.beta)} if {shares} "
        f"{does} (alpha {risk(one.alpha)}): {one.people} people once each, {one.strips} strips."
    )
    if one.replicates:
        yield (
            f"Your {one.panel} people would each smell {one.replicates} sets, over several sittings; that would speak "
            "for this panel only, more people speak for people like them."
        )
    if one.method == "preference" and one.panel < one.people:
        yield _votes(one)


def _votes(one: NextSmelling) -> str:
    if one.needed is None:
        return f"Your {count(one.panel, 'person', 'people')} could not show a preference, whatever they answer."
    return f"With your {one.panel} people, {one.needed} of {one.panel} would have to prefer the same one."
