"""Profiles: sign flips against a bare matrix product and scipy, mixed models against statsmodels; equal first."""

from __future__ import annotations

import warnings

import numpy as np
import numpy.typing as npt
import pandas as pd
from scipy import stats
from statsmodels.regression.mixed_linear_model import MixedLM, VCSpec

from benchmarks.rows import Row, compared, seconds
from evaluation.statistics import profile_differences, profile_model
from evaluation.statistics.laws.signflip import flip_signs

Floats = npt.NDArray[np.float64]
PEOPLE, DESCRIPTORS, AGES = 16, 20, 10
MODELLED, TIMED = 30, 3


def ratings(people: int, trials: int, descriptors: int, ages: int, replicates: int) -> pd.DataFrame:
    shape = (people, trials, descriptors, ages, replicates)
    random = np.random.default_rng(20261125)
    p, t, d, a, r = (places.ravel() for places in np.indices(shape))
    rating = 5 + 0.5 * t + random.normal(size=shape[:3])[p, t, d] + random.normal(size=(people, descriptors))[p, d]
    return pd.DataFrame(
        {
            "panelist": pd.Series(p).map("P{:02d}".format),
            "trial": pd.Series(t).map("trial {}".format),
            "descriptor": pd.Series(d).map("descriptor {:02d}".format),
            "age_minutes": 30 * a,
            "replicate": r + 1,
            "rating": rating + random.normal(size=p.size),
        }
    )


def differences_of(frame: pd.DataFrame) -> Floats:
    """(people × rows), the plain way."""
    cube = frame.pivot_table(index="panelist", columns=["trial", "descriptor", "age_minutes"], values="rating")
    return (cube["trial 1"] - cube["trial 0"]).to_numpy()


def all_signs(people: int) -> Floats:
    return 1.0 - 2.0 * (np.arange(2**people)[:, None] >> np.arange(people) & 1)


def by_scipy(differences: Floats) -> Floats:
    """max-T from the null distribution that scipy's permutation test keeps."""
    unit = differences / np.sqrt((differences**2).sum(axis=0))
    found = stats.permutation_test(
        (unit,), np.sum, permutation_type="samples", vectorized=True, n_resamples=np.inf, axis=0, batch=2048
    )
    largest = np.abs(found.null_distribution).max(axis=1)
    return (largest[:, None] >= np.abs(found.statistic) - 1e-9).mean(axis=0)


def flips() -> list[Row]:
    frame = ratings(PEOPLE, 2, DESCRIPTORS, AGES, 1)
    differences, signs = differences_of(frame), all_signs(PEOPLE)
    table = profile_differences(frame, "trial 0", "trial 1").table
    alone = flip_signs(differences, None, 0, 0)
    assert np.allclose(alone.p_family, table["p_family"])
    assert np.allclose(alone.p_family, by_scipy(differences))
    bare = seconds(lambda: signs @ differences, 9)
    theirs = seconds(lambda: by_scipy(differences))
    ours = seconds(lambda: flip_signs(differences, None, 0, 0), 9)
    whole = seconds(lambda: profile_differences(frame, "trial 0", "trial 1"), 9)
    what = f"{PEOPLE} people × {DESCRIPTORS * AGES} rows"
    product = f"bare matrix product, {2**PEOPLE:,} patterns × people by people × rows"
    return [
        compared(f"max-T, {what}", ours, bare, product),
        compared(f"profile_differences, {what}", whole, bare, f"{product}; ours from the frame, with intervals"),
        compared(f"max-T, {what}", ours, theirs, "scipy.stats.permutation_test, vectorised, in batches of 2,048"),
    ]


def by_statsmodels(frame: pd.DataFrame) -> list[float]:
    """The F of trial by MixedLM's Wald test, per descriptor."""
    return [_wald(own.sort_values("panelist")) for _, own in frame.groupby("descriptor")]


def _wald(frame: pd.DataFrame) -> float:
    trials, ages, people = (pd.factorize(frame[name])[0] for name in ("trial", "age_minutes", "panelist"))
    t, a = _sums(trials), _sums(ages)
    both = (t[:, :, None] * a[:, None, :]).reshape(len(frame), -1)
    x = np.hstack((np.ones((len(frame), 1)), t, a, both))
    seen = {person: np.eye(int(trials.max()) + 1)[trials[people == person]] for person in range(people.max() + 1)}
    names = {person: [str(column) for column in range(own.shape[1])] for person, own in seen.items()}
    within = VCSpec(["trial"], [names], [seen])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        fit = MixedLM(frame["rating"].to_numpy(), x, people, np.ones((len(frame), 1)), exog_vc=within).fit(reml=True)
    place = slice(1, 1 + t.shape[1])
    beta, covariance = fit.fe_params[place], fit.cov_params()[place, place]
    return float(beta @ np.linalg.solve(covariance, beta)) / beta.size


def _sums(codes: npt.NDArray[np.intp]) -> Floats:
    levels = int(codes.max()) + 1
    return np.vstack((np.eye(levels - 1), -np.ones((1, levels - 1))))[codes]


def models() -> list[Row]:
    full = ratings(PEOPLE, 3, MODELLED, 4, 2)
    rows = []
    for words, frame in (("balanced", full), ("with gaps", full.sample(frac=0.97, random_state=1))):
        few = frame[frame["descriptor"] < f"descriptor {TIMED:02d}"]
        f = profile_model(frame).table.query("effect == 'trial'")["F"].to_numpy()
        assert np.allclose(f[:TIMED], by_statsmodels(few), rtol=1e-3)
        ours = seconds(lambda frame=frame: profile_model(frame), 3)
        theirs = seconds(lambda few=few: by_statsmodels(few)) * MODELLED / TIMED
        note = f"statsmodels MixedLM, one fit per descriptor; {TIMED} timed and scaled"
        rows.append(compared(f"profile_model, {MODELLED} descriptors, {words}", ours, theirs, note))
    return rows


def run() -> list[Row]:
    return [*flips(), *models()]
