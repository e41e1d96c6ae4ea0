"""Beliefs against scipy's beta and normal distributions and quadrature."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import beta, binom, truncnorm

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import belief, chance, proportion_correct
from evaluation.statistics.forced_choice.methods import METHODS

methods = st.sampled_from(sorted(METHODS))
shares = st.floats(0.02, 0.98)


@st.composite
def results(draw: st.DrawFn) -> tuple[int, int]:
    n = draw(st.integers(0, 60))
    return draw(st.integers(0, n)), n


@given(results(), methods, shares)
def test_flat_belief_is_the_beta_cut_at_guessing(result: tuple[int, int], method: str, limit: float) -> None:
    """With an even prior on the share, the proportion correct has a beta posterior cut to (g, 1)."""
    (x, n), g = result, chance(method)
    posterior = beta(x + 1, n - x + 1)
    expected = posterior.sf(g + (1 - g) * limit) / posterior.sf(g)
    assert belief(x, n, method, limit).probability_above == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize("prior", ["sceptical", "hopeful", (0.5, 0.5), (3.0, 8.0)])
@pytest.mark.parametrize(
    ("x", "n", "method"), [(9, 12, "triangle"), (0, 7, "2-afc"), (40, 40, "tetrad"), (31, 80, "duo-trio")]
)
def test_belief_in_a_share_is_that_of_quadrature(x: int, n: int, method: str, prior: Any) -> None:
    found, g = belief(x, n, method, 0.3, prior), chance(method)
    before = beta(*found.parameters)

    def part(u: float, power: int = 0) -> float:  # q = F⁻¹(u) takes the poles of the prior away
        q = float(before.ppf(u))
        return q**power * float(binom.pmf(x, n, g + (1 - g) * q))

    whole = quad(part, 0, 1, limit=400, epsabs=0, epsrel=1e-9)[0]
    above = quad(part, float(before.cdf(0.3)), 1, limit=400, epsabs=0, epsrel=1e-9)[0]
    assert found.probability_above == pytest.approx(above / whole, rel=1e-6)
    assert found.mean == pytest.approx(
        quad(part, 0, 1, args=(1,), limit=400, epsabs=0, epsrel=1e-9)[0] / whole, rel=1e-6
    )
    assert found.prior_above == pytest.approx(before.sf(0.3), rel=1e-9)


@pytest.mark.parametrize("prior", ["sceptical", "hopeful", (1.0, 0.3)])
@pytest.mark.parametrize(("x", "n", "method"), [(9, 12, "triangle"), (2, 9, "3-afc"), (31, 60, "duo-trio")])
def test_belief_in_a_distance_is_that_of_quadrature(x: int, n: int, method: str, prior: Any) -> None:
    found = belief(x, n, method, 1.0, prior, of="d_prime")
    mean, sd = found.parameters
    before = truncnorm(-mean / sd, (6 - mean) / sd, mean, sd)

    def part(d: float, power: int = 0) -> float:
        return d**power * float(before.pdf(d) * binom.pmf(x, n, proportion_correct(d, method)))

    whole = quad(part, 0, 6, limit=400, epsabs=0, epsrel=1e-9, points=[0.5, 1, 2])[0]
    assert found.probability_above == pytest.approx(
        quad(part, 1, 6, limit=400, epsabs=0, epsrel=1e-9, points=[2])[0] / whole, rel=1e-5
    )
    assert found.mean == pytest.approx(
        quad(part, 0, 6, args=(1,), limit=400, epsabs=0, epsrel=1e-9, points=[0.5, 1, 2])[0] / whole, rel=1e-5
    )
    assert found.prior_above == pytest.approx(before.sf(1.0), rel=1e-5)


@given(results(), methods, shares, st.sampled_from(["sceptical", "flat", "hopeful", (2.0, 3.0)]))
def test_one_more_right_raises_the_belief(result: tuple[int, int], method: str, limit: float, prior: Any) -> None:
    x, n = result
    low, high = belief(x, n + 1, method, limit, prior), belief(x + 1, n + 1, method, limit, prior)
    assert 0.0 <= low.probability_above <= high.probability_above + 1e-12 <= 1.0 + 1e-12
    assert low.mean < high.mean


@given(results(), st.sampled_from(["discriminators", "d_prime"]), st.sampled_from([0.5, 0.9, 0.95]))
def test_interval_leaves_the_same_belief_on_either_side(result: tuple[int, int], of: str, level: float) -> None:
    found = belief(*result, "triangle", 0.4, of=of)
    interval = found.interval(level)
    assert 0.0 <= interval.low < interval.high <= (1.0 if of == "discriminators" else 6.0)
    for end, probability in ((interval.low, (1 + level) / 2), (interval.high, (1 - level) / 2)):
        assert belief(*result, "triangle", end, of=of).probability_above == pytest.approx(probability, abs=1e-6)
    assert (interval.level, interval.of) == (level, of)


def test_sensitivity_is_the_belief_under_each_named_prior() -> None:
    for of in ("discriminators", "d_prime"):
        found = belief(9, 12, "triangle", 0.4, (2, 5), of)
        assert [name for name, _ in found.sensitivity] == ["sceptical", "flat", "hopeful"]
        for name, probability in found.sensitivity:
            assert probability == belief(9, 12, "triangle", 0.4, name, of).probability_above
    low, middle, high = (probability for _, probability in belief(9, 12, "triangle", 0.4).sensitivity)
    assert low < middle < high


def test_many_answers_leave_no_room_for_the_prior() -> None:
    values = [one for _, one in belief(5200, 10_000, "triangle", 0.25).sensitivity]
    assert min(values) > 0.99
    assert max(values) - min(values) < 1e-3
    distances = belief(5200, 10_000, "triangle", 1.0, of="d_prime").sensitivity
    assert min(one for _, one in distances) > 0.99


def test_inputs_are_echoed() -> None:
    found = belief(3, 8, "tetrad", 0.25, [2, 5], "discriminators")  # type: ignore[arg-type]
    assert (found.correct, found.assessments, found.method, found.limit) == (3, 8, "tetrad", 0.25)
    assert (found.prior, found.of, found.parameters) == ((2.0, 5.0), "discriminators", (2.0, 5.0))
    assert belief(3, 8, "tetrad", 0.25, "hopeful").prior == "hopeful"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((9, 8, "triangle", 0.3), "correct must be from 0 to assessments"),
        ((9, 10_001, "triangle", 0.3), "assessments must be from 0 to 10000"),
        ((3, 8, "triangle", 1.0), "limit must lie between 0 and 1"),
        ((3, 8, "triangle", math.nan), "limit must be a finite number"),
        ((3, 8, "triangle", 6.0, "flat", "d_prime"), "limit must lie between 0 and 6"),
        ((3, 8, "triangle", 0.3, "hunch"), "prior must be one of 'sceptical', 'flat', 'hopeful'"),
        ((3, 8, "triangle", 0.3, (1, 2, 3)), "prior must hold two numbers, not 3"),
        ((3, 8, "triangle", 0.3, (0, 1)), "prior must be from 0.01"),
        ((3, 8, "triangle", 0.3, "flat", "pd"), "of must be one of 'discriminators', 'd_prime'"),
        ((3, 8, "two-out-of-five", 0.3, "flat", "d_prime"), "two-out-of-five"),
        ((3, 8, "sniff", 0.3), "method must"),
    ],
)
def test_bad_arguments_are_refused(arguments: tuple[Any, ...], said: str) -> None:
    with pytest.raises(ArgumentError, match=said):
        belief(*arguments)


def test_arguments_of_the_wrong_kind_are_refused() -> None:
    with pytest.raises(KindError, match="limit"):
        belief(3, 8, "triangle", "0.3")  # type: ignore[arg-type]
    with pytest.raises(KindError, match="prior"):
        belief(3, 8, "triangle", 0.3, ("1", 2))  # type: ignore[arg-type]
