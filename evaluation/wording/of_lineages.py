"""Words beside the tree of a brief's trials: short ones in its picture, the same facts as lines of a list."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from evaluation.counting.profiles import Move
from evaluation.deciding.evidence import (
    CAMPS,
    DISTANCE,
    FINAL,
    FIRST,
    MOVED,
    NEARER,
    NEITHER,
    NOTICE,
    PREFERENCE,
    Evidence,
    Point,
    SessionShown,
)
from evaluation.deciding.lineages import PLANNED, SEALED, Lineage, Step
from evaluation.judging.entries import NOT_NOTICED, NOTICED, NOTICED_BUT_SMALL, UNDECIDED
from evaluation.sessions import SKIN
from evaluation.values.trials import listed, sentence_case, trial_name
from evaluation.wording.of_decisions import word_name
from evaluation.wording.of_evidence import given
from evaluation.wording.of_formulas import brief_changes
from evaluation.wording.of_profiles import age_words, more_words, when
from evaluation.wording.of_sums import final_phrase
from evaluation.wording.of_verdicts import count

NOT_SMELT: Final = "not smelt"
AHEAD: Final = MappingProxyType({SEALED: "sealed, not opened yet", PLANNED: "planned"})
AGAIN: Final = MappingProxyType({SEALED: "sealed again, not opened yet", PLANNED: "planned again"})
NOT_WRITTEN: Final = "what changed is not written down"
LEADS: Final = "Leads"
MOST_CHANGES: Final = 2  # in the picture, then "and 2 more"
MOST_PHRASES: Final = 3
MOST_BESIDES: Final = 8
MOST_LETTERS: Final = 90  # of what somebody wrote, in the picture; the list has all of it


@dataclass(frozen=True, slots=True)
class Heard:
    """What one session says of two trials on one medium; ``sign`` is a verdict word, "" where it is no verdict."""

    words: str
    sign: str = ""


def summary(found: Lineage) -> str:
    """What the picture is, for whoever hears it: "The lineage of 6 trials as a picture; the same as a list below." """
    return f"The lineage of {count(len(found.places), 'trial', 'trials')} as a picture; the same as a list below."


def heard(step: Step, seen: Evidence) -> tuple[Heard, ...]:
    """The word of every opened session on a step, the oldest first; answers of two sessions are never put together."""
    return tuple(one for session in step.sessions for one in _of_session(session, step, seen))


def change_words(step: Step, seen: Evidence, most: int = MOST_CHANGES) -> str:
    """The named changes of a step; where a formula is not known, what was written about it, shortened."""
    if step.change is not None:
        return ", ".join(brief_changes(step.change, most))
    return _shortened(_written(step, seen)) or NOT_WRITTEN


def ahead_words(step: Step) -> str:
    """What is sealed or planned on a step, also after it was smelt; that it was not smelt; else nothing."""
    words = AGAIN if step.sessions else AHEAD
    return words.get(step.ahead, "" if step.sessions else NOT_SMELT)


def decided_words(found: Lineage, trial_id: str) -> str:
    """What was decided last about a trial; that it leads, where nothing was; else nothing."""
    word = found.decided.get(trial_id)
    if word is not None:
        return f"Decided: {word_name(word).lower()}"
    return LEADS if trial_id == found.lead else ""


def list_lines(found: Lineage, trial_id: str) -> tuple[str, ...]:
    """The facts of the picture about one trial in sentences, the step to it included; nothing is shortened."""
    step, seen = found.steps.get(trial_id), found.evidence
    decided = decided_words(found, trial_id)
    told = [] if step is None else [_changed(step, seen), *_smelt(step, seen)]
    return tuple(_sentence(one) for one in (*told, decided) if one)


def beside_lines(found: Lineage) -> tuple[str, ...]:
    """The comparisons of trials of which neither was made from the other; many of one session are counted."""
    return (*(_beside(one, found.evidence) for one in found.besides[:MOST_BESIDES]), *more_besides(found))


def more_besides(found: Lineage) -> tuple[str, ...]:
    """How many comparisons are not told one by one, where they are many."""
    more = len(found.besides) - MOST_BESIDES
    return (f"And {count(more, 'pair', 'pairs')} more, told with the sessions they were smelt in.",) if more > 0 else ()


# --- a step -----------------------------------------------------------------------------------------------------------


def _beside(step: Step, seen: Evidence) -> str:
    both = sentence_case(trial_name(seen.label(step.first_id), seen.label(step.second_id)))
    changed = "" if step.change is None else f" {_sentence(_named(step))}"
    return f"{both}: {_sentence('; '.join(_smelt(step, seen)))}{changed}"


def _sentence(text: str) -> str:
    return sentence_case(text if text.endswith((".", "?", "!", "…")) else f"{text}.")


def _named(step: Step) -> str:
    """Every named change of a step; nothing where a formula is not known."""
    return "" if step.change is None else ", ".join(brief_changes(step.change, len(step.change.changes)))


def _written(step: Step, seen: Evidence) -> str:
    """What was written about the change, where the second was made from the first."""
    second = next(one for one in seen.trials if one.id == step.second_id)
    return second.changed if second.parent_id == step.first_id else ""


def _changed(step: Step, seen: Evidence) -> str:
    return " ".join(_sentence(one) for one in (_written(step, seen), _named(step)) if one) or NOT_WRITTEN


def _smelt(step: Step, seen: Evidence) -> tuple[str, ...]:
    ahead = ahead_words(step)
    return (*(one.words for one in heard(step, seen)), *([ahead] if ahead else ()))


def _shortened(text: str) -> str:
    flat = " ".join(text.split())
    return flat if len(flat) <= MOST_LETTERS else f"{flat[:MOST_LETTERS].rsplit(' ', 1)[0]} …"


TOLD_APART: Final = "Smelt to tell changes apart: see what each change did"


# --- a session --------------------------------------------------------------------------------------------------------


def _of_session(session: SessionShown, step: Step, seen: Evidence) -> Iterator[Heard]:
    pair = {step.first_id, step.second_id}
    points = [one for one in session.points if one.pair == pair and one.weighs and one.topic in _SAID]
    for medium in dict.fromkeys(one.medium for one in points):
        mine = [one for one in points if one.medium == medium]
        where = "on skin: " if medium == SKIN else ""
        yield Heard(sentence_case(where + _few(_phrases(mine, seen))), _sign(mine))
    if not points:
        yield Heard(TOLD_APART if session.separates else "Smelt; its sealed analysis says nothing of these two")


def _sign(points: Iterable[Point]) -> str:
    """The verdict word, where all say one."""
    words = {one.outcome for one in points if one.topic == NOTICE and one.answered}
    return words.pop() if len(words) == 1 else ""


def _few(told: list[str]) -> str:
    more = len(told) - MOST_PHRASES
    return "; ".join(told if more <= 0 else [*told[:MOST_PHRASES], f"and {more} more"])


def _phrases(points: Iterable[Point], seen: Evidence) -> list[str]:
    """One phrase for all ages of one outcome: "noticed at 5 min and 1 h"."""
    ages: dict[str, list[str]] = {}
    for one in points:
        said = _SAID[one.topic](one, seen) if one.answered else "no answer counts"
        at = ages.setdefault(said, [])
        if one.minutes is not None and one.topic != MOVED:
            at.append(age_words(float(one.minutes)))
    return [f"{said} at {listed(at)}" if at else said for said, at in ages.items()]


def _better(point: Point, seen: Evidence, is_so: str, neither: str) -> str:
    if point.outcome == NEITHER:
        return neither
    winner = point.first_id if point.outcome == FIRST else point.second_id
    return f"{seen.name(winner)} {is_so}"


def _moved(point: Point, seen: Evidence) -> str:
    if point.outcome == NEITHER:
        return "nothing shown to move"
    move: Move = given(point.facts)
    return f"{trial_name(move.second)} {more_words(move)} {when(move)}"


_SAID: Final[MappingProxyType[str, Callable[[Point, Evidence], str]]] = MappingProxyType(
    {
        NOTICE: lambda point, seen: point.outcome,
        PREFERENCE: lambda point, seen: _better(point, seen, "preferred", "no preference shown"),
        NEARER: lambda point, seen: _better(point, seen, "held nearer the brief", "neither held nearer the brief"),
        DISTANCE: lambda point, seen: _better(point, seen, "nearer the targets", "neither shown nearer the targets"),
        MOVED: _moved,
        CAMPS: lambda point, seen: "two camps",
        FINAL: lambda point, seen: final_phrase(point.outcome),
    }
)
SIGNS: Final = MappingProxyType(
    {NOTICED: "stained", NOTICED_BUT_SMALL: "stained", UNDECIDED: "lined", NOT_NOTICED: "clean"}
)
