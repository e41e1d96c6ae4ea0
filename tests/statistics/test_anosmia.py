"""Gaps against scipy's Fisher test and statsmodels' Holm; the check of a material against counting."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import product
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom, binomtest, fisher_exact

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import chance, material_check, misses_material
from tests.holm import multipletests


@st.composite
def tables(draw: st.DrawFn) -> list[np.ndarray]:
    people, materials = draw(st.integers(2, 6)), draw(st.integers(1, 3))
    given_counts: list[np.ndarray] = []
    for _ in range(2):
        asked = np.array([[draw(st.integers(0, 9)) for _ in range(materials)] for _ in range(people)])
        right = np.array([[draw(st.integers(0, int(n))) for n in row] for row in asked])
        given_counts += [right, asked]
    return given_counts


# few: statsmodels collects garbage in every call, which is slow in a large process
@settings(deadline=None, max_examples=20)
@given(tables())
def test_rows_are_fishers_tests_and_holms_correction(table: list[np.ndarray]) -> None:
    right, asked, elsewhere, asked_elsewhere = table
    found = misses_material(*table, "triangle")
    assert len(found.rows) == right.size
    for row in found.rows:
        at = row.place, row.material
        counts = (row.correct_with, row.assessments_with, row.correct_without, row.assessments_without)
        assert counts == tuple(int(one[at]) for one in table)
        others, all_asked = right[:, row.material].sum() - right[at], asked[:, row.material].sum() - asked[at]
        for got, other, n in (
            (row.p_against_others, others, all_asked),
            (row.p_against_self, elsewhere[at], asked_elsewhere[at]),
        ):
            pairs = [[right[at], asked[at] - right[at]], [other, n - other]]
            assert got == pytest.approx(fisher_exact(pairs, alternative="less").pvalue, rel=1e-9)
        assert row.p_value == max(row.p_against_others, row.p_against_self)
        if row.assessments_with:
            expected = binomtest(row.correct_with, row.assessments_with, 1 / 3, alternative="greater").pvalue
            assert row.guessing_p == pytest.approx(expected, rel=1e-9)
    raw = [row.p_value for row in found.rows]
    assert [row.p_family for row in found.rows] == pytest.approx(
        multipletests(raw, method="holm")[1].tolist(), rel=1e-9
    )


WITH, WITHOUT = [8, 8, 8, 8, 8, 8], [9, 9, 9, 9, 9, 9]


def missed(correct_with: list[int], correct_without: list[int], alpha: float = 0.05) -> list[int]:
    found = misses_material(correct_with, WITH, correct_without, WITHOUT, "triangle", alpha)
    return [one.place for one in found.missed]


def test_a_gap_is_found() -> None:
    assert missed([2, 8, 7, 8, 8, 7], [9, 9, 8, 9, 9, 9]) == [0]


def test_a_nose_that_notices_little_anywhere_has_no_gap() -> None:
    assert missed([2, 8, 7, 8, 8, 7], [3, 9, 8, 9, 9, 9]) == []


def test_a_material_nobody_notices_is_no_gap() -> None:
    assert missed([2, 3, 3, 2, 4, 3], [9, 9, 8, 9, 9, 9]) == []


def test_who_still_notices_it_has_no_gap() -> None:
    """Worse than the others beyond doubt, and yet better than guessing."""
    found = misses_material([30] + [50] * 5, [50] * 6, [50] * 6, [50] * 6, "triangle")
    assert found.rows[0].p_family < 0.001
    assert found.missed == ()


def test_without_other_comparisons_nothing_is_claimed() -> None:
    found = misses_material([0, 8, 8, 8], [8] * 4, [0] * 4, [0] * 4, "triangle")
    assert found.rows[0].p_against_others < 0.001
    assert (found.rows[0].p_against_self, found.missed) == (1.0, ())


def test_a_p_value_equal_to_alpha_claims() -> None:
    """Two panelists, one material, 0 of 3 against 3 of 3: p = 1/20, corrected 1/10."""
    found = misses_material([0, 3], [3, 3], [3, 3], [3, 3], "triangle", alpha=0.1)
    assert found.rows[0].p_value == pytest.approx(float(Fraction(1, 20)), rel=1e-12)
    assert [one.place for one in found.missed] == [0]


def test_one_material_is_a_table_of_one_column() -> None:
    flat = misses_material([2, 8, 7], [8, 8, 8], [9, 9, 8], [9, 9, 9], "2-afc")
    column = misses_material([[2], [8], [7]], [[8], [8], [8]], [[9], [9], [8]], [[9], [9], [9]], "2-afc")
    assert flat == column
    assert (flat.method, flat.alpha) == ("2-afc", 0.05)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (([1, 2], [3, 3], [1, 2, 3], [3, 3, 3]), "correct_without must have the shape of correct_with"),
        (([1, 2], [3], [1, 2], [3, 3]), "assessments_with must have the shape of correct_with"),
        (([1], [3], [1], [3]), "correct_with must hold 2 panelists or more, not 1"),
        (
            ([1, 4], [3, 3], [1, 2], [3, 3]),
            r"correct_with must be from 0 to assessments_with \(3\), not 4 \(panelist 2\)",
        ),
        (([1, 2], [3, 3], [1, 2.5], [3, 3]), "correct_without must hold whole numbers, not 2.5"),
        (([1, -2], [3, 3], [1, 2], [3, 3]), "correct_with must be from 0"),
        (([1, math.nan], [3, 3], [1, 2], [3, 3]), "correct_with must be from 0"),
        (([[1, 2], [1]], [3, 3], [1, 2], [3, 3]), "correct_with must be a number or a regular array"),
        (([[[1]]], [3, 3], [1, 2], [3, 3]), "correct_with must be a 1-D or 2-D array"),
    ],
)
def test_bad_tables_are_refused(arguments: tuple[Any, ...], said: str) -> None:
    with pytest.raises(ArgumentError, match=said):
        misses_material(*arguments, "triangle")


def test_tables_of_the_wrong_kind_are_refused() -> None:
    with pytest.raises(KindError, match="assessments_with"):
        misses_material([1, 2], ["3", "3"], [1, 2], [3, 3], "triangle")
    with pytest.raises(ArgumentError, match="alpha must"):
        misses_material([1, 2], [3, 3], [1, 2], [3, 3], "triangle", 0.0)
    with pytest.raises(ArgumentError, match="method must"):
        misses_material([1, 2], [3, 3], [1, 2], [3, 3], "sniff")


# --- the material alone -----------------------------------------------------------------------------------------------


def test_three_rounds_are_judged_as_the_rule_says() -> None:
    """Pick one of three, three times (our rule; common practice, no source): 3 pass, 2 repeat, 0 or 1 flag."""
    assert [material_check(right).says for right in range(4)] == ["flag", "flag", "repeat", "smells it"]
    assert material_check(3).by_luck == pytest.approx(1 / 27, rel=1e-12)
    assert (material_check(2).right, material_check(2).rounds) == (2, 3)


def test_who_cannot_smell_it_passes_once_in_21_with_repeats() -> None:
    """By counting all 27 answers of a round of three."""
    says = [material_check(sum(one)).says for one in product([1, 0, 0], repeat=3)]
    passed, again = Fraction(says.count("smells it"), 27), Fraction(says.count("repeat"), 27)
    assert passed == Fraction(1, 27)
    assert passed / (1 - again) == Fraction(1, 21)
    # with two rounds and "flag if both are wrong", 5 of 9 would slip through: why two are refused
    assert 1 - Fraction(sum(not any(one) for one in product([1, 0, 0], repeat=2)), 9) == Fraction(5, 9)


@given(st.integers(3, 40), st.data())
def test_more_rounds(rounds: int, data: st.DataObject) -> None:
    right = data.draw(st.integers(0, rounds))
    found = material_check(right, rounds)
    assert found.by_luck == pytest.approx(float(binom.sf(right - 1, rounds, chance("triangle"))), rel=1e-9)
    if found.by_luck <= 0.05:
        assert found.says == "smells it"
    else:
        assert found.says == ("flag" if right <= rounds / 3 else "repeat")


@pytest.mark.parametrize(
    ("right", "rounds", "said"), [(4, 3, "right must"), (-1, 3, "right must"), (2, 2, "rounds must")]
)
def test_bad_counts_are_refused(right: int, rounds: int, said: str) -> None:
    with pytest.raises(ArgumentError, match=said):
        material_check(right, rounds)
