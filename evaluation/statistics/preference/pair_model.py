"""The likelihood of paired preferences: design, fit of many tables at once, and whether a highest point exists.

Bradley & Terry 1952 with the ties of Davidson 1970 and the position effect of Davidson & Beaver 1977, written as one
multinomial model: in a cell the outcomes "first preferred", "second preferred" and "no preference" have the
exponents λ₁ + δ/2, λ₂ − δ/2 and log ν + (λ₁ + λ₂)/2. The log-likelihood is concave in (λ, δ, log ν).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import optimize

from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.preference.pair_tables import pairs_of

_SMALL = 1e-7  # of the exact whole-number programs below: their optimum is 0 or at least 1


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """Which unknowns there are and how the outcomes depend on them.

    Attributes
    ----------
    basis : t × (t − 1), orthonormal columns summing to 0: log-merits are ``basis @ unknowns[:t - 1]``.
    design : cells × outcomes × unknowns; merits first, then the position effect, then log ν.
    pairs : cells × 2, places of the trials.
    position, ties : whether those unknowns are in.
    """

    basis: Floats
    design: Floats
    pairs: Ints
    position: bool
    ties: bool

    @property
    def trials(self) -> int:
        """How many trials are compared."""
        return int(self.basis.shape[0])

    @property
    def unknowns(self) -> int:
        """Free unknowns: one fewer than the trials, and one each for position and ties where these are in."""
        return int(self.design.shape[2])

    def phantom(self) -> Floats:
        """One phantom answer per unknown merit, spread evenly over pairs, orders and outcomes."""
        each = 1.0 / self.trials / (2.0 if self.position else 1.0)
        return np.full(self.design.shape[:2], each)

    def merits(self, found: Floats) -> Floats:
        """Log-merits from unknowns; they sum to 0, so that only their differences mean anything."""
        return np.asarray(found[..., : self.trials - 1] @ self.basis.T)

    def within(self, directions: Floats) -> Floats:
        """The design with the unknowns confined to the span of the columns of ``directions``."""
        return np.asarray(self.design @ directions)


def model_of(trials: int, position: bool, ties: bool) -> Model:
    """The model for so many trials, with or without an effect of position and an outcome "no preference"."""
    basis = _contrasts(trials)
    pairs = pairs_of(trials, position)
    one, two = basis[pairs[:, 0]], basis[pairs[:, 1]]
    columns = [np.stack([one, two, (one + two) / 2.0][: 3 if ties else 2], axis=1)]
    for wanted, steps in ((position, [0.5, -0.5, 0.0]), (ties, [0.0, 0.0, 1.0])):
        if wanted:
            column = np.array(steps[: 3 if ties else 2])[None, :, None]
            columns.append(np.broadcast_to(column, (len(pairs), column.shape[1], 1)))
    return Model(basis, np.concatenate(columns, axis=2), pairs, position, ties)


def _contrasts(trials: int) -> Floats:
    """Helmert's contrasts, made orthonormal."""
    steps = np.array([[1.0] * k + [-float(k)] + [0.0] * (trials - k - 1) for k in range(1, trials)])
    return np.asarray((steps / np.linalg.norm(steps, axis=1, keepdims=True)).T)


# --- fit --------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """Tables × unknowns, their log-likelihood, and information (tables × unknowns × unknowns)."""

    found: Floats
    height: Floats
    information: Floats

    def covariance(self) -> Floats:
        """Of the unknowns, by the inverse of the information; the pseudo-inverse where that is singular."""
        return np.asarray(np.linalg.pinv(self.information, hermitian=True))


def logs(design: Floats, found: Floats) -> Floats:
    """Tables × cells × outcomes: log-probabilities."""
    exponents = np.tensordot(found, design, axes=(1, 2))
    exponents -= exponents.max(axis=2, keepdims=True)
    return np.asarray(exponents - np.log(np.exp(exponents).sum(axis=2, keepdims=True)))


def fit(design: Floats, counts: Floats, rounds: int = 60, least: float = 1e-13) -> Fit:
    """Newton's steps, halved where they overshoot, for all tables at once.

    Ends where no table gains ``least`` of its height in a step; convergence is quadratic, so far less is left then.
    Where no highest point exists the height still converges to its limit within the rounds; the unknowns do not.
    """
    found = np.zeros((len(counts), design.shape[2]))
    height = (counts * logs(design, found)).sum(axis=(1, 2))
    if not design.shape[2]:  # every chance is given: equal merits, no ties
        return Fit(found, height, np.zeros((len(counts), 0, 0)))
    for _ in range(rounds):
        slope, information = _derivatives(design, counts, found)
        step = _step(slope, information)
        found, height, gain = _climb(design, counts, found, height, step)
        if (gain <= least * (1.0 + np.abs(height))).all():
            break
    # heights are flat near the top: one step more, where it is small, doubles the number of right digits
    step = _step(*_derivatives(design, counts, found))
    found = found + np.where(np.abs(step).max(axis=1, keepdims=True) < 1e-3, step, 0.0)
    return Fit(found, height, _derivatives(design, counts, found)[1])


def _derivatives(design: Floats, counts: Floats, found: Floats) -> tuple[Floats, Floats]:
    cells, outcomes, unknowns = design.shape
    chances = np.exp(logs(design, found))
    asked = counts.sum(axis=2)
    expected = asked[:, :, None] * chances
    slope = (counts - expected).reshape(-1, cells * outcomes) @ design.reshape(-1, unknowns)
    squares = (design[:, :, :, None] * design[:, :, None, :]).reshape(cells * outcomes, -1)
    mean = np.matmul(chances.swapaxes(0, 1), design).swapaxes(0, 1)
    raw = (expected.reshape(-1, cells * outcomes) @ squares).reshape(-1, unknowns, unknowns)
    return slope, raw - (mean * asked[:, :, None]).swapaxes(1, 2) @ mean


def _step(slope: Floats, information: Floats) -> Floats:
    """Newton's, at most 4 long: on the scale of logarithms more is never meant."""
    flat = 1e-10 * (1.0 + np.trace(information, axis1=1, axis2=2))[:, None, None] * np.eye(slope.shape[1])
    step = np.linalg.solve(information + flat, slope[:, :, None])[:, :, 0]
    longest = np.abs(step).max(axis=1, keepdims=True, initial=0.0)
    return np.asarray(step * np.minimum(1.0, 4.0 / np.maximum(longest, 1e-300)))


def _climb(
    design: Floats, counts: Floats, found: Floats, height: Floats, step: Floats
) -> tuple[Floats, Floats, Floats]:
    share = np.ones(len(counts))
    for _ in range(30):
        reached = (counts * logs(design, found + share[:, None] * step)).sum(axis=(1, 2))
        lower = reached < height
        if not lower.any():
            break
        share[lower] /= 2.0
    share[reached < height] = 0.0
    reached = np.maximum(reached, height)
    return found + share[:, None] * step, reached, reached - height


# --- does a highest point exist ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class Existence:
    """Whether the likelihood of a table has one highest point.

    Attributes
    ----------
    told_apart : False where some direction leaves all chances as they are: nothing in the table speaks of it.
    direction : unknowns along which the likelihood never falls and somewhere rises; None where there is none.
    """

    told_apart: bool
    direction: Floats | None

    @property
    def regular(self) -> bool:
        """True where one highest point exists, and so finite merits."""
        return self.told_apart and self.direction is None


def existence(model: Model, counts: Floats) -> Existence:
    """Of one table (cells × outcomes).

    A direction of no descent raises, in every cell, the exponents of the observed outcomes at least as much as all
    others (Albert & Anderson 1984, Biometrika 71, 1–10, from memory). The program finds one that is strict wherever
    any is: slacks up to 1 are maximised, and the cone of directions has no other scale.
    """
    asked = counts.sum(axis=1) > 0
    all_steps = (model.design[asked] - model.design[asked][:, :1])[:, 1:].reshape(-1, model.unknowns)
    told_apart = int(np.linalg.matrix_rank(all_steps)) == model.unknowns
    steps = np.concatenate(
        [
            model.design[cell, outcome] - np.delete(model.design[cell], outcome, axis=0)
            for cell, outcome in np.argwhere(counts > 0)
        ]
    )
    m, k = steps.shape
    solved = optimize.linprog(
        np.concatenate([np.zeros(k), -np.ones(m)]),
        A_ub=np.hstack([-steps, np.eye(m)]),
        b_ub=np.zeros(m),
        bounds=[(None, None)] * k + [(0.0, 1.0)] * m,
        method="highs",
    )
    return Existence(told_apart, np.asarray(solved.x[:k]) if -solved.fun > _SMALL else None)


def all_regular(model: Model, tables: Floats) -> bool:
    """Whether each of many tables (tables × cells × outcomes) has its highest point; equal patterns are asked once."""
    patterns = np.unique((tables > 0).reshape(len(tables), -1), axis=0)
    shape = model.design.shape[:2]
    return all(existence(model, one.reshape(shape).astype(np.float64)).regular for one in patterns)
