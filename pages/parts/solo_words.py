"""What the page Alone says: the steps of blinding oneself, the rests, and what its findings rest on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from parts import ballot_words

from evaluation import cautions, smelling
from evaluation.actions import solo
from evaluation.actions.solo import BETWEEN_SETS, BETWEEN_SITTINGS, NEXT_DAY, SoloStep
from evaluation.sessions import Plan, Record

LEAD: Final = "You prepare, smell and answer yourself. The shuffle is the draw; the marks stay covered until the end."
CAUTIONS: Final = (
    f"{cautions.STRIPS_ALONE} Stop if you feel unwell. Keep strips apart from children and animals, and let used ones "
    "dry in the open air before they go into the bin."
)
OTHER_ENVELOPE: Final = "Take the other envelope of the pair."
OLDER: Final = "Dipped with the first set, they are some minutes older, all alike: the findings say so."
NUMBERS: Final = {1: "one strip", 2: "two strips", 3: "three strips"}

_REST_WHY: Final = {
    BETWEEN_SETS: "Three minutes between two sets let the nose recover.",
    BETWEEN_SITTINGS: "A sitting ends here: ten minutes away from the strips, in fresh air.",
    NEXT_DAY: "Two sittings a day are enough: go on tomorrow. Answers spread over days say more than those of one day.",
}
REST_STATUS: Final = "The length is our proposal after common practice, not a rule of a standard."


def where(step: SoloStep) -> str:
    """Which set and, where there are several, which sitting."""
    sitting = f", sitting {step.sitting} of {step.sittings}" if step.sittings > 1 else ""
    return f"Set {step.number} of {step.sets}{sitting}"


def which_question(step: SoloStep) -> str:
    """Counted within the set in hand, whose number stands above."""
    each = step.questions // step.sets
    return f"Question {(step.asked - 1) % each + 1} of {each}"


def laying_out(step: SoloStep) -> tuple[str, ...]:
    """What to do until the strips of a set lie blind on the table, one step a line."""
    codes, age = ", ".join(step.codes), ballot_words.age(step.age_seconds)
    lie = "Lay them out from left to right in this order, marks covered"
    shared = (
        f"Shuffle the {len(step.codes)} strips without looking at them.",
        f"Write these codes on the visible sides, in the order the strips come to hand: {codes}.",
    )
    if not step.compositions:
        return (OTHER_ENVELOPE, *shared, f"{lie}. {OLDER}")
    return (*_preparing(step), *shared, f"{lie}, and wait until they are {age} old.")


def _preparing(step: SoloStep) -> tuple[str, ...]:
    first, second = (sum(one.count(letter) for one in step.compositions) for letter in "AB")
    one, other = step.labels
    return (
        "Prepare away from where you will smell, with strips of one kind and length.",
        f"Mark {_strips(first)} A and {_strips(second)} B, on the tip of the dry end.",
        f"Dip those marked A in trial {one} and those marked B in trial {other}, to the same length. "
        "Note the time: the age counts from here.",
        "Fold every marked tip over and fasten it, all alike, so that no mark shows through.",
        *_envelopes(step.compositions, last=step.number % 2 == 0),
    )


def anew(step: SoloStep) -> str:
    """A set that was spoilt before its answer."""
    fellow = "and the other envelope of its pair " if len(step.compositions) == 2 and step.number % 2 else ""
    return (
        f"Set {step.number} is made anew, from fresh strips and under these codes. Put the spoilt one {fellow}away for "
        "good, marks covered: nobody needs to know what it was."
    )


def _strips(number: int) -> str:
    return NUMBERS.get(number, f"{number} strips")


def _envelopes(compositions: tuple[str, ...], *, last: bool) -> tuple[str, ...]:
    named = [" ".join(one) for one in compositions]
    if len(named) == 1:
        return (f"Put {named[0]} into an envelope.",)
    return (
        f"Put {named[0]} into one envelope and {named[1]} into another that looks the same.",
        f"Shuffle the two envelopes behind your back, take one, and {_OTHER[last]}.",
    )


_OTHER: Final = {
    False: "leave the other shut for the next set",
    True: "put the other away unopened: it is not used",
}
TICK_FIRST: Final = "Tick each step when it is done; then this can be tapped."
RESTING: Final = "All is ready: go on when the rest is over."


def how(step: SoloStep) -> tuple[str, ...]:
    """How the strips on the table are smelt, one short line a step."""
    return smelling.lines(smelling.way(step.session.plan))


def putting_away(step: SoloStep) -> tuple[str, ...]:
    """How the strips of an answered set are kept until their marks are read."""
    return (
        "Every mark is still covered.",
        "The strips lie face down in an envelope, codes on them.",
        f"The envelope carries the number {step.number} and is shut.",
    )


def look(step: SoloStep) -> str:
    """What the newest look of a sequential session said; no score stands behind it that could be read off."""
    every = step.session.plan.look_every
    if 0 < step.number <= every:
        return f"The sealed stopping rule is asked for the first time after the marks of set {every}."
    if step.look == "continue":
        return "Sealed stopping rule: continue. It is asked again after the next marks."
    return f"Sealed stopping rule: {step.look}. No further set is smelt."


def rest(step: SoloStep) -> str:
    return f"{_REST_WHY[step.rest]} {REST_STATUS}"


def caveats(plan: Plan, records: tuple[Record, ...], recognised: int) -> Iterable[str]:
    """What findings of a solo session rest on, besides what is said of every session."""
    if not plan.solo:
        return
    yield "Whoever smelt had dipped the strips: sight, touch or wetness can tell them, and so can fresh memory."
    sets = "1 set" if recognised == 1 else f"{recognised} sets"
    yield f"In {sets} of {plan.sets_per_nose} a strip was said to be recognised by sight, touch or wetness."
    if plan.method == "triangle":
        yield "Both sets of a pair were dipped together, so the second was smelt some minutes older than the first."
    cut = solo.rests_cut(records)
    if cut:
        yield f"The proposed rest was cut short before {cut} of {plan.sets_per_nose} sets: a tired nose finds less."
