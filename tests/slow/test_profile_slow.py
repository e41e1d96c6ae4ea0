"""Level and coverage of the profile statistics, on panels drawn from people who truly differ or do not."""

from __future__ import annotations

from math import sqrt
from typing import Any

import numpy as np
import pytest

from evaluation.statistics import profile_model
from evaluation.statistics.laws.signflip import flip_signs
from tests.statistics.test_profile_model import holes, people

pytestmark = pytest.mark.slow

PANELS, MODELS = 2_000, 150


def within(share: float, expected: float, of: int) -> bool:
    return abs(share - expected) <= 4 * sqrt(expected * (1 - expected) / of)


def no_more(share: float, most: float, of: int) -> bool:
    return share <= most + 4 * sqrt(most * (1 - most) / of)


def alike(random: np.random.Generator, shape: tuple[int, int], together: float) -> Any:
    """Differences about 0: descriptors that go together, tails longer than normal, people of unequal scatter."""
    common = random.standard_t(4, (shape[0], 1))
    own = random.standard_t(4, shape)
    return (sqrt(together) * common + sqrt(1 - together) * own) * random.uniform(0.3, 2.0, (shape[0], 1))


@pytest.mark.parametrize("together", [0.0, 0.6, 0.95])
@pytest.mark.parametrize("gaps", [False, True])
def test_the_family_errs_in_five_panels_of_a_hundred(together: float, gaps: bool) -> None:
    """9 people × 12 rows where nothing differs: any p_family ≤ .05 is an error; with gaps it is min-p."""
    random, errors = np.random.default_rng(1), 0
    for _ in range(PANELS):
        differences = alike(random, (9, 12), together)
        if gaps:
            differences[random.integers(0, 9, 5), random.integers(0, 12, 5)] = np.nan
        errors += bool(np.nanmin(flip_signs(differences, None, 999, 0).p_family) <= 0.05)
    assert no_more(errors / PANELS, 0.05, PANELS)
    assert errors > PANELS * (0.005 if gaps else 0.03), "with the same people everywhere the test is exact, not timid"


def test_drawn_patterns_keep_the_level() -> None:
    random = np.random.default_rng(2)
    errors = [flip_signs(alike(random, (24, 6), 0.5), None, 199, seed).p_family.min() <= 0.05 for seed in range(PANELS)]
    assert within(float(np.mean(errors)), 0.05, PANELS)


@pytest.mark.parametrize(("size", "level", "exact"), [(6, 0.95, 1 - 2 / 64), (9, 0.95, 1 - 24 / 512), (12, 0.8, 0.8)])
def test_intervals_cover(size: int, level: float, exact: float) -> None:
    """Their true coverage is 1 − the largest multiple of 2/2^n that is at most alpha."""
    random = np.random.default_rng(3)
    covered = []
    for _ in range(PANELS):
        flips = flip_signs(alike(random, (size, 1), 0.0) + 1.3, level, 999, 0)
        covered.append(flips.low[0] <= 1.3 <= flips.high[0])
    assert within(float(np.mean(covered)), exact, PANELS)


@pytest.mark.parametrize(("random", "gap"), [("default", 0.0), ("default", 0.1), ("full", 0.1)])
def test_the_model_keeps_its_level(random: str, gap: float) -> None:
    """Trials that do not differ, seen differently by people: the F of trial is an error in 5 of 100 panels."""
    errors = 0
    for seed in range(MODELS):
        frame = people((8, 3, 2, 2), seed, (1, 1, 0, 0) if random == "default" else (1, 1, 1, 1))
        frame["rating"] -= frame["trial"] * (0.6 + 0.2 * frame["age_minutes"] / 30)
        errors += bool(profile_model(holes(frame, gap, seed) if gap else frame, random).table["p_value"][0] <= 0.05)
    assert no_more(errors / MODELS, 0.05, MODELS)
