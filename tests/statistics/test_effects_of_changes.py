"""Effects of changes: estimates against a library of linear models, p against every pattern of signs, and what is refused."""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations, product
from typing import Any

import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm

from evaluation.errors import ArgumentError, KindError
from evaluation.statistics import effects_of_changes, factorial, holm

NAMES = ("cedar", "fig", "salt")
KEYS = ["panelist", "descriptor", "age_minutes"]


def rated(
    people: int,
    runs: pd.DataFrame,
    rng: np.random.Generator,
    truth: dict[str, float] | None = None,
    words: tuple[str, ...] = ("woody", "green"),
    ages: tuple[float, ...] = (5.0, 60.0),
) -> pd.DataFrame:
    """One rating of each bottle at each age, each person with a level of their own."""
    rows = []
    for person, word, age in product(range(people), words, ages):
        for bottle in runs.to_dict("records"):
            mean = 5 + person % 3 + sum((truth or {}).get(str(name), 0.0) * made for name, made in bottle.items())
            rows.append({"panelist": person, "descriptor": word, "age_minutes": age, **bottle,
                         "rating": mean + float(rng.normal())})  # fmt: skip
    return pd.DataFrame(rows)


def columns(frame: pd.DataFrame, effect: str) -> np.ndarray:
    signs = np.ones(len(frame))
    for name in effect.split(":"):
        signs = signs * np.where(frame[name] == 1, 1.0, -1.0)
    return signs / 2


def by_library(frame: pd.DataFrame, effects: list[str]) -> pd.DataFrame:
    """Ordinary least squares of each person, descriptor and age."""
    rows = []
    for key, own in frame.dropna(subset=["rating"]).groupby(KEYS):
        design = sm.add_constant(np.column_stack([columns(own, one) for one in effects]))
        fitted = sm.OLS(own["rating"].to_numpy(), design).fit().params[1:]
        rows += [(*key, effect, value) for effect, value in zip(effects, fitted, strict=True)]
    return pd.DataFrame(rows, columns=[*KEYS, "effect", "own"])


def estimates(found: Any) -> dict[tuple[Any, ...], float]:
    table = found.table
    return dict(zip(table[["descriptor", "age_minutes", "effect"]].itertuples(index=False, name=None),
                    table["estimate"], strict=True))  # fmt: skip


@pytest.mark.parametrize("interactions", [False, True])
def test_estimates_are_those_of_a_library_also_where_bottles_are_rated_unequally_often(interactions: bool) -> None:
    rng = np.random.default_rng(1)
    frame = rated(7, factorial(NAMES).runs, rng)
    frame = pd.concat([frame, frame.sample(40, random_state=1).assign(rating=rng.normal(5, 1, 40))], ignore_index=True)
    lost = frame.index[-40:] if interactions else frame.sample(25, random_state=2).index  # more would leave no fit
    frame.loc[lost[:25], "rating"] = np.nan
    effects = [*NAMES, *(["cedar:fig", "cedar:salt", "fig:salt"] if interactions else [])]
    own = by_library(frame, effects)
    told = own.groupby(["descriptor", "age_minutes", "effect"])["own"].mean()
    found = estimates(effects_of_changes(frame, NAMES, interactions))
    assert set(found) == set(told.index)
    for key, value in found.items():
        assert value == pytest.approx(told.loc[key], abs=1e-9)


def test_in_a_balanced_design_an_effect_is_a_difference_of_means() -> None:
    frame = rated(6, factorial(NAMES).runs, np.random.default_rng(2))
    found = estimates(effects_of_changes(frame, NAMES, interactions=True))
    for (word, age, effect), value in found.items():
        own = frame[(frame["descriptor"] == word) & (frame["age_minutes"] == age)]
        up = columns(own, effect) > 0
        assert value == pytest.approx(own["rating"][up].mean() - own["rating"][~up].mean(), abs=1e-9)


def test_one_change_at_a_time_is_the_bottle_against_the_base() -> None:
    runs = pd.DataFrame([(0, 0, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1)], columns=list(NAMES))
    frame = rated(6, runs, np.random.default_rng(3), words=("woody",), ages=(5.0,))
    base = frame[frame[list(NAMES)].sum(axis=1) == 0]["rating"].mean()
    for (_, _, effect), value in estimates(effects_of_changes(frame, NAMES)).items():
        assert value == pytest.approx(frame[frame[effect] == 1]["rating"].mean() - base, abs=1e-9)


def test_effects_that_are_aliases_get_no_number_and_others_do() -> None:
    frame = rated(6, factorial(NAMES, 2).runs, np.random.default_rng(4))
    both = effects_of_changes(frame, NAMES, interactions=True).table  # each main effect is a two-way one as well
    assert both["estimate"].isna().all()
    assert (both["panelists"] == 0).all()
    assert (both["left_out"] == 6).all()
    assert both["p_family"].isna().all()
    assert effects_of_changes(frame, NAMES).table["estimate"].notna().all()


def test_who_cannot_give_an_effect_is_left_out_of_it_and_counted() -> None:
    frame = rated(7, factorial(NAMES).runs, np.random.default_rng(5), words=("woody",), ages=(5.0,))
    frame = frame[(frame["panelist"] != 0) | (frame["cedar"] == 0)]
    table = effects_of_changes(frame, NAMES).table.set_index("effect")
    assert table["panelists"].to_dict() == {"cedar": 6, "fig": 7, "salt": 7}
    assert table["left_out"].to_dict() == {"cedar": 1, "fig": 0, "salt": 0}


# --- p by every pattern -----------------------------------------------------------------------------------------------


def every_pattern(differences: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Of (signs × rows): each row's own p, and that of the largest of all rows, by every pattern of signs."""
    size = np.sqrt(len(differences) * (differences**2).sum(axis=0))
    patterns = np.array(list(product((1.0, -1.0), repeat=len(differences))))
    sums = np.abs(patterns @ differences) / size
    met = sums[0] - 1e-12
    return (sums >= met).mean(axis=0), (sums.max(axis=1)[:, None] >= met).mean(axis=0)


def test_p_by_person_is_that_of_every_pattern_over_effects_descriptors_and_ages() -> None:
    frame = rated(7, factorial(NAMES).runs, np.random.default_rng(6), {"cedar": 1.2})
    effects = [*NAMES, "cedar:fig", "cedar:salt", "fig:salt"]
    own = by_library(frame, effects).pivot_table(
        index="panelist", columns=["descriptor", "age_minutes", "effect"], values="own"
    )
    alone, family = every_pattern(own.to_numpy())
    found = effects_of_changes(frame, NAMES, interactions=True)
    table = found.table.set_index(["descriptor", "age_minutes", "effect"]).loc[list(own.columns)]
    assert found.exact
    assert table["p_value"].to_numpy() == pytest.approx(alone)
    assert table["p_family"].to_numpy() == pytest.approx(family)
    assert (table["low"] <= table["estimate"]).all()
    assert (table["estimate"] <= table["high"]).all()


def test_p_by_pairs_is_that_of_every_pattern_within_an_effect_and_holm_over_effects() -> None:
    """Two people and eight bottles: eight pairs for each change; an effect's own p is its smallest row, by Holm."""
    frame = rated(2, factorial(NAMES).runs, np.random.default_rng(7), {"cedar": 2.0})
    table = effects_of_changes(frame, NAMES, by="pairs").table
    within = {}
    for name in NAMES:
        rest = [one for one in NAMES if one != name]
        wide = frame.pivot_table(
            index=["panelist", *rest], columns=["descriptor", "age_minutes", name], values="rating"
        )
        rows = list(dict.fromkeys((a, b) for a, b, _ in wide.columns))
        differences = np.column_stack([wide[(*row, 1)] - wide[(*row, 0)] for row in rows])
        assert len(differences) == 8
        alone, family = every_pattern(differences)
        told = table[table["effect"] == name].set_index(["descriptor", "age_minutes"]).loc[rows]
        assert told["p_value"].to_numpy() == pytest.approx(alone)
        assert told["estimate"].to_numpy() == pytest.approx(differences.mean(axis=0))
        within[name] = (told["p_family"].to_numpy(), family)
    over = dict(zip(within, holm([family.min() for _, family in within.values()]), strict=True))
    for name, (told_family, family) in within.items():
        assert told_family.min() == pytest.approx(over[name])
        assert (np.diff(told_family[np.argsort(family)]) >= -1e-12).all()
        assert (told_family >= family - 1e-12).all()
    assert (table["flipped"] == 8).all()


def test_fewer_than_six_signs_are_described_only() -> None:
    frame = rated(5, factorial(NAMES).runs, np.random.default_rng(8))
    table = effects_of_changes(frame, NAMES).table
    assert not table["in_family"].any()
    assert table["estimate"].notna().all()
    assert table[["p_value", "p_family"]].isna().all().all()
    assert (table["high"] == np.inf).all()
    nose = rated(1, factorial(NAMES).runs, np.random.default_rng(9))  # four pairs
    assert effects_of_changes(nose, NAMES, by="pairs").table["p_value"].isna().all()
    assert effects_of_changes(frame, NAMES, by="pairs").table["in_family"].all()  # twenty


def test_what_is_left_of_sums_of_decimals_is_no_effect() -> None:
    """Everybody rates .1, .2, .3 alike with and without: differences are 0, not 1e-17, and p is 1."""
    runs = factorial(("cedar", "fig")).runs
    rows = [(p, "woody", 5, *row, 0.1 * (p + 1) + 0.7 * row[1]) for p in range(7) for row in runs.to_numpy().tolist()]
    frame = pd.DataFrame(rows, columns=["panelist", "descriptor", "age_minutes", "cedar", "fig", "rating"])
    table = effects_of_changes(frame, ("cedar", "fig")).table.set_index("effect")
    assert table.loc["cedar", "estimate"] == 0.0
    assert table.loc["cedar", "p_value"] == 1.0
    assert table.loc["fig", "p_value"] == 2 / 2**7


@pytest.mark.slow
@pytest.mark.parametrize("by", ["person", "pairs"])
def test_without_any_effect_anything_is_found_in_at_most_alpha(by: str) -> None:
    """400 panels of 7 (people) or 2 (pairs), two descriptors at two ages; four standard errors for chance."""
    rng, false = np.random.default_rng(10), 0
    for _ in range(400):
        frame = rated(7 if by == "person" else 2, factorial(NAMES).runs, rng)
        false += bool((effects_of_changes(frame, NAMES, by=by).table["p_family"] <= 0.05).any())  # type: ignore[arg-type]
    assert false / 400 <= 0.05 + 4 * (0.05 * 0.95 / 400) ** 0.5


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda f: effects_of_changes(f, ["cedar"]), r"^changes must be 2 to 6 names, not 1"),
        (
            lambda f: effects_of_changes(f, ["cedar", "birch"]),
            r"^frame must have a column for each change; it lacks birch",
        ),
        (lambda f: effects_of_changes(f.assign(fig=2), NAMES), r"^frame: fig must be 0 or 1 in every row, not 2"),
        (
            lambda f: effects_of_changes(f.assign(fig=pd.array([None] + [1] * (len(f) - 1), dtype="Int64")), NAMES),
            r"^frame: fig must be 0 or 1 in every row, not <NA>",
        ),
        (
            lambda f: effects_of_changes(f.assign(fig=[np.array([0])] * len(f)), NAMES),
            r"^frame: fig must be 0 or 1 in every row, not array",
        ),
        (
            lambda f: effects_of_changes(pd.concat([f, f[["fig"]]], axis=1), NAMES),
            r"^frame must have the column fig once",
        ),
        (
            lambda f: effects_of_changes(f.drop(columns="rating"), NAMES),
            r"^frame must have the columns panelist, descriptor, age_minutes, rating; it lacks rating",
        ),
        (
            lambda f: effects_of_changes(f.assign(rating=f["fig"]), ["rating", "cedar"]),
            r"^changes must not be called as a column of ratings is .*: 'rating'",
        ),
        (lambda f: effects_of_changes(f, NAMES, "none"), r"^interactions must be one of False, True"),  # type: ignore[arg-type]
        (
            lambda f: effects_of_changes(f, NAMES, True, "pairs"),
            r"^interactions must be False with by='pairs', not True",
        ),
        (lambda f: effects_of_changes(f, NAMES, by="bottle"), r"^by must be one of"),
        (lambda f: effects_of_changes(f, NAMES, level=1.0), r"^level must lie between 0 and 1"),
        (lambda f: effects_of_changes(f, NAMES, draws=9), r"^draws must be from 99 to 1000000, not 9"),
    ],
)
def test_what_is_refused_is_named(call: Callable[[pd.DataFrame], object], message: str) -> None:
    frame = rated(6, factorial(NAMES).runs, np.random.default_rng(0), words=("woody",), ages=(5.0,))
    with pytest.raises(ArgumentError, match=message):
        call(frame)
    with pytest.raises(KindError):
        effects_of_changes([1], NAMES)  # type: ignore[arg-type]


def test_whatever_else_stands_in_the_frame_and_however_0_and_1_are_kept_the_table_is_the_same() -> None:
    frame = rated(6, factorial(NAMES).runs, np.random.default_rng(0), words=("woody",), ages=(5.0,))
    plain = effects_of_changes(frame, NAMES).table
    crowded = pd.concat([frame.assign(trial="7", replicate=None), frame[[]].assign(trial="8")], axis=1)
    assert effects_of_changes(crowded, NAMES).table.equals(plain)
    for kind in (bool, float, "boolean", "Int64", "category", object):
        assert effects_of_changes(frame.astype(dict.fromkeys(NAMES, kind)), NAMES).table.equals(plain)


def test_an_interval_leaves_0_outside_only_where_p_is_at_most_alpha() -> None:
    """Decimal ratings add up to 0 but for last digits, which must not put a limit on the wrong side of 0."""
    rng, met = np.random.default_rng(3), 0
    for _ in range(25):
        frame = rated(2, factorial(NAMES).runs, rng, {"cedar": 1.0})
        table = effects_of_changes(frame.assign(rating=frame["rating"].round(1)), NAMES, by="pairs").table
        outside = (table["low"] > 0) | (table["high"] < 0)
        assert (outside <= (table["p_value"] <= 0.05)).all()
        met += int(((table["low"] == 0) | (table["high"] == 0)).sum())
    assert met


def test_results_echo_their_inputs() -> None:
    frame = rated(6, factorial(NAMES).runs, np.random.default_rng(0), words=("woody",), ages=(5.0,))
    found = effects_of_changes(frame, list(NAMES), level=0.9, seed=3)
    assert (found.changes, found.interactions, found.by, found.level, found.seed) == (NAMES, False, "person", 0.9, 3)
    assert len(list(combinations(NAMES, 2))) + 3 == len(effects_of_changes(frame, NAMES, True).table)


def test_the_pilot_plant_of_the_textbook() -> None:
    """Box, Hunter & Hunter 2005, Statistics for Experimenters, ch. 5, the 2^3 pilot plant (from memory): yields in
    Yates' order for temperature, concentration, catalyst; effects T 23, C −5, K 1.5, TC 1.5, TK 10, CK 0.
    """
    runs = [(t, c, k) for k in (0, 1) for c in (0, 1) for t in (0, 1)]
    yields = (60, 72, 54, 68, 52, 83, 45, 80)
    rows = [(f"p{p}", "yield", 5, *run, one) for p in range(6) for run, one in zip(runs, yields, strict=True)]
    frame = pd.DataFrame(rows, columns=["panelist", "descriptor", "age_minutes", "T", "C", "K", "rating"])
    table = effects_of_changes(frame, ["T", "C", "K"], interactions=True).table
    told = dict(zip(table["effect"], table["estimate"].round(9), strict=True))
    assert told == {"T": 23.0, "C": -5.0, "K": 1.5, "T:C": 1.5, "T:K": 10.0, "C:K": 0.0}
