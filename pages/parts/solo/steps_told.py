"""What the page Alone says: the steps of blinding oneself, the rests, and what its findings rest on."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from parts import small_tables
from parts.ballot import around_questions
from parts.solo import hands as prepare

from evaluation.actions import solo
from evaluation.actions.solo import SoloStep
from evaluation.actions.solo_table import Making, Waiting
from evaluation.alone.course import BETWEEN_SETS, BETWEEN_SITTINGS, NEXT_DAY
from evaluation.serving import cautions, smelling
from evaluation.serving.dipping import Judged, span, with_tolerance
from evaluation.sessions import LATE, VIALS, Plan, Record

LEAD: Final = "You prepare, smell and answer yourself. The shuffle is the draw; the marks stay covered until the end."
CAUTIONS: Final = (
    f"{cautions.STRIPS_ALONE} Stop if you feel unwell. Keep strips apart from children and animals, and let used ones "
    "dry in the open air before they go into the bin."
)
_REST_WHY: Final = {
    BETWEEN_SETS: "Three minutes between two sets let the nose recover.",
    BETWEEN_SITTINGS: "A sitting ends here: ten minutes away from the strips, in fresh air.",
    NEXT_DAY: "Two sittings a day are enough: go on tomorrow, at the same hour if you can. Answers spread over days "
    "say more than those of one day.",
}
NIGHT: Final = (
    "Strips made now would be due at night, or on a day that is full: make them later, or go on all the same."
)
REST_STATUS: Final = "The length is our proposal after common practice, not a rule of a standard."


NEEDED: Final = "What you need for this session"
FILL: Final = "Once: fill the vials and bag them"
FILLED: Final = "The vials are filled and bagged"
MAKE: Final = "Then make it ready"
DIPPED: Final = "Dipped"
RECEIPTS: Final = "Receipts of what you have locked"
RECEIPTS_TEXT: Final = (
    "This browser keeps one for each set you lock. Should an answer be missing later, the page Backup tells by its "
    "receipt that it had been stored. It says nothing of what you answered; copy it or write it down if you like."
)
STORED: Final = "The answer is stored. Put the set away without looking at its marks."
ANSWER_ALL: Final = "Each question wants an answer; what is locked stays."
EARLY: Final = "Go on before the rest is over. This is written down."
MEANWHILE: Final = "You may make the next set ready meanwhile."
TAPE_MS: Final = 3 * 60_000  # how long it is told that the vials are to be taped together


def which_sets(step: SoloStep) -> str:
    """Which sets and, where there are several, which sitting and age."""
    places = [one.place for one in step.making.sets] if step.making else [step.number]
    named = f"Set {places[0]}" if len(places) == 1 else f"Sets {', '.join(map(str, places[:-1]))} and {places[-1]}"
    age = f", {span(step.age_seconds)} strips" if len(step.session.plan.ages) > 1 else ""
    sitting = f", sitting {step.sitting} of {step.sittings}" if step.sittings > 1 else ""
    return f"{named} of {step.sets}{age}{sitting}"


def needed(step: SoloStep) -> tuple[str, ...]:
    """Everything to have at hand; () for sessions that name no way of preparing."""
    plan = step.session.plan
    return prepare.needed(plan, step.labels) if plan.preparation else ()


def filling(step: SoloStep) -> tuple[str, ...]:
    """By vials, what is done once before the first set, step by step; nothing by clips."""
    return prepare.filling(step.session.plan, step.labels, span)


def _made(step: SoloStep) -> prepare.Made:
    making = step.making
    assert making is not None  # the steps that make something have it
    sets = tuple((one.place, one.codes) for one in making.sets)
    about = (making.dips, making.later, span(making.age_seconds), making.anew)
    return prepare.Made(step.session.plan, step.labels, sets, *about)


def making(step: SoloStep) -> tuple[str, ...]:
    """What to do until the tap; where no dip is tapped, until the strips lie under their codes."""
    made = _made(step)
    if step.session.plan.preparation:
        return prepare.dipping(made)
    return (*prepare.dipping(made), *prepare.laying(made)) if made.groups else prepare.other_group(made)


def laying(step: SoloStep) -> tuple[str, ...]:
    """By clips, step by step from the last dip until every strip lies under its code."""
    return prepare.laying(_made(step))


def laid_out(step: SoloStep) -> str:
    """What the button says once strips lie under their codes."""
    return "The set is laid out" if step.making and len(step.making.sets) == 1 else "The sets are laid out"


def below_making(step: SoloStep, *, early: bool) -> str:
    """What the button under the lines waits for, and what it starts."""
    if step.kind == solo.REST and not early:
        return "All is ready: go on when the rest is over."
    if not step.session.plan.preparation:
        return f"Wait until the strips are {around_questions.age(step.age_seconds)} old."
    return "Tap it when the last strip is dipped: the age counts from the tap."


def dipped_meanwhile(held: Making) -> str:
    """What the button says for a dip that was in hand when other strips came to their age."""
    places = " and ".join(str(one.place) for one in held.sets)
    return f"Dipped: {'set' if len(held.sets) == 1 else 'sets'} {places}"


def first_of_all(step: SoloStep) -> str:
    """By vials, for some minutes after a dip: what keeps the marks with their codes."""
    newest = max(step.waiting, key=lambda one: one.dipped_at, default=None)
    told = step.session.plan.preparation == VIALS and newest is not None and step.moment - newest.dipped_at < TAPE_MS
    return prepare.KEEP_VIALS.format(place=newest.place) if told and newest is not None else ""


def to_make_anew(step: SoloStep) -> str:
    """A set that was spoilt before its answer."""
    return prepare.to_make_anew(_made(step))


def to_smell(one: Waiting, at: str) -> str:
    """What waits, and until when."""
    return f"Set {one.place} ({span(one.age_seconds)}): smell at {at}"


def set_is_due(step: SoloStep) -> str:
    """That a waiting set has come to its age."""
    return f"Set {step.number} is due: take its strips, and tap when you smell the first one."


def codes(step: SoloStep) -> str:
    """The codes of the set in hand, in large figures."""
    shown = small_tables.codes(step.codes)
    return f'{small_tables.STYLE}<p style="font-size: 1.5rem; font-variant-numeric: tabular-nums"><b>{shown}</b></p>'


def ask_back(step: SoloStep) -> str:
    """Once, before strips are smelt at another age than theirs."""
    judged = step.judged
    if judged is None or judged.real is None or judged.planned is None:
        return "Nobody tapped when these strips were dipped: smell them anyway?"
    real, planned = span(judged.real // 1000), with_tolerance(judged.planned)
    if judged.word == LATE:
        return (
            f"{real} have passed since these strips were dipped, planned were {planned}. Smell them anyway? It is "
            "noted as late. Or make the set anew: below, under “Something did not go by the plan”."
        )
    return f"These strips were dipped {real} ago, planned were {planned}. Smell them now anyway? It is noted as early."


def off_age(judged: Judged) -> str:
    """Beside the questions, what was noted of the age."""
    return f"Noted as {judged.word}: {judged.reason}."


def how_to_smell(step: SoloStep) -> tuple[str, ...]:
    """How the strips on the table are smelt, one short line a step."""
    return smelling.lines(smelling.way(step.session.plan))


def putting_away(step: SoloStep) -> tuple[str, ...]:
    """How the strips of an answered set are kept until their marks are read."""
    return prepare.putting_away(step.session.plan, step.number)


def resting(step: SoloStep, at: str) -> str:
    """What the countdown of a rest stands under."""
    return f"Go on at {at}"


def newest_look(step: SoloStep) -> str:
    """What the newest look of a sequential session said; no score stands behind it that could be read off."""
    every = step.session.plan.look_every
    if 0 < step.number <= every:
        return f"The sealed stopping rule is asked for the first time after the marks of set {every}."
    if step.look == "continue":
        return "Sealed stopping rule: continue. It is asked again after the next marks."
    return f"Sealed stopping rule: {step.look}. No further set is smelt."


def why_to_rest(step: SoloStep) -> str:
    """Why to rest; strips that need hours may wait for the day without one."""
    return f"{_REST_WHY[step.rest]} {REST_STATUS}" if step.rest else NIGHT


def caveats(plan: Plan, records: tuple[Record, ...], recognised: int) -> Iterable[str]:
    """What findings of a solo session rest on, besides what is said of every session."""
    if not plan.solo:
        return
    yield "Whoever smelt had dipped the strips: sight, touch or wetness can tell them, and so can fresh memory."
    sets = "1 set" if recognised == 1 else f"{recognised} sets"
    yield f"In {sets} of {plan.sets_per_nose} a strip was said to be recognised by sight, touch or wetness."
    if plan.kind.mixed and not plan.preparation:
        yield "Both sets of a pair were dipped together, so the second was smelt some minutes older than the first."
    cut = solo.rests_cut(records)
    if cut:
        yield f"The proposed rest was cut short before {cut} of {plan.sets_per_nose} sets: a tired nose finds less."
