"""The fall of strength: against scipy's monotone fit and sign-flip test, numpy's areas, and curves known in advance."""

from __future__ import annotations

import dataclasses
import math
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression
from scipy.stats import permutation_test

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import decay
from evaluation.statistics.dry_down import typical
from evaluation.statistics.dry_down.curves import Decay
from evaluation.statistics.dry_down.falling import area_under, falling_fit, first_above, last_above

AGES = (5.0, 30.0, 60.0, 240.0)


def frame_of(curves: dict[Any, Any], ages: tuple[float, ...] = AGES, people: Any = None) -> pd.DataFrame:
    """``curves``: trial → (people, ages)."""
    rows = []
    for trial, ratings in curves.items():
        for person, age in product(range(len(ratings)), range(len(ages))):
            name = person if people is None else people[person]
            rows.append((name, trial, ages[age], float(ratings[person][age])))
    return pd.DataFrame(rows, columns=["panelist", "trial", "age_minutes", "rating"])


def shifted(curve: Any, shifts: Any) -> np.ndarray:
    return np.asarray(curve, float) + np.asarray(shifts, float)[:, None]


# --- the pieces -------------------------------------------------------------------------------------------------------


@given(st.lists(st.tuples(st.floats(-9, 9), st.integers(1, 5)), min_size=1, max_size=9))
def test_the_fit_is_scipys(points: list[tuple[float, int]]) -> None:
    means, weights = (np.array([column], float) for column in zip(*points, strict=True))
    expected = isotonic_regression(means[0], weights=weights[0], increasing=False).x
    assert falling_fit(means, weights)[0] == pytest.approx(expected, abs=1e-9)


@given(st.lists(st.integers(-4, 4), min_size=2, max_size=7), st.integers(-3, 3))
def test_a_level_is_passed_where_a_fine_grid_says(values: list[int], level: int) -> None:
    ages = np.cumsum(np.arange(1.0, len(values) + 1))
    curve = np.array([values], float)
    first, last = first_above(curve, ages, level)[0], last_above(curve, ages, level)[0]
    if max(values) <= level:
        assert (first, last) == (math.inf, -math.inf)
        return
    grid = np.linspace(ages[0], ages[-1], 20_001)
    above = grid[np.interp(grid, ages, curve[0]) > level]
    step = grid[1] - grid[0]
    assert above[0] == pytest.approx(ages[0] if first == -math.inf else first, abs=1.01 * step)
    assert above[-1] == pytest.approx(ages[-1] if last == math.inf else last, abs=1.01 * step)
    assert area_under(curve, ages)[0] == pytest.approx(np.trapezoid(curve[0], ages))


def test_an_age_without_weight_has_no_fit() -> None:
    fit = falling_fit(np.array([[3.0, np.nan], [3.0, 1.0]]), np.array([[1.0, 0.0], [1.0, 1.0]]))
    assert np.isnan(fit[0]).all()
    assert fit[1].tolist() == [3.0, 1.0]


# --- curve, area, time ------------------------------------------------------------------------------------------------


def test_curve_area_and_time_by_other_routes() -> None:
    random = np.random.default_rng(4)
    frame = frame_of({7: random.normal([8, 6.5, 6.7, 2], 1.5, (9, 4)), 8: random.normal([7, 6, 5, 4], 1.5, (9, 4))})
    frame["replicate"] = 1
    frame = pd.concat([frame, frame.assign(replicate=2, rating=frame["rating"] + 1)])
    frame = frame.drop(frame.index[frame.index % 17 == 3])  # gaps, another one at each age
    found = decay(frame, 5.0)
    for one in found.trials:
        own = frame[frame["trial"] == one.trial]
        people = own.groupby(["panelist", "age_minutes"])["rating"].mean().groupby("age_minutes")
        means, number = people.mean(), people.size()
        fit = isotonic_regression(means.to_numpy(), weights=number.to_numpy(float), increasing=False).x
        assert [point.panelists for point in one.curve] == number.tolist()
        assert [point.mean for point in one.curve] == pytest.approx(means.tolist())
        assert [point.fitted for point in one.curve] == pytest.approx(fit)
        assert one.area == pytest.approx(np.trapezoid(fit, AGES))
        assert np.interp(one.time_above, AGES, fit) == pytest.approx(5.0)
        assert one.low <= one.time_above <= one.high
        assert one.area_low <= one.area <= one.area_high
        assert one.exact
    assert found.curve.columns.tolist() == ["trial", "age_minutes", "panelists", "mean", "fitted"]
    assert len(found.curve) == 8
    assert found.table["trial"].tolist() == [7, 8]
    assert len(found.people) == 18


def test_the_interval_is_the_sign_flip_test_turned_round() -> None:
    """Curves that fall by themselves: the fit is the mean, and scipy's test can be asked at any time."""
    random = np.random.default_rng(1)
    curves = shifted([9, 7, 5, 1], random.normal(0, 1, 8)) + np.sort(random.normal(0, 0.4, (8, 4)))[:, ::-1]
    (one,) = decay(frame_of({"A": curves}), 4.5, level=0.9).trials

    def tails(time: float) -> tuple[float, float]:
        off = np.array([np.interp(time, AGES, curve) for curve in curves]) - 4.5
        sides = (
            permutation_test((off,), np.mean, permutation_type="samples", alternative=side, n_resamples=np.inf)
            for side in ("less", "greater")
        )
        return tuple(float(side.pvalue) for side in sides)  # type: ignore[return-value]

    for end, side, outward in ((one.low, 1, -0.01), (one.high, 0, 0.01)):
        assert tails(end + outward)[side] <= 0.05 < tails(end - outward)[side]
        assert tails(end - outward)[side] == pytest.approx(tails(end + outward)[side] + 1 / 2**8)


@pytest.mark.parametrize(
    ("curve", "time", "censored", "ends"),
    [
        ([9, 8, 7, 6], 240.0, "right", (240.0, math.inf)),
        ([4, 3, 2, 1], 5.0, "left", (0.0, 5.0)),
        ([9, 5, 2, 1], 30.0, "", (30.0, 30.0)),
        ([5, 5, 5, 5], 5.0, "left", (0.0, 5.0)),
    ],
)
def test_censored_at_the_ages_smelt(curve: list[float], time: float, censored: str, ends: tuple[float, float]) -> None:
    (one,) = decay(frame_of({1: [curve] * 7}), 5).trials
    assert (one.time_above, one.censored) == (time, censored)
    assert one.low <= ends[0] + 1e-9
    assert one.high >= ends[1] - 1e-9
    assert one.reason == ""


def test_a_limit_beyond_the_last_age_is_infinite() -> None:
    """The panel's mean falls below in time, but not so surely that nobody else's could stay above."""
    (one,) = decay(frame_of({1: shifted([9, 8, 7, 4.5], [-2, -1, -1, 0, 0, 1, 1, 2])}), 5).trials
    assert one.censored == ""
    assert 60 < one.time_above < 240
    assert one.high == math.inf
    assert 0 < one.low < one.time_above


@settings(max_examples=15)
@given(st.integers(0, 10_000), st.integers(6, 9))
def test_scale_clock_and_order_of_rows_do_not_matter(seed: int, people: int) -> None:
    random = np.random.default_rng(seed)
    frame = frame_of({"A": random.normal([8, 6, 5, 1], 1.5, (people, 4)), "B": random.normal(5, 1, (people, 4))})
    found = decay(frame, 4.0)
    mixed = decay(frame.sample(frac=1.0, random_state=seed), 4.0)
    other = frame.assign(rating=10 * frame["rating"] + 3, age_minutes=frame["age_minutes"] * 60)
    seconds = decay(other, 43.0)
    for one, again, scaled in zip(found.trials, mixed.trials, seconds.trials, strict=True):
        assert again.curve == one.curve
        for name in ("time_above", "low", "high", "area_low"):
            assert getattr(again, name) == pytest.approx(getattr(one, name), abs=1e-9)
        assert (scaled.time_above, scaled.low, scaled.high) == pytest.approx(
            tuple(60 * time for time in (one.time_above, one.low, one.high))
        )


def test_a_drawn_sample_of_subsets_stands_for_all_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    random = np.random.default_rng(3)
    frame = frame_of({1: random.normal([8, 6, 5, 1], 1.5, (14, 4))})
    (drawn,), (again,) = decay(frame, 4).trials, decay(frame, 4).trials
    assert drawn == again
    assert not drawn.exact
    assert decay(frame, 4, seed=1).trials[0].low != drawn.low
    monkeypatch.setattr(typical, "ALL_UP_TO", 14)
    (full,) = decay(frame, 4).trials
    assert (drawn.low, drawn.high) == pytest.approx((full.low, full.high), abs=0.1 * (full.high - full.low))


@pytest.mark.parametrize("people", [1, 2, 5])
def test_small_panels_get_no_interval(people: int) -> None:
    found = decay(frame_of({"A": [[9, 6, 3, 1]] * people, "B": [[7, 6, 5, 4]] * people}), 5)
    for one in found.trials:
        assert (one.low, one.high, one.area_low, one.area_high) == (0.0, math.inf, -math.inf, math.inf)
        assert one.reason == f"no interval: {people} of the 6 panelists it takes"
    assert found.pairs[0].reason == found.trials[0].reason
    part = found.pairs[0].stretches[0]
    assert (part.since_low, part.since_high, part.until_low, part.until_high) == (0.0, math.inf, 0.0, math.inf)
    assert 30 <= part.until < 60


def test_six_people_reach_95_percent_and_not_99() -> None:
    frame = frame_of({"A": shifted([9, 6, 3, 1], [-0.6, -0.3, -0.1, 0, 0.2, 0.5])})
    assert decay(frame, 5, level=0.95).trials[0].high < math.inf
    assert decay(frame, 5, level=0.99).trials[0].reason == "no interval: 6 panelists cannot reach a level of 0.99"


def test_one_age_has_no_area() -> None:
    (one,) = decay(frame_of({"A": [[7]] * 6}, (30.0,)), 5).trials
    assert (one.area, one.time_above, one.censored) == (None, 30.0, "right")
    assert (one.area_low, one.area_high) == (-math.inf, math.inf)


def test_everybody_has_a_dot() -> None:
    curves = [[9, 7, 3, 1], [6, 6, 6, 6], [3, 2, 1, 0], [9, np.nan, 3, 1]]
    (one,) = decay(frame_of({"A": curves}, people=["007", "ann", "NA", "ben"]), 5).trials
    times = {person.panelist: (person.time_above, person.censored) for person in one.people}
    assert times == {"007": (45.0, ""), "ann": (240.0, "right"), "NA": (5.0, "left"), "ben": (None, "")}


# --- missing ratings --------------------------------------------------------------------------------------------------


def test_missing_ratings_follow_the_rule_asked_for() -> None:
    curves = np.array([[9.0, 7, 5, 1]] * 7)
    curves[0, 0] = np.nan
    curves[1] -= 1
    frame = frame_of({"A": curves})
    available, complete = (decay(frame, 4, missing=rule) for rule in ("available", "complete"))
    assert [point.panelists for point in available.trials[0].curve] == [6, 7, 7, 7]
    assert [point.panelists for point in complete.trials[0].curve] == [6, 6, 6, 6]
    assert (available.trials[0].left_out, complete.trials[0].left_out) == (0, 1)
    assert (available.dropped, complete.dropped) == (1, 1)
    assert decay(frame.dropna(), 4).trials == available.trials


def test_a_replicate_given_twice_counts_and_is_told() -> None:
    frame = frame_of({"A": [[9, 7, 5, 1]] * 7}).assign(replicate=1)
    found = decay(pd.concat([frame, frame.assign(rating=frame["rating"] + 1)]), 4)
    assert found.again == 28
    assert [point.mean for point in found.trials[0].curve] == [9.5, 7.5, 5.5, 1.5]
    assert decay(frame, 4).again == 0


def test_complete_needs_somebody() -> None:
    curves = [[9, np.nan, 5, 1], [np.nan, 7, 5, 1]]
    with pytest.raises(ArgumentError, match=r"nobody rated trial 'A' at every age"):
        decay(frame_of({"A": curves}), 5, missing="complete")


# --- two trials -------------------------------------------------------------------------------------------------------

SHIFTS = [-0.5, -0.3, -0.1, 0.0, 0.1, 0.3, 0.6]


def stretches(found: Decay) -> list[tuple[Any, float, float]]:
    return [(part.stronger, part.since, part.until) for part in found.pairs[0].stretches]


def test_curves_that_cross_meet_there() -> None:
    found = decay(frame_of({"A": [[9, 7, 4, 1]] * 7, "B": shifted([6, 6, 5, 4], SHIFTS)}), 5)
    a, b = found.pairs[0].stretches
    # mean of the shifts .0142857: 1 − m over 30 minutes falls to −1 − m, so they cross at 45 − 15 m
    assert (a.stronger, b.stronger) == ("A", "B")
    assert a.until == b.since == pytest.approx(45 - 15 * np.mean(SHIFTS))
    assert (a.since_censored, a.until_censored, b.since_censored, b.until_censored) == (True, False, False, True)
    assert a.until_low < a.until < a.until_high < 60
    assert (b.since_low, b.since_high) == pytest.approx((a.until_low, a.until_high))
    assert (a.since_low, a.since_high) == (0.0, 5.0)
    assert b.until_high == math.inf
    assert a.pieces == b.pieces == 1
    row = found.meetings.iloc[0]
    assert (row["first"], row["second"], row["panelists"], row["until"]) == ("A", "B", 7, a.until)


def test_the_margin_moves_the_time() -> None:
    frame = frame_of({"A": [[5, 5, 5, 5]] * 6, "B": [[5, 5, 4, 1]] * 6})
    assert stretches(decay(frame, 3, margin=2)) == [("A", 120.0, 240.0)]
    assert stretches(decay(frame, 3, margin=4)) == []
    assert stretches(decay(frame, 3)) == [("A", 30.0, 240.0)]
    swapped = decay(frame.assign(trial=frame["trial"].map({"A": "B", "B": "A"})), 3, margin=2)
    assert stretches(swapped) == [("B", 120.0, 240.0)]


def test_apart_twice_says_so() -> None:
    found = decay(frame_of({"A": [[9, 6, 5, 1]] * 6, "B": [[7, 6, 3, 1]] * 6}), 3)
    assert [(part.pieces, part.since, part.until) for part in found.pairs[0].stretches] == [(2, 5.0, 240.0)]


def test_alike_curves_are_never_apart() -> None:
    found = decay(frame_of({"A": [[9, 6, 5, 1]] * 6, "B": [[9, 6, 5, 1]] * 6}), 3)
    assert found.pairs[0].stretches == ()
    assert found.meetings.empty
    assert "stronger" in found.meetings.columns


def test_without_a_common_age_or_person_there_is_no_time() -> None:
    ages = pd.concat([frame_of({"A": [[9, 6]] * 6}, (5, 30)), frame_of({"B": [[9, 6]] * 6}, (60, 90))])
    people = pd.concat([frame_of({"A": [[9, 6, 5, 1]]}), frame_of({"B": [[9, 6, 5, 1]]}, people=["other"])])
    for frame in (ages, people):
        (pair,) = decay(frame, 5).pairs
        assert (pair.panelists, pair.stretches) == (0, ())
        assert pair.reason == "no times: nobody rated both trials at a common age"


def test_an_age_that_only_others_rated_is_no_common_age() -> None:
    nan = np.nan
    first, second = [[9, 6], [9, nan]], [[8, nan], [8, 7]]  # at the second age each trial has its own person
    found = decay(frame_of({"A": [*first, [nan, 6]], "B": [*second, [nan, nan]]}, (5, 30)), 5)
    assert found.pairs[0].panelists == 2
    lonely = decay(frame_of({"A": [[9, nan], [nan, 6]], "B": [[8, nan], [nan, nan], [nan, 7]]}, (5, 30)), 5)
    assert (lonely.pairs[0].panelists, lonely.pairs[0].stretches) == (1, ())
    assert lonely.pairs[0].reason == "no times: an age at which nobody of them rated one trial"


def test_three_trials_make_three_pairs() -> None:
    found = decay(frame_of({trial: [[9, 6, 5, 1]] * 6 for trial in (10, 9, "x")}), 5)
    assert [one.trial for one in found.trials] == [9, 10, "x"]
    assert [(pair.first, pair.second) for pair in found.pairs] == [(9, 10), (9, "x"), (10, "x")]


# --- what it is asked for ---------------------------------------------------------------------------------------------


def test_the_descriptor_is_chosen_and_echoed() -> None:
    plain = frame_of({"A": [[9, 6, 5, 1]] * 6})
    both = pd.concat([plain.assign(descriptor="strength"), plain.assign(descriptor="woody", rating=2.0)])
    assert decay(plain, 5).descriptor == ""
    assert decay(both, 5).descriptor == "strength"
    assert decay(both, 5).trials == decay(plain, 5).trials
    assert decay(both, 1, descriptor="woody").trials[0].area == pytest.approx(2 * 235)
    with pytest.raises(ArgumentError, match=r"descriptor must be named: the frame holds 'green', 'woody'"):
        decay(both.replace({"descriptor": {"strength": "green"}}), 5)
    with pytest.raises(ArgumentError, match=r"descriptor must be one of .*'smoky'"):
        decay(both, 5, descriptor="smoky")


def test_the_result_is_frozen_and_echoes() -> None:
    found = decay(frame_of({"A": [[9, 6, 5, 1]] * 6}), 5, level=0.9, margin=1, missing="complete", seed=3)
    assert (found.threshold, found.level, found.margin, found.missing, found.seed) == (5, 0.9, 1, "complete", 3)
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.level = 0.5  # type: ignore[misc]


PLAIN = frame_of({"A": [[9, 6, 5, 1]] * 2})


@pytest.mark.parametrize(
    ("frame", "more", "problem", "said"),
    [
        (PLAIN.drop(columns="age_minutes"), {}, ArgumentError, "age_minutes"),
        (PLAIN.drop(columns="panelist"), {}, ArgumentError, "panelist"),
        (PLAIN.assign(rating=np.nan), {}, ArgumentError, "at least one rating"),
        (PLAIN.assign(rating=np.inf), {}, ArgumentError, "rating"),
        (PLAIN.assign(rating="6"), {}, KindError, "'6'"),
        (PLAIN.assign(age_minutes=np.nan), {}, ArgumentError, "age_minutes"),
        (PLAIN.iloc[:0], {}, ArgumentError, "row"),
        ([1, 2], {}, KindError, "list"),
        (PLAIN, {"threshold": math.nan}, ArgumentError, "threshold"),
        (PLAIN, {"threshold": "5"}, KindError, "threshold"),
        (PLAIN, {"level": 1.0}, ArgumentError, "level"),
        (PLAIN, {"margin": -1}, ArgumentError, "margin"),
        (PLAIN, {"missing": "zero"}, ArgumentError, "missing"),
        (PLAIN, {"seed": -1}, ArgumentError, "seed"),
    ],
)
def test_refused(frame: Any, more: dict[str, Any], problem: type[Exception], said: str) -> None:
    with pytest.raises(problem, match=said):
        decay(frame, **{"threshold": 5} | more)


def test_open_data_by_the_other_route(datasets: Path) -> None:
    """Twelve people, ten times, three treatments, with gaps (Iowa State 2004; Wickham 2007): potato flavour fades."""
    table = pd.read_csv(datasets / "french_fries_time_course.csv")
    names = {"subject": "panelist", "treatment": "trial", "time": "age_minutes", "rep": "replicate", "potato": "rating"}
    frame = table.rename(columns=names)
    found = decay(frame[[*names.values()]], 7.0)
    for one in found.trials:
        own = frame[frame["trial"] == one.trial].groupby(["panelist", "age_minutes"])["rating"].mean().dropna()
        means, number = own.groupby("age_minutes").mean(), own.groupby("age_minutes").size()
        fit = isotonic_regression(means.to_numpy(), weights=number.to_numpy(float), increasing=False).x
        assert [point.fitted for point in one.curve] == pytest.approx(fit)
        assert one.area_low < one.area < one.area_high
    assert found.dropped == int(table["potato"].isna().sum())
