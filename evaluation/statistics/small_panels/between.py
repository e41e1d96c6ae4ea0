"""Do the panelists differ from each other? Exact conditional test of overdispersion, with two large-panel checks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import gcd, sqrt

import numpy as np
from scipy import special

from evaluation.statistics.laws.betabinomial import log_choose
from evaluation.statistics.laws.inputs import Floats, Ints

# Work beyond this (states × answers of one panelist) is drawn instead of enumerated.
MOST_STATES = 300_000
# Panelist counts drawn in all where enumeration is out of reach, and the most draws for a small panel.
_DRAWN_COUNTS, _MOST_DRAWS = 2_000_000, 99_999
# The draws decide a p-value that must be the same whenever it is looked at: their seed is fixed.
_SEED = 20_261_125


@dataclass(frozen=True, slots=True)
class Overdispersion:
    """Whether panelists differ more than chance makes equal ones differ; part of :class:`ReplicatedDifference`.

    Attributes
    ----------
    p_value : one-sided, given the number of right answers in all; valid for any panel, however small.
    counted : ``"exact"``, or ``"drawn"`` where the panel is too large to enumerate (fixed seed).
    draws : how many panels were drawn; None where exact. A drawn p is (1 + hits) / (1 + draws), still valid.
    likelihood_ratio_p : the likelihood ratio against ½χ²(0) + ½χ²(1), right for many panelists only; a check.
    tarone_z : standardised score, nearly normal for many panelists; a check. Among panels with this many right
    answers in all ``p_value`` counts those whose score is at least as large.
    tarone_p : one-sided normal p of ``tarone_z``.
    """

    p_value: float
    counted: str
    draws: int | None
    likelihood_ratio_p: float
    tarone_z: float
    tarone_p: float


def overdispersion(correct: Ints, assessments: Ints, gain: float) -> Overdispersion:
    """The three tests; ``gain`` is the log-likelihood gained over the binomial.

    Needs both right and wrong answers, and two panelists of whom one has two answers.
    """
    exact = exact_p(correct, assessments)
    p_value, draws = (exact, None) if exact is not None else _drawn_p(correct, assessments)
    z = _tarone(correct, assessments)
    return Overdispersion(
        p_value=p_value,
        counted="drawn" if exact is None else "exact",
        draws=draws,
        likelihood_ratio_p=float(special.chdtrc(1.0, 2.0 * gain)) / 2.0 if gain > 0.0 else 1.0,
        tarone_z=z,
        tarone_p=float(special.ndtr(-z)),
    )


def _tarone(correct: Ints, assessments: Ints) -> float:
    # Tarone 1979, Biometrika 66, 585–590 (from memory): the score of the beta-binomial at spread 0
    asked, n = float(assessments.sum()), assessments.astype(np.float64)
    p = float(correct.sum()) / asked
    squares = float(((correct - n * p) ** 2).sum())
    return (squares / (p * (1.0 - p)) - asked) / sqrt(2.0 * float((n * (n - 1.0)).sum()))


def _score(correct: Ints, assessments: Ints) -> Callable[[Ints, Ints], Ints]:
    """(x, n) → whole numbers whose sum over panelists orders panels of this total as Tarone's score does.

    Σ (x − n T/N)² N is N Σ x² − 2 T Σ x n and a constant; given Σ x = T, any multiple of x may be added to each term.
    """
    asked, right, least = int(assessments.sum()), int(correct.sum()), int(assessments.min())
    common = asked
    for n in np.unique(assessments).tolist():
        common = gcd(common, 2 * right * (n - least))

    def score(x: Ints, n: Ints) -> Ints:
        return np.asarray(asked // common * x * x - 2 * right * (n - least) // common * x)

    return score


def exact_p(correct: Ints, assessments: Ints) -> float | None:
    """P(score ≥ observed | total correct) when all answers share one probability; None beyond ``MOST_STATES``.

    Panelist by panelist, over the states (right so far, score so far). The law given the total is the multivariate
    hypergeometric, whatever the common probability; weights are binomial at the observed one so that none vanishes.
    """
    score, total = _score(correct, assessments), int(correct.sum())
    parts = [np.arange(n + 1) for n in assessments.tolist()]
    scores = [score(x, np.full_like(x, x.size - 1)) for x in parts]
    lowest = sum(int(one.min()) for one in scores)
    width = sum(int(one.max()) for one in scores) - lowest + 1
    if width * (total + 1) >= 2**62:
        return None
    p, keys, weights = total / int(assessments.sum()), np.zeros(1, np.int64), np.ones(1)
    for x, one in zip(parts, scores, strict=True):
        if keys.size * x.size > MOST_STATES:
            return None
        step = x * width + (one - one.min())
        law = np.exp(log_choose(np.full_like(x, x.size - 1), x) + special.xlogy(x, p) + special.xlog1py(x[::-1], -p))
        keys, weights = _joined(keys, weights, step, law, (total + 1) * width)
    observed = total * width + int(score(correct, assessments).sum()) - lowest
    given = keys >= total * width
    return min(1.0, float(weights[keys >= observed].sum() / weights[given].sum()))


def _joined(keys: Ints, weights: Floats, step: Ints, law: Floats, beyond: int) -> tuple[Ints, Floats]:
    """The states after one more panelist; those with more right than the total are left out."""
    sums = np.add.outer(keys, step).ravel()
    kept = sums < beyond
    states, place = np.unique(sums[kept], return_inverse=True)
    return states.astype(np.int64), np.bincount(
        place, np.multiply.outer(weights, law).ravel()[kept], states.size
    ).astype(np.float64)


def _drawn_p(correct: Ints, assessments: Ints) -> tuple[float, int]:
    score, draws = _score(correct, assessments), min(_MOST_DRAWS, _DRAWN_COUNTS // correct.size + 1)
    observed, hits = int(score(correct, assessments).sum()), 0
    random = np.random.default_rng(_SEED)
    for block in np.array_split(np.arange(draws), draws * correct.size // 1_000_000 + 1):
        drawn = random.multivariate_hypergeometric(assessments, int(correct.sum()), size=block.size, method="marginals")
        hits += int((score(drawn, assessments).sum(axis=1) >= observed).sum())
    return (1 + hits) / (1 + draws), draws
