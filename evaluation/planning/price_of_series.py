"""What a series costs beside a fixed number of answers: exact, by recursion over the counts, looked at after each.

Looking as often as one likes has a price: more answers than a rightly chosen fixed number. It buys that one may stop
early where much is there, and go on where little is, without having chosen the size rightly beforehand.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Final

import numpy as np

from evaluation import statistics
from evaluation.judging import figures
from evaluation.kinds import Method, kind_of, methods, strips_of
from evaluation.planning import sizes
from evaluation.sessions import Plan
from evaluation.statistics import accumulated_evidence, preference_evidence

MOST_ANSWERS: Final = 400  # beyond, no house goes on: the price is then not told
# Answers by which a series is as sure to have found a share as the fixed number that was rightly chosen for it, over
# that number: over methods, risks and shares (tests/planning/test_price_of_series.py works them out).
DEARER: Final = (1.4, 2.1)
HALF: Final = 0.5
MOST: Final = 0.9  # of finals


@dataclass(frozen=True, slots=True)
class Price:
    """Answers, of a ``method``. ``fixed``: with power 1 − beta for the share pd, judged once.

    ``typical``: half of all series have reached their threshold by then where the share is pd, ``as_sure``: a share
    1 − beta of them. ``quiet``: half have ended as *not noticed* where nobody can tell. None: not within 400 answers,
    or (``quiet``) not asked. Answers are taken as independent of one another.
    """

    method: Method
    fixed: int | None
    typical: int | None
    as_sure: int | None
    quiet: int | None


def price_of(plan: Plan) -> Price:
    """What the sealed rule of a series on this plan takes, and a fixed number at the same risks."""
    return _price(plan.method, float(plan.alpha), float(plan.beta), float(plan.pd))


def prices_by_method(size: Decimal, alpha: float, beta: float) -> tuple[tuple[Method, int], ...]:
    """Strips within which half of all series find a size (d-prime), by method, the fewest first; those over 400
    answers are left out.
    """
    found = []
    for method in methods(lambda kind: kind.distance):
        typical = _price(method, alpha, beta, float(sizes.sealed(size, method))).typical
        if typical is not None:
            found.append((method, typical * strips_of(method)))
    return tuple(sorted(found, key=lambda one: one[1]))


@lru_cache(64)
def _price(method: Method, alpha: float, beta: float, pd: float) -> Price:
    if kind_of(method).votes:
        path = tuple(_ever(_enough_votes(alpha), (1 + pd) / 2, both=True))
        fixed = statistics.preference_panel_size(alpha, beta, (1 + pd) / 2, rule="stays")
        return Price(method, fixed, _by(path, HALF), _by(path, 1 - beta), None)
    guessing = statistics.chance(method)
    path = tuple(_ever(_enough_right(method, alpha), guessing + (1 - guessing) * pd))
    quiet = tuple(_ever(_too_many_right(method, beta, pd), guessing, above=False))
    found = figures.panel_size(method, alpha, beta, pd, "stays")
    return Price(method, found, _by(path, HALF), _by(path, 1 - beta), _by(quiet, HALF))


@lru_cache(64)
def votes_of_final(needed: float, share: float) -> tuple[int | None, int | None]:
    """Votes within which half, and nine in ten, of finals reach ``needed`` where a share prefers the trial."""
    path = tuple(_ever(_enough_for(needed), share))
    return _by(path, HALF), _by(path, MOST)


def _by(path: tuple[float, ...], share: float) -> int | None:
    return next((number for number, reached in enumerate(path, start=1) if reached >= share), None)


Reaches = Callable[[int, int], bool]  # so many of so many answers


def _ever(reaches: Reaches, chance: float, *, above: bool = True, both: bool = False) -> Iterator[float]:
    """Chance that a threshold was reached within 1, 2, … answers: by as many as ``reaches``, or by fewer than that.

    What is asked grows with the count, and by one at most with each answer more.
    """
    going, reached, least = np.array([1.0]), 0.0, 0
    for number in range(1, MOST_ANSWERS + 1):
        going = np.append(going * (1 - chance), 0.0) + np.insert(going * chance, 0, 0.0)
        while least <= number and not reaches(least, number):
            least += 1
        counts = np.arange(number + 1)
        done = counts >= least if above else counts < least
        if both:
            done |= counts <= number - least
        reached += float(going[done].sum())
        going[done] = 0.0
        yield reached


def _enough_right(method: Method, alpha: float) -> Reaches:
    return lambda right, number: accumulated_evidence(right, number, method).noticed(alpha)[0]


def _too_many_right(method: Method, beta: float, pd: float) -> Reaches:
    return lambda right, number: not accumulated_evidence(right, number, method, pd).not_noticed(beta)[0]


def _enough_votes(alpha: float) -> Reaches:
    return lambda first, number: 2 * first > number and preference_evidence(first, number - first).reached(alpha)[0]


def _enough_for(needed: float) -> Reaches:
    return lambda votes, number: preference_evidence(votes, number - votes, sides="first").evidence[0] >= needed
