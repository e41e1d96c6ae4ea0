"""Level and risk of the verdicts of small panels: sessions through the actions, and panels drawn from unequal people."""

from __future__ import annotations

import random
from math import sqrt
from typing import Any

import numpy as np
import pytest

from evaluation.clock import SteppedClock
from evaluation.counting.tallies import Tally
from evaluation.judging.entries import Entry, Rules
from evaluation.judging.spread import spread_of
from evaluation.judging.verdicts import judge_tallies
from tests import scenes
from tests.actions.test_findings_panels import found_of

pytestmark = pytest.mark.slow

SESSIONS = 200
PANELS = 20_000


def most(risk: float, of: int) -> float:
    """A risk, and four standard errors of a share of so many."""
    return risk + 4 * sqrt(risk * (1 - risk) / of)


def test_sessions_of_guesses_keep_alpha_of_verdict_and_null_sets() -> None:
    """Three people × 4 real and 4 null sets, all guessed through the ballot: 2-AFC, whose null is looked at both ways."""
    from evaluation.store import Notebook

    chance, said = random.Random(20261125), {"verdict": 0, "null": 0, "stands out": 0}
    for _ in range(SESSIONS):
        notebook: Any = Notebook.open(None, SteppedClock(step=1))
        scene = scenes.scene(notebook, people=3)
        found = found_of(scene, lambda *_: chance.random() < 1 / 2, method="2-afc", replicates=4, null_sets=4)
        notebook.close()
        (entry,) = found.entries
        assert isinstance(entry, Entry)
        assert found.null_control is not None
        said["verdict"] += entry.verdict.startswith("noticed")
        said["null"] += found.null_control.noticed
        said["stands out"] += bool(entry.stand_out)
    assert all(count / SESSIONS <= most(0.05, SESSIONS) for count in said.values()), said
    assert said["verdict"] > 0, "3 × 4 pairs have a true level of .019: two hundred of them show it"


def entry_of(right: Any, each: int) -> Entry:
    people = len(right)
    asked = (each,) * people
    (entry,) = judge_tallies([Tally("x", "triangle", 5, tuple(map(str, range(people))), tuple(right), asked)], Rules())
    assert isinstance(entry, Entry)
    return entry


@pytest.mark.parametrize(
    "shares",
    [(0.3,) * 8, (1.0, 1.0, 0.4, 0, 0, 0, 0, 0), (0.6, 0.6, 0.6, 0.6, 0, 0, 0, 0)],
    ids=["alike", "few", "half"],
)
def test_a_panel_that_notices_pd_is_called_small_at_most_at_beta(shares: tuple[float, ...]) -> None:
    """8 people × 15 whose mean share is the sealed .30, however they differ."""
    draw = np.random.default_rng(6)
    right = draw.binomial(15, 1 / 3 + np.array(shares) * 2 / 3, size=(PANELS, 8)).tolist()
    small = sum(entry_of(one, 15).verdict in ("not noticed", "noticed, but small") for one in right)
    assert 0 < small / PANELS <= most(0.05, PANELS)


def test_people_are_called_small_at_most_at_beta_where_panels_are_drawn_from_them() -> None:
    """People of whom 3 in 10 always notice; panels of 12 × 12 drawn from them. Their own limit would err far oftener."""
    draw, wrong, own = np.random.default_rng(7), 0, 0
    for _ in range(400):
        right = np.where(draw.random(12) < 0.3, 12, draw.binomial(12, 1 / 3, 12)).tolist()
        entry = entry_of(right, 12)
        spread = spread_of(entry)
        assert spread is not None
        wrong += spread.people_verdict in ("not noticed", "noticed, but small")
        own += entry.verdict in ("not noticed", "noticed, but small")
    assert wrong / 400 <= most(0.05, 400)
    assert own / 400 > most(0.05, 400)
