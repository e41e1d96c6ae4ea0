"""Pairs proposed for the noses and strips of tonight: shares against the chances of two draws, and what always holds."""

from __future__ import annotations

from collections import Counter
from itertools import permutations

import numpy as np
import pytest

from evaluation.deciding.top_two import MOST_AT_ONCE, pair_shares, pairs_each, pairs_tonight
from evaluation.deciding.worth import Standing, standing
from evaluation.errors import ArgumentError
from evaluation.statistics import brief_merits

CHANCES = (0.5, 0.3, 0.15, 0.05)


def test_shares_are_those_of_two_draws_one_after_the_other() -> None:
    """By enumeration: the first by its chance, the second by its chance among the rest."""
    counted = np.zeros((4, 4))
    for one, other in permutations(range(4), 2):
        counted[min(one, other), max(one, other)] += CHANCES[one] * CHANCES[other] / (1 - CHANCES[one])
    assert pair_shares(np.array(CHANCES), range(4)) == pytest.approx(counted)
    assert counted.sum() == pytest.approx(1)


def test_pairs_come_as_often_as_their_share_to_less_than_one() -> None:
    wanted = pair_shares(np.array(CHANCES), range(4)) * 30
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
    assert Standing((0, 1), np.array([1 - chance, chance]), 1, lost).stop is stops


def test_a_dropped_trial_is_never_proposed_and_its_chance_goes_to_the_others() -> None:
    wins = np.zeros((1, 4, 4), dtype=int)
    wins[0, 3] = [5, 5, 5, 0]
    merits = brief_merits(wins, [None, 0, 1, 2])
    whole, less = standing(merits), standing(merits, {3})
    assert (whole.pick, whole.foreseen_loss) == (3, merits.foreseen_loss)
    assert whole.best_chance == pytest.approx(merits.best_chance)
    assert less.best_chance[3] == 0
    assert less.best_chance.sum() == pytest.approx(1)
    assert all(3 not in (one.first, one.second) for one in pairs_tonight(less.best_chance, 2, 6, 1, {3}))


def test_two_sure_trials_leave_room_for_a_third() -> None:
    """A round has three trials at least; with two in the running there are only these."""
    asked = pairs_tonight([0.5, 0.5, 0.0], 1, 6, 1)
    assert {trial for one in asked for trial in (one.first, one.second)} == {0, 1, 2}
    assert {(one.first, one.second) for one in pairs_tonight([0.5, 0.5, 0.0], 1, 6, 1, {2})} == {(0, 1)}


@pytest.mark.parametrize(
    ("strips", "minutes", "pairs"),
    [(12, None, 6), (13, None, 6), (2, None, 1), (12, 2, 1), (12, 6, 2), (12, 10, 2), (12, 24, 6), (12, 23, 5)],
)
def test_pairs_fit_strips_and_minutes(strips: int, minutes: int | None, pairs: int) -> None:
    """A pair takes 90 s, three minutes lie between two pairs: by hand 90, 360, 630, …, 1440 s."""
    assert pairs_each(strips, minutes) == pairs


def test_one_trial_left_is_no_choice() -> None:
    with pytest.raises(ArgumentError, match="trials in the running"):
        pairs_tonight([0.5, 0.5], 1, 1, 1, {0})


@pytest.mark.parametrize(("noses", "each", "named"), [(0, 6, "noses"), (1, 0, "pairs each")])
def test_no_noses_or_no_strips_are_refused(noses: int, each: int, named: str) -> None:
    with pytest.raises(ArgumentError, match=named):
        pairs_tonight(CHANCES, noses, each, 1)
