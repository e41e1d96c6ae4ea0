"""Was it noticed, if the answers of those who were surer count for more? Exact, given the sureness said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from evaluation.errors import ArgumentError
from evaluation.ground.checks import risk
from evaluation.statistics.forced_choice.methods import MethodName, method_named
from evaluation.statistics.laws.binomial import LAST_DIGITS
from evaluation.statistics.laws.inputs import counts

MOST_WEIGHED: Final = 1_000  # answers: a session; the law is worked out in whole numbers
MOST_WEIGHT: Final = 10_000  # of all answers together


@dataclass(frozen=True, slots=True)
class WeightedDifference:
    """What :func:`weighted_difference` found; the first three fields echo its arguments.

    Attributes
    ----------
    p_value : probability of at least this weight of right answers if everybody guesses, exact, one-sided.
    statistic : sum of the weights of the right answers.
    total : sum of all weights.
    """

    correct: tuple[int, ...]
    weights: tuple[int, ...]
    method: MethodName
    p_value: float
    statistic: int
    total: int


def weighted_difference(correct: npt.ArrayLike, weights: npt.ArrayLike, method: str) -> WeightedDifference:
    """Was the difference noticed more often than guessing explains, the surer answers counting for more?

    Parameters
    ----------
    correct : 1-D array of 0 and 1, or of truths
        One entry an answer: 1 where it was right. 1,000 answers at most.
    weights : 1-D integer array, 0 or more, as many entries
        One entry an answer, from the sureness said with it; 10,000 in all at most. What each word weighs is sealed
        before anybody smells.
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}

    Returns
    -------
    WeightedDifference

    Raises
    ------
    ArgumentError, KindError
        Lengths that differ; ``correct`` other than 0 and 1; weights negative, fractional or NaN; too many; unknown
        method.

    Notes
    -----
    Whoever guesses is right with the guessing chance whatever sureness they say: so the law of the sum, given the
    weights, is that of independent right answers with that chance, and the p-value is exact. With equal weights it is
    that of :func:`difference_test`.

    It does not promise more power: where sureness tells nothing about being right, weighting loses a little, and most
    of what it gains is that more levels are attainable. It says nothing of how many notice, and a large p does not say
    that the trials smell the same.

    References
    ----------
    Exact conditional law by enumeration of sums; a weighted sum of signs is the same idea (Wilcoxon 1945, Biometrics
    Bulletin 1, 80–83; from memory).

    Examples
    --------
    >>> found = weighted_difference([1, 1, 0, 1], [5, 4, 2, 2], "triangle")
    >>> found.statistic, found.total, round(found.p_value, 4)
    (11, 13, 0.0617)
    """
    right, weighed = _right_or_not(correct), _weights(weights)
    if len(weighed) != len(right):
        raise ArgumentError(
            f"weights must have one entry an answer, as many as correct ({len(right)}), not {len(weighed)}."
        )
    _at_most("correct", len(right), MOST_WEIGHED, "answers")
    way = method_named(method)
    statistic = sum(w for w, hit in zip(weighed, right, strict=True) if hit)
    return WeightedDifference(
        right, weighed, way.name, _upper_tail(weighed, statistic, way.guessing), statistic, sum(weighed)
    )


def _right_or_not(correct: Any) -> tuple[int, ...]:
    """Truths count as 1 and 0; one truth among numbers is a slip and refused."""
    given = np.asarray(correct)
    if given.dtype == np.bool_ and given.ndim == 1:
        return tuple(map(int, given))
    right = tuple(counts("correct", correct, 0).tolist())
    for answer in right:
        if answer > 1:
            raise ArgumentError(f"correct must be 0 (wrong) or 1 (right) for each answer, not {answer}.")
    return right


def _at_most(name: str, number: int, most: int, what: str) -> None:
    if number > most:
        raise ArgumentError(f"{name} must be from 0 to {most} {what}, not {number}.")


def least_weight(weights: npt.ArrayLike, method: str, alpha: float) -> int | None:
    """How much must right answers weigh, at least, to call the difference noticed?

    Parameters
    ----------
    weights : 1-D integer array, 0 or more
        One entry an answer, as in :func:`weighted_difference`.
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    alpha : float, between 0 and 1

    Returns
    -------
    int, a weight that some right answers have together, or None where even all right is not enough.

    Raises
    ------
    ArgumentError, KindError
        As :func:`weighted_difference`; alpha outside (0, 1).

    Notes
    -----
    It holds for these words of sureness and no others; a p-value that equals alpha counts as reached.

    References
    ----------
    Exact, as :func:`weighted_difference`.

    Examples
    --------
    >>> least_weight([5] * 6 + [2] * 6, "triangle", 0.05)
    25
    """
    weighed, way = _weights(weights), method_named(method)
    level = Fraction(risk("alpha", alpha)) * LAST_DIGITS
    ways, of = _law(weighed, way.guessing), way.guessing.denominator ** len(weighed)
    reached, tail = None, 0
    for total in range(len(ways) - 1, -1, -1):
        tail += int(ways[total])
        if Fraction(tail, of) > level:
            break
        reached = total if ways[total] else reached
    return reached


def _weights(weights: npt.ArrayLike) -> tuple[int, ...]:
    weighed = tuple(counts("weights", weights, 0).tolist())
    _at_most("weights", sum(weighed), MOST_WEIGHT, "in all")
    return weighed


def _upper_tail(weights: Sequence[int], statistic: int, guessing: Fraction) -> float:
    """P(sum of the weights of right answers ≥ statistic)."""
    ways = _law(weights, guessing)
    return float(Fraction(int(ways[statistic:].sum()), guessing.denominator ** len(weights)))


def _law(weights: Sequence[int], guessing: Fraction) -> npt.NDArray[np.object_]:
    """Ways to each sum of the weights of right answers, in whole numbers, of denominator ** answers in all."""
    hit, of = guessing.numerator, guessing.denominator
    ways = np.array([1], dtype=object)
    for weight in weights:
        longer = np.zeros(len(ways) + weight, dtype=object)
        longer[: len(ways)] += ways * (of - hit)
        longer[weight:] += ways * hit
        ways = longer
    return ways
