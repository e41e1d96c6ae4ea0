"""What weighing answers by sureness is worth: every way the words can fall, against enumeration and a binomial."""

from __future__ import annotations

from itertools import product
from math import comb, factorial, prod
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from evaluation.errors import ArgumentError
from evaluation.kinds.two_trials import MOST_WEIGHED
from evaluation.planning import weights
from evaluation.statistics import difference_test, minimum_correct, weighted_difference
from evaluation.statistics.forced_choice.sureness import least_weight
from evaluation.statistics.forced_choice.weighing import MOST_FORESEEN, weighing
from tests.judging.test_verdicts import GUESSING as G
from tests.statistics.test_sureness import answers_of, power

USUAL = (2, 3, 4, 5)


@settings(max_examples=40)
@given(st.lists(st.integers(0, 6), min_size=1, max_size=7), st.sampled_from(sorted(G)), st.floats(0.001, 0.5))
def test_the_least_weight_is_the_smallest_attainable_sum_whose_p_reaches(
    each: list[int], method: str, alpha: float
) -> None:
    sums = {sum(w * hit for w, hit in zip(each, way, strict=True)) for way in product((0, 1), repeat=len(each))}
    reached = [one for one in sums if weighted_difference(answers_of(each, one), each, method).p_value <= alpha]
    assert least_weight(each, method, alpha) == (min(reached) if reached else None)


def test_a_p_that_equals_alpha_is_reached() -> None:
    assert least_weight([1, 1, 1], "triangle", 1 / 27) == 3  # all three right by guessing: 1 / 27
    assert least_weight([1, 1, 1], "triangle", 1 / 28) is None


def by_enumeration(asked: int, method: str, alpha: float, said: list[float], right: list[float]) -> float:
    """Every way the words can fall, and every number right of each word, one by one."""
    total = 0.0
    for way in product(range(asked + 1), repeat=4):
        if sum(way) != asked:
            continue
        each = [weight for weight, often in zip(USUAL, way, strict=True) for _ in range(often)]
        least = least_weight(each, method, alpha)
        chance = factorial(asked) * prod(p**n / factorial(n) for p, n in zip(said, way, strict=True))
        for hits in product(*(range(often + 1) for often in way)):
            if least is not None and sum(w * h for w, h in zip(USUAL, hits, strict=True)) >= least:
                laws = (comb(n, h) * p**h * (1 - p) ** (n - h) for n, h, p in zip(way, hits, right, strict=True))
                total += chance * prod(laws)
    return total


@pytest.mark.parametrize(
    ("asked", "method", "alpha"), [(6, "triangle", 0.05), (7, "2-afc", 0.05), (4, "tetrad", 0.025)]
)
def test_power_is_that_of_every_way_and_every_outcome(asked: int, method: str, alpha: float) -> None:
    said, right = [0.1, 0.2, 0.3, 0.4], [0.35, 0.4, 0.5, 0.9]
    found = weighing(asked, method, alpha, USUAL)
    assert found.reached(said, right) == pytest.approx(by_enumeration(asked, method, alpha, said, right), abs=1e-12)


def test_one_word_for_all_is_the_count_and_the_true_alpha_never_passes_alpha() -> None:
    for asked in (6, 12, 17):
        found = weighing(asked, "triangle", 0.05, USUAL)
        least = minimum_correct(asked, "triangle", 0.05)
        assert least is not None
        assert found.reached([0, 1, 0, 0], [0.6] * 4) == pytest.approx(binom.sf(least - 1, asked, 0.6), abs=1e-12)
        assert found.reached([0.25] * 4, [1 / 3] * 4) <= 0.05
    assert weighing(2, "triangle", 0.05, USUAL).fewest_right is None  # both right by guessing: 1 / 9


def test_the_fewest_right_that_can_reach_it() -> None:
    """Looked for among all answers of 12 triangles: with five right, and with no four, .05 can be reached."""
    found = weighing(12, "triangle", 0.05, USUAL)
    assert found.fewest_right == 5
    assert weighted_difference([1] * 5 + [0] * 7, [5] * 5 + [2] * 7, "triangle").p_value <= 0.05
    best = min(
        weighted_difference([1] * 4 + [0] * 8, [5] * 4 + sorted(rest), "triangle").p_value
        for rest in ([2] * 8, [2] * 4 + [3] * 4, [3] * 8)
    )
    assert best > 0.05


def test_the_figures_of_twelve_and_eighteen_triangles() -> None:
    """The issue's law is found again: .39 where noticers speak as the right ones of the data did, guessers as all did.

    Half of what sureness tells is lost in that law, as lucky guesses are among the right ones; with the data's own
    rates .443 (``test_sureness``), and .371 where sureness tells nothing.
    """
    twelve = weights.by_weight(12, "triangle", 0.05, 0.3, USUAL)
    told = (twelve.by_count, twelve.says_nothing, twelve.as_in_data)
    assert tuple(round(one, 3) for one in told) == (0.265, 0.371, 0.390)
    assert twelve.says_nothing == pytest.approx(power(12, (1 / 3 + 0.2,) * 4), abs=2e-4)  # the second route
    assert twelve.true_alpha <= 0.05
    eighteen = weights.by_weight(18, "triangle", 0.05, 0.3, USUAL)
    assert (round(eighteen.by_count, 3), round(eighteen.says_nothing, 3)) == (0.521, 0.496)


def test_it_is_offered_only_where_the_steps_of_the_count_are_coarse() -> None:
    """By count 12 triangles attain .019 of .05, 18 attain .043; two can never reach it."""
    assert weights.is_coarse(12, "triangle", 0.05)
    assert not weights.is_coarse(18, "triangle", 0.05)
    assert not weights.is_coarse(2, "triangle", 0.05)
    assert not weights.is_coarse(0, "triangle", 0.05)
    for asked in range(1, MOST_FORESEEN + 1):
        attained = binom.sf(difference_test(0, asked, "triangle").minimum_correct - 1, asked, 1 / 3) if asked > 2 else 1
        assert weights.is_coarse(asked, "triangle", 0.05) == (attained < 0.03)
    assert not weights.is_coarse(6, "2-afc", 0.02)  # 1 / 64 of .02: under .03, and fine all the same
    assert MOST_WEIGHED == MOST_FORESEEN


def test_the_words_of_the_open_triangles_are_those_the_plan_reckons_with(datasets: Path) -> None:
    answers = pd.read_csv(datasets / "ravia2020_answers.csv")
    word = pd.cut(answers["confidence"], [-1, 0.25, 0.5, 0.75, 2], right=False, labels=False)
    assert tuple(round(float((word == one).mean()), 3) for one in range(4)) == weights.SAID
    assert tuple(round(float(answers["correct"][word == one].mean()), 3) for one in range(4)) == weights.RIGHT


def test_on_the_open_triangles_themselves_weighing_finds_more(datasets: Path) -> None:
    """The first 12 answers to each of 50 pairs, all of different people: noticed in 13 by count and 20 by weight."""
    answers = pd.read_csv(datasets / "ravia2020_answers.csv").drop_duplicates(["comparison", "panelist"])
    first = answers.groupby("comparison").head(12)
    found = {"count": 0, "weight": 0}
    for _, own in first.groupby("comparison"):
        each = [
            USUAL[place] for place in pd.cut(own["confidence"], [-1, 0.25, 0.5, 0.75, 2], right=False, labels=False)
        ]
        found["count"] += difference_test(int(own["correct"].sum()), len(own), "triangle").p_value <= 0.05
        found["weight"] += weighted_difference(own["correct"].to_list(), each, "triangle").p_value <= 0.05
    assert found == {"count": 13, "weight": 20}


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: weighing(41, "triangle", 0.05, USUAL), r"^assessments must be from 1 to 40, not 41"),
        (lambda: weighing(4, "triangle", 0.05, (2, -1)), r"^weights must hold whole numbers from 0 .* not -1"),
        (lambda: weighing(4, "triangle", 1.5, USUAL), r"^alpha must lie between 0 and 1"),
        (lambda: weighing(4, "triangle", 0.05, USUAL).reached([1.0], [0.5]), r"^said must have one entry a word \(4\)"),
        (lambda: weighing(4, "triangle", 0.05, USUAL).reached([0.5] * 4, [0.5] * 4), r"^said must add up to 1, not 2"),
        (lambda: weighing(4, "triangle", 0.05, USUAL).reached([0.25] * 4, [2, 0, 0, 0]), r"^right must hold shares"),
    ],
)
def test_what_is_refused_is_named(call: object, message: str) -> None:
    with pytest.raises(ArgumentError, match=message):
        call()  # type: ignore[operator]
