"""What a series or a final said, as evidence beside other sessions: one sentence, and what a *keep* may claim."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Final

from evaluation.deciding.evidence import Summed
from evaluation.judging.adding_up import CAPPED, ENDED, GAVE_UP, KEEP, OPEN
from evaluation.judging.entries import NO_WORD
from evaluation.values.trials import trial_name
from evaluation.wording.of_series import AT_LARGE, KEEP_RULE, NOT_CLAIMED, SAME_ONE, either_way
from evaluation.wording.of_verdicts import count, verdict_name

Names = tuple[str, str]


def summed_words(found: Summed, names: Names) -> str:
    """ "Final over 2 sittings: kept; 11 of 12 answers for trial 8 …, evidence 60 to 1, needed 25 to 1." """
    kind = "Final" if found.final else "Series"
    over = count(found.sittings, "sitting", "sittings")
    word = _FINALS.get(found.word) if found.final else _word(found.word, names)
    return f"{kind} over {over}: {word}. {_answers(found, names)}; {_evidence(found)}."


_FINALS: Final[Mapping[str, str]] = MappingProxyType(
    {
        KEEP: "it speaks for the trial",
        GAVE_UP: "given up, the answers speak against the trial",
        CAPPED: "ended at its cap, the trial is not shown to be better",
        ENDED: "ended by the conductor, the trial is not shown to be better",
        OPEN: "still open",
    }
)


def final_phrase(word: str) -> str:
    """How a final stands, beside the line of its two trials."""
    return f"final: {_PHRASES[word]}"


_PHRASES: Final[Mapping[str, str]] = MappingProxyType(
    {KEEP: "keep", GAVE_UP: "given up", CAPPED: "ended at its cap", ENDED: "ended by you", OPEN: "still open"}
)


def _word(word: str, names: Names) -> str:
    return "nothing opened" if word == NO_WORD else verdict_name(word, names).lower()


def _answers(found: Summed, names: Names) -> str:
    by = count(found.people, "person", "people")
    whole = count(found.answers, "answer", "answers")
    if found.question == "simpler" or (not found.final and found.mirror is not None):
        return f"{found.first} of {whole} right, from {by}"
    ties = f", {found.ties} without a choice" if found.ties else ""
    first, second = map(trial_name, names)
    return f"{found.first} of {whole} for {first}, {found.second} for {second}{ties}, from {by}"


def _evidence(found: Summed) -> str:
    return f"evidence {_odds(found.evidence)}, needed {_odds(found.needed)}"


def _odds(value: object) -> str:
    return "more than a million to 1" if value is None else either_way(float(str(value)))


# --- what a final lets a decision claim -------------------------------------------------------------------------------


def final_reason(found: Summed) -> str:
    """Why *keep* is proposed, or why nothing is, in half a sentence."""
    if found.word == KEEP:
        who = "fresh answers of its final" if found_fresh(found) else "the answers of its final"
        return f"{who} speak {_odds(found.evidence)} for it ({_odds(found.needed)} was asked)"
    return f"{_FINALS[found.word]} (evidence {_odds(found.evidence)}, {_odds(found.needed)} was asked)"


def found_fresh(found: Summed) -> bool:
    """Whether no vote of it can be a memory of the own choice."""
    return not (found.repeats or found.met_before or found.makers)


def claims_of(found: Summed) -> Iterator[str]:
    """What a *keep* claims and what it does not."""
    if found.word != KEEP:
        return
    yield KEEP_RULE if found_fresh(found) else f"{SAME_ONE}: {', '.join(_why(found))}. {NOT_CLAIMED}"
    if found.makers:
        alone = _FINALS.get(found.without_makers, "nothing, since nobody else voted")
        yield f"Without the votes of those who made it or know the formulas: {alone}."
    yield AT_LARGE


def _why(found: Summed) -> Iterator[str]:
    if found.repeats:
        yield "noses voted more than once"
    if found.met_before:
        yield f"{count(found.met_before, 'nose', 'noses')} had answered about these two before"
    if found.makers:
        yield f"{count(found.makers, 'nose', 'noses')} made them or know the formulas"
