"""What may be sealed of a session that separates changes, and that plans sealed before are spelt as they were."""

from __future__ import annotations

from itertools import combinations, product
from typing import Any

import pytest

from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical
from evaluation.kinds import Profile, Separation
from evaluation.kinds.separation import MOST_BOTTLES
from evaluation.planning.layouts import ALL, HALF, LAYOUTS, ONE_AT_A_TIME, QUARTER, combinations_of
from evaluation.statistics import factorial
from evaluation.store.translate import plan_of, plan_text
from tests.scenes import plan
from tests.separations import NAMES, separating, separation


def test_a_plan_without_the_part_is_spelt_as_before_and_one_with_it_is_read_back() -> None:
    before = plan(method="profile")
    assert b"separation" not in canonical(before)
    sealed = separating(separation(4, HALF, likely=("cedar:fig",)))
    assert plan_of(plan_text(sealed)) == sealed
    assert canonical(plan_of(plan_text(sealed))) == canonical(sealed)


@pytest.mark.parametrize(("changes", "layout"), [(2, ALL), (3, HALF), (4, HALF), (4, ALL), (5, QUARTER), (6, QUARTER)])
def test_aliases_are_those_of_the_statistics(changes: int, layout: str) -> None:
    own = separation(changes, layout)
    assert set(map(frozenset, own.aliases())) == set(
        map(frozenset, factorial(NAMES[:changes], LAYOUTS[layout]).aliases)
    )


def test_one_at_a_time_holds_the_base_and_each_change_alone() -> None:
    own = separation(3, ONE_AT_A_TIME)
    assert own.made == ("000", "100", "010", "001")
    assert own.one_at_a_time
    assert not own.full
    assert not own.holds_two_way
    assert not tuple(own.aliases())


@pytest.mark.parametrize("changes", [3, 4, 5])
@pytest.mark.parametrize("layout", [HALF, QUARTER])
def test_a_likely_pair_is_refused_exactly_where_it_shares_a_column_with_a_main_effect(
    changes: int, layout: str
) -> None:
    if layout == QUARTER and changes < 5:
        return
    rows = [[2 * int(digit) - 1 for digit in one] for one in combinations_of(layout, changes)]
    for one, two in combinations(range(changes), 2):
        pair = [row[one] * row[two] for row in rows]
        shared = any(
            all(row[at] == sign * both for row, both in zip(rows, pair, strict=True))
            for at, sign in product(range(changes), (1, -1))
        )
        likely = (f"{NAMES[one]}:{NAMES[two]}",)
        if shared:
            with pytest.raises(ArgumentError, match="which you hold likely"):
                separation(changes, layout, likely=likely)
        else:
            assert separation(changes, layout, likely=likely).likely == likely


@pytest.mark.parametrize(
    ("made", "message"),
    [
        (("00", "10"), "do not tell cedar from fig"),
        (("10", "01", "11"), "the base"),
        (("00", "10", "01", "01"), "every combination must have one bottle"),
        (("00", "11"), "do not tell cedar from fig"),
        (("00", "12"), "0 or 1"),
        ((), f"at most {MOST_BOTTLES}"),
    ],
)
def test_bottles_that_tell_nothing_are_refused(made: tuple[str, ...], message: str) -> None:
    with pytest.raises(ArgumentError, match=message):
        Separation(("cedar", "fig"), made)


@pytest.mark.parametrize(
    ("broken", "message"),
    [
        ({"medium": "skin"}, "on strips"),
        ({"people": 5, "own": separation(3, HALF)}, "all combinations only"),
        ({"people": 5, "own": separation(2, ALL, interactions=True)}, "not two together"),
        ({"own": separation(4, ALL), "replicates": 3}, "multiple of 4"),
        ({"own": separation(2, ALL), "minutes": (5, 30, 60, 120), "resmell": False}, "strips a nose and sitting"),
    ],
)
def test_what_such_a_session_cannot_be_is_refused(broken: dict[str, Any], message: str) -> None:
    broken = dict(broken)
    with pytest.raises(ArgumentError, match=message):
        separating(broken.pop("own", separation(2, ALL)), **broken)


def test_two_together_are_tested_only_where_no_other_effect_shares_their_column() -> None:
    assert separation(3, ALL, interactions=True).effects[-1] == "fig:salt"
    assert separation(5, HALF, interactions=True).holds_two_way
    for changes, layout in ((4, HALF), (3, ONE_AT_A_TIME)):
        with pytest.raises(ArgumentError, match="two changes together can be tested only"):
            separation(changes, layout, interactions=True)


def test_changes_are_separated_by_ratings_only() -> None:
    with pytest.raises(ArgumentError, match="not by a triangle"):
        plan(separation=separation(2, ALL))
    assert Profile.of(separating(separation(2, ALL))).sets_a_round == 4
