"""Briefs of many small sessions, rated from a known truth: who, which session, which bottle, what was changed."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

import numpy as np
import pandas as pd


def lineage(trials: int, changes: int, rng: np.random.Generator) -> np.ndarray:
    """Bottles × changes: each trial has one change more, or less, than an earlier one; every change in two or more."""
    while True:
        made = np.zeros((trials, changes), dtype=int)
        for trial in range(1, trials):
            made[trial] = made[rng.integers(trial)]
            made[trial, rng.integers(changes)] ^= 1
        with_mean = np.column_stack([np.ones(trials), made])
        if (made.sum(axis=0) > 1).all() and np.linalg.matrix_rank(with_mean) == changes + 1:
            return made


def linked_sessions(trials: int, each: int) -> list[list[int]]:
    """Sessions of ``each`` bottles in the order of trials, the last of one being the first of the next."""
    starts = range(0, trials - 1, each - 1)
    return [list(range(one, min(one + each, trials))) for one in starts]


def rated(
    made: np.ndarray,
    sessions: Sequence[Sequence[int]],
    people: int,
    rng: np.random.Generator,
    effects: Sequence[float],
    spread: dict[str, float],
    words: Sequence[str] = ("woody",),
    ages: Sequence[float] = (60.0,),
) -> pd.DataFrame:
    """``spread``: the standard deviation of person, session, bottle, rest, and what else varies in life: a person's
    day (``day``), a person's view of a bottle (``view``) and of a change (``taste``).
    """
    rows = []
    bottles, changes = made.shape
    for word, age in product(words, ages):
        person, session = rng.normal(0, spread["person"], people), rng.normal(0, spread["session"], len(sessions))
        bottle = made @ np.asarray(effects, float) + rng.normal(0, spread["bottle"], bottles)
        day = rng.normal(0, spread.get("day", 0.0), (people, len(sessions)))
        view = rng.normal(0, spread.get("view", 0.0), (people, bottles))
        taste = rng.normal(0, spread.get("taste", 0.0), (people, changes))
        for place, smelt in enumerate(sessions):
            for who, what in product(range(people), smelt):
                mean = 5 + person[who] + session[place] + bottle[what] + day[who, place] + view[who, what]
                rating = mean + taste[who] @ made[what] + rng.normal(0, spread["rest"])
                rows.append((who, f"s{place}", f"b{what:02}", word, age, rating, *made[what]))
    names = ["panelist", "session", "bottle", "descriptor", "age_minutes", "rating", *names_of(changes)]
    return pd.DataFrame(rows, columns=names)


def names_of(changes: int) -> list[str]:
    """Of columns of changes."""
    return [f"change {one}" for one in range(changes)]
