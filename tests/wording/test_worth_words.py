"""The next smelling by its worth in words: the model is named, and each of the two limits ends the search by itself."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import numpy as np
import pytest

from evaluation.deciding.worth import NextByWorth, Standing, Tonight, given_away
from evaluation.values.trials import Trial
from evaluation.wording import of_worth

DAY = date(2026, 1, 5)


def believed(
    chance: float, lost: float, asked: tuple[tuple[tuple[str, str], ...], ...] = ((("a", "b"),),)
) -> NextByWorth:
    trials = tuple(
        Trial(one, "brief", f"{at}", None, "", Decimal(10), DAY, DAY, "", at) for at, one in enumerate("abc", start=7)
    )
    standing = Standing((0, 1, 2), np.array([chance, 1 - chance, 0.0]), 0, lost)
    return NextByWorth("brief", trials, standing, Tonight(("x",), 12), 3, 18, 2, asked, 77)


def test_a_merit_is_told_as_choices_won() -> None:
    """.253 is 60 of 100, .524 is 70 (the normal table)."""
    assert [round(100 * given_away(merit)) for merit in (0.0, 0.10, 0.253, 0.524)] == [50, 54, 60, 70]


@pytest.mark.parametrize(
    ("chance", "lost", "why"),
    [(0.95, 0.2, "with chance 95 % it is the best"), (0.5, 0.05, "by no more than 52 to 48 choices")],
)
def test_either_limit_ends_the_search_with_a_final(chance: float, lost: float, why: str) -> None:
    said = of_worth.stop_line(believed(chance, lost))
    assert said.startswith("Stop searching and hold a final about trial 7: ")
    assert why in said
    assert "only fresh answers" in said


def test_between_the_limits_one_goes_on() -> None:
    said = of_worth.stop_line(believed(0.5, 0.253))
    assert said.startswith("Go on searching. Of trial 7, taken now, one would expect the best trial to win by 60 to 40")
    assert "54 to 46 or closer" in said


def test_the_belief_names_the_model_what_it_saw_and_the_chance() -> None:
    assert of_worth.belief_line(believed(0.5, 0.2)) == (
        "The model has seen 18 preferences from 2 opened sessions. For the 3 people of this panel it holds trial 7 to be "
        "the best of 3 trials with chance 50 %."
    )
    assert "never a verdict" in of_worth.MODELS


def test_pairs_strips_and_seed_are_told() -> None:
    found = believed(0.5, 0.2, ((("a", "b"), ("a", "b")), (("a", "b"), ("b", "c"))))
    assert [of_worth.pair_line(one, found) for one in found.pairs] == [
        "Trials 7 and 8: 3 times, by 2 noses",
        "Trials 8 and 9: once, by 1 nose",
    ]
    assert of_worth.takes_line(found).startswith("2 noses, 2 pairs each: 8 strips, about 6 minutes")
    assert "seed 77" in of_worth.seed_line(found)
