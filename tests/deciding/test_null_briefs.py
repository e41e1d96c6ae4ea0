"""Briefs in which nothing differs, through the real rules: nothing is ever proposed to be kept, and a lead is told with
the number of comparisons it was found among. The short form of ``tests/slow/test_null_briefs_many.py``."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

import numpy as np
import pytest
from scipy import stats

from evaluation import statistics
from evaluation.deciding.claims import Asked
from evaluation.deciding.evidence import SessionShown, TrialShown
from evaluation.deciding.proposals import LEAD, proposal
from evaluation.wording.of_decisions import beside, headline, would_change
from tests import made_briefs
from tests.made_briefs import Votes

PEOPLE, TRIALS = 12, 13
SHAPES = ("chain", "star")
KEEPS = re.compile(r"\bKeep\b|\bkeep trials?\b")


def coins(draw: np.random.Generator, people: int = PEOPLE) -> Votes:
    """Votes of people who like both alike and must choose."""
    first = int(draw.binomial(people, 0.5))
    return first, people - first, 0


def searched(draw: np.random.Generator, made: Sequence[TrialShown], *, nearer: bool) -> list[SessionShown]:
    """Every trial against the one it was made from, once."""
    return [
        made_briefs.preference(place, (one.parent_id or "", one.id), coins(draw), coins(draw) if nearer else None)
        for place, one in enumerate(made[1:], start=1)
    ]


def words_of_null_briefs(shape: str, briefs: int, *, nearer: bool, seed: int) -> Counter[str]:
    """How often each word is proposed; every brief is held to what may be said of it."""
    draw, made = np.random.default_rng(seed), made_briefs.trials(TRIALS, shape)
    told: Counter[str] = Counter()
    for _ in range(briefs):
        seen = made_briefs.brief(made, searched(draw, made, nearer=nearer))
        found = proposal(seen)
        told[found.word] += 1
        said = " ".join((headline(found, seen), *beside(found, seen), *would_change(found, seen)))
        assert not KEEPS.search(said), said
        assert found.word != LEAD or f"found among {TRIALS - 1} comparisons" in said
    return told


def leads_when_followed(people: int, sessions: int, briefs: int, *, nearer: bool, seed: int) -> list[float]:
    """One pair of equal trials smelt again until it leads: share of briefs with a lead after 1, 2, … sessions."""
    draw, made = np.random.default_rng(seed), made_briefs.trials(2)
    first = [sessions + 1] * briefs
    for place in range(briefs):
        held: list[SessionShown] = []
        for number in range(1, sessions + 1):
            asked = coins(draw, people) if nearer else None
            held.append(made_briefs.preference(number, ("t0", "t1"), coins(draw, people), asked))
            if proposal(made_briefs.brief(made, held)).word == LEAD:
                first[place] = number
                break
    return [sum(one <= number for one in first) / briefs for number in range(1, sessions + 1)]


@pytest.mark.parametrize("shape", SHAPES)
def test_of_equal_trials_none_is_proposed_to_be_kept(shape: str) -> None:
    told = words_of_null_briefs(shape, 1000, nearer=True, seed=26)
    assert told["keep"] == 0
    assert told[LEAD] > 0  # chance does make leads: that is why they are no more than that


def risk_of_one_side(people: int) -> float:
    """The exact chance of a preference for the first of two equal trials, from the binomial law itself."""
    least = min(n for n in range(people + 1) if 2 * stats.binom.sf(n - 1, people, 0.5) <= 0.05)
    return float(stats.binom.sf(least - 1, people, 0.5))


@pytest.mark.parametrize("people", [6, 8, 12, 20, 40])
def test_a_pair_followed_for_ever_leads_no_more_often_than_the_bound(people: int) -> None:
    """Exactly, by the states of the walk: shown for one side so often, in vain so often; the bound of ``Asked``."""
    side = risk_of_one_side(people)
    assert side == pytest.approx(statistics.preference_power(people, 0.05, 0.5) / 2)
    states, led = {(0, 0, 0): 1.0}, 0.0
    for _ in range(60):
        after: Counter[tuple[int, int, int]] = Counter()
        for (one, other, none), chance in states.items():
            after[one + 1, other, none] += chance * side
            after[one, other + 1, none] += chance * side
            after[one, other, none + 1] += chance * (1 - 2 * side)
        led += sum(chance for counts, chance in after.items() if Asked(*counts).leads)
        states = {counts: chance for counts, chance in after.items() if not Asked(*counts).leads}
    assert 2 * side <= led <= 2 * side / (1 - side) <= 0.05 / (1 - 0.05 / 2)


def test_a_pair_followed_through_eight_sessions_stays_at_the_risk_of_one() -> None:
    """Before leads: .14 after four sessions and .26 after eight were proposed to be kept."""
    after = leads_when_followed(PEOPLE, 8, 400, nearer=False, seed=8)
    assert after[-1] <= stats.binom.ppf(0.9999, 400, 0.0513) / 400
