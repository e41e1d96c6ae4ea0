"""The mixed model where it is told: people may differ in the ages, nothing is tested with few people, no "inf"."""

from __future__ import annotations

import csv
import io
import math

import numpy as np
import pandas as pd
import pytest

from evaluation.statistics import profile_model
from evaluation.tables import results
from evaluation.wording import of_profiles


def ratings(people: int, seed: int, *, by_age: float = 0.0, ages: tuple[int, ...] = (5, 30, 60, 240)) -> pd.DataFrame:
    """Two trials that differ in nothing; people differ in their level and, by ``by_age``, in how they see each age."""
    rng = np.random.default_rng(seed)
    rows = []
    for person in range(people):
        level, seen = rng.normal(5, 1), rng.normal(0, by_age, len(ages)) if by_age else np.zeros(len(ages))
        for trial in "AB":
            for at, age in enumerate(ages):
                rows.append((f"p{person}", trial, "woody", age, level + seen[at] + rng.normal(0, 0.7)))
    return pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "age_minutes", "rating"])


def share_false(random: str, effect: str, sessions: int) -> float:
    found = 0
    for seed in range(sessions):
        table = profile_model(ratings(8, seed, by_age=1.2), random=random).table
        found += bool(table.loc[table["effect"] == effect, "p_value"].iloc[0] <= 0.05)
    return found / sessions


def test_ages_come_out_false_far_too_often_unless_people_may_differ_in_them() -> None:
    """Simulated truth: nothing moves with age. The default calls it a difference many times alpha."""
    assert share_false("default", "age", 100) > 0.15
    assert share_false("full", "age", 100) <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / 100)


@pytest.mark.slow
def test_false_ages_of_a_thousand_profiles() -> None:
    assert share_false("full", "age", 1000) <= 0.05 + 3 * math.sqrt(0.05 * 0.95 / 1000)


def test_no_cell_of_a_file_is_infinite() -> None:
    frame = pd.DataFrame({"low": [-math.inf, 0.5], "high": [math.inf, 1.5]})
    lines = list(csv.reader(io.StringIO(results.csv_text(frame))))
    assert lines == [["low", "high"], ["beyond measure", "beyond measure"], ["0.5", "1.5"]]


def test_the_caution_says_who_is_tested() -> None:
    assert "fewer than six people" in of_profiles.MODEL
