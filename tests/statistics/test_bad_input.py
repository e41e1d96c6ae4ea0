"""Every refused argument: the message names it, its value, and what is allowed."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction
from typing import Any

import numpy as np
import pytest

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import (
    actual_alpha,
    chance,
    d_prime,
    difference_test,
    maximum_correct,
    minimum_correct,
    panel_size,
    power,
    preference_critical,
    preference_panel_size,
    preference_power,
    preference_test,
    proportion_correct,
    reversed_tail,
    similarity_test,
    smallest_detectable,
)

CALLS: dict[str, list[Callable[[Any], Any]]] = {
    "correct": [
        lambda x: difference_test(x, 12, "triangle"),
        lambda x: similarity_test(x, 12, "triangle", 0.3),
        lambda x: reversed_tail(x, 12, "triangle"),
    ],
    "assessments": [
        lambda x: difference_test(1, x, "triangle"),
        lambda x: similarity_test(1, x, "triangle", 0.3),
        lambda x: reversed_tail(1, x, "triangle"),
        lambda x: minimum_correct(x, "triangle", 0.05),
        lambda x: minimum_correct([8, x], "triangle", 0.05),
        lambda x: actual_alpha(x, "triangle", 0.05),
        lambda x: maximum_correct(x, "triangle", 0.3, 0.05),
        lambda x: power(x, "triangle", 0.05, 0.3),
        lambda x: power([8, x], "triangle", 0.05, 0.3),
        lambda x: smallest_detectable(x, "triangle", 0.05, 0.2),
    ],
    "first": [lambda x: preference_test(x, 3)],
    "second": [lambda x: preference_test(3, x)],
    "ties": [lambda x: preference_test(3, 3, x)],
    "people": [lambda x: preference_critical(x, 0.05), lambda x: preference_power(x, 0.05, 0.7)],
}
RISKS: dict[str, list[Callable[[Any], Any]]] = {
    "alpha": [
        lambda x: difference_test(8, 12, "triangle", x),
        lambda x: minimum_correct(12, "triangle", x),
        lambda x: actual_alpha(12, "triangle", x),
        lambda x: power(12, "triangle", x, 0.3),
        lambda x: panel_size("triangle", x, 0.2, 0.3),
        lambda x: smallest_detectable(12, "triangle", x, 0.2),
        lambda x: preference_critical(12, x),
        lambda x: preference_power(12, x, 0.7),
        lambda x: preference_panel_size(x, 0.2, 0.7),
    ],
    "beta": [
        lambda x: similarity_test(8, 12, "triangle", 0.3, x),
        lambda x: maximum_correct(12, "triangle", 0.3, x),
        lambda x: panel_size("triangle", 0.05, x, 0.3),
        lambda x: smallest_detectable(12, "triangle", 0.05, x),
        lambda x: preference_panel_size(0.05, x, 0.7),
    ],
    "pd": [
        lambda x: similarity_test(8, 12, "triangle", x),
        lambda x: maximum_correct(12, "triangle", x, 0.05),
        lambda x: power(12, "triangle", 0.05, x),
        lambda x: panel_size("triangle", 0.05, 0.2, x),
    ],
    "share": [lambda x: preference_power(12, 0.05, x), lambda x: preference_panel_size(0.05, 0.2, x)],
    "level": [
        lambda x: difference_test(8, 12, "triangle").interval(x),
        lambda x: preference_test(8, 4).interval(x),
    ],
}


def each(calls: dict[str, list[Callable[[Any], Any]]]) -> list[Any]:
    return [
        pytest.param(name, call, id=f"{name}-{place}")
        for name, several in calls.items()
        for place, call in enumerate(several)
    ]


@pytest.mark.parametrize("value", [-1, 7.5, math.nan, math.inf, np.float64(2.5), -3.0])
@pytest.mark.parametrize(("name", "call"), each(CALLS))
def test_counts_that_are_no_counts(name: str, call: Callable[[Any], Any], value: float) -> None:
    with pytest.raises(ArgumentError, match=rf"{name} must .*(?:-?\d|nan|inf)"):
        call(value)


@pytest.mark.parametrize("value", [True, "8", None, 3j, np.bool_(True)])
@pytest.mark.parametrize(("name", "call"), each(CALLS))
def test_counts_of_the_wrong_kind(name: str, call: Callable[[Any], Any], value: Any) -> None:
    with pytest.raises(KindError, match=name):
        call(value)


@pytest.mark.parametrize("value", [0, 1, -0.1, 1.5, math.nan, math.inf, 5])
@pytest.mark.parametrize(("name", "call"), each(RISKS))
def test_risks_outside_zero_to_one(name: str, call: Callable[[Any], Any], value: float) -> None:
    with pytest.raises(ArgumentError, match=f"{name} must"):
        call(value)


@pytest.mark.parametrize("value", ["0.05", None, True])
@pytest.mark.parametrize(("name", "call"), each({k: v for k, v in RISKS.items() if k != "pd"}))
def test_risks_of_the_wrong_kind(name: str, call: Callable[[Any], Any], value: Any) -> None:
    with pytest.raises(KindError, match=name):
        call(value)


def test_more_correct_than_asked() -> None:
    with pytest.raises(ArgumentError, match=r"correct must be from 0 to assessments \(12\), not 13"):
        difference_test(13, 12, "triangle")
    with pytest.raises(ArgumentError, match="not 13"):
        similarity_test(13, 12, "triangle", 0.3)


@pytest.mark.parametrize("zero", CALLS["assessments"] + CALLS["people"])
def test_an_empty_panel(zero: Callable[[Any], Any]) -> None:
    with pytest.raises(ArgumentError, match=r"(assessments|people) must .* 1 "):
        zero(0)


def test_nobody_answered() -> None:
    with pytest.raises(ArgumentError, match="add up to a number from 1"):
        preference_test(0, 0, 0)


@pytest.mark.parametrize("method", ["Triangle", "triangel", "preference", "", None, 3, ["triangle"]])
def test_unknown_methods_list_the_known_ones(method: Any) -> None:
    calls: list[Callable[[], Any]] = [
        lambda: chance(method),
        lambda: difference_test(8, 12, method),
        lambda: similarity_test(8, 12, method, 0.3),
        lambda: minimum_correct(12, method, 0.05),
        lambda: panel_size(method, 0.05, 0.2, 0.3),
        lambda: proportion_correct(1.0, method),
        lambda: d_prime(0.5, method),
    ]
    for call in calls:
        with pytest.raises(ArgumentError, match="method must be one of 'triangle', 'duo-trio'"):
            call()


def test_unknown_choices_list_the_known_ones() -> None:
    with pytest.raises(ArgumentError, match="of must be one of 'discriminators'"):
        difference_test(8, 12, "triangle").interval(of="pd")
    with pytest.raises(ArgumentError, match="rule must be one of 'first', 'stays'"):
        panel_size("triangle", 0.05, 0.2, 0.3, rule="last")
    with pytest.raises(ArgumentError, match="ties_rule must be one of 'drop', 'split'"):
        preference_test(8, 4, 1, "share")


def test_pd_and_distance_exclude_each_other() -> None:
    with pytest.raises(ArgumentError, match="Exactly one of pd and d_prime must be given, not both"):
        power(12, "triangle", 0.05, 0.3, d_prime=1.0)
    with pytest.raises(ArgumentError, match="not neither"):
        panel_size("triangle", 0.05, 0.2)
    with pytest.raises(ArgumentError, match="two-out-of-five"):
        power(12, "two-out-of-five", 0.05, d_prime=1.0)
    for wrong in (0.0, -1.0, math.nan, math.inf):
        with pytest.raises(ArgumentError, match="d_prime must be"):
            power(12, "triangle", 0.05, d_prime=wrong)


@pytest.mark.parametrize("wrong", [-0.1, math.nan, [0.5, math.nan], [1.0, -2.0]])
def test_distances_and_proportions_out_of_range(wrong: Any) -> None:
    with pytest.raises(ArgumentError, match="d_prime must be 0 or more"):
        proportion_correct(wrong, "triangle")
    with pytest.raises(ArgumentError, match="proportion must be from 0 to 1"):
        d_prime(wrong, "triangle")


@pytest.mark.parametrize("wrong", ["1", None, True, [True], ["a"]])
def test_distances_and_proportions_of_the_wrong_kind(wrong: Any) -> None:
    with pytest.raises(KindError, match="d_prime"):
        proportion_correct(wrong, "triangle")
    with pytest.raises(KindError, match="proportion"):
        d_prime(wrong, "triangle")


@pytest.mark.parametrize("shape", [[[6, 12]], [[6], [12, 18]]])
def test_counts_of_the_wrong_shape(shape: Any) -> None:
    with pytest.raises(ArgumentError, match="assessments must be"):
        minimum_correct(shape, "triangle", 0.05)


@pytest.mark.parametrize("count", [np.int64(8), np.uint8(8), 8.0, np.float32(8), Fraction(8), np.array(8)])
def test_whole_numbers_of_any_make_are_accepted(count: Any) -> None:
    assert minimum_correct(count, "triangle", 0.05) == 6
    if not isinstance(count, np.ndarray):
        found = difference_test(count, count, "triangle")
        assert (found.correct, type(found.correct)) == (8, int)
        assert preference_test(count, count).p_value == 1.0
    assert minimum_correct([], "triangle", 0.05).tolist() == []
