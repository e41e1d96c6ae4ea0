"""Level and power of the whole live procedure: sessions sealed, smelt, looked at, closed and opened by the actions."""

from __future__ import annotations

import random
from collections.abc import Callable
from decimal import Decimal
from math import sqrt
from typing import Any

import pytest

from evaluation.actions import bench, findings, looks, solo
from evaluation.clock import SteppedClock
from evaluation.judging.sequences import CONTINUE, SequentialEntry
from evaluation.statistics import sequential_plan
from tests import scenes
from tests.actions import test_looks as played
from tests.actions import test_solo as alone

pytestmark = pytest.mark.slow

SESSIONS = 150
SOLO_SESSIONS = 40


def near(seen: int, risk: float, of: int) -> bool:
    """Within four standard errors of a share of so many."""
    return abs(seen / of - risk) <= 4 * sqrt(risk * (1 - risk) / of)


def panel_sessions(proportion: float, seed: int, **changes: Any) -> list[SequentialEntry]:
    from evaluation.store import Notebook

    chance, found = random.Random(seed), []
    for _ in range(SESSIONS):
        notebook: Any = Notebook.open(None, SteppedClock(step=1))
        found.append(played.ending(notebook, proportion, chance, **changes))
        notebook.close()
    return found


def test_guessing_panels_are_noticed_as_often_as_the_plan_says() -> None:
    plan = sequential_plan("triangle", 0.05, 0.05, 0.5, look_every=6, max_assessments=24)
    found = panel_sessions(1 / 3, 1)
    noticed = sum(one.verdict == "noticed" for one in found)
    assert near(noticed, plan.alpha_exact, SESSIONS), noticed
    assert noticed > 0
    mean = sum(one.assessments for one in found) / SESSIONS
    assert abs(mean - plan.expected_at_null) < 1.0


def test_panels_that_notice_are_found_as_often_as_the_plan_says() -> None:
    plan = sequential_plan("triangle", 0.05, 0.05, 0.5, look_every=6, max_assessments=24)
    found = panel_sessions(1 / 3 + 0.5 * 2 / 3, 2)
    ends = plan.operating(0.5)
    assert near(sum(one.verdict == "noticed" for one in found), ends.noticed, SESSIONS)
    assert near(sum(one.verdict == "not noticed" for one in found), ends.not_noticed, SESSIONS)
    assert abs(sum(one.assessments for one in found) / SESSIONS - plan.expected_at_pd) < 1.0


def test_guesses_with_losses_and_early_closing_keep_alpha() -> None:
    """Sets spoilt before and after their look, people set apart, and a session closed whenever it pleases."""
    from evaluation.store import Notebook

    chance, noticed = random.Random(3), 0
    for _ in range(SESSIONS):
        notebook: Any = Notebook.open(None, SteppedClock(step=1))
        noticed += spoilt(notebook, chance).verdict == "noticed"
        notebook.close()
    assert noticed / SESSIONS <= 0.05 + 4 * sqrt(0.05 * 0.95 / SESSIONS), noticed


def spoilt(notebook: Any, chance: random.Random) -> SequentialEntry:
    table = played.Table(scenes.scene(notebook, people=24))
    leave_at = chance.randint(6, 24)
    for seat in range(1, leave_at + 1):
        table.smell(seat, chance.random() < 1 / 3)
        if chance.random() < 0.1:
            bench.void_serving(notebook, table.id, table.serving(seat), "spoilt")
            table.smell(seat, chance.random() < 1 / 3)
        if chance.random() < 0.1:
            bench.note_deviation(notebook, table.id, chance.randint(1, seat), "wrong strip", "seen late")
        if table.status().state != CONTINUE:
            break
    return table.found()


def guesses(chance: random.Random, order: str, codes: tuple[str, ...]) -> str:
    return chance.choice(codes)


def notices_half(chance: random.Random, order: str, codes: tuple[str, ...]) -> str:
    return alone.odd(order, codes) if chance.random() < 0.5 else chance.choice(codes)


@pytest.mark.parametrize(("nose", "pd"), [(guesses, 0.0), (notices_half, 0.5)])
def test_alone_the_whole_flow_ends_as_often_as_the_plan_says(nose: Callable[..., str], pd: float) -> None:
    """Laid out, answered, put away, marks of each sitting entered, looked at, and closed as soon as a look says so."""
    from evaluation.store import Notebook

    plan = sequential_plan("triangle", 0.05, 0.05, 0.5, look_every=4, max_assessments=16)
    noticed = not_noticed = 0
    for seed in range(SOLO_SESSIONS):
        clock = SteppedClock(step=1)
        notebook: Any = Notebook.open(None, clock)
        entry = smelt_alone(notebook, clock, alone.Person(seed, nose))
        noticed += entry.verdict == "noticed"
        not_noticed += entry.verdict == "not noticed"
        notebook.close()
    ends = plan.operating(pd)
    assert near(noticed, ends.noticed, SOLO_SESSIONS), noticed
    assert not_noticed <= SOLO_SESSIONS * ends.not_noticed + 4 * sqrt(SOLO_SESSIONS * 0.25)


def smelt_alone(notebook: Any, clock: SteppedClock, person: alone.Person) -> SequentialEntry:
    plan = {"solo": True, "replicates": 16, "look_every": 4, "pd": Decimal("0.5")}
    session = scenes.scene(notebook, people=1).sealed(**plan)
    while (step := solo.next_step(notebook, session.id)).kind != "done":
        over = step.session.state == "smelling" and looks.status(notebook, session.id).state != CONTINUE
        if over and step.kind in ("rest", "lay out", "close"):
            bench.close(notebook, session.id)
        else:
            alone.take(notebook, session.id, person, clock, step)
    entry = findings.findings(notebook, session.id).found[0].sequence
    assert entry is not None
    return entry
