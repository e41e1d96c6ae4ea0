"""How often a series accuses an innocent material: the rule's own functions on simulated answers.

The truth is drawn, not computed: innocent materials are guessed at with one half, the culprit is found by a share. The
risk is held if at most alpha of series accuse anybody innocent, whatever is asked next (Ville's inequality bounds it).
The figures, with exact Clopper-Pearson limits, are recorded with each test.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from scipy.stats import binomtest

from evaluation.judging.suspecting import Suspected, next_suspect
from evaluation.statistics import accumulated_evidence

ALPHA, CAP = 0.05, 40
SERIES = 4_000


@cache
def evidence(right: int, asked: int) -> float:
    return accumulated_evidence([right], [asked], "2-afc").evidence[0] if asked else 1.0


def played(rng: np.random.Generator, shares: tuple[float, ...], answers: int) -> tuple[set[int], int]:
    """One series: who is accused, and how many answers were asked. Suspects are looked at after each sitting."""
    needed = len(shares) / ALPHA
    right, asked, sittings = ([0] * len(shares) for _ in range(3))
    order = [str(one) for one in range(len(shares))]
    accused: set[int] = set()
    while True:
        found = [
            Suspected(order[i], right[i], asked[i], evidence(right[i], asked[i]), i in accused, sittings[i])
            for i in range(len(shares))
        ]
        up = next_suspect(found, order, CAP)
        if not up:
            return accused, sum(asked)
        at = int(up)
        right[at] += int(rng.binomial(answers, shares[at]))
        asked[at] += answers
        sittings[at] += 1
        if evidence(right[at], asked[at]) >= needed:
            accused.add(at)


@pytest.mark.slow
@pytest.mark.parametrize("answers", [4, 8])
@pytest.mark.parametrize("materials", [3, 6, 10])
@pytest.mark.parametrize("culprit", [0.5, 0.75, 0.9])
def test_innocent_materials_are_seldom_accused(
    materials: int, culprit: float, answers: int, record_property: Callable[[str, str], None]
) -> None:
    """``culprit`` .5: nobody is guilty. The last one sealed is guilty, so that order helps nobody."""
    rng = np.random.default_rng([materials, answers, int(100 * culprit)])
    shares = (*[0.5] * (materials - 1), culprit)
    guilty = {materials - 1} if culprit > 0.5 else set[int]()
    runs = [played(rng, shares, answers) for _ in range(SERIES)]
    innocent = sum(bool(accused - guilty) for accused, _ in runs)
    rightly = sum(bool(accused & guilty) for accused, _ in runs)
    spent = float(np.mean([asked for _, asked in runs]))
    limits = binomtest(innocent, SERIES).proportion_ci(0.95)
    record_property(
        "figures",
        f"{materials} suspects, culprit {culprit}, {answers} a sitting: innocent accused {innocent / SERIES:.4f} "
        f"({limits.low:.4f} to {limits.high:.4f}), culprit {rightly / SERIES:.3f}, answers {spent:.0f} of "
        f"{materials * CAP}",
    )
    assert limits.low <= ALPHA
