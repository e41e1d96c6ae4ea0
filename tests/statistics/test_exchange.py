"""Labels exchanged (evaluation/statistics/laws/exchange.py): scipy's permutation test, closure by hand, and the level."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from evaluation.statistics import profile_differences, profile_family
from evaluation.statistics.laws.exchange import DRAWS, alike_p, held_by_subsets

RANDOM = np.random.default_rng(20261126)


def ranged(*trials: Any, axis: int = -1) -> Any:
    return np.ptp(np.stack([one.sum(axis=axis) for one in trials]), axis=0)


@pytest.mark.parametrize("shift", [0.0, 0.6, 1.5])
def test_the_p_of_one_row_is_that_of_scipys_permutation_test(shift: float) -> None:
    """All 6^6 labellings of six people and three trials; ours draws some of them."""
    scores = RANDOM.normal(0.0, 1.0, (6, 3, 1))
    scores[:, 2] += shift
    exact = stats.permutation_test(
        tuple(scores[:, :, 0].T), ranged, permutation_type="samples", n_resamples=np.inf, alternative="greater"
    ).pvalue
    own = alike_p(scores, seed=1)
    assert own == pytest.approx(exact, abs=4 * np.sqrt(exact * (1 - exact) / DRAWS) + 1 / DRAWS)


def test_all_rows_are_exchanged_together() -> None:
    """The same row twice is one row; a row of noise beside it can only make the p larger, on these numbers."""
    scores = RANDOM.normal(0.0, 1.0, (8, 3, 1))
    scores[:, 0] += 1.5
    assert alike_p(np.dstack([scores, scores]), seed=1) == alike_p(scores, seed=1)
    assert alike_p(np.dstack([scores, RANDOM.normal(0.0, 1.0, (8, 3, 5))]), seed=1) >= alike_p(scores, seed=1)


def test_gaps_go_along_with_the_label_and_rows_of_few_people_are_left_out() -> None:
    scores = RANDOM.normal(0.0, 1.0, (8, 3, 2))
    scores[:3, 1, 1] = np.nan
    assert 0.0 < alike_p(scores, seed=1) <= 1.0
    scores[:, :2, 1] = np.nan  # nobody rated two trials there
    assert alike_p(scores, seed=1) == alike_p(scores[:, :, :1], seed=1)
    assert alike_p(scores[:5], seed=1) == 1.0
    assert alike_p(np.ones((8, 3, 1)), seed=1) == 1.0


def test_a_pair_is_held_by_every_set_of_three_or_more_that_it_is_among() -> None:
    scores = RANDOM.normal(0.0, 1.0, (9, 4, 1))
    scores[:, 3] += 4.0
    pairs = list(combinations(range(4), 2))
    sets = [one for size in (3, 4) for one in combinations(range(4), size)]
    p = {one: alike_p(scores[:, list(one)], seed=7) for one in sets}
    wanted = tuple(max(p[one] for one in sets if set(pair) <= set(one)) for pair in pairs)
    assert held_by_subsets(scores, pairs, seed=7) == wanted
    assert held_by_subsets(scores[:, :2], [(0, 1)], seed=7) == (0.0,)


def frame(scores: Any, columns: str = "ABC") -> pd.DataFrame:
    rows = [
        (f"P{person}", columns[trial], "woody", 5, scores[person, trial])
        for person in range(scores.shape[0])
        for trial in range(scores.shape[1])
    ]
    return pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "age_minutes", "rating"])


PAIRS = list(combinations("ABC", 2))


def test_a_family_is_held_only_where_it_is_asked_for_and_has_three_trials() -> None:
    scores = RANDOM.normal(0.0, 1.0, (7, 3))
    plain, held = profile_family(frame(scores), PAIRS), profile_family(frame(scores), PAIRS, exchanged=True)
    least = held_by_subsets(scores[:, :, None], list(combinations(range(3), 2)), seed=0)
    assert held.table["p_family"].tolist() == np.maximum(plain.table["p_family"], least).tolist()
    assert held.table["p_value"].tolist() == plain.table["p_value"].tolist()
    assert (held.table["p_family_error"][held.table["p_family"] > plain.table["p_family"]] > 0).all()
    two = frame(scores[:, :2])
    again = profile_differences(two, "A", "B", exchanged=True)
    pd.testing.assert_frame_equal(again.table, profile_differences(two, "A", "B").table)


def test_everybody_rating_the_first_strip_higher_makes_no_difference_of_equal_trials() -> None:
    """Seven people, orders drawn apart: joint flips alone are wrong in .08 of sessions (the docstring says so)."""
    random = np.random.default_rng(3)
    plain = held = 0
    for _ in range(400):
        scores = 0.3 * random.standard_normal((7, 3))
        scores[np.arange(7), random.integers(0, 3, 7)] += 2.0
        told = frame(scores)
        wrong = bool((profile_family(told, PAIRS).table["p_family"] <= 0.05).any())
        plain += wrong
        held += wrong and bool((profile_family(told, PAIRS, exchanged=True).table["p_family"] <= 0.05).any())
    assert stats.binomtest(plain, 400, 0.05, alternative="greater").pvalue < 0.01
    assert stats.binomtest(held, 400, 0.05, alternative="greater").pvalue > 0.01


def test_a_real_difference_is_still_found() -> None:
    """Eight people, one trial two points higher with noise 1: held or not, it is found in most sessions."""
    random = np.random.default_rng(4)
    found = np.zeros(2, dtype=int)
    for _ in range(100):
        scores = random.standard_normal((8, 3))
        scores[:, 2] += 2.0
        for at, exchanged in enumerate((False, True)):
            table = profile_family(frame(scores), PAIRS, exchanged=exchanged).table
            found[at] += bool((table["p_family"][table["second"] == "C"] <= 0.05).any())
    assert found[0] - found[1] <= 5
    assert found[1] >= 80
