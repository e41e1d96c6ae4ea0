"""Exact binomial tails, and the comparison of a tail with a risk.

A p-value that equals alpha counts as reached. Floating point can miss such an equality by its last digit (the
triangle with 3 of 3 right has p = 1/27), so a comparison closer than ``NEAR`` is settled in whole numbers.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import special

from evaluation.statistics.laws.inputs import Floats, Ints

# The incomplete beta function is good to about 1e-14 here (tests/statistics/test_binomial.py), so a p and an
# alpha that differ by more than one part in 1e12 are in the order in which floating point shows them.
NEAR = 1e-12
# Whole-number arithmetic costs O(n) long multiplications; beyond this n a near tie counts as equal.
EXACT_UP_TO = 500
# An alpha the caller computed is off by up to half a last digit per operation: (1/3)**20 by ten of them. So many
# are forgiven; a p above alpha by no more than this could not be told from alpha by any rounded arithmetic.
LAST_DIGITS = 1 + Fraction(32, 2**52)


def at_least(correct: Any, assessments: Any, p: float) -> Floats:
    """P(X ≥ correct) for X binomial; element by element, ``correct`` from 0 to ``assessments`` + 1."""
    x, n = np.asarray(correct, np.float64), np.asarray(assessments, np.float64)
    # P(X ≥ x) = I_p(x, n−x+1) (Abramowitz & Stegun 26.5.24); the ends are not covered by the function
    inside = special.betainc(np.maximum(x, 1.0), np.maximum(n - x + 1.0, 1.0), p)
    return np.asarray(np.where(x <= 0, 1.0, np.where(x > n, 0.0, inside)))


def at_most(correct: Any, assessments: Any, p: float) -> Floats:
    """P(X ≤ correct) for X binomial; element by element, ``correct`` from −1 to ``assessments``."""
    x, n = np.asarray(correct, np.float64), np.asarray(assessments, np.float64)
    inside = special.betaincc(np.maximum(x + 1.0, 1.0), np.maximum(n - x, 1.0), p)
    return np.asarray(np.where(x < 0, 0.0, np.where(x >= n, 1.0, inside)))


def exact_at_least(correct: int, assessments: int, p: Fraction) -> Fraction:
    """P(X ≥ correct) as an exact fraction."""
    right, all_ways = p.numerator, p.denominator
    wrong = all_ways - right
    term, total = right**assessments, 0  # the term of k correct, counted down from k = n
    for k in range(assessments, correct - 1, -1):
        total += term
        term = term * k * wrong // ((assessments - k + 1) * right)
    return Fraction(total, all_ways**assessments)


def reaches(correct: Ints, assessments: Ints, p: Fraction, alpha: float) -> npt.NDArray[np.bool_]:
    """Where P(X ≥ correct) ≤ alpha, equality included."""
    tail = at_least(correct, assessments, float(p))
    reached = tail <= alpha * (1.0 + NEAR)
    close = reached & (tail >= alpha * (1.0 - NEAR)) & (assessments <= EXACT_UP_TO)
    for place in np.flatnonzero(close):
        exact = exact_at_least(int(correct[place]), int(assessments[place]), p)
        reached[place] = exact <= Fraction(alpha) * LAST_DIGITS
    return np.asarray(reached)


def critical(assessments: Ints, p: Fraction, alpha: float) -> Ints:
    """Smallest x with P(X ≥ x) ≤ alpha for each n; n + 1 where even all correct is not enough.

    Bisection between a count that fails and one that reaches; the normal approximation only chooses where to
    begin.
    """
    low, high = _bracket(assessments, float(p), alpha)
    low = np.where((low > 0) & ~reaches(low, assessments, p, alpha), low, 0)
    high = np.where((high <= assessments) & reaches(high, assessments, p, alpha), high, assessments + 1)
    while (open_ := np.flatnonzero(high - low > 1)).size:
        middle = (low[open_] + high[open_]) // 2
        reached = reaches(middle, assessments[open_], p, alpha)
        high[open_] = np.where(reached, middle, high[open_])
        low[open_] = np.where(reached, low[open_], middle)
    return np.asarray(high)


def _bracket(assessments: Ints, p: float, alpha: float) -> tuple[Ints, Ints]:
    # Normal quantile with its first skewness term (Cornish & Fisher 1937); usually within one of the answer
    z = -float(special.ndtri(alpha))
    spread = np.sqrt(assessments * p * (1.0 - p))
    guess = np.rint(assessments * p + z * spread + (z * z - 1.0) * (1.0 - 2.0 * p) / 6.0 + 0.5)
    middle = np.clip(guess, 0, assessments + 1).astype(np.int64)
    return middle - 1, middle + 1
