"""What it costs not to name the direction: strips a series takes by each method, at one and the same difference."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from typing import Final

import numpy as np

from evaluation import statistics
from evaluation.kinds import Method, kind_of, methods, strips_of
from evaluation.statistics.several_looks.martingales import STAKES

DISTANCE: Final = Decimal(1)  # d-prime: side by side 76 of 100 pick right, who know what to look for
MOST_SETS: Final = 4000


@dataclass(frozen=True, slots=True)
class MethodPrice:
    """Sets, and strips, of the one series in two that ends *noticed* soonest; half of all series take more."""

    method: Method
    sets: int
    strips: int
    directed: bool


@lru_cache(16)
def method_prices(alpha: float, size: Decimal = DISTANCE, alone: bool = False) -> tuple[MethodPrice, ...]:
    """Every method with a published distance, most strips first; ``alone``: those one person can prepare blind.

    It speaks of series whose evidence is looked at after every answer, at a true difference of ``size``; how long one
    series takes varies much.
    """
    asked = methods(lambda kind: kind.distance and (kind.alone or not alone))
    found = [(one, median_sets(one, alpha, size)) for one in asked]
    priced = [MethodPrice(one, sets, sets * strips_of(one), kind_of(one).directed) for one, sets in found if sets]
    return tuple(sorted(priced, key=lambda one: -one.strips))


def median_sets(method: Method, alpha: float, size: Decimal) -> int | None:
    """The first number of answers by which half of all series have reached evidence 1/alpha; None beyond 4,000."""
    guess, right = statistics.chance(method), float(statistics.proportion_correct(float(size), method))
    gains = np.array([[math.log(1 + float(b) * (1 - guess) / guess), math.log(1 - float(b))] for b in STAKES])
    going, threshold = np.array([1.0]), math.log(1 / alpha)
    for sets in range(1, MOST_SETS + 1):
        going = np.append(going * (1 - right), 0.0) + np.append(0.0, going * right)
        count = np.arange(sets + 1)
        evidence = np.logaddexp.reduce(gains[:, :1] * count + gains[:, 1:] * (sets - count)) - math.log(len(STAKES))
        going[evidence >= threshold - 1e-9] = 0.0
        if going.sum() <= 0.5:
            return sets
    return None
