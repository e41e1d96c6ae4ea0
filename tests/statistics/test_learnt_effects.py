"""What a brief has taught: against a library of linear mixed models, least squares over bottles, and a known truth."""

from __future__ import annotations

import warnings
from itertools import product

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm
from scipy import stats

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import learnt_effects
from evaluation.statistics.ratings.crossed import fit_crossed
from tests.made_ratings import lineage, linked_sessions, names_of, rated

PLAIN = {"person": 1.0, "session": 0.5, "bottle": 0.5, "rest": 1.0}


def small_brief(seed: int = 1, people: int = 5, trials: int = 9, changes: int = 3) -> pd.DataFrame:
    rng = np.random.default_rng(seed)
    return rated(lineage(trials, changes, rng), linked_sessions(trials, 3), people, rng, [2.0, 0.0, -1.0], PLAIN)


def by_library(frame: pd.DataFrame, names: list[str]) -> sm.regression.mixed_linear_model.MixedLMResults:
    """Crossed deviations as variance components of one group that holds all."""
    design = sm.add_constant(frame[names].to_numpy(float))
    parts = {one: pd.get_dummies(frame[one], dtype=float).to_numpy() for one in ("panelist", "bottle", "session")}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a variance near 0 is told as a warning
        model = sm.MixedLM(
            frame["rating"].to_numpy(), design, np.zeros(len(frame)),
            exog_vc=sm.regression.mixed_linear_model.VCSpec(
                list(parts), [[[f"{name}{n}" for n in range(part.shape[1])]] for name, part in parts.items()],
                [[part] for part in parts.values()],
            ),
        )  # fmt: skip
        return model.fit(reml=True, method=["lbfgs"])


@pytest.mark.parametrize("seed", [1, 4])
def test_numbers_are_those_of_a_library_of_mixed_models(seed: int) -> None:
    frame = small_brief(seed)
    frame = frame.drop(frame.sample(8, random_state=seed).index)  # unbalanced
    names = names_of(3)
    library = by_library(frame, names)
    codes = {one: pd.factorize(frame[one])[0].astype(np.int64) for one in ("panelist", "bottle", "session")}
    design = np.column_stack([np.ones(len(frame)), frame[names].to_numpy(float)])
    own = fit_crossed(design, codes, frame["rating"].to_numpy(float))
    theirs = dict(zip(("panelist", "bottle", "session"), library.vcomp, strict=True)) | {"residual": library.scale}
    assert min(theirs.values()) > 0.01  # all away from 0, so that both look for the same top
    assert own.covariance is not None
    for name, value in theirs.items():
        assert own.variances[name] == pytest.approx(value, rel=2e-3, abs=2e-4)
    assert own.beta == pytest.approx(library.fe_params, abs=2e-3)
    # its own errors come of a Hessian with the variances in it; those of the fixed effects at these variances are:
    by_weights = sm.GLS(frame["rating"].to_numpy(), design, sigma=whole_covariance(frame, dict(own.variances)))
    fitted = by_weights.fit(cov_type="nonrobust", cov_kwds={"scale": 1.0})
    assert np.diag(own.covariance) == pytest.approx(np.diag(fitted.normalized_cov_params), rel=1e-9)
    assert own.beta == pytest.approx(fitted.params, rel=1e-8)


def whole_covariance(frame: pd.DataFrame, variances: dict[str, float]) -> np.ndarray:
    """Of all ratings, as textbooks write it."""
    whole = variances["residual"] * np.eye(len(frame))
    for name in ("panelist", "bottle", "session"):
        columns = pd.get_dummies(frame[name], dtype=float).to_numpy()
        whole += variances.get(name, 0.0) * columns @ columns.T
    return whole


def dense_deviance(frame: pd.DataFrame, names: list[str], variances: dict[str, float]) -> float:
    """The restricted likelihood with the whole covariance of all ratings."""
    y, x = frame["rating"].to_numpy(), np.column_stack([np.ones(len(frame)), frame[names].to_numpy(float)])
    whole = whole_covariance(frame, variances)
    inside = x.T @ np.linalg.solve(whole, x)
    rest = y - x @ np.linalg.solve(inside, x.T @ np.linalg.solve(whole, y))
    return float(np.linalg.slogdet(whole)[1] + np.linalg.slogdet(inside)[1] + rest @ np.linalg.solve(whole, rest))


@pytest.mark.parametrize("seed", range(3))
def test_no_variances_nearby_are_likelier(seed: int) -> None:
    frame, names = small_brief(10 + seed, people=4), names_of(3)
    codes = {one: pd.factorize(frame[one])[0].astype(np.int64) for one in ("panelist", "bottle", "session")}
    design = np.column_stack([np.ones(len(frame)), frame[names].to_numpy(float)])
    found = fit_crossed(design, codes, frame["rating"].to_numpy(float)).variances
    best = dense_deviance(frame, names, dict(found))
    for name, step in product(found, (-0.02, 0.02)):
        moved = {**found, name: max(0.0, found[name] + step)}
        assert dense_deviance(frame, names, moved) >= best - 1e-9


def test_balanced_the_interval_is_that_of_least_squares_over_bottles() -> None:
    rng = np.random.default_rng(3)
    made = np.array(list(product((0, 1), repeat=3)))
    frame = rated(made, [list(range(8))], 6, rng, [2.0, 0.0, -1.0], {**PLAIN, "bottle": 1.5})
    names = names_of(3)
    means = frame.groupby("bottle")["rating"].mean().to_numpy()
    library = sm.OLS(means, sm.add_constant(made.astype(float))).fit()
    table = learnt_effects(frame, names).table.set_index("changes")
    for place, name in enumerate(names, start=1):
        row = table.loc[[(name,)]].iloc[0]
        assert row["freedom"] == library.df_resid == 4
        assert row["estimate"] == pytest.approx(library.params[place], abs=1e-8)
        assert [row["low"], row["high"]] == pytest.approx(list(library.conf_int()[place]), abs=1e-6)


def test_changes_never_separated_are_one_group_with_one_number() -> None:
    rng = np.random.default_rng(5)
    made = np.array([(0, 0, 0), (1, 1, 0), (1, 1, 1), (0, 0, 1), (1, 1, 0), (0, 0, 0)])
    frame = rated(made, [list(range(6))], 5, rng, [1.0, 1.0, 0.0], PLAIN)
    found = learnt_effects(frame, names_of(3))
    assert found.groups == ((("change 0", "change 1"), "together"), (("change 2",), "alone"))
    alone = learnt_effects(frame, ["change 0", "change 2"])
    assert found.table["estimate"].tolist() == pytest.approx(alone.table["estimate"].tolist(), abs=1e-9)
    assert found.table["freedom"].tolist() == [3, 3]  # six bottles, two columns


def test_what_differs_between_days_only_gets_no_number() -> None:
    rng = np.random.default_rng(6)
    made = np.array([(0, 0), (0, 1), (1, 0), (1, 1), (0, 0), (0, 1)])
    frame = rated(made, [[0, 1, 4, 5], [2, 3]], 6, rng, [3.0, 1.0], PLAIN)
    found = learnt_effects(frame, names_of(2))
    assert found.groups == ((("change 1",), "alone"), (("change 0",), "not told"))
    row = found.table.set_index("changes").loc[[("change 0",)]].iloc[0]
    assert np.isnan(row["estimate"])
    assert row["sessions"] == ()
    told = found.table.set_index("changes").loc[[("change 1",)]].iloc[0]
    assert told["sessions"] == ("s0", "s1")
    assert told["freedom"] == 6 - 2 - 2  # two sessions that share no bottle: one degree less than 6 − 2 − 1


def test_changes_that_take_turns_have_one_number_the_one_less_the_other() -> None:
    """Every bottle holds one of the two and never both or none: which of them does what, nobody can say."""
    made = np.array([(1, 0), (0, 1), (1, 0), (0, 1), (1, 0)])
    frame = rated(made, [list(range(5))], 5, np.random.default_rng(7), [1.0, 0.0], PLAIN)
    found = learnt_effects(frame, names_of(2))
    assert found.groups == ((("change 0", "change 1"), "together"),)
    assert found.table["signs"].tolist() == [(1, -1)]
    alone = learnt_effects(frame, ["change 0"]).table
    assert found.table["estimate"].tolist() == pytest.approx(alone["estimate"].tolist(), abs=1e-9)


def test_what_goes_together_within_sessions_and_not_between_is_told_from_within_them_alone() -> None:
    """Both come together in either session, and one of them is in all bottles of the second: that may be the day."""
    made = np.array([(0, 0), (1, 1), (0, 0), (1, 1), (0, 1), (1, 2), (0, 1), (1, 2)])
    sessions = [[0, 1, 2, 3], [4, 5, 6, 7]]
    frame = rated(made, sessions, 6, np.random.default_rng(12), [1.0, 0.5], {**PLAIN, "session": 3.0})
    row = learnt_effects(frame, names_of(2)).table.iloc[0]
    assert (row["changes"], row["told"], row["freedom"]) == (("change 0", "change 1"), "together", 8 - 2 - 2)
    means = frame.groupby("bottle")["rating"].mean().to_numpy()
    within = [means[[1, 3]].mean() - means[[0, 2]].mean(), means[[5, 7]].mean() - means[[4, 6]].mean()]
    assert row["estimate"] == pytest.approx(np.mean(within), abs=1e-8)


def test_three_changes_of_which_each_two_make_up_the_third_are_not_told() -> None:
    made = np.array([(1, 0, 0), (0, 1, 0), (0, 0, 1), (1, 0, 0), (0, 1, 0), (0, 0, 1)])
    frame = rated(made, [list(range(6))], 5, np.random.default_rng(7), [1.0, 0.0, 0.0], PLAIN)
    found = learnt_effects(frame, names_of(3))
    assert found.groups == ((("change 0", "change 1", "change 2"), "not told"),)
    assert found.table["estimate"].isna().all()


def test_a_change_that_every_bottle_holds_is_not_asked() -> None:
    frame = rated(
        np.array([(1, 0), (1, 1), (1, 0), (1, 1)]), [[0, 1, 2, 3]], 5, np.random.default_rng(8), [1, 1], PLAIN
    )
    assert learnt_effects(frame, names_of(2)).groups == ((("change 1",), "alone"),)


def test_under_two_degrees_of_freedom_there_is_a_number_and_no_interval() -> None:
    made = np.array([(0, 0), (1, 0), (0, 1), (1, 1)])
    frame = rated(made, [[0, 1, 2, 3]], 5, np.random.default_rng(9), [1.0, 0.0], PLAIN)
    table = learnt_effects(frame, names_of(2)).table
    assert table["freedom"].tolist() == [1, 1]
    assert table["estimate"].notna().all()
    assert table[["low", "high"]].isna().all(axis=None)


def test_each_descriptor_and_age_rests_on_what_was_rated_there() -> None:
    rng = np.random.default_rng(10)
    frame = rated(np.array([(0,), (1,), (0,), (1,), (0,)]), [[0, 1, 2, 3, 4]], 4, rng, [1.0], PLAIN,
                  ("woody", "green"), (5.0, 60.0))  # fmt: skip
    lost = (frame["descriptor"] == "green") & (frame["age_minutes"] == 60) & (frame["bottle"] >= "b03")
    frame.loc[lost, "rating"] = np.nan
    table = learnt_effects(frame, names_of(1)).table.set_index(["descriptor", "age_minutes"])
    assert table.loc[("green", 60.0), "bottles"] == 3
    assert table.loc[("green", 60.0), "freedom"] == 1
    assert table.loc[("woody", 60.0), "freedom"] == 3
    own = frame[(frame["descriptor"] == "woody") & (frame["age_minutes"] == 5)]
    alone = learnt_effects(own, names_of(1)).table.iloc[0]
    assert table.loc[("woody", 5.0), "estimate"] == pytest.approx(alone["estimate"], abs=1e-12)


def test_one_person_one_bottle_a_session_and_ratings_without_scatter_give_numbers_and_no_error() -> None:
    made = np.array([(0,), (1,), (0,), (1,), (0,)])
    rng = np.random.default_rng(11)
    still = {"person": 0.0, "session": 0.0, "bottle": 0.0, "rest": 0.0}
    alone = learnt_effects(rated(made, [[0, 1, 2, 3, 4]], 1, rng, [1.0], PLAIN), names_of(1)).table.iloc[0]
    assert alone["low"] < alone["estimate"] < alone["high"]
    apart = learnt_effects(rated(made, [[0], [1], [2], [3], [4]], 4, rng, [1.0], PLAIN), names_of(1)).table.iloc[0]
    assert apart["told"] == "not told"
    exact = learnt_effects(rated(made, [[0, 1, 2, 3, 4]], 3, rng, [1.5], still), names_of(1)).table.iloc[0]
    assert exact["estimate"] == pytest.approx(1.5, abs=1e-12)
    assert np.isnan(exact["low"])  # nothing to judge it by


def coverage(
    people: int, trials: int, runs: int, seed: int, spread: dict[str, float], apart: bool = False
) -> tuple[int, int, int]:
    """Intervals that hold the truth, those that would hold it by the normal law, and how many there were.

    ``apart``: no bottle is smelt in two sessions.
    """
    rng = np.random.default_rng(seed)
    held = normal = number = 0
    for _ in range(runs):
        changes = int(rng.integers(3, 6))
        truth = rng.normal(0, 1.5, changes)
        sessions = [list(range(one, one + 3)) for one in range(0, trials, 3)] if apart else linked_sessions(trials, 4)
        frame = rated(lineage(trials, changes, rng), sessions, people, rng, truth, spread)
        table = learnt_effects(frame, names_of(changes)).table.dropna(subset=["low"])
        for row in table.to_dict("records"):
            effect = sum(s * truth[int(name.split()[1])] for name, s in zip(row["changes"], row["signs"], strict=True))
            half = (row["high"] - row["low"]) / 2
            far = abs(row["estimate"] - effect)
            held += far <= half
            normal += far <= half * stats.norm.ppf(0.975) / stats.t.ppf(0.975, row["freedom"])
            number += 1
    return held, normal, number


def test_intervals_hold_the_truth_as_often_as_they_say_in_a_few() -> None:
    """A few: the binomial tail below what was found at .93 must not be rarer than one in a thousand."""
    held, _, number = coverage(5, 10, 40, 1, PLAIN)
    assert number > 100
    assert stats.binom.cdf(held, number, 0.93) > 0.001


@pytest.mark.slow
@pytest.mark.parametrize(("people", "trials"), [(5, 8), (5, 10), (5, 12), (8, 8), (8, 10), (8, 12)])
@pytest.mark.parametrize(
    "more",
    [{}, {"bottle": 0.0}, {"bottle": 1.5}, {"session": 2.0}, {"day": 1.0, "view": 0.7}],
    ids=["usual", "bottles alike", "bottles unlike", "days unlike", "people's days and views"],
)
def test_coverage_of_95_percent_intervals(people: int, trials: int, more: dict[str, float]) -> None:
    """At least .93, as far as 200 briefs can tell; normal intervals are printed beside."""
    held, normal, number = coverage(people, trials, 200, 20 * people + trials, {**PLAIN, **more})
    low, high = stats.binomtest(held, number).proportion_ci()
    told = f"by t {held / number:.4f} ({low:.3f} to {high:.3f}), normal {normal / number:.3f}, {number} intervals"
    assert high >= 0.93, told


@pytest.mark.slow
@pytest.mark.parametrize("people", [5, 8])
def test_coverage_where_no_bottle_links_sessions(people: int) -> None:
    """Counted as if they were linked, bottles − changes − 1 degrees of freedom gave .925 to .931 here."""
    held, _, number = coverage(people, 12, 400, people, {**PLAIN, "session": 2.0, "bottle": 1.0}, apart=True)
    assert stats.binomtest(held, number).proportion_ci().high >= 0.93, held / number


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (lambda f: f.drop(columns="session"), "lacks session"),
        (lambda f: f.assign(**{"change 0": "much"}), "finite number"),
        (lambda f: f.assign(**{"change 0": np.arange(len(f))}), "one number in all rows of a bottle"),
        (lambda f: f.assign(rating="sweet"), "rating must be a number"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_name(spoil: object, message: str) -> None:
    with pytest.raises((ArgumentError, KindError), match=message):
        learnt_effects(spoil(small_brief()), names_of(3))  # type: ignore[operator]


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ("change 0", "list of names"),
        ([], "one name or more"),
        (["rating"], "column of ratings"),
        ([1], "list of names"),
    ],
)
def test_names_that_are_none_are_refused(changes: object, message: str) -> None:
    with pytest.raises((ArgumentError, KindError), match=message):
        learnt_effects(small_brief(), changes)  # type: ignore[arg-type]
