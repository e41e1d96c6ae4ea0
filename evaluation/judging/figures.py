"""The numbers the rule compares, each worked out once per count: comparisons in one file repeat the same few counts."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations_with_replacement, pairwise
from typing import Final

from evaluation import statistics
from evaluation.counting.tallies import Said
from evaluation.errors import ArgumentError
from evaluation.judging.entries import Rules
from evaluation.kinds import Method
from evaluation.statistics import DifferenceTest, PreferenceTest
from evaluation.statistics.forced_choice import sureness

# A p-value this close to a risk is equal to it: the last digits of a float, as evaluation.statistics holds it.
LAST_DIGITS: Final = 1.0 + 1e-12
_KEPT: Final = 1 << 16
_PORTION: Final = 1000

Three = tuple[float | None, float | None, float | None]  # estimate, low, high
NOTHING: Final[Three] = (None, None, None)


@dataclass(frozen=True, slots=True)
class Facts:
    """Limits and estimates of one count; None throughout where nobody answered."""

    minimum: int | None
    maximum: int | None
    turned: bool
    proportion: float | None
    share: Three
    distance: Three
    level: float
    upper_limit: float | None


def facts(
    correct: int, assessments: int, method: Method, alpha_used: float, rules: Rules, replicated: bool = False
) -> Facts:
    """The numbers of one count at the level used; ``replicated``: one of several people answered more than once."""
    return _facts(correct, assessments, method, alpha_used, rules.alpha, rules.beta, rules.pd, replicated)


@lru_cache(_KEPT)
def _facts(
    correct: int,
    assessments: int,
    method: Method,
    alpha_used: float,
    alpha: float,
    beta: float,
    pd: float,
    replicated: bool,
) -> Facts:
    level = interval_level(alpha)
    if assessments == 0:
        return Facts(None, None, False, None, NOTHING, NOTHING, level, None)
    test = tested(correct, assessments, method)
    share, distance = test.interval(level), NOTHING
    if test.d_prime is not None:
        far = test.interval(level, of="d_prime")
        distance = (test.d_prime, far.low, far.high)
    limit = panel_limit if replicated else similarity
    most, upper = limit(correct, assessments, method, pd, beta)
    return Facts(
        minimum=minimum(assessments, method, alpha_used),
        maximum=most,
        turned=turned(correct, assessments, method, alpha),
        proportion=test.proportion_correct,
        share=(test.discriminators, share.low, share.high),
        distance=distance,
        level=level,
        upper_limit=upper,
    )


@lru_cache(_KEPT)
def weighed_p_value(said: Said, method: Method, weights: tuple[int, ...]) -> float:
    """Exact one-sided p of the right answers' weight given the sureness said; 1 where nobody answered."""
    return statistics.weighted_difference(*_one_by_one(said, weights), method).p_value


@lru_cache(_KEPT)
def least_weight(said: Said, method: Method, weights: tuple[int, ...], level: float) -> int | None:
    """Least weight of right answers that reaches ``level``; None where nobody answered or all right is not enough."""
    each = _one_by_one(said, weights)[1]
    return sureness.least_weight(each, method, level) if each else None


def _one_by_one(said: Said, weights: tuple[int, ...]) -> tuple[list[int], list[int]]:
    """Right (1) or wrong (0), and the weight, of every answer."""
    right = [int(place < hits) for asked, hits in said for place in range(asked)]
    return right, [weight for (asked, _), weight in zip(said, weights, strict=True) for _ in range(asked)]


def interval_level(alpha: float) -> float:
    """Level of the two-sided limits: 1 - 2 alpha, each end at the one-sided risk; never under one half."""
    return max(1.0 - 2.0 * alpha, 0.5)


def turned(correct: int, assessments: int, method: Method, alpha: float) -> bool:
    """True where so few are correct that guessing explains it with probability ≤ alpha (always at full alpha)."""
    return statistics.reversed_tail(correct, assessments, method) <= alpha * LAST_DIGITS


@lru_cache(_KEPT)
def tested(correct: int, assessments: int, method: Method) -> DifferenceTest:
    """The exact test of a count, kept; at least one answer is asked for."""
    return statistics.difference_test(correct, assessments, method)


@lru_cache(_KEPT)
def p_value(correct: int, assessments: int, method: Method) -> float:
    """Exact one-sided p; 1 where nobody answered."""
    return tested(correct, assessments, method).p_value if assessments else 1.0


@lru_cache(_KEPT)
def minimum(assessments: int, method: Method, level: float) -> int | None:
    """Fewest correct that reach ``level``; None where nobody answered or all correct is not enough."""
    return statistics.minimum_correct(assessments, method, level) if assessments else None


@lru_cache(_KEPT)
def maximum(assessments: int, method: Method, pd: float, beta: float) -> int | None:
    """Most correct that support "few notice", one answer per person; None where no count does."""
    return statistics.maximum_correct(assessments, method, pd, beta)


def similarity(correct: int, assessments: int, method: Method, pd: float, beta: float) -> tuple[int | None, float]:
    """Most correct that support "few notice", and the upper limit: one answer per person, or one nose."""
    test = statistics.similarity_test(correct, assessments, method, pd, beta)
    return test.maximum_correct, test.upper_limit


def panel_limit(correct: int, assessments: int, method: Method, pd: float, beta: float) -> tuple[int | None, float]:
    """The same where several people answered more than once: of this panel, as a share of such sets.

    Both numbers rest on the totals alone, whoever gave the answers; so they are asked for in portions of the size the
    statistics take from one person.
    """
    asked = [min(_PORTION, assessments - start) for start in range(0, assessments, _PORTION)]
    right = [min(size, max(0, correct - place * _PORTION)) for place, size in enumerate(asked)]
    limit = statistics.replicated_limit(right, asked, method, pd, beta)
    return limit.maximum_correct, limit.upper_limit


@lru_cache(_KEPT)
def panel_maximum(assessments: int, method: Method, pd: float, beta: float) -> int | None:
    """Most correct of a panel with several answers per person that support "this panel notices few of such sets"."""
    return panel_limit(0, assessments, method, pd, beta)[0] if assessments else None


def settle(method: Method, alpha: float, beta: float, pd: float) -> int | None:
    """Assessments of a fresh session with power 1 - beta at pd, stable n."""
    return panel_size(method, alpha, beta, pd, "stays")


@lru_cache(1024)
def panel_size(method: Method, alpha: float, beta: float, pd: float, rule: str) -> int | None:
    """The panel size; None where ten million might not do."""
    try:
        return statistics.panel_size(method, alpha, beta, pd, rule)
    except ArgumentError:
        return None


# --- preferences ----------------------------------------------------------------------------------------------


@lru_cache(_KEPT)
def preferred(first: int, second: int, none: int, ties: str) -> PreferenceTest:
    """The exact test of votes, kept; ``ties`` says what becomes of "no preference"."""
    return statistics.preference_test(first, second, none, ties)


def preference_p_value(first: int, second: int, none: int, ties: str) -> float:
    """Exact two-sided p; 1 where nobody answered."""
    return preferred(first, second, none, ties).p_value if first + second + none else 1.0


def shares(first: int, second: int, none: int, ties: str, alpha: float) -> Three:
    """Share preferring the first with limits at 1 - alpha; None where no vote entered."""
    if first + second + none == 0:
        return NOTHING
    test = preferred(first, second, none, ties)
    if test.share_first is None:
        return NOTHING
    limits = test.interval(1.0 - alpha)
    return test.share_first, limits.low, limits.high


@lru_cache(_KEPT)
def preference_minimum(votes: int, level: float) -> int | None:
    """Fewest votes for one trial that reach ``level``; None where no vote entered or all are not enough."""
    return statistics.preference_critical(votes, level) if votes else None


def preference_share(pd: float) -> float:
    """The share that chooses one trial if ``pd`` prefer it and the others toss a coin (ISO 5495, from memory)."""
    return (1.0 + pd) / 2.0


def preference_settle(alpha: float, beta: float, pd: float) -> int | None:
    """People of a fresh session that would show such a preference with power 1 - beta, stable n."""
    return preference_size(alpha, beta, pd, "stays")


@lru_cache(1024)
def preference_size(alpha: float, beta: float, pd: float, rule: str) -> int | None:
    """People needed; None where ten million might not do."""
    try:
        return statistics.preference_panel_size(alpha, beta, preference_share(pd), rule)
    except ArgumentError:
        return None


def power_at_every(reach: Sequence[float]) -> float:
    """How probably each of several ages is found by Holm's procedure where the change is there at all of them.

    ``reach[r]``: the probability that one age alone reaches the level of step r, strictest first. Exact where answers
    at one age say nothing about those at another; ages that a person notices or misses together lie between this and
    ``reach[0]``, the power where only one age has the change.

    Every age falls into a class by the strictest step it reaches; the step-down of Holm (1979, Scand. J. Statist. 6,
    65-70) rejects the r strictest as long as the s-th of them reaches step s, and each is equally likely among them.
    """
    classes = [reach[0], *(later - former for former, later in pairwise(reach)), 1.0 - reach[-1]]
    total = len(reach)
    found = 0.0
    for ranked in combinations_with_replacement(range(total + 1), total):
        passed = next((step for step, reached in enumerate(ranked) if reached > step), total)
        found += passed / total * _orders(ranked) * math.prod(classes[one] for one in ranked)
    return found


def _orders(ranked: Sequence[int]) -> int:
    """In how many orders these classes can fall to the ages."""
    return math.factorial(len(ranked)) // math.prod(math.factorial(number) for number in Counter(ranked).values())


def smallest_preference(people: int, level: float, beta: float) -> float:
    """The smallest pd whose preference this panel shows with power 1 - beta, by bisection."""
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = (low + high) / 2.0
        found = statistics.preference_power(people, level, preference_share(middle))
        low, high = (low, middle) if found >= 1.0 - beta else (middle, high)
    return high
