"""What a panelist does with the scale: against scipy's one-way test, statsmodels' analysis of variance and pandas."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy.stats import f_oneway, pearsonr
from statsmodels.formula.api import ols
from statsmodels.stats.anova import anova_lm

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import panelist_performance
from evaluation.statistics.ratings.performance import PanelistDescriptor
from tests.holm import multipletests


def made_up(seed: int = 0, people: int = 5, ages: tuple[float, ...] = (5.0, 60.0), gaps: bool = False) -> pd.DataFrame:
    """Three trials, two descriptors, three replicates; panelists differ in every way."""
    random = np.random.default_rng(seed)
    rows = [
        (f"P{p}", t, d, a, r, 5 + p + (1 + p / 2) * t * (d == "woody") - a / 30 + random.normal(0, 1 + p / 3))
        for p in range(people)
        for t in range(3)
        for d in ("woody", "green")
        for a in ages
        for r in (1, 2, 3)
    ]
    frame = pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "age_minutes", "replicate", "rating"])
    return frame[random.random(len(frame)) > 0.2] if gaps else frame


def row_of(rows: list[tuple[Any, ...]], columns: tuple[str, ...] = ("panelist", "trial", "rating")) -> Any:
    return panelist_performance(pd.DataFrame(rows, columns=list(columns))).rows[0]


@pytest.mark.parametrize("gaps", [False, True])
def test_with_one_age_discrimination_is_the_one_way_test(gaps: bool) -> None:
    frame = made_up(1, ages=(5.0,), gaps=gaps)
    for row in panelist_performance(frame).rows:
        own = frame[(frame["panelist"] == row.panelist) & (frame["descriptor"] == row.descriptor)]
        groups = [group["rating"].to_numpy() for _, group in own.groupby("trial")]
        expected = f_oneway(*groups)
        assert (row.discrimination, row.p_value) == pytest.approx((expected.statistic, expected.pvalue))
        assert (row.df_trials, row.df_error) == (len(groups) - 1, len(own) - len(groups))
        within = sum(((group - group.mean()) ** 2).sum() for group in groups) / row.df_error
        assert row.repeatability == pytest.approx(math.sqrt(within))


def test_with_gaps_discrimination_is_what_trial_adds_to_age() -> None:
    """Whole cells are missing here: two fits by statsmodels, the error by pandas."""
    frame = made_up(2, gaps=True)
    for row in panelist_performance(frame).rows:
        own = frame[(frame["panelist"] == row.panelist) & (frame["descriptor"] == row.descriptor)]
        age, both = (ols(f"rating ~ {terms}", own).fit() for terms in ("C(age_minutes)", "C(age_minutes) + C(trial)"))
        cells = own.groupby(["trial", "age_minutes"])["rating"]
        error = float(((own["rating"] - cells.transform("mean")) ** 2).sum()) / (len(own) - cells.ngroups)
        assert row.discrimination == pytest.approx((age.ssr - both.ssr) / 2 / error)
        assert (row.df_trials, row.df_error) == (2, len(own) - cells.ngroups)


def test_with_ages_discrimination_sets_the_ages_aside() -> None:
    """statsmodels: trial after age (type II), against the spread within cells."""
    frame = made_up(2)
    for row in panelist_performance(frame).rows:
        own = frame[(frame["panelist"] == row.panelist) & (frame["descriptor"] == row.descriptor)]
        table = anova_lm(ols("rating ~ C(age_minutes) * C(trial)", own).fit(), typ=2)
        assert row.discrimination == pytest.approx(table.loc["C(trial)", "F"])
        assert row.p_value == pytest.approx(table.loc["C(trial)", "PR(>F)"])
        assert row.df_error == table.loc["Residual", "df"]
        assert row.repeatability == pytest.approx(math.sqrt(table.loc["Residual", "sum_sq"] / row.df_error))


def test_agreement_and_scale_use_by_pandas() -> None:
    frame = made_up(3, gaps=True)
    cells = frame.groupby(["descriptor", "trial", "age_minutes", "panelist"])["rating"].mean().unstack("panelist")
    for row in panelist_performance(frame).rows:
        table = cells.loc[row.descriptor]
        own, rest = table[row.panelist], table.drop(columns=row.panelist)
        shared = own.notna() & rest.notna().any(axis=1)
        others = rest.mean(axis=1)
        assert row.agreement == pytest.approx(pearsonr(own[shared], others[shared]).statistic)
        assert (row.mean, row.mean_others) == pytest.approx((own[shared].mean(), others[shared].mean()))
        assert row.spread == pytest.approx(own.std())
        assert row.spread_others == pytest.approx(math.sqrt((rest.std() ** 2).mean()))
        given = frame[(frame["panelist"] == row.panelist) & (frame["descriptor"] == row.descriptor)]["rating"]
        assert (row.lowest, row.highest, row.ratings) == (given.min(), given.max(), len(given))


def test_the_family_is_the_panelists_own_descriptors() -> None:
    found = panelist_performance(made_up(4, gaps=True), alpha=0.2)
    for person in found.panelists:
        rows = [row for row in found.rows if row.panelist == person.panelist]
        expected = multipletests([row.p_value for row in rows], method="holm")[1]
        assert [row.p_family for row in rows] == pytest.approx(expected.tolist())
        assert (person.told_apart, person.tested) == (int((expected <= 0.2).sum()), 2)
        assert person.shift == pytest.approx(np.mean([row.mean - row.mean_others for row in rows]))
        assert person.spread_ratio == pytest.approx(np.median([row.spread / row.spread_others for row in rows]))
        assert person.repeatability == pytest.approx(math.sqrt(np.mean([row.repeatability**2 for row in rows])))
        assert person.agreement == pytest.approx(np.median([row.agreement for row in rows]))
    assert found.alpha == 0.2


def test_no_order_of_merit() -> None:
    """Panelists stand by their labels, and nothing in the results is called rank, score or best."""
    found = panelist_performance(made_up(5, people=4))
    assert [person.panelist for person in found.panelists] == ["P0", "P1", "P2", "P3"]
    assert not [name for name in (*found.table, *found.overall) if name in {"rank", "score", "place", "best"}]


@pytest.mark.parametrize("seed", range(3))
def test_moving_and_stretching_the_scale(seed: int) -> None:
    frame = made_up(seed)
    plain, other = (panelist_performance(one) for one in (frame, frame.assign(rating=7 * frame["rating"] - 30)))
    for row, again in zip(plain.rows, other.rows, strict=True):
        for name in ("discrimination", "p_value", "agreement"):
            assert getattr(again, name) == pytest.approx(getattr(row, name))
        for name in ("repeatability", "spread", "spread_others"):
            assert getattr(again, name) == pytest.approx(7 * getattr(row, name))
    assert panelist_performance(frame.sample(frac=1, random_state=1)).table["discrimination"].tolist() == pytest.approx(
        plain.table["discrimination"].tolist()
    )


def test_one_panelist_has_nobody_to_agree_with() -> None:
    row = row_of([("me", 1, 3), ("me", 1, 4), ("me", 2, 7), ("me", 2, 9)])
    assert (row.agreement, row.mean, row.mean_others, row.spread_others) == (None, None, None, None)
    assert row.discrimination == pytest.approx(f_oneway([3, 4], [7, 9]).statistic)
    assert row.says == (
        "rough: 2 degrees of freedom between replicates",
        "agreement, mean: nobody else rated the same",
    )


def test_without_replicates_it_says_so() -> None:
    found = panelist_performance(made_up(6).query("replicate == 1"))
    for row in found.rows:
        assert (row.discrimination, row.p_value, row.p_family, row.repeatability) == (None, None, None, None)
        assert row.says == ("discrimination, repeatability: no replicates",)
        assert row.agreement is not None
    assert {(person.tested, person.repeatability) for person in found.panelists} == {(0, None)}


@pytest.mark.parametrize(
    ("ratings", "discrimination", "p_value", "said"),
    [
        ([(1, 5), (1, 5), (2, 5), (2, 5)], None, None, "discrimination: no rating differs"),
        (
            [(1, 3), (1, 3), (2, 5), (2, 5)],
            math.inf,
            0.0,
            "discrimination: every replicate is the same, F has no bound",
        ),
        ([(1, 3), (1, 5), (2, 5), (2, 3)], 0.0, 1.0, None),
        ([(1, 3), (1, 5)], None, None, "discrimination: no two trials rated at one age"),
        ([(1, 3)], None, None, "discrimination, repeatability: no replicates"),
    ],
)
def test_ratings_at_the_edge(ratings: list[Any], discrimination: Any, p_value: Any, said: str | None) -> None:
    row = row_of([("me", *one) for one in ratings])
    assert (row.discrimination, row.p_value, row.p_family) == (discrimination, p_value, p_value)
    assert said is None or said in row.says


def test_trials_never_rated_at_one_age_are_not_compared() -> None:
    rows = [("me", t, a, y + r) for t, a, y in ((1, 5, 3), (2, 60, 6)) for r in (0, 1)]
    row = row_of(rows, ("panelist", "trial", "age_minutes", "rating"))
    assert (row.discrimination, row.df_trials) == (None, 0)
    assert "discrimination: no two trials rated at one age" in row.says


def test_a_constant_rater_has_no_agreement() -> None:
    rows = [("flat", t, 5) for t in range(4)] + [("other", t, t) for t in range(4)]
    flat, other = panelist_performance(pd.DataFrame(rows, columns=["panelist", "trial", "rating"])).rows
    assert (flat.agreement, other.agreement) == (None, None)
    assert flat.says[-1] == other.says[-1] == "agreement: one side never varies"
    assert (flat.spread, flat.spread_others) == (0.0, pytest.approx(np.std(range(4), ddof=1)))


def test_missing_ratings_are_dropped_and_counted() -> None:
    frame = made_up(7)
    holes = frame.assign(rating=frame["rating"].where(frame.index % 5 != 0))
    found = panelist_performance(holes)
    assert found.dropped == int(holes["rating"].isna().sum()) > 0
    assert found.rows == panelist_performance(holes.dropna()).rows


@pytest.mark.parametrize("names", [[1, 2, 3, 10, 11], ["007", "NA", "b", "c", "d"], [1, 2.5, "1", "x", "y"]])
def test_any_labels(names: list[Any]) -> None:
    frame = made_up(8)
    frame["panelist"] = (
        frame["panelist"].map(dict(zip(["P0", "P1", "P2", "P3", "P4"], names, strict=True))).astype(object)
    )
    assert [person.panelist for person in panelist_performance(frame).panelists] == names


def test_the_result_is_frozen() -> None:
    found = panelist_performance(made_up(9))
    with pytest.raises(dataclasses.FrozenInstanceError):
        found.alpha = 0.5  # type: ignore[misc]
    assert found.table.columns.tolist() == [field.name for field in dataclasses.fields(PanelistDescriptor)]
    assert len(found.table) == 10
    assert len(found.overall) == 5


@pytest.mark.parametrize(
    ("frame", "alpha", "problem", "said"),
    [
        (made_up().drop(columns="rating"), 0.05, ArgumentError, "rating"),
        (made_up().assign(rating=np.nan), 0.05, ArgumentError, "at least one rating"),
        (made_up().assign(rating="5"), 0.05, KindError, "'5'"),
        (made_up().assign(panelist=None), 0.05, ArgumentError, "panelist"),
        (made_up().assign(age_minutes=-1.0), 0.05, ArgumentError, "age_minutes"),
        (made_up(), 0.0, ArgumentError, "alpha"),
        ({"panelist": [1]}, 0.05, KindError, "dict"),
    ],
)
def test_refused(frame: Any, alpha: float, problem: type[Exception], said: str) -> None:
    with pytest.raises(problem, match=said):
        panelist_performance(frame, alpha=alpha)


def test_open_data_with_two_replicates(datasets: Path) -> None:
    """Odours smelt twice by 26 people (Snitz et al. 2019): F of each person by scipy."""
    table = pd.read_csv(datasets / "snitz2019_lab_two_sessions.csv")
    frame = table.rename(columns={"odor": "trial", "session": "replicate", "Pleasant": "rating"})
    found = panelist_performance(frame[["panelist", "trial", "replicate", "rating"]])
    assert len(found.rows) == 26
    for row in found.rows:
        own = frame[frame["panelist"] == row.panelist]
        expected = f_oneway(*(group["rating"] for _, group in own.groupby("trial")))
        assert (row.discrimination, row.p_value) == pytest.approx((expected.statistic, expected.pvalue))
    assert sum(row.agreement > 0 for row in found.rows) >= 25
