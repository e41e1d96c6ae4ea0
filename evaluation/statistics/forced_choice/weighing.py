"""Before anybody smells: what a panel finds if its answers are weighed by the sureness said with them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy import special

from evaluation.errors import ArgumentError
from evaluation.ground.checks import risk, whole
from evaluation.statistics.forced_choice.methods import MethodName, method_named
from evaluation.statistics.laws.binomial import NEAR
from evaluation.statistics.laws.inputs import Floats, Ints, counts

MOST_FORESEEN: Final = 40  # answers: every way four words can fall to them is looked at, 12,341 of them
_AT_ONCE: Final = 2048  # ways; keeps the arrays under 10 MB


@dataclass(frozen=True)
class Weighing:
    """What :func:`weighing` worked out: for every way the words can fall to the answers, the weight that is needed.

    Attributes
    ----------
    ways : one row a way, how often each word was said; rows add up to ``assessments``.
    needed : least weight of right answers that reaches ``alpha`` in each; more than all together where none does.
    """

    assessments: int
    method: MethodName
    alpha: float
    weights: tuple[int, ...]
    ways: Ints
    needed: Ints

    @cached_property
    def fewest_right(self) -> int | None:
        """Fewest right answers with which ``alpha`` can be reached, however they are said; None: it never can."""
        found = [_right_for(way, self.weights, int(least)) for way, least in zip(self.ways, self.needed, strict=True)]
        return min((one for one in found if one is not None), default=None)

    def reached(self, said: Sequence[float], right: Sequence[float]) -> float:
        """How likely is ``alpha`` reached where each word is said, and right, this often?

        With ``right`` all equal to guessing it is the true alpha of the test. ``said`` are shares of answers that add
        up to 1. It promises nothing of panels that use the words otherwise.
        """
        often = np.array([_share("said", one) for one in said])
        hit = np.array([_share("right", one) for one in right])
        for name, given in (("said", often), ("right", hit)):
            if len(given) != len(self.weights):
                raise ArgumentError(f"{name} must have one entry a word ({len(self.weights)}), not {len(given)}.")
        if abs(float(often.sum()) - 1.0) > 1e-9:
            raise ArgumentError(f"said must add up to 1, not {often.sum():g}.")
        each = _multinomial(self.ways, often)
        return float(sum((mass * tail).sum() for mass, tail in self._tails(each, hit)))

    def _tails(self, each: Floats, hit: Floats) -> Iterator[tuple[Floats, Floats]]:
        for start in range(0, len(self.ways), _AT_ONCE):
            part = slice(start, start + _AT_ONCE)
            tails = _tails(self.ways[part], self.weights, hit)
            yield each[part], np.take_along_axis(tails, self.needed[part, None], axis=1)[:, 0]


def weighing(assessments: int, method: str, alpha: float, weights: npt.ArrayLike) -> Weighing:
    """What would be needed, and how likely would it be reached, if the surer answers counted for more?

    Parameters
    ----------
    assessments : int, 1 … 40
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    alpha : float, between 0 and 1
    weights : 1-D integer array, 0 or more
        What each word of sureness weighs.

    Returns
    -------
    Weighing

    Raises
    ------
    ArgumentError, KindError
        Too many or no answers; alpha outside (0, 1); weights negative, fractional or NaN; unknown method.

    Notes
    -----
    The test is that of :func:`weighted_difference`: exact given the words said. What is needed therefore hangs on how
    the words fall, and power is a mean over that.

    References
    ----------
    Exact: the law of a weighted sum from its characteristic function, which has a closed form; checked by enumeration.

    Examples
    --------
    >>> found = weighing(12, "triangle", 0.05, [2, 3, 4, 5])
    >>> found.fewest_right, round(found.reached([0, 0, 0, 1], [8 / 15] * 4), 3)  # all say one word: the count
    (5, 0.265)
    """
    asked = whole("assessments", assessments, 1, MOST_FORESEEN)
    way, level = method_named(method), risk("alpha", alpha)
    weighed = tuple(counts("weights", weights, 0).tolist())
    ways = _ways(asked, len(weighed))
    guessing = np.full(len(weighed), float(way.guessing))
    needed = [
        (_tails(ways[start : start + _AT_ONCE], weighed, guessing) > level * (1.0 + NEAR)).sum(axis=1)
        for start in range(0, len(ways), _AT_ONCE)
    ]
    return Weighing(asked, way.name, level, weighed, ways, np.concatenate(needed))


def _ways(asked: int, words: int) -> Ints:
    """Every way ``asked`` answers can fall to the words."""
    if words == 1:
        return np.array([[asked]])
    parts = (np.insert(_ways(asked - first, words - 1), 0, first, axis=1) for first in range(asked + 1))
    return np.concatenate(list(parts))


def _multinomial(ways: Ints, often: Floats) -> Floats:
    """The chance of each way."""
    orders = special.gammaln(ways.sum(axis=1) + 1) - special.gammaln(ways + 1).sum(axis=1)
    return np.asarray(np.exp(orders + special.xlogy(ways, often).sum(axis=1)))


def _tails(ways: Ints, weights: Sequence[int], hit: Floats) -> Floats:
    """P(weight of right answers ≥ s) for s from 0 to one more than all can weigh, one row a way."""
    longest = max(weights) * int(ways[0].sum()) + 1
    turns = np.exp(-2j * np.pi * np.arange(longest // 2 + 1) / longest)
    law = np.ones((len(ways), len(turns)), dtype=complex)
    for word, weight in enumerate(weights):
        law *= (1.0 - hit[word] + hit[word] * turns**weight)[None, :] ** ways[:, word, None]
    tails = np.fft.irfft(law, longest, axis=1)[:, ::-1].cumsum(axis=1)[:, ::-1]
    return np.pad(tails, ((0, 0), (0, 1)))


def _right_for(way: Ints, weights: Sequence[int], least: int) -> int | None:
    """Fewest right answers that weigh ``least``: the heaviest of them."""
    heaviest = sorted((weight for weight, often in zip(weights, way, strict=True) for _ in range(often)), reverse=True)
    sums = [0, *accumulate(heaviest)]
    return next((right for right, total in enumerate(sums) if total >= least), None)


def _share(name: str, value: float) -> float:
    if not 0.0 <= value <= 1.0:
        raise ArgumentError(f"{name} must hold shares from 0 to 1, not {value!r}.")
    return float(value)
