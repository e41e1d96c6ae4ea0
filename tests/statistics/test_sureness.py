"""Weighted right answers: the exact law against every outcome, and what weighting gains."""

from __future__ import annotations

import dataclasses
from bisect import bisect_left
from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import product
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, multinomial

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import difference_test, weighted_difference
from tests.judging.test_verdicts import GUESSING as G


def by_every_outcome(correct: list[int], weights: list[int], g: Fraction) -> Fraction:
    """All 2 ** n ways to be right or wrong, each with its chance."""
    seen = sum(w for w, hit in zip(weights, correct, strict=True) if hit)
    total = Fraction(0)
    for outcome in product((0, 1), repeat=len(weights)):
        if sum(w * hit for w, hit in zip(weights, outcome, strict=True)) >= seen:
            total += g ** sum(outcome) * (1 - g) ** (len(outcome) - sum(outcome))
    return total


@settings(max_examples=60)
@given(st.lists(st.tuples(st.integers(0, 1), st.integers(0, 7)), max_size=9), st.sampled_from(sorted(G)))
def test_p_is_that_of_every_outcome(answers: list[tuple[int, int]], method: str) -> None:
    correct, weights = [hit for hit, _ in answers], [weight for _, weight in answers]
    found = weighted_difference(correct, weights, method)
    assert found.p_value == float(by_every_outcome(correct, weights, G[method]))  # to the last digit
    assert (found.statistic, found.total) == (sum(np.multiply(correct, weights)), sum(weights))


@pytest.mark.parametrize("method", G)
def test_equal_weights_are_the_count(method: str) -> None:
    for right in (0, 3, 7, 12):
        found = weighted_difference([1] * right + [0] * (12 - right), [3] * 12, method)
        assert found.p_value == pytest.approx(difference_test(right, 12, method).p_value, rel=1e-12)
    assert weighted_difference([1, 0], [0, 0], method).p_value == 1.0  # weights that say nothing


def test_no_order_and_no_common_factor_of_the_weights_matters() -> None:
    correct, weights = [1, 0, 1, 1, 0], [5, 2, 3, 2, 4]
    found = weighted_difference(correct, weights, "triangle")
    assert weighted_difference(correct[::-1], weights[::-1], "triangle").p_value == found.p_value
    assert weighted_difference(correct, [7 * one for one in weights], "triangle").p_value == found.p_value


# The open odour triangles of Ravia et al. 2020 (Nature 588, 118), 2,720 answers, confidence cut at .25, .5 and .75: how
# often each word, and how often right with it (recomputed by test_the_words_of_the_open_triangles).
SAID = (0.117, 0.168, 0.282, 0.434)
RIGHT = (0.404, 0.376, 0.497, 0.664)
WEIGHTS = (2, 3, 4, 5)
AT_PD = 1 / 3 + 2 / 3 * 0.3


def test_the_words_of_the_open_triangles(datasets: Path) -> None:
    answers = pd.read_csv(datasets / "ravia2020_answers.csv")
    word = np.digitize(answers["confidence"], [0.25, 0.5, 0.75])
    assert tuple(round(float((word == one).mean()), 3) for one in range(4)) == SAID
    assert tuple(round(float(answers["correct"][word == one].mean()), 3) for one in range(4)) == RIGHT


def power(people: int, right: tuple[float, ...]) -> float:
    """Chance to reach .05 with so many triangles, exact: over every way the words can fall."""
    said = np.array(SAID) / sum(SAID)
    return sum(
        float(multinomial.pmf(numbers, people, said)) * reached(numbers, right)
        for numbers in product(range(people + 1), repeat=4)
        if sum(numbers) == people
    )


def reached(numbers: tuple[int, ...], right: tuple[float, ...]) -> float:
    """Of sessions in which the words were said so often each."""
    weights = [weight for weight, often in zip(WEIGHTS, numbers, strict=True) for _ in range(often)]
    law = np.ones(1)
    for weight, often, share in zip(WEIGHTS, numbers, right, strict=True):
        own = np.zeros(weight * often + 1)
        own[::weight] = binom.pmf(np.arange(often + 1), often, share)
        law = np.convolve(law, own)
    sums = sorted(set(subset_sums(numbers)))
    least = bisect_left(sums, True, key=lambda one: p_of(weights, one) <= 0.05)
    return float(law[sums[least] :].sum()) if least < len(sums) else 0.0


def subset_sums(numbers: tuple[int, ...]) -> Iterator[int]:
    for hits in product(*(range(often + 1) for often in numbers)):
        yield int(np.dot(hits, WEIGHTS))


def p_of(weights: list[int], statistic: int) -> float:
    return weighted_difference(answers_of(weights, statistic), weights, "triangle").p_value


def answers_of(weights: list[int], statistic: int) -> list[int]:
    """Which answers were right, so that their weights add up to ``statistic``."""
    ways: dict[int, tuple[int, ...]] = {0: ()}
    for place, weight in enumerate(weights):
        for total, chosen in list(ways.items()):
            ways.setdefault(total + weight, (*chosen, place))
    return [int(place in ways[statistic]) for place in range(len(weights))]


def test_what_weighting_gains_at_twelve_triangles() -> None:
    """A share of .3: by count 8 of 12 are needed and reached in .265.

    By weight .37 where sureness tells nothing, since more levels are attainable; .44 where each word is right as often
    as in the open triangles.
    """
    assert round(float(binom.sf(7, 12, AT_PD)), 3) == 0.265
    assert round(power(12, (AT_PD,) * 4), 2) == 0.37
    assert round(power(12, scaled_to(AT_PD)), 2) == 0.44


def scaled_to(mean: float) -> tuple[float, ...]:
    """The rates of the data, drawn towards guessing so that their mean is ``mean``."""
    rates, said = np.array(RIGHT), np.array(SAID) / sum(SAID)
    return tuple((1 / 3 + (rates - 1 / 3) * (mean - 1 / 3) / (float(rates @ said) - 1 / 3)).tolist())


@pytest.mark.slow
def test_where_sureness_tells_nothing_weighting_loses_a_little() -> None:
    """At 18 triangles 10 are needed by count: .521, against .496 by weight."""
    assert round(float(binom.sf(9, 18, AT_PD)), 3) == 0.521
    assert round(power(18, (AT_PD,) * 4), 3) == 0.496


def test_long_sessions_stay_exact_and_longer_ones_are_refused() -> None:
    found = weighted_difference([1] * 500 + [0] * 500, [1] * 1000, "triangle")
    assert found.p_value == pytest.approx(binom.sf(499, 1000, 1 / 3), rel=1e-9)
    with pytest.raises(ArgumentError, match=r"^correct must be from 0 to 1000 answers, not 1001"):
        weighted_difference([1] * 1001, [1] * 1001, "triangle")
    with pytest.raises(ArgumentError, match=r"^weights must be from 0 to 10000 in all, not 10001"):
        weighted_difference([1], [10_001], "triangle")


def test_results_are_frozen_and_echo_their_inputs() -> None:
    found = weighted_difference(np.array([True, False]), (4, 2.0), "2-afc")
    assert (found.correct, found.weights, found.method) == ((1, 0), (4, 2), "2-afc")
    assert (found.statistic, found.total, found.p_value) == (4, 6, 0.5)
    assert weighted_difference([], [], "triangle").p_value == 1.0
    assert not hasattr(found, "__dict__")
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.p_value = 0.0  # type: ignore[misc]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: weighted_difference([1, 0], [2], "triangle"),
            r"^weights must have one entry an answer, as many as correct",
        ),
        (lambda: weighted_difference([2], [2], "triangle"), r"^correct must be 0 \(wrong\) or 1 \(right\) .* not 2"),
        (lambda: weighted_difference([-1], [2], "triangle"), r"^correct must hold whole numbers from 0 .* not -1"),
        (lambda: weighted_difference([0.5], [2], "triangle"), r"^correct must hold whole numbers"),
        (lambda: weighted_difference([1], [-2], "triangle"), r"^weights must hold whole numbers from 0 .* not -2"),
        (lambda: weighted_difference([1], [2.5], "triangle"), r"^weights must hold whole numbers"),
        (lambda: weighted_difference([1], [2], "pairs"), r"^method must be one of"),
    ],
)
def test_what_is_refused_is_named(call: Callable[[], object], message: str) -> None:
    with pytest.raises(ArgumentError, match=message):
        call()


def test_a_truth_among_numbers_is_a_slip() -> None:
    with pytest.raises(KindError):
        weighted_difference([True, 0], [1, 1], "triangle")
