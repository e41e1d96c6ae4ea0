"""A million simulated sessions for each plan: the exact recursion against answers drawn one by one."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from evaluation.statistics import SequentialPlan, chance, sequential_plan

pytestmark = pytest.mark.slow

SESSIONS = 1_000_000
LONGEST = 2_000  # a session without an end that is still going here would fail the test


def played(plan: SequentialPlan, pd: float, generator: np.random.Generator) -> dict[str, Any]:
    """Every person notices or guesses; nobody knows the limits but the loop."""
    correct = np.zeros(SESSIONS, dtype=np.int32)
    asked = np.zeros(SESSIONS, dtype=np.int32)
    noticed = not_noticed = 0
    lengths = []
    for k in range(1, (plan.max_assessments or LONGEST) + 1):
        draws = generator.random(correct.size, dtype=np.float32)
        correct += (draws < pd) | (generator.random(correct.size, dtype=np.float32) < chance(plan.method))
        asked += 1
        upper, lower = plan.upper(k), plan.lower(k)
        up = correct >= upper if upper is not None else np.zeros(correct.size, bool)
        down = correct <= lower if lower is not None else np.zeros(correct.size, bool)
        stopped = up | down
        noticed, not_noticed = noticed + int(up.sum()), not_noticed + int(down.sum())
        lengths.append(asked[stopped])
        correct, asked = correct[~stopped], asked[~stopped]
        if not correct.size:
            break
    lengths.append(asked)
    return {
        "noticed": noticed,
        "not_noticed": not_noticed,
        "undecided": correct.size,
        "lengths": np.concatenate(lengths),
    }


@pytest.mark.parametrize(
    ("method", "alpha", "beta", "pd", "every", "end"),
    [
        ("triangle", 0.05, 0.05, 0.5, 1, None),
        ("triangle", 0.05, 0.05, 0.3, 12, 96),
        ("duo-trio", 0.05, 0.10, 0.5, 1, 40),
        ("2-afc", 0.16, 0.19, 0.5, 4, 20),
        ("two-out-of-five", 0.01, 0.20, 0.3, 1, 30),
    ],
)
def test_a_million_sessions(method: str, alpha: float, beta: float, pd: float, every: int, end: int | None) -> None:
    plan = sequential_plan(method, alpha, beta, pd, every, end)
    generator = np.random.default_rng(16820)
    for truth in (0.0, pd / 2, pd):
        seen, exact = played(plan, truth, generator), plan.operating(truth)
        for word in ("noticed", "not_noticed", "undecided"):
            p = getattr(exact, word)
            spread = np.sqrt(max(p * (1 - p), 1e-6) / SESSIONS)
            assert abs(seen[word] / SESSIONS - p) < 4.5 * spread, (word, truth)
        lengths = seen["lengths"]
        assert abs(lengths.mean() - exact.expected_assessments) < 4.5 * max(lengths.std(), 1e-9) / 1e3 + 1e-9
