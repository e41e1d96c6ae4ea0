"""The power surface against scipy's binomial and integrals of its own."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import binom, ncf, norm

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import chance, design_surface, panel_size
from evaluation.statistics.forced_choice.methods import TETRAD, Method, registered

D = 1.5


def share(method: str) -> float:
    """Proportion correct at D: the decision rules as integrals (tests/reference, topic e, in other forms)."""
    if method == "triangle":  # sf of a noncentral F(1, 1) at 3 (own derivation, topic e)
        return float(ncf.sf(3, 1, 1, 2 * D**2 / 3))
    if method == "duo-trio":
        a, b = norm.cdf(D / 2**0.5), norm.cdf(D / 6**0.5)
        return float(1 - a - b + 2 * a * b)
    if method == "2-afc":
        return float(norm.cdf(D / 2**0.5))
    if method == "3-afc":
        return float(quad(lambda z: norm.pdf(z - D) * norm.cdf(z) ** 2, -9, 11)[0])
    return float(
        1 - 2 * quad(lambda z: norm.pdf(z) * (2 * norm.cdf(z) * norm.cdf(z - D) - norm.cdf(z - D) ** 2), -9, 9)[0]
    )


def test_every_point_by_scipy() -> None:
    found = design_surface(range(2, 31), (1, 2, 3), D, alpha=0.05)
    assert (found.people, found.replicates) == (tuple(range(2, 31)), (1, 2, 3))
    assert (found.d_prime, found.alpha) == (D, 0.05)
    assert found.methods == ("triangle", "duo-trio", "tetrad", "2-afc", "3-afc")
    order = [(m, p, r) for m in found.methods for p in found.people for r in found.replicates]
    assert [(one.method, one.people, one.replicates) for one in found.points] == order
    shares = {method: share(method) for method in found.methods}
    for one in found.points:
        n, g = one.people * one.replicates, chance(one.method)
        needed = int(binom.isf(0.05, n, g)) + 1
        assert one.assessments == n
        assert one.minimum_correct == (needed if needed <= n else None)
        assert one.actual_alpha == pytest.approx(binom.sf(needed - 1, n, g), rel=1e-9, abs=1e-15)
        assert one.power == pytest.approx(binom.sf(needed - 1, n, shares[one.method]), rel=1e-8, abs=1e-15)


def test_a_method_that_is_added_is_compared_without_being_named() -> None:
    """The methods are those there are when it is asked, not those of the first import."""
    with registered(Method("one more", Fraction(1, 3), TETRAD)):
        assert design_surface(6, 1, D).methods[-1] == "one more"
        with pytest.raises(ArgumentError, match="3-afc, one more, not none"):
            design_surface(6, 1, D, methods=())
    assert "one more" not in design_surface(6, 1, D).methods


def test_the_saw_tooth_is_kept() -> None:
    points = design_surface(range(5, 41), 1, D, methods=("triangle",)).points
    power = np.array([one.power for one in points])
    assert (np.diff(power) < 0).any()
    needed = [one.minimum_correct for one in points]
    falls = [place for place in range(1, len(points)) if power[place] < power[place - 1]]
    assert all(needed[place] != needed[place - 1] for place in falls), "power falls only where one more is needed"


def test_methods_in_their_order_at_equal_distance() -> None:
    """Methods with a named direction beat the tetrad, it beats the triangle: topic e, d = 1: 16, 23, 61, 202, 228."""
    points = design_surface(202, 1, 1.0).points
    power = {one.method: one.power for one in points}
    assert power["duo-trio"] < power["triangle"] < power["tetrad"] < min(power["2-afc"], power["3-afc"])
    assert power["triangle"] >= 0.80
    assert panel_size("triangle", 0.05, 0.20, d_prime=1.0) == 202


WRONG: list[tuple[dict[str, Any], type[Exception], str]] = [
    ({"people": 0}, ArgumentError, "people must be from 1"),
    ({"replicates": [1, 0]}, ArgumentError, "replicates must hold whole numbers from 1"),
    ({"d_prime": 0.0}, ArgumentError, "d_prime must be above 0"),
    ({"d_prime": math.inf}, ArgumentError, "d_prime must be a finite"),
    ({"alpha": 1}, ArgumentError, "alpha must lie between"),
    ({"methods": ("two-out-of-five",)}, ArgumentError, "two-out-of-five"),
    ({"methods": ("hexad",)}, ArgumentError, "method must be one of"),
    ({"methods": ()}, ArgumentError, "methods must name one or more"),
    ({"methods": "triangle"}, KindError, "methods must be a sequence"),
    ({"people": 10_000, "replicates": 10_000}, ArgumentError, "at most 10000000, not 100000000"),
]


@pytest.mark.parametrize(("wrong", "error", "says"), WRONG)
def test_refused_arguments(wrong: dict[str, Any], error: type[Exception], says: str) -> None:
    with pytest.raises(error, match=says):
        design_surface(**{"people": 12, "replicates": 2, "d_prime": 1.0, **wrong})
