"""Profiles, rankings and rounds of trials that are all alike, answered by habits of place: the real draw and analysis."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from evaluation.counting.profiles import profile_found
from evaluation.counting.questions import Held
from evaluation.counting.rounds import ranking_found, round_found
from evaluation.sessions import Answer, Ballot, Plan, Serving
from tests.drawn_facts import drawn
from tests.scenes import RATED, plan

# What the strip smelt at each place is rated higher than it would be, and which place is liked best.
HABITS: dict[str, Callable[[int], Sequence[float]]] = {
    "first up": lambda trials: [2.0, *[0.0] * (trials - 1)],
    "last up": lambda trials: [*[0.0] * (trials - 1), 2.0],
    "first down": lambda trials: [-2.0, *[0.0] * (trials - 1)],
    "rising": lambda trials: [place - (trials - 1) / 2 for place in range(trials)],
    "falling": lambda trials: [(trials - 1) / 2 - place for place in range(trials)],
}


def planned(method: str, trials: int, people: int, draw: str, **changes: Any) -> Plan:
    other = tuple(f"trial-{number}" for number in range(9, 7 + trials))
    if method == "profile":
        changes = {"descriptors": RATED[:1], "asks_strength": False} | changes
    return plan(people, method=method, other_trial_ids=other, draw=draw, **changes)


def differs(what: Plan, number: int, habits: Sequence[str], noise: float = 0.0) -> bool:
    """Whether a session drawn with this seed shows any difference; people take turns with the habits."""
    return _SHOWN[what.method](what, number, habits, noise)


def _profile(what: Plan, number: int, habits: Sequence[str], noise: float) -> bool:
    random = np.random.default_rng(number)
    effects = [HABITS[habit](len(what.trial_ids)) for habit in habits]

    def rate(serving: Serving, turn: int) -> dict[str, str]:
        own = effects[serving.seat % len(effects)][turn]
        return {
            f"rate {one.name}": f"{5.0 + own + noise * random.standard_normal():.1f}" for one in what.design.descriptors
        }

    found = profile_found(_held(what, number, rate)).differences
    assert found is not None
    return bool((found.table["p_family"] <= 0.05 * (1 + 1e-12)).any())


def _ranking(what: Plan, number: int, habits: Sequence[str], noise: float) -> bool:
    def rank(serving: Serving, turn: int) -> dict[str, str]:
        falls = habits[serving.seat % len(habits)] == "falling"
        return {"ranking": ">".join(serving.codes if falls else serving.codes[::-1])}

    found = ranking_found(_held(what, number, rank))
    assert found.ranked is not None
    return (
        found.ranked.reached
        or any(pair.shown for pair in found.pairs)
        or any(c.differ for c in found.ranked.comparisons)
    )


def _round(what: Plan, number: int, habits: Sequence[str], noise: float) -> bool:
    def choose(serving: Serving, turn: int) -> dict[str, str]:
        falls = habits[serving.seat % len(habits)] == "falling"
        return {"choice": serving.codes[0 if falls else 1]}

    return any(pair.shown for pair in round_found(_held(what, number, choose)).pairs)


_SHOWN = {"profile": _profile, "ranking": _ranking, "round": _round}


def _held(what: Plan, number: int, answer: Callable[[Serving, int], dict[str, str]]) -> Held:
    made = drawn(what, number)
    ballots = tuple(Ballot(f"b{seat.number}", "s", seat.number, seat.panelist_id, 1, 1) for seat in what.seats)
    turns: dict[tuple[int, int, int], int] = {}
    answers = []
    for one in sorted(made.servings, key=lambda each: (each.seat, each.place)):
        if one.spare:
            continue
        at = (one.seat, one.age_seconds, one.replicate)
        turn = turns.get(at, 0)
        turns[at] = turn + 1
        said = answer(one, turn).items()
        answers += [Answer(f"b{one.seat}", one.id, question, value, 1) for question, value in said]
    return Held(what, made.servings, made.key, ballots, tuple(answers))
