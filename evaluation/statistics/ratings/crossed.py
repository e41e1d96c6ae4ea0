"""Mixed models whose deviations are crossed: people, sessions and bottles over one another, by restricted likelihood.

All that is needed of the ratings are sums and products within levels, taken once: a step then costs a matrix of as many
rows as there are levels of all deviations (a few dozen), whatever the number of ratings.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.ratings.climbing import ZERO, climbed
from evaluation.statistics.ratings.effects import NOTHING, RESIDUAL

_APART: Final = 1e-8  # beside its own length: what is left of a deviation after the others must be more


@dataclass(frozen=True, slots=True, eq=False)
class Crossed:
    """Fixed effects and what varies; ``covariance`` is None where the ratings leave nothing to judge them by."""

    beta: Floats
    covariance: Floats | None
    variances: Mapping[str, float]


def fit_crossed(x: Floats, deviations: Mapping[str, Ints], rating: Floats) -> Crossed:
    """Fixed effects ``x`` (of full rank) under deviations of every level of each column of codes.

    A deviation that the ratings cannot tell from the fixed effects, or from those before it, is left out.
    """
    beta, rest = _least_squares(x, rating)
    if rating.size <= x.shape[1] or float(rest @ rest) <= NOTHING * float(rating @ rating):
        return Crossed(beta, None, {})
    sums = _Sums.of(x, _kept(x, deviations), rating)
    start = np.full(len(sums.spans) + 1, float(rest @ rest) / rest.size / (len(sums.spans) + 1))
    variances, _ = climbed(sums.spot, start)
    found = dict(zip((*sums.spans, RESIDUAL), variances.tolist(), strict=True))
    if variances[-1] <= ZERO * variances.sum():  # the likelihood grows without end
        return Crossed(beta, None, found)
    top = sums.spot(variances)
    return Crossed(top.beta, top.covariance, found)


def _least_squares(x: Floats, rating: Floats) -> tuple[Floats, Floats]:
    beta: Floats = np.linalg.lstsq(x, rating, rcond=None)[0].astype(np.float64)
    return beta, rating - x @ beta


# --- which deviations can be told apart -------------------------------------------------------------------------------


def _kept(x: Floats, deviations: Mapping[str, Ints]) -> dict[str, Floats]:
    """Columns of 0 and 1 of each deviation that is neither a fixed effect, nor those before it, nor the residual."""
    basis = np.linalg.qr(x)[0]
    kept: dict[str, Floats] = {}
    known: list[Floats] = []
    for name, codes in deviations.items():
        columns = (codes[:, None] == np.unique(codes)).astype(np.float64)
        free = _without(columns, basis)
        if _is_new(free, known, len(x) - x.shape[1]):
            kept[name] = columns
            known.append(free)
    return kept


def _without(columns: Floats, basis: Floats) -> Floats:
    return np.asarray(columns - basis @ (basis.T @ columns), dtype=np.float64)


def _is_new(free: Floats, known: Sequence[Floats], residual: int) -> bool:
    """Whether the covariance these columns make is no sum of those that others make, and of the residual one."""
    listed = [*known, free]
    products = np.full((len(listed) + 1, len(listed) + 1), float(residual))  # the residual first
    products[0, 1:] = products[1:, 0] = [float((one**2).sum()) for one in listed]
    products[1:, 1:] = [[float(((one.T @ other) ** 2).sum()) for other in listed] for one in listed]
    own = float(products[-1, -1])
    if own <= _APART * free.shape[0]:
        return False
    told = np.linalg.lstsq(products[:-1, :-1], products[:-1, -1], rcond=None)[0]
    return own - float(told @ products[:-1, -1]) > _APART * own


# --- the likelihood ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class _Spot:
    likelihood: float
    score: Floats
    expected: Floats
    beta: Floats
    covariance: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Sums:
    """Products of all columns with one another: deviations first, then fixed effects, then the ratings."""

    spans: Mapping[str, slice]
    products: Floats
    levels: int
    fixed: int
    ratings: int

    @staticmethod
    def of(x: Floats, kept: Mapping[str, Floats], rating: Floats) -> _Sums:
        spans, begin = {}, 0
        for name, columns in kept.items():
            spans[name] = slice(begin, begin + columns.shape[1])
            begin += columns.shape[1]
        both = np.hstack([*kept.values(), x, rating[:, None]])
        return _Sums(spans, both.T @ both, begin, x.shape[1], rating.size)

    def spot(self, variances: Floats) -> _Spot:
        """Searle, Casella & McCulloch 1992, Variance Components, ch. 6, with V⁻¹ by way of the levels alone.

        P = V⁻¹ − V⁻¹X(XᵀV⁻¹X)⁻¹XᵀV⁻¹, so P V P = P: from this follow all sums that have the residual in them.
        """
        weighed, log_det = self._weighed(variances)
        deep, wide = slice(0, self.levels), slice(self.levels, self.levels + self.fixed)
        covariance: Floats = np.linalg.inv(weighed[wide, wide]).astype(np.float64)
        beta: Floats = covariance @ weighed[wide, -1]
        within = weighed[deep, deep] - weighed[deep, wide] @ covariance @ weighed[wide, deep]  # ZᵀPZ
        pulled = weighed[deep, -1] - weighed[deep, wide] @ beta  # ZᵀPy
        rest = float(weighed[-1, -1] - weighed[-1, wide] @ beta)  # yᵀPy
        likelihood = -0.5 * (log_det - float(np.linalg.slogdet(covariance)[1]) + rest)
        return _Spot(likelihood, *self._slopes(variances, within, pulled, rest), beta, covariance)

    def _weighed(self, variances: Floats) -> tuple[Floats, float]:
        """All products with V⁻¹ between them, and log |V|."""
        residual = float(variances[-1])
        lengths = [one.stop - one.start for one in self.spans.values()]
        root = np.repeat(np.sqrt(variances[:-1] / residual), lengths)
        inner = np.eye(self.levels) + root[:, None] * self.products[: self.levels, : self.levels] * root
        lower = np.linalg.cholesky(inner)
        half = np.linalg.solve(lower, root[:, None] * self.products[: self.levels])
        weighed: Floats = (self.products - half.T @ half) / residual
        return weighed, self.ratings * float(np.log(residual)) + 2.0 * float(np.log(np.diag(lower)).sum())

    def _slopes(self, variances: Floats, within: Floats, pulled: Floats, rest: float) -> tuple[Floats, Floats]:
        """The score and the information to be expected, of every deviation and then of the residual."""
        own, residual, spans = variances[:-1], float(variances[-1]), list(self.spans.values())
        squares = np.array([float((pulled[one] ** 2).sum()) for one in spans])
        traces = np.array([float(np.trace(within[one, one])) for one in spans])
        met = np.array([[float((within[one, two] ** 2).sum()) for two in spans] for one in spans])
        met = met.reshape(len(spans), len(spans))
        trace = (self.ratings - self.fixed - float(own @ traces)) / residual  # of P
        twice = (traces - met @ own) / residual  # of ZᵀPPZ
        score = np.append(squares - traces, (rest - float(own @ squares)) / residual - trace)
        expected = np.zeros((len(spans) + 1, len(spans) + 1))
        expected[:-1, :-1] = met
        expected[-1, :-1] = expected[:-1, -1] = twice
        expected[-1, -1] = (trace - float(own @ twice)) / residual
        return 0.5 * score, 0.5 * expected
