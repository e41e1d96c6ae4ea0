"""Limits with several answers per person, by brute force over the panels that would break them."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import combinations_with_replacement
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog
from scipy.stats import binom

from evaluation.errors import ArgumentError
from evaluation.statistics import chance, people_limits, replicated_limit, similarity_test
from evaluation.statistics.forced_choice.methods import METHODS
from evaluation.statistics.laws.intervals import upper_limit
from evaluation.statistics.small_panels.limits import _extreme_law, _lower_bound

methods = st.sampled_from(sorted(METHODS))


def law_of_sum(chances: Any) -> np.ndarray:
    """P(0 … n right) of independent answers, each with its own chance."""
    law = np.ones(1)
    for p in chances:
        law = np.convolve(law, [1 - p, p])
    return law


def misses_by(chances: Any, limits: list[float], guessing: float) -> float:
    """How often the limit lies below the true share of sets noticed."""
    true = (float(np.mean(chances)) - guessing) / (1 - guessing)
    law = law_of_sum(chances)
    return sum(float(one) for one, limit in zip(law, limits, strict=True) if limit < true - 1e-12)


# --- this panel -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("beta", [0.05, 0.2, 0.4, 0.7])
@pytest.mark.parametrize("answers", [2, 3, 4, 6])
@pytest.mark.parametrize("method", ["triangle", "2-afc"])
def test_no_panel_breaks_the_limit(method: str, answers: int, beta: float) -> None:
    """Every panel on a grid of chances, all alike to as unlike as can be, some below guessing too (one set each)."""
    limits = [replicated_limit([x], answers, method, 0.3, beta).upper_limit for x in range(answers + 1)]
    steps = np.linspace(0, 1, 13 if answers < 5 else 8)
    worst = max(misses_by(p, limits, chance(method)) for p in combinations_with_replacement(steps, answers))
    assert worst <= beta + 1e-12


def test_the_binomial_limit_alone_would_be_broken() -> None:
    """Why the limit is raised to (total + 1) / N: with high beta and unlike people the binomial one misses too often."""
    answers, beta = 3, 0.4
    plain = [(upper_limit(x, answers, beta) - 1 / 3) / (2 / 3) for x in range(answers + 1)]
    assert plain[2] < 0.9 < replicated_limit([2], 3, "triangle", 0.3, beta).upper_limit == 1.0
    steps = np.linspace(0, 1, 61)
    assert max(misses_by(p, plain, 1 / 3) for p in combinations_with_replacement(steps, answers)) > beta


@given(st.lists(st.floats(0, 1), min_size=2, max_size=24), st.sampled_from([0.01, 0.05, 0.2]), methods)
def test_no_random_panel_breaks_the_limit(chances: list[float], beta: float, method: str) -> None:
    limits = [replicated_limit([x], len(chances), method, 0.3, beta).upper_limit for x in range(len(chances) + 1)]
    assert misses_by(chances, limits, chance(method)) <= beta + 1e-12


@given(st.lists(st.floats(0, 1), min_size=1, max_size=5), st.integers(2, 12), st.floats(0.05, 0.95), methods)
def test_support_is_as_rare_as_promised(shares: list[float], sets: int, pd: float, method: str) -> None:
    """People of any shares whose mean is pd or more: supported with probability at most beta."""
    found = replicated_limit([0] * len(shares), sets, method, pd, 0.1)
    if float(np.mean(shares)) < pd or found.maximum_correct is None:
        return
    guessing = chance(method)
    law = law_of_sum(np.repeat([guessing + (1 - guessing) * one for one in shares], sets))
    assert float(law[: found.maximum_correct + 1].sum()) <= 0.1 + 1e-12


@given(st.integers(1, 60), st.integers(0, 60), st.sampled_from([0.1, 0.3, 0.5]), methods)
def test_it_is_the_rule_of_one_answer_each_wherever_that_concludes(n: int, x: int, pd: float, method: str) -> None:
    x = min(x, n)
    ours, plain = replicated_limit([x], n, method, pd, 0.05), similarity_test(x, n, method, pd, 0.05)
    assert (ours.maximum_correct, ours.supported) == (plain.maximum_correct, plain.supported)
    assert ours.upper_limit >= plain.upper_limit
    if x < n - 1:
        assert ours.upper_limit == pytest.approx(plain.upper_limit, rel=1e-12)


def test_nothing_is_supported_within_one_answer_of_the_mean() -> None:
    """Theorem 4 of Hoeffding needs c ≤ λ − 1: at a high pd and beta the plain rule would go one further."""
    pd, beta = 0.9, 0.45
    plain = similarity_test(0, 3, "2-afc", pd, beta)
    ours = replicated_limit([0, 0, 0], 1, "2-afc", pd, beta)
    assert binom.cdf(2, 3, 0.95) <= beta
    assert (plain.maximum_correct, ours.maximum_correct) == (2, None)  # 1 of 3 lies below guessing
    assert math.floor(3 * Fraction(95, 100)) - 1 == 1


@given(st.lists(st.integers(1, 9), min_size=1, max_size=6), st.data())
def test_the_mean_of_panelists_is_that_of_linear_programming(asked: list[int], data: st.DataObject) -> None:
    correct = [data.draw(st.integers(0, n)) for n in asked]
    found = replicated_limit(correct, asked, "triangle", 0.3, 0.05)
    done = linprog(-np.ones(len(asked)), A_ub=[asked], b_ub=[found.upper_limit * sum(asked)], bounds=(0, 1))
    assert found.upper_limit_panelists == pytest.approx(-done.fun / len(asked), abs=1e-9)
    assert found.upper_limit_panelists >= found.upper_limit - 1e-12
    if len(set(asked)) == 1:
        assert found.upper_limit_panelists == found.upper_limit


def test_whom_it_speaks_for() -> None:
    assert replicated_limit([3], 12, "triangle", 0.3).speaks_for == "this nose"
    assert replicated_limit([1] * 40, 2, "triangle", 0.3, 0.1).speaks_for == "this panel"


# --- people like this panel -------------------------------------------------------------------------------------------


@st.composite
def peoples(draw: st.DrawFn) -> tuple[np.ndarray, np.ndarray]:
    """Shares noticed and how common they are."""
    kinds = draw(st.lists(st.tuples(st.floats(0, 1), st.floats(0.01, 1)), min_size=1, max_size=4))
    shares, weights = (np.array(one) for one in zip(*kinds, strict=True))
    return shares, weights / weights.sum()


def law_of_total(asked: list[int], shares: np.ndarray, weights: np.ndarray, guessing: float) -> np.ndarray:
    """P(total right) when panelists are drawn at random from these people."""
    law = np.ones(1)
    for n in asked:
        pmf = binom.pmf(np.arange(n + 1)[:, None], n, guessing + (1 - guessing) * shares) @ weights
        law = np.convolve(law, pmf)
    return law


@given(peoples(), st.lists(st.integers(1, 8), min_size=12, max_size=16), st.sampled_from([0.01, 0.05, 0.2]), methods)
def test_no_people_break_the_limits(
    people: tuple[np.ndarray, np.ndarray], asked: list[int], risk: float, method: str
) -> None:
    """The true law of the total under any mixture: a limit misses the mean share with at most its risk."""
    law = law_of_total(asked, *people, chance(method))
    mean = float(people[0] @ people[1])
    extreme = _extreme_law(np.array(asked), chance(method), mean)
    below, above = np.cumsum(law), np.cumsum(law[::-1])
    rejected = [c for c in range(law.size) if _lower_bound(extreme, c) <= risk]
    assert not rejected or below[max(rejected)] <= risk + 1e-12
    rejected = [c for c in range(law.size) if _lower_bound(extreme[::-1], c) <= risk]
    assert not rejected or above[max(rejected)] <= risk + 1e-12


def test_the_law_of_extreme_people_is_that_of_their_number() -> None:
    """By the number of people who always notice, instead of panelist by panelist."""
    people, sets, share = 12, 4, 0.2
    expected = np.zeros(people * sets + 1)
    for sure in range(people + 1):
        guesses = binom.pmf(np.arange((people - sure) * sets + 1), (people - sure) * sets, 1 / 3)
        expected[sure * sets :] += binom.pmf(sure, people, share) * guesses
    assert _extreme_law(np.full(people, sets), 1 / 3, share) == pytest.approx(expected, rel=1e-10, abs=1e-15)


def test_the_bound_is_the_least_ratio_of_expected_shortfall() -> None:
    law = _extreme_law(np.full(12, 3), 0.5, 0.3)
    x = np.arange(law.size)
    for c in (0, 10, 18, 24, 36):
        ratios = [float(np.maximum(t - x, 0) @ law) / (t - c) for t in np.arange(c + 0.25, 60, 0.25)]
        assert _lower_bound(law, c) == pytest.approx(min(1.0, *ratios), rel=1e-9)
        assert _lower_bound(law, c) <= min(ratios) + 1e-12
        assert _lower_bound(law, c) >= law[: c + 1].sum() - 1e-12


@pytest.mark.parametrize("method", ["triangle", "2-afc"])
def test_limits_and_maximum_belong_together(method: str) -> None:
    for total in range(0, 61, 4):
        correct = [total // 12 + (place < total % 12) for place in range(12)]
        found = people_limits(correct, 5, method, 0.35, 0.05, 0.1)
        assert found.lower_limit <= found.upper_limit
        assert found.supported == (found.maximum_correct is not None and total <= found.maximum_correct)
        if found.supported:
            assert found.upper_limit <= 0.35
        panel = replicated_limit(correct, 5, method, 0.35, 0.1)
        assert panel.upper_limit < found.upper_limit or found.upper_limit == 1.0
        assert panel.maximum_correct is None or (found.maximum_correct or 0) <= panel.maximum_correct


def test_more_replicates_help_people_less_than_the_panel() -> None:
    few, many = (people_limits([n // 3] * 12, n, "triangle", 0.3) for n in (3, 60))
    assert few.upper_limit > many.upper_limit > 0.15  # (1 − .22)^12 = .05: twelve people may miss so many kinds
    assert replicated_limit([20] * 12, 60, "triangle", 0.3).upper_limit < 0.05


@pytest.mark.parametrize(("people", "lacking"), [(1, 11), (7, 5), (11, 1)])
def test_too_few_people_are_refused_and_counted(people: int, lacking: int) -> None:
    with pytest.raises(ArgumentError, match=f"12 panelists or more .*not {people}: {lacking} more are needed"):
        people_limits([2] * people, 4, "triangle", 0.3)


def test_results_echo_their_inputs() -> None:
    found = people_limits([1] * 12, 4, "2-afc", 0.2, 0.1, 0.01)
    assert (found.correct, found.assessments, found.method) == ((1,) * 12, (4,) * 12, "2-afc")
    assert (found.pd, found.alpha, found.beta, found.speaks_for) == (0.2, 0.1, 0.01, "people like this panel")
    assert (found.total_correct, found.total_assessments) == (12, 48)
    panel = replicated_limit([1, 2], [3, 4], "tetrad", 0.2, 0.1)
    assert (panel.correct, panel.assessments, panel.method, panel.pd, panel.beta) == (
        (1, 2),
        (3, 4),
        "tetrad",
        0.2,
        0.1,
    )


@pytest.mark.parametrize("limits", [replicated_limit, people_limits])
def test_bad_arguments_are_refused(limits: Any) -> None:
    good = [2] * 12
    for wrong in ({"pd": 0.0}, {"pd": math.nan}, {"beta": 1.0}):
        with pytest.raises(ArgumentError, match=f"{next(iter(wrong))} must"):
            limits(good, 4, "triangle", **{"pd": 0.3, **wrong})
    with pytest.raises(ArgumentError, match="correct must be from 0"):
        limits([5] * 12, 4, "triangle", 0.3)
    with pytest.raises(ArgumentError, match="method must"):
        limits(good, 4, "sniff", 0.3)
