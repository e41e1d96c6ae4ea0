"""What besides the change could be smelt, as the trial book has it: said under every finding."""

from __future__ import annotations

from itertools import combinations
from typing import Final

from parts.house import House

from evaluation.actions import book, plan, separating
from evaluation.sessions import SKIN, STRIP, Plan, Session
from evaluation.values.trials import sentence_case, trial_name, worn_unlike
from evaluation.wording import mismatch as difference_words
from evaluation.wording import of_separations
from evaluation.wording.of_bottles import OF_BOTTLES

SMELT: Final = (
    "strength",
    "batch",
    "lots",
    "stored",
)  # how old a solution was counts on the day of smelling, not today


def other_differences(here: House, session: Session) -> tuple[str, ...]:
    """Of every two trials of the session, named where there are more than two; first that bottles decide nothing."""
    if session.plan.design.separation is not None:
        return _between_bottles(here, session.plan)
    pairs = list(combinations(session.plan.trial_ids, 2))
    of_bottles = (OF_BOTTLES,) if session.plan.meant else ()
    told = [
        f"{_named(here, pair) if len(pairs) > 1 else ''}{line}"
        for pair in pairs
        for line in _differences(here, session.plan, pair)
    ]
    return (*of_bottles, *dict.fromkeys(told))


def _between_bottles(here: House, sealed: Plan) -> tuple[str, ...]:
    """Of bottles that separate changes each against the base of its weighing, and how many say the same."""
    found = separating.unlike(here.notebook, sealed)
    return tuple(of_separations.unlike_line(one.line, one.bottles, one.of) for one in found if one.kind in SMELT)


def _named(here: House, pair: tuple[str, str]) -> str:
    first, second = (book.trial(here.notebook, one).label for one in pair)
    return f"{sentence_case(trial_name(first, second))}: "


def _differences(here: House, sealed: Plan, pair: tuple[str, str]) -> list[str]:
    differing = plan.compare(here.notebook, *pair, sealed.zone, sealed.meant)
    told = [difference_words(one) for one in differing if one.kind in SMELT and one.kind in _on(sealed.media)]
    first, second = (book.trial(here.notebook, one) for one in pair)
    if SKIN in sealed.media and worn_unlike(first, second, sealed.meant):
        told.append("The two were on skin at different strengths: what is smelt may be that.")
    return told


def _on(media: tuple[str, ...]) -> tuple[str, ...]:
    """The strength smelt on strips says nothing about skin."""
    return SMELT if STRIP in media else tuple(kind for kind in SMELT if kind != "strength")
