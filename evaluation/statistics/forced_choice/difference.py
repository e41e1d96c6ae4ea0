"""Was it noticed? Exact tests of forced choices against guessing."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any, overload

import numpy.typing as npt

from evaluation.errors import ArgumentError
from evaluation.ground.checks import choice, risk, whole
from evaluation.statistics.forced_choice import thurstone
from evaluation.statistics.forced_choice.methods import MethodName, method_named
from evaluation.statistics.laws.binomial import at_least, at_most, critical
from evaluation.statistics.laws.inputs import MOST_ASSESSMENTS, counts, is_scalar
from evaluation.statistics.laws.intervals import Interval, clopper_pearson


@dataclass(frozen=True, slots=True)
class DifferenceTest:
    """What :func:`difference_test` found; the first four fields echo its arguments.

    Attributes
    ----------
    p_value : probability of at least this many correct if everybody guesses, exact, one-sided.
    minimum_correct : fewest correct that reach ``alpha``; None where even all correct is not enough.
    proportion_correct : correct / assessments.
    discriminators : share that notices (``pd``), 0 … 1, 0 when at or below guessing.
    d_prime : distance, 0 at or below guessing, inf when all are correct; None for a method without a model.
    """

    correct: int
    assessments: int
    method: MethodName
    alpha: float
    p_value: float
    minimum_correct: int | None
    proportion_correct: float
    discriminators: float
    d_prime: float | None

    @property
    def reached(self) -> bool:
        """True where ``p_value`` ≤ ``alpha``, equality included: correct ≥ ``minimum_correct``."""
        return self.minimum_correct is not None and self.correct >= self.minimum_correct

    def interval(self, level: float = 0.95, of: str = "discriminators") -> Interval:
        """Two-sided exact interval at ``level`` (between 0 and 1) of one of three scales.

        ``of`` is ``"discriminators"`` (clipped at 0), ``"proportion_correct"`` or ``"d_prime"`` (0 … inf).
        The limits are Clopper & Pearson's (1934, Biometrika 26, 404–413) for the proportion, carried over.
        Coverage is at least ``level`` for independent answers; with several answers per person it speaks for
        these sittings only.
        """
        level = risk("level", level)
        carry = _CARRIED[choice("of", of, tuple(_CARRIED))]
        low, high = clopper_pearson(self.correct, self.assessments, level)
        return Interval(carry(low, self.method), carry(high, self.method), level, of)


def _as_discriminators(proportion: float, method: str) -> float:
    return method_named(method).discriminators(proportion)


def _as_proportion(proportion: float, method: str) -> float:
    return proportion


def _as_distance(proportion: float, method: str) -> float:
    return thurstone.d_prime(proportion, method)


_CARRIED = MappingProxyType(
    {
        "discriminators": _as_discriminators,
        "proportion_correct": _as_proportion,
        "d_prime": _as_distance,
    }
)


def chance(method: str) -> float:
    """How often is a pure guess right?

    Parameters
    ----------
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}

    Returns
    -------
    float, between 0 and 1.

    Raises
    ------
    ArgumentError
        Unknown method.

    Notes
    -----
    Does not promise that a nose that notices nothing guesses evenly: a habit (always the middle strip) is
    harmless only because the orders are balanced.

    References
    ----------
    Triangle 1/3: ISO 4120. Duo-trio 1/2: ISO 10399. Paired 1/2: ISO 5495. Tetrad, 3-AFC 1/3 and two out of
    five 1/10 = 1/C(5, 2): counting.

    Examples
    --------
    >>> chance("duo-trio")
    0.5
    """
    return float(method_named(method).guessing)


def difference_test(correct: int, assessments: int, method: str, alpha: float = 0.05) -> DifferenceTest:
    """Was the difference noticed more often than guessing explains?

    Parameters
    ----------
    correct : int, 0 … assessments
        Correct answers.
    assessments : int, 1 or more
        Answers in all; a missing answer is not a wrong one and is not counted here.
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    alpha : float, between 0 and 1
        Accepted risk of calling a difference noticed when everybody guesses.

    Returns
    -------
    DifferenceTest

    Raises
    ------
    ArgumentError, KindError
        Counts negative, fractional, NaN or more correct than asked; alpha outside (0, 1); unknown method.

    Notes
    -----
    A large p does not say that the trials smell the same: see :func:`similarity_test`. With several answers
    per person the p-value is valid for "nobody here can tell", not for the share of people who can.
    ``discriminators`` depends on the method and must not be compared between methods; ``d_prime`` may be.

    References
    ----------
    Exact binomial, one-sided: ISO 4120:2004 Table A.1; ISO 10399:2004 Table A.1; ISO 5495:2005
    Table A.1.

    Examples
    --------
    >>> found = difference_test(8, 12, "triangle")
    >>> round(found.p_value, 6), found.minimum_correct, found.discriminators
    (0.018758, 8, 0.5)
    """
    asked = whole("assessments", assessments, 1, MOST_ASSESSMENTS)
    right = correct_of(correct, asked)
    way = method_named(method)
    alpha = risk("alpha", alpha)
    proportion = right / asked
    return DifferenceTest(
        correct=right,
        assessments=asked,
        method=way.name,
        alpha=alpha,
        p_value=float(at_least(right, asked, float(way.guessing))),
        minimum_correct=minimum_correct(asked, way.name, alpha),
        proportion_correct=proportion,
        discriminators=way.discriminators(Fraction(right, asked)),
        d_prime=thurstone.d_prime(proportion, way.name) if way.model else None,
    )


@overload
def minimum_correct(assessments: int, method: str, alpha: float) -> int | None: ...
@overload
def minimum_correct(assessments: npt.ArrayLike, method: str, alpha: float) -> Any: ...
def minimum_correct(assessments: npt.ArrayLike, method: str, alpha: float) -> Any:
    """How many correct answers are needed, at least, to call the difference noticed?

    Parameters
    ----------
    assessments : int or 1-D integer array, 1 or more
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    alpha : float, between 0 and 1

    Returns
    -------
    int, or None where even all correct is not enough. For an array: an int64 array of its shape, in which
    ``assessments + 1`` stands for "not attainable".

    Raises
    ------
    ArgumentError, KindError
        As :func:`difference_test`.

    Notes
    -----
    The true risk of the test with this limit is :func:`actual_alpha`, always at most alpha and often well
    below it.

    References
    ----------
    ISO 4120:2004 Table A.1, ISO 10399:2004 Table A.1, ISO 5495:2005 Table A.1: the same exact rule.

    Examples
    --------
    >>> minimum_correct(12, "triangle", 0.05), minimum_correct(4, "triangle", 0.01)
    (8, None)
    >>> minimum_correct([2, 3, 12], "triangle", 0.05).tolist()
    [3, 3, 8]
    """
    asked = counts("assessments", assessments)
    needed = critical(asked, method_named(method).guessing, risk("alpha", alpha))
    if not is_scalar(assessments):
        return needed
    return int(needed[0]) if needed[0] <= asked[0] else None


@overload
def actual_alpha(assessments: int, method: str, alpha: float) -> float: ...
@overload
def actual_alpha(assessments: npt.ArrayLike, method: str, alpha: float) -> Any: ...
def actual_alpha(assessments: npt.ArrayLike, method: str, alpha: float) -> Any:
    """What is the true risk of the exact test that was asked to keep ``alpha``?

    Parameters
    ----------
    assessments : int or 1-D integer array, 1 or more
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    alpha : float, between 0 and 1

    Returns
    -------
    float, or an array of its shape: at most alpha; 0.0 where even all correct is not enough.

    Raises
    ------
    ArgumentError, KindError
        As :func:`difference_test`.

    Notes
    -----
    It is the risk when everybody guesses independently, not a property of one result.

    References
    ----------
    Definition; n = 35 gives .0442 in a published worked example (tests/reference, row d-blog-35).

    Examples
    --------
    >>> round(actual_alpha(35, "triangle", 0.05), 4)
    0.0442
    """
    asked = counts("assessments", assessments)
    guessing = method_named(method).guessing
    size = at_least(critical(asked, guessing, risk("alpha", alpha)), asked, float(guessing))
    return float(size[0]) if is_scalar(assessments) else size


def reversed_tail(correct: int, assessments: int, method: str) -> float:
    """Are there suspiciously few correct answers, as when a direction or the key was the wrong way round?

    Parameters
    ----------
    correct : int, 0 … assessments
    assessments : int, 1 or more
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}

    Returns
    -------
    float: probability of at most this many correct if everybody guesses.

    Raises
    ------
    ArgumentError, KindError
        As :func:`difference_test`.

    Notes
    -----
    A small value does not say why; it may also be plain bad luck.

    References
    ----------
    Exact binomial lower tail.

    Examples
    --------
    >>> round(reversed_tail(0, 8, "triangle"), 4)
    0.039
    """
    asked = whole("assessments", assessments, 1, MOST_ASSESSMENTS)
    return float(at_most(correct_of(correct, asked), asked, chance(method)))


def correct_of(correct: int, asked: int) -> int:
    """Return ``correct`` as an int in 0 … asked."""
    right = whole("correct", correct)
    if right > asked:
        raise ArgumentError(f"correct must be from 0 to assessments ({asked}), not {right}.")
    return right
