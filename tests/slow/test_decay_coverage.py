"""How often the intervals over people hold the truth: times, areas and crossings of simulated panels."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from evaluation.statistics import decay

pytestmark = pytest.mark.slow

AGES = np.array([5.0, 30.0, 60.0, 120.0, 240.0, 480.0])
TRUTH = {"A": 8 * np.exp(-0.004 * AGES), "B": 6 * np.exp(-0.001 * AGES)}
RUNS = 300


def panel(random: np.random.Generator, people: int, skipped: float, categories: bool) -> pd.DataFrame:
    """Each person has a level of their own; ratings scatter by 1.2 points, some are skipped."""
    level = random.normal(0, 1, people)
    rows = []
    for trial, curve in TRUTH.items():
        ratings = curve + level[:, None] + random.normal(0, 1.2, (people, AGES.size))
        ratings = np.clip(np.rint(ratings), 0, 9) if categories else ratings
        ratings = np.where(random.random(ratings.shape) < skipped, np.nan, ratings)
        rows += [(p, trial, AGES[a], rating) for (p, a), rating in np.ndenumerate(ratings)]
    return pd.DataFrame(rows, columns=["panelist", "trial", "age_minutes", "rating"])


def passed(curve: np.ndarray, level: float) -> float:
    after = int(np.argmax(curve <= level))
    share = (curve[after - 1] - level) / (curve[after - 1] - curve[after])
    return float(AGES[after - 1] + share * (AGES[after] - AGES[after - 1]))


@pytest.mark.parametrize(
    ("people", "skipped", "categories"), [(6, 0.0, False), (8, 0.0, True), (8, 0.1, False), (16, 0.05, False)]
)
def test_the_truth_is_held_as_often_as_said(people: int, skipped: float, categories: bool) -> None:
    """95 %, and never fewer than chance in 300 panels allows (three standard errors, .912)."""
    random = np.random.default_rng(people)
    time, area = passed(TRUTH["A"], 4.0), np.trapezoid(TRUTH["A"], AGES)
    meeting = passed(TRUTH["A"] - TRUTH["B"], 0.0)
    held = np.zeros(3)
    for _ in range(RUNS):
        found = decay(panel(random, people, skipped, categories), 4.0)
        first = found.trials[0]
        parts = {part.stronger: part for part in found.pairs[0].stretches}
        held += [
            first.low <= time <= first.high,
            first.area_low <= area <= first.area_high,
            "A" in parts and parts["A"].until_low <= meeting <= parts["A"].until_high,
        ]
    assert (held / RUNS).min() >= 0.95 - 3 * np.sqrt(0.95 * 0.05 / RUNS)
