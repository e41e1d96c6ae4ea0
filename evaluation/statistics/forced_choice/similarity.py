"""Did fewer notice than would matter? The question a large p-value does not answer."""

from __future__ import annotations

from dataclasses import dataclass

from evaluation.ground.checks import risk, whole
from evaluation.statistics.forced_choice.difference import correct_of
from evaluation.statistics.forced_choice.methods import Method, MethodName, method_named
from evaluation.statistics.laws.binomial import at_most, critical
from evaluation.statistics.laws.inputs import MOST_ASSESSMENTS, counts
from evaluation.statistics.laws.intervals import upper_limit


@dataclass(frozen=True, slots=True)
class SimilarityTest:
    """What :func:`similarity_test` found; the first five fields echo its arguments.

    Attributes
    ----------
    p_value : probability of at most this many correct if a share ``pd`` notices, exact, one-sided.
    maximum_correct : most correct that support similarity; None where none does or it would lie below
    guessing. upper_limit : one-sided exact upper limit of the share that notices at confidence 1 − ``beta``,
    0 … 1.
    """

    correct: int
    assessments: int
    method: MethodName
    pd: float
    beta: float
    p_value: float
    maximum_correct: int | None
    upper_limit: float

    @property
    def supported(self) -> bool:
        """True where similarity within ``pd`` is supported at ``beta``: correct ≤ ``maximum_correct``."""
        return self.maximum_correct is not None and self.correct <= self.maximum_correct


def similarity_test(correct: int, assessments: int, method: str, pd: float, beta: float = 0.05) -> SimilarityTest:
    """Would fewer than a share ``pd`` notice the difference?

    Parameters
    ----------
    correct : int, 0 … assessments
    assessments : int, 1 or more
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    pd : float, between 0 and 1
        Smallest share of people noticing that would matter.
    beta : float, between 0 and 1
        Accepted risk of calling the trials similar when a share ``pd`` notices.

    Returns
    -------
    SimilarityTest

    Raises
    ------
    ArgumentError, KindError
        Counts negative, fractional, NaN or more correct than asked; pd or beta outside (0, 1); unknown
        method.

    Notes
    -----
    Needs one answer per person: pooled replicates make the limit too narrow for people (ISO 10399, 6.2).
    Small panels conclude nothing: up to about 20 assessments the maximum lies below guessing for pd .3
    (``maximum_correct`` None). ``upper_limit`` may be at or below ``pd`` although ``maximum_correct`` is
    None; the rule is the maximum.

    References
    ----------
    ISO 4120:2004 clause 8.2 and Table A.2; ISO 5495:2005 Table A.3. Upper limit: Clopper & Pearson 1934.

    Examples
    --------
    >>> found = similarity_test(21, 60, "triangle", pd=0.3)
    >>> found.maximum_correct, found.supported, round(found.upper_limit, 3)
    (25, True, 0.195)
    """
    asked = whole("assessments", assessments, 1, MOST_ASSESSMENTS)
    right = correct_of(correct, asked)
    way, pd, beta = method_named(method), risk("pd", pd), risk("beta", beta)
    return SimilarityTest(
        correct=right,
        assessments=asked,
        method=way.name,
        pd=pd,
        beta=beta,
        p_value=float(at_most(right, asked, float(way.proportion_correct(pd)))),
        maximum_correct=maximum_correct(asked, way.name, pd, beta),
        upper_limit=way.discriminators(upper_limit(right, asked, beta)),
    )


def maximum_correct(assessments: int, method: str, pd: float, beta: float) -> int | None:
    """How many correct answers are allowed, at most, to call the trials similar within ``pd``?

    Parameters
    ----------
    assessments : int, 1 or more
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    pd : float, between 0 and 1
    beta : float, between 0 and 1

    Returns
    -------
    int, or None: no count supports similarity, or the largest that does lies below guessing (no conclusion).

    Raises
    ------
    ArgumentError, KindError
        As :func:`similarity_test`.

    Notes
    -----
    Exactly at guessing (n/3 of a triangle) is not below it and concludes.

    References
    ----------
    ISO 4120:2004 clause 8.2 and Table A.2; ISO 5495:2005 Table A.3, whose column beta = .001 follows a normal
    approximation in places and is one lower.

    Examples
    --------
    >>> maximum_correct(60, "triangle", 0.3, 0.05), maximum_correct(12, "triangle", 0.3, 0.05)
    (25, None)
    """
    asked = whole("assessments", assessments, 1, MOST_ASSESSMENTS)
    way, pd, beta = method_named(method), risk("pd", pd), risk("beta", beta)
    most = largest_at_most(asked, way, pd, beta)
    guessing = way.guessing
    # "Below guessing" in whole numbers: most / asked < g
    return None if most * guessing.denominator < asked * guessing.numerator else most


def largest_at_most(assessments: int, method: Method, pd: float, beta: float) -> int:
    """Largest x with P(X ≤ x) ≤ beta when a share ``pd`` notices; −1 where none. Arguments are checked."""
    wrong = 1 - method.proportion_correct(pd)
    # P(X ≤ x) = P(n − X ≥ n − x): the critical number of wrong answers
    return assessments - int(critical(counts("assessments", assessments), wrong, beta)[0])
