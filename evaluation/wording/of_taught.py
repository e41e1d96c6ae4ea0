"""Words of what a brief has taught: what each named change moved, by how much, resting on which sessions.

Learnt, never a verdict: nothing here says noticed, and every change names what to smell to make sure of it. Changes
known from formulas are named on the conductor's screens, and in a report only where formulas were ticked.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from evaluation.deciding.evidence import Evidence
from evaluation.deciding.named_changes import NamedChange
from evaluation.deciding.taught import NOT_TOLD, TOGETHER, Learnt, LearntAt, Separating, Taught
from evaluation.sessions import SKIN
from evaluation.values.trials import listed, sentence_case, trial_name
from evaluation.wording.of_formulas import change_name
from evaluation.wording.of_profiles import age_words, bound_words, signed
from evaluation.wording.of_verdicts import count

TITLE: Final = "What this brief has taught"
LEAD: Final = (
    "Over all opened ratings of this brief together, what each named change did. Learnt, and no verdict: it proposes "
    "what to smell, and a sealed session decides."
)
NOTHING: Final = (
    "Nothing yet. It takes opened sessions in which trials were rated, with what was changed between them written in "
    "the trial book."
)
UNNAMED: Final = "A change known from formulas is named where formulas are ticked for the file."
HOW: Final = (
    "One model for each descriptor and strip age, with what differs between people, sessions and bottles beside the "
    "changes, which are taken to add up. The intervals (95 %) are wide where bottles are few, since the weighing of a "
    "bottle is in every rating of it. They speak for the people who rated."
)


@dataclass(frozen=True, slots=True)
class Told:
    """One change, or several never separated: a title and lines."""

    title: str
    lines: tuple[str, ...]


def taught_lines(found: Taught) -> tuple[str, ...]:
    """What holds of all of it: how it was found, and how many intervals miss by chance."""
    if not found.learnt:
        return (NOTHING,)
    if not found.intervals:
        return (HOW,)
    return HOW, f"Each interval stands for itself: of {found.intervals} here, about 1 in 20 misses by chance."


def told(found: Taught, seen: Evidence, *, with_formulas: bool) -> tuple[Told, ...]:
    """Each change with what it moved; without formulas a change known from them is named by its trials alone."""
    names = Names(seen, found, with_formulas)
    return tuple(Told(title(one, names), tuple(_lines(one, found, seen, names))) for one in found.learnt)


# --- names ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Names:
    """How changes are named."""

    seen: Evidence
    found: Taught
    with_formulas: bool

    def of(self, change: NamedChange) -> str:
        """ "Cedar raised to 2 times", or what somebody typed; else by the trials between which it was made."""
        if change.typed:
            return f"“{change.typed}”"
        if change.by_formula is not None and self.with_formulas:
            return change_name(change.by_formula)
        if not change.from_id:
            return f"all that sets {self.seen.name(change.to_id)} apart"
        between = f"{self.seen.name(change.from_id)} to {self.seen.name(change.to_id)}"
        of_step = self._of_step(change)
        which = f"change {of_step.index(change) + 1} of {len(of_step)}" if len(of_step) > 1 else "the change"
        return f"{which} from {between}"

    def _of_step(self, change: NamedChange) -> list[NamedChange]:
        """All that are told and were first made on the same step, in their order."""
        every = dict.fromkeys(each for one in self.found.learnt for each in one.changes)
        return [each for each in every if (each.from_id, each.to_id) == (change.from_id, change.to_id)]


def title(one: Learnt, names: Names) -> str:
    """The change, or those never separated, with the medium where it is skin."""
    where = ", on skin" if one.medium == SKIN else ""
    return f"{sentence_case(_named(one, names))}{where}"


def _named(one: Learnt, names: Names) -> str:
    """Those that came, and those that went where these came: "Cedar oil added, with this taken back: fig added"."""
    came, went = (
        dict.fromkeys(names.of(each) for each, sign in zip(one.changes, one.signs, strict=True) if sign == way)
        for way in (1, -1)
    )
    these = "this" if len(went) == 1 else "these"
    return f"{listed(came)}, with {these} taken back: {listed(went)}" if went else listed(came)


# --- lines ------------------------------------------------------------------------------------------------------------


def _lines(one: Learnt, found: Taught, seen: Evidence, names: Names) -> Iterator[str]:
    if one.told == TOGETHER:
        yield f"{len(one.changes)} changes never separated: the numbers are of all of them together."
    if one.told == NOT_TOLD:
        yield _why_not(one)
    else:
        yield from _moved(one)
        yield _rests_on(one, seen)
    if one.separating is not None:
        yield separating_words(one.separating, seen, names)
    elif one.to_be_sure is not None and one.moved:
        without, with_it = one.to_be_sure
        yield f"To make sure: {_pair(seen, without, with_it)} differ in it alone; seal a session of these two."


def _why_not(one: Learnt) -> str:
    if len(one.changes) == 1:
        return "No number: no session held bottles with and without it, so that it may be the day as well."
    return "No number: the bottles smelt side by side never told these from one another."


def _moved(one: Learnt) -> Iterator[str]:
    """What moved first, then how far the rest may have moved, or why nothing can be said."""
    sure = [row for row in one.rows if row.low is not None]
    by_word: dict[str, list[LearntAt]] = {}
    for row in one.moved:
        by_word.setdefault(row.descriptor, []).append(row)
    for word, rows in by_word.items():
        yield f"{sentence_case(word)}: {'; '.join(map(_at, rows))}, in points."
    if not sure:
        yield _bare(one)
        yield _too_few(one)
        return
    rest = [row for row in sure if not row.moved]
    if rest:
        bound = max(max(abs(row.low or 0.0), abs(row.high or 0.0)) for row in rest)
        nothing = "Nothing else" if by_word else "Nothing"
        yield f"{nothing} is shown to move; the widest interval of the rest reaches ±{bound_words(bound)} points."
    if len(sure) < len(one.rows):
        yield "Other ages and descriptors have a number and no interval: too few bottles were rated there."


def _at(row: LearntAt) -> str:
    assert row.low is not None
    assert row.high is not None  # it moved
    return f"{signed(row.estimate)} at {age_words(row.minutes)} (interval {signed(row.low)} to {signed(row.high)})"


def _bare(one: Learnt) -> str:
    """The largest numbers, where none has an interval."""
    largest = sorted(one.rows, key=lambda row: -abs(row.estimate))[:MOST_BARE]
    in_order = (row for row in one.rows if row in largest)
    rows = (f"{row.descriptor} {signed(row.estimate)} at {age_words(row.minutes)}" for row in in_order)
    return f"Largest numbers, without an interval: {', '.join(rows)}."


MOST_BARE: Final = 3


def _too_few(one: Learnt) -> str:
    most = max(one.rows, key=lambda row: row.freedom)
    return (
        f"An interval takes three bottles more than changes, and {count(most.bottles, 'bottle was', 'bottles were')} "
        "rated: a second weighing of a trial, or a trial with the same change, gives one."
    )


def _rests_on(one: Learnt, seen: Evidence) -> str:
    titles = {each.session_id: each.title for each in seen.sessions}
    most = max(one.rows, key=lambda row: (row.bottles, row.people))
    amounts = f"{count(most.bottles, 'bottle', 'bottles')}, {count(most.people, 'person', 'people')}"
    if not one.session_ids:
        return f"It rests on several sessions taken together ({amounts}); none held bottles with and without it."
    named = listed(f"“{titles[each]}”" for each in one.session_ids)
    return f"It rests on {named} ({amounts} in the model)."


# --- what to smell ----------------------------------------------------------------------------------------------------


def separating_words(one: Separating, seen: Evidence, names: Names) -> str:
    """What would separate changes: two trials that are made, or the one bottle to mix."""
    name = names.of(one.change)
    if one.without_id:
        return f"To separate: rate {_pair(seen, one.without_id, one.with_id)} in one session; both are made."
    base = seen.name(one.with_id)
    made = f"{base} without this alone: {name}" if one.holds else f"{base} with this alone: {name}"
    return f"To separate: mix one bottle, {made}; rate it beside {base}."


def _pair(seen: Evidence, one: str, other: str) -> str:
    return trial_name(*seen.labels(one, other))
