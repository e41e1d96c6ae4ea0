"""Plans whose bottles separate changes, for tests."""

from __future__ import annotations

from typing import Any

from evaluation.kinds import Separation
from evaluation.planning.layouts import combinations_of
from evaluation.sessions import Plan
from tests.scenes import plan

NAMES = ("cedar", "fig", "salt", "iris", "rose", "musk")


def separation(changes: int, layout: str, **more: Any) -> Separation:
    return Separation(NAMES[:changes], combinations_of(layout, changes), **more)


def separating(own: Separation, people: int = 6, **more: Any) -> Plan:
    """A plan that separates changes."""
    trials = [f"bottle-{at}" for at in range(len(own.made))]
    fields: dict[str, Any] = {"method": "profile", "replicates": own.sittings_a_round, "separation": own}
    fields |= {"first_trial_id": trials[0], "second_trial_id": trials[1], "other_trial_ids": tuple(trials[2:])}
    return plan(people, **(fields | more))
