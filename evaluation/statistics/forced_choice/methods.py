"""The table of methods: how often guessing is right, exactly, and which decision rule leads to d′."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Literal

from evaluation.checks import choice
from evaluation.errors import ArgumentError
from evaluation.statistics.forced_choice.psychometric import DUO_TRIO, TETRAD, THREE_AFC, TRIANGLE, TWO_AFC, Model

MethodName = Literal["triangle", "duo-trio", "tetrad", "2-afc", "3-afc", "two-out-of-five"]


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
