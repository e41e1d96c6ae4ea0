"""Intervals over people for any summary of a panel: the summary of every subset of it (typical values).

If each person's deviation from the truth is as likely up as down, the truth lies between two neighbours of the sorted
summaries of all 2^n − 1 subsets of n people with probability 1 / 2^n each, also beyond the outermost two. This inverts
the exact sign-flip test. Exact for summaries that say on which side of a candidate a sum over people lies (the time a
falling curve meets a line); else approximate. Hartigan 1969, JASA 64, 1303–1317 (from memory).
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from evaluation.statistics.laws.binomial import NEAR
from evaluation.statistics.laws.inputs import Floats

# With five people even the outermost subsets leave out the truth in 1 of 16: no interval at 95 % (our rule for all).
FEWEST_PEOPLE = 6
ALL_UP_TO = 12
DRAWN = 4_999


def subsets(people: int, seed: int) -> Floats:
    """Rows of 0 and 1, one subset each: all 2^n − 1 up to 12 people, beyond that 4,999 drawn from ``seed``."""
    if people <= ALL_UP_TO:
        number = np.arange(1, 2**people)
        return (number[:, None] >> np.arange(people) & 1).astype(np.float64)
    drawn = np.random.default_rng(seed).integers(0, 2, (DRAWN, people))
    drawn[drawn.sum(axis=1) == 0, 0] = 1  # nobody at all has no summary; about one draw in 2^n
    return drawn.astype(np.float64)


def refusal(people: int, level: float) -> str:
    """Why ``people`` get no interval at ``level``; empty where they do."""
    if people < FEWEST_PEOPLE:
        return f"no interval: {people} of the {FEWEST_PEOPLE} panelists it takes"
    if _left_out(2**people - 1 if people <= ALL_UP_TO else DRAWN, level) < 1:
        return f"no interval: {people} panelists cannot reach a level of {level:g}"
    return ""


def between(summaries: npt.NDArray[np.float64], level: float) -> tuple[float, float]:
    """The two summaries between which the truth lies at ``level`` or more; infinite where too few are given.

    NaN (a subset without a summary) is left out.
    """
    ordered = np.sort(summaries[~np.isnan(summaries)])
    out = _left_out(ordered.size, level)
    if out < 1:
        return -math.inf, math.inf
    return float(ordered[out - 1]), float(ordered[-out])


def _left_out(number: int, level: float) -> int:
    """Slots of ``number`` + 1 that may be left out at each end."""
    return math.floor((number + 1) * (1.0 - level) / 2.0 * (1.0 + NEAR))
