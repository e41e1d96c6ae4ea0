"""Proposals and what would change them, in sentences. The person decides, these only propose."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from types import MappingProxyType
from typing import Final

from evaluation.deciding import proposals
from evaluation.deciding.claims import Asked, Search, called, together
from evaluation.deciding.evidence import DISTANCE, FIRST, NEARER, NOTICE, PREFERENCE, Evidence, Point, Said
from evaluation.deciding.proposals import Proposal, Standing
from evaluation.judging.entries import NOT_NOTICED, NOTICED, NOTICED_BUT_SMALL
from evaluation.serving.asking import STRENGTH, WEAR
from evaluation.values.decisions import WORDS
from evaluation.values.trials import sentence_case
from evaluation.wording.of_profiles import age_words
from evaluation.wording.of_sums import claims_of, final_reason
from evaluation.wording.of_verdicts import TIMED, count, none_counted

_WORDS: Final = MappingProxyType(dict(zip(WORDS, ("Keep", "Rework", "Drop", "Smell again"), strict=True)))

LEAD_IS: Final = (
    "A lead is where the search points, and among several comparisons chance alone makes one now and then: fresh "
    "answers about this one trial, a final sealed on the page Series, or your own reason turn it into a keep."
)


def word_name(word: str) -> str:
    """A decision's word as screens write it."""
    return _WORDS[word]


def headline(found: Proposal, evidence: Evidence) -> str:
    """The proposal in a line: "Lead: trial 8, found among 3 comparisons …: noticed, preferred by 14 of 18 people." """
    if found.rule == proposals.UNBORNE and found.final is not None:
        trial, other = evidence.name(found.final.trial_id), evidence.name(found.final.other_id)
        return f"Nothing is kept: the final of {trial} against {other} {_FAILED}: {final_reason(found.final)}."
    if not found.word:
        return _BARE[found.rule]
    trial = evidence.name(found.trial_id)
    if found.final is not None:
        return f"Keep {trial}: {final_reason(found.final)}."
    because = "; ".join([*_because(found, evidence), *_but(found, evidence)])
    if found.word == proposals.LEAD:
        return f"Lead: {trial}, {among_words(found.among)}: {because}."
    return f"{_WORDS[found.word]} {trial}: {because}."


_FAILED: Final = "did not bear the lead out"


def among_words(found: Search) -> str:
    """What a lead was found among."""
    comparisons = count(found.comparisons, "comparison", "comparisons")
    return f"found among {comparisons} of two trials in {count(found.sessions, 'opened session', 'opened sessions')}"


def lead_line(found: Proposal) -> str:
    """What a lead is and what makes it a keep; nothing where none is proposed."""
    return LEAD_IS if found.word == proposals.LEAD else ""


def final_lines(found: Proposal) -> tuple[str, ...]:
    """What the final a proposal rests on claims, and what it does not."""
    return () if found.final is None else tuple(claims_of(found.final))


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
    if found.rule in (proposals.LOST, proposals.WAVERING):
        yield from (_alone(one, evidence) for one in found.rests_on)
        return
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
    return "; ".join(dict.fromkeys(evidence.name(one.first_id, one.second_id) for one in stand))


def _alone(standing: Standing, evidence: Evidence) -> str:
    return f"{_stands(standing, evidence)} ({evidence.name(standing.first_id, standing.second_id)})"


def _but(found: Proposal, evidence: Evidence) -> Iterator[str]:
    """What most people said against the trial that leads, although it is preferred."""
    if found.word == proposals.LEAD:
        for _, one in called(evidence, found.trial_id):
            told = _most(one)
            if told:
                yield f"but {told}"


def pair_words(standing: Standing, evidence: Evidence, trial_id: str) -> str:
    """How ``trial_id`` stands to the other of the pair."""
    other = evidence.name(standing.other(trial_id))
    if standing.kind == proposals.ALIKE:
        simpler = evidence.simpler(trial_id, standing.other(trial_id)) == trial_id
        told = f"{other} is not told apart from it within the limit you set"
        return told + (", so the simpler one leads" if simpler else f", and {other} is the simpler one")
    if standing.kind in proposals.BETTER:
        won = ", ".join([*_merits(standing), *_in_vain(standing)])
        return f"against {other}, {won}" if standing.better == trial_id else f"{other} does better: {won}"
    return f"against {other}: {_stands(standing, evidence)}"


def _stands(standing: Standing, evidence: Evidence) -> str:
    if standing.kind == proposals.WAVERING:
        return _wavers(standing, evidence)
    if standing.kind == proposals.LOST:
        last = standing.points[-1]
        return none_counted(last.planned, last.lost)
    return _STANDS[standing.kind]


_STANDS: Final = MappingProxyType(
    {
        proposals.DISAGREEING: "what was opened contradicts itself",
        proposals.CAMPS_STAND: "the panel falls into two camps",
        proposals.LIKED_AWAY: "one is preferred, the other is nearer the brief",
        proposals.TOLD: "told apart, neither shown to be wanted more",
        proposals.OPEN: "undecided",
        proposals.UNBORNE: "its final did not bear it out",
    }
)


def _wavers(standing: Standing, evidence: Evidence) -> str:
    """Which one was shown to be better, how often, and how often neither was."""
    told = []
    for asked, better in ((standing.liked, "preferred"), (standing.near, "nearer the brief")):
        if asked.ways:
            name = evidence.name(standing.first_id if FIRST in asked.ways else standing.second_id)
            shown = max(asked.first, asked.second)
            told.append(f"{name} shown to be {better} in {shown} of {asked.times} comparisons, neither in the rest")
    return ", ".join(told)


def _in_vain(standing: Standing) -> Iterator[str]:
    """Comparisons that showed nothing count against the one that leads, and are told."""
    asked: tuple[tuple[Asked, str], ...] = ((standing.liked, "preference"), (standing.near, "one nearer the brief"))
    for found, what in asked:
        if found.neither and found.ways:
            yield f"though {found.neither} of {found.times} comparisons showed no {what}"


def _merits(standing: Standing) -> Iterator[str]:
    """What speaks for the better of the pair, in the order people ask: heard at all, wanted, nearer."""
    points = tuple(one.seen_from(standing.better) for one in standing.points)
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
    """ " by 14 of 18 people", session by session and age by age; nothing where it rests on more than votes."""
    told = [f"{one.for_first} of {count(one.people, 'person', 'people')}{_at_age(one)}" for one in points if one.people]
    return f" by {' and by '.join(told)}" if told else ""


def _at_age(point: Point) -> str:
    """At which age nearness was asked: of one session every age is a vote of the same people."""
    return f" at {age_words(float(point.minutes))}" if point.topic == NEARER and point.minutes is not None else ""


# --- what was said of one trial ---------------------------------------------------------------------------------------

_AGAINST: Final = MappingProxyType(
    {
        "strength": ((STRENGTH[:2], "called it weak or very weak"), (STRENGTH[-1:], "called it very strong")),
        "wear": ((WEAR[-1:], "would not wear it"),),
    }
)
_ASKED: Final = MappingProxyType({"strength": "how strong it is", "wear": "whether they would wear it"})


def _most(said: Said) -> str:
    """What at least half of the people said against the trial: "9 of 12 people called it weak or very weak"."""
    counts = dict(said.counts)
    for options, told in _AGAINST[said.asked]:
        number = sum(counts.get(one, 0) for one in options)
        if said.people and 2 * number >= said.people:
            return f"{number} of {count(said.people, 'person', 'people')} {told}"
    return ""


def said_line(said: Said, evidence: Evidence) -> str:
    """Every answer about one trial by itself: "Of trial 8, how strong it is: 9 weak, 3 medium (12 people)."."""
    told = ", ".join(f"{number} {option}" for option, number in said.counts if number)
    where = " on skin" if said.medium == "skin" else ""
    name, people = evidence.name(said.trial_id), count(said.people, "person", "people")
    return f"Of {name}{where}, {_ASKED[said.asked]}: {told or 'no answer'} ({people})."


# --- beside, and what would change it ---------------------------------------------------------------------------------


def beside(found: Proposal, evidence: Evidence) -> tuple[str, ...]:
    """What becomes of the other trials, a sentence each; one for all about which nothing weighs."""
    told = [
        f"{_HEADS[one.word].format(trial=evidence.name(one.trial_id))}: "
        f"{pair_words(one.standing, evidence, one.trial_id)}."
        for one in found.beside
        if one.standing is not None
    ]
    unsaid = [one.trial_id for one in found.beside if one.standing is None]
    return tuple(sentence_case(one) for one in (*told, *_unsaid(found, evidence, unsaid)))


_HEADS: Final = MappingProxyType(
    {proposals.BEHIND: "{trial} stands behind so far", proposals.SMELL_AGAIN: "smell {trial} again"}
)


def _unsaid(found: Proposal, evidence: Evidence, others: list[str]) -> Iterator[str]:
    """Not compared with the lead at all, or only rated beside it."""
    if not others:
        return
    rated = [one for one in others if together(evidence, found.trial_id, one).sessions]
    rest = [one for one in others if one not in rated]
    lead = evidence.name(found.trial_id)
    if rated:
        yield f"{evidence.name(*rated)} {_were(rated)} in a session with {lead}: nothing in it weighs which is better."
    if rest:
        them = "it" if len(rest) == 1 else "them"
        yield f"{evidence.name(*rest)} {_were(rest)} not compared with {lead}: nothing is said of {them}."


def _were(trials: list[str]) -> str:
    return "was" if len(trials) == 1 else "were"


def would_change(found: Proposal, evidence: Evidence) -> tuple[str, ...]:
    """What would change the proposal, a sentence each."""
    told = [_changes(found, evidence)]
    if found.word == proposals.LEAD:
        told.append("A session that contradicts one of those it rests on: then neither counts until it is smelt again.")
        told.append(_COUNTS_AGAINST[found.rule])
        if any(one.standing is None for one in found.beside):
            told.append("A trial that was not compared with it and does better.")
    if evidence.waiting:
        told.append(
            f"{count(evidence.waiting, 'session', 'sessions')} of this brief sealed and not opened yet: no part of "
            "this proposal."
        )
    return tuple(told)


_COUNTS_AGAINST: Final = MappingProxyType(
    {
        proposals.ONE_LEADS: "A session of it that shows no preference, or neither nearer: that counts against it.",
        proposals.SIMPLER: "A session of the two that stays undecided: then they no longer count as not told apart.",
    }
)


def _changes(found: Proposal, evidence: Evidence) -> str:
    if found.rule == proposals.LOST:
        return on_time(tuple(kind for one in found.rests_on for kind, _ in one.points[-1].lost))
    return _CHANGES[found.rule].format(trial=evidence.name(found.trial_id) if found.trial_id else "")


def on_time(lost: tuple[str, ...]) -> str:
    """What makes answers count that a sealed rule left out: seldom more people."""
    if not lost:
        return "The same session once more, with people who answer."
    how = "each strip smelt at its age" if set(lost) <= TIMED else f"nothing to set answers apart ({', '.join(lost)})"
    return f"The same session once more, {how}. More people would not change it."


_CHANGES: Final = MappingProxyType(
    {
        proposals.NOTHING_OPENED: "A first session, smelt, closed and opened.",
        proposals.BROKEN: "A log that holds: go back to a backup, or smell again.",
        proposals.NOTHING_SHOWN: "A session that asks which of two trials people prefer, or which is nearer the brief.",
        proposals.KEPT: "Another trial that leads against {trial}, and a final of its own.",
        proposals.UNBORNE: "A new trial that leads, and a final of it, which must speak five times louder.",
        proposals.ONE_LEADS: "Another trial that people prefer to {trial}, or that comes nearer the brief.",
        proposals.SEVERAL_LEAD: "A session in which those that lead stand against each other.",
        proposals.CIRCLE: "A round of pairs over all of them with more people.",
        proposals.SIMPLER: "A session in which {trial} and the other are noticed apart, and the other is preferred.",
        proposals.DISAGREEING: "A fresh and larger session of the same kind, which is then one more beside these.",
        proposals.CAMPS_STAND: "Knowing whom the scent is for, and a panel of such people.",
        proposals.LIKED_AWAY: "A rework that keeps what people prefer and comes nearer the brief; or other targets.",
        proposals.WAVERING: "Fresh sessions of the two: it leads once more of them show it than do not.",
        proposals.TOLD: "A session that asks which of the two people prefer, or which comes nearer the brief.",
        proposals.OPEN: "A fresh session with more assessments.",
    }
)
