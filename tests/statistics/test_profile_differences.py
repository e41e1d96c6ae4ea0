"""profile_differences: against full enumeration written out plainly, scipy's permutation test, and properties."""

from __future__ import annotations

from itertools import product
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import profile_differences, profile_family
from evaluation.statistics.laws.signflip import flip_signs

SEVEN = ["descriptor", "age_minutes", "difference", "low", "high", "p_value", "p_family"]
Table = list[list[float]]


def frame_of(differences: Any, first: Any = "A", second: Any = "B", ages: int = 1) -> pd.DataFrame:
    """One rating of each trial per person and row; rows are descriptors × ages."""
    rows = []
    for person, own in enumerate(np.asarray(differences, dtype=float)):
        for row, difference in enumerate(own):
            where = {"panelist": f"P{person:02d}", "descriptor": f"d{row // ages:02d}", "age_minutes": row % ages * 30}
            rows.append({**where, "trial": first, "replicate": 1, "rating": 5.0})
            rows.append({**where, "trial": second, "replicate": 1, "rating": 5.0 + difference})
    return pd.DataFrame(rows)


def student(differences: Any, sign: Any) -> Any:
    """|t| of each column, by its textbook formula; NaN cells are nobody."""
    turned = differences * np.asarray(sign)[:, None]
    n = (~np.isnan(turned)).sum(axis=0)
    mean, spread = np.nanmean(turned, axis=0), np.nanstd(turned, axis=0, ddof=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.nan_to_num(np.abs(mean) / (spread / np.sqrt(n)), nan=0.0, posinf=1e12)


def brute(differences: Any) -> tuple[Any, Any, Any]:
    """p of each row, max-T and min-p of all rows, over every pattern of signs."""
    sizes = np.array([student(differences, sign) for sign in product((1, -1), repeat=len(differences))])
    met, slack = sizes[0], 1e-7 * (1 + sizes[0])
    single = (sizes >= met - slack).mean(axis=0)
    by_size = (sizes.max(axis=1)[:, None] >= met - slack).mean(axis=0)
    ranks = np.array([[(column >= one - 1e-7 * (1 + one)).mean() for one in column] for column in sizes.T]).T
    by_rank = (ranks.min(axis=1)[:, None] <= single + 1e-12).mean(axis=0)
    return single, by_size, by_rank


RANDOM = np.random.default_rng(20261125)
SMALL = [
    pytest.param(RANDOM.normal(0.7, 1.0, (people, 5)), id=f"{people} people")
    for people in (6, 7, 8, 9)
] + [
    pytest.param(np.round(RANDOM.normal(0.5, 1.5, (8, 6)) * 2) / 2, id="half points, many ties"),
    pytest.param(np.round(RANDOM.normal(0.3, 0.6, (7, 4)) * 3) / 3, id="thirds, whose digits do not end"),
    pytest.param(np.round(RANDOM.normal(0.3, 1.0, (10, 3)), 1), id="10 people, tenths"),
]  # fmt: skip


@pytest.mark.parametrize("differences", SMALL)
def test_every_pattern_written_out(differences: Any) -> None:
    found = profile_differences(frame_of(differences), "A", "B")
    single, by_size, _ = brute(differences)
    assert list(found.table.columns[:7]) == SEVEN
    assert found.table["difference"].tolist() == pytest.approx(differences.mean(axis=0))
    assert found.table["p_value"].tolist() == pytest.approx(single)
    assert found.table["p_family"].tolist() == pytest.approx(by_size)
    assert (found.exact, found.by, found.patterns) == (True, "max-T", 2 ** (len(differences) - 1))


@pytest.mark.parametrize("differences", SMALL)
def test_scipy_permutation_test(differences: Any) -> None:
    """scipy.stats.permutation_test, "samples": the second route for a row by itself."""
    found = profile_differences(frame_of(differences), "A", "B").table
    for row, p in enumerate(found["p_value"]):
        theirs = stats.permutation_test(
            (differences[:, row],), np.mean, permutation_type="samples", n_resamples=np.inf, vectorized=True
        )
        assert p == pytest.approx(theirs.pvalue)


def test_scipy_counts_all_patterns_of_fourteen() -> None:
    differences = np.random.default_rng(3).normal(0.4, 1.0, (14, 2))
    found = profile_differences(frame_of(differences), "A", "B").table
    for row, p in enumerate(found["p_value"]):
        theirs = stats.permutation_test(
            (differences[:, row],), np.mean, permutation_type="samples", n_resamples=2**14, vectorized=True
        )
        assert p == pytest.approx(theirs.pvalue)


def test_darwins_plants() -> None:
    """Fisher 1935, § 21: differences of 15 pairs of Zea mays in eighths of an inch (data and count from memory):
    1,726 of 2^15 samples as large or larger, two-sided p .05267."""
    eighths = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48]
    found = profile_differences(frame_of([[one] for one in eighths]), "A", "B").table.iloc[0]
    assert found.p_value == pytest.approx(2 * 863 / 2**15)
    assert found.p_value == pytest.approx(found.p_family)


def test_people_missing_from_rows() -> None:
    """Rows of unequal n: each row over its own people, the family by each row's p."""
    differences = np.random.default_rng(5).normal(0.8, 1.0, (9, 4))
    differences[0, 1] = differences[2, 1] = differences[8, 3] = np.nan
    found = profile_differences(frame_of(differences).dropna(), "A", "B")
    single, _, by_rank = brute(differences)
    assert found.by == "min-p"
    assert found.table["panelists"].tolist() == [9, 7, 9, 8]
    assert found.table["p_value"].tolist() == pytest.approx(single)
    assert found.table["p_family"].tolist() == pytest.approx(by_rank)
    assert found.table["left_out"].tolist() == [0, 2, 0, 1], "asked, because their other trial is there"


def test_an_empty_rating_is_nobody_and_not_a_zero() -> None:
    frame = frame_of(np.random.default_rng(6).normal(0.8, 1.0, (8, 2)))
    emptied = frame.copy()
    emptied.loc[(emptied.panelist == "P03") & (emptied.descriptor == "d01") & (emptied.trial == "B"), "rating"] = np.nan
    gone = frame[(frame.panelist != "P03") | (frame.descriptor != "d01")]
    kept, without = profile_differences(emptied, "A", "B"), profile_differences(gone, "A", "B")
    assert kept.missing == 1
    assert kept.table["left_out"].tolist() == [0, 1]
    assert without.table["left_out"].tolist() == [0, 0]
    pd.testing.assert_frame_equal(kept.table.drop(columns="left_out"), without.table.drop(columns="left_out"))
    assert len(kept.people) == 8 + 7


def test_replicates_are_averaged_within_a_person_first() -> None:
    """Three ratings of one trial and one of the other: means of persons, then the mean over persons."""
    rows = [
        (person, trial, "woody", 5, replicate, rating)
        for person in range(6)
        for trial, ratings in (("A", [4.0, 5.0, 9.0]), ("B", [7.0 + person]))
        for replicate, rating in enumerate(ratings)
    ]
    frame = pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "age_minutes", "replicate", "rating"])
    found = profile_differences(frame, "A", "B")
    assert found.people["difference"].tolist() == [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]
    assert found.table["difference"].tolist() == [3.5]
    pd.testing.assert_frame_equal(profile_differences(frame.drop(columns="replicate"), "A", "B").table, found.table)


def test_the_same_replicate_twice_is_one_more_and_is_told() -> None:
    frame = frame_of(np.random.default_rng(12).normal(size=(6, 2)))
    numbered = pd.concat([frame, frame.assign(rating=frame.rating + 1, replicate=2)])
    twice = profile_differences(numbered.assign(replicate=1), "A", "B")
    assert twice.again == len(frame)
    assert profile_differences(numbered, "A", "B").again == 0
    pd.testing.assert_frame_equal(twice.table, profile_differences(numbered, "A", "B").table)


def test_fewer_than_six_stand_outside_the_family() -> None:
    differences = np.random.default_rng(7).normal(1.5, 1.0, (8, 3))
    differences[:3, 1] = np.nan
    found = profile_differences(frame_of(differences).dropna(), "A", "B")
    table = found.table
    assert table["in_family"].tolist() == [True, False, True]
    assert found.by == "max-T", "the two rows of the family have the same people"
    assert np.isnan(table["p_family"][1])
    assert (table["low"][1], table["high"][1]) == (-np.inf, np.inf)
    assert table["p_value"][1] == pytest.approx(brute(differences[3:, 1:2])[0][0])
    assert table["p_family"][[0, 2]].tolist() == pytest.approx(brute(differences[:, [0, 2]])[1])


def test_all_alike_is_p_one() -> None:
    found = profile_differences(frame_of(np.zeros((8, 2))), "A", "B").table
    assert found[["p_value", "p_family"]].to_numpy().tolist() == [[1.0, 1.0], [1.0, 1.0]]
    assert found[["low", "high"]].to_numpy().tolist() == [[0.0, 0.0], [0.0, 0.0]]


@pytest.mark.parametrize(("people", "level"), [(6, 0.95), (7, 0.9), (9, 0.95), (9, 0.99), (8, 0.5)])
def test_the_interval_holds_what_the_test_does_not_refuse(people: int, level: float) -> None:
    """By brute force: just inside the limits a shift has p > alpha, just outside p ≤ alpha."""
    differences = np.random.default_rng(people).normal(1.0, 1.0, (people, 1))
    found = profile_differences(frame_of(differences), "A", "B", level=level).table.iloc[0]
    for limit, inward in ((found.low, 1e-6), (found.high, -1e-6)):
        assert brute(differences - (limit + inward))[0][0] > 1 - level
        assert brute(differences - (limit - inward))[0][0] <= 1 - level


def test_the_interval_of_six_people_is_their_range() -> None:
    """2/2^6 = .031 is the only p of at most .05: refused when all differences lie on one side of the shift."""
    differences = np.array([[0.3], [-1.2], [2.0], [1.4], [0.9], [0.1]])
    found = profile_differences(frame_of(differences), "A", "B").table.iloc[0]
    assert (found.low, found.high) == (pytest.approx(-1.2), pytest.approx(2.0))
    at_99 = profile_differences(frame_of(differences), "A", "B", level=0.99).table.iloc[0]
    assert (at_99.low, at_99.high) == (-np.inf, np.inf)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.lists(st.integers(-6, 6), min_size=3, max_size=3), min_size=6, max_size=9), st.integers(-40, 40))
def test_properties(whole: list[list[int]], tenths: int) -> None:
    differences = np.array(whole, dtype=float) / 3
    flips = flip_signs(differences, 0.95, 999, 0)
    assert ((flips.p_family >= flips.p_value) & (flips.p_family <= 1.0)).all()
    means = differences.mean(axis=0)
    assert (flips.low <= means + 1e-12).all()
    assert (flips.high >= means - 1e-12).all()
    inside = (flips.low < -1e-9) & (flips.high > 1e-9)
    outside = (flips.low > 1e-9) | (flips.high < -1e-9)
    assert (flips.p_value[inside] > 0.05).all()
    assert (flips.p_value[outside] <= 0.05).all()
    turned = flip_signs(-differences, 0.95, 999, 0)
    assert np.allclose(turned.p_family, flips.p_family)
    assert np.allclose(turned.low, -flips.high)
    moved = flip_signs(differences + tenths / 10, 0.95, 999, 0)
    assert np.allclose(moved.low, flips.low + tenths / 10)
    scaled = flip_signs(differences * 7.3, 0.95, 999, 0)
    assert np.allclose(scaled.p_family, flips.p_family)


def test_the_order_of_rows_and_the_kind_of_labels_do_not_matter() -> None:
    differences = np.random.default_rng(8).normal(0.5, 1.0, (7, 6))
    plain = frame_of(differences, 1, 2, ages=3)
    expected = profile_differences(plain, 1, 2).table
    shuffled = plain.sample(frac=1.0, random_state=1)
    pd.testing.assert_frame_equal(profile_differences(shuffled, 1, 2).table, expected)
    kinds = shuffled.astype(
        {"panelist": "category", "descriptor": "category", "trial": "category", "rating": "Float64"}
    )
    kinds = kinds.assign(age_minutes=kinds.age_minutes.astype("Int64"), remark="x")
    pd.testing.assert_frame_equal(profile_differences(kinds, 1, 2).table, expected)
    named = shuffled.assign(
        trial=shuffled.trial.map({1: "trial 1", 2: "trial 2"}), panelist=shuffled.panelist.str[1:].astype(int)
    )
    other = profile_differences(named, "trial 1", "trial 2").table
    pd.testing.assert_frame_equal(other[SEVEN], expected[SEVEN])


def test_categories_keep_their_order() -> None:
    frame = frame_of(np.ones((6, 3)))
    frame["descriptor"] = pd.Categorical(frame.descriptor, ["d02", "unused", "d00", "d01"])
    assert profile_differences(frame, "A", "B").table["descriptor"].tolist() == ["d02", "d00", "d01"]


def three_trials(people: int = 8) -> pd.DataFrame:
    random = np.random.default_rng(9)
    one = frame_of(random.normal(0.8, 1.0, (people, 4)), ages=2)
    other = frame_of(random.normal(0.2, 1.0, (people, 4)), second="C", ages=2)
    return pd.concat([one, other[other.trial == "C"]], ignore_index=True)


def test_a_family_of_several_pairs() -> None:
    """All rows of all pairs turn together: the largest over three times as many rows."""
    frame, pairs = three_trials(), [("A", "B"), ("A", "C"), ("B", "C")]
    family = profile_family(frame, pairs)
    cube = frame.pivot_table(index="panelist", columns=["trial", "descriptor", "age_minutes"], values="rating")
    differences = np.hstack([(cube[second] - cube[first]).to_numpy() for first, second in pairs])
    single, by_size, _ = brute(differences)
    assert family.table["p_value"].tolist() == pytest.approx(single)
    assert family.table["p_family"].tolist() == pytest.approx(by_size)
    assert list(zip(family.table["first"], family.table["second"], strict=True))[::4] == pairs
    one = profile_differences(frame, "A", "C", pairs)
    pd.testing.assert_frame_equal(one.table, family.table.iloc[4:8].reset_index(drop=True))
    assert one.pairs == tuple(pairs)
    turned = profile_differences(frame, "C", "A", pairs).table
    assert turned["p_family"].tolist() == pytest.approx(one.table["p_family"].tolist())
    assert turned["difference"].tolist() == pytest.approx((-one.table["difference"]).tolist())
    alone = profile_differences(frame, "A", "C").table
    assert (alone["p_family"] <= one.table["p_family"]).all()
    assert alone["p_family"][2] < one.table["p_family"][2]


def test_drawn_patterns_are_seeded_and_near_the_exact_ones() -> None:
    frame = frame_of(np.random.default_rng(10).normal(0.5, 1.0, (12, 5)))
    exact = profile_differences(frame, "A", "B")
    drawn = profile_differences(frame, "A", "B", exact_people=11, seed=4)
    assert (drawn.exact, drawn.patterns, exact.exact) == (False, 10_000, True)
    assert (exact.table[["p_error", "p_family_error"]] == 0.0).all(axis=None)
    for p, error in (("p_value", "p_error"), ("p_family", "p_family_error")):
        off = (drawn.table[p] - exact.table[p]).abs()
        assert (off <= 4 * drawn.table[error] + 2e-4).all()
        assert (drawn.table[error] > 0).all()
    assert np.allclose(drawn.table[["low", "high"]], exact.table[["low", "high"]], atol=0.1)
    again = profile_differences(frame, "A", "B", exact_people=11, seed=4)
    pd.testing.assert_frame_equal(again.table, drawn.table)
    assert not profile_differences(frame, "A", "B", exact_people=11, seed=5).table.equals(drawn.table)


def test_many_people_are_drawn() -> None:
    frame = frame_of(np.random.default_rng(11).normal(0.0, 1.0, (21, 2)))
    found = profile_differences(frame, "A", "B")
    assert not found.exact
    assert profile_differences(frame, "A", "B", exact_people=21).exact


def test_one_trial_of_a_pair_may_lack_a_row() -> None:
    frame = frame_of(np.ones((6, 2)))
    frame = frame[(frame.descriptor == "d00") | (frame.trial == "A")]
    table = profile_differences(frame, "A", "B").table
    assert table["panelists"].tolist() == [6, 0]
    assert table["left_out"].tolist() == [0, 6]
    assert table.loc[1, ["difference", "p_value", "p_family"]].isna().all()


WRONG: list[tuple[dict[str, Any], str]] = [
    ({"second": "Z"}, "second must be one of 'A', 'B'"),
    ({"first": "B"}, "another trial"),
    ({"level": 1.0}, "level"),
    ({"draws": 5}, "draws"),
    ({"seed": -1}, "seed"),
    ({"exact_people": 40}, "exact_people"),
    ({"pairs": []}, "at least one"),
    ({"pairs": [("A", "C")]}, "must hold the pair"),
    ({"pairs": [("A", "B"), ("B", "A")]}, "once"),
]


@pytest.mark.parametrize(("changed", "words"), WRONG)
def test_wrong_arguments_are_named(changed: dict[str, Any], words: str) -> None:
    with pytest.raises(ArgumentError, match=words):
        profile_differences(**{"frame": frame_of(np.ones((6, 1))), "first": "A", "second": "B", **changed})


def broken(**columns: Any) -> pd.DataFrame:
    return frame_of(np.ones((6, 1))).assign(**columns)


@pytest.mark.parametrize(
    ("frame", "error", "words"),
    [
        ([1, 2], KindError, "data frame"),
        (broken().drop(columns="rating"), ArgumentError, "lacks rating"),
        (broken().iloc[:0], ArgumentError, "one row"),
        (broken(rating="5"), KindError, "rating must be a number"),
        (broken(rating=True), KindError, "rating must be a number"),
        (broken(rating=np.inf), ArgumentError, "rating must be a finite number"),
        (broken(age_minutes=np.nan), ArgumentError, "age_minutes must be a finite number"),
        (broken(trial=None), ArgumentError, "name the trial"),
    ],
)
def test_frames_that_cannot_be_read(frame: Any, error: type[Exception], words: str) -> None:
    with pytest.raises(error, match=words):
        profile_differences(frame, "A", "B")
