"""Few enough noticed, with several answers per person: limits for this panel, and for people like it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from math import floor

import numpy as np
import numpy.typing as npt

from evaluation.errors import ArgumentError
from evaluation.ground.checks import risk
from evaluation.statistics.forced_choice.methods import Method, MethodName, method_named
from evaluation.statistics.forced_choice.similarity import largest_at_most
from evaluation.statistics.laws.betabinomial import log_choose
from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.laws.intervals import upper_limit
from evaluation.statistics.small_panels.per_person import panel_counts

# Our rule: with fewer people nothing is said about people who were not there.
FEWEST_PEOPLE = 12
_HALVINGS = 50


@dataclass(frozen=True, slots=True)
class ReplicatedLimit:
    """What :func:`replicated_limit` found; the first five fields echo its arguments.

    Attributes
    ----------
    total_correct, total_assessments : sums over panelists.
    speaks_for : ``"this panel"``, or ``"this nose"`` with one panelist; never people who were not there.
    maximum_correct : most correct of all that support "less than a share ``pd`` of these sets was noticed"; None where
    none does or it would lie below guessing.
    upper_limit : one-sided upper limit, confidence 1 − ``beta``, of the share of the sets that was noticed, 0 … 1.
    upper_limit_panelists : the same for the mean of the panelists' own shares, each counted alike; equal to
    ``upper_limit`` where all had the same number of sets, else larger.
    """

    correct: tuple[int, ...]
    assessments: tuple[int, ...]
    method: MethodName
    pd: float
    beta: float
    total_correct: int
    total_assessments: int
    speaks_for: str
    maximum_correct: int | None
    upper_limit: float
    upper_limit_panelists: float

    @property
    def supported(self) -> bool:
        """True where total correct ≤ ``maximum_correct``."""
        return self.maximum_correct is not None and self.total_correct <= self.maximum_correct


@dataclass(frozen=True, slots=True)
class PeopleLimits:
    """What :func:`people_limits` found; the first six fields echo its arguments.

    Attributes
    ----------
    total_correct, total_assessments : sums over panelists.
    speaks_for : ``"people like this panel"``.
    maximum_correct : most correct of all that support "people notice less than a share ``pd`` of such sets"; None
    where none does or it would lie below guessing.
    lower_limit : one-sided, confidence 1 − ``alpha``, of the mean share people notice, 0 … 1.
    upper_limit : one-sided, confidence 1 − ``beta``.
    """

    correct: tuple[int, ...]
    assessments: tuple[int, ...]
    method: MethodName
    pd: float
    alpha: float
    beta: float
    total_correct: int
    total_assessments: int
    speaks_for: str
    maximum_correct: int | None
    lower_limit: float
    upper_limit: float

    @property
    def supported(self) -> bool:
        """True where total correct ≤ ``maximum_correct``."""
        return self.maximum_correct is not None and self.total_correct <= self.maximum_correct


# --- this panel -------------------------------------------------------------------------------------------------------


def replicated_limit(
    correct: npt.ArrayLike, assessments: npt.ArrayLike, method: str, pd: float, beta: float = 0.05
) -> ReplicatedLimit:
    """Did this panel notice less than a share ``pd`` of its sets?

    Parameters
    ----------
    correct : 1-D integer array, one entry per panelist, 0 … their assessments
    assessments : int, or 1-D integer array of the same length, 1 … 1000
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    pd : float, between 0 and 1
        Smallest share of sets noticed that would matter.
    beta : float, between 0 and 1
        Accepted risk of supporting it when the panel notices a share ``pd`` or more.

    Returns
    -------
    ReplicatedLimit

    Raises
    ------
    ArgumentError, KindError
        Counts negative, fractional, NaN or more correct than asked; arrays of unequal length or empty; pd or beta
        outside (0, 1); unknown method.

    Notes
    -----
    Speaks for the persons who sat there, however different they are, and for sets like these; for nobody else, and
    for no single one of them: a panel that notices 10 % on average may hold one nose that notices everything. Answers
    must be independent once it is given how likely each person is right in each set; a habit or a leak breaks that.
    ``upper_limit`` weighs panelists by their sets. ``upper_limit_panelists`` does not, and assumes that nobody is
    worse than guessing.

    References
    ----------
    The total is a sum of independent answers, each with a chance of its own. Hoeffding 1956, Ann. Math. Statist. 27,
    713–721, Theorem 4 (from memory): for any whole c ≤ λ − 1, where λ is its mean, P(total ≤ c) is at most what it is
    when all chances are equal, the binomial. So if the share is ``pd`` or more, P(total ≤ c) ≤ beta for every c that
    satisfies both the binomial rule of :func:`similarity_test` and c ≤ N (g + pd (1 − g)) − 1; and the exact binomial
    limit, raised to (total + 1) / N where it is less, misses the true mean with probability at most beta.

    Examples
    --------
    >>> found = replicated_limit([3, 4, 3, 5], 12, "triangle", pd=0.3)
    >>> found.total_correct, found.maximum_correct, found.supported, round(found.upper_limit, 3)
    (15, 19, True, 0.16)
    >>> found.speaks_for
    'this panel'
    """
    right, asked = panel_counts(correct, assessments)
    way, pd, beta = method_named(method), risk("pd", pd), risk("beta", beta)
    total, answers = int(right.sum()), int(asked.sum())
    mean = max(upper_limit(total, answers, beta), min(1.0, (total + 1) / answers))
    return ReplicatedLimit(
        correct=tuple(right.tolist()),
        assessments=tuple(asked.tolist()),
        method=way.name,
        pd=pd,
        beta=beta,
        total_correct=total,
        total_assessments=answers,
        speaks_for="this nose" if right.size == 1 else "this panel",
        maximum_correct=_concluding(_most_of_panel(answers, way, pd, beta), answers, way),
        upper_limit=way.discriminators(mean),
        upper_limit_panelists=_largest_mean(asked, way.discriminators(mean)),
    )


def _most_of_panel(answers: int, way: Method, pd: float, beta: float) -> int:
    return min(largest_at_most(answers, way, pd, beta), floor(answers * way.proportion_correct(pd)) - 1)


def _concluding(most: int, answers: int, way: Method) -> int | None:
    """None below guessing, in whole numbers: there similarity concludes nothing (ISO 4120:2004, 8.2)."""
    return None if most * way.guessing.denominator < answers * way.guessing.numerator else most


def _largest_mean(asked: Ints, share: float) -> float:
    """The largest mean of own shares that leaves a ``share`` of all sets noticed: who had fewest sets notices all."""
    if asked.min() == asked.max():
        return share
    fewest_first = np.sort(asked)
    before = np.concatenate([[0], np.cumsum(fewest_first)[:-1]])
    return float(np.clip((share * asked.sum() - before) / fewest_first, 0.0, 1.0).mean())


# --- people like this panel -------------------------------------------------------------------------------------------


def people_limits(
    correct: npt.ArrayLike,
    assessments: npt.ArrayLike,
    method: str,
    pd: float,
    alpha: float = 0.05,
    beta: float = 0.05,
) -> PeopleLimits:
    """Between which limits lies the share of such sets that people like this panel notice?

    Parameters
    ----------
    correct : 1-D integer array, one entry per panelist, 0 … their assessments; 12 panelists or more
    assessments : int, or 1-D integer array of the same length, 1 … 1000
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    pd : float, between 0 and 1
        Smallest mean share noticed that would matter.
    alpha, beta : float, between 0 and 1
        Accepted risks of the lower and of the upper limit.

    Returns
    -------
    PeopleLimits

    Raises
    ------
    ArgumentError, KindError
        Fewer than 12 panelists (our rule; the message says how many more are needed), else as
        :func:`replicated_limit`.

    Notes
    -----
    Holds for any distribution of ability between people, from all alike to a few who always notice, as long as nobody
    is worse than guessing and the panel is like a random sample of those people, which friends are not. The price is
    width. The number of sets each had must not depend on how well they did. More replicates narrow the limits only
    until each person is known; then only more people help. With one answer each the exact :func:`similarity_test` is
    sharper.

    References
    ----------
    Own derivation. If a person's share q has mean m, their count is smaller in the convex order than the count of a
    person who always notices with probability m and else guesses, since E f(binomial(n, q)) is convex in q for convex
    f (Shaked & Shanthikumar 2007, Stochastic Orders, from memory). So is the total T than the total T* of such people,
    and P(T ≤ c) ≤ min over t > c of E(t − T*)⁺ / (t − c); the way of Bentkus 2004, Ann. Probab. 32, 1650–1673 (from
    memory). The limits are the m at which this bound, or its mirror image, equals the risk.

    Examples
    --------
    >>> found = people_limits([2, 1, 3, 2, 1, 2, 2, 3, 1, 2, 2, 1], 6, "triangle", pd=0.3)
    >>> found.maximum_correct, found.supported, round(found.upper_limit, 3)
    (24, True, 0.24)
    """
    right, asked = panel_counts(correct, assessments)
    if right.size < FEWEST_PEOPLE:
        raise ArgumentError(
            f"correct must hold {FEWEST_PEOPLE} panelists or more to speak for people like them, not {right.size}: "
            f"{FEWEST_PEOPLE - right.size} more are needed."
        )
    way, pd, alpha, beta = method_named(method), risk("pd", pd), risk("alpha", alpha), risk("beta", beta)
    total, answers = int(right.sum()), int(asked.sum())
    law = partial(_extreme_law, asked, float(way.guessing))
    return PeopleLimits(
        correct=tuple(right.tolist()),
        assessments=tuple(asked.tolist()),
        method=way.name,
        pd=pd,
        alpha=alpha,
        beta=beta,
        total_correct=total,
        total_assessments=answers,
        speaks_for="people like this panel",
        maximum_correct=_concluding(_most_of_people(law(pd), beta), answers, way),
        lower_limit=_edge(lambda m: _lower_bound(law(m)[::-1], answers - total) <= alpha, 0.0, 1.0),
        upper_limit=_edge(lambda m: _lower_bound(law(m), total) <= beta, 1.0, 0.0),
    )


def _extreme_law(asked: Ints, guessing: float, share: float) -> Floats:
    """P(T* = 0 … N): each panelist notices every set with probability ``share``, else guesses every set."""
    law = np.ones(1)
    for n in asked.tolist():
        x = np.arange(n + 1)
        one = np.exp(log_choose(np.full_like(x, n), x) + x * np.log(guessing) + x[::-1] * np.log1p(-guessing))
        one *= 1.0 - share
        one[n] += share
        law = np.convolve(law, one)
    return np.asarray(law)


def _lower_bound(law: Floats, c: int) -> float:
    """min over t > c of E(t − T*)⁺ / (t − c), a bound of P(T ≤ c); whole t are enough, the ratio bends only there."""
    shortfall = np.cumsum(np.cumsum(law))  # E(t − T*)⁺ is the sum of P(T* ≤ s) over s < t: entry t − 1
    return min(1.0, float((shortfall[c:] / np.arange(1, law.size - c + 1)).min()))


def _most_of_people(law: Floats, beta: float) -> int:
    """Largest c whose bound is at most beta, by halving: the bound grows with c; −1 where there is none."""
    most, too_many = -1, law.size
    while too_many - most > 1:
        middle = (most + too_many) // 2
        most, too_many = (middle, too_many) if _lower_bound(law, middle) <= beta else (most, middle)
    return most


def _edge(excluded: Callable[[float], bool], outer: float, inner: float) -> float:
    """The limit nearest ``outer`` beyond which shares are excluded; ``outer`` itself if nothing is."""
    if not excluded(outer):
        return outer
    for _ in range(_HALVINGS):
        middle = (outer + inner) / 2.0
        outer, inner = (middle, inner) if excluded(middle) else (outer, middle)
    return outer
