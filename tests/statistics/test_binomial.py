"""Tails and their comparison with a risk: against whole-number arithmetic and scipy.stats.binom."""

from __future__ import annotations

from fractions import Fraction
from math import comb

import numpy as np
import pytest
from scipy.stats import binom

from evaluation.statistics import minimum_correct, preference_critical
from evaluation.statistics.laws.binomial import at_least, at_most, critical, exact_at_least, reaches

THIRD, HALF, TENTH = Fraction(1, 3), Fraction(1, 2), Fraction(1, 10)


def counted(x: int, n: int, p: Fraction) -> Fraction:
    """P(X ≥ x) from the definition."""
    return sum((comb(n, k) * p**k * (1 - p) ** (n - k) for k in range(x, n + 1)), Fraction(0))


@pytest.mark.parametrize("p", [THIRD, HALF, TENTH, Fraction(3, 10) * Fraction(2, 3) + THIRD])
def test_exact_tail_is_the_definition(p: Fraction) -> None:
    for n in (1, 2, 7, 20):
        for x in range(n + 2):
            assert exact_at_least(x, n, p) == counted(x, n, p)


@pytest.mark.parametrize("p", [THIRD, HALF, TENTH])
@pytest.mark.parametrize("n", [1, 5, 36, 200, 500])
def test_tails_agree_with_whole_numbers_far_closer_than_near(p: Fraction, n: int) -> None:
    """The incomplete beta must be much better than NEAR = 1e-12, or the order of p and alpha is not what it shows."""
    x = np.unique(np.linspace(0, n + 1, 60).astype(int))
    exact = np.array([float(exact_at_least(int(one), n, p)) for one in x])
    assert at_least(x, n, float(p)) == pytest.approx(exact, rel=2e-13, abs=1e-300)
    below = np.array([float(1 - exact_at_least(int(one) + 1, n, p)) for one in x[:-1]])
    assert at_most(x[:-1], n, float(p)) == pytest.approx(below, rel=2e-13, abs=1e-300)


def test_tails_agree_with_scipy_stats() -> None:
    n = np.arange(1, 400)[:, None]
    x = np.arange(401)[None, :]
    for p in (1 / 3, 0.5, 0.1, 0.72):
        inside = x <= n
        ours, theirs = at_least(x, n, p)[inside], binom.sf(np.broadcast_to(x - 1, inside.shape), n, p)[inside]
        assert ours == pytest.approx(theirs, rel=1e-10, abs=1e-280)


@pytest.mark.parametrize("n", [1, 2, 3, 5, 8, 13, 20, 30, 33, 40])
@pytest.mark.parametrize(("p", "method"), [(THIRD, "triangle"), (HALF, "2-afc"), (TENTH, "two-out-of-five")])
def test_p_equal_to_alpha_counts_as_reached(n: int, p: Fraction, method: str) -> None:
    """All n correct has p = g**n: 1/27 for three triangles. Alpha given as a quotient, or multiplied out."""
    assert minimum_correct(n, method, float(p**n)) == n
    multiplied = 1.0
    for _ in range(n):
        multiplied *= float(p)
    assert minimum_correct(n, method, multiplied) == n
    # and one thousandth of a millionth less is really less
    assert minimum_correct(n, method, float(p**n) * (1 - 1e-9)) is None


@pytest.mark.parametrize("n", [4, 9, 17, 30, 61])
def test_every_attainable_p_is_reached_by_itself(n: int) -> None:
    for p, method in ((THIRD, "tetrad"), (HALF, "duo-trio")):
        for x in range(n // 2 + 1, n + 1):
            assert minimum_correct(n, method, float(exact_at_least(x, n, p))) == x


def test_alpha_one_half_is_reached_by_the_upper_half_of_odd_panels() -> None:
    """By symmetry P(X ≥ (n+1)/2) is exactly 1/2 for every odd n; beyond EXACT_UP_TO a near tie counts as equal."""
    n = np.arange(1, 1201, 2)
    assert (minimum_correct(n, "2-afc", 0.5) == (n + 1) // 2).all()


def test_two_sided_equality_counts() -> None:
    assert preference_critical(6, 2 * 0.5**6) == 6
    assert preference_critical(6, 2 * 0.5**6 * (1 - 1e-9)) is None


def test_closer_than_floats_are_trusted_whole_numbers_decide() -> None:
    """An alpha one part in 1e13 below p is within NEAR of it, but p is larger: not reached."""
    assert minimum_correct(3, "triangle", (1 - 1e-13) / 27) is None
    assert minimum_correct(3, "triangle", (1 + 1e-13) / 27) == 3
    assert preference_critical(6, 2 * 0.5**6 * (1 - 1e-13)) is None


def test_a_near_miss_is_a_miss() -> None:
    """Triangle, n = 100: P(X ≥ 45) = .010005… > .01, so 46 (a table built with rounding prints 45)."""
    assert float(exact_at_least(45, 100, THIRD)) == pytest.approx(0.0100051, abs=5e-8)
    assert minimum_correct(100, "triangle", 0.01) == 46


@pytest.mark.parametrize("alpha", [0.3, 0.05, 0.001, 1e-9, 1e-40, 0.999])
@pytest.mark.parametrize("p", [THIRD, HALF, TENTH, Fraction(97, 100)])
def test_critical_is_the_first_count_that_reaches(p: Fraction, alpha: float) -> None:
    """Brute force over every count; alpha far into the tail too, where the starting guess is poor."""
    for n in (1, 2, 3, 10, 47, 150):
        x = np.arange(n + 1)
        reached = np.flatnonzero(reaches(x, np.full_like(x, n), p, alpha))
        expected = reached[0] if reached.size else n + 1
        assert critical(np.array([n]), p, alpha)[0] == expected
        direct = next((k for k in x if counted(int(k), n, p) <= Fraction(alpha)), n + 1)
        assert expected == direct
