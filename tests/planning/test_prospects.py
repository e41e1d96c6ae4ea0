"""What a panel can find where several trials are compared.

Second routes: scipy.stats.nct (noncentral t) and direct integration over the chi law for the size that is found; the
project's own exact tests are asked for the least p of answers that all agree, and small laws are enumerated by hand.
"""

from __future__ import annotations

from decimal import Decimal
from itertools import permutations, product
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import integrate, stats

from evaluation.errors import ArgumentError
from evaluation.planning.prospects import judges_of, load_of, prospect_of, rows_of
from evaluation.sessions import Plan
from evaluation.statistics import preference_test, profile_differences, rank_test
from evaluation.statistics.ratings.paired import found_mean, smallest_mean
from evaluation.values.descriptors import Descriptor
from evaluation.wording.of_prospects import cannot_line, prospect_lines
from tests.scenes import RATED, ages, plan


def several(method: str, people: int = 8, trials: int = 3, minutes: tuple[float, ...] = (5,), **changes: Any) -> Plan:
    strip_ages = ages(*minutes)
    fields: dict[str, Any] = {
        "method": method,
        "other_trial_ids": tuple(f"trial-{number}" for number in range(9, 7 + trials)),
        "primary": strip_ages[0].seconds if len(minutes) == 1 else None,
    }
    if method == "profile":
        fields["descriptors"] = RATED
    return plan(people, minutes=minutes, **fields | changes)


# --- the size that is found ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("people", [2, 3, 6, 12, 30])
@pytest.mark.parametrize(("alpha", "beta"), [(0.05, 0.05), (0.01, 0.2), (0.05 / 120, 0.1)])
def test_the_smallest_mean_is_found_with_just_that_power(people: int, alpha: float, beta: float) -> None:
    size = smallest_mean(people, alpha, beta)
    limit = stats.t.isf(alpha / 2, people - 1)
    assert stats.nct.sf(limit, people - 1, size * people**0.5) == pytest.approx(1 - beta, abs=1e-9)


def test_the_power_by_integration_over_the_spread() -> None:
    """P(Z + noncentrality > t · s), s² a chi-square of 7 degrees over 7, integrated directly."""
    people, alpha, size = 8, 0.05, 1.2
    limit, freedom = stats.t.isf(alpha / 2, people - 1), people - 1

    def at(spread: float) -> float:
        beyond = stats.norm.sf(limit * spread - size * people**0.5)
        return float(beyond * stats.chi.pdf(spread * freedom**0.5, freedom) * freedom**0.5)

    assert found_mean(size, people, alpha) == pytest.approx(integrate.quad(at, 0, 8)[0], abs=1e-9)


@pytest.mark.parametrize(
    ("arguments", "words"), [((1, 0.05, 0.05), "people"), ((8, 0.0, 0.05), "alpha"), ((8, 0.05, 1.0), "beta")]
)
def test_arguments_out_of_range_are_named(arguments: tuple[int, float, float], words: str) -> None:
    with pytest.raises(ArgumentError, match=words):
        smallest_mean(*arguments)


def test_a_family_needs_more_than_a_row_and_at_most_bonferroni() -> None:
    found = prospect_of(several("profile", 12, 3, (5, 60), asks_liking=True))
    # (3 descriptors + strength + liking) × 2 ages × 3 pairs of trials
    assert found.rows == 30
    assert found.smallest_row == smallest_mean(12, 0.05, 0.05)
    assert found.smallest_family == smallest_mean(12, 0.05 / 30, 0.05)


def test_a_panel_that_finds_a_size_by_simulation() -> None:
    """4,000 panels of 10 normal differences: the sign flip finds the size told in about the share told."""
    size, people, draws = smallest_mean(10, 0.05, 0.2), 10, 4000
    rng = np.random.default_rng(20261125)
    panels = rng.normal(size, 1.0, (draws, people))
    signs = np.array(list(product([1.0, -1.0], repeat=people)))
    means = np.abs(panels @ signs.T)
    share = float(np.mean((means >= means[:, :1] - 1e-9).mean(axis=1) <= 0.05))
    # the binomial error of the share is .006; the sign flip and the t-test differ by less than .03 at 10 people
    assert share == pytest.approx(0.80, abs=0.04)


# --- the least p --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("people", [6, 7, 9])
def test_the_least_p_of_a_profile_is_that_of_answers_that_all_agree(people: int) -> None:
    rows = [
        (person, trial, word, 5.0, 1, 2.0 + (3.0 + person / 10) * (trial == "b"))
        for person in range(people)
        for trial in "ab"
        for word in ("woody", "green")
    ]
    frame = pd.DataFrame(rows, columns=["panelist", "trial", "descriptor", "age_minutes", "replicate", "rating"])
    table = profile_differences(frame, "a", "b").table
    least = prospect_of(several("profile", people, 2)).least_p
    assert least == pytest.approx(2 / 2**people)
    assert table["p_value"].min() == pytest.approx(least)
    assert table["p_family"].min() == pytest.approx(least)


@pytest.mark.parametrize(("people", "to_confirm"), [(1, True), (5, True), (6, False)])
def test_a_profile_of_fewer_than_six_describes_and_does_not_test(people: int, to_confirm: bool) -> None:
    found = prospect_of(several("profile", people, 2))
    assert found.can_be_sealed
    assert found.to_confirm == (("a descriptor moved",) if to_confirm else ())
    assert (found.least_p == 1.0) == to_confirm
    assert (found.smallest_row is None) == to_confirm


def test_five_people_may_not_test_even_where_alpha_is_large() -> None:
    # all five alike: 2 / 32 = .0625, under alpha .10, but rows of fewer than six stand outside the family
    assert prospect_of(several("profile", 5, 2, alpha=Decimal("0.10"))).to_confirm == ("a descriptor moved",)


def test_ticks_and_levels_alone_test_no_mean() -> None:
    words = (Descriptor("soapy", "check"), Descriptor("sweet", "level"))
    found = prospect_of(several("profile", 12, 2, descriptors=words, asks_strength=False))
    assert (found.rows, found.least_p, found.smallest_row) == (0, 1.0, None)
    assert "counted" in prospect_lines(found)[0]


@pytest.mark.parametrize(
    ("people", "trials", "changes", "rows", "judges"),
    [
        (8, 3, {}, 3, 8),
        (12, 4, {"pairs_each": 2}, 6, 4),  # 24 tastings over 6 pairs
        (10, 4, {"pairs_each": 2}, 6, 3),  # 20 over 6: 3 are sure
        (16, 8, {}, 28, 16),
    ],
)
def test_a_round_needs_so_many_votes_of_a_pair(
    people: int, trials: int, changes: dict[str, Any], rows: int, judges: int
) -> None:
    made = several("round", people, trials, **changes)
    found = prospect_of(made)
    assert (rows_of(made), judges_of(made)) == (rows, judges)
    alone = preference_test(judges, 0).p_value
    assert found.least_p == pytest.approx(min(1.0, alone * rows))
    reached = [votes for votes in range(judges + 1) if stats.binomtest(votes, judges).pvalue <= 0.05 / rows + 1e-15]
    reached = [votes for votes in reached if 2 * votes > judges]
    assert found.needed == (min(reached) if reached else None)
    assert found.to_confirm == (() if reached else ("a trial preferred",))


@pytest.mark.parametrize(("people", "trials"), [(2, 3), (3, 3), (4, 3), (2, 4)])
def test_the_least_p_of_a_ranking_by_enumeration(people: int, trials: int) -> None:
    tables = list(product(permutations(range(1, trials + 1)), repeat=people))
    alike = sum(len(set(table)) == 1 for table in tables) / len(tables)
    least = prospect_of(several("ranking", people, trials)).least_p
    assert least == pytest.approx(alike)
    assert rank_test([list(range(1, trials + 1))] * people).p_value == pytest.approx(least)


def test_an_expected_order_has_one_table_that_agrees_wholly() -> None:
    made = several("ranking", 4, 3)
    ordered = several("ranking", 4, 3, expected_order=made.trial_ids)
    found = prospect_of(ordered)
    page = rank_test([[1, 2, 3]] * 4, order=[0, 1, 2]).page
    assert page is not None
    assert found.least_p == pytest.approx(1 / 6**4) == pytest.approx(page.p_value)
    assert found.ordered


def test_two_people_can_rank_nothing_apart_and_confirm_it() -> None:
    # both alike: 1 / 3! = .167
    found = prospect_of(several("ranking", 2, 3))
    assert found.to_confirm == ("trials ranked apart",)
    assert "never show that trials are ranked apart" in cannot_line(found.to_confirm[0])


# --- what it asks of people ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("made", "strips", "each", "smellings", "at_once", "sittings", "ratings"),
    [
        # fresh strips: 2 trials × 3 ages; 4 ratings a strip (three words and strength)
        (several("profile", 8, 2, (5, 60, 360)), 48, 6, 6, 2, 3, 24),
        # smelt again: 2 strips each, 6 smellings
        (several("profile", 8, 2, (5, 60, 360), resmell=True), 16, 2, 6, 2, 3, 24),
        # and a warm-up strip at the first age
        (several("profile", 8, 2, (5, 60, 360), resmell=True, warm_up=True), 24, 3, 7, 3, 3, 28),
        # 6 trials three times: 18 strips at an age are two sittings
        (several("profile", 8, 6, replicates=3), 144, 18, 18, 18, 2, 72),
        (several("round", 8, 4), 96, 12, 12, 12, 1, 0),
        (several("round", 16, 8), 896, 56, 56, 56, 5, 0),
        (several("ranking", 8, 6), 48, 6, 6, 6, 1, 0),
    ],
)
def test_strips_smellings_sittings_and_ratings_are_counted(
    made: Plan, strips: int, each: int, smellings: int, at_once: int, sittings: int, ratings: int
) -> None:
    load = load_of(made)
    assert (load.strips, load.strips_each, load.smellings) == (strips, each, smellings)
    assert (load.at_once, load.sittings, load.ratings) == (at_once, sittings, ratings)
    assert load.preparer_minutes == -(-strips * 40 // 60)
    assert load.tapping_minutes == -(-ratings * 6 // 60)


def test_the_sentences_of_a_profile() -> None:
    said = prospect_lines(prospect_of(several("profile", 12, 2, (5, 60))))
    # 12 people: 1.14 standard deviations alone at power .95 (scipy.stats.nct, see above)
    assert said[0] == (
        f"A mean difference of {smallest_mean(12, 0.05, 0.05):.2f} standard deviations of people's differences is "
        "found with power 95 % if it is the only one tested."
    )
    assert said[1].startswith("Among all 8 differences tested together, at most ")
    assert "p < .001" in said[2]
    assert said[3] == "Sizes are approximations, by the noncentral t."
    assert "so few people may need more" in prospect_lines(prospect_of(several("profile", 8, 2)))[3]
    assert "Each nose rates 16 times, about 2 minutes of tapping (6 s each, our aim)." in said


def test_the_sentences_of_a_round_say_what_camps_need() -> None:
    once = prospect_lines(prospect_of(several("round", 8, 3)))
    assert once[0].startswith("8 people answer about a pair, and 8 must prefer the same trial")
    assert "cannot be told from indifference" in once[1]
    assert "looked for" in prospect_lines(prospect_of(several("round", 8, 3, replicates=2)))[1]
    few = prospect_lines(prospect_of(several("round", 6, 3)))
    # six alike: 2/64, three times for three pairs
    assert "too few to show a preference, however much they agree (p = .094 at the least" in few[0]


def test_a_tiring_round_says_how_many_sittings_it_takes() -> None:
    said = prospect_lines(prospect_of(several("round", 16, 8)))
    assert any(line.startswith("A nose smells up to 56 at one age") and "5 sittings" in line for line in said)


def test_places_on_skin_are_told_beside_strips() -> None:
    made = several("profile", 8, 2, (5, 60), medium="strip and skin", skin_ages=ages(30), resmell=True)
    load = load_of(made)
    # two strips smelt at two ages, two places at one
    assert (load.strips, load.strips_each, load.places_each, load.smellings) == (16, 2, 2, 6)
    assert "Each nose: 2 strips and 2 places on skin, smelt 6 times in all." in prospect_lines(prospect_of(made))
    skin = several("ranking", 8, 3, medium="skin")
    assert (load_of(skin).strips, load_of(skin).preparer_minutes) == (0, 0)
    assert "Each nose: 3 places on skin." in prospect_lines(prospect_of(skin))
