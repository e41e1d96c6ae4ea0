"""How a set is smelt: the seconds it takes, and one source of the words.

Handbook values (hold and smell, pauses): common practice or our proposal, no published source; counted here by hand.
"""

from __future__ import annotations

import pytest

from evaluation import smelling
from evaluation.errors import ArgumentError


@pytest.mark.parametrize(
    ("strips", "by_hand"),
    [
        (1, 5 + 20),
        (2, 5 + 60 + 5 + 20),
        (3, 5 + 60 + 5 + 60 + 5 + 20),
        (5, 5 * 5 + 4 * 60 + 20),
    ],
)
def test_a_set_takes_its_sniffs_its_pauses_and_the_answer(strips: int, by_hand: int) -> None:
    assert smelling.set_seconds(strips) == by_hand


def test_three_strips_need_clearly_more_than_ninety_seconds() -> None:
    assert smelling.set_seconds(3) >= 90 + 60


def test_going_back_once_smells_every_strip_twice_with_all_pauses() -> None:
    assert smelling.set_seconds(2, rounds=2) == 4 * 5 + 3 * 60 + 20


def test_each_further_rating_takes_its_seconds() -> None:
    assert smelling.set_seconds(1, ratings=9) == 5 + 20 + 8 * 4


@pytest.mark.parametrize(
    "bad", [{"strips": 0}, {"strips": 13}, {"strips": 2, "rounds": 3}, {"strips": 2, "ratings": 0}]
)
def test_what_no_set_can_be_is_refused_with_the_range(bad: dict[str, int]) -> None:
    with pytest.raises(ArgumentError, match="must be"):
        smelling.set_seconds(**bad)
