"""What other ways of asking would find: the power surface of a plan, every method at the same distance."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from evaluation import statistics
from evaluation.errors import ArgumentError
from evaluation.kinds import Method, kind_of, strips_of
from evaluation.planning.outlook import Outlook, compared

# Assessments a power surface reaches at least, and how many it shows beyond the plan and in all: teeth must be seen.
LEAST_SHOWN: Final = 36
MOST_BEYOND: Final = 40
MOST_SHOWN: Final = 160


@dataclass(frozen=True, slots=True)
class Curve:
    """One method at the distance the plan has in mind.

    ``power`` is exact and not smoothed, for each number of ``Surface.assessments``; ``planned`` is the power with the
    plan's own number. ``needed`` assessments and more have power 1 - beta; ``sets_needed`` of each planned nose give
    them. Strips and sets are of one nose, over all ages, null sets included; None where millions would not do.
    """

    method: Method
    power: tuple[float, ...]
    planned: float
    strips: int
    needed: int | None
    sets_needed: int | None
    strips_needed: int | None


@dataclass(frozen=True, slots=True)
class Surface:
    """Every method at equal d-prime, against the number of assessments judged once, at the end."""

    plan: Outlook
    assessments: tuple[int, ...]
    curves: tuple[Curve, ...]

    def curve_of(self, method: Method) -> Curve:
        """The curve of a method that is compared here; no other may be asked for."""
        return next(curve for curve in self.curves if curve.method == method)

    @property
    def own(self) -> Curve:
        """The curve of the plan's own method."""
        return self.curve_of(self.plan.method)


@lru_cache(64)
def surface(plan: Outlook) -> Surface | None:
    """The power of every method for the difference of ``plan``; None where its method has no d-prime."""
    if plan.d_prime is None:
        return None
    until = max(LEAST_SHOWN, min(plan.assessments * 3 // 2, plan.assessments + MOST_BEYOND))
    asked = tuple(range(max(1, until - MOST_SHOWN + 1), until + 1))
    return Surface(plan, asked, tuple(_curve(plan, method, asked) for method in compared(plan)))


def _curve(plan: Outlook, method: Method, asked: tuple[int, ...]) -> Curve:
    found = statistics.power(asked, method, plan.alpha_used, d_prime=plan.d_prime).tolist()
    needed = _size(method, plan.alpha_used, plan.beta, plan.d_prime)
    sets = None if needed is None else _sets_for(plan, method, needed)
    return Curve(
        method=method,
        power=tuple(found),
        planned=found[plan.assessments - asked[0]],
        strips=plan.sets_per_nose * strips_of(method),
        needed=needed,
        sets_needed=sets,
        strips_needed=None if sets is None else sets * strips_of(method),
    )


@lru_cache(1024)
def _size(method: Method, alpha: float, beta: float, d_prime: float | None) -> int | None:
    """Assessments from which the power stays; None where ten million might not do."""
    try:
        return statistics.panel_size(method, alpha, beta, rule="stays", d_prime=d_prime)
    except ArgumentError:
        return None


def _sets_for(plan: Outlook, method: Method, assessments: int) -> int:
    """Sets of each planned nose, over all ages, that give so many assessments at each age."""
    each = math.ceil(assessments / plan.people)
    if plan.solo and kind_of(method).mixed:
        each += each % 2
    return each * plan.ages + plan.null_sets
