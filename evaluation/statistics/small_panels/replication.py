"""Several answers per person: was it noticed by anybody, how much do people differ, and who stands out?"""

from __future__ import annotations

from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt
from scipy import special

from evaluation.ground.checks import choice, risk, whole
from evaluation.statistics.forced_choice.difference import minimum_correct
from evaluation.statistics.forced_choice.methods import Method, MethodName, method_named
from evaluation.statistics.laws import betabinomial
from evaluation.statistics.laws.betabinomial import GAMMA_GRID, MU_GRID, Curve, Likelihood
from evaluation.statistics.laws.binomial import at_least, reaches
from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.laws.intervals import Interval
from evaluation.statistics.laws.several_questions import holm
from evaluation.statistics.small_panels.between import Overdispersion, overdispersion
from evaluation.statistics.small_panels.per_person import panel_counts


@dataclass(frozen=True, slots=True)
class PanelistResult:
    """One panelist of a :class:`ReplicatedDifference`.

    Attributes
    ----------
    place : position in the arrays given, from 0.
    correct, assessments : the counts given.
    p_value : exact, one-sided, of this panelist alone against guessing.
    p_family : ``p_value`` corrected for looking at everybody (Holm).
    stands_out : ``p_family`` ≤ alpha, equality included.
    proportion_correct : correct / assessments.
    shrunken : what to expect of this panelist next, drawn towards the panel as far as its people are alike, on the
    scale of ``mu``; None where gamma is None.
    """

    place: int
    correct: int
    assessments: int
    p_value: float
    p_family: float
    stands_out: bool
    proportion_correct: float
    shrunken: float | None


@dataclass(frozen=True, slots=True)
class ReplicatedDifference:
    """What :func:`replicated_difference` found; the first five fields echo its arguments.

    Attributes
    ----------
    total_correct, total_assessments : sums over panelists.
    p_value : exact, one-sided, of the pooled answers: probability of so many correct if nobody here can tell.
    minimum_correct : fewest correct of all pooled that reach ``alpha``; None where even all are not enough.
    mu : mean over people, 0 … 1: of the proportion correct, or with ``above_guessing`` of the share noticed.
    gamma : how much people differ, 0 (all alike) … 1 (each always or never); None where these answers cannot tell:
    one answer each, one panelist, all answers right or all wrong, or a share noticed of 0.
    log_likelihood : of the beta-binomial at ``mu`` and ``gamma``.
    between : test whether people differ; None where it cannot be made.
    panelists : one row each, in the order given.
    """

    correct: tuple[int, ...]
    assessments: tuple[int, ...]
    method: MethodName
    above_guessing: bool
    alpha: float
    total_correct: int
    total_assessments: int
    p_value: float
    minimum_correct: int | None
    mu: float
    gamma: float | None
    log_likelihood: float
    between: Overdispersion | None
    panelists: tuple[PanelistResult, ...]

    @property
    def reached(self) -> bool:
        """True where the pooled ``p_value`` ≤ ``alpha``, equality included: at least one of them can tell."""
        return self.minimum_correct is not None and self.total_correct >= self.minimum_correct

    @property
    def standing_out(self) -> tuple[PanelistResult, ...]:
        """The panelists who stand out by themselves; may be none although ``reached``."""
        return tuple(one for one in self.panelists if one.stands_out)

    def variance_factor(self, replicates: int) -> float | None:
        """How much larger the variance of a total over people is than if all answers were of different people.

        1 + (replicates − 1) × the correlation of one person's answers, which is gamma on raw proportions (Ennis & Bi
        1998); for ``replicates`` answers of each. None where gamma is None.
        """
        if self.gamma is None:
            return None
        guessing = float(method_named(self.method).guessing) if self.above_guessing else 0.0
        proportion = guessing + (1.0 - guessing) * self.mu
        # a share noticed of 1 has no variance left to divide: everybody is alike
        kept = (1.0 - guessing) * self.mu / proportion if proportion > 0.0 else 0.0
        return 1.0 + (whole("replicates", replicates, 1) - 1) * self.gamma * kept

    def interval(self, level: float = 0.95, of: str = "mu") -> Interval:
        """Interval at ``level`` (between 0 and 1) of ``"mu"`` or ``"gamma"`` by the profile likelihood, 0 … 1.

        All values whose profile log-likelihood lies at most χ²(1, level) / 2 below the highest. It speaks of people
        like this panel if their shares follow a beta distribution, and is right for many people. Coverage at .95
        with 12 people of 6 triangles each is .95 to .96 where many notice, below .93 where one in six does and the
        others guess (tests/slow): a claim about people needs :func:`people_limits`. With one panelist it is of that
        nose. Where gamma is None its interval is 0 … 1 or wide.
        """
        level = risk("level", level)
        profile, grid = _PROFILES[choice("of", of, tuple(_PROFILES))]
        if of == "gamma" and len(self.correct) == 1:
            return Interval(0.0, 1.0, level, of)  # nobody else to differ from
        terms = _terms(
            np.array(self.correct), np.array(self.assessments), method_named(self.method), self.above_guessing
        )
        spread = 0.0 if self.gamma is None else self.gamma
        best = self.mu if of == "mu" else spread
        height = self.log_likelihood - float(special.chdtri(1.0, 1.0 - level)) / 2.0
        curve = _own(terms) if of == "mu" and len(self.correct) == 1 else profile(terms)
        low, high = betabinomial.span_above(curve, best, height, grid)
        return Interval(low, high, level, of)


_PROFILES = MappingProxyType(
    {"mu": (betabinomial.over_gamma, MU_GRID), "gamma": (betabinomial.over_mu, GAMMA_GRID)},
)


def _own(terms: Likelihood) -> Curve:
    """The likelihood of one nose: nobody else to differ from."""
    return lambda mu: terms.at(mu, np.zeros_like(mu))


def replicated_difference(
    correct: npt.ArrayLike,
    assessments: npt.ArrayLike,
    method: str,
    above_guessing: bool = False,
    alpha: float = 0.05,
) -> ReplicatedDifference:
    """Was it noticed by anybody, how much do the panelists differ, and who stands out?

    Parameters
    ----------
    correct : 1-D integer array, one entry per panelist, 0 … their assessments
        Correct answers of each.
    assessments : int, or 1-D integer array of the same length, 1 … 1000
        Answers of each; one number stands for everybody. Leave out who did not answer.
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    above_guessing : bool
        False: the beta distribution of people lies on the proportion correct, 0 … 1. True: on the share noticed
        above guessing, so that nobody is worse than guessing.
    alpha : float, between 0 and 1
        Accepted risk of the pooled test, and of naming anybody who only guesses.

    Returns
    -------
    ReplicatedDifference

    Raises
    ------
    ArgumentError, KindError
        Counts negative, fractional, NaN or more correct than asked; arrays of unequal length or empty; more than
        1000 assessments of one panelist; alpha outside (0, 1); unknown method.

    Notes
    -----
    The pooled p-value is valid for "nobody here can tell" whatever the number of replicates. It does not say how many
    can, nor anything about people who were not there; a large p does not say that the trials smell the same (see
    :func:`replicated_limit`). Nobody standing out does not contradict a noticed difference. ``gamma`` on raw
    proportions includes guessing: the same people give another one with ``above_guessing``, where it is hardly
    determined when ``mu`` is near 0. ``shrunken`` treats mu and gamma as known and claims nothing about anybody.

    References
    ----------
    Beta-binomial: Ennis & Bi 1998, J. Sensory Studies 13, 389–412; chance-corrected: Brockhoff 2003, Food Quality
    and Preference 14, 405–417 (both from memory). Overdispersion: given the total, counts of equal people are
    multivariate hypergeometric; score of Tarone 1979, Biometrika 66, 585–590; mixture of the likelihood ratio:
    Self & Liang 1987, J. Am. Stat. Assoc. 82, 605–610 (from memory).

    Examples
    --------
    >>> found = replicated_difference([6, 2, 1, 6, 3, 2], 6, "triangle")
    >>> round(found.p_value, 4), [one.place for one in found.standing_out], round(found.between.p_value, 4)
    (0.005, [0, 3], 0.0057)
    >>> found.gamma > 0.2, replicated_difference([1, 0, 1], [1, 1, 1], "triangle").gamma
    (True, None)
    """
    right, asked = panel_counts(correct, assessments)
    way, alpha = method_named(method), risk("alpha", alpha)
    total, answers = int(right.sum()), int(asked.sum())
    fit = _fitted(right, asked, way, choice("above_guessing", above_guessing, (False, True)))
    return ReplicatedDifference(
        correct=tuple(right.tolist()),
        assessments=tuple(asked.tolist()),
        method=way.name,
        above_guessing=bool(above_guessing),
        alpha=alpha,
        total_correct=total,
        total_assessments=answers,
        p_value=float(at_least(total, answers, float(way.guessing))),
        minimum_correct=minimum_correct(answers, way.name, alpha),
        mu=fit.mu,
        gamma=fit.gamma,
        log_likelihood=fit.log_likelihood,
        between=overdispersion(right, asked, fit.gain) if _can_differ(right, asked) else None,
        panelists=_rows(right, asked, way, alpha, fit),
    )


@dataclass(frozen=True, slots=True)
class _Fit:
    """The maximum of the likelihood; ``gain`` over the binomial; gamma None where it cannot be told."""

    terms: Likelihood
    mu: float
    gamma: float | None
    log_likelihood: float
    gain: float


def _terms(right: Ints, asked: Ints, way: Method, above_guessing: bool) -> Likelihood:
    return betabinomial.likelihood(right, asked, float(way.guessing) if above_guessing else 0.0)


def _can_differ(right: Ints, asked: Ints) -> bool:
    """Whether these answers can show a difference between people at all."""
    return right.size > 1 and bool(asked.max() > 1) and 0 < int(right.sum()) < int(asked.sum())


def _fitted(right: Ints, asked: Ints, way: Method, above_guessing: bool) -> _Fit:
    terms = _terms(right, asked, way, above_guessing)
    proportion = int(right.sum()) / int(asked.sum())
    alike = way.discriminators(proportion) if above_guessing else proportion
    binomial = float(terms.at(np.array([alike]), np.zeros(1))[0])
    if not _can_differ(right, asked):
        return _Fit(terms, alike, None, binomial, 0.0)
    gamma, height = betabinomial.best_gamma(terms)
    if gamma == 0.0:  # the maximum is known in closed form
        return _Fit(terms, alike, gamma if alike > 0.0 else None, binomial, 0.0)
    return _Fit(terms, betabinomial.best_mu(terms, gamma), gamma, height, height - binomial)


def _rows(right: Ints, asked: Ints, way: Method, alpha: float, fit: _Fit) -> tuple[PanelistResult, ...]:
    alone = at_least(right, asked, float(way.guessing))
    family = holm(alone)
    expected, standing = _expected(right, asked, way, fit), _standing(right, asked, way, alpha, alone)
    return tuple(
        PanelistResult(
            place=place,
            correct=int(right[place]),
            assessments=int(asked[place]),
            p_value=float(alone[place]),
            p_family=float(family[place]),
            stands_out=standing[place],
            proportion_correct=float(right[place] / asked[place]),
            shrunken=None if expected is None else float(expected[place]),
        )
        for place in range(right.size)
    )


def _standing(right: Ints, asked: Ints, way: Method, alpha: float, alone: Floats) -> list[bool]:
    """Holm's steps down with exact comparisons: from the smallest p on, each against alpha / (p-values left)."""
    standing = [False] * right.size
    for step, place in enumerate(np.argsort(alone, kind="stable").tolist()):
        one = slice(place, place + 1)
        if not reaches(right[one], asked[one], way.guessing, alpha / (right.size - step))[0]:
            break
        standing[place] = True
    return standing


def _expected(right: Ints, asked: Ints, way: Method, fit: _Fit) -> Floats | None:
    """The posterior mean of each panelist's own share under the fitted distribution of people."""
    if fit.gamma is None:
        return None
    _, kind = np.unique(np.stack([right, asked], axis=1), axis=0, return_inverse=True)
    return np.asarray(betabinomial.posterior_mean(fit.terms, fit.mu, fit.gamma)[kind])
