"""Camps: by counting all panels, beside the test of overdispersion, and by properties."""

from __future__ import annotations

from fractions import Fraction
from itertools import product
from math import comb

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from evaluation.errors import ArgumentError
from evaluation.statistics import holm, opposite_camps
from evaluation.statistics.preference import camps as module
from evaluation.statistics.small_panels.between import exact_p


def panel(first: list[int], asked: list[int] | int) -> np.ndarray:
    """One pair of trials: how often each preferred the first, of how many answers."""
    votes, n = np.array(first), np.broadcast_to(asked, len(first))
    wins = np.zeros((len(first), 2, 2), int)
    wins[:, 0, 1], wins[:, 1, 0] = votes, n - votes
    return wins


def counted(first: list[int], asked: list[int]) -> Fraction:
    """P(agreement ≥ met | total), over every panel with that total, each weighted by its number of ways."""

    def agreeing(votes: tuple[int, ...]) -> int:
        return sum(comb(x, 2) + comb(n - x, 2) for x, n in zip(votes, asked, strict=True))

    same = hits = 0
    for votes in product(*(range(n + 1) for n in asked)):
        if sum(votes) == sum(first):
            ways = int(np.prod([comb(n, x) for x, n in zip(votes, asked, strict=True)]))
            same += ways
            hits += ways * (agreeing(votes) >= agreeing(tuple(first)))
    return Fraction(hits, same)


@pytest.mark.parametrize(
    ("first", "asked"),
    [([2, 2, 0, 0], [2, 2, 2, 2]), ([3, 1, 0, 2], [3, 2, 4, 2]), ([1, 1, 1], [2, 2, 2]), ([4, 0], [4, 4])],
)
def test_agreement_within_people_is_counted(first: list[int], asked: list[int]) -> None:
    found = opposite_camps(panel(first, np.array(asked)))  # type: ignore[arg-type]
    assert found.p_value == pytest.approx(float(counted(first, asked)))
    assert found.exact


@given(st.lists(st.integers(0, 4), min_size=2, max_size=9))
def test_with_equal_numbers_it_is_the_exact_test_of_overdispersion(first: list[int]) -> None:
    """Given the total, agreement and Tarone's score rank panels alike; that law has its own checks."""
    found = opposite_camps(panel(first, 4))
    if 0 < sum(first) < 4 * len(first):
        assert found.p_value == pytest.approx(exact_p(np.array(first), np.full(len(first), 4)))
    else:
        assert found.p_value == pytest.approx(1.0)
        assert found.finding == "no camps shown"


def test_both_directions_by_hand() -> None:
    """Four always for the first, five always for the second, two answers each: set the four aside, and each of the
    five had at most one chance in three to be firm rather than even. The larger p is that of the smaller camp."""
    found = opposite_camps(panel([2] * 4 + [0] * 5, 2))
    (pair,) = found.pairs
    assert pair.opposite_p == pytest.approx(3.0**-4)
    assert (pair.for_first, pair.for_second, pair.even, pair.people) == (4, 5, 0, 9)
    assert (found.finding, pair.within) == ("opposite camps", 1.0)
    assert pair.between == pytest.approx(1 - 2 * 8 * 10 / (18 * 17)), "two of the 18 answers, drawn at random"


def test_firm_and_indifferent_people_differ_but_are_not_opposite() -> None:
    found = opposite_camps(panel([6] * 6 + [3, 2, 4, 3, 3, 2], 6))
    assert found.p_value is not None
    assert found.p_value < 0.01
    assert found.finding == "people differ"
    assert opposite_camps(panel([3, 3, 2, 4, 3, 3], 6)).finding == "no camps shown"


def test_one_answer_each_tells_nothing() -> None:
    found = opposite_camps(panel([1] * 10 + [0] * 10, 1))
    assert found.finding == "cannot be told from indifference"
    assert (found.p_value, found.comparable, found.pairs[0].opposite_p) == (None, 0, None)
    mixed = opposite_camps(panel([1] * 10 + [2, 2, 0], [1] * 10 + [2] * 3))  # type: ignore[arg-type]
    assert mixed.pairs[0].people == 3, "people with one answer are left out"


def test_pairs_are_one_family() -> None:
    wins = np.zeros((10, 3, 3), int)
    wins[:5, 0, 1] = wins[5:, 1, 0] = 3
    wins[:, 0, 2] = wins[:, 2, 0] = 2
    wins[:4, 1, 2] = 1
    found = opposite_camps(wins)
    told = [one for one in found.pairs if one.opposite_p is not None]
    assert [one.opposite_p_family for one in told] == holm([one.opposite_p for one in told]).tolist()
    assert [one.opposite for one in found.pairs] == [True, False, False]
    assert found.comparable == 10 * 3 + 10 * 6
    assert found.agreeing == 10 * 3 + 10 * 2
    assert found.expected == pytest.approx(sum(one.between * n for one, n in zip(told, (30, 60), strict=True)))  # type: ignore[operator]


@settings(max_examples=30)
@given(st.lists(st.integers(0, 3), min_size=2, max_size=8))
def test_sides_may_be_exchanged_and_p_are_chances(first: list[int]) -> None:
    one, other = opposite_camps(panel(first, 3)), opposite_camps(panel([3 - x for x in first[::-1]], 3))
    assert one.p_value == pytest.approx(other.p_value)
    assert one.pairs[0].opposite_p == pytest.approx(other.pairs[0].opposite_p)
    assert one.finding == other.finding
    assert 0.0 < (one.p_value or 0.0) <= 1.0


def test_drawn_panels_agree_with_the_exact_law(monkeypatch: pytest.MonkeyPatch) -> None:
    wins = panel([4, 3, 0, 1, 2, 4, 1, 3], 4)
    exact = opposite_camps(wins)
    monkeypatch.setattr(module, "MOST_WORK", 10)
    drawn = opposite_camps(wins)
    assert (exact.exact, drawn.exact) == (True, False)
    assert exact.p_value is not None
    assert drawn.p_value == pytest.approx(exact.p_value, abs=4 * 0.5 / 9999**0.5)
    assert opposite_camps(wins).p_value == drawn.p_value


def test_refused() -> None:
    with pytest.raises(ArgumentError, match="panelists"):
        opposite_camps([[0, 3], [2, 0]])
    with pytest.raises(ArgumentError, match="alpha"):
        opposite_camps(panel([1, 2], 2), alpha=0.0)
