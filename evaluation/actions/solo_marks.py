"""The marks of a solo session while they are typed: read back in words before they are entered for good."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from evaluation.actions.solo import SoloStep
from evaluation.actions.solo_table import Due
from evaluation.alone import ways
from evaluation.serving.blinding import is_null
from evaluation.serving.marks import as_stored, of_no_kind


@dataclass(frozen=True, slots=True)
class ReadSet:
    """What was typed for one set; ``wrong_strip``: no set of this kind, so that it will leave the analysis."""

    place: int
    codes: tuple[str, ...]
    order: str
    wrong_strip: bool


def read_one(step: SoloStep, due: Due, typed: str) -> ReadSet:
    """What was typed for one set; ArgumentError where it is no mark. Stores nothing."""
    plan = step.session.plan
    order = as_stored(plan, due.place, due.codes, typed)
    return ReadSet(due.place, due.codes, order, of_no_kind(plan.method, order, plan.expected))


def read_back(step: SoloStep, typed: Mapping[int, str]) -> tuple[ReadSet, ...]:
    """What was typed by place, for every set that is due; ArgumentError for the first that is none."""
    return tuple(read_one(step, due, typed.get(due.place, "")) for due in step.due)


def nulls(step: SoloStep, sets: Iterable[ReadSet]) -> tuple[int, int]:
    """Null sets planned, and found in the marks; alike where only some sets of the session are due."""
    found, planned = sum(is_null(one.order) for one in sets), step.session.plan.null_sets
    return (planned, found) if len(step.due) == step.sets else (found, found)


def alike(step: SoloStep, sets: Iterable[ReadSet]) -> tuple[tuple[int, ...], ...]:
    """Pairs of a solo triangle in which both sets hold the same trial twice; each should hold one of either kind."""
    real = {one.place: one.order for one in sets if not one.wrong_strip and not is_null(one.order)}
    return ways.alike(step.session.plan, real)
