"""Pairs proposed for the noses and strips of tonight: shares against the chances of two draws, and what always holds."""

from __future__ import annotations

from collections import Counter
from itertools import permutations

import numpy as np
import pytest

from evaluation.deciding.worth import MOST_AT_ONCE, enough, pair_shares, pairs_tonight
from evaluation.errors import ArgumentError

CHANCES = (0.5, 0.3, 0.15, 0.05)


def test_shares_are_those_of_two_draws_one_after_the_other() -> None:
    """By enumeration: the first by its chance, the second by its chance among the rest."""
    counted = np.zeros((4, 4))
    for one, other in permutations(range(4), 2):
        counted[min(one, other), max(one, other)] += CHANCES[one] * CHANCES[other] / (1 - CHANCES[one])
    assert pair_shares(np.array(CHANCES)) == pytest.approx(counted)
    assert counted.sum() == pytest.approx(1)


def test_pairs_come_as_often_as_their_share_to_less_than_one() -> None:
    wanted = pair_shares(np.array(CHANCES)) * 30
    for seed in range(20):
        asked = Counter((one.first, one.second) for one in pairs_tonight(CHANCES, 5, 6, seed))
        assert all(abs(asked[one, other] - wanted[one, other]) < 1 for one in range(4) for other in range(one + 1, 4))


@pytest.mark.parametrize("noses", [1, 3, 5])
def test_every_nose_gets_its_number_of_pairs(noses: int) -> None:
    asked = pairs_tonight(CHANCES, noses, 6, 1)
    assert Counter(one.nose for one in asked) == dict.fromkeys(range(noses), 6)
    assert all(0 <= one.first < one.second < 4 for one in asked)


def test_the_same_seed_proposes_the_same() -> None:
    assert pairs_tonight(CHANCES, 3, 6, 7) == pairs_tonight(CHANCES, 3, 6, 7)
    assert len({pairs_tonight(CHANCES, 3, 6, seed) for seed in range(5)}) > 1


def test_a_sure_trial_is_still_set_against_others() -> None:
    asked = pairs_tonight([1.0, 0.0, 0.0], 2, 6, 1)
    assert all(one.first == 0 for one in asked)
    assert {one.second for one in asked} == {1, 2}


def test_no_more_trials_than_one_session_holds() -> None:
    asked = pairs_tonight(np.full(12, 1 / 12), 5, 6, 2)
    assert len({trial for one in asked for trial in (one.first, one.second)}) <= MOST_AT_ONCE


@pytest.mark.parametrize(
    ("lost", "chance", "stops"), [(0.10, 0.2, True), (0.11, 0.89, False), (0.3, 0.90, True), (0.101, 0.899, False)]
)
def test_searching_ends_at_either_limit(lost: float, chance: float, stops: bool) -> None:
    assert enough(lost, chance) is stops


@pytest.mark.parametrize(("noses", "each", "named"), [(0, 6, "noses"), (1, 0, "pairs each")])
def test_no_noses_or_no_strips_are_refused(noses: int, each: int, named: str) -> None:
    with pytest.raises(ArgumentError, match=named):
        pairs_tonight(CHANCES, noses, each, 1)
