"""Is one of several columns of yes and no fuller than the others? The law of Cochran's Q, exactly where that is cheap.

If the trials do not differ, every person's yeses could have fallen on any of the trials: given how many each person
gave, all ways to place them are as likely. Cochran 1950, Biometrika 37, 256–266 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np

from evaluation.statistics.laws.binomial import at_least
from evaluation.statistics.laws.inputs import Floats, Ints

# Numbers added up for an exact law: well under a second. Beyond it the placings are drawn.
MOST_SUMS = 40_000_000
DRAWN = 9_999
# Placings of one person that are listed; of 6 trials there are 20 at most.
MOST_PLACINGS = 10_000


@dataclass(frozen=True, slots=True)
class CochranQ:
    """Q and its p: None and 1.0 where every person said the same of all trials.

    ``exact`` False: p from 9,999 drawn placings, ``error`` its standard error; else 0.
    """

    statistic: float | None
    df: int
    p_value: float
    exact: bool
    error: float


def cochran_q(checked: Ints, seed: int = 0) -> CochranQ:
    """Test a table of 0 and 1, (people, trials)."""
    trials, given = checked.shape[1], checked.sum(axis=1)
    # People who checked none or all say nothing about differences: their placing is fixed
    telling = (given > 0) & (given < trials)
    if not telling.any():
        return CochranQ(None, trials - 1, 1.0, True, 0.0)
    totals, given = checked[telling].sum(axis=0), given[telling]
    number, squares = int(given.sum()), int((totals**2).sum())
    statistic = (trials - 1) * (trials * squares - number**2) / (trials * number - int((given**2).sum()))
    people = tuple(sorted(given.tolist()))
    if _sums(people, trials) > MOST_SUMS:
        p = (1 + int((_drawn(people, trials, seed) >= squares).sum())) / (DRAWN + 1)
        return CochranQ(statistic, trials - 1, p, False, math.sqrt(p * (1.0 - p) / DRAWN))
    met, law = _law(people, trials)
    return CochranQ(statistic, trials - 1, min(1.0, float(law[met >= squares].sum())), True, 0.0)


def _sums(given: tuple[int, ...], trials: int) -> int:
    """Additions the exact law takes."""
    placings: int = sum(math.comb(trials, one) for one in given)
    return placings * int((len(given) + 1) ** (trials - 1))


@lru_cache(maxsize=256)
def _law(given: tuple[int, ...], trials: int) -> tuple[Ints, Floats]:
    """Sums of the squared totals of the trials that can occur, and their probabilities.

    One person after the other is added. The last trial's total follows from the others, so the law is an array with
    one axis less than there are trials.
    """
    law = np.zeros((len(given) + 1,) * (trials - 1))
    law[(0,) * (trials - 1)] = 1.0
    for one in given:
        placings = list(combinations(range(trials), one))
        moved = np.zeros_like(law)
        for placing in placings:
            goes = tuple(slice(1, None) if axis in placing else slice(None) for axis in range(trials - 1))
            comes = tuple(slice(None, -1) if axis in placing else slice(None) for axis in range(trials - 1))
            moved[goes] += law[comes]
        law = moved / len(placings)
    met = np.nonzero(law)
    totals = np.array([*met, sum(given) - np.sum(met, axis=0)], dtype=np.int64)
    squares, place = np.unique((totals**2).sum(axis=0), return_inverse=True)
    return squares, np.bincount(place.ravel(), law[met]).astype(np.float64)


def _placed(people: int, yeses: int, trials: int, random: np.random.Generator) -> Ints:
    """Drawn totals of so many people with so many yeses each: where the placings are few, from their list."""
    if math.comb(trials, yeses) > MOST_PLACINGS:
        rows = np.broadcast_to(np.arange(trials) < yeses, (DRAWN, trials))
        return np.asarray(sum(random.permuted(rows, axis=1).astype(np.int64) for _ in range(people)))
    placings = np.zeros((math.comb(trials, yeses), trials), dtype=np.int64)
    for row, places in zip(placings, combinations(range(trials), yeses), strict=True):
        row[list(places)] = 1
    return np.asarray(sum(placings[random.integers(0, len(placings), DRAWN)] for _ in range(people)))


@lru_cache(maxsize=256)
def _drawn(given: tuple[int, ...], trials: int, seed: int) -> Ints:
    """Sums of the squared totals for drawn placings."""
    random = np.random.default_rng(seed)
    totals = np.zeros((DRAWN, trials), dtype=np.int64)
    for one in sorted(set(given)):
        totals += _placed(given.count(one), one, trials, random)
    return np.asarray((totals**2).sum(axis=1))


def mcnemar(first_only: int, second_only: int) -> float:
    """Exact two-sided p that so unequal counts of one-sided answers came by chance.

    McNemar 1947, Psychometrika 12, 153–157, with the binomial law at one half in place of chi-square.
    """
    both = first_only + second_only
    return min(1.0, 2.0 * float(at_least(max(first_only, second_only), both, 0.5))) if both else 1.0
