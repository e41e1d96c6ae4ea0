"""Level and power of the test for camps, coverage of the difference of distances: simulated panels (fixed seeds)."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from evaluation.statistics import Target, nearness_to_brief, opposite_camps

pytestmark = pytest.mark.slow

FOUR_ERRORS = 4.0  # standard errors a simulated rate may lie beyond its bound


def within(hits: int, draws: int, most: float) -> bool:
    return hits / draws <= most + FOUR_ERRORS * (most * (1 - most) / draws) ** 0.5


def panel(random: np.random.Generator, chances: np.ndarray, answers: int) -> np.ndarray:
    """people × pairs chances of the first of each of the three pairs of three trials."""
    wins = np.zeros((len(chances), 3, 3), int)
    for column, (i, j) in zip(chances.T, ((0, 1), (0, 2), (1, 2)), strict=True):
        wins[:, i, j] = random.binomial(answers, column)
        wins[:, j, i] = answers - wins[:, i, j]
    return wins


@pytest.mark.parametrize(
    ("people", "answers", "chances"), [(12, 2, (0.5, 0.5, 0.5)), (8, 4, (0.7, 0.5, 0.9)), (5, 3, (0.6, 0.6, 0.5))]
)
def test_level_when_all_are_of_one_mind(people: int, answers: int, chances: tuple[float, ...]) -> None:
    random, draws, differ, opposite = np.random.default_rng(1), 1500, 0, 0
    for _ in range(draws):
        found = opposite_camps(panel(random, np.tile(chances, (people, 1)), answers))
        differ += found.p_value is not None and found.p_value <= 0.05
        opposite += found.finding == "opposite camps"
    assert within(differ, draws, 0.05)
    assert within(opposite, draws, 0.05)


@pytest.mark.parametrize(("people", "answers", "firm"), [(12, 2, 0.95), (8, 4, 0.75), (10, 6, 0.95), (12, 3, 1.0)])
def test_level_when_the_others_are_only_indifferent(people: int, answers: int, firm: float) -> None:
    """Half the people prefer the first of each pair, the others prefer nothing: no opposite camps."""
    random, draws, opposite = np.random.default_rng(2), 1500, 0
    own = np.where(np.arange(people) < people / 2, firm, 0.5)[:, None]
    for _ in range(draws):
        opposite += opposite_camps(panel(random, np.tile(own, (1, 3)), answers)).finding == "opposite camps"
    assert within(opposite, draws, 0.05)


@pytest.mark.parametrize(("answers", "least", "most"), [(2, 0.35, 0.7), (4, 0.8, 1.0)])
def test_power_told_in_the_docstring(answers: int, least: float, most: float) -> None:
    """Twelve people in two equal camps about one pair, each repeating themselves nine times in ten (.53, .92)."""
    random, draws, opposite = np.random.default_rng(3), 300, 0
    own = np.where(np.arange(12) < 6, 0.9, 0.1)
    for _ in range(draws):
        wins = np.zeros((12, 2, 2), int)
        wins[:, 0, 1] = random.binomial(answers, own)
        wins[:, 1, 0] = answers - wins[:, 0, 1]
        opposite += opposite_camps(wins).finding == "opposite camps"
    assert least <= opposite / draws <= most


# three ages of three descriptors, all wanted at 50
BRIEF = [
    Target(name, age, kind, 50.0)
    for age in (0.0, 30.0, 240.0)
    for name, kind in (("fresh", "at least"), ("sweet", "at most"), ("woody", "about"))
]
AWAY = np.array([-15.0, 15.0, 15.0] * 3)


def rated(random: np.random.Generator, means: np.ndarray, people: int, skewed: bool) -> pd.DataFrame:
    """Means of two trials × targets; people differ (10), in what they think of a trial (6) and from cell to cell (14)."""

    def noise(spread: float, shape: tuple[int, ...]) -> np.ndarray:
        return spread * (random.exponential(size=shape) - 1.0 if skewed else random.normal(size=shape))

    ratings = means + noise(10, (people, 1, 1)) + noise(6, (people, 2, 1)) + noise(14, (people, 2, 9))
    at = list(np.ndindex(ratings.shape))
    return pd.DataFrame(
        {
            "panelist": [p for p, _, _ in at],
            "trial": ["AB"[t] for _, t, _ in at],
            "descriptor": [BRIEF[k].descriptor for _, _, k in at],
            "age_minutes": [BRIEF[k].age_minutes for _, _, k in at],
            "rating": ratings.ravel(),
        }
    )


def distance(means: np.ndarray) -> float:
    gaps = np.where([one.kind == "at least" for one in BRIEF], 50.0 - means, means - 50.0)
    return float(np.where([one.kind == "about" for one in BRIEF], abs(gaps), np.maximum(gaps, 0.0)).mean())


@pytest.mark.parametrize("people", [5, 12])
@pytest.mark.parametrize("skewed", [False, True])
@pytest.mark.parametrize(
    ("first", "second"),
    [(0.0 * AWAY, AWAY), (AWAY / 3, AWAY), (0.0 * AWAY, 0.0 * AWAY), (0.7 * AWAY, 0.7 * AWAY)],
    ids=["one on target", "one nearly", "both on target", "both alike and off"],
)
def test_coverage_of_the_difference_of_distances(
    first: np.ndarray, second: np.ndarray, people: int, skewed: bool
) -> None:
    """At 95 %: in trials of 500 panels each .94 to 1 were covered; without the stretch .76 to .90 where one is on target."""
    random, draws, missed = np.random.default_rng(4), 150, 0
    means = 50.0 + np.stack([first, second])
    truth = distance(means[0]) - distance(means[1])
    for _ in range(draws):
        (row,) = nearness_to_brief(rated(random, means, people, skewed), BRIEF).differences.itertuples()
        sign = 1.0 if row.first == "A" else -1.0
        missed += not row.low <= sign * truth <= row.high
    assert within(missed, draws, 0.06)
