"""Separated changes as they are served: false alarms with habits and sittings, and a true effect found and covered."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest

from evaluation.counting.changes_did import effects_found
from evaluation.kinds import Separation
from evaluation.planning.effect_sizes import effect_size
from evaluation.planning.layouts import ALL, HALF, ONE_AT_A_TIME
from evaluation.serving.blinding import draw
from evaluation.sessions import TRIAL_LETTERS
from evaluation.statistics import EffectsOfChanges
from tests.separations import separating, separation

pytestmark = pytest.mark.slow

PANELS = 600
Truth = Callable[[str], float]  # what a bottle holds → points more


def panel(own: Separation, people: int, truth: Truth, number: int, habits: float = 1.5) -> EffectsOfChanges:
    """One panel, served as drawn: each nose has a level a sitting, a habit of place, and rates with scatter 1."""
    plan, random = separating(own, people=people), np.random.default_rng(number)
    ids = iter(range(100_000))
    drawn = draw(plan, number.to_bytes(32, "big"), lambda: f"s{next(ids)}")
    letters = dict(drawn.key.orders)
    levels = random.normal(5, habits, (people + 1, plan.replicates + 1))
    rows, place = [], {}
    for one in drawn.servings:
        place[one.seat] = place.get(one.seat, 0) + 1
        habit = habits * (place[one.seat] % own.strips_a_sitting == 1) * (-1) ** one.seat  # the first strip: opposed
        made = own.made[TRIAL_LETTERS.index(letters[one.id])]
        rating = levels[one.seat, one.replicate] + habit + truth(made) + random.normal()
        rows.append((f"P{one.seat}", letters[one.id], "woody", 5.0, rating))
    frame = pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "age_minutes", "rating"])
    found = effects_found(plan, own, tuple(TRIAL_LETTERS[: len(own.made)]), frame, 0.95)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("layout", "changes", "people"),
    [(ALL, 3, 7), (HALF, 4, 8), (ONE_AT_A_TIME, 6, 7), (ONE_AT_A_TIME, 3, 6), (ALL, 4, 6)],
)
def test_nothing_is_found_too_often_whatever_habits_and_sittings(layout: str, changes: int, people: int) -> None:
    own = separation(changes, layout)
    errors = sum(
        bool((panel(own, people, lambda made: 0.0, number).table["p_family"] <= 0.05).any()) for number in range(PANELS)
    )

    assert errors / PANELS <= 0.05 + 4 * (0.05 * 0.95 / PANELS) ** 0.5


@pytest.mark.parametrize(("layout", "changes"), [(ALL, 3), (HALF, 3), (ONE_AT_A_TIME, 3)])
def test_a_true_effect_is_found_about_as_often_as_told_and_its_interval_covers(layout: str, changes: int) -> None:
    """12 people without habits, the size told for the only effect tested; the family makes it rarer by Holm's kind."""
    own, people = separation(changes, layout), 12
    size = effect_size(own, people, own.sittings_a_round, 1, 0.05, 0.20)
    assert size.alone is not None
    found, covered = 0, 0
    for number in range(PANELS):
        told = panel(own, people, lambda made: size.alone * (made[0] == "1"), number, habits=0.0)  # type: ignore[operator]
        row = told.table[told.table["effect"] == "cedar"].iloc[0]
        found += bool(row["p_value"] <= 0.05)
        covered += bool(row["low"] <= size.alone <= row["high"])

    assert found / PANELS == pytest.approx(0.80, abs=4 * (0.8 * 0.2 / PANELS) ** 0.5 + 0.02)
    assert covered / PANELS >= 0.95 - 4 * (0.05 * 0.95 / PANELS) ** 0.5
