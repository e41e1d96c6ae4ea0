"""Psychometric functions: closed forms against integration, the noncentral F, draws of the rule, and their inverse."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import ndtr
from scipy.stats import ncf, norm

from evaluation.errors import ArgumentError
from evaluation.statistics import chance, d_prime, proportion_correct
from evaluation.statistics.forced_choice.methods import METHODS

MODELLED = [name for name, method in METHODS.items() if method.model is not None]
F = ndtr


def f(z: float) -> float:
    return math.exp(-z * z / 2) / math.sqrt(2 * math.pi)


# Textbook formulas (Ennis 1993; Hacker & Ratcliff 1979; Ennis & Jesionka 2011: from memory), the integrand and its range
INTEGRALS: dict[str, Callable[[float], float]] = {
    "2-afc": lambda d: quad(lambda z: f(z - d) * F(z), -10, 10 + d, epsabs=1e-13)[0],
    "3-afc": lambda d: quad(lambda z: f(z - d) * F(z) ** 2, -10, 10 + d, epsabs=1e-13)[0],
    "triangle": lambda d: quad(
        lambda z: 2 * (F(-z * 3**0.5 + d * (2 / 3) ** 0.5) + F(-z * 3**0.5 - d * (2 / 3) ** 0.5)) * f(z),
        0, 12, epsabs=1e-13, limit=200,
    )[0],
    "duo-trio": lambda d: quad(  # reference r, its twin and the other: the twin is nearer
        lambda r: f(r) * quad(
            lambda twin: f(twin) * (1 - F(r + abs(r - twin) - d) + F(r - abs(r - twin) - d)), -9, 9, epsabs=1e-9
        )[0], -9, 9, epsabs=1e-9,
    )[0],
    "tetrad": lambda d: 1 - 2 * quad(
        lambda z: f(z) * (2 * F(z) * F(z - d) - F(z - d) ** 2), -10, 10 + d, epsabs=1e-13
    )[0],
}  # fmt: skip


@pytest.mark.parametrize("method", MODELLED)
@pytest.mark.parametrize("d", [0.0, 0.05, 0.7, 1.5, 3.0, 5.0])
def test_closed_form_is_the_integral(method: str, d: float) -> None:
    tolerance = 1e-8 if method == "duo-trio" else 1e-11  # a double integral with kinks, and a single smooth one
    assert proportion_correct(d, method) == pytest.approx(INTEGRALS[method](d), abs=tolerance)


def test_triangle_is_the_tail_of_a_noncentral_f() -> None:
    """|v| > 1.5 |u| says that F(1, 1) with noncentrality 2d²/3 exceeds 3."""
    for d in (0.1, 0.5, 1.0, 2.0, 4.0, 6.0):
        assert proportion_correct(d, "triangle") == pytest.approx(ncf.sf(3, 1, 1, 2 * d * d / 3), abs=1e-12)


@pytest.mark.parametrize("method", MODELLED)
def test_guessing_at_no_distance_and_certainty_far_away(method: str) -> None:
    assert proportion_correct(0.0, method) == pytest.approx(chance(method), abs=1e-15)
    assert proportion_correct([30.0, math.inf], method).tolist() == [1.0, 1.0]


def _triangle(draw: np.ndarray) -> np.ndarray:
    """Two of A, one of B: the pair of A is the closest pair."""
    a1, a2, b = draw[0], draw[1], draw[3]
    return (abs(a1 - a2) < abs(a1 - b)) & (abs(a1 - a2) < abs(a2 - b))


def _tetrad(draw: np.ndarray) -> np.ndarray:
    """Two pairs that are most alike inside: the two lowest together, whichever name they bear."""
    order = np.argsort(draw, axis=0)
    low = np.sort(order[:2], axis=0)
    return (low == [[0], [1]]).all(axis=0) | (low == [[2], [3]]).all(axis=0)


# draws: rows a₁, a₂ (weak), r (a third weak one), b₁, b₂ shifted by d
RULES: dict[str, Callable[[np.ndarray], np.ndarray]] = {
    "triangle": lambda x: _triangle(x[[0, 1, 2, 3]]),
    "duo-trio": lambda x: abs(x[0] - x[1]) < abs(x[0] - x[3]),
    "tetrad": lambda x: _tetrad(x[[0, 1, 3, 4]]),
    "2-afc": lambda x: x[3] > x[0],
    "3-afc": lambda x: x[3] > np.maximum(x[0], x[1]),
}


@pytest.mark.parametrize("method", MODELLED)
@pytest.mark.parametrize("d", [0.0, 1.0, 2.2])
def test_closed_form_is_the_share_among_draws_of_the_rule(method: str, d: float) -> None:
    draws = np.random.default_rng(20251125).normal(size=(5, 200_000)) + np.array([[0], [0], [0], [d], [d]])
    seen = RULES[method](draws).mean()
    expected = proportion_correct(d, method)
    assert abs(seen - expected) < 4.5 * math.sqrt(expected * (1 - expected) / 200_000)


@pytest.mark.parametrize("method", MODELLED)
def test_slope_is_the_derivative(method: str) -> None:
    model = METHODS[method].model
    assert model is not None
    d, step = np.linspace(0.1, 6.0, 60), 1e-4
    numeric = (model.miss(d - step) - model.miss(d + step)) / (2 * step)
    assert model.slope(d) == pytest.approx(numeric, abs=1e-8)


@pytest.mark.parametrize("method", MODELLED)
def test_inverse_returns_the_proportion_over_the_whole_range(method: str) -> None:
    """Also one part in 1e15 above guessing and below certainty."""
    guessing = chance(method)
    tiny = 10.0 ** -np.linspace(1, 15.4, 300)
    share = np.concatenate([np.linspace(guessing, 1, 5001)[1:-1], guessing + tiny * 0.5, 1 - tiny * 0.5])
    distance = d_prime(share, method)
    assert proportion_correct(distance, method) == pytest.approx(share, abs=1e-15)
    # certainty: the miss keeps its relative accuracy
    model = METHODS[method].model
    assert model is not None
    assert model.miss(distance) == pytest.approx(1 - share, rel=1e-11)


@pytest.mark.parametrize("method", MODELLED)
def test_distance_returns_where_a_float_can_hold_it(method: str) -> None:
    """The error of d′ is that of the proportion's last digit divided by the slope, and no more."""
    model = METHODS[method].model
    assert model is not None
    d = np.linspace(0.01, 8.0, 4000)
    held = 1e-15 / model.slope(d) + 1e-12
    assert (np.abs(d_prime(proportion_correct(d, method), method) - d) <= held).all()
    usual = np.linspace(0.01, 5.0, 1000)
    assert d_prime(proportion_correct(usual, method), method) == pytest.approx(usual, abs=1e-10)


@pytest.mark.parametrize("method", MODELLED)
def test_inverse_is_the_root_scipy_finds(method: str) -> None:
    for share in np.linspace(chance(method) + 1e-6, 1 - 1e-5, 40):
        root = brentq(lambda d, p=share: proportion_correct(d, method) - p, 0.0, 20.0, xtol=1e-13)
        assert d_prime(share, method) == pytest.approx(root, abs=1e-9 + 1e-15 / (share - chance(method)))


def test_two_afc_inverse_is_the_normal_quantile() -> None:
    share = np.linspace(0.5001, 0.99999, 500)
    assert d_prime(share, "2-afc") == pytest.approx(2**0.5 * norm.ppf(share), abs=1e-11)


@given(st.sampled_from(MODELLED), st.floats(0.02, 6.0))
def test_inverse_of_any_distance(method: str, d: float) -> None:
    assert d_prime(proportion_correct(d, method), method) == pytest.approx(d, abs=1e-9)


@given(st.sampled_from(MODELLED), st.floats(0.0, 20.0), st.floats(0.0, 5.0))
def test_farther_apart_is_never_harder(method: str, d: float, more: float) -> None:
    assert proportion_correct(d + more, method) >= proportion_correct(d, method) - 2e-16


@pytest.mark.parametrize("method", MODELLED)
def test_ends_and_shapes(method: str) -> None:
    guessing = chance(method)
    assert d_prime([0.0, guessing / 2, guessing, 1.0], method).tolist() == [0.0, 0.0, 0.0, math.inf]
    assert isinstance(d_prime(0.9, method), float)
    assert isinstance(proportion_correct(1, method), float)
    grid = np.array([[0.6, 0.7], [0.8, 0.9]])
    assert d_prime(grid, method).shape == proportion_correct(grid, method).shape == (2, 2)
    assert d_prime([], method).shape == (0,)


@pytest.mark.parametrize("function", [proportion_correct, d_prime])
def test_two_out_of_five_has_no_model(function: Callable[[float, str], float]) -> None:
    with pytest.raises(ArgumentError, match="two-out-of-five"):
        function(0.5, "two-out-of-five")
