"""Words checked: against statsmodels, scipy's sign test and counting every placing."""

from __future__ import annotations

import dataclasses
from itertools import permutations, product
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest
from statsmodels.stats.contingency_tables import cochrans_q as other_cochrans_q
from statsmodels.stats.contingency_tables import mcnemar as other_mcnemar

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import check_all
from evaluation.statistics.ratings import cochran
from evaluation.statistics.ratings.cochran import cochran_q, mcnemar
from tests.holm import multipletests


def frame_of(words: dict[str, Any], trials: Any = "ABCDEFG") -> pd.DataFrame:
    """``words``: descriptor → (people, trials) of 0 and 1, NaN where not answered."""
    rows = [
        (person, trials[trial], word, said)
        for word, table in words.items()
        for (person, trial), said in np.ndenumerate(np.asarray(table, float))
    ]
    return pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "rating"])


tables = st.integers(2, 4).flatmap(
    lambda trials: st.lists(st.lists(st.integers(0, 1), min_size=trials, max_size=trials), min_size=1, max_size=5)
)


@given(tables)
def test_the_exact_law_is_counting_every_placing(table: list[list[int]]) -> None:
    found = cochran_q(np.array(table))
    ways = [sorted(set(permutations(row))) for row in table]
    squares = [int((np.sum(way, axis=0) ** 2).sum()) for way in product(*ways)]
    expected = np.mean(np.array(squares) >= (np.sum(table, axis=0) ** 2).sum())
    assert found.exact
    assert found.p_value == pytest.approx(expected, rel=1e-12)
    if found.statistic is None:
        assert all(sum(row) in (0, len(row)) for row in table)
    else:
        assert found.statistic == pytest.approx(float(other_cochrans_q(np.array(table)).statistic))


@pytest.mark.parametrize(("people", "trials"), [(40, 3), (30, 4), (18, 5)])
def test_large_tables_agree_with_chi_square(people: int, trials: int) -> None:
    table = np.random.default_rng(people).random((people, trials)) < np.linspace(0.35, 0.65, trials)
    found = cochran_q(table.astype(np.int64))
    assert found.exact
    assert found.p_value == pytest.approx(float(other_cochrans_q(table.astype(int)).pvalue), abs=0.06)


@pytest.mark.parametrize("listed", [0, 10_000])  # each person's placings shuffled, or picked from their list
def test_drawn_placings_stand_for_the_law(monkeypatch: pytest.MonkeyPatch, listed: int) -> None:
    cochran._drawn.cache_clear()
    monkeypatch.setattr(cochran, "MOST_PLACINGS", listed)
    table = (np.random.default_rng(5).random((20, 4)) < [0.3, 0.5, 0.5, 0.7]).astype(np.int64)
    exact = cochran_q(table)
    monkeypatch.setattr(cochran, "MOST_SUMS", 0)
    drawn = cochran_q(table, seed=2)
    assert (drawn.exact, exact.exact, exact.error) == (False, True, 0.0)
    assert drawn.statistic == exact.statistic
    assert drawn.error == pytest.approx(np.sqrt(drawn.p_value * (1 - drawn.p_value) / 9_999))
    assert abs(drawn.p_value - exact.p_value) < 4 * drawn.error
    assert cochran_q(table, seed=2) == drawn
    assert cochran_q(table, seed=3) != drawn


@given(st.integers(0, 40), st.integers(0, 40))
def test_mcnemar_is_statsmodels_and_the_sign_test(first: int, second: int) -> None:
    ours = mcnemar(first, second)
    if first + second:
        assert ours == pytest.approx(binomtest(first, first + second).pvalue, rel=1e-9)
        other = other_mcnemar([[3, first], [second, 4]], exact=True)
        assert ours == pytest.approx(min(1.0, float(other.pvalue)), rel=1e-9)
    else:
        assert ours == 1.0


def test_rows_pairs_and_families() -> None:
    random = np.random.default_rng(2)
    words = {word: random.random((12, 3)) < chances for word, chances in (("a", [0.1, 0.5, 0.9]), ("b", [0.5] * 3))}
    found = check_all(frame_of(words))
    assert [(row.descriptor, row.age_minutes, row.trials) for row in found.rows] == [
        ("a", 0.0, ("A", "B", "C")),
        ("b", 0.0, ("A", "B", "C")),
    ]
    for row in found.rows:
        table = words[row.descriptor]
        assert row.checked == tuple(table.sum(axis=0).tolist())
        assert row.shares == pytest.approx(tuple(table.mean(axis=0)))
        assert (row.panelists, row.left_out, row.df) == (12, 0, 2)
        assert row.statistic == pytest.approx(float(other_cochrans_q(table.astype(int)).statistic))
    for kind in (found.rows, found.pairs):
        expected = multipletests([one.p_value for one in kind], method="holm")[1]
        assert [one.p_family for one in kind] == pytest.approx(expected.tolist())
    assert [(pair.first, pair.second) for pair in found.pairs] == [("A", "B"), ("A", "C"), ("B", "C")] * 2
    for pair in found.pairs:
        one, two = ("ABC".index(label) for label in (pair.first, pair.second))
        table = words[pair.descriptor]
        assert pair.first_only == int((table[:, one] & ~table[:, two]).sum())
        assert pair.second_only == int((~table[:, one] & table[:, two]).sum())
        assert pair.difference == pytest.approx(table[:, two].mean() - table[:, one].mean())


@given(st.lists(st.lists(st.integers(0, 1), min_size=2, max_size=2), min_size=1, max_size=12))
def test_with_two_trials_both_tests_are_one(table: list[list[int]]) -> None:
    found = check_all(frame_of({"woody": table}))
    assert found.rows[0].p_value == pytest.approx(found.pairs[0].p_value, rel=1e-12)


def test_who_did_not_answer_for_all_is_left_out_and_counted() -> None:
    nan = np.nan
    table = [[1, 0, 0], [1, nan, 0], [nan, nan, nan], [0, 1, nan], [1, 0, 1]]
    found = check_all(frame_of({"woody": table}))
    (row,) = found.rows
    assert (row.panelists, row.left_out, row.checked, found.dropped) == (2, 2, (2, 0, 1), 5)
    assert [(pair.panelists, pair.first_only, pair.second_only) for pair in found.pairs] == [
        *((3, 2, 1), (3, 2, 0), (2, 0, 1))
    ]


def test_nobody_answered_for_all() -> None:
    (row,) = check_all(frame_of({"woody": [[1, np.nan], [np.nan, 0]]})).rows
    assert (row.panelists, row.statistic, row.p_value, row.shares) == (0, None, 1.0, (None, None))
    (pair,) = check_all(frame_of({"woody": [[1, np.nan], [np.nan, 0]]})).pairs
    assert (pair.panelists, pair.difference, pair.p_value) == (0, None, 1.0)


def test_one_trial_or_all_alike_have_no_statistic() -> None:
    for table in ([[1], [0], [1]], [[1, 1], [0, 0], [1, 1]]):
        (row,) = check_all(frame_of({"woody": table})).rows
        assert (row.statistic, row.p_value, row.p_family) == (None, 1.0, 1.0)
    assert check_all(frame_of({"woody": [[1], [0]]})).pairs == ()
    assert check_all(frame_of({"woody": [[1], [0]]})).pair_table.empty


def test_several_answers_of_a_person_count_once() -> None:
    """Checked where more than half are: 2 of 3 and not 1 of 2."""
    said = {("p", "A"): (1, 1, 0), ("p", "B"): (1, 0), ("q", "A"): (1,), ("q", "B"): (0, 0, 1)}
    rows = [(*cell, answer) for cell, answers in said.items() for answer in answers]
    (row,) = check_all(pd.DataFrame(rows, columns=["panelist", "trial", "rating"])).rows
    assert (row.checked, row.panelists) == ((2, 0), 2)


def test_ages_are_rows_of_their_own() -> None:
    frame = pd.concat([frame_of({"woody": [[1, 0]] * 6}).assign(age_minutes=age) for age in (60, 5)])
    found = check_all(frame)
    assert [(row.age_minutes, row.p_value, row.p_family) for row in found.rows] == [
        (5, pytest.approx(1 / 32), pytest.approx(1 / 16)),
        (60, pytest.approx(1 / 32), pytest.approx(1 / 16)),
    ]
    assert found.table[["age_minutes", "trial", "checked", "share"]].to_numpy().tolist() == [
        *([5, "A", 6, 1], [5, "B", 0, 0], [60, "A", 6, 1], [60, "B", 0, 0])
    ]


@pytest.mark.parametrize("kind", [bool, object, "Int64", "boolean", np.int8])
def test_yes_and_no_in_any_form(kind: Any) -> None:
    table = [[1, 0, 1], [1, 1, 0], [1, 0, 0], [0, 0, 1]]
    plain = frame_of({"woody": table}, trials=[3, 1, 2])
    given_form = plain.assign(rating=plain["rating"].astype(bool).astype(kind))
    assert check_all(given_form) == check_all(plain)
    assert check_all(plain).rows[0].trials == (1, 2, 3)


def test_the_result_is_frozen_and_echoes() -> None:
    found = check_all(frame_of({"woody": [[1, 0]]}), seed=4)
    assert found.seed == 4
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.seed = 5  # type: ignore[misc]


PLAIN = frame_of({"woody": [[1, 0]] * 3})


@pytest.mark.parametrize(
    ("frame", "problem", "said"),
    [
        (PLAIN.assign(rating=2), ArgumentError, "must be 0 or 1"),
        (PLAIN.assign(rating=0.5), ArgumentError, "must be 0 or 1"),
        (PLAIN.assign(rating="1"), KindError, "not text"),
        (PLAIN.assign(rating=np.nan), ArgumentError, "at least one rating"),
        (PLAIN.drop(columns="trial"), ArgumentError, "trial"),
        (PLAIN.assign(trial=np.nan), ArgumentError, "trial"),
        ([[1, 0]], KindError, "list"),
    ],
)
def test_refused(frame: Any, problem: type[Exception], said: str) -> None:
    with pytest.raises(problem, match=said):
        check_all(frame)


def test_the_level_is_kept() -> None:
    """People who check at random, one more freely than another: 600 panels of eight, exact p."""
    random = np.random.default_rng(11)
    p = [cochran_q((random.random((8, 3)) < random.random((8, 1))).astype(np.int64)).p_value for _ in range(600)]
    assert np.mean(np.array(p) <= 0.05) <= 0.05 + 3 * np.sqrt(0.05 * 0.95 / 600)
