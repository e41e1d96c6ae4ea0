"""A second opinion: how probable is a difference of some size, given what was believed before? Never a verdict."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
from scipy import special

from evaluation.errors import ArgumentError
from evaluation.ground.checks import choice, real, risk, whole
from evaluation.statistics.forced_choice.difference import correct_of
from evaluation.statistics.forced_choice.methods import MethodName, method_named, model_of
from evaluation.statistics.laws.betabinomial import log_choose
from evaluation.statistics.laws.inputs import Floats
from evaluation.statistics.laws.intervals import Interval

Prior = str | tuple[float, float]

# More answers leave no doubt for a prior to matter.
MOST_ANSWERS = 10_000
_FARTHEST = 6.0  # d-primes above this are given no belief: every method is then right 98 % of the time or more
_NODES = 24_001
_HALVINGS = 60
# Ours. Share noticing: a, b of a beta distribution. d-prime: mean and standard deviation of a normal cut to 0 … 6.
SHARES = MappingProxyType({"sceptical": (1.0, 5.0), "flat": (1.0, 1.0), "hopeful": (2.0, 1.0)})
DISTANCES = MappingProxyType({"sceptical": (0.0, 0.5), "flat": (0.0, 1000.0), "hopeful": (1.5, 0.75)})


@dataclass(frozen=True, slots=True)
class Belief:
    """What :func:`belief` found; the first six fields echo its arguments.

    Attributes
    ----------
    parameters : the two numbers of the prior.
    probability_above : posterior probability that the share noticing (or d-prime) exceeds ``limit``, 0 … 1.
    prior_above : the same before any answer.
    mean : posterior mean.
    sensitivity : ``probability_above`` under each named prior, in the order sceptical, flat, hopeful.
    """

    correct: int
    assessments: int
    method: MethodName
    limit: float
    prior: Prior
    of: str
    parameters: tuple[float, float]
    probability_above: float
    prior_above: float
    mean: float
    sensitivity: tuple[tuple[str, float], ...]

    def interval(self, level: float = 0.95) -> Interval:
        """Central posterior interval: (1 − level) / 2 of the probability on either side."""
        tail = (1.0 - risk("level", level)) / 2.0
        posterior = _SCALES[self.of].posterior(self.correct, self.assessments, self.method, self.parameters)
        return Interval(posterior.point(1.0 - tail), posterior.point(tail), level, self.of)


@dataclass(frozen=True, slots=True)
class _Posterior:
    """The probability above a value, the mean, and the largest value that is given any belief."""

    above: Callable[[float], float]
    mean: float
    largest: float

    def point(self, probability: float) -> float:
        """The value that is exceeded with this probability."""
        low, high = 0.0, self.largest
        for _ in range(_HALVINGS):
            middle = (low + high) / 2.0
            low, high = (middle, high) if self.above(middle) > probability else (low, middle)
        return (low + high) / 2.0


@dataclass(frozen=True, slots=True)
class _Scale:
    """One scale of belief: its named priors, the check of a prior of one's own, and the posterior."""

    named: MappingProxyType[str, tuple[float, float]]
    least_first: float
    largest: float
    posterior: Callable[[int, int, str, tuple[float, float]], _Posterior]

    def parameters(self, prior: Any) -> tuple[float, float]:
        if isinstance(prior, tuple | list):
            if len(prior) != 2:
                raise ArgumentError(f"prior must hold two numbers, not {len(prior)}.")
            return real("prior", prior[0], self.least_first, 1e4), real("prior", prior[1], 0.01, 1e4)
        return self.named[choice("prior", prior, tuple(self.named))]


def _share_posterior(correct: int, assessments: int, method: str, prior: tuple[float, float]) -> _Posterior:
    """Closed form: a mixture of beta distributions, one for each number i of right answers that were noticed.

    (g + (1−g) q)^x = Σ C(x, i) g^(x−i) (1−g)^i q^i, and each q^i (1−q)^(n−x) times the prior is a beta again.
    """
    guessing, missed = float(method_named(method).guessing), assessments - correct
    noticed = np.arange(correct + 1)
    a, b = prior[0] + noticed, prior[1] + missed
    log_weight = log_choose(np.full_like(noticed, correct), noticed) + special.betaln(a, b)
    log_weight += noticed[::-1] * np.log(guessing) + noticed * np.log1p(-guessing)
    weight = np.exp(log_weight - special.logsumexp(log_weight))

    def above(limit: float) -> float:
        return min(1.0, float(weight @ special.betaincc(a, b, limit)))

    return _Posterior(above, float(weight @ (a / (a + b))), 1.0)


def _distance_posterior(correct: int, assessments: int, method: str, prior: tuple[float, float]) -> _Posterior:
    """On a fine grid, straight between its points."""
    distance = np.linspace(0.0, _FARTHEST, _NODES)
    miss = model_of(method).miss(distance)
    log_density = special.xlog1py(correct, -miss) + special.xlogy(assessments - correct, miss)
    log_density -= ((distance - prior[0]) / prior[1]) ** 2 / 2.0
    mass = _between(np.exp(log_density - log_density.max()))
    below = np.concatenate([[0.0], np.cumsum(mass)]) / mass.sum()
    mean = float(mass @ (distance[1:] + distance[:-1]) / 2.0 / mass.sum())
    return _Posterior(lambda limit: 1.0 - float(np.interp(limit, distance, below)), mean, _FARTHEST)


def _between(density: Floats) -> Floats:
    return np.asarray(density[1:] + density[:-1])


_SCALES = MappingProxyType(
    {
        "discriminators": _Scale(SHARES, 0.01, 1.0, _share_posterior),
        "d_prime": _Scale(DISTANCES, 0.0, _FARTHEST, _distance_posterior),
    }
)


def belief(
    correct: int,
    assessments: int,
    method: str,
    limit: float,
    prior: Prior = "flat",
    of: str = "discriminators",
) -> Belief:
    """How probable is it that more than ``limit`` notice, given what was believed before?

    Parameters
    ----------
    correct : int, 0 … assessments
    assessments : int, 0 … 10 000
        0 gives the prior back.
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    limit : float
        Share noticing, between 0 and 1, or with ``of="d_prime"`` a distance, between 0 and 6.
    prior : {"sceptical", "flat", "hopeful"} or two numbers
        Of the share: a, b of a beta distribution, each 0.01 … 10 000; the names are (1, 5), (1, 1), (2, 1). Of
        d-prime: mean 0 … 10 000 and standard deviation 0.01 … 10 000 of a normal cut to 0 … 6; the names are (0, 0.5),
        even, (1.5, 0.75). Seal it before smelling.
    of : {"discriminators", "d_prime"}

    Returns
    -------
    Belief

    Raises
    ------
    ArgumentError, KindError
        Counts negative, fractional, NaN or more correct than asked; a limit or a prior out of range; unknown name;
        ``"two-out-of-five"`` with ``of="d_prime"``.

    Notes
    -----
    A second opinion, never a verdict: it depends on the prior, and ``sensitivity`` shows how much. Needs one answer
    per person, or all answers of one nose, of whom it then speaks; pooled answers of several people make it too sure.
    A posterior probability may be read at any time, but a rule "stop when it is high" has no known alpha.

    References
    ----------
    Guessing model of ISO 4120 with a beta prior on the share: the posterior is a finite mixture of betas (own
    derivation, binomial theorem). d-prime: trapezoids on 24 000 steps.

    Examples
    --------
    >>> found = belief(9, 12, "triangle", limit=0.3)
    >>> round(found.probability_above, 2), round(found.mean, 2)
    (0.93, 0.57)
    >>> [(name, round(value, 2)) for name, value in found.sensitivity]
    [('sceptical', 0.6), ('flat', 0.93), ('hopeful', 0.97)]
    """
    asked = whole("assessments", assessments, 0, MOST_ANSWERS)
    right, way = correct_of(correct, asked), method_named(method).name
    scale = _SCALES[choice("of", of, tuple(_SCALES))]
    limit = _limit(limit, scale.largest)
    parameters = scale.parameters(prior)
    posterior = scale.posterior(right, asked, way, parameters)
    return Belief(
        correct=right,
        assessments=asked,
        method=way,
        limit=limit,
        prior=prior if isinstance(prior, str) else parameters,
        of=of,
        parameters=parameters,
        probability_above=posterior.above(limit),
        prior_above=scale.posterior(0, 0, way, parameters).above(limit),
        mean=posterior.mean,
        sensitivity=tuple(
            (name, scale.posterior(right, asked, way, named).above(limit)) for name, named in scale.named.items()
        ),
    )


def _limit(limit: float, largest: float) -> float:
    number = real("limit", limit)
    if not 0.0 < number < largest:
        raise ArgumentError(f"limit must lie between 0 and {largest:g}, both excluded, not {limit!r}.")
    return number
