"""Habits of place in profiles, rankings and rounds of equal trials, shortly; all of it in tests/slow/test_order_habits.py."""

from __future__ import annotations

import pytest
from scipy import stats

from tests.habit_sessions import differs, planned

OPPOSED = ("rising", "falling")
CASES = [
    pytest.param(("profile", 2, 6), ("first up", "first down"), 0.5, id="profile"),
    pytest.param(("ranking", 4, 12), OPPOSED, 0.0, id="ranking"),
    pytest.param(("round", 4, 8), OPPOSED, 0.0, id="round"),
]
SESSIONS = 100


@pytest.mark.parametrize(("size", "habits", "noise"), CASES)
def test_equal_trials_differed_under_balanced_orders_and_do_not_under_independent_ones(
    size: tuple[str, int, int], habits: tuple[str, ...], noise: float
) -> None:
    """Opposite habits of place: more sessions than the sealed .05 showed a difference, and no more than that do now."""
    method, trials, people = size
    found = {
        draw: sum(differs(planned(method, trials, people, draw), number, habits, noise) for number in range(SESSIONS))
        for draw in ("balanced", "independent")
    }
    assert stats.binomtest(found["balanced"], SESSIONS, 0.05, alternative="greater").pvalue < 0.01
    assert stats.binomtest(found["independent"], SESSIONS, 0.05, alternative="greater").pvalue > 0.001
