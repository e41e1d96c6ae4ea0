"""How people of a panel differ (evaluation/judging/spread.py): scipy's beta-binomial and brute force as second routes."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import comb, prod

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import betabinom, binom

from evaluation.counting.tallies import Tally
from evaluation.judging.entries import Entry, Rules
from evaluation.judging.spread import Spread, spread_of
from evaluation.judging.verdicts import judge_tallies
from evaluation.wording import of_panels

SIX = (6, 2, 1, 6, 3, 2)


def judged(right: tuple[int, ...], asked: tuple[int, ...], method: str = "triangle", **rules: float) -> Entry:
    names = tuple(f"nose {i}" for i in range(len(right)))
    (entry,) = judge_tallies([Tally("x", method, 5, names, right, asked)], Rules(**rules))
    assert isinstance(entry, Entry)
    return entry


def spread(right: tuple[int, ...], asked: tuple[int, ...], method: str = "triangle", **rules: float) -> Spread:
    found = spread_of(judged(right, asked, method, **rules))
    assert found is not None
    return found


def test_mu_and_gamma_are_at_the_top_of_scipys_likelihood() -> None:
    """gamma = 1 / (a + b + 1), mu = a / (a + b)."""
    asked = (6,) * 6

    def lost(ab: np.ndarray) -> float:
        return -float(betabinom.logpmf(SIX, asked, *np.exp(ab)).sum())

    best = np.exp(minimize(lost, np.zeros(2), method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-12}).x)
    found = spread(SIX, asked)
    assert found.mu == pytest.approx(best[0] / best.sum(), abs=1e-4)
    assert found.gamma == pytest.approx(1 / (best.sum() + 1), abs=1e-4)
    # what to expect of a person: the mean of the beta posterior
    wanted = [(best[0] + x) / (best.sum() + n) for x, n in zip(SIX, asked, strict=True)]
    assert found.expected == pytest.approx(wanted, abs=1e-4)


def test_overdispersion_is_counted_out() -> None:
    """Given 20 right of 36, every panel of six weighed by its number of ways; the spread is Σ x²."""
    panels = [x for x in product(range(7), repeat=6) if sum(x) == sum(SIX)]
    weights = [prod(comb(6, one) for one in x) for x in panels]
    far = sum(w for x, w in zip(panels, weights, strict=True) if sum(o * o for o in x) >= sum(o * o for o in SIX))
    assert spread(SIX, (6,) * 6).overdispersion_p == pytest.approx(far / sum(weights))


def test_who_stands_out_is_counted_as_in_the_verdict() -> None:
    entry = judged(SIX, (6,) * 6)
    found = spread_of(entry)
    assert found is not None
    assert found.standing == (True, False, False, True, False, False)
    assert entry.stand_out == sum(found.standing)


def test_each_person_keeps_the_place_they_were_given_in() -> None:
    right, asked = (6, 2, 1, 3), (6, 5, 6, 3)
    there, back = spread(right, asked), spread(right[::-1], asked[::-1])
    assert there.expected == back.expected[::-1]
    assert there.standing == back.standing[::-1]
    assert replace(there, expected=(), standing=()) == replace(back, expected=(), standing=())


def test_one_answer_each_has_no_spread_and_neither_has_one_nose() -> None:
    assert spread_of(judged((1, 0, 1), (1, 1, 1))) is None
    assert spread_of(judged((7,), (12,))) is None
    assert spread_of(judged((700, 1), (2000, 2))) is None  # nobody smells 2000 sets


# --- people like this panel ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("people", range(2, 12))
def test_fewer_than_twelve_are_refused_with_their_number(people: int) -> None:
    """At least 12 panelists, our rule."""
    entry = judged((3,) * people, (6,) * people)
    found = spread_of(entry)
    assert found is not None
    assert (found.people_missing, found.people_verdict) == (12 - people, "")
    assert (found.people_low, found.people_high, found.people_maximum) == (None, None, None)
    more = "1 person" if people == 11 else f"{12 - people} people"
    assert f"that needs 12 people, {more} more than sat here" in of_panels.spread_lines(entry, found)[-1]


@pytest.mark.parametrize(("people", "each"), [(12, 6), (12, 12), (20, 4)])
def test_what_is_said_of_people_keeps_beta_where_few_always_notice(people: int, each: int) -> None:
    """Brute force: each person always notices with probability .3 and else guesses; the total's law by convolution."""
    found = spread((0,) * (people - 1) + (each,), (each,) * people)
    entry = judged((2,) * people, (each,) * people)
    assert found.people_maximum is not None
    assert entry.maximum_correct is not None
    one = 0.7 * binom.pmf(np.arange(each + 1), each, 1 / 3)
    one[each] += 0.3
    law = np.ones(1)
    for _ in range(people):
        law = np.convolve(law, one)
    assert law[: found.people_maximum + 1].sum() <= 0.05
    assert law[: entry.maximum_correct + 1].sum() > 0.05, "this panel's own limit would not do for people like it"
    assert found.people_maximum < entry.maximum_correct


@pytest.mark.parametrize(
    ("right", "word"), [((2,) * 12, "not noticed"), ((5,) * 12, "noticed"), ((3, 2) * 6, "undecided")]
)
def test_the_word_for_people_like_the_panel(right: tuple[int, ...], word: str) -> None:
    entry = judged(right, (6,) * 12)
    found = spread_of(entry)
    assert found is not None
    assert found.people_verdict == word
    assert entry.speaks_for == "this panel", "the verdict itself is never of people who were not there"
    assert found.people_low is not None
    assert (found.people_low > 0) == (word == "noticed")
    assert "picked from them by chance, which friends are not" in of_panels.spread_lines(entry, found)[-1]


def test_nothing_is_said_of_people_while_the_key_is_in_doubt() -> None:
    entry = judged((0,) * 12, (6,) * 12)
    found = spread_of(entry)
    assert found is not None
    assert (entry.reason, found.people_verdict) == ("check the key", "undecided")
    assert of_panels.spread_lines(entry, found)[-1].endswith("before that is cleared up.")


def test_alike_people_and_those_who_cannot_be_told() -> None:
    """Nobody differs where all counts are equal; with all right no distribution of people can be told apart."""
    assert spread((3,) * 6, (6,) * 6).gamma == 0.0
    entry = judged((6,) * 4, (6,) * 4)
    found = spread_of(entry)
    assert found is not None
    assert (found.gamma, found.overdispersion_p, found.expected) == (None, None, (None,) * 4)
    assert "cannot tell how much the people differ" in of_panels.spread_lines(entry, found)[1]
