"""The size that matters: said once, whatever the method, and worked out as the share pd of the method planned.

A size is a d-prime and is told by people: of 100 who smell the two trials side by side and know what to look for, so
many pick right, which is the share right in a 2-AFC, Φ(d′/√2). The share ``pd`` of one and the same size hangs on the
method (1.64 is .30 in a triangle and .75 in a 2-AFC): a plan seals the pd its rule compares, and the size beside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from evaluation import statistics
from evaluation.errors import ArgumentError
from evaluation.ground.tables_digits import fixed
from evaluation.judging import figures
from evaluation.kinds import Method, kind_of, methods, strips_of
from evaluation.planning.outlook import Outlook
from evaluation.sessions import Plan

STEPS: Final = MappingProxyType({"slight": Decimal("0.545"), "moderate": Decimal(1), "marked": Decimal("1.64")})
OWN: Final = "own"  # as many of 100 as are typed
SHARE: Final = "share"  # no size: the pd itself, as in published tables
USUAL: Final = "marked"  # what a new plan begins with: in a triangle the .30 that was the only beginning before
STRICT: Final = "moderate"  # what "must not be noticed" begins with: the smallest step a panel can still afford
FEWEST: Final = 51  # of 100; by guessing 50 pick right
MOST: Final = 99


@dataclass(frozen=True, slots=True)
class Cost:
    """Answers, one a person, from which on a session at this size always ends as noticed or not noticed.

    ``answers`` is the fixed number from which power never falls below 1 − beta again: all counts below the limit for
    *noticed* then lie in reach of *not noticed*. None: ten million do not do. It promises nothing about sessions with
    looks in between or with several answers a person.
    """

    method: Method
    pd: Decimal
    answers: int | None
    strips: int | None


def size_of_choice(step: str, own: Decimal | None = None) -> Decimal | None:
    """The size of a step, or the own one by people of 100 who pick right; None where the share itself is said."""
    if step == SHARE:
        return None
    if step != OWN:
        return STEPS[step]
    if own is None or not FEWEST <= own <= MOST:
        raise ArgumentError(f"people of 100 who pick right must be from {FEWEST} to {MOST}, not {own}.")
    return _exact(float(statistics.d_prime(float(own) / 100, "2-afc")))


def sealed(size: Decimal, method: Method) -> Decimal:
    """The share of its method that a plan of this size seals, to the sixth place: that is what its rule compares."""
    if not kind_of(method).distance:
        raise ArgumentError(f"size must be left out for {method}, whose d-prime is not known: say the share pd itself.")
    guessing = statistics.chance(method)
    right = float(statistics.proportion_correct(float(size), method))
    return _exact((right - guessing) / (1.0 - guessing))


def of_hundred(size: Decimal) -> float:
    """People of 100 who pick right when they smell the two side by side and know what to look for."""
    return 100.0 * float(statistics.proportion_correct(float(size), "2-afc"))


def step_of(size: Decimal | None) -> str:
    """The step a size is, else ``own``; ``share`` where there is none."""
    if size is None:
        return SHARE
    return next((name for name, one in STEPS.items() if one == size), OWN)


def check(plan: Plan) -> None:
    """Refuse a plan whose pd is not that of its size: the two must say one thing."""
    if plan.size is not None and plan.pd != sealed(plan.size, plan.method):
        raise ArgumentError(
            f"pd must be {sealed(plan.size, plan.method)} in a {plan.method} at the size {plan.size}, not {plan.pd}."
        )


@lru_cache(64)
def costs(size: Decimal, alpha: float, beta: float, solo: bool = False) -> tuple[Cost, ...]:
    """What a *not noticed* at this size takes by each method, fewest strips first."""
    found = [
        _cost(size, method, alpha, beta) for method in methods(lambda kind: kind.distance and (kind.alone or not solo))
    ]
    return tuple(sorted(found, key=lambda one: float("inf") if one.strips is None else one.strips))


def _cost(size: Decimal, method: Method, alpha: float, beta: float) -> Cost:
    pd = sealed(size, method)
    answers = figures.panel_size(method, alpha, beta, float(pd), "stays")
    return Cost(method, pd, answers, None if answers is None else answers * strips_of(method))


def quiet(outlook: Outlook) -> float | None:
    """How probable *not noticed* is when nobody can tell; None with looks, 0 where it cannot occur.

    Exact for answers that are guesses. It says nothing of a change that few notice.
    """
    if outlook.looks is not None:
        return None
    most = outlook.maximum_correct
    if most is None:
        return 0.0
    return 1.0 - statistics.difference_test(most + 1, outlook.assessments, outlook.method).p_value


def _exact(value: float) -> Decimal:
    return Decimal(fixed(value, 6))
