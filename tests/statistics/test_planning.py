"""Power and panel sizes against brute force with scipy.stats.binom."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from evaluation.errors import ArgumentError
from evaluation.statistics import (
    actual_alpha,
    chance,
    minimum_correct,
    panel_size,
    power,
    preference_critical,
    preference_panel_size,
    preference_power,
    proportion_correct,
    smallest_detectable,
)
from evaluation.statistics.forced_choice.methods import METHODS
from evaluation.statistics.laws.sawtooth import safe_size

methods = st.sampled_from(sorted(METHODS))
risks = st.sampled_from([0.2, 0.1, 0.05, 0.01])
shares = st.floats(0.05, 0.95)


@cache
def brute_powers(method: str, alpha: float, pd: float, most: int) -> np.ndarray:
    """Exact power for every n from 1 to ``most``, critical counts by scipy's quantile."""
    n = np.arange(1, most + 1)
    guessing = chance(method)
    needed = binom.isf(alpha, n, guessing) + 1
    return np.where(needed <= n, binom.sf(needed - 1, n, guessing + pd * (1 - guessing)), 0.0)


@given(st.integers(1, 300), methods, risks, shares)
def test_power_is_the_tail_of_scipy(n: int, method: str, alpha: float, pd: float) -> None:
    expected = brute_powers(method, alpha, pd, n)[-1]
    assert power(n, method, alpha, pd) == pytest.approx(expected, rel=1e-9, abs=1e-300)


@given(st.integers(1, 300), methods, risks, shares, st.floats(0.0, 0.04))
def test_power_grows_with_the_share_that_notices(n: int, method: str, alpha: float, pd: float, more: float) -> None:
    assert power(n, method, alpha, pd + more) >= power(n, method, alpha, pd) - 1e-15


def test_power_by_distance_is_power_at_its_proportion() -> None:
    for method, entry in METHODS.items():
        if entry.model is None:
            continue
        guessing = chance(method)
        pd = (proportion_correct(1.3, method) - guessing) / (1 - guessing)
        assert power(40, method, 0.05, d_prime=1.3) == pytest.approx(power(40, method, 0.05, pd), rel=1e-12)
        assert panel_size(method, 0.05, 0.1, d_prime=1.3) == panel_size(method, 0.05, 0.1, pd)


def test_power_of_arrays_and_the_saw_tooth() -> None:
    """pd .4, alpha .05: 23 has .836, 24 only .787; 30 has .903, 31 only .872 (own derivation, two routes)."""
    n = [23, 24, 30, 31]
    assert power(n, "triangle", 0.05, 0.4).tolist() == pytest.approx([0.836, 0.787, 0.903, 0.872], abs=5.1e-4)
    assert power(n, "triangle", 0.05, 0.4).tolist() == [power(one, "triangle", 0.05, 0.4) for one in n]
    assert power(2, "triangle", 0.05, 0.4) == 0.0


def test_draws_of_the_whole_decision_reach_the_stated_power_and_risk() -> None:
    """Simulated sessions: 24 triangles, half of whose answers notice; and nobody notices."""
    generator = np.random.default_rng(7)
    needed = minimum_correct(24, "triangle", 0.05)
    for pd, stated in ((0.5, power(24, "triangle", 0.05, 0.5)), (0.0, actual_alpha(24, "triangle", 0.05))):
        notices = generator.random((40_000, 24)) < pd
        lucky = generator.integers(0, 3, (40_000, 24)) == 0
        seen = ((notices | lucky).sum(axis=1) >= needed).mean()
        assert abs(seen - stated) < 4.5 * np.sqrt(stated * (1 - stated) / 40_000)


@settings(deadline=None, max_examples=60)
@given(methods, risks, risks, st.sampled_from([0.15, 0.2, 0.3, 0.45, 0.6, 0.9]))
def test_panel_sizes_by_brute_force(method: str, alpha: float, beta: float, pd: float) -> None:
    """Every n to far beyond the answer: nothing smaller reaches, and nothing larger ever fails again."""
    first, stays = (panel_size(method, alpha, beta, pd, rule) for rule in ("first", "stays"))
    assert first <= stays
    powers = brute_powers(method, alpha, pd, max(3 * stays, 200))
    reached = powers >= 1 - beta
    assert first == np.argmax(reached) + 1
    assert stays == np.flatnonzero(~reached)[-1] + 2 if not reached.all() else stays == 1


@pytest.mark.parametrize("method", METHODS)
def test_the_bound_that_proves_stays_is_safe(method: str) -> None:
    """From the Chernoff bound on, no n may fail: looked at directly for a long way beyond it."""
    guessing = chance(method)
    for alpha, beta, pd in ((0.05, 0.2, 0.3), (0.001, 0.01, 0.4), (0.2, 0.2, 0.15), (0.01, 0.001, 0.9)):
        safe = safe_size(guessing, guessing + pd * (1 - guessing), alpha, beta)
        powers = brute_powers(method, alpha, pd, int(safe) + 1500)
        assert (powers[int(safe) - 1 :] >= 1 - beta).all()
        assert panel_size(method, alpha, beta, pd, "stays") <= safe


def test_reaching_exactly_counts() -> None:
    """One 2-AFC at alpha .5 needs 1 correct; at pd .5 its power is exactly .75."""
    assert panel_size("2-afc", 0.5, 0.25, 0.5) == 1
    assert panel_size("2-afc", 0.5, 0.2499, 0.5) > 1


def test_tetrad_takes_about_a_third_of_the_triangle() -> None:
    """'About one third in some cases': Ennis & Jesionka 2011, abstract read."""
    ratio = panel_size("tetrad", 0.05, 0.2, d_prime=1.0) / panel_size("triangle", 0.05, 0.2, d_prime=1.0)
    assert 0.25 < ratio < 0.40


@given(st.integers(1, 200), methods, risks, risks)
def test_smallest_detectable_has_just_that_power(n: int, method: str, alpha: float, beta: float) -> None:
    found = smallest_detectable(n, method, alpha, beta)
    if minimum_correct(n, method, alpha) is None:
        assert found is None
        return
    assert found is not None
    assert 0 < found < 1, "these risks are never reached by guessing"
    assert power(n, method, alpha, found) == pytest.approx(1 - beta, abs=1e-11)
    assert power(n, method, alpha, found * (1 - 1e-6)) < 1 - beta


def test_smallest_detectable_of_a_senseless_plan_is_nothing() -> None:
    assert smallest_detectable(30, "triangle", 0.05, 0.97) == 0.0


def test_a_difference_too_small_for_any_panel_is_refused() -> None:
    with pytest.raises(ArgumentError, match=r"pd must be large enough .* 10000000"):
        panel_size("triangle", 0.05, 0.2, 1e-5)
    with pytest.raises(ArgumentError, match="d_prime must be large enough"):
        panel_size("triangle", 0.05, 0.2, d_prime=1e-9)
    with pytest.raises(ArgumentError, match="share must be large enough"):
        preference_panel_size(0.05, 0.2, 0.5)


@given(st.integers(1, 150), risks, st.floats(0.02, 0.98))
def test_preference_power_adds_both_tails(people: int, alpha: float, share: float) -> None:
    needed = preference_critical(people, alpha)
    expected = 0.0
    if needed is not None:
        expected = binom.sf(needed - 1, people, share) + binom.cdf(people - needed, people, share)
    assert preference_power(people, alpha, share) == pytest.approx(expected, rel=1e-9)
    assert preference_power(people, alpha, share) == pytest.approx(preference_power(people, alpha, 1 - share), rel=1e-9)


@settings(deadline=None, max_examples=30)
@given(risks, risks, st.sampled_from([0.6, 0.65, 0.75, 0.9, 0.2]))
def test_preference_panel_sizes_by_brute_force(alpha: float, beta: float, share: float) -> None:
    first, stays = (preference_panel_size(alpha, beta, share, rule) for rule in ("first", "stays"))
    n = np.arange(1, 3 * stays + 200)
    needed = binom.isf(alpha / 2, n, 0.5) + 1
    powers = np.where(needed <= n, binom.sf(needed - 1, n, share) + binom.cdf(n - needed, n, share), 0)
    reached = powers >= 1 - beta
    assert (first, stays) == (np.argmax(reached) + 1, np.flatnonzero(~reached)[-1] + 2)
