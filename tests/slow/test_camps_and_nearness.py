"""Levels and power of the test for camps, by simulated panels (fixed seeds)."""

from __future__ import annotations

import numpy as np
import pytest

from evaluation.statistics import opposite_camps

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
