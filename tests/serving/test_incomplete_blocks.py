"""Balanced incomplete blocks, counted: every two bottles meet equally often, and each nose smells every bottle."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import pytest

from evaluation.kinds import Separation
from evaluation.kinds.separation import BLOCKS, STRIPS_A_SITTING
from evaluation.planning.layouts import ALL, ONE_AT_A_TIME, combinations_of
from evaluation.serving.blinding import draw
from evaluation.serving.incomplete_blocks import classes_of, met_in_a_sitting
from evaluation.sessions import TRIAL_LETTERS
from tests.scenes import SEED
from tests.separations import separating, separation

# Points, blocks, replications of each point, size, meetings of two, of the plain design (Cochran & Cox 1957, Experimental
# Designs, ch. 11: from memory). Seven is served three times over, so that each nose has the lines through one bottle.
PLAIN = {7: (21, 9, 3, 3), 8: (14, 7, 4, 3), 16: (20, 5, 4, 1)}


@pytest.mark.parametrize("bottles", sorted(BLOCKS))
def test_every_two_bottles_meet_equally_often(bottles: int) -> None:
    blocks = [block for one in classes_of(bottles) for block in one]
    met = Counter(pair for block in blocks for pair in combinations(sorted(block), 2))
    served = Counter(at for block in blocks for at in block)
    assert len(met) == bottles * (bottles - 1) // 2
    number, often, size, together = PLAIN[bottles]
    assert (len(blocks), {*served.values()}, {*map(len, blocks)}) == (number, {often}, {size})
    assert {*met.values()} == {together}
    assert number * size == bottles * often
    assert together * (bottles - 1) == often * (size - 1)
    assert (size, len(classes_of(bottles)[0])) == BLOCKS[bottles]


@pytest.mark.parametrize("bottles", sorted(BLOCKS))
def test_each_class_holds_every_bottle(bottles: int) -> None:
    for one in classes_of(bottles):
        assert {at for block in one for at in block} == set(range(bottles))


@pytest.mark.parametrize("bottles", [4, *sorted(BLOCKS)])
def test_meetings_are_even_after_a_whole_round_of_noses(bottles: int) -> None:
    whole = len(classes_of(bottles))
    rarest, most = met_in_a_sitting(bottles, whole)
    assert rarest == most > 0
    assert met_in_a_sitting(bottles, 2 * whole) == (2 * rarest, 2 * most)


@pytest.mark.parametrize(
    "own", [separation(2, ALL), separation(3, ALL), separation(6, ONE_AT_A_TIME), separation(4, ALL)]
)
@pytest.mark.parametrize("resmell", [True, False])
def test_what_is_drawn_keeps_to_the_blocks(own: Separation, resmell: bool) -> None:
    plan = separating(own, people=7, minutes=(5, 60), resmell=resmell)
    ids = iter(range(10_000))
    drawn = draw(plan, SEED, lambda: f"s{next(ids)}")
    letters = dict(drawn.key.orders)
    blocks = {frozenset(block) for one in classes_of(len(own.made)) for block in one}
    for seat in range(1, 8):
        mine = [one for one in drawn.servings if one.seat == seat]
        assert [one.place for one in mine] == list(range(1, len(mine) + 1))
        assert [one.replicate for one in mine] == sorted(one.replicate for one in mine)  # sitting after sitting
        for sitting in range(1, plan.replicates + 1):
            for age in plan.ages:
                here = [one for one in mine if (one.replicate, one.age_seconds) == (sitting, age.seconds)]
                assert frozenset(TRIAL_LETTERS.index(letters[one.id]) for one in here) in blocks
            codes = {one.codes for one in mine if one.replicate == sitting}
            assert len(codes) == own.strips_a_sitting * (1 if resmell else 2) <= STRIPS_A_SITTING
        assert {letters[one.id] for one in mine} == {*TRIAL_LETTERS[: len(own.made)]}


def test_of_two_weighings_a_nose_smells_one_in_a_sitting_and_the_panel_both() -> None:
    own = Separation(("cedar", "fig"), combinations_of(ALL, 2) * 2)
    ids = iter(range(10_000))
    drawn = draw(separating(own, people=8), SEED, lambda: f"s{next(ids)}")
    letters = dict(drawn.key.orders)
    for seat in range(1, 9):
        mine = [TRIAL_LETTERS.index(letters[one.id]) for one in drawn.servings if one.seat == seat]
        assert sorted(own.made[at] for at in mine) == sorted(own.combinations)
    assert len({letters[one.id] for one in drawn.servings}) == 8


def test_orders_of_two_people_are_drawn_apart() -> None:
    """Over many seeds the first strip of one nose says nothing of that of another: all pairs of letters come."""
    seen = set()
    for number in range(120):
        ids = iter(range(10_000))
        seed = number.to_bytes(32, "big")
        drawn = draw(separating(separation(2, ALL)), seed, lambda ids=ids: f"s{next(ids)}")
        letters = dict(drawn.key.orders)
        first = {one.seat: letters[one.id] for one in drawn.servings if one.place == 1}
        seen.add((first[1], first[2]))
    assert len(seen) == 16
