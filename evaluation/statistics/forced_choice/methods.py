"""The methods: how often guessing is right, exactly, and which decision rule leads to d′.

Proportion correct as a function of the sensory distance d′, for each way of asking; all in closed form.

Model (Thurstone, case V): every smelling adds an independent normal perception of unit variance, the two
trials lie d′ apart, and the answer follows the rule of the method. Written as ``miss(d) = 1 − proportion
correct``, because the miss keeps its full relative accuracy where the proportion itself has already rounded
to 1.

T(h, a) is Owen's function (Owen 1956, Ann. Math. Statist. 27, 1075–1090; from memory). Each rule below is an
event of two correlated normals, and for equal limits Φ₂(h, h; ρ) = Φ(h) − 2 T(h, √((1−ρ)/(1+ρ))) (same
paper). The reductions are our own; the tests hold them against direct integration of the textbook
formulas, against the noncentral F, and against draws of the decision rule itself.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Literal

import numpy as np
from scipy import special

from evaluation.errors import ArgumentError
from evaluation.ground.checks import choice
from evaluation.statistics.laws.inputs import Floats

MethodName = Literal["triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"]

ROOT2, ROOT3, ROOT6, ROOT12 = np.sqrt([2.0, 3.0, 6.0, 12.0]).tolist()


@dataclass(frozen=True, slots=True)
class Model:
    """One decision rule: ``miss`` = P(wrong | d′), ``slope`` = d P(correct) / d d′; for arrays of d′ ≥ 0."""

    miss: Callable[[Floats], Floats]
    slope: Callable[[Floats], Floats]


def _density(z: Floats) -> Floats:
    density: Floats = np.exp(-0.5 * z * z) / np.sqrt(2.0 * np.pi)
    return density


def _two_afc_miss(d: Floats) -> Floats:
    # correct iff the stronger of two is the stronger trial: Φ(d/√2)
    return np.asarray(special.ndtr(-d / ROOT2))


def _two_afc_slope(d: Floats) -> Floats:
    return np.asarray(_density(d / ROOT2) / ROOT2)


def _three_afc_miss(d: Floats) -> Floats:
    # correct iff the strong one exceeds both weak ones: Φ₂(d/√2, d/√2; 1/2)
    h = d / ROOT2
    return np.asarray(special.ndtr(-h) + 2.0 * special.owens_t(h, 1.0 / ROOT3))


def _three_afc_slope(d: Floats) -> Floats:
    # dT/dh = −φ(h)·(Φ(ah) − 1/2), from Owen's integral
    return np.asarray(ROOT2 * _density(d / ROOT2) * special.ndtr(d / ROOT6))


def _triangle_miss(d: Floats) -> Floats:
    # u = A₁ − A₂ ~ N(0, 2), v = B − (A₁+A₂)/2 ~ N(d, 3/2): correct iff |v| > 1.5 |u|, that is
    # Φ₂(h, h; −1/2) + Φ₂(−h, −h; −1/2) with h = d/√6. Equal to sf of noncentral F(1, 1, 2d²/3) at 3.
    return np.asarray(4.0 * special.owens_t(d / ROOT6, ROOT3))


def _triangle_slope(d: Floats) -> Floats:
    return np.asarray(2.0 / ROOT6 * _density(d / ROOT6) * special.erf(d / 2.0))


def _duo_trio_miss(d: Floats) -> Floats:
    # correct iff (B − A)(2R − A − B) < 0, two independent normals: 1/2 + erf(d/2) erf(d/√12) / 2
    near, far = special.erfc(d / 2.0), special.erfc(d / ROOT12)
    return np.asarray(0.5 * (near + far - near * far))


def _duo_trio_slope(d: Floats) -> Floats:
    first = _density(d / ROOT2) / ROOT2 * special.erf(d / ROOT12)
    second = _density(d / ROOT6) / ROOT6 * special.erf(d / 2.0)
    return np.asarray(first + second)


def _tetrad_miss(d: Floats) -> Floats:
    # two pairs, unspecified: 1 − 2∫φ(z)[2Φ(z)Φ(z−d) − Φ(z−d)²]dz, whose two terms are
    # Φ₂(0, −h; 1/2) = Φ(−h)/2 + T(h, 1/√3) and Φ₂(−h, −h; 1/2), h = d/√2
    return np.asarray(8.0 * special.owens_t(d / ROOT2, 1.0 / ROOT3))


def _tetrad_slope(d: Floats) -> Floats:
    return np.asarray(4.0 / ROOT2 * _density(d / ROOT2) * special.erf(d / ROOT12))


# --- the table ---

TWO_AFC = Model(_two_afc_miss, _two_afc_slope)
THREE_AFC = Model(_three_afc_miss, _three_afc_slope)
TRIANGLE = Model(_triangle_miss, _triangle_slope)
DUO_TRIO = Model(_duo_trio_miss, _duo_trio_slope)
TETRAD = Model(_tetrad_miss, _tetrad_slope)


@dataclass(frozen=True, slots=True)
class Method:
    """One way of asking: its name, its guessing probability, and its decision rule where one is known."""

    name: MethodName
    guessing: Fraction
    model: Model | None

    def proportion_correct(self, pd: float) -> Fraction:
        """Proportion correct when a share ``pd`` notices and the others guess: g + pd (1 − g).

        The guessing model of ISO 4120. Exact: ``pd`` is read as the shortest decimal that denotes it, so .3
        is 3/10.
        """
        return self.guessing + Fraction(repr(float(pd))) * (1 - self.guessing)

    def discriminators(self, proportion: float | Fraction) -> float:
        """Share that notices, given the proportion correct; below guessing there is none: 0."""
        share = (Fraction(proportion) - self.guessing) / (1 - self.guessing)
        return float(max(Fraction(0), share))


# Two out of five: C(5, 2) = 10 ways to pick the two. No d′: no decision rule for it has been published where
# we could read it, and a rule of our own invention would be a number nobody can check.
_METHODS: dict[str, Method] = {
    one.name: one
    for one in (
        Method("triangle", Fraction(1, 3), TRIANGLE),
        Method("duo-trio", Fraction(1, 2), DUO_TRIO),
        Method("tetrad", Fraction(1, 3), TETRAD),
        Method("2-afc", Fraction(1, 2), TWO_AFC),
        Method("3-afc", Fraction(1, 3), THREE_AFC),
        Method("two-out-of-five", Fraction(1, 10), None),
    )
}
METHODS = MappingProxyType(_METHODS)


@contextmanager
def registered(method: Method) -> Iterator[Method]:
    """A method more, as long as the block lasts."""
    if method.name in _METHODS:
        raise ArgumentError(f"name must be new, and {method.name} is a method already.")
    _METHODS[method.name] = method
    try:
        yield method
    finally:
        del _METHODS[method.name]


def method_named(method: Any) -> Method:
    """The method of that name, or an error that lists the names."""
    return METHODS[choice("method", method, tuple(METHODS))]


def model_of(method: Any) -> Model:
    """The decision rule of that method, or an error that says it has none."""
    found = method_named(method)
    if found.model is None:
        with_model = ", ".join(repr(one.name) for one in METHODS.values() if one.model)
        raise ArgumentError(
            f"method must be one of {with_model} for d-prime, not {found.name!r}: "
            "no published function relates its answers to d-prime."
        )
    return found.model
