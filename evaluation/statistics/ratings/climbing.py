"""The top of a restricted likelihood over variances: scoring, each of them held at 0 or more, the residual one last."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, Protocol, TypeVar

import numpy as np
from scipy.optimize import nnls

from evaluation.statistics.laws.inputs import Floats

ZERO: Final = 1e-9  # beside all variance together: a variance this small is one held at 0
_MOST_STEPS: Final = 60
_HALVINGS: Final = 20
_ROUNDING: Final = 1e-12  # beside a likelihood: less than this is no fall
_SETTLED: Final = 1e-10


class Climbing(Protocol):
    """A likelihood at some variances, its slope there, and the information to be expected."""

    @property
    def likelihood(self) -> float:
        """Its logarithm, up to a constant."""

    @property
    def score(self) -> Floats:
        """Slope, one for each variance."""

    @property
    def expected(self) -> Floats:
        """Information, variances × variances."""


Spot = TypeVar("Spot", bound=Climbing)


def climbed(spot_at: Callable[[Floats], Spot], start: Floats) -> tuple[Floats, bool]:
    """Scoring with variances held at 0 or more, each step shortened until the likelihood does not fall.

    ``spot_at`` gives the likelihood at some variances. The second answer is False where it did not settle.
    """
    variances, spot = start, spot_at(start)
    for _ in range(_MOST_STEPS):
        change = _goal(variances, spot) - variances
        if np.abs(change).max() <= _SETTLED * variances.sum():
            return _held(variances + change), True
        variances, spot = _step(spot_at, variances, change, spot)
    return _held(variances), False


def _step(spot_at: Callable[[Floats], Spot], variances: Floats, change: Floats, here: Spot) -> tuple[Floats, Spot]:
    slack = _ROUNDING * (1.0 + abs(here.likelihood))
    for _ in range(_HALVINGS):
        nearer = _above_nothing(variances + change)
        if (there := spot_at(nearer)).likelihood >= here.likelihood - slack:
            return nearer, there
        change = change / 2.0
    return variances, here


def _held(variances: Floats) -> Floats:
    return _above_nothing(np.where(variances > ZERO * variances.sum(), variances, 0.0))


def _above_nothing(variances: Floats) -> Floats:
    """The residual variance never quite 0: without any, the covariance could not be turned round."""
    return np.append(variances[:-1], max(variances[-1], _SETTLED * variances.sum()))


def _goal(variances: Floats, spot: Climbing) -> Floats:
    """Where the likelihood would be highest if it were the parabola that it resembles here, nothing below 0."""
    firm = spot.expected + _ROUNDING * np.diag(np.diag(spot.expected))
    root = np.linalg.cholesky(firm).T
    return np.asarray(nnls(root, root @ variances + np.linalg.solve(root.T, spot.score))[0], dtype=np.float64)
