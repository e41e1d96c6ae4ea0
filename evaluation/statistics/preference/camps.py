"""Does the panel split into camps, so that an average preference is one nobody holds?"""

from __future__ import annotations

from dataclasses import dataclass
from math import comb

import numpy as np
import numpy.typing as npt

from evaluation.errors import ArgumentError
from evaluation.ground.checks import risk
from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.laws.several_questions import holm
from evaluation.statistics.preference.pair_tables import pair_table

UNTOLD, ALIKE, DIFFER, OPPOSITE = (
    "cannot be told from indifference",
    "no camps shown",
    "people differ",
    "opposite camps",
)

# Steps of the exact law (people × answers × states); beyond, panels are drawn.
MOST_WORK = 200_000_000
_DRAWS = 9_999
# The draws decide a p-value that must be the same whenever it is looked at: their seed is fixed.
_SEED = 20_261_125


@dataclass(frozen=True, slots=True)
class PairCamps:
    """Two trials of :class:`OppositeCamps`; only people with two answers or more about them are in.

    Attributes
    ----------
    first, second : places of the trials, from 0.
    people : with at least two answers; the others are left out.
    for_first, for_second, even : of those, who preferred the first more often, the second, both alike.
    within : share of a person's pairs of answers that agree, 0 … 1; None without such people.
    between : the share expected if all had one and the same chance, given how many preferred the first in all.
    p_value : probability of so much agreement within people if all have one and the same chance; this pair alone.
    opposite_p : probability of so much on both sides if nobody prefers the one, or nobody the other; this pair alone.
    opposite_p_family : the same corrected for all pairs (Holm).
    opposite : ``opposite_p_family`` ≤ alpha, equality included.
    """

    first: int
    second: int
    people: int
    for_first: int
    for_second: int
    even: int
    within: float | None
    between: float | None
    p_value: float | None
    opposite_p: float | None
    opposite_p_family: float | None
    opposite: bool


@dataclass(frozen=True, slots=True, eq=False)
class OppositeCamps:
    """What :func:`opposite_camps` found; the first two fields echo its arguments.

    Attributes
    ----------
    finding : ``"cannot be told from indifference"`` (nobody has two answers about any pair), ``"no camps shown"``,
        ``"people differ"`` (more than chance makes equal people differ, be it in direction or in firmness) or
        ``"opposite camps"`` (some prefer the one and some the other, in at least one pair).
    agreeing, comparable : pairs of answers of one person to one question that agree, and all such pairs.
    expected : agreeing pairs to expect if all people are alike.
    p_value : probability of so many; None where nothing is comparable.
    exact : whether ``p_value`` is exact, else from drawn panels (fixed seed).
    pairs : every pair of trials.
    """

    wins: Ints
    alpha: float
    finding: str
    agreeing: int
    comparable: int
    expected: float
    p_value: float | None
    exact: bool
    pairs: tuple[PairCamps, ...]


def opposite_camps(wins: npt.ArrayLike, alpha: float = 0.05) -> OppositeCamps:
    """Does the panel split into camps that prefer opposite things?

    Parameters
    ----------
    wins : panelists × t × t array of whole numbers, 0 or more
        ``wins[p, i, j]``: times p preferred i to j. Two answers or more per person and pair are needed, in both
        orders equally often, else a habit of preferring the first smelt looks like agreement. Answers without a
        preference are left out.
    alpha : float, between 0 and 1

    Returns
    -------
    OppositeCamps

    Raises
    ------
    ArgumentError, KindError
        Not panelists × t × t; counts negative, fractional or NaN; no answer at all; alpha outside (0, 1).

    Notes
    -----
    People of one mind who are not sure answer half and half, each time anew; people in camps repeat themselves. One
    answer each cannot tell the two apart. ``p_value`` is conditional on how many preferred the first of each pair in
    all, so that its level holds for any panel and any common preference; "people differ" does not yet say that some
    prefer the opposite. That is claimed only where both directions are shown: setting aside those who clearly lean one
    way, the others lean the other way too often and too far to be merely indifferent. Its level holds whatever the
    people set aside think. "No camps shown" is not "of one mind": of panels of 12 in two equal camps who
    repeat themselves nine times in ten, about half are called opposite with two answers each, nine in ten with four.

    References
    ----------
    Conditional law: multivariate hypergeometric, as for Tarone's test (Tarone 1979, Biometrika 66, 585–590). Both
    directions: as the qualitative interaction of Gail & Simon 1985, Biometrics 41, 361–372, with exact binomials and
    each direction tested by itself (intersection and union, Berger 1982, Technometrics 24, 295–300).

    Examples
    --------
    >>> camps = [[[0, 4], [0, 0]]] * 5 + [[[0, 0], [4, 0]]] * 5
    >>> found = opposite_camps(camps)
    >>> found.finding, found.pairs[0].within, round(found.pairs[0].between, 3), found.p_value < 0.001
    ('opposite camps', 1.0, 0.487, True)
    >>> opposite_camps([[[0, 1], [0, 0]], [[0, 0], [1, 0]]]).finding
    'cannot be told from indifference'
    """
    table, alpha = pair_table(wins, None, None), risk("alpha", alpha)
    if not table.by_panelist:
        raise ArgumentError("wins must be panelists × t × t: without knowing who answered, camps cannot be seen.")
    asked = [_answers(table.wins, i, j) for i in range(table.trials) for j in range(i + 1, table.trials)]
    laws, exact = _laws(asked)
    pairs = _pairs(asked, laws, alpha)
    agreeing, comparable = sum(one.agreeing for one in asked), sum(one.comparable for one in asked)
    p_value = _at_least(_together(laws), agreeing) if comparable else None
    echo = table.wins.copy()
    echo.setflags(write=False)
    return OppositeCamps(
        wins=echo,
        alpha=alpha,
        finding=_finding(p_value, pairs, alpha),
        agreeing=agreeing,
        comparable=comparable,
        expected=sum(_mean(law) for law in laws),
        p_value=p_value,
        exact=exact,
        pairs=pairs,
    )


def _finding(p_value: float | None, pairs: tuple[PairCamps, ...], alpha: float) -> str:
    if p_value is None:
        return UNTOLD
    if any(one.opposite for one in pairs):
        return OPPOSITE
    return DIFFER if p_value <= alpha else ALIKE


# --- agreement within people ------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class _Answers:
    """What people with two answers or more said about one pair."""

    place: tuple[int, int]
    first: Ints  # times each preferred the first
    asked: Ints

    @property
    def agreeing(self) -> int:
        """Pairs of answers of one person that say the same."""
        return int((_twos(self.first) + _twos(self.asked - self.first)).sum())

    @property
    def comparable(self) -> int:
        """Pairs of answers of one person."""
        return int(_twos(self.asked).sum())

    @property
    def work(self) -> int:
        """How large a table the exact law fills."""
        return int((self.asked + 1).sum()) * (int(self.first.sum()) + 1) * (self.comparable + 1)


def _twos(n: Ints) -> Ints:
    return n * (n - 1) // 2


def _answers(wins: Ints, i: int, j: int) -> _Answers:
    first, asked = wins[:, i, j], wins[:, i, j] + wins[:, j, i]
    return _Answers((i, j), first[asked > 1], asked[asked > 1])


def _laws(asked: list[_Answers]) -> tuple[list[Floats], bool]:
    """Chances of 0, 1, … agreeing pairs of answers for each pair of trials, all people being alike."""
    if sum(one.work for one in asked) <= MOST_WORK:
        return [_law(one) for one in asked], True
    random = np.random.default_rng(_SEED)
    return [_drawn_law(one, random) for one in asked], False


def _law(given: _Answers) -> Floats:
    """Exact, given how many preferred the first in all: person by person over (so far first, so far agreeing)."""
    total = int(given.first.sum())
    share = total / max(1, int(given.asked.sum()))
    law = np.zeros((total + 1, given.comparable + 1))
    law[0, 0] = 1.0
    for n in given.asked.tolist():
        added = np.zeros_like(law)
        for x in range(min(n, total) + 1):
            agreeing = comb(x, 2) + comb(n - x, 2)
            # binomial weights at the observed share: any would do, these keep numbers from vanishing
            weight = comb(n, x) * share**x * (1.0 - share) ** (n - x)
            added[x:, agreeing:] += weight * law[: total + 1 - x, : law.shape[1] - agreeing]
        law = added
    return np.asarray(law[total] / law[total].sum())


def _drawn_law(given: _Answers, random: np.random.Generator) -> Floats:
    """From drawn panels, the one met counted among them so that the p-value stays valid."""
    counts = np.zeros(given.comparable + 1)
    if given.asked.size:
        drawn = random.multivariate_hypergeometric(given.asked, int(given.first.sum()), size=_DRAWS, method="marginals")
        agreeing = (_twos(drawn) + _twos(given.asked - drawn)).sum(axis=1)
        counts += np.bincount(agreeing, minlength=counts.size)
    counts[given.agreeing] += 1.0
    return np.asarray(counts / counts.sum())


def _together(laws: list[Floats]) -> Floats:
    law = np.ones(1)
    for one in laws:
        law = np.convolve(law, one)
    return law


def _at_least(law: Floats, observed: int) -> float:
    return min(1.0, float(law[observed:].sum()))


def _mean(law: Floats) -> float:
    return float(law @ np.arange(law.size))


# --- both directions --------------------------------------------------------------------------------------------------


def _pairs(asked: list[_Answers], laws: list[Floats], alpha: float) -> tuple[PairCamps, ...]:
    alone = [_opposite_p(one) if one.comparable else None for one in asked]
    corrected = iter(holm([p for p in alone if p is not None]).tolist())
    family = [None if p is None else next(corrected) for p in alone]
    return tuple(_pair(*one, alpha) for one in zip(asked, laws, alone, family, strict=True))


def _pair(given: _Answers, law: Floats, opposite_p: float | None, family: float | None, alpha: float) -> PairCamps:
    twice, comparable = 2 * given.first, given.comparable
    return PairCamps(
        first=given.place[0],
        second=given.place[1],
        people=given.first.size,
        for_first=int((twice > given.asked).sum()),
        for_second=int((twice < given.asked).sum()),
        even=int((twice == given.asked).sum()),
        within=given.agreeing / comparable if comparable else None,
        between=_mean(law) / comparable if comparable else None,
        p_value=_at_least(law, given.agreeing) if comparable else None,
        opposite_p=opposite_p,
        opposite_p_family=family,
        opposite=family is not None and family <= alpha,
    )


def _opposite_p(given: _Answers) -> float:
    """The larger of two p: that nobody prefers the first, and that nobody prefers the second."""
    return max(_leaning_p(given.first, given.asked), _leaning_p(given.asked - given.first, given.asked))


def _leaning_p(votes: Ints, asked: Ints) -> float:
    """That nobody's chance exceeds one half, by Σ (lead)² over those who do not clearly lean the other way.

    Given that a person has at least half the votes (one less where the number is odd), the lead is largest in
    distribution at the chance one half, since binomials have monotone likelihood ratios, cut or not. So the law at
    one half is the worst case, whoever has been set aside.
    """
    kept = votes >= asked // 2
    law = np.ones(1)
    for n in asked[kept].tolist():
        law = np.convolve(law, _lead_law(n))
    return _at_least(law, int(_lead(votes[kept], asked[kept]).sum()))


def _lead(votes: Ints, asked: Ints) -> Ints:
    return np.asarray(np.maximum(0, 2 * votes - asked) ** 2)


def _lead_law(n: int) -> Floats:
    x = np.arange(n // 2, n + 1)
    chances = np.array([comb(n, k) for k in x.tolist()], dtype=np.float64)
    return np.bincount(_lead(x, np.full_like(x, n)), chances / chances.sum()).astype(np.float64)
