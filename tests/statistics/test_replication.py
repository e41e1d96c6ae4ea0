"""Several answers per person: scipy's beta-binomial, quadrature, enumeration and statsmodels as second routes."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import permutations, product
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq, minimize
from scipy.stats import beta, betabinom, binom, binomtest, chi2, norm
from statsmodels.stats.proportion import proportions_chisquare

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import chance, difference_test, replicated_difference
from evaluation.statistics.forced_choice.methods import METHODS
from evaluation.statistics.laws.betabinomial import likelihood
from evaluation.statistics.small_panels import between as between_module
from evaluation.statistics.small_panels.between import exact_p
from tests.holm import multipletests

methods = st.sampled_from(sorted(METHODS))
# Invented counts: equal and unequal numbers of answers, alike and unlike people
PANELS: list[tuple[list[int], list[int]]] = [
    ([6, 2, 1, 6, 3, 2], [6] * 6),
    ([4, 3, 1, 2, 5, 3, 0], [5, 4, 3, 4, 5, 6, 2]),
    ([8, 7, 9, 10, 6, 9, 2, 8, 9, 10, 9, 7], [10] * 12),
]


@st.composite
def panels(draw: st.DrawFn) -> tuple[list[int], list[int]]:
    asked = draw(st.lists(st.integers(1, 6), min_size=1, max_size=7))
    return [draw(st.integers(0, n)) for n in asked], asked


def log_likelihood(correct: list[int], asked: list[int], floor: float, mu: float, gamma: float) -> float:
    """By quadrature over the beta distribution of people; without guessing by scipy's own beta-binomial."""
    a, b = mu * (1 / gamma - 1), (1 - mu) * (1 / gamma - 1)
    if floor == 0:
        return float(betabinom(np.array(asked), a, b).logpmf(np.array(correct)).sum())
    total = 0.0
    for x, n in zip(correct, asked, strict=True):
        # the substitution q = F⁻¹(u) takes the poles of the density away
        value, _ = quad(lambda u, x=x, n=n: binom.pmf(x, n, floor + (1 - floor) * beta.ppf(u, a, b)), 0, 1, limit=200)
        total += math.log(value)
    return total


def ours(correct: list[int], asked: list[int], floor: float, mu: float, gamma: float) -> float:
    return float(likelihood(np.array(correct), np.array(asked), floor).at(np.array([mu]), np.array([gamma]))[0])


# --- the likelihood ---------------------------------------------------------------------------------------------------


@given(panels(), st.floats(0.02, 0.98), st.floats(0.001, 0.98))
def test_raw_likelihood_is_that_of_scipy(panel: tuple[list[int], list[int]], mu: float, gamma: float) -> None:
    assert ours(*panel, 0.0, mu, gamma) == pytest.approx(log_likelihood(*panel, 0.0, mu, gamma), rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(("mu", "gamma"), [(0.2, 0.3), (0.5, 0.1), (0.7, 0.5), (0.9, 0.05)])
@pytest.mark.parametrize("floor", [1 / 3, 1 / 2, 1 / 10])
def test_likelihood_above_guessing_is_that_of_quadrature(floor: float, mu: float, gamma: float) -> None:
    expected = log_likelihood(*PANELS[1], floor, mu, gamma)
    assert ours(*PANELS[1], floor, mu, gamma) == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize("floor", [0.0, 1 / 3])
@pytest.mark.parametrize("mu", [0.0, 0.3, 1.0])
def test_both_ends_of_the_spread_are_exact(floor: float, mu: float) -> None:
    """No spread is the binomial; the widest is two kinds of people: always, and never (who guess)."""
    for x in range(5):
        alike = binom.pmf(x, 4, floor + (1 - floor) * mu)
        two_kinds = mu * (x == 4) + (1 - mu) * binom.pmf(x, 4, floor)
        for gamma, expected in ((0.0, alike), (1.0, two_kinds)):
            assert math.exp(ours([x], [4], floor, mu, gamma)) == pytest.approx(expected, rel=1e-12, abs=1e-300)


@given(st.integers(1, 9), st.sampled_from([0.0, 0.1, 1 / 3, 0.5]), st.floats(0, 1), st.floats(0, 1))
def test_probabilities_of_all_counts_add_to_one(n: int, floor: float, mu: float, gamma: float) -> None:
    assert sum(math.exp(ours([x], [n], floor, mu, gamma)) for x in range(n + 1)) == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize("tiny", [1e-3, 1e-6, 1e-9, 1e-12, 1e-15])
def test_the_likelihood_is_smooth_down_to_no_spread(tiny: float) -> None:
    """Where beta functions of huge arguments would cancel: the difference to the binomial is of the order of gamma."""
    gap = ours(*PANELS[2], 0.0, 0.6, tiny) - ours(*PANELS[2], 0.0, 0.6, 0.0)
    slope = (ours(*PANELS[2], 0.0, 0.6, 1e-4) - ours(*PANELS[2], 0.0, 0.6, 0.0)) / 1e-4
    assert gap == pytest.approx(slope * tiny, rel=0.05, abs=1e-13)


# --- the fit ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("above_guessing", [False, True])
@pytest.mark.parametrize("panel", PANELS)
def test_no_optimiser_of_scipy_climbs_higher(panel: tuple[list[int], list[int]], above_guessing: bool) -> None:
    found = replicated_difference(*panel, "triangle", above_guessing)
    floor = 1 / 3 if above_guessing else 0.0
    assert found.gamma is not None

    def drop(at: Any) -> float:
        mu, gamma = 1 / (1 + np.exp(-at))
        return -ours(*panel, floor, float(mu), float(gamma))

    tops = [
        minimize(drop, start, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12, "maxiter": 4000})
        for start in ([0.0, -2.0], [1.0, 1.0], [-1.0, -5.0])
    ]
    best = min(tops, key=lambda one: one.fun)
    assert found.log_likelihood == pytest.approx(-best.fun, abs=1e-7)
    assert found.log_likelihood >= -best.fun - 1e-10
    assert found.mu == pytest.approx(1 / (1 + math.exp(-best.x[0])), abs=1e-5)
    assert found.gamma == pytest.approx(1 / (1 + math.exp(-best.x[1])), abs=1e-5)
    assert ours(*panel, floor, found.mu, found.gamma) == pytest.approx(found.log_likelihood, abs=1e-10)


@settings(max_examples=25)
@given(panels(), methods, st.booleans())
def test_estimates_stay_in_their_range(panel: tuple[list[int], list[int]], method: str, above: bool) -> None:
    found = replicated_difference(*panel, method, above)
    assert 0.0 <= found.mu <= 1.0
    assert found.gamma is None or 0.0 <= found.gamma <= 1.0
    assert math.isfinite(found.log_likelihood)
    for of, best in (("mu", found.mu), ("gamma", found.gamma or 0.0)):
        narrow, wide = found.interval(0.5, of), found.interval(0.95, of)
        assert 0.0 <= wide.low <= narrow.low <= best <= narrow.high <= wide.high <= 1.0


@given(panels(), methods, st.randoms())
def test_the_order_of_panelists_changes_nothing(panel: tuple[list[int], list[int]], method: str, random: Any) -> None:
    found = replicated_difference(*panel, method)
    order = random.sample(range(len(panel[0])), len(panel[0]))
    mixed = replicated_difference(*([one[place] for place in order] for one in panel), method)
    assert (mixed.mu, mixed.gamma, mixed.p_value) == (found.mu, found.gamma, found.p_value)
    if found.between:
        assert mixed.between
        assert mixed.between.p_value == pytest.approx(found.between.p_value, rel=1e-12)
    for row in mixed.panelists:
        was = found.panelists[order[row.place]]
        assert (row.p_value, row.stands_out, row.shrunken) == (was.p_value, was.stands_out, was.shrunken)


@given(panels(), methods)
def test_one_more_right_never_raises_the_pooled_p(panel: tuple[list[int], list[int]], method: str) -> None:
    correct, asked = panel
    assume(correct[0] < asked[0])
    before = replicated_difference(correct, asked, method)
    after = replicated_difference([correct[0] + 1, *correct[1:]], asked, method)
    assert after.p_value <= before.p_value
    assert after.panelists[0].p_value <= before.panelists[0].p_value


@given(panels(), methods)
def test_the_pooled_test_is_that_of_all_answers(panel: tuple[list[int], list[int]], method: str) -> None:
    found, total, asked = replicated_difference(*panel, method), sum(panel[0]), sum(panel[1])
    pooled = difference_test(total, asked, method)
    assert (found.p_value, found.minimum_correct, found.reached) == (
        pooled.p_value,
        pooled.minimum_correct,
        pooled.reached,
    )
    assert found.p_value == pytest.approx(
        binomtest(total, asked, chance(method), alternative="greater").pvalue, rel=1e-10
    )


@pytest.mark.parametrize(
    ("correct", "asked"), [([1, 0, 1], [1, 1, 1]), ([5], [9]), ([3, 3], [3, 3]), ([0, 0, 0], [2, 4, 3])]
)
def test_what_cannot_be_told_is_none(correct: list[int], asked: list[int]) -> None:
    found = replicated_difference(correct, asked, "triangle")
    assert found.gamma is None
    assert found.between is None
    assert found.variance_factor(3) is None
    assert {row.shrunken for row in found.panelists} == {None}
    assert found.mu == sum(correct) / sum(asked)
    gamma = found.interval(0.95, "gamma")
    assert (gamma.low, gamma.high) == (0.0, 1.0)


def test_a_panel_at_guessing_has_no_share_to_differ_in() -> None:
    found = replicated_difference([1, 1, 1], 3, "triangle", above_guessing=True)
    assert (found.mu, found.gamma) == (0.0, None)
    assert found.between is not None


@pytest.mark.parametrize(("correct", "asked", "gamma"), [([4, 0, 4, 0], 4, 1.0), ([2, 2, 2, 2], 4, 0.0)])
def test_estimates_at_the_ends(correct: list[int], asked: int, gamma: float) -> None:
    found = replicated_difference(correct, asked, "duo-trio")
    assert (found.mu, found.gamma) == (pytest.approx(0.5, abs=1e-7), gamma)


# --- intervals --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("above_guessing", [False, True])
@pytest.mark.parametrize("of", ["mu", "gamma"])
def test_intervals_are_those_of_profiles_by_scipy(of: str, above_guessing: bool) -> None:
    panel, floor = PANELS[2], 0.5 if above_guessing else 0.0
    found = replicated_difference(*panel, "2-afc", above_guessing)
    interval = found.interval(0.9, of)
    height = found.log_likelihood - chi2.ppf(0.9, 1) / 2

    def above(value: float) -> float:
        def drop(other: Any) -> float:
            rest = float(1 / (1 + np.exp(-other[0])))
            return -(ours(*panel, floor, value, rest) if of == "mu" else ours(*panel, floor, rest, value))

        tops = [
            minimize(drop, [start], method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-11}).fun
            for start in (-3, 0, 2)
        ]
        return -min(tops) - height

    best = found.mu if of == "mu" else found.gamma
    assert best is not None
    for got, end in ((interval.low, 1e-9), (interval.high, 1 - 1e-9)):
        expected = brentq(above, end, best, xtol=1e-9) if above(end) < 0 else round(end)
        assert got == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize("correct", [[7], [1, 1, 0, 1, 1, 0, 1, 1, 0, 1]])
def test_one_nose_or_one_answer_each_has_the_binomial_interval(correct: list[int]) -> None:
    asked = 10 // len(correct)
    got = replicated_difference(correct, asked, "2-afc").interval()
    height = binom.logpmf(7, 10, 0.7) - chi2.ppf(0.95, 1) / 2
    low = brentq(lambda p: binom.logpmf(7, 10, p) - height, 0.01, 0.7)
    high = brentq(lambda p: binom.logpmf(7, 10, p) - height, 0.7, 0.99)
    assert (got.low, got.high, got.level, got.of) == (
        pytest.approx(low, abs=1e-8),
        pytest.approx(high, abs=1e-8),
        0.95,
        "mu",
    )


# --- do people differ -------------------------------------------------------------------------------------------------


def enumerated(correct: list[int], asked: list[int]) -> Fraction:
    """Every way to spread the right answers over panelists, weighted by how many ways there are to give it."""
    right, all_asked = sum(correct), sum(asked)

    def score(x: tuple[int, ...] | list[int]) -> Fraction:
        return sum(((one - Fraction(n * right, all_asked)) ** 2 for one, n in zip(x, asked, strict=True)), Fraction(0))

    ways = hits = 0
    for x in product(*(range(n + 1) for n in asked)):
        if sum(x) == right:
            weight = math.prod(math.comb(n, one) for one, n in zip(x, asked, strict=True))
            ways += weight
            hits += weight * (score(x) >= score(correct))
    return Fraction(hits, ways)


@given(panels())
def test_exact_p_is_that_of_enumeration(panel: tuple[list[int], list[int]]) -> None:
    correct, asked = panel[0][:5], panel[1][:5]
    assume(0 < sum(correct) < sum(asked))
    expected = float(enumerated(correct, asked))
    assert exact_p(np.array(correct), np.array(asked)) == pytest.approx(expected, rel=1e-11)


def test_exact_p_counts_orders_of_all_answers() -> None:
    """A third route: all orders of the twelve answers themselves, people being consecutive blocks."""
    correct, asked = [3, 0, 1], [3, 2, 3]
    answers = [1] * 4 + [0] * 4
    edges = [(0, 3), (3, 5), (5, 8)]
    seen = set(permutations(answers))

    def score(order: tuple[int, ...]) -> Fraction:
        return sum(((sum(order[a:b]) - Fraction(b - a, 2)) ** 2 for a, b in edges), Fraction(0))

    observed = (Fraction(3, 2) ** 2) + 1 + Fraction(1, 4)
    expected = Fraction(sum(score(one) >= observed for one in seen), len(seen))
    assert exact_p(np.array(correct), np.array(asked)) == pytest.approx(float(expected), rel=1e-12)


@given(st.lists(st.integers(0, 4), min_size=2, max_size=8))
def test_the_checks_beside_it(correct: list[int]) -> None:
    assume(0 < sum(correct) < 4 * len(correct))
    found = replicated_difference(correct, 4, "tetrad")
    assert found.between is not None
    asked = 4 * len(correct)
    statistic = proportions_chisquare(np.array(correct), np.full(len(correct), 4))[0]
    z = (4 * statistic - asked) / math.sqrt(2 * asked * 3)
    assert found.between.tarone_z == pytest.approx(z, abs=1e-9)
    assert found.between.tarone_p == pytest.approx(norm.sf(z), rel=1e-7, abs=1e-12)
    gain = found.log_likelihood - binom(4, sum(correct) / asked).logpmf(correct).sum()
    assert found.between.likelihood_ratio_p == pytest.approx(chi2.sf(2 * gain, 1) / 2 if found.gamma else 1.0, rel=1e-5)


def test_a_large_panel_is_drawn_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    correct, asked = PANELS[1]
    exact = replicated_difference(correct, asked, "triangle").between
    assert exact is not None
    assert (exact.counted, exact.draws) == ("exact", None)
    monkeypatch.setattr(between_module, "MOST_STATES", 10)
    drawn = replicated_difference(correct, asked, "triangle").between
    assert drawn is not None
    assert (drawn.counted, drawn.draws) == ("drawn", 99_999)
    # five standard errors of 99 999 draws
    assert abs(drawn.p_value - exact.p_value) < 5 * math.sqrt(exact.p_value * (1 - exact.p_value) / 99_999)
    assert replicated_difference(correct, asked, "triangle").between == drawn


# --- who stands out ---------------------------------------------------------------------------------------------------


# few: statsmodels collects garbage in every call, which is slow in a large process
@settings(deadline=None, max_examples=20)
@given(panels(), methods)
def test_standing_out_is_holm_of_exact_tests(panel: tuple[list[int], list[int]], method: str) -> None:
    found = replicated_difference(*panel, method)
    alone = [binomtest(x, n, chance(method), alternative="greater").pvalue for x, n in zip(*panel, strict=True)]
    stands, family, _, _ = multipletests(alone, 0.05, "holm")
    assert [row.p_value for row in found.panelists] == pytest.approx(alone, rel=1e-10)
    assert [row.p_family for row in found.panelists] == pytest.approx(family.tolist(), rel=1e-10)
    assert [row.stands_out for row in found.panelists] == stands.tolist()
    assert found.standing_out == tuple(row for row in found.panelists if row.stands_out)


def test_a_p_value_equal_to_its_share_of_alpha_stands_out() -> None:
    for people in (1, 2, 3, 5, 7):
        correct = [3] + [0] * (people - 1)
        assert len(replicated_difference(correct, 3, "triangle", alpha=people / 27).standing_out) == 1
        assert not replicated_difference(correct, 3, "triangle", alpha=people / 27 - 1e-9).standing_out


@pytest.mark.parametrize("above_guessing", [False, True])
def test_shrunken_is_the_posterior_mean(above_guessing: bool) -> None:
    correct, asked = PANELS[2]
    found = replicated_difference(correct, asked, "2-afc", above_guessing)
    assert found.gamma is not None
    size, floor = 1 / found.gamma - 1, 0.5 if above_guessing else 0.0
    people = beta(found.mu * size, (1 - found.mu) * size)
    for row in found.panelists:

        def part(u: float, power: int, row: Any = row) -> float:
            q = float(people.ppf(u))
            return q**power * float(binom.pmf(row.correct, row.assessments, floor + (1 - floor) * q))

        expected = quad(part, 0, 1, args=(1,), limit=200)[0] / quad(part, 0, 1, args=(0,), limit=200)[0]
        assert row.shrunken == pytest.approx(expected, rel=1e-5)


def test_shrunken_lies_between_the_panelist_and_the_panel() -> None:
    found = replicated_difference(*PANELS[0], "triangle")
    for row in found.panelists:
        assert row.shrunken is not None
        low, high = sorted([row.proportion_correct, found.mu])
        assert low < row.shrunken < high
    alike = replicated_difference([2, 2, 2], 4, "triangle")
    assert {row.shrunken for row in alike.panelists} == {0.5}


@pytest.mark.parametrize("above_guessing", [False, True])
def test_variance_factor_is_that_of_the_fitted_counts(above_guessing: bool) -> None:
    found = replicated_difference(*PANELS[2], "3-afc", above_guessing)
    assert found.gamma is not None
    x, floor = np.arange(6), 1 / 3 if above_guessing else 0.0
    chances = np.exp([ours([one], [5], floor, found.mu, found.gamma) for one in x])
    mean = float(chances @ x)
    variance = float(chances @ (x - mean) ** 2)
    assert found.variance_factor(5) == pytest.approx(variance / (mean * (1 - mean / 5)), rel=1e-9)


# --- arguments --------------------------------------------------------------------------------------------------------


def test_inputs_are_echoed_and_one_number_stands_for_everybody() -> None:
    found = replicated_difference([1, 2], 3, "2-afc", True, 0.1)
    assert (found.correct, found.assessments, found.method) == ((1, 2), (3, 3), "2-afc")
    assert (found.above_guessing, found.alpha, found.total_correct, found.total_assessments) == (True, 0.1, 3, 6)
    assert found == replicated_difference(np.array([1, 2]), [3, 3], "2-afc", True, 0.1)


@pytest.mark.parametrize(
    ("correct", "asked", "said"),
    [
        ([1, 4], [3, 3], r"correct must be from 0 to this panelist's assessments, 3, not 4 \(panelist 2\)"),
        ([1, 2, 3], [3, 3], "assessments must have one entry per panelist, 3 as correct, not 2"),
        ([], 3, "correct must have one entry per panelist and at least one"),
        ([1, 2], [3, 0], "assessments must hold whole numbers from 1"),
        ([1, -1], 3, "correct must hold whole numbers from 0"),
        ([1, 1.5], 3, "correct must hold whole numbers"),
        ([1, math.nan], 3, "correct must hold whole numbers"),
        ([[1, 2]], 3, "correct must be one whole number or a 1-D array"),
        ([1, 2], 1001, r"assessments must be from 1 to 1000, not 1001 \(panelist 1\)"),
    ],
)
def test_bad_counts_are_refused(correct: Any, asked: Any, said: str) -> None:
    with pytest.raises(ArgumentError, match=said):
        replicated_difference(correct, asked, "triangle")


def test_other_bad_arguments_are_refused() -> None:
    with pytest.raises(KindError, match="correct"):
        replicated_difference(["1"], 3, "triangle")
    with pytest.raises(ArgumentError, match="above_guessing must be one of False, True"):
        replicated_difference([1], 3, "triangle", above_guessing="yes")  # type: ignore[arg-type]
    with pytest.raises(ArgumentError, match="alpha must"):
        replicated_difference([1], 3, "triangle", alpha=1.0)
    with pytest.raises(ArgumentError, match="method must"):
        replicated_difference([1], 3, "sniff")
    with pytest.raises(ArgumentError, match="of must be one of 'mu', 'gamma'"):
        replicated_difference([1], 3, "triangle").interval(of="pd")
    with pytest.raises(ArgumentError, match="level must"):
        replicated_difference([1], 3, "triangle").interval(1.0)
    with pytest.raises(ArgumentError, match="replicates must"):
        replicated_difference([1, 3], 3, "triangle").variance_factor(0)
