"""The beta-binomial likelihood of one count per panelist, exact at both ends of the spread between people.

Each panelist notices with a share q of their own, drawn from a beta distribution with mean mu and intra-person
correlation gamma = 1 / (a + b + 1); an answer is right with probability floor + (1 − floor) q. ``floor`` 0 is the form
on raw proportions, ``floor`` = guessing the chance-corrected one. gamma 0 is the binomial, gamma 1 two kinds of people:
always and never. Written with rising factorials instead of beta functions, both ends are ordinary values.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import special

from evaluation.statistics.laws.inputs import Floats, Ints

Curve = Callable[[Floats], Floats]

# Elements of one block of a vectorised evaluation: bounds the memory, not the answer.
_BLOCK = 1_000_000
_STEPS: Floats = np.linspace(0.0, 1.0, 17)
_ROUNDS = 8  # zooms by 8: a bracket of 1/16 shrinks to 4e-9, about what a flat top can show
# A likelihood higher than the binomial's by no more than this is rounding: the spread is then 0.
_NO_GAIN = 1e-9

MU_GRID: Floats = np.linspace(0.0, 1.0, 33)
GAMMA_GRID: Floats = np.linspace(0.0, 1.0, 33) ** 2  # denser at 0, where large panels are sharp


@dataclass(frozen=True, slots=True)
class Likelihood:
    """Terms of the log-likelihood: panelist counts that occur, and for each the sum over "noticed i, guessed the rest".

    ``noticed`` and ``missed`` hold the powers of q and 1 − q of each term, ``log_weight`` its coefficient, ``starts``
    where the terms of each distinct count begin, ``people`` how many panelists share that count.
    """

    noticed: Ints
    missed: Ints
    log_weight: Floats
    starts: Ints
    people: Floats

    def at(self, mu: Floats, gamma: Floats) -> Floats:
        """Log-likelihood at each pair of two arrays of one shape."""
        pairs = np.stack([np.ravel(mu), np.ravel(gamma)], axis=1)
        widest = max(self.noticed.size, int((self.noticed + self.missed).max()))
        blocks = max(1, pairs.shape[0] * widest // _BLOCK)
        values = [self._block(part[:, :1], part[:, 1:]) for part in np.array_split(pairs, blocks) if part.size]
        return np.concatenate(values).reshape(np.shape(mu))

    def _block(self, mu: Floats, gamma: Floats) -> Floats:
        each = np.logaddexp.reduceat(self.log_terms(mu, gamma), self.starts, axis=1)
        return np.asarray(each @ self.people)

    def log_terms(self, mu: Floats, gamma: Floats) -> Floats:
        """Log of each term, a row for each (mu, gamma); both are columns."""
        return np.asarray(self.log_weight + log_moment(self.noticed, self.missed, mu, gamma))


def likelihood(correct: Ints, assessments: Ints, floor: float) -> Likelihood:
    """Collect the terms for these panelists; the arguments are checked."""
    distinct, people = np.unique(np.stack([correct, assessments], axis=1), axis=0, return_counts=True)
    right, asked = distinct[:, 0], distinct[:, 1]
    least = np.zeros_like(right) if floor > 0.0 else right  # without guessing every right answer was noticed
    length = right - least + 1
    starts = np.concatenate([[0], np.cumsum(length)[:-1]])
    row = np.repeat(np.arange(right.size), length)
    noticed = np.arange(row.size) - starts[row] + least[row]
    guessed = right[row] - noticed
    # C(n, x) · C(x, i) · floor^(x−i) · (1−floor)^(n−x+i)
    log_weight = log_choose(asked, right)[row] + log_choose(right[row], noticed)
    log_weight += special.xlogy(guessed, floor) + special.xlog1py(asked[row] - guessed, -floor)
    return Likelihood(noticed, (asked - right)[row], log_weight, starts, people.astype(np.float64))


def posterior_mean(terms: Likelihood, mu: float, gamma: float) -> Floats:
    """E[q | count] for each distinct count, in the order of ``likelihood``: sorted by correct, then assessments."""
    log_terms = terms.log_terms(np.array([[mu]]), np.array([[gamma]]))[0]
    length = np.diff(np.append(terms.starts, terms.noticed.size))
    chance = np.exp(log_terms - np.repeat(np.logaddexp.reduceat(log_terms, terms.starts), length))
    size = terms.noticed + terms.missed
    # (a + i) / (a + b + i + m), times gamma; a term that says nothing about q leaves mu, also where gamma is 1
    weight = np.where(size > 0, size * gamma + (1.0 - gamma), 1.0)
    mean = np.where(size > 0, (terms.noticed * gamma + mu * (1.0 - gamma)) / weight, mu)
    return np.asarray(np.add.reduceat(chance * mean, terms.starts))


def log_choose(n: Ints, k: Ints) -> Floats:
    """log C(n, k)."""
    return np.asarray(-special.betaln(n - k + 1, k + 1) - np.log(n + 1.0))


def log_moment(noticed: Ints, missed: Ints, mu: Floats, gamma: Floats) -> Floats:
    """log E[q^noticed (1 − q)^missed], a row for each (mu, gamma).

    The moment is ∏_{j<i}(a + j) ∏_{j<m}(b + j) / ∏_{j<i+m}(a + b + j); every factor is multiplied by gamma, since
    a·gamma = mu (1 − gamma). The factors with j = 0 are kept apart: there (1 − gamma) cancels, also where it is 0.
    """
    size = int((noticed + missed).max())
    with np.errstate(divide="ignore"):  # log 0 = −inf is meant: such a count is impossible there
        up, down, both = (_rising(base, gamma, size) for base in (mu, 1.0 - mu, np.ones_like(mu)))
        some, none = noticed > 0, missed > 0
        first = np.where(some, np.log(mu), 0.0) + np.where(none, np.log1p(-mu), 0.0)
        mixed = np.where(some & none, np.log1p(-gamma), 0.0)
    return np.asarray(first + mixed + up[:, noticed] + down[:, missed] - both[:, noticed + missed])


def _rising(base: Floats, gamma: Floats, size: int) -> Floats:
    """Σ log(base (1 − gamma) + j gamma) over 1 ≤ j < i, in column i."""
    j = np.arange(1, max(size, 1))
    sums = np.cumsum(np.log(base * (1.0 - gamma) + j * gamma), axis=1)
    return np.concatenate([np.zeros((base.shape[0], 2)), sums], axis=1)


# --- maximising -------------------------------------------------------------------------------------------------------


def over_mu(terms: Likelihood) -> Curve:
    """gamma → the highest log-likelihood at any mu."""
    return lambda gamma: _highest(lambda mu: terms.at(mu, np.broadcast_to(gamma[:, None], mu.shape)), MU_GRID, gamma)[1]


def over_gamma(terms: Likelihood) -> Curve:
    """mu → the highest log-likelihood at any gamma."""
    return lambda mu: _highest(
        lambda gamma: terms.at(np.broadcast_to(mu[:, None], gamma.shape), gamma), GAMMA_GRID, mu
    )[1]


def best_mu(terms: Likelihood, gamma: float) -> float:
    """The mu with the highest log-likelihood at this gamma."""
    fixed = np.array([gamma])
    found, _ = _highest(lambda mu: terms.at(mu, np.broadcast_to(fixed[:, None], mu.shape)), MU_GRID, fixed)
    return float(found[0])


def best_gamma(terms: Likelihood) -> tuple[float, float]:
    """The gamma with the highest profile likelihood, and that height; exactly 0.0 where spread gains nothing."""
    profile, grid = over_mu(terms), GAMMA_GRID
    binomial = float(profile(np.zeros(1))[0])
    for _ in range(_ROUNDS):
        values = profile(grid)
        top = int(values.argmax())
        low, high = grid[max(top - 1, 0)], grid[min(top + 1, grid.size - 1)]
        grid = low + (high - low) * _STEPS
    values = profile(grid)
    best = float(values.max())
    if best - binomial <= _NO_GAIN * max(1.0, abs(binomial)):
        return 0.0, binomial
    return float(grid[values.argmax()]), best


def _highest(curve: Curve, grid: Floats, rows: Floats) -> tuple[Floats, Floats]:
    """For each row the argument and height of the top of ``curve`` (rows × arguments → heights), zooming in."""
    points = np.broadcast_to(grid, (rows.size, grid.size))
    row = np.arange(rows.size)
    for _ in range(_ROUNDS):
        top = curve(points).argmax(axis=1)
        low = points[row, np.maximum(top - 1, 0)]
        high = points[row, np.minimum(top + 1, points.shape[1] - 1)]
        points = low[:, None] + (high - low)[:, None] * _STEPS
    heights = curve(points)
    top = heights.argmax(axis=1)
    return points[row, top], heights[row, top]


def span_above(curve: Curve, best: float, height: float, grid: Floats) -> tuple[float, float]:
    """Lowest and highest argument in 0 … 1 at which ``curve`` is at least ``height``; ``best`` is one of them."""
    points = np.unique(np.append(grid, best))
    inside = (curve(points) >= height) | (points == best)
    first, last = int(inside.argmax()), points.size - 1 - int(inside[::-1].argmax())
    low = points[first] if first == 0 else _crossing(curve, points[first], points[first - 1], height)
    high = points[last] if last == points.size - 1 else _crossing(curve, points[last], points[last + 1], height)
    return float(low), float(high)


def _crossing(curve: Curve, inside: float, outside: float, height: float) -> float:
    """Where the curve falls below ``height`` between a point above it and one below."""
    for _ in range(_ROUNDS):
        points = inside + (outside - inside) * _STEPS
        below = curve(points) < height
        below[0], below[-1] = False, True  # decided before; rounding may not undo it
        fall = int(below.argmax())
        inside, outside = points[fall - 1], points[fall]
    return (inside + outside) / 2.0
