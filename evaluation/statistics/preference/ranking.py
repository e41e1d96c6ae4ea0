"""Several trials ranked by each person: do they differ, which ones, and do they follow the order foretold?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
import numpy.typing as npt
from scipy import special, stats

from evaluation.errors import ArgumentError
from evaluation.ground.checks import risk
from evaluation.statistics.laws.inputs import MOST_ASSESSMENTS, Floats, Ints, is_scalar, numbers
from evaluation.statistics.laws.several_questions import holm
from evaluation.statistics.preference.rank_laws import SumLaw, ordered_law, range_tail, sum_law
from evaluation.statistics.preference.votes import preference_test

MOST_TRIALS = 50


@dataclass(frozen=True, slots=True)
class RankDifference:
    """Two trials of :class:`RankTest`.

    Attributes
    ----------
    first, second : places of the trials, from 0.
    difference : rank sum of the first minus that of the second; negative: the first is ranked better.
    p_family : probability that any two of the trials get so far apart when none differs.
    differ : ``p_family`` ≤ alpha, equality included.
    before, behind, even : people who rank the first better, worse, alike.
    people_p : exact two-sided sign test of those people, of this pair alone.
    people_p_family : the same corrected for all pairs (Holm).
    """

    first: int
    second: int
    difference: float
    p_family: float
    differ: bool
    before: int
    behind: int
    even: int
    people_p: float
    people_p_family: float


@dataclass(frozen=True, slots=True)
class PageTest:
    """Whether the ranks follow an order that was set down before smelling; part of :class:`RankTest`.

    Attributes
    ----------
    order : places of the trials, the one foretold best first.
    statistic : L, the sum of (foretold place × rank sum).
    mean, variance : of L when nobody tells the trials apart, ties of the rows taken into account.
    p_value : one-sided, towards the order foretold.
    exact : whether ``p_value`` is exact, else normal.
    """

    order: tuple[int, ...]
    statistic: float
    mean: float
    variance: float
    p_value: float
    exact: bool


@dataclass(frozen=True, slots=True, eq=False)
class RankTest:
    """What :func:`rank_test` found.

    Attributes
    ----------
    ranks : panelists × trials, the midranks used (read-only).
    reranked : True where a row given was not made of proper midranks and was ranked anew.
    alpha : echo.
    rank_sums : one per trial; small is good.
    statistic : Friedman's, corrected for ties; 0 where every row is one tie.
    df : trials − 1.
    p_value : probability of so large a statistic when nobody tells the trials apart.
    chi_square_p : the same by χ²(df), right for many people only; a check.
    exact : whether ``p_value``, ``p_family`` and ``critical_difference`` are exact; else by χ² and the studentised
        range.
    agreement : Kendall's W, 0 (none) … 1 (all rank alike).
    critical_difference : smallest difference of rank sums that reaches alpha in the family of all pairs; None where
        none can.
    comparisons : every pair of trials.
    page : present where an order was given.
    """

    ranks: Floats
    reranked: bool
    alpha: float
    rank_sums: tuple[float, ...]
    statistic: float
    df: int
    p_value: float
    chi_square_p: float
    exact: bool
    agreement: float
    critical_difference: float | None
    comparisons: tuple[RankDifference, ...]
    page: PageTest | None

    @property
    def reached(self) -> bool:
        """True where ``p_value`` ≤ ``alpha``, equality included."""
        return self.p_value <= self.alpha


def rank_test(ranks: npt.ArrayLike, order: Sequence[int] | None = None, alpha: float = 0.05) -> RankTest:
    """Do people rank several trials differently, and which ones?

    Parameters
    ----------
    ranks : panelists × trials array of numbers, 2 to 50 trials
        Each row ranks all trials, 1 = best (or first in whatever was asked). Tied trials share their mean rank
        (1, 2.5, 2.5, 4). A row that is not made so, as 1, 2, 2, 3 or scores, is ranked anew by its own order, its
        smallest number first, and ``reranked`` says so: turn scores round where large is good.
    order : the places of all trials, from 0, foretold best first; or None
        Only if it was set down before smelling: adds Page's test towards it.
    alpha : float, between 0 and 1
        Accepted risk, also of calling any pair different.

    Returns
    -------
    RankTest

    Raises
    ------
    ArgumentError, KindError
        Not 2-D, no panelist, fewer than 2 or more than 50 trials, NaN (ranks must be complete); an order that does
        not name every trial once; alpha outside (0, 1).

    Notes
    -----
    One row per person: rows of the same person are not independent, average them first. The p-value is exact, given
    the ties, where the law of the rank sums can be worked out in about a second (untied: 3 trials up to about 150
    people, 4 to 35, 5 to 12, 6 to 5), else by χ², which for few people is too large or too small by a few
    hundredths. ``p_family`` of a pair is from the law of the largest difference of all when no trial differs; the
    risk of a wrong pair among trials that do differ is held by ``people_p_family``, which asks only who preferred
    which of the two. A large p does not say that the trials are liked alike. Where people form camps the rank sums
    may be alike and nobody indifferent (see :func:`opposite_camps`).

    References
    ----------
    Friedman 1937, J. Amer. Statist. Assoc. 32, 675–701; ties and rank sums as ISO 8587:2006. Page 1963, J. Amer.
    Statist. Assoc. 58, 216–230. Range of rank sums: McDonald & Thompson 1967, Biometrika 54, 487–497; for many
    people Nemenyi 1963.

    Examples
    --------
    >>> found = rank_test([[1, 2, 3], [1, 3, 2], [1, 2, 3], [2, 1, 3], [1, 2, 3]], order=[0, 1, 2])
    >>> found.rank_sums, round(found.statistic, 2), round(found.p_value, 4), found.exact
    ((6.0, 10.0, 14.0), 6.4, 0.0394, True)
    >>> found.page.statistic, round(found.page.p_value, 4)
    (68.0, 0.0066)
    """
    alpha = risk("alpha", alpha)
    midranks, reranked = _midranks(ranks)
    doubled = np.rint(2.0 * midranks).astype(np.int64)
    rows = tuple(sorted(tuple(sorted(row)) for row in doubled.tolist()))
    law, sums = sum_law(rows), doubled.sum(axis=0)
    statistic, agreement = _friedman(midranks)
    trials = len(sums)
    return RankTest(
        ranks=midranks,
        reranked=reranked,
        alpha=alpha,
        rank_sums=tuple((sums / 2).tolist()),
        statistic=statistic,
        df=trials - 1,
        p_value=_p_value(statistic, sums, law),
        chi_square_p=float(special.chdtrc(trials - 1, statistic)),
        exact=law is not None,
        agreement=agreement,
        critical_difference=_critical(midranks, law, alpha),
        comparisons=_comparisons(midranks, sums, law, alpha),
        page=None if order is None else _page(midranks, rows, _places(order, trials)),
    )


def _midranks(ranks: npt.ArrayLike) -> tuple[Floats, bool]:
    raw = numbers("ranks", ranks, -inf, inf)
    if raw.ndim != 2 or raw.shape[0] == 0 or not 2 <= raw.shape[1] <= MOST_TRIALS:
        raise ArgumentError(
            f"ranks must be panelists × trials with at least 1 panelist and 2 to {MOST_TRIALS} trials, "
            f"not of shape {raw.shape}."
        )
    if not np.isfinite(raw).all() or len(raw) > MOST_ASSESSMENTS:
        raise ArgumentError("ranks must be finite numbers: every panelist ranks every trial.")
    ordered = stats.rankdata(raw, axis=1)
    ordered.setflags(write=False)
    return ordered, bool((ordered != raw).any())


def _friedman(midranks: Floats) -> tuple[float, float]:
    """The statistic, and W: both compare the squares of rank sums with what they are if all rank alike."""
    n, t = midranks.shape
    middle = (t + 1) / 2.0
    between = float(((midranks.sum(axis=0) - n * middle) ** 2).sum())
    within = float(((midranks - middle) ** 2).sum())
    if within == 0.0:
        return 0.0, 0.0
    statistic = (t - 1) * between / within
    return statistic, statistic / (n * (t - 1))


def _p_value(statistic: float, sums: Ints, law: SumLaw | None) -> float:
    if law is None:
        return float(special.chdtrc(len(sums) - 1, statistic))
    return float(law.squares[(sums**2).sum()])


# --- pairs of trials --------------------------------------------------------------------------------------------------


def _deviation(midranks: Floats) -> float:
    """Of a rank sum, times the root that makes a difference of two a studentised range; with ties."""
    t = midranks.shape[1]
    return sqrt(float(((midranks - (t + 1) / 2.0) ** 2).sum()) / (t - 1))


def _range_p(difference: int, midranks: Floats, law: SumLaw | None) -> float:
    """``difference`` of doubled rank sums."""
    if law is not None:
        return float(law.ranges[difference])
    return range_tail(difference / 2.0 / _deviation(midranks), midranks.shape[1]) if difference else 1.0


def _critical(midranks: Floats, law: SumLaw | None, alpha: float) -> float | None:
    if law is None:
        return _critical_of_many(midranks, alpha)
    occurs = np.diff(law.ranges, append=0.0) < 0.0
    reached = np.flatnonzero((law.ranges <= alpha) & occurs)
    return float(reached[0]) / 2.0 if reached.size else None


def _critical_of_many(midranks: Floats, alpha: float) -> float:
    low, high = 0.0, 100.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (low, middle) if range_tail(middle, midranks.shape[1]) <= alpha else (middle, high)
    return high * _deviation(midranks)


def _comparisons(midranks: Floats, sums: Ints, law: SumLaw | None, alpha: float) -> tuple[RankDifference, ...]:
    places = [(i, j) for i in range(len(sums)) for j in range(i + 1, len(sums))]
    votes = [_votes(midranks[:, i], midranks[:, j]) for i, j in places]
    alone = [preference_test(*one).p_value for one in votes]
    family = [_range_p(abs(int(sums[i] - sums[j])), midranks, law) for i, j in places]
    return tuple(
        RankDifference(i, j, float(sums[i] - sums[j]) / 2.0, p, p <= alpha, *people, own, corrected)
        for (i, j), p, people, own, corrected in zip(places, family, votes, alone, holm(alone).tolist(), strict=True)
    )


def _votes(first: Floats, second: Floats) -> tuple[int, int, int]:
    return int((first < second).sum()), int((first > second).sum()), int((first == second).sum())


# --- an order foretold ------------------------------------------------------------------------------------------------


def _places(order: Sequence[int], trials: int) -> tuple[int, ...]:
    given = [] if is_scalar(order) else [int(one) if float(one).is_integer() else -1 for one in order]
    if sorted(given) != list(range(trials)):
        raise ArgumentError(f"order must name every trial from 0 to {trials - 1} once, foretold best first: {order!r}.")
    return tuple(given)


def _page(midranks: Floats, rows: tuple[tuple[int, ...], ...], order: tuple[int, ...]) -> PageTest:
    n, t = midranks.shape
    foretold = np.arange(1, t + 1)
    statistic = float(midranks.sum(axis=0)[list(order)] @ foretold)
    mean = n * t * (t + 1) ** 2 / 4.0
    spread = ((foretold - (t + 1) / 2.0) ** 2).sum()
    variance = float(((midranks - (t + 1) / 2.0) ** 2).sum() * spread / (t - 1))
    law = ordered_law(rows)
    if law is not None:
        lowest, tails = law
        p_value = float(tails[int(np.rint(2.0 * statistic)) - lowest])
    else:
        p_value = float(special.ndtr(-(statistic - mean) / sqrt(variance))) if variance else 1.0
    return PageTest(order, statistic, mean, variance, p_value, law is not None)
