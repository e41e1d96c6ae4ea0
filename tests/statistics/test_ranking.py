"""Rankings: published data, brute force over all orders, scipy, and properties."""

from __future__ import annotations

import csv
import os
from collections import Counter
from fractions import Fraction
from itertools import combinations, permutations, product
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import preference_test, rank_test
from evaluation.statistics.preference.rank_laws import range_tail

CHECKOUT = Path(__file__).resolve().parents[2]
FOLDER = Path(os.environ.get("MOUILLETTE_DATASETS") or CHECKOUT.parent / "shared" / "datasets")


def columns(name: str) -> list[dict[str, str]]:
    if not (FOLDER / name).is_file():
        pytest.skip(f"open data set {name} is not here: set MOUILLETTE_DATASETS to its folder")
    return list(csv.DictReader((FOLDER / name).read_text(encoding="utf-8").splitlines()))


# --- published data ---------------------------------------------------------------------------------------------------


def test_salad_dressings() -> None:
    """Vargo 1989 in Critchlow & Fligner 1991; figures calculated with scipy when the file was collected."""
    ranks = [[int(value) for value in row.values()] for row in columns("salad_tartness_ranks.csv")]
    found = rank_test(ranks)
    assert found.statistic == pytest.approx(41.10, abs=0.005)
    assert found.agreement == pytest.approx(0.4281, abs=5e-5)
    assert found.rank_sums == (110, 46, 74, 90)
    assert found.p_value == pytest.approx(0.0, abs=1e-8)
    assert found.exact
    assert not found.reranked


def test_ten_odours_ranked_by_ten_people() -> None:
    """Arshamian et al. 2022, laboratory data, first ranking: too large for the exact law, so scipy's numbers."""
    rows = [row for row in columns("arshamian2022_lab_ranks_two_reps.csv") if row["rep"] == "1"]
    people, odours = (sorted({row[name] for row in rows}) for name in ("panelist", "odor_cid"))
    ranks = np.zeros((len(people), len(odours)))
    for row in rows:
        ranks[people.index(row["panelist"]), odours.index(row["odor_cid"])] = float(row["rank"])
    found, other = rank_test(ranks), stats.friedmanchisquare(*ranks.T)
    assert (found.statistic, found.p_value) == pytest.approx((other.statistic, other.pvalue))
    assert not found.exact


def test_a_published_exact_p_differs_from_the_approximation() -> None:
    """5 blocks of 4: .0167 exact, .0263 by chi-square at 9.24 (a published example; read, then recomputed)."""
    for sums in combinations(range(5, 21), 4):
        if sum(sums) == 50 and abs(12 / 100 * sum(s * s for s in sums) - 75 - 9.24) < 1e-9:
            break
    found = rank_test(_with_sums(sums))
    assert found.statistic == pytest.approx(9.24)
    assert found.p_value == pytest.approx(0.0167, abs=5e-5)
    assert found.chi_square_p == pytest.approx(0.0263, abs=5e-5)


def _with_sums(sums: tuple[int, ...]) -> list[tuple[int, ...]]:
    orders = list(permutations((1, 2, 3, 4)))
    for rows in product(orders, repeat=4):
        last = tuple(total - sum(column) for total, column in zip(sums, zip(*rows, strict=True), strict=True))
        if sorted(last) == [1, 2, 3, 4]:
            return [*rows, last]
    raise AssertionError(f"no rows have the sums {sums}")


# --- brute force ------------------------------------------------------------------------------------------------------


def every_panel(rows: list[list[float]]) -> list[np.ndarray]:
    """All equally likely panels: the different orders of each row, ties kept."""
    return [np.array(one) for one in product(*(sorted(set(permutations(row))) for row in rows))]


@pytest.mark.parametrize(
    "rows",
    [
        [[1, 2, 3]] * 4,
        [[1, 2.5, 2.5], [1.5, 1.5, 3], [1, 3, 2], [2, 2, 2], [3, 1, 2]],
        [[1, 2, 3, 4], [2, 1, 3, 4], [1.5, 1.5, 3, 4]],
        [[1, 2, 3, 4, 5], [1, 3, 3, 3, 5]],
    ],
)
def test_exact_p_values_are_those_of_all_orders(rows: list[list[float]]) -> None:
    found, panels = rank_test(rows, order=range(len(rows[0]))), every_panel(rows)
    sums = np.array([panel.sum(axis=0) for panel in panels])
    squares, ranges = (sums**2).sum(axis=1), np.ptp(sums, axis=1)
    mine = np.array(rows).sum(axis=0)
    assert found.exact
    assert found.p_value == pytest.approx((squares >= (mine**2).sum() - 1e-9).mean())
    for pair in found.comparisons:
        assert pair.p_family == pytest.approx((ranges >= abs(pair.difference) - 1e-9).mean())
        assert pair.differ == (pair.p_family <= 0.05)
    if found.critical_difference is not None:
        assert (ranges >= found.critical_difference).mean() <= 0.05
        assert (ranges == found.critical_difference).any()
        below = ranges[ranges < found.critical_difference].max()
        assert (ranges >= below).mean() > 0.05
    page = found.page
    weighted = sums @ np.arange(1, len(mine) + 1)
    assert page is not None
    assert page.p_value == pytest.approx((weighted >= page.statistic - 1e-9).mean())
    assert (page.mean, page.variance) == pytest.approx((weighted.mean(), weighted.var()))


def test_page_is_that_of_scipy_where_nothing_is_tied() -> None:
    random = np.random.default_rng(3)
    for people, trials in ((4, 3), (9, 4), (6, 5)):
        ranks = np.array([random.permutation(trials) + 1 for _ in range(people)])
        order = random.permutation(trials)
        page = rank_test(ranks, order=order).page
        other = stats.page_trend_test(ranks, predicted_ranks=np.argsort(order) + 1, ranked=True, method="exact")
        assert page is not None
        assert page.exact
        assert (page.statistic, page.p_value) == pytest.approx((other.statistic, other.pvalue))


def test_page_of_many_is_nearly_normal() -> None:
    random = np.random.default_rng(4)
    ranks = np.array([np.argsort(np.argsort(0.05 * np.arange(4) + random.normal(size=4))) + 1 for _ in range(240)])
    page = rank_test(ranks[:200], order=range(4)).page
    many = rank_test(ranks, order=range(4)).page
    assert page is not None
    assert many is not None
    assert (page.exact, many.exact) == (True, False)
    z = (page.statistic - page.mean) / page.variance**0.5
    assert page.p_value == pytest.approx(stats.norm.sf(z), rel=0.1)


@pytest.mark.parametrize(("value", "groups"), [(3.314, 3), (2.0, 2), (4.6, 8), (7.5, 50), (0.3, 4)])
def test_studentised_range(value: float, groups: int) -> None:
    """scipy; and the tabled 5 % point of three groups, 3.314."""
    assert range_tail(value, groups) == pytest.approx(stats.studentized_range.sf(value, groups, np.inf), abs=2e-7)
    assert range_tail(3.314, 3) == pytest.approx(0.05, abs=5e-5)


def test_large_panels_use_the_approximations_and_say_so() -> None:
    random = np.random.default_rng(5)
    ranks = stats.rankdata(random.normal(size=(80, 6)) + 0.3 * np.arange(6), axis=1)
    found, other = rank_test(ranks), stats.friedmanchisquare(*ranks.T)
    assert (found.statistic, found.p_value) == pytest.approx((other.statistic, other.pvalue))
    assert not found.exact
    q = stats.studentized_range.isf(0.05, 6, np.inf)
    assert found.critical_difference == pytest.approx(q * np.sqrt(80 * 6 * 7 / 12), rel=1e-5)
    far = max(found.comparisons, key=lambda one: abs(one.difference))
    assert far.differ == (abs(far.difference) >= found.critical_difference)


# --- ties, and what is not proper ranks -------------------------------------------------------------------------------


@given(st.lists(st.lists(st.integers(0, 3), min_size=3, max_size=3), min_size=2, max_size=7))
def test_statistic_with_ties_is_that_of_scipy(scores: list[list[int]]) -> None:
    found = rank_test(scores)
    assert found.ranks.tolist() == stats.rankdata(scores, axis=1).tolist()
    if all(len(set(row)) == 1 for row in scores):
        assert (found.statistic, found.p_value, found.agreement) == (0.0, 1.0, 0.0)
    elif len(scores) > 2:
        assert found.statistic == pytest.approx(stats.friedmanchisquare(*np.array(scores).T).statistic)
    assert 0.0 < found.p_value <= 1.0
    assert rank_test(scores[::-1]).p_value == pytest.approx(found.p_value)
    assert rank_test([row[::-1] for row in scores]).p_value == pytest.approx(found.p_value)


@given(st.lists(st.sampled_from([(1, 2), (2, 1), (1.5, 1.5)]), min_size=1, max_size=30))
def test_two_trials_are_a_sign_test(rows: list[tuple[float, float]]) -> None:
    votes = Counter(rows)
    found, other = rank_test(rows), preference_test(votes[1, 2], votes[2, 1], votes[1.5, 1.5])
    assert found.p_value == pytest.approx(other.p_value)
    (pair,) = found.comparisons
    assert pair.p_family == pytest.approx(other.p_value)
    assert (pair.before, pair.behind, pair.even) == (other.first, other.second, other.ties)
    assert pair.people_p_family == other.p_value


@pytest.mark.parametrize("row", [list(range(1, 51)), [1.5, 1.5, *range(3, 13)], [1, *[26.0] * 49], [25.5] * 50])
@pytest.mark.parametrize("people", [1, 2])
def test_many_trials_of_few_people_need_no_list_of_all_orders(row: list[float], people: int) -> None:
    """50 trials have 50! orders, 12 with one tie 240 million: such a law is left, and said to be."""
    found = rank_test([row] * people)
    assert found.exact == (len(set(row)) < 3)
    assert found.statistic == pytest.approx((len(row) - 1) * people if len(set(row)) > 1 else 0.0)


@pytest.mark.parametrize("kind", ["int64", "float64", "Int64", "object"])
def test_a_frame_is_read_like_its_numbers(kind: str) -> None:
    rows = [[1, 2, 3], [1, 3, 2], [2, 1, 3]]
    assert rank_test(pd.DataFrame(rows).astype(kind)).p_value == rank_test(rows).p_value
    with pytest.raises(KindError, match="ranks"):
        rank_test(pd.DataFrame([*rows, [1, None, 2]], dtype="Int64"))


def test_improper_rows_are_ranked_anew_and_named() -> None:
    found = rank_test([[1, 2, 2, 3], [10, 40, 30, 20]])
    assert found.reranked
    assert found.ranks.tolist() == [[1, 2.5, 2.5, 4], [1, 4, 3, 2]]
    assert not rank_test(found.ranks).reranked


def test_full_agreement_by_hand() -> None:
    """All four people alike: the chance that three others repeat the first, (1/6)³; W = 1."""
    found = rank_test([[2, 1, 3]] * 4, order=[1, 0, 2])
    assert found.p_value == pytest.approx(float(Fraction(1, 216)))
    assert found.agreement == 1.0
    assert found.page is not None
    assert found.page.p_value == pytest.approx(float(Fraction(1, 6**4)))
    against = rank_test([[2, 1, 3]] * 4, order=[2, 0, 1]).page
    assert against is not None
    assert against.p_value == pytest.approx(1.0)


@pytest.mark.parametrize(
    "bad", [[1, 2, 3], [[1], [1]], [[]], [[1, 2], [1, float("nan")]], [[1, float("inf")]], [[1, 2], [1]]]
)
def test_refused_ranks(bad: object) -> None:
    with pytest.raises(ArgumentError, match="ranks"):
        rank_test(bad)  # type: ignore[arg-type]


@pytest.mark.parametrize("bad", [[0, 1], [0, 1, 1], [1, 2, 3], 2, [0, 1, 2, 3], [0.5, 1, 2]])
def test_refused_orders(bad: object) -> None:
    with pytest.raises(ArgumentError, match="order"):
        rank_test([[1, 2, 3], [2, 1, 3]], order=bad)  # type: ignore[arg-type]
    with pytest.raises(KindError):
        rank_test([["a", "b"]])  # type: ignore[list-item]
    with pytest.raises(ArgumentError, match="alpha"):
        rank_test([[1, 2]], alpha=1.0)
