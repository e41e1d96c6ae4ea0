"""profile_model: against statsmodels' analyses of variance and mixed model, a dense likelihood written out, open data."""

from __future__ import annotations

import json
import warnings
from typing import Any

import numpy as np
import pandas as pd
import pytest
import statsmodels.formula.api as smf
from hypothesis import given, settings
from hypothesis import strategies as st
from statsmodels.regression.mixed_linear_model import MixedLM, VCSpec
from statsmodels.stats.anova import AnovaRM, anova_lm

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import profile_model
from evaluation.statistics.ratings import effects, mixed_model, reml, strata
from tests.statistics.test_check_values import ROWS
from tests.statistics.test_datasets import path_of

COLUMNS = ["descriptor", "effect", "F", "df_effect", "df_error", "p_value"]
NAMES = {"p": "panelist", "t": "trial", "a": "age_minutes", "r": "replicate"}


def people(shape: tuple[int, int, int, int], seed: int, spread: tuple[float, ...] = (1, 1, 1, 1)) -> pd.DataFrame:
    """Panelists × trials × ages × replicates; ``spread``: how widely people, and how they see trials, ages, both, vary."""
    random = np.random.default_rng(seed)
    p, t, a, r = (places.ravel() for places in np.indices(shape))
    between = random.normal(size=shape[:1])[p] * spread[0] + random.normal(size=shape[:2])[p, t] * spread[1]
    between += (
        random.normal(size=(shape[0], shape[2]))[p, a] * spread[2] + random.normal(size=shape[:3])[p, t, a] * spread[3]
    )
    rating = 5 + 0.6 * t - 0.3 * a + 0.2 * t * a + between + random.normal(size=p.size)
    frame = pd.DataFrame({"panelist": p, "trial": t, "age_minutes": 30 * a, "replicate": r, "rating": rating})
    return frame.assign(descriptor="woody")


def effects_of(frame: pd.DataFrame, *arguments: Any, **named: Any) -> dict[str, tuple[float, float, float, float]]:
    table = profile_model(frame, *arguments, **named).table
    return {row.effect: (row.F, row.df_effect, row.df_error, row.p_value) for row in table.itertuples()}


@pytest.mark.parametrize(("seed", "shape"), [(1, (8, 2, 3, 2)), (2, (10, 3, 4, 1)), (3, (6, 4, 2, 3))])
def test_full_is_the_repeated_measures_analysis(seed: int, shape: tuple[int, int, int, int]) -> None:
    """statsmodels AnovaRM: each effect against its own interaction with people."""
    frame = people(shape, seed, (2, 2, 2, 2))
    theirs = (
        AnovaRM(frame, "rating", "panelist", within=["trial", "age_minutes"], aggregate_func="mean").fit().anova_table
    )
    found = profile_model(frame, "full")
    assert list(found.table.columns) == COLUMNS
    assert found.variances["route"].tolist() == ["closed form"]
    assert not found.variances["singular"].any()
    ours = found.table.set_index("effect")
    for effect, row in zip(("trial", "age", "trial:age"), theirs.itertuples(), strict=True):
        assert ours.loc[effect, ["F", "df_effect", "df_error"]].tolist() == pytest.approx(list(row[1:4]))
        assert ours.loc[effect, "p_value"] == pytest.approx(row[4])


@pytest.mark.parametrize(("seed", "shape"), [(4, (9, 3, 3, 2)), (5, (7, 2, 5, 1)), (6, (8, 4, 2, 2))])
def test_default_by_an_analysis_of_variance(seed: int, shape: tuple[int, int, int, int]) -> None:
    """statsmodels anova_lm: trial over trial × panelist, age and trial × age over all that is left."""
    frame = people(shape, seed, (2, 2, 0, 0))
    plain = anova_lm(smf.ols("rating ~ C(panelist) * C(trial) + C(age_minutes) * C(trial)", frame).fit())
    square = plain["mean_sq"]
    ours = effects_of(frame)
    assert ours["trial"][0] == pytest.approx(square["C(trial)"] / square["C(panelist):C(trial)"])
    assert ours["age"][0] == pytest.approx(plain["F"]["C(age_minutes)"])
    assert ours["trial:age"][0] == pytest.approx(plain["F"]["C(age_minutes):C(trial)"])
    assert ours["trial"][1:3] == pytest.approx((shape[1] - 1, (shape[0] - 1) * (shape[1] - 1)))
    assert ours["age"][1:3] == pytest.approx((shape[2] - 1, plain["df"]["Residual"]))
    assert ours["age"][3] == pytest.approx(plain["PR(>F)"]["C(age_minutes)"])
    additive = anova_lm(smf.ols("rating ~ C(panelist) * C(trial) + C(age_minutes)", frame).fit())
    without = effects_of(frame, interaction=False)
    assert without["age"][0] == pytest.approx(additive["F"]["C(age_minutes)"])
    assert without["age"][2] == pytest.approx(additive["df"]["Residual"])
    assert np.isnan(without["trial:age"][0])


def test_the_fish_panel() -> None:
    """Scores of ISO 8586 Annex C (row m-8586-means): 6 samples × 4 assessors × 3 scores, as a two-way analysis.

    The interaction's mean square lies below the residual's, so its variance is 0 and both are one error.
    """
    record = next(one for one in ROWS if one["id"] == "m-8586-means")
    scores = np.array(json.loads(record["inputs"])["scores_sample_assessor_rep"])
    trial, panelist, replicate = (places.ravel() for places in np.indices(scores.shape))
    frame = pd.DataFrame({"trial": trial, "panelist": panelist, "replicate": replicate, "rating": scores.ravel()})
    plain = anova_lm(smf.ols("rating ~ C(panelist) * C(trial)", frame).fit())
    both = plain.loc[["C(panelist):C(trial)", "Residual"], ["sum_sq", "df"]].sum()
    found = profile_model(frame.assign(descriptor="all", age_minutes=0))
    assert found.table["F"][0] == pytest.approx(plain["mean_sq"]["C(trial)"] / (both["sum_sq"] / both["df"]))
    assert found.table["df_error"][0] == pytest.approx(63) == both["df"]
    assert found.variances["singular"][0]


def both_routes(frame: pd.DataFrame, random: str, interaction: bool) -> tuple[effects.Fitted, effects.Fitted]:
    codes = [np.unique(frame[name], return_inverse=True)[1] for name in ("panelist", "trial", "age_minutes")]
    cells = effects.Cells(*codes, frame["rating"].to_numpy(float))
    kept, _ = effects.separable(cells, random)
    table = strata.table_of(cells)
    assert table is not None
    general = reml.fit_general(cells, {name: effects.RANDOM[random][name] for name in kept}, interaction)
    (fast,) = strata.fit_balanced(table[None], tuple(kept), effects.wanted(cells.shape, interaction))
    return fast, general


@settings(max_examples=25, deadline=None)
@given(
    st.tuples(st.integers(3, 7), st.integers(2, 4), st.integers(1, 4), st.integers(1, 3)),
    st.integers(0, 10_000),
    st.tuples(*[st.sampled_from([0.0, 0.0, 1.0, 3.0])] * 4),
    st.sampled_from(["default", "full"]),
    st.booleans(),
)
def test_the_closed_form_is_the_general_route(
    shape: tuple[int, int, int, int], seed: int, spread: tuple[float, ...], random: str, interaction: bool
) -> None:
    """Also where variances are held at 0, which half of these draws have."""
    fast, general = both_routes(people(shape, seed, spread), random, interaction)
    assert not general.note
    total = sum(fast.variances.values())
    assert list(general.variances.values()) == pytest.approx(list(fast.variances.values()), abs=1e-6 * total)
    assert fast.singular == general.singular
    for one, other in zip(fast.effects, general.effects, strict=True):
        assert (one.name, one.df_effect) == (other.name, other.df_effect)
        assert other.f == pytest.approx(one.f, rel=1e-5)
        assert other.df_error == pytest.approx(one.df_error, rel=1e-3)


def holes(frame: pd.DataFrame, share: float, seed: int) -> pd.DataFrame:
    return frame.sample(frac=1 - share, random_state=seed)


def library(frame: pd.DataFrame, within: tuple[str, ...]) -> Any:
    """The same model in statsmodels, fitted from its own start."""
    frame = frame.sort_values("panelist")
    x = np.asarray(smf.ols("rating ~ C(trial, Sum) * C(age_minutes, Sum)", frame).exog)
    matrices, names = [], []
    for columns in (["panelist", *(["trial", "age_minutes"] if one == "both" else [one])] for one in within):
        codes = frame.groupby(columns).ngroup()
        own = {
            person: pd.get_dummies(codes[frame.panelist == person]).to_numpy(float)
            for person in frame.panelist.unique()
        }
        matrices.append(own)
        names.append({person: [str(k) for k in range(one.shape[1])] for person, one in own.items()})
    spec = VCSpec(list(within), names, matrices)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return MixedLM(
            frame.rating.to_numpy(), x, frame.panelist.to_numpy(), np.ones((len(frame), 1)), exog_vc=spec
        ).fit(reml=True)


@pytest.mark.parametrize(
    ("random", "within"),
    [("default", ("trial",)), ("full", ("trial", "age_minutes", "both"))],
)
def test_holes_by_statsmodels(random: str, within: tuple[str, ...]) -> None:
    """MixedLM, by restricted likelihood: the same variances and the same F (its Wald tests, divided by df)."""
    frame = holes(people((14, 3, 3, 2), 11, (2, 2, 2, 2)), 0.15, 1)
    theirs, found = library(frame, within), profile_model(frame, random)
    assert found.variances["route"].tolist() == ["restricted likelihood"]
    ours = found.variances.iloc[0]
    expected = [theirs.cov_re[0, 0], *theirs.vcomp, theirs.scale]
    kept = ["panelist", *effects.RANDOM[random], "residual"]
    assert [ours[name] for name in dict.fromkeys(kept)] == pytest.approx(expected, rel=2e-3)
    columns = {"trial": slice(1, 3), "age": slice(3, 5), "trial:age": slice(5, 9)}
    for effect, place in columns.items():
        beta, covariance = theirs.fe_params[place], theirs.cov_params()[place, place]
        wald = float(beta @ np.linalg.solve(covariance, beta)) / len(beta)
        assert effects_of(frame, random)[effect][0] == pytest.approx(wald, rel=2e-3)


def dense_likelihood(variances: Any, y: Any, x: Any, parts: list[Any]) -> tuple[float, Any]:
    """Restricted likelihood and the covariance of the fixed effects, by the formulas of any textbook, n × n."""
    covariance = sum(one * part for one, part in zip(variances, parts, strict=True))
    inverse = np.linalg.inv(covariance)
    information = x.T @ inverse @ x
    rest = y - x @ np.linalg.solve(information, x.T @ inverse @ y)
    logs = np.linalg.slogdet(covariance)[1] + np.linalg.slogdet(information)[1]
    return -0.5 * float(logs + rest @ inverse @ rest), np.linalg.inv(information)


def second_derivatives(function: Any, at: Any, step: float = 1e-3) -> Any:
    k = len(at)
    steps = np.eye(k) * step * at
    found = np.empty((k, k))
    for i in range(k):
        for j in range(k):
            corners = [function(at + s * steps[i] + t * steps[j]) * s * t for s in (1, -1) for t in (1, -1)]
            found[i, j] = sum(corners) / (4 * steps[i, i] * steps[j, j])
    return found


def test_degrees_of_freedom_by_differences() -> None:
    """Satterthwaite with one numerator df: 2 v² / Var(v), all derivatives by differences of the dense likelihood."""
    frame = holes(people((9, 2, 1, 3), 21, (2, 2, 0, 0)), 0.2, 2)
    found = profile_model(frame)
    row, (f, _, df, _) = found.variances.iloc[0], effects_of(frame)["trial"]
    at = row[["panelist", "panelist:trial", "residual"]].to_numpy(float)
    assert (at > 0).all()
    p, t = frame.panelist.to_numpy(), frame.trial.to_numpy()
    x = np.column_stack((np.ones(p.size), np.where(t == 0, 1.0, -1.0)))
    same = (p[:, None] == p) * 1.0
    parts = [same, same * (t[:, None] == t), np.eye(p.size)]
    y = frame.rating.to_numpy()
    peak = dense_likelihood(at, y, x, parts)[0]
    for nearby in at * np.random.default_rng(0).uniform(0.9, 1.1, (20, 3)):
        assert dense_likelihood(nearby, y, x, parts)[0] < peak
    spread = np.linalg.inv(-second_derivatives(lambda v: dense_likelihood(v, y, x, parts)[0], at))
    step = 1e-4 * np.diag(at)
    slope = [
        (dense_likelihood(at + one, y, x, parts)[1] - dense_likelihood(at - one, y, x, parts)[1])[1, 1]
        / (2 * one.sum())
        for one in step
    ]
    v = dense_likelihood(at, y, x, parts)[1][1, 1]
    assert df == pytest.approx(2 * v**2 / (slope @ spread @ np.array(slope)), rel=1e-3)
    inverse = np.linalg.inv(sum(one * part for one, part in zip(at, parts, strict=True)))
    beta = np.linalg.solve(x.T @ inverse @ x, x.T @ inverse @ y)
    assert f == pytest.approx(beta[1] ** 2 / v)


def test_nothing_between_people_is_the_plain_analysis() -> None:
    """Both variances at 0: the mixed model then is statsmodels' type III analysis of variance."""
    frame = holes(people((6, 3, 2, 3), 35, (0, 0, 0, 0)), 0.1, 3)
    found = profile_model(frame)
    assert (found.variances[["panelist", "panelist:trial"]] == 0).all(axis=None)
    plain = anova_lm(smf.ols("rating ~ C(trial, Sum) * C(age_minutes, Sum)", frame).fit(), typ=3)
    assert found.table["F"].tolist() == pytest.approx(plain["F"].iloc[1:4].tolist(), rel=1e-6)
    assert found.table["df_error"].tolist() == pytest.approx([plain["df"].iloc[-1]] * 3, rel=1e-6)


SNITZ = {  # calculated from the file with general-purpose software, see the list of open data
    "Pleasant": (28.974, 4.0e-33, 54.2, 242.1, 192.2),
    "WeakStrong": (4.932, 4.7e-6, 79.1, 143.1, 267.5),
    "Sweet": (39.646, 9.8e-42, 160.6, 210.9, 260.3),
    "Fruity": (46.605, 1.2e-46, 117.7, 161.5, 323.1),
    "Develops": (2.108, 0.0299, 132.7, 114.9, 417.0),
}


def long(frame: pd.DataFrame, names: dict[str, str]) -> pd.DataFrame:
    return frame.rename(columns=names).melt(list(names.values()), var_name="descriptor", value_name="rating")


def test_snitz_ten_odours() -> None:
    """Snitz et al. 2019, Chem Senses, bjz014, Suppl. 2: 26 people × 10 odours × 2 sessions. F (9, 225)."""
    frame = pd.read_csv(path_of("snitz2019_lab_two_sessions.csv"))
    found = profile_model(
        long(frame, {"odor": "trial", "panelist": "panelist", "session": "replicate"}).assign(age_minutes=0)
    )
    assert found.again == 10 * 13, "one panelist's sessions bear the same number in the file"
    table = found.table[found.table.effect == "trial"].set_index("descriptor")
    for descriptor, (f, p, *variances) in SNITZ.items():
        assert table.loc[descriptor, ["F", "df_effect", "df_error"]].tolist() == pytest.approx([f, 9, 225], abs=5.1e-4)
        assert table.loc[descriptor, "p_value"] == pytest.approx(p, rel=0.02)
        row = found.variances.set_index("descriptor").loc[descriptor]
        assert row[["panelist", "panelist:trial", "residual"]].tolist() == pytest.approx(variances, abs=0.06)


def test_wine_bitterness() -> None:
    """Randall 1989, Biom J 31:781: 9 judges × 4 wines × 2 bottles. Calculated: F (3, 24) 25.138, p 1.4e-7."""
    wine = pd.read_csv(path_of("wine_bitterness_randall1989.csv"))
    frame = wine.assign(
        trial=wine.temp + wine.contact,
        panelist=wine.judge,
        replicate=wine.bottle,
        rating=wine.response,
        descriptor="bitter",
    )
    found = profile_model(frame.assign(age_minutes=0))
    assert effects_of(frame.assign(age_minutes=0))["trial"][:3] == pytest.approx((25.138, 3, 24), abs=5.1e-4)
    assert found.table["p_value"][0] == pytest.approx(1.4e-7, rel=0.02)
    row = found.variances.iloc[0]
    assert row[["panelist", "panelist:trial", "residual"]].tolist() == pytest.approx([71.0, 15.6, 139.6], abs=0.051)


def test_keller_intensity() -> None:
    """Keller & Vosshall 2016, BMC Neurosci 17:55: 49 people × 20 odorants × 2, strong. Calculated: F (19, 912) 63.835."""
    file = pd.read_csv(path_of("keller2016_replicated_20_odorants.csv.gz"))
    strong = file[file.level == "high"].rename(columns={"cid": "trial", "intensity_strength": "rating"})
    found = profile_model(strong.assign(descriptor="intensity", age_minutes=0))
    assert found.table.loc[0, ["F", "df_effect", "df_error"]].tolist() == pytest.approx([63.835, 19, 912], abs=5.1e-4)
    assert found.table["p_value"][0] < 1e-68
    row = found.variances.iloc[0]
    assert row[["panelist", "panelist:trial", "residual"]].tolist() == pytest.approx([139.0, 85.5, 606.5], abs=0.051)


def test_french_fries_rancid() -> None:
    """Iowa State 2004 (Wickham 2007, JSS 21(12)), with gaps. Calculated: treatment 1.015 (2, 672), time 5.442 (9, 672),
    variances 2.729, 0 (singular), 11.13; the model there has no interaction."""
    file = pd.read_csv(path_of("french_fries_time_course.csv"))
    names = {"time": "age_minutes", "treatment": "trial", "subject": "panelist", "rep": "replicate"}
    frame = long(file, names)
    found = profile_model(frame[frame.descriptor == "rancid"], interaction=False)
    table = found.table.set_index("effect")
    assert table.loc["trial", ["F", "df_effect"]].tolist() == pytest.approx([1.015, 2], abs=5.1e-4)
    assert table.loc["age", ["F", "df_effect"]].tolist() == pytest.approx([5.442, 9], abs=5.1e-4)
    assert table.loc[["trial", "age"], "df_error"].tolist() == pytest.approx([672, 672], abs=0.5)
    assert table.loc[["trial", "age"], "p_value"].tolist() == pytest.approx([0.363, 3.1e-7], rel=0.02)
    row = found.variances.iloc[0]
    assert row[["panelist", "panelist:trial", "residual"]].tolist() == pytest.approx([2.729, 0, 11.13], abs=5e-3)
    assert (row["singular"], row["ratings"], found.missing) == (True, 695, 1)


def test_labels_order_and_scale_do_not_matter() -> None:
    frame = holes(people((7, 3, 2, 2), 41), 0.1, 4)
    expected = profile_model(frame).table
    other = frame.sample(frac=1.0, random_state=5).assign(
        trial=lambda one: pd.Categorical(one.trial.map({0: "C", 1: "A", 2: "B"})),
        panelist=lambda one: "P" + one.panelist.astype(str),
        rating=lambda one: 100 - 7.5 * one.rating,
    )
    pd.testing.assert_frame_equal(profile_model(other.drop(columns="replicate")).table, expected, rtol=1e-6)
    turned = profile_model(frame.assign(age_minutes=-frame.age_minutes * 1.5)).table
    pd.testing.assert_frame_equal(turned, expected, rtol=1e-6)


def test_empty_ratings_are_nobody() -> None:
    frame = people((7, 2, 2, 2), 42).reset_index(drop=True)
    emptied = frame.assign(rating=frame.rating.where(frame.index % 9 != 0))
    found = profile_model(emptied)
    assert found.missing == emptied.rating.isna().sum() > 0
    pd.testing.assert_frame_equal(found.table, profile_model(emptied.dropna()).table)


def test_an_age_without_one_trial_is_set_aside_and_counted() -> None:
    frame = people((7, 3, 3, 1), 43)
    gone = frame[(frame.trial != 2) | (frame.age_minutes != 60)]
    found = profile_model(gone)
    assert found.variances["left_out"].tolist() == [14]
    pd.testing.assert_frame_equal(found.table, profile_model(frame[frame.age_minutes != 60]).table)
    kept = profile_model(gone, interaction=False)
    assert kept.variances["left_out"].tolist() == [0], "without the interaction there are no empty cells to fill"


def test_one_age_without_replicates_is_a_block_analysis() -> None:
    """Panelists as blocks (AnovaRM); how they see each trial cannot be told from the residual, and is said so."""
    frame = people((8, 3, 1, 1), 44)
    theirs = AnovaRM(frame, "rating", "panelist", within=["trial"]).fit().anova_table.iloc[0]
    found = profile_model(frame)
    assert found.table.loc[0, ["F", "df_effect", "df_error", "p_value"]].tolist() == pytest.approx(
        [theirs["F Value"], theirs["Num DF"], theirs["Den DF"], theirs["Pr > F"]]
    )
    assert found.table["df_effect"].tolist() == [2, 0, 0]
    assert found.table["F"][1:].isna().all()
    row = found.variances.iloc[0]
    assert np.isnan(row["panelist:trial"])
    assert row["note"] == "panelist:trial cannot be told from residual"


def test_every_descriptor_by_itself() -> None:
    one, other = people((6, 2, 2, 2), 45), people((6, 2, 2, 2), 46).assign(descriptor="amber")
    found = profile_model(pd.concat([one, other]))
    assert found.table["descriptor"].tolist() == ["amber"] * 3 + ["woody"] * 3
    alone = profile_model(one).table
    pd.testing.assert_frame_equal(found.table.iloc[3:].reset_index(drop=True), alone)


@pytest.mark.parametrize(
    ("frame", "note"),
    [
        (people((6, 2, 2, 2), 47).assign(rating=4.0), "nothing that varies"),
        (people((6, 2, 2, 2), 47).assign(rating=lambda one: one.trial * 1.0), "nothing that varies"),
        (people((6, 2, 2, 2), 47).query("trial * 30 == age_minutes"), "no rating of two trials"),
        (people((6, 2, 2, 2), 47).assign(rating=np.nan), "no rating of two trials"),
    ],
)
def test_what_cannot_be_fitted_says_why(frame: pd.DataFrame, note: str) -> None:
    found = profile_model(frame)
    assert found.table[["F", "p_value"]].isna().all(axis=None)
    assert note in found.variances["note"][0]
    assert found.variances["route"].tolist() == [mixed_model.NOT_FITTED]


def test_replicates_that_never_differ() -> None:
    """No residual at all: people's differences alone are the error where the table is full; else said, not guessed."""
    frame = people((8, 2, 1, 2), 48)
    frame["rating"] = frame.groupby(["panelist", "trial"])["rating"].transform("mean")
    theirs = AnovaRM(frame, "rating", "panelist", within=["trial"], aggregate_func="mean").fit().anova_table.iloc[0]
    assert effects_of(frame)["trial"][:3] == pytest.approx((theirs["F Value"], 1, 7))
    part = profile_model(frame.iloc[:-1])
    assert part.table["F"].isna().all()
    assert part.variances[["singular", "note"]].to_numpy().tolist() == [[True, reml.NO_RESIDUAL]]


def test_wrong_arguments_are_named() -> None:
    frame = people((4, 2, 2, 1), 49)
    with pytest.raises(ArgumentError, match="random must be one of 'default', 'full'"):
        profile_model(frame, "some")
    with pytest.raises(KindError, match="interaction must be True or False"):
        profile_model(frame, interaction="yes")  # type: ignore[arg-type]
    with pytest.raises(ArgumentError, match="2 trials or more"):
        profile_model(frame[frame.trial == 0])
    with pytest.raises(ArgumentError, match="2 panelists or more"):
        profile_model(frame[frame.panelist == 0])
    with pytest.raises(ArgumentError, match="lacks descriptor"):
        profile_model(frame.drop(columns="descriptor"))
