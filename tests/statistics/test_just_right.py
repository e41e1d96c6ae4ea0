"""Just about right: shares against scipy's exact intervals, liking against its Welch interval."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest, ttest_ind

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import just_about_right
from evaluation.statistics.ratings.just_right import JustRightRow

WORDS = ("too weak", "right", "too strong")


def answers(weak: int, right: int, strong: int) -> pd.DataFrame:
    said = ["too weak"] * weak + ["right"] * right + ["too strong"] * strong
    return pd.DataFrame({"panelist": range(len(said)), "trial": 7, "rating": said})


def scores(frame: pd.DataFrame, values: Any) -> pd.DataFrame:
    return frame[["panelist", "trial"]].assign(rating=np.asarray(values, float))


def only(frame: pd.DataFrame, liking: pd.DataFrame | None = None, **more: Any) -> JustRightRow:
    (row,) = just_about_right(frame, liking, **more).rows
    return row


@given(st.integers(0, 30), st.integers(0, 30), st.integers(0, 30), st.sampled_from([0.8, 0.95]))
def test_shares_are_exact_and_the_sides_stay_apart(weak: int, right: int, strong: int, level: float) -> None:
    if weak + right + strong == 0:
        return
    row = only(answers(weak, right, strong), level=level)
    for side, people in ((row.weak, weak), (row.right, right), (row.strong, strong)):
        expected = binomtest(people, weak + right + strong).proportion_ci(level, method="exact")
        assert (side.people, side.share) == (people, people / row.panelists)
        assert (side.low, side.high) == pytest.approx((expected.low, expected.high), abs=1e-9)
    assert row.p_value == pytest.approx(binomtest(weak, weak + strong).pvalue if weak + strong else 1.0)


@pytest.mark.parametrize("level", [0.9, 0.95])
def test_liking_is_compared_as_welch_does(level: float) -> None:
    frame = answers(11, 16, 13)
    values = np.random.default_rng(3).normal([5] * 11 + [7] * 16 + [6] * 13, 1.5)
    row = only(frame, scores(frame, values), level=level)
    for side, group in ((row.weak, values[:11]), (row.strong, values[27:])):
        expected = ttest_ind(values[11:27], group, equal_var=False).confidence_interval(level)
        assert side.liked_less == pytest.approx(values[11:27].mean() - group.mean())
        assert (side.liked_less_low, side.liked_less_high) == pytest.approx((expected.low, expected.high))
        assert side.says == ""
    assert (row.right.liked_less, row.right.says, row.right.with_liking) == (None, "", 16)


@pytest.mark.parametrize(
    ("weak", "right", "strong", "said"),
    [
        (10, 12, 5, ""),  # 10 people and 37 %
        (9, 20, 1, "no mean: 9 people, it takes 10 on each side"),
        (20, 9, 1, "no mean: 9 people, it takes 10 on each side"),
        (10, 40, 0, ""),  # just 20 %
        (10, 41, 0, "no mean: fewer than 20 % say so"),
    ],
)
def test_a_mean_only_where_both_groups_are_large_enough(weak: int, right: int, strong: int, said: str) -> None:
    frame = answers(weak, right, strong)
    side = only(frame, scores(frame, np.arange(len(frame)) % 9)).weak
    assert side.says == said
    assert (side.liked_less is None) == (side.liked_less_low is None) == (said != "")


def test_people_without_liking_do_not_count_for_it() -> None:
    frame = answers(11, 12, 0)
    values = np.arange(23.0)
    values[:2] = np.nan
    side = only(frame, scores(frame, values)).weak
    assert (side.people, side.with_liking) == (11, 9)
    assert side.says == "no mean: 9 people, it takes 10 on each side"
    assert only(frame).weak.says == "no mean: liking was not given"


def test_no_spread_no_bound() -> None:
    frame = answers(10, 10, 0)
    side = only(frame, scores(frame, [4] * 10 + [6] * 10)).weak
    assert (side.liked_less, side.liked_less_low, side.liked_less_high) == (2.0, -math.inf, math.inf)


def test_numbers_are_read_by_their_sign() -> None:
    frame = answers(4, 5, 6)
    for numbers in ({"too weak": -1, "right": 0, "too strong": 1}, {"too weak": -2.5, "right": 0, "too strong": 2}):
        assert only(frame.assign(rating=frame["rating"].map(numbers))) == only(frame)
    assert only(frame.assign(rating=frame["rating"].astype("category"))) == only(frame)


def test_several_answers_of_a_person_count_once() -> None:
    rows = [("p", 1), ("p", 1), ("p", -1), ("q", 1), ("q", -1), ("r", -1)]
    row = only(pd.DataFrame(rows, columns=["panelist", "rating"]).assign(trial=1))
    assert (row.weak.people, row.right.people, row.strong.people) == (1, 1, 1)


def test_liking_is_found_by_age_or_stands_for_all() -> None:
    frame = pd.concat([answers(12, 12, 0).assign(age_minutes=age) for age in (5, 60)])
    values = np.random.default_rng(1).normal(6, 1, 48)
    at_each = frame[["panelist", "trial", "age_minutes"]].assign(rating=values)
    early, late = just_about_right(frame, at_each).rows
    assert early.weak.liked_less == pytest.approx(values[12:24].mean() - values[:12].mean())
    assert late.weak.liked_less == pytest.approx(values[36:].mean() - values[24:36].mean())
    overall = at_each[at_each["age_minutes"] == 5].drop(columns="age_minutes")
    early, late = just_about_right(frame, overall).rows
    assert early.weak == late.weak


def test_liking_among_other_descriptors() -> None:
    frame = answers(11, 12, 0)
    liking = scores(frame, np.arange(23) % 7).assign(descriptor="liking")
    mixed = pd.concat([liking, liking.assign(descriptor="woody", rating=0.0)])
    assert only(frame, mixed) == only(frame, liking)
    with pytest.raises(ArgumentError, match="one called 'liking'"):
        just_about_right(frame, mixed.replace({"descriptor": {"liking": "green"}}))


def test_rows_for_every_level_trial_and_age() -> None:
    frame = pd.concat([answers(2, 3, 1).assign(descriptor=d, trial=t) for d in ("sweet", "dry") for t in (8, 7)])
    frame.loc[(frame["descriptor"] == "dry") & (frame["trial"] == 8), "rating"] = None
    found = just_about_right(frame)
    assert [(row.descriptor, row.trial) for row in found.rows] == [("dry", 7), ("sweet", 7), ("sweet", 8)]
    assert found.dropped == 6
    assert found.table["said"].tolist() == [*WORDS] * 3
    assert found.table.groupby(["descriptor", "trial"])["share"].sum().tolist() == pytest.approx([1, 1, 1])


def test_the_result_is_frozen_and_echoes() -> None:
    found = just_about_right(answers(1, 2, 3), level=0.9)
    assert found.level == 0.9
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.level = 0.5  # type: ignore[misc]


@pytest.mark.parametrize(
    ("frame", "more", "problem", "said"),
    [
        (answers(1, 1, 1).assign(rating="too sweet"), {}, ArgumentError, "'too sweet'"),
        (answers(1, 1, 1).assign(rating=None), {}, ArgumentError, "at least one rating"),
        (answers(1, 1, 1).assign(rating=True), {}, KindError, "True"),
        (answers(1, 1, 1).drop(columns="trial"), {}, ArgumentError, "trial"),
        (answers(1, 1, 1), {"level": 0}, ArgumentError, "level"),
        (answers(1, 1, 1), {"liking": "yes"}, KindError, "str"),
        ("no frame", {}, KindError, "str"),
    ],
)
def test_refused(frame: Any, more: dict[str, Any], problem: type[Exception], said: str) -> None:
    with pytest.raises(problem, match=said):
        just_about_right(frame, **more)
