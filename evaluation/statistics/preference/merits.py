"""Which of several trials is preferred, from a round of pairs? Merits on one scale, with what they do not settle."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, sqrt

import numpy as np
import numpy.typing as npt
from scipy import special

from evaluation.ground.checks import risk, whole
from evaluation.statistics.laws.inputs import Floats, Ints
from evaluation.statistics.laws.intervals import Interval
from evaluation.statistics.laws.several_questions import holm
from evaluation.statistics.preference.pair_checks import PairCheck, equality_check, fit_check
from evaluation.statistics.preference.pair_model import Existence, Fit, Model, all_regular, existence, fit, model_of
from evaluation.statistics.preference.pair_tables import PairTable, pair_table, pooled
from evaluation.statistics.preference.pair_words import explained, groups_of, linked
from evaluation.statistics.preference.votes import preference_test

# Under so many people their majorities stand beside the merits: a covariance of a handful of people is little known.
FEW_PEOPLE = 10
_MOST_DRAWS = 20_000


@dataclass(frozen=True, slots=True)
class MeritDifference:
    """Two trials of :class:`PairwiseMerits`.

    Attributes
    ----------
    first, second : places of the trials, from 0.
    difference : log-merit of the first minus that of the second.
    standard_error : of ``difference``.
    p_value : two-sided, of this pair alone.
    p_family : corrected for all pairs (Holm).
    differ : ``p_family`` ≤ alpha, equality included.
    """

    first: int
    second: int
    difference: float
    standard_error: float
    p_value: float
    p_family: float
    differ: bool


@dataclass(frozen=True, slots=True)
class Majority:
    """How many people, not answers, prefer one of two trials.

    Attributes
    ----------
    first, second : places of the trials, from 0.
    for_first, for_second, even : people who preferred the first more often, the second more often, both alike; who
        was never asked about this pair is in none.
    p_value : exact two-sided sign test of the people, even ones left out.
    p_family : corrected for all pairs (Holm).
    """

    first: int
    second: int
    for_first: int
    for_second: int
    even: int
    p_value: float
    p_family: float


@dataclass(frozen=True, slots=True, eq=False)
class PairwiseMerits:
    """What :func:`pairwise_merits` found; the first four fields echo its arguments (read-only arrays).

    Attributes
    ----------
    log_merits : 1-D array, one per trial, summing to 0.
    covariance : t × t, of ``log_merits``; rows sum to 0.
    covariance_from : ``"likelihood"`` (every answer as if of a different person), ``"jackknife over panelists"``, or
        ``"penalised jackknife over panelists"`` where leaving one person out leaves a table without a highest point;
        that one is in no direction smaller than the likelihood's, since unanimous people leave it nothing to see.
    tie_parameter : ν of Davidson, 0 or more: chance of "no preference" between equals is ν / (2 + ν). None where no
        ties were given, 0.0 where none was counted.
    position_effect : how much the log-odds favour the one smelt first; None where orders were not given.
    position_error : its standard error, or None.
    panelists : people with at least one answer; None where they were not told apart.
    condition : ``"regular"``, ``"disconnected"`` (no comparison links some trials), ``"confounded"`` (the position
        effect cannot be told from the merits) or ``"separated"`` (some answers went one way only, the likelihood has
        no highest point).
    penalised : True unless regular: the merits are those of the penalised likelihood.
    groups : places of the trials: unlinked groups where disconnected, best first where separated, else one group.
    explanation : what ``condition`` means in this table, one or two sentences; empty where regular.
    comparisons : every pair of trials.
    majorities : every pair of trials counted by people; None where they were not told apart.
    fit : whether one scale of merits explains the answers.
    equality : whether the merits differ at all, every answer as if of a different person.
    equality_by_people : p-value of the same question by people (Hotelling's T² on the jackknife); None where they
        were not told apart, or are no more than the trials.
    """

    wins: Ints
    ties: Ints | None
    first_position: Ints | None
    alpha: float
    log_merits: Floats
    covariance: Floats
    covariance_from: str
    tie_parameter: float | None
    position_effect: float | None
    position_error: float | None
    panelists: int | None
    condition: str
    penalised: bool
    groups: tuple[tuple[int, ...], ...]
    explanation: str
    comparisons: tuple[MeritDifference, ...]
    majorities: tuple[Majority, ...] | None
    fit: PairCheck
    equality: PairCheck
    equality_by_people: float | None

    @property
    def worths(self) -> Floats:
        """Merits on the scale of shares, summing to 1: i is preferred to j with chance wᵢ / (wᵢ + wⱼ), ties aside."""
        return np.asarray(special.softmax(self.log_merits))

    @property
    def order(self) -> tuple[int, ...]:
        """Places of the trials, highest merit first; says nothing of whether neighbours differ."""
        return tuple(np.argsort(-self.log_merits, kind="stable").tolist())

    @property
    def few_people(self) -> bool:
        """True under 10 panelists told apart: show ``majorities`` beside the merits."""
        return self.panelists is not None and self.panelists < FEW_PEOPLE

    def interval(self, first: int, second: int, level: float = 0.95) -> Interval:
        """Of the difference of two log-merits at ``level``: normal, or Student's t by panelists. Not corrected."""
        level, most = risk("level", level), len(self.log_merits) - 1
        one, two = whole("first", first, 0, most), whole("second", second, 0, most)
        difference, error = _difference(self.log_merits, self.covariance, one, two)
        half = _quantile(level, _freedom(self.panelists, self.covariance_from)) * error
        return Interval(difference - half, difference + half, level, "log_merit_difference")


def pairwise_merits(
    wins: npt.ArrayLike,
    ties: npt.ArrayLike | None = None,
    first_position: npt.ArrayLike | None = None,
    alpha: float = 0.05,
    draws: int = 499,
) -> PairwiseMerits:
    """Which of several trials is preferred, and by how much, from comparisons of pairs?

    Parameters
    ----------
    wins : t × t or panelists × t × t array of whole numbers, 0 or more, t from 2 to 50 (above 20 it takes minutes)
        ``wins[i, j]``: times i was preferred to j. Give the panelists' layers wherever one person answered more than
        once: the covariance is then by people.
    ties : the same shape, or None
        ``ties[i, j]``: answers "no preference" between i and j; symmetric, or filled in one half only. With
        ``first_position``: those where i was smelt first, so not symmetric.
    first_position : the same shape, or None
        ``first_position[i, j]``: how many of ``wins[i, j]`` had i smelt first. Adds a position effect.
    alpha : float, between 0 and 1
        Accepted risk of calling any pair different when it is not.
    draws : int, 0 … 20000
        Tables drawn for ``fit`` and ``equality``. With 20 trials they take seconds.

    Returns
    -------
    PairwiseMerits

    Raises
    ------
    ArgumentError, KindError
        Counts negative, fractional or NaN; shapes that differ; a diagonal that is not 0; no answer at all.

    Notes
    -----
    Regular tables get the maximum likelihood. Where it does not exist, ``condition`` and ``explanation`` say so and
    the answer is the highest point of the likelihood with one phantom answer per unknown merit added, spread evenly
    over all pairs, orders and outcomes: for two trials that is the penalty of Firth and Jeffreys (half an answer to
    each side), and for more it also holds together what no comparison connects. Distances are then mostly the
    penalty's; the order within ``groups`` is the answers'.

    P-values of pairs: likelihood ratio where panelists are not told apart, else Student's t with people − 1 degrees
    of freedom on the jackknife's error. The jackknife of few people is itself uncertain, so ``majorities`` are to be
    shown beside it under 10. ``fit`` treats every answer as if of a different person, also where they are not: with
    several answers of each it finds misfit too easily. Merits are an average over people: where they form opposite
    camps nobody may hold it (see :func:`opposite_camps`). A difference that is not shown is not equality.

    References
    ----------
    Bradley & Terry 1952, Biometrika 39, 324–345. Davidson 1970, J. Amer. Statist. Assoc. 65, 317–328, eq. 2.4.
    Davidson & Beaver 1977, Biometrics 33, 693–702 (position). Ford 1957, Amer. Math. Monthly 64, 28–33 (existence).
    Firth 1993, Biometrika 80, 27–38. Jackknife over clusters around the full estimate: MacKinnon, Nielsen & Webb
    2023, J. Econometrics 232, 272–299 (CV3).

    Examples
    --------
    >>> found = pairwise_merits([[0, 14], [6, 0]])
    >>> [round(m, 4) for m in found.log_merits.tolist()], round(found.comparisons[0].difference, 4)
    ([0.4236, -0.4236], 0.8473)
    >>> pairwise_merits([[0, 5, 5], [0, 0, 3], [0, 2, 0]]).condition
    'separated'
    """
    table, alpha = pair_table(wins, ties, first_position), risk("alpha", alpha)
    draws = whole("draws", draws, 0, _MOST_DRAWS)
    counted = table.ties is not None and bool(table.ties.any())
    model = model_of(table.trials, table.first is not None, counted)
    cells = table.cells()[:, :, : model.design.shape[1]]
    people = cells[cells.any(axis=(1, 2))].astype(np.float64)
    return _result(table, _estimate(table, model, people), alpha, draws)


@dataclass(frozen=True, slots=True, eq=False)
class _Estimate:
    """The fit of all answers together, and how far it may be off."""

    model: Model
    counts: Floats  # cells × outcomes, all people
    state: Existence
    best: Fit
    merits: Floats
    spread: Floats  # covariance of the unknowns
    source: str
    panelists: int | None

    @property
    def covariance(self) -> Floats:
        place = self.model.trials - 1
        return np.asarray(self.model.basis @ self.spread[:place, :place] @ self.model.basis.T)


def _estimate(table: PairTable, model: Model, people: Floats) -> _Estimate:
    total = pooled(people)
    state = existence(model, total[0])
    best = fit(model.design, total if state.regular else total + model.phantom())
    spread, source = best.covariance()[0], _LIKELIHOOD
    if table.by_panelist and len(people) > 1:
        spread, source = _jackknife(model, people, state.regular, spread)
    panelists = len(people) if table.by_panelist else None
    return _Estimate(model, total[0], state, best, model.merits(best.found[0]), spread, source, panelists)


_LIKELIHOOD, _JACKKNIFE = "likelihood", "jackknife over panelists"


def _jackknife(model: Model, people: Floats, regular: bool, likelihood: Floats) -> tuple[Floats, str]:
    """Covariance of the unknowns by leaving out one person at a time, around the estimate from all."""
    total, n = pooled(people), len(people)
    without = total - people
    plain = regular and all_regular(model, without)
    extra = 0.0 if plain else model.phantom()
    off = fit(model.design, without + extra).found - fit(model.design, total + extra).found
    spread = np.asarray((n - 1) / n * off.T @ off)
    return (spread, _JACKKNIFE) if plain else (_at_least(spread, likelihood), f"penalised {_JACKKNIFE}")


def _at_least(spread: Floats, least: Floats) -> Floats:
    """No direction with a smaller variance than by ``least``."""
    root = np.linalg.cholesky(least)
    turned = np.linalg.solve(root, np.linalg.solve(root, spread).T)
    values, vectors = np.linalg.eigh((turned + turned.T) / 2.0)
    axes = root @ vectors
    return np.asarray(axes * np.maximum(values, 1.0) @ axes.T)


def _result(table: PairTable, found: _Estimate, alpha: float, draws: int) -> PairwiseMerits:
    model, unknown, place = found.model, found.best.found[0], found.model.trials - 1
    joined = linked(model, found.counts)
    return PairwiseMerits(
        wins=_echo(table.wins, table),
        ties=None if table.ties is None else _echo(table.ties, table),
        first_position=None if table.first is None else _echo(table.first, table),
        alpha=alpha,
        log_merits=_shut(found.merits),
        covariance=_shut(found.covariance),
        covariance_from=found.source,
        tie_parameter=_tie_parameter(table, model, unknown),
        position_effect=float(unknown[place]) if model.position else None,
        position_error=sqrt(found.spread[place, place]) if model.position else None,
        panelists=found.panelists,
        condition=_condition(found.state, joined),
        penalised=not found.state.regular,
        groups=groups_of(model, found.state, joined),
        explanation=explained(model, found.state, joined),
        comparisons=_comparisons(found, alpha),
        majorities=_majorities(table.wins) if table.by_panelist else None,
        fit=fit_check(model, found.counts, unknown, draws),
        equality=equality_check(model, found.counts, draws),
        equality_by_people=_hotelling(found),
    )


def _condition(state: Existence, joined: tuple[tuple[int, ...], ...]) -> str:
    if len(joined) > 1:
        return "disconnected"
    if not state.told_apart:
        return "confounded"
    return "regular" if state.direction is None else "separated"


def _tie_parameter(table: PairTable, model: Model, unknown: Floats) -> float | None:
    if table.ties is None:
        return None
    return exp(unknown[-1]) if model.ties else 0.0


def _echo(layers: Ints, table: PairTable) -> Ints:
    kept = (layers if table.by_panelist else layers[0]).copy()
    kept.setflags(write=False)
    return kept


def _shut(values: Floats) -> Floats:
    values.setflags(write=False)
    return values


# --- pairs of trials --------------------------------------------------------------------------------------------------


def _comparisons(found: _Estimate, alpha: float) -> tuple[MeritDifference, ...]:
    places = [(i, j) for i in range(found.model.trials) for j in range(i + 1, found.model.trials)]
    alone = [_pair_p(found, i, j) for i, j in places]
    corrected = holm(alone).tolist()
    return tuple(
        MeritDifference(i, j, *_difference(found.merits, found.covariance, i, j), p, family, family <= alpha)
        for (i, j), p, family in zip(places, alone, corrected, strict=True)
    )


def _difference(merits: Floats, covariance: Floats, i: int, j: int) -> tuple[float, float]:
    variance = covariance[i, i] + covariance[j, j] - 2.0 * covariance[i, j]
    return float(merits[i] - merits[j]), sqrt(max(0.0, float(variance)))


def _pair_p(found: _Estimate, i: int, j: int) -> float:
    if found.source == _LIKELIHOOD:
        return _ratio_p(found, i, j)
    difference, error = _difference(found.merits, found.covariance, i, j)
    if error == 0.0:
        return 1.0 if difference == 0.0 else 0.0
    return float(2.0 * special.stdtr(_freedom(found.panelists, found.source), -abs(difference) / error))


def _ratio_p(found: _Estimate, i: int, j: int) -> float:
    """Twice the height lost when the two merits are held equal, by χ²(1)."""
    model = found.model
    apart = np.zeros(model.unknowns)
    apart[: model.trials - 1] = model.basis[i] - model.basis[j]
    free = np.linalg.svd(apart[None], full_matrices=True)[2][1:].T
    counts = found.counts[None] + (0.0 if found.state.regular else model.phantom())
    lost = float(found.best.height[0] - fit(model.within(free), counts).height[0])
    return float(special.chdtrc(1.0, 2.0 * max(0.0, lost)))


def _freedom(panelists: int | None, source: str) -> float:
    return inf if source == _LIKELIHOOD or panelists is None else float(panelists - 1)


def _quantile(level: float, freedom: float) -> float:
    tail = (1.0 + level) / 2.0
    return float(special.ndtri(tail) if freedom == inf else special.stdtrit(freedom, tail))


def _majorities(wins: Ints) -> tuple[Majority, ...]:
    places = [(i, j) for i in range(wins.shape[1]) for j in range(i + 1, wins.shape[1])]
    counted = [_votes(wins[:, i, j], wins[:, j, i]) for i, j in places]
    alone = [preference_test(one, two).p_value if one + two else 1.0 for one, two, _ in counted]
    corrected = holm(alone).tolist()
    return tuple(
        Majority(*pair, *votes, p, family)
        for pair, votes, p, family in zip(places, counted, alone, corrected, strict=True)
    )


def _votes(first: Ints, second: Ints) -> tuple[int, int, int]:
    even = (first == second) & (first > 0)
    return int((first > second).sum()), int((first < second).sum()), int(even.sum())


def _hotelling(found: _Estimate) -> float | None:
    """T² of the merits against all equal, as F with (t − 1, people − t + 1) degrees of freedom."""
    n, k = found.panelists, found.model.trials - 1
    if n is None or n <= k + 1 or found.source == _LIKELIHOOD:
        return None
    merits = found.best.found[0, :k]
    spread = found.spread[:k, :k]
    if np.linalg.matrix_rank(spread) < k:
        return None
    square = float(merits @ np.linalg.solve(spread, merits))
    return float(special.fdtrc(k, n - k, square * (n - k) / (k * (n - 1))))
