"""Nearness to a brief: by hand, by a second route written with loops, and by properties."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import Target, holm, nearness_to_brief

BRIEF = (
    Target("fresh", 0.0, "at least", 60.0, 2.0),
    Target("fresh", 240.0, "at least", 30.0),
    Target("sweet", 240.0, "at most", 40.0),
    Target("woody", 240.0, "about", 50.0),
)


def frame_of(ratings: np.ndarray, trials: str = "ABC") -> pd.DataFrame:
    """people × trials × the four targets of BRIEF, NaN where not rated."""
    return pd.DataFrame(
        [
            {
                "panelist": f"p{p}",
                "trial": trials[t],
                "descriptor": one.descriptor,
                "age_minutes": one.age_minutes,
                "rating": x,
            }
            for (p, t, k), x in np.ndenumerate(ratings)
            for one in [BRIEF[k]]
        ]
    )


def random_ratings(seed: int, people: int, trials: int = 3) -> np.ndarray:
    random = np.random.default_rng(seed)
    return random.normal(50, 12, (people, trials, 4)) + random.normal(0, 8, (people, 1, 1))


def gap(kind: str, mean: float, value: float) -> float:
    if kind == "about":
        return abs(mean - value)
    return max(0.0, value - mean) if kind == "at least" else max(0.0, mean - value)


def by_loops(ratings: np.ndarray) -> list[float]:
    """Distances of the trials, the definition written out."""
    found = []
    for t in range(ratings.shape[1]):
        total = 0.0
        for k, one in enumerate(BRIEF):
            rated = [row for row in ratings[:, :, k] if not np.isnan(row).any()]
            total += one.weight * gap(one.kind, float(np.mean([row[t] for row in rated])), one.value)
        found.append(total / 5.0)
    return found


def test_distance_by_hand() -> None:
    """Means 50, 35, 46, 45 against the brief: (2 × 10 + 0 + 6 + 5) / 5."""
    ratings = np.array([[[48.0, 30, 44, 40]], [[52, 40, 48, 50]]])
    found = nearness_to_brief(frame_of(ratings), BRIEF)
    assert found.table.loc[0, "distance"] == pytest.approx(31 / 5)
    assert found.costs["gap"].tolist() == pytest.approx([10, 0, 6, 5])
    assert found.costs["cost"].tolist() == pytest.approx([4, 0, 1.2, 1])
    assert found.descriptors["cost"].tolist() == pytest.approx([4, 1.2, 1])
    assert found.descriptors["share"].tolist() == pytest.approx([20 / 31, 6 / 31, 5 / 31])
    assert found.table.loc[0, "costliest"] == "fresh"
    assert found.differences.empty


def test_difference_and_limits_by_a_second_route() -> None:
    """Leave-one-out by loops, the excess by numerical integration, t from scipy.stats."""
    ratings = random_ratings(1, 9)
    found, n = nearness_to_brief(frame_of(ratings), BRIEF, level=0.9), 9
    every = by_loops(ratings)
    without = np.array([by_loops(np.delete(ratings, p, axis=0)) for p in range(n)])
    for row in found.differences.itertuples():
        i, j = "ABC".index(row.first), "ABC".index(row.second)
        difference, off = every[i] - every[j], without[:, i] - without[:, j]
        error = math.sqrt((n - 1) / n * ((off - difference) ** 2).sum())
        half = stats.t.ppf(0.95, n - 1) * error
        assert row.difference == pytest.approx(difference)
        assert row.low == pytest.approx(difference - half - excess(ratings[:, i]), abs=1e-6)
        assert row.high == pytest.approx(difference + half + excess(ratings[:, j]), abs=1e-6)
        sure = abs(difference) - excess(ratings[:, i if difference > 0 else j])
        expected = 2 * stats.t.sf(sure / error, n - 1) if sure > 0 else 1.0
        assert row.p_value == pytest.approx(expected, abs=1e-6)
    assert found.differences["p_family"].tolist() == holm(found.differences["p_value"]).tolist()
    assert found.table["distance"].tolist() == pytest.approx(sorted(every))


def excess(own: np.ndarray) -> float:
    """By integration: E gap(mean + error) − gap(mean) for a mean one standard error nearer its value."""
    total = 0.0
    for k, one in enumerate(BRIEF):
        error = own[:, k].std(ddof=1) / math.sqrt(len(own))
        away = max(0.0, abs(own[:, k].mean() - one.value) - error)
        mean = one.value - away if one.kind == "at least" else one.value + away
        density = stats.norm(mean, error)
        x = np.linspace(mean - 9 * error, mean + 9 * error, 20_001)
        gaps = [np.abs(x - one.value), np.maximum(0, one.value - x), np.maximum(0, x - one.value)]
        chosen = gaps[("about", "at least", "at most").index(one.kind)]
        total += one.weight * (np.trapezoid(chosen * density.pdf(x), x) - gap(one.kind, mean, one.value))
    return total / 5.0


def test_a_p_value_agrees_with_its_interval() -> None:
    for seed in range(8):
        found = nearness_to_brief(frame_of(random_ratings(seed, 7)), BRIEF)
        for row in found.differences.itertuples():
            assert (row.p_value <= 0.05) == (not row.low <= 0.0 <= row.high)


def test_people_count_at_a_target_where_they_rated_every_trial() -> None:
    ratings = random_ratings(2, 6)
    ratings[0, 1, 2] = np.nan
    ratings[5] = np.nan
    found = nearness_to_brief(frame_of(ratings), BRIEF)
    assert found.panelists == ("p0", "p1", "p2", "p3", "p4")
    assert sorted(found.table["distance"]) == pytest.approx(sorted(by_loops(ratings)))
    assert found.costs.query("trial == 'A'")["people"].tolist() == [5, 5, 4, 5]
    assert found.costs.groupby("trial")["cost"].sum().to_dict() == pytest.approx(
        dict(zip(found.table["trial"], found.table["distance"], strict=True))
    )
    only = nearness_to_brief(frame_of(ratings), BRIEF, trials=["C", "A"])
    assert set(only.table["trial"]) == {"A", "C"}
    assert only.costs["people"].min() == 5, "the trial p0 did not rate is not compared"


def test_replicates_are_averaged_within_people() -> None:
    ratings = random_ratings(3, 4)
    frame = frame_of(ratings)
    twice = pd.concat(
        [frame.assign(rating=frame.rating + 3, replicate=1), frame.assign(rating=frame.rating - 3, replicate=2)]
    )
    pd.testing.assert_frame_equal(
        nearness_to_brief(twice, BRIEF).differences, nearness_to_brief(frame, BRIEF).differences
    )


def test_nearest_in_of_100_is_hidden_from_small_panels() -> None:
    seven, eight = (nearness_to_brief(frame_of(random_ratings(4, n)), BRIEF) for n in (7, 8))
    assert seven.table["nearest_in"].tolist() == [None] * 3
    assert sum(eight.table["nearest_in"]) == pytest.approx(100.0)
    assert eight.table.loc[0, "nearest_in"] == eight.table["nearest_in"].max()
    same = np.repeat(random_ratings(5, 8, 1), 2, axis=1)
    assert nearness_to_brief(frame_of(same, "AB"), BRIEF).table["nearest_in"].tolist() == [50.0, 50.0], (
        "ties are shared"
    )


def test_one_person_gets_distances_and_no_limits() -> None:
    found = nearness_to_brief(frame_of(random_ratings(6, 1)), BRIEF)
    assert found.table["distance"].notna().all()
    assert found.table[["low", "high"]].isna().all().all()
    assert found.differences[["low", "high", "p_value", "p_family"]].isna().all().all()


def test_a_trial_on_its_brief() -> None:
    ratings = np.tile(np.array([60.0, 30.0, 40.0, 50.0]), (3, 2, 1))
    ratings[:, 1, 3] = [60, 62, 64]
    found = nearness_to_brief(frame_of(ratings, "AB"), BRIEF)
    assert found.table["distance"].tolist() == pytest.approx([0.0, 12 / 5])
    assert found.table["costliest"].tolist() == [None, "woody"]
    assert found.descriptors.query("trial == 'A'")["share"].isna().all()
    assert found.table.loc[0, "low"] == 0.0


@settings(max_examples=20)
@given(st.floats(0.1, 10), st.integers(0, 50))
def test_weights_count_relatively(factor: float, seed: int) -> None:
    heavier = [Target(t.descriptor, t.age_minutes, t.kind, t.value, t.weight * factor) for t in BRIEF]
    frame = frame_of(random_ratings(seed, 5))
    one, other = nearness_to_brief(frame, BRIEF), nearness_to_brief(frame, heavier[::-1])
    assert one.table["distance"].tolist() == pytest.approx(other.table["distance"].tolist())
    assert one.differences["high"].tolist() == pytest.approx(other.differences["high"].tolist())


@settings(max_examples=20)
@given(st.integers(0, 50))
def test_turning_scale_and_brief_round_changes_nothing(seed: int) -> None:
    turned = {"at least": "at most", "at most": "at least", "about": "about"}
    ratings = random_ratings(seed, 5)
    other = [Target(t.descriptor, t.age_minutes, turned[t.kind], 100 - t.value, t.weight) for t in BRIEF]
    one, two = nearness_to_brief(frame_of(ratings), BRIEF), nearness_to_brief(frame_of(100 - ratings), other)
    assert one.table["trial"].tolist() == two.table["trial"].tolist()
    for column in ("difference", "low", "high", "p_value"):
        assert one.differences[column].tolist() == pytest.approx(two.differences[column].tolist(), abs=1e-9)


def frame() -> pd.DataFrame:
    return frame_of(random_ratings(7, 3))


def unrated() -> pd.DataFrame:
    ratings = random_ratings(7, 3)
    ratings[:, 1, 2] = np.nan
    return frame_of(ratings)


def test_trials_rated_by_different_people_are_not_said_to_be_unrated() -> None:
    """Half of the panel rated the one, half the other: nobody rated both, and that is what is said."""
    ratings = random_ratings(7, 4)[:, :2]
    ratings[:2, 0] = np.nan
    ratings[2:, 1] = np.nan
    with pytest.raises(ArgumentError) as refused:
        nearness_to_brief(frame_of(ratings), BRIEF)
    assert "for every trial by one and the same person: nobody rated all of them at" in str(refused.value)


REFUSED: list[tuple[type[Exception], str, Callable[[], Any]]] = [
    (ArgumentError, "targets", lambda: nearness_to_brief(frame(), [])),
    (KindError, "targets", lambda: nearness_to_brief(frame(), ["fresh"])),  # type: ignore[list-item]
    (KindError, "targets", lambda: nearness_to_brief(frame(), BRIEF[0])),  # type: ignore[arg-type]
    (KindError, "targets", lambda: nearness_to_brief(frame(), None)),  # type: ignore[arg-type]
    (KindError, "trials", lambda: nearness_to_brief(frame(), BRIEF, trials=3)),  # type: ignore[arg-type]
    (ArgumentError, "descriptor", lambda: nearness_to_brief(frame(), [Target("smoky", 0.0, "about", 5.0)])),
    (ArgumentError, "age_minutes", lambda: nearness_to_brief(frame(), [Target("fresh", 5.0, "about", 5.0)])),
    (ArgumentError, "trials", lambda: nearness_to_brief(frame(), BRIEF, trials=["A", "Z"])),
    (ArgumentError, "trials", lambda: nearness_to_brief(frame(), BRIEF, trials=["A", "A"])),
    (ArgumentError, "nobody rated all of them at", lambda: nearness_to_brief(unrated(), BRIEF)),
    (ArgumentError, "level", lambda: nearness_to_brief(frame(), BRIEF, level=1.0)),
    (ArgumentError, "lacks", lambda: nearness_to_brief(frame().drop(columns="age_minutes"), BRIEF)),
    (ArgumentError, "kind", lambda: Target("fresh", 0.0, "near", 5.0)),
    (ArgumentError, "weight", lambda: Target("fresh", 0.0, "about", 5.0, 0.0)),
    (ArgumentError, "value", lambda: Target("fresh", 0.0, "about", float("nan"))),
]


@pytest.mark.parametrize(("kind", "name", "call"), REFUSED)
def test_refused_arguments_are_named(kind: type[Exception], name: str, call: Callable[[], Any]) -> None:
    with pytest.raises(kind, match=name):
        call()
