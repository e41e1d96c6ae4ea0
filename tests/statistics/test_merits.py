"""Rounds of pairs: published data, two other libraries, closed forms, and tables without a highest point."""

from __future__ import annotations

import csv
import os
from collections.abc import Callable
from itertools import combinations
from pathlib import Path
from typing import Any

import choix
import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, stats

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import PairwiseMerits, holm, pairwise_merits, preference_test

CHECKOUT = Path(__file__).resolve().parents[2]
FOLDER = Path(os.environ.get("MOUILLETTE_DATASETS") or CHECKOUT.parent / "shared" / "datasets")


def rows_of(name: str) -> list[dict[str, str]]:
    if not (FOLDER / name).is_file():
        pytest.skip(f"open data set {name} is not here: set MOUILLETTE_DATASETS to its folder")
    return list(csv.DictReader((FOLDER / name).read_text(encoding="utf-8").splitlines()))


# --- published data ---------------------------------------------------------------------------------------------------


def test_puddings_with_no_preference() -> None:
    """Davidson 1970, JASA 65:317, Example 2: worths, ν, equality and fit (calculated, agrees with memory)."""
    wins, ties = np.zeros((6, 6), int), np.zeros((6, 6), int)
    for row in rows_of("pudding_pairs_ties_davidson1970.csv"):
        i, j = int(row["i"]) - 1, int(row["j"]) - 1
        wins[i, j], wins[j, i], ties[i, j] = int(row["w_ij"]), int(row["w_ji"]), int(row["t_ij"])
    found = pairwise_merits(wins, ties)
    assert found.worths == pytest.approx([0.1388, 0.1730, 0.1617, 0.1654, 0.1587, 0.2024], abs=6e-5)
    assert found.tie_parameter == pytest.approx(0.7468, abs=6e-5)
    assert (found.equality.df, found.fit.df) == (5, 24)
    assert found.equality.statistic == pytest.approx(4.080, abs=6e-4)
    assert found.equality.chi_square_p == pytest.approx(0.538, abs=6e-4)
    assert found.fit.statistic == pytest.approx(15.77, abs=6e-3)
    # 745 answers: the drawn p-values are near the large-sample ones (four standard errors of 499 draws)
    for check in (found.equality, found.fit):
        assert check.p_value == pytest.approx(check.chi_square_p, abs=4 * 0.5 / 499**0.5)
    assert not any(one.differ for one in found.comparisons)
    assert pairwise_merits(wins, ties + ties.T).worths == pytest.approx(found.worths)


def test_pork_of_two_judges() -> None:
    """Bradley & Terry 1952, Biometrika 39:324: worths of C, C′, CP by judge (calculated)."""
    names = ["C", "Cp", "CP"]
    wins = np.zeros((2, 3, 3), int)
    for row in rows_of("pork_bradley_terry1952.csv"):
        wins[int(row["judge"]) - 1, names.index(row["preferred"]), names.index(row["over"])] += int(row["n"])
    assert pairwise_merits(wins[0]).worths == pytest.approx([0.0526, 0.4737, 0.4737], abs=6e-5)
    assert pairwise_merits(wins[1]).worths == pytest.approx([0.5324, 0.2993, 0.1683], abs=6e-5)
    both = pairwise_merits(wins)
    assert both.panelists == 2
    assert both.few_people
    assert both.log_merits == pytest.approx(pairwise_merits(wins.sum(axis=0)).log_merits)


# --- other libraries --------------------------------------------------------------------------------------------------


def table(seed: int, trials: int, answers: int) -> np.ndarray:
    random = np.random.default_rng(seed)
    merits, wins = random.normal(size=trials), np.zeros((trials, trials), int)
    for i, j in combinations(range(trials), 2):
        wins[i, j] = random.binomial(answers, 1 / (1 + np.exp(merits[j] - merits[i])))
        wins[j, i] = answers - wins[i, j]
    return wins


@pytest.mark.parametrize("seed", range(4))
def test_merits_are_those_of_choix(seed: int) -> None:
    wins = table(seed, 5, 12)
    data = [(i, j) for i in range(5) for j in range(5) for _ in range(wins[i, j])]
    found = pairwise_merits(wins, draws=0)
    assert found.log_merits == pytest.approx(choix.ilsr_pairwise(5, data, tol=1e-10, max_iter=1000), abs=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_covariance_and_position_are_those_of_a_logistic_regression(seed: int) -> None:
    """statsmodels GLM, binomial: one row per ordered pair, the last trial as zero, an intercept for "smelt first"."""
    random = np.random.default_rng(seed)
    first_wins, asked = random.integers(1, 9, size=(4, 4)), 9
    np.fill_diagonal(first_wins, 0)
    wins = first_wins + np.where(np.eye(4) > 0, 0, asked - first_wins).T  # as first, and as second against the other
    found = pairwise_merits(wins, first_position=first_wins, draws=0)
    ordered = [(i, j) for i in range(4) for j in range(4) if i != j]
    design = np.zeros((len(ordered), 4))
    for row, (i, j) in zip(design, ordered, strict=True):
        row[3] = 1
        for place, sign in ((i, 1), (j, -1)):
            if place < 3:
                row[place] = sign
    counts = [(first_wins[i, j], asked - first_wins[i, j]) for i, j in ordered]
    other = sm.GLM(counts, design, family=sm.families.Binomial()).fit(tol=1e-12)
    assert found.log_merits[:3] - found.log_merits[3] == pytest.approx(other.params[:3], abs=1e-7)
    assert (found.position_effect, found.position_error) == pytest.approx((other.params[3], other.bse[3]), rel=1e-6)
    to_last = np.hstack([np.eye(3), -np.ones((3, 1))])
    assert to_last @ found.covariance @ to_last.T == pytest.approx(other.cov_params()[:3, :3], rel=1e-6)
    assert (found.fit.statistic, found.fit.df) == (pytest.approx(other.deviance), other.df_resid)


def by_optimizer(wins: np.ndarray, ties: np.ndarray | None, extra: float = 0.0, position: bool = False) -> np.ndarray:
    """Davidson's log-likelihood written out from the paper and climbed by scipy: log-merits (centred), then log ν."""
    t = len(wins)

    def down(x: np.ndarray) -> float:
        worth, height = np.exp(x[:t]), 1e-9 * (x[:t].sum()) ** 2
        nu = np.exp(x[t]) if ties is not None else 0.0
        for i, j in combinations(range(t), 2):
            middle = nu * np.sqrt(worth[i] * worth[j])
            whole = worth[i] + worth[j] + middle
            height -= (wins[i, j] + extra) * np.log(worth[i] / whole) + (wins[j, i] + extra) * np.log(worth[j] / whole)
            if ties is not None:
                height -= (ties[i, j] + extra) * np.log(middle / whole)
        return float(height)

    start = np.zeros(t + (ties is not None))
    best = optimize.minimize(down, start, method="BFGS", options={"gtol": 1e-8}).x
    best[:t] -= best[:t].mean()
    return np.asarray(best)


def test_ties_are_those_of_the_likelihood_written_out() -> None:
    random = np.random.default_rng(7)
    wins, ties = table(7, 4, 15), np.triu(random.integers(1, 6, size=(4, 4)), 1)
    found, other = pairwise_merits(wins, ties, draws=0), by_optimizer(wins, ties)
    assert found.log_merits == pytest.approx(other[:4], abs=1e-5)
    assert found.tie_parameter == pytest.approx(np.exp(other[4]), rel=1e-5)


# --- closed forms -----------------------------------------------------------------------------------------------------


@given(st.integers(1, 40), st.integers(1, 40), st.integers(0, 20))
def test_two_trials(first: int, second: int, ties: int) -> None:
    """log(w₁/w₂), s.e. √(1/w₁ + 1/w₂), ν = T/√(w₁ w₂); the p-value is the likelihood ratio's."""
    found = pairwise_merits([[0, first], [second, 0]], [[0, ties], [ties, 0]], draws=0)
    (pair,) = found.comparisons
    assert pair.difference == pytest.approx(np.log(first / second), abs=1e-8)
    assert pair.standard_error == pytest.approx(np.sqrt(1 / first + 1 / second), rel=1e-6)
    assert found.tie_parameter == pytest.approx(ties / np.sqrt(first * second), rel=1e-7)
    half = (first + second) / 2
    g = 2 * (first * np.log(first / half) + second * np.log(second / half))
    # p moves as the root of the deviance: where that is 0, the last digit of the likelihoods (1e-14) is 1e-7 of p
    assert pair.p_value == pytest.approx(stats.chi2.sf(g, 1), abs=1e-6)


@given(st.integers(1, 30))
def test_two_trials_that_are_separated_get_half_an_answer_each(first: int) -> None:
    """Firth 1993: for one binomial the penalised log-odds are log((w₁ + ½)/(w₂ + ½))."""
    found = pairwise_merits([[0, first], [0, 0]], draws=0)
    assert found.condition == "separated"
    assert found.groups == ((0,), (1,))
    assert found.comparisons[0].difference == pytest.approx(np.log(first + 0.5) - np.log(0.5), abs=1e-8)
    assert "nothing bounds" in found.explanation


def test_intervals_are_those_of_the_errors() -> None:
    found = pairwise_merits(table(1, 3, 20), draws=0)
    one, ninety = found.comparisons[1], found.interval(0, 2, 0.90)
    half = stats.norm.ppf(0.95) * one.standard_error
    assert (ninety.low, ninety.high) == pytest.approx((one.difference - half, one.difference + half))
    assert found.interval(2, 0, 0.90).low == pytest.approx(-ninety.high)
    assert holm([one.p_value for one in found.comparisons]).tolist() == [one.p_family for one in found.comparisons]


# --- no highest point -------------------------------------------------------------------------------------------------

NEVER_LOST = [[0, 5, 5], [0, 0, 3], [0, 2, 0]]
TWO_ISLANDS = [[0, 3, 0, 0], [2, 0, 0, 0], [0, 0, 0, 1], [0, 0, 4, 0]]
LADDER = [[0, 4, 4], [0, 0, 4], [0, 0, 0]]


@pytest.mark.parametrize(
    ("wins", "ties", "condition", "groups", "word"),
    [
        (NEVER_LOST, None, "separated", ((0,), (1, 2)), "{0} before {1, 2}"),
        (LADDER, None, "separated", ((0,), (1,), (2,)), "{0} before {1} before {2}"),
        (TWO_ISLANDS, None, "disconnected", ((0, 1), (2, 3)), "No comparison links {0, 1} with {2, 3}"),
        ([[0, 3, 0], [2, 0, 0], [0, 0, 0]], None, "disconnected", ((0, 1), (2,)), "{0, 1} with {2}"),
        ([[0, 5], [0, 0]], [[0, 3], [3, 0]], "separated", ((0,), (1,)), "{0} before {1}"),
        ([[0, 0], [0, 0]], [[0, 4], [4, 0]], "separated", ((0, 1),), "without a preference"),
    ],
)
def test_tables_without_a_highest_point(
    wins: Any, ties: Any, condition: str, groups: tuple[tuple[int, ...], ...], word: str
) -> None:
    found = pairwise_merits(wins, ties, draws=99)
    assert (found.condition, found.groups, found.penalised) == (condition, groups, True)
    assert word in found.explanation
    assert_finite(found)
    counted = None if ties is None else np.array(ties)
    other = by_optimizer(np.array(wins), counted, extra=1 / len(wins))
    assert found.log_merits == pytest.approx(other[: len(wins)], abs=1e-5)


def assert_finite(found: PairwiseMerits) -> None:
    assert np.isfinite(found.log_merits).all()
    assert found.log_merits.sum() == pytest.approx(0.0, abs=1e-9)
    assert np.isfinite(found.covariance).all()
    assert np.abs(found.covariance.sum(axis=0)).max() < 1e-8
    assert np.linalg.eigvalsh(found.covariance).min() > -1e-9
    assert all(
        np.isfinite(one.standard_error) and 0.0 <= one.p_value <= one.p_family <= 1.0 for one in found.comparisons
    )
    assert found.tie_parameter is None or np.isfinite(found.tie_parameter)
    assert (found.condition == "regular") == (found.explanation == "") == (not found.penalised)


def test_no_answer_links_two_islands_so_none_is_claimed() -> None:
    found = pairwise_merits(np.array(TWO_ISLANDS) * 20, draws=0)
    across = [one for one in found.comparisons if (one.first < 2) != (one.second < 2)]
    assert all(abs(one.difference) < 2.0 and not one.differ for one in across)


@settings(max_examples=60)
@given(st.lists(st.integers(0, 3), min_size=12, max_size=12), st.lists(st.integers(0, 2), min_size=6, max_size=6))
def test_every_table_gets_an_answer_and_regular_means_it_exists(wins: list[int], ties: list[int]) -> None:
    """Whatever is counted. Ford's condition, by paths of wins, is the second route where no ties are given."""
    matrix, none = np.zeros((4, 4), int), np.zeros((4, 4), int)
    matrix[~np.eye(4, dtype=bool)] = wins
    none[np.triu_indices(4, 1)] = ties
    if not matrix.any():
        return
    assert_finite(pairwise_merits(matrix, none, draws=0))
    found = pairwise_merits(matrix, draws=0)
    assert_finite(found)
    reach = np.linalg.matrix_power(np.eye(4, dtype=int) + (matrix > 0), 3) > 0
    linked = np.linalg.matrix_power(np.eye(4, dtype=int) + (matrix + matrix.T > 0), 3) > 0
    expected = "regular" if reach.all() else "separated" if linked.all() else "disconnected"
    assert found.condition == expected
    if expected == "separated":  # groups are those nobody climbs out of, in an order no win contradicts
        place = {trial: level for level, group in enumerate(found.groups) for trial in group}
        assert all(place[i] <= place[j] for i, j in np.argwhere(matrix > 0).tolist())
        together = reach & reach.T
        assert all(together[i, j] for group in found.groups for i in group for j in group if linked_only(matrix, i, j))


def linked_only(matrix: np.ndarray, i: int, j: int) -> bool:
    return bool(matrix[i, j] or matrix[j, i])


def test_an_effect_of_position_nobody_can_tell() -> None:
    once = pairwise_merits([[0, 10], [7, 0]], first_position=[[0, 10], [0, 0]], draws=0)
    assert (once.condition, once.penalised) == ("confounded", True)
    assert "both orders" in once.explanation
    always = pairwise_merits([[0, 9], [9, 0]], first_position=[[0, 9], [9, 0]], draws=0)
    assert always.condition == "separated"
    assert "smelt first" in always.explanation
    assert_finite(once)
    assert_finite(always)
    assert always.position_effect is not None
    assert always.position_effect > 2.0
    assert always.log_merits == pytest.approx([0.0, 0.0], abs=1e-9)


def test_ties_belong_to_orders_where_orders_are_given() -> None:
    """Ties under both orders as counted; equal orders give the merits of the pooled table (by symmetry)."""
    wins, half = [[0, 12], [6, 0]], [[0, 6], [3, 0]]
    found = pairwise_merits(wins, [[0, 2], [2, 0]], half, draws=0)
    pooled = pairwise_merits(wins, [[0, 4], [4, 0]], draws=0)
    assert found.log_merits == pytest.approx(pooled.log_merits, abs=1e-8)
    assert found.tie_parameter == pytest.approx(pooled.tie_parameter)
    assert found.position_effect == pytest.approx(0.0, abs=1e-8)


# --- by panelists -----------------------------------------------------------------------------------------------------


def test_jackknife_by_hand() -> None:
    """Two trials: leaving p out gives log((W₁ − w₁ₚ)/(W₂ − w₂ₚ)); variance (n − 1)/n Σ (that − all)²."""
    own = np.array([[5, 1], [2, 4], [3, 3], [6, 0], [4, 2], [1, 5]])
    wins = np.zeros((6, 2, 2), int)
    wins[:, 0, 1], wins[:, 1, 0] = own.T
    found = pairwise_merits(wins, draws=0)
    total = own.sum(axis=0)
    off = np.log((total[0] - own[:, 0]) / (total[1] - own[:, 1])) - np.log(total[0] / total[1])
    error = np.sqrt(5 / 6 * (off**2).sum())
    (pair,) = found.comparisons
    assert found.covariance_from == "jackknife over panelists"
    assert pair.standard_error == pytest.approx(error, rel=1e-6)
    assert pair.p_value == pytest.approx(2 * stats.t.sf(abs(pair.difference) / error, 5), rel=1e-6)
    assert found.equality_by_people == pytest.approx(pair.p_value, rel=1e-6), "T² of one contrast is t²"
    interval = found.interval(0, 1)
    assert interval.high - interval.low == pytest.approx(2 * stats.t.ppf(0.975, 5) * error, rel=1e-6)


def test_answers_of_one_person_hang_together() -> None:
    """Twenty people who each say the same four times know no more than twenty answers: the error must not halve."""
    wins = np.zeros((20, 2, 2), int)
    wins[:13, 0, 1], wins[13:, 1, 0] = 4, 4
    found, naive = pairwise_merits(wins, draws=0), pairwise_merits(wins.sum(axis=0), draws=0)
    assert found.log_merits == pytest.approx(naive.log_merits)
    once = np.sqrt(1 / 13 + 1 / 7)
    assert found.comparisons[0].standard_error == pytest.approx(once, rel=0.12)
    assert naive.comparisons[0].standard_error == pytest.approx(once / 2, rel=1e-6)


def test_peoples_majorities_stand_beside() -> None:
    wins = np.zeros((7, 3, 3), int)
    wins[:, 0, 1], wins[:, 1, 0] = [2, 2, 2, 1, 2, 0, 0], [0, 0, 1, 1, 0, 2, 0]
    wins[:, 1, 2], wins[:, 2, 1] = [1] * 7, [0] * 7
    wins[:, 2, 0] = 1
    found = pairwise_merits(wins, draws=0)
    assert found.majorities is not None
    first = found.majorities[0]
    assert (first.for_first, first.for_second, first.even) == (4, 1, 1), "the seventh was never asked"
    assert first.p_value == preference_test(4, 1).p_value
    assert [one.p_family for one in found.majorities] == holm([one.p_value for one in found.majorities]).tolist()
    assert found.few_people
    assert pairwise_merits(wins.sum(axis=0), draws=0).majorities is None


def test_unanimous_people_and_a_single_one() -> None:
    wins = np.zeros((20, 2, 2), int)
    wins[:, 0, 1] = 3
    found = pairwise_merits(wins, draws=0)
    assert found.covariance_from == "penalised jackknife over panelists"
    assert_finite(found)
    assert found.comparisons[0].differ
    half = pairwise_merits(wins.sum(axis=0), draws=0).comparisons[0].standard_error
    assert found.comparisons[0].standard_error == pytest.approx(half), "no smaller than the likelihood's"
    alone = pairwise_merits(table(2, 3, 8)[None], draws=0)
    assert (alone.panelists, alone.covariance_from, alone.equality_by_people) == (1, "likelihood", None)
    dissenter = wins.copy()
    dissenter[0] = [[0, 0], [3, 0]]  # a regular table that is none without this person
    assert pairwise_merits(dissenter, draws=0).condition == "regular"
    assert pairwise_merits(dissenter, draws=0).covariance_from == "penalised jackknife over panelists"


# --- what is refused --------------------------------------------------------------------------------------------------

REFUSED: list[tuple[str, Callable[[], Any]]] = [
    ("wins", lambda: pairwise_merits([[0, 1, 2], [1, 0, 2]])),
    ("wins", lambda: pairwise_merits([[0, -1], [1, 0]])),
    ("wins", lambda: pairwise_merits([[0, 1.5], [1, 0]])),
    ("wins", lambda: pairwise_merits([[0, float("nan")], [1, 0]])),
    ("wins", lambda: pairwise_merits([[3, 1], [1, 0]])),
    ("wins", lambda: pairwise_merits([[0, 0], [0, 0]])),
    ("wins", lambda: pairwise_merits([[0]])),
    ("ties", lambda: pairwise_merits([[0, 1], [1, 0]], [[0, 1, 2], [1, 0, 2], [1, 1, 0]])),
    ("ties", lambda: pairwise_merits([[0, 1], [1, 0]], [[0, 1], [2, 0]])),
    ("first_position", lambda: pairwise_merits([[0, 1], [1, 0]], first_position=[[0, 2], [0, 0]])),
    ("alpha", lambda: pairwise_merits([[0, 1], [1, 0]], alpha=0)),
    ("draws", lambda: pairwise_merits([[0, 1], [1, 0]], draws=-1)),
]


@pytest.mark.parametrize(("name", "call"), REFUSED)
def test_refused_arguments_are_named(name: str, call: Callable[[], Any]) -> None:
    with pytest.raises(ArgumentError, match=name):
        call()
    with pytest.raises(KindError):
        pairwise_merits([["a", "b"], ["c", "d"]])  # type: ignore[list-item]


def test_results_are_read_only_and_repeat() -> None:
    wins = table(3, 4, 6)
    found, again = pairwise_merits(wins), pairwise_merits(wins)
    assert found.fit == again.fit
    assert found.order[0] == int(found.log_merits.argmax())
    for values in (found.log_merits, found.covariance, found.wins):
        with pytest.raises(ValueError, match="read-only"):
            values[0] = 0
    wins[0, 1] += 1
    assert found.wins[0, 1] == wins[0, 1] - 1, "a copy is echoed"
