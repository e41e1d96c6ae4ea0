"""May we stop smelling now? Sequential sessions with exact risks."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import takewhile
from typing import Any

import numpy as np
import numpy.typing as npt

from evaluation.errors import ArgumentError
from evaluation.ground.checks import risk, whole
from evaluation.statistics.forced_choice.methods import Method, MethodName, method_named
from evaluation.statistics.laws.inputs import Ints, counts, is_scalar, numbers
from evaluation.statistics.several_looks.absorption import NEGLIGIBLE, Look, absorbed, stops
from evaluation.statistics.several_looks.stopping import Ended, Endless, Lines, ended, wald_lines

# What SequentialPlan.says answers
CONTINUE = "continue"
NOTICED = "noticed"
NOT_NOTICED = "not noticed"
UNDECIDED = "undecided"

# Longer plans are no sessions; they would only make the recursion slow.
LONGEST = 100_000


@dataclass(frozen=True, slots=True, eq=False)
class OperatingCharacteristic:
    """What :meth:`SequentialPlan.operating` found: floats, or arrays of the shape asked; the first echoes it.

    Attributes
    ----------
    proportion_correct : guessing + pd × (1 − guessing), where pd was asked.
    noticed, not_noticed, undecided : probabilities of the three ends; they add up to 1.
    expected_assessments : mean number of assessments until the end.
    """

    proportion_correct: Any
    noticed: Any
    not_noticed: Any
    undecided: Any
    expected_assessments: Any


@dataclass(frozen=True, slots=True)
class StoppingTimes:
    """What :meth:`SequentialPlan.stopping` found: the looks, and the chances to end there.

    Attributes
    ----------
    proportion_correct : guessing + pd × (1 − guessing).
    assessments : number of assessments at each look.
    noticed, not_noticed : probabilities to stop at that look as such.
    undecided : probability of no verdict at the last look (without a last look: what was left unfollowed, < 1e-12).
    """

    proportion_correct: float
    assessments: tuple[int, ...]
    noticed: tuple[float, ...]
    not_noticed: tuple[float, ...]
    undecided: float

    def within(self, share: float) -> int:
        """Number of assessments within which at least this share of such sessions, between 0 and 1, has ended."""
        share = risk("share", share)
        ended_by = np.cumsum(np.add(self.noticed, self.not_noticed))
        place = min(int(np.searchsorted(ended_by, share)), len(self.assessments) - 1)
        return self.assessments[place]


@dataclass(frozen=True, slots=True)
class SequentialPlan:
    """What :func:`sequential_plan` found; the first seven fields echo its arguments.

    Attributes
    ----------
    slope, intercept_low, intercept_high : Wald's lines in counts, as in ISO 16820: not noticed where correct ≤
    intercept_low + slope × assessments, noticed where correct ≥ intercept_high + slope × assessments.
    alpha_exact : probability of ending as noticed if everybody guesses.
    beta_exact : probability of ending as not noticed if a share ``pd`` notices.
    expected_at_null, expected_at_pd : mean number of assessments in these two cases.
    """

    method: MethodName
    alpha: float
    beta: float
    pd: float
    look_every: int
    max_assessments: int | None
    looks: tuple[int, ...] | None
    slope: float
    intercept_low: float
    intercept_high: float
    alpha_exact: float
    beta_exact: float
    expected_at_null: float
    expected_at_pd: float
    _rule: Endless | Ended = field(repr=False)

    def upper(self, assessments: int) -> int | None:
        """Fewest correct of so many that stop as noticed; None: not possible yet, or no look there."""
        look = self._look(assessments)
        return None if look is None or look[2] > look[0] else look[2]

    def lower(self, assessments: int) -> int | None:
        """Most correct of so many that stop as not noticed; None: not possible yet, or no look there."""
        look = self._look(assessments)
        return None if look is None or look[1] < 0 else look[1]

    def says(self, correct: int, assessments: int) -> str:
        """``"continue"``, ``"noticed"``, ``"not noticed"``, or ``"undecided"``: the last look passed without either.

        Between looks it is always ``"continue"``, whatever the count.
        """
        look, right = self._look(assessments), whole("correct", correct, 0, whole("assessments", assessments))
        if look is None:
            return CONTINUE
        asked, lower, upper = look
        if right >= upper:
            return NOTICED
        if right <= lower:
            return NOT_NOTICED
        return UNDECIDED if asked == self._rule.end else CONTINUE

    def limits(self, until: int | None = None) -> tuple[tuple[int, int | None, int | None], ...]:
        """(assessments, lower, upper) of all looks, up to ``until``; a plan without a last look needs ``until``."""
        if until is None and self._rule.end is None:
            raise ArgumentError(f"until must be a whole number from 1 to {LONGEST}: this plan has no last look.")
        last = self._rule.end if until is None else whole("until", until, 1, LONGEST)
        shown = takewhile(lambda look: last is None or look[0] <= last, self._rule.looks())
        return tuple((n, low if low >= 0 else None, high if high <= n else None) for n, low, high in shown)

    def operating(
        self, pd: npt.ArrayLike | None = None, *, proportion_correct: npt.ArrayLike | None = None
    ) -> OperatingCharacteristic:
        """How do such sessions end, if a share ``pd`` (0 … 1) notices; or if so large a proportion is correct?

        Exact recursion over the looks. A plan without a last look is followed until less than 1e-12 is undecided.
        """
        if (pd is None) == (proportion_correct is None):
            given = "both" if pd is not None else "neither"
            raise ArgumentError(f"Exactly one of pd and proportion_correct must be given, not {given}.")
        scalar = is_scalar(pd if proportion_correct is None else proportion_correct)
        share = self._proportion(pd) if pd is not None else numbers("proportion_correct", proportion_correct, 0.0, 1.0)
        found = absorbed(self._rule.looks(), np.atleast_1d(share).ravel())
        columns = (found.noticed, found.not_noticed, found.undecided, found.expected)
        shaped = (share, *(column.reshape(np.shape(share)) for column in columns))
        return OperatingCharacteristic(*(float(one) if scalar else one for one in shaped))

    def stopping(self, pd: float) -> StoppingTimes:
        """After how many assessments do such sessions end, if a share ``pd`` (0 … 1) notices?"""
        share = float(self._proportion(_one("pd", pd)))
        asked, noticed, not_noticed, left = stops(self._rule.looks(), share)
        return StoppingTimes(share, tuple(asked), tuple(noticed), tuple(not_noticed), left)

    def _look(self, assessments: int) -> Look | None:
        return self._rule.at(whole("assessments", assessments, 1, self._rule.end or LONGEST))

    def _proportion(self, pd: npt.ArrayLike) -> Any:
        guessing = float(method_named(self.method).guessing)
        return guessing + numbers("pd", pd, 0.0, 1.0) * (1.0 - guessing)


def _one(name: str, value: Any) -> Any:
    if not is_scalar(value):
        raise ArgumentError(f"{name} must be one number, not {value!r}.")
    return value


def sequential_plan(
    method: str,
    alpha: float,
    beta: float,
    pd: float,
    look_every: int = 1,
    max_assessments: int | None = None,
    *,
    looks: npt.ArrayLike | None = None,
) -> SequentialPlan:
    """After which answers may we stop, and what are the risks of stopping there?

    Parameters
    ----------
    method : {"triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"}
    alpha, beta : float, between 0 and 1, together below 1
        Risk of ending as noticed if everybody guesses; risk of ending as not noticed if a share ``pd`` notices.
    pd : float, between 0 and 1
        Smallest share of assessments noticed that would matter.
    look_every : int, 1 or more
        Assessments from look to look: the size of the panel where all smell at the same time.
    max_assessments : int, a multiple of ``look_every``, at most 100000; or None for no end
        The last look.
    looks : 1-D array of increasing whole numbers, at most 100000
        The totals at which one looks, the last of them the end, in place of the two before: for rounds of which
        answers were lost.

    Returns
    -------
    SequentialPlan

    Raises
    ------
    ArgumentError, KindError
        A value outside its range; alpha + beta of 1 or more; unknown method; ``looks`` beside the other two; without
        an end, a pd so small that such a session might take more than 100000 assessments.

    Notes
    -----
    Without an end the limits are Wald's lines and nothing else; ``alpha_exact`` and ``beta_exact`` mostly lie below
    the risks asked, as counts overshoot the lines, and never exceed them together, but one of them may exceed its own
    by a little. With an end neither is exceeded: before the last look the lines hold (moved outwards only where they
    would take more than the risk), and the last look notices from the fewest correct that what is left of alpha
    affords, then does not from the most that beta affords, but for a count below guessing that the line does not
    reach (no conclusion: ISO 4120:2004, 8.2). What lies between ends as undecided: that is no error of either kind,
    and makes the power less than 1 − beta. Sessions also stop once the answers to come cannot change that verdict.

    The risks hold for looking at these totals only: a glance at the score in between that may end the session breaks
    them. Answers must be independent; ``alpha_exact`` holds for "nobody can tell" also with several answers per
    person, ``beta_exact`` for one answer per person, or for the sets of one nose. After a session with looks the p and
    the interval of a fixed number of assessments are not valid.

    References
    ----------
    Wald 1947, Sequential Analysis, chapters 3 and 5; ISO 16820:2004 (both from memory). End and exact risks: own
    derivation, checked against enumeration of all paths.

    Examples
    --------
    >>> plan = sequential_plan("triangle", 0.05, 0.05, 0.5)
    >>> [(k, plan.lower(k), plan.upper(k)) for k in (4, 5, 8)]
    [(4, None, None), (5, 0, 5), (8, 1, 7)]
    >>> round(plan.alpha_exact, 4), round(plan.expected_at_null, 1)
    (0.0303, 14.1)
    >>> short = sequential_plan("triangle", 0.05, 0.05, 0.5, max_assessments=24)
    >>> short.lower(24), short.upper(24), round(short.alpha_exact, 4), round(short.operating(0.5).undecided, 4)
    (11, 13, 0.0405, 0.0292)
    """
    way, alpha, beta, pd = method_named(method), risk("alpha", alpha), risk("beta", beta), risk("pd", pd)
    if alpha + beta >= 1.0:
        raise ArgumentError(f"alpha and beta must add up to less than 1, not {alpha + beta:g}.")
    every = whole("look_every", look_every, 1, LONGEST)
    totals = _totals(every, max_assessments, looks)
    lines = wald_lines(way.guessing, way.proportion_correct(pd), alpha, beta)
    rule = _endless(lines, every) if totals is None else ended(lines, totals)
    return _plan(way, pd, every, None if looks is None else totals, lines, rule)


def _plan(
    way: Method, pd: float, every: int, looks: Ints | None, lines: Lines, rule: Endless | Ended
) -> SequentialPlan:
    found = absorbed(rule.looks(), np.array([float(lines.null), float(lines.truth)]))
    return SequentialPlan(
        method=way.name,
        alpha=lines.alpha,
        beta=lines.beta,
        pd=pd,
        look_every=every,
        max_assessments=rule.end,
        looks=None if looks is None else tuple(looks.tolist()),
        slope=lines.slope,
        intercept_low=lines.low,
        intercept_high=lines.high,
        alpha_exact=float(found.noticed[0]),
        beta_exact=float(found.not_noticed[1]),
        expected_at_null=float(found.expected[0]),
        expected_at_pd=float(found.expected[1]),
        _rule=rule,
    )


def _totals(every: int, most: int | None, looks: npt.ArrayLike | None) -> Ints | None:
    """The looks of a plan with an end, checked; None without an end."""
    if looks is not None:
        return _given(looks, every, most)
    if most is None:
        return None
    end = whole("max_assessments", most, 1, LONGEST)
    if end % every:
        near = max(end - end % every, every)
        raise ArgumentError(f"max_assessments must be a multiple of look_every ({every}), such as {near}, not {end}.")
    return np.arange(every, end + 1, every)


def _given(looks: npt.ArrayLike, every: int, most: int | None) -> Ints:
    if every != 1 or most is not None:
        raise ArgumentError("looks must be given alone, without look_every and max_assessments.")
    totals = counts("looks", looks)
    if totals.size == 0 or (np.diff(totals) <= 0).any() or totals[-1] > LONGEST:
        raise ArgumentError(f"looks must hold increasing totals from 1 to {LONGEST}, not {totals.tolist()!r}.")
    return totals


def _endless(lines: Lines, every: int) -> Endless:
    """Wald's lines for ever, refused where they might be followed for too long.

    Between the lines the count drifts least at a proportion equal to the slope. There the part still going falls like
    4/π exp(−π² σ² n / 2 w²), w the width between the lines and σ² the variance of one answer (the diffusion between
    two barriers; Cox & Miller 1965, The Theory of Stochastic Processes, 5.7, from memory); a step of overshoot at each
    side, and a fifth more, make it safe.
    """
    width = lines.high - lines.low + 2.0
    decay = math.pi**2 * lines.slope * (1.0 - lines.slope) / (2.0 * width * width)
    longest = 1.2 * math.log(4.0 / math.pi / NEGLIGIBLE) / decay + every
    if longest > LONGEST:
        raise ArgumentError(
            f"pd must be large enough for a session without an end to stop within {LONGEST} assessments; {lines.truth} "
            "correct is too near guessing. Give max_assessments, or a larger pd."
        )
    return Endless(lines, every)
