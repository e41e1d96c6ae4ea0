"""The marks of a solo session while they are typed: read back in words before they are entered for good."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from evaluation.actions.solo import SoloStep
from evaluation.marks import of_no_kind, read


@dataclass(frozen=True, slots=True)
class ReadSet:
    """What was typed for one set; ``wrong_strip``: no set of this kind, so that it will leave the analysis."""

    place: int
    codes: tuple[str, ...]
    order: str
    wrong_strip: bool


def read_back(step: SoloStep, typed: Mapping[int, str]) -> tuple[ReadSet, ...]:
    """What was typed by place, for every set that is due; ArgumentError for the first that is none. Stores nothing."""
    plan = step.session.plan
    found = []
    for due in step.due:
        order = read(plan, due.place, due.codes, typed.get(due.place, ""))
        found.append(ReadSet(due.place, due.codes, order, of_no_kind(plan.method, order, plan.expected)))
    return tuple(found)


def alike(step: SoloStep, sets: Iterable[ReadSet]) -> tuple[tuple[int, int], ...]:
    """Pairs of a solo triangle in which both sets hold the same trial twice; each should hold one of either kind."""
    if step.session.plan.method != "triangle":
        return ()
    twice = {one.place: one.order.count("A") for one in sets if not one.wrong_strip}
    return tuple((one, one + 1) for one in sorted(twice) if one % 2 and twice[one] == twice.get(one + 1))
