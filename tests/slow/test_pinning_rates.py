"""How often a change is wrongly called unfitting, and how often one smelt elsewhere is told: by the house's own families.

Windows are typed with each end off by a factor between a half and two. Triangles at five strip ages under one Holm
correction, and profiles of three descriptors whose family is that of the findings. ``--log-cli-level=INFO`` shows the table.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from itertools import permutations

import numpy as np
import pandas as pd
import pytest

from evaluation.counting.profiles import moves
from evaluation.deciding.evidence import MOVED, SECOND, Point, facts_of, point_of
from evaluation.deciding.pinning import foreseen, pinned
from evaluation.formulas import UNFITTING, Formula, Line, Material, difference
from evaluation.judging.verdicts import Rules, judge_tallies
from evaluation.statistics import profile_family
from tests.formulas.test_windows import AGES, CLASSES, elsewhere, typed
from tests.judging.test_verdicts import tally

pytestmark = pytest.mark.slow

LOG = logging.getLogger(__name__)
PAIR = ("one", "two")
RISK = Decimal("0.05")
PEOPLE = 24


@cache
def triangles(right: tuple[int, ...]) -> tuple[Point, ...]:
    judged = judge_tallies([tally(n, PEOPLE, age=float(age)) for age, n in zip(AGES, right, strict=True)], Rules())
    return tuple(point_of(one, PAIR, "strip") for one in judged)


def by_triangles(rng: np.random.Generator, true: str, share: float, runs: int) -> Iterator[tuple[Point, ...]]:
    """``share`` of the people notice inside the true window, nobody outside."""
    low, high = CLASSES[true]
    right = [1 / 3 + 2 / 3 * share if low <= age <= high else 1 / 3 for age in AGES]
    for row in rng.binomial(PEOPLE, right, (runs, len(AGES))):
        yield triangles(tuple(map(int, row)))


def by_profiles(rng: np.random.Generator, true: str, shift: float, runs: int) -> Iterator[tuple[Point, ...]]:
    """Ten people rate three descriptors of both trials at each age; one of them moves by ``shift`` points."""
    low, high = CLASSES[true]
    cells = [(p, word, age) for p in range(10) for word in ("woody", "green", "smoky") for age in AGES]
    effect = np.array([shift if word == "woody" and low <= age <= high else 0.0 for _, word, age in cells])
    for _ in range(runs):
        first = rng.normal(5, 1, len(cells))
        second = first + effect + rng.normal(0, 1, len(cells))
        rows = [(p, t, w, float(a), r) for t, side in (("7", first), ("8", second))
                for (p, w, a), r in zip(cells, side, strict=True)]  # fmt: skip
        frame = pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "age_minutes", "rating"])
        family = profile_family(frame, [("7", "8")])
        yield tuple(
            Point(MOVED, *PAIR, "strip", None, SECOND, True, facts_of(one), one.descriptor)
            for one in moves(family, 0.05, "7", "8")
        )


def word_of(window: Material, points: tuple[Point, ...]) -> tuple[str, bool]:
    """The word for one change whose material has this window, and whether anything moved."""
    rest = Material("rest", "Rest")
    with_it, without = (
        Formula((Line(window, Decimal(parts)), Line(rest, Decimal(90))), out_of=None) for parts in (2, 1)
    )
    before = foreseen(difference(without, with_it), ("7", "8"), tuple(map(Decimal, AGES)))
    found = pinned(before, points, PAIR, RISK)
    return found.changes[0].word, bool(found.moved)


LAWS = {
    "triangles": (by_triangles, (0.0, 0.3, 0.5), 2000),
    "profiles": (by_profiles, (0.0, 1.0, 2.0), 150),
}


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize("true", CLASSES)
def test_the_change_that_did_it_is_seldom_called_unfitting(law: str, true: str) -> None:
    """At most .05 of sessions, and four standard errors for chance."""
    drawn, effects, runs = LAWS[law]
    for effect in effects:
        rng = np.random.default_rng(20261127)
        words = [word_of(typed(rng, CLASSES[true]), points)[0] for points in drawn(rng, true, effect, runs)]
        wrong = words.count(UNFITTING)
        LOG.info(f"{law}, {true}, effect {effect}: the true change unfitting in {wrong} of {runs}")
        assert wrong / runs <= 0.05 + 4 * (0.05 * 0.95 / runs) ** 0.5


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize(("true", "other"), list(permutations(CLASSES, 2)))
def test_a_change_smelt_elsewhere_is_told_where_anything_was_found(law: str, true: str, other: str) -> None:
    drawn, effects, runs = LAWS[law]
    rng = np.random.default_rng(20261128)
    rows = [(typed(rng, CLASSES[other]), points) for points in drawn(rng, true, effects[-1], runs)]
    told = [(elsewhere(window, CLASSES[true]), *word_of(window, points)) for window, points in rows]
    moved = [(apart, word == UNFITTING) for apart, word, some in told if some]
    wholly = [word for apart, word in moved if apart]
    LOG.info(
        f"{law}, {other} instead of {true}: unfitting in {sum(w for _, w in moved)} of {len(moved)} where anything was "
        f"found; wholly elsewhere {sum(wholly)} of {len(wholly)}"
    )
    assert sum(wholly) >= 0.6 * len(wholly)
