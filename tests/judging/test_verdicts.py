"""The rule (evaluation/judging/verdicts.py) against a second, naive writing of the rules in DEVELOPERS.md."""

from __future__ import annotations

from dataclasses import fields, replace
from fractions import Fraction
from functools import reduce
from itertools import combinations_with_replacement
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta as beta_law
from scipy.stats import binom, binomtest

from evaluation.errors import ArgumentError, KindError
from evaluation.judging.verdicts import Entry, PreferenceEntry, PreferenceTally, Rules, Tally, judge_tallies, rules_of
from tests.holm import multipletests
from tests.scenes import ages, plan

# One in as many answers as a set allows, all of them as likely: of five strips two can be named in 5 · 4 / 2 = 10 ways, four
# be put into two pairs in 3.
GUESSING = {
    "triangle": Fraction(1, 3),
    "duo-trio": Fraction(1, 2),
    "tetrad": Fraction(1, 3),
    "2-afc": Fraction(1, 2),
    "3-afc": Fraction(1, 3),
    "two-out-of-five": Fraction(1, 10),
}


def tally(
    correct: int, asked: int, method: str = "triangle", age: float | str = 30.0, name: str = "7 against 8"
) -> Tally:
    """One answer per person, the first ``correct`` of them right."""
    people = tuple(f"person {i}" for i in range(asked))
    return Tally(name, method, age, people, (1,) * correct + (0,) * (asked - correct), (1,) * asked)


def votes(first: int, second: int, none: int = 0, age: float | str = 30.0) -> PreferenceTally:
    kinds = [(1, 0, 0)] * first + [(0, 1, 0)] * second + [(0, 0, 1)] * none
    one, two, tie = (tuple(column) for column in zip(*kinds, strict=True)) if kinds else ((), (), ())
    people = tuple(f"person {i}" for i in range(len(kinds)))
    return PreferenceTally("7 against 8", "preference", age, people, one, two, tie)


def judged(one: Tally, **rules: Any) -> Entry:
    (entry,) = judge_tallies([one], Rules(**rules))
    assert isinstance(entry, Entry)
    return entry


def preferred(one: PreferenceTally, **rules: Any) -> PreferenceEntry:
    (entry,) = judge_tallies([one], Rules(**rules))
    assert isinstance(entry, PreferenceEntry)
    return entry


# --- the four words, every count ----------------------------------------------------------------------------------


def naive(asked: int, method: str, alpha: float, beta: float, pd: float) -> list[tuple[str, str]]:
    """The rule as the page words it, for every count, with scipy's distribution and no shortcuts."""
    guess = GUESSING[method]
    counts = np.arange(asked + 1)
    lower, upper = binom.cdf(counts, asked, float(guess)), binom.sf(counts - 1, asked, float(guess))
    similar = counts[binom.cdf(counts, asked, float(guess + Fraction(str(pd)) * (1 - guess))) <= beta * (1 + 1e-9)]
    most = max(similar) if len(similar) and int(max(similar)) >= guess * asked else -1
    words = {(True, True): "noticed, but small", (True, False): "noticed", (False, True): "not noticed"}
    backwards = "reversed" if method in ("2-afc", "3-afc") else "check the key"
    return [
        ("undecided", backwards)
        if lower[x] <= alpha * (1 + 1e-9)
        else (words.get((bool(upper[x] <= alpha * (1 + 1e-9)), bool(x <= most)), "undecided"), "")
        for x in counts
    ]


@pytest.mark.parametrize("method", list(GUESSING))
@pytest.mark.parametrize(("alpha", "beta", "pd"), [(0.05, 0.05, 0.30), (0.10, 0.20, 0.20), (0.01, 0.05, 0.5)])
def test_every_count_gets_the_word_of_the_naive_rule(method: str, alpha: float, beta: float, pd: float) -> None:
    for asked in (1, 2, 3, 5, 6, 8, 12, 20, 31, 60, 120):
        every = [tally(correct, asked, method, name=f"{correct}") for correct in range(asked + 1)]
        entries = judge_tallies(every, Rules(alpha, beta, pd))
        assert [(e.verdict, e.reason) for e in entries] == naive(asked, method, alpha, beta, pd), asked  # type: ignore[union-attr]


def test_all_four_words_occur() -> None:
    """Triangle, 200 people: 67 is guessing; 79 and more are noticed; with pd .30 up to 93 support few noticers."""
    assert [judged(tally(x, 200)).verdict for x in (67, 80, 110)] == ["not noticed", "noticed, but small", "noticed"]
    assert judged(tally(6, 12)).verdict == "undecided"


def test_eleven_of_twenty_is_noticed() -> None:
    """J. Soc. Cosmet. Chem. 22 (1971) p. 214: 11 of 20 in the triangle, p = .037637 (read; row d-jscc-20-11)."""
    entry = judged(tally(11, 20))
    assert entry.p_value == pytest.approx(0.037637, abs=5e-7)
    assert (entry.verdict, entry.minimum_correct) == ("noticed", 11)


@pytest.mark.parametrize(
    ("asked", "needed"), [(6, 5), (8, 6), (10, 7), (12, 8), (18, 10), (24, 13), (30, 15), (60, 27)]
)
def test_fewest_correct_of_the_triangle_table(asked: int, needed: int) -> None:
    """FAO guidelines V7180E, Appendix A, alpha .05 (the numbers of ISO 4120 Table A.1)."""
    assert judged(tally(needed, asked)).verdict in ("noticed", "noticed, but small")
    assert judged(tally(needed - 1, asked)).minimum_correct == needed
    assert not judged(tally(needed - 1, asked)).verdict.startswith("noticed")


def test_a_tie_with_alpha_counts_as_reached() -> None:
    """Three of three in the triangle: p = 1/27 (J. Soc. Cosmet. Chem. 22, 1971, p. 214)."""
    assert judged(tally(3, 3), alpha=1 / 27).verdict == "noticed"
    assert judged(tally(3, 3), alpha=1 / 28).verdict == "undecided"


def test_a_lower_tail_that_ties_with_alpha_counts_as_reached() -> None:
    assert judged(tally(0, 5, "2-afc"), alpha=1 / 32).reason == "reversed"
    assert judged(tally(0, 5, "2-afc"), alpha=1 / 33).reason == ""
    assert judged(tally(0, 5, "duo-trio"), alpha=1 / 32).reason == "check the key"


def test_few_right_of_many_are_no_similarity_but_a_warning() -> None:
    """1 of 30 right lies far below guessing: it would be 'not noticed' if the lower tail were not looked at first."""
    entry = judged(tally(1, 30))
    assert entry.maximum_correct is not None
    assert (entry.verdict, entry.reason) == ("undecided", "check the key")


@pytest.mark.parametrize("asked", range(6, 21))
def test_small_panels_never_conclude_not_noticed(asked: int) -> None:
    """The rules (DEVELOPERS.md): at n = 6–20 and pd .30 the limit always lies below guessing."""
    entries = [judged(tally(correct, asked)) for correct in range(asked + 1)]
    assert {entry.maximum_correct for entry in entries} == {None}
    assert all("limit below guessing" in entry.notes for entry in entries)


def test_limits_agree_with_the_test_at_alpha() -> None:
    """The lower end of the interval at level 1 - 2 alpha leaves zero exactly where p ≤ alpha."""
    for correct in range(25):
        entry = judged(tally(correct, 24))
        assert entry.level == pytest.approx(0.9)
        assert entry.discriminators_low is not None
        assert (entry.discriminators_low > 0) == (entry.p_value <= 0.05)


def test_an_entry_echoes_every_option() -> None:
    entry = judged(tally(8, 12), alpha=0.04, beta=0.2, pd=0.4, primary_age=30, ties="split")
    assert (entry.alpha, entry.beta, entry.pd, entry.primary_age, entry.ties) == (0.04, 0.2, 0.4, 30, "split")


def test_undecided_says_what_would_settle_it() -> None:
    """Triangle, pd .30, alpha .05, power .95: first n 66 (ISO 4120 Table A.3, from memory), stable n 73 by our own search."""
    entry = judged(tally(6, 12))
    short = [n for n in range(1, 400) if _power(n) < 0.95]
    assert (entry.settle, next(n for n in range(1, 400) if _power(n) >= 0.95)) == (max(short) + 1, 66)
    assert judged(tally(12, 12)).settle is None


def _power(asked: int) -> float:
    needed = binom.isf(0.05, asked, 1 / 3) + 1
    return float(binom.sf(needed - 1, asked, 1 / 3 + 0.3 * 2 / 3))


def test_nobody_answered_is_undecided() -> None:
    entry = judged(Tally("7 against 8", "triangle", 30.0, (), (), ()))
    assert (entry.verdict, entry.reason, entry.p_value, entry.minimum_correct) == ("undecided", "no answers", 1.0, None)


# --- whom it speaks for -------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("people", "each", "speaks"),
    [
        (1, 1, "this nose"),
        (1, 30, "this nose"),
        (2, 1, "this panel"),
        (11, 1, "this panel"),
        (12, 1, "people like this panel"),
        (12, 2, "this panel"),
        (60, 2, "this panel"),
    ],
)
def test_whom_a_verdict_speaks_for(people: int, each: int, speaks: str) -> None:
    names = tuple(map(str, range(people)))
    entry = judged(Tally("x", "triangle", 5, names, (each,) * people, (each,) * people))
    assert entry.speaks_for == speaks


def test_one_person_answering_twice_among_twelve_makes_it_this_panel() -> None:
    entry = judged(Tally("x", "triangle", 5, tuple("abcdefghijkl"), (1,) * 12, (2, *(1,) * 11)))
    assert entry.speaks_for == "this panel"


@pytest.mark.parametrize(("people", "each"), [(8, 15), (8, 25), (4, 12), (2, 9), (60, 3)])
@pytest.mark.parametrize(("pd", "beta"), [(0.3, 0.05), (0.2, 0.2), (0.5, 0.4)])
def test_replicates_are_held_against_the_replicated_limit(people: int, each: int, pd: float, beta: float) -> None:
    """Hoeffding 1956 (from memory): the binomial count, but at most one less than the mean at pd."""
    asked, names = people * each, tuple(map(str, range(people)))
    pc = 1 / 3 + pd * 2 / 3
    most = min(max(c for c in range(-1, asked) if binom.cdf(c, asked, pc) <= beta), int(asked * pc + 1e-9) - 1)
    for each_right in range(each + 1):
        entry = judged(Tally("x", "triangle", 5, names, (each_right,) * people, (each,) * people), pd=pd, beta=beta)
        assert entry.maximum_correct == (most if 3 * most >= asked else None)
        assert entry.speaks_for == "this panel"
        small = entry.maximum_correct is not None and entry.correct <= entry.maximum_correct
        if not entry.reason:
            assert entry.verdict in (("not noticed", "noticed, but small") if small else ("noticed", "undecided"))


@pytest.mark.parametrize(("people", "each"), [(4, 12), (3, 20)])
def test_the_replicated_limit_keeps_beta_however_people_differ(people: int, each: int) -> None:
    """Brute force: every mix of people on a grid whose mean share is pd or more, the total's law by convolution."""
    names = tuple(map(str, range(people)))
    limit = judged(Tally("x", "triangle", 5, names, (4,) * people, (each,) * people)).maximum_correct
    assert limit is not None
    worst = 0.0
    for shares in combinations_with_replacement(np.arange(0, 1.01, 0.1), people):
        if sum(shares) >= 0.3 * people - 1e-9:
            laws = [binom.pmf(np.arange(each + 1), each, 1 / 3 + share * 2 / 3) for share in shares]
            worst = max(worst, float(reduce(np.convolve, laws)[: limit + 1].sum()))
    assert 0.01 < worst <= 0.05


def test_all_words_can_be_said_of_a_panel_with_several_answers() -> None:
    """Triangle, 8 people × 25: as 200 answers of 200 people, but of this panel."""
    for right, verdict in ((8, "not noticed"), (10, "noticed, but small"), (14, "noticed")):
        entry = judged(Tally("x", "triangle", 5, tuple("abcdefgh"), (right,) * 8, (25,) * 8))
        assert (entry.verdict, entry.speaks_for, entry.own) == (verdict, "this panel", ((right, 25),) * 8)


def test_totals_beyond_what_one_person_gives_are_judged_too() -> None:
    """The statistics take 1000 answers of one person; a file may hold more."""
    entry = judged(Tally("x", "triangle", 5, ("a", "b"), (900, 100), (2500, 500)))
    assert entry.maximum_correct == max(c for c in range(3000) if binom.cdf(c, 3000, 1 / 3 + 0.2) <= 0.05)
    assert entry.upper_limit == pytest.approx((beta_law.isf(0.05, 1001, 2000) - 1 / 3) * 1.5)


def test_one_nose_may_be_told_that_it_does_not_notice() -> None:
    assert judged(Tally("x", "triangle", 5, ("a",), (40,), (120,))).verdict == "not noticed"


def test_who_stands_out_is_corrected_over_the_panelists() -> None:
    correct, asked = (12, 9, 5, 4), (12, 12, 12, 12)
    p_values = [binom.sf(x - 1, n, 1 / 3) for x, n in zip(correct, asked, strict=True)]
    expected = int(multipletests(p_values, 0.05, "holm")[0].sum())
    entry = judged(Tally("x", "triangle", 5, tuple("abcd"), correct, asked))
    assert entry.stand_out == expected == 2
    assert judged(tally(8, 12)).stand_out is None


@given(st.lists(st.tuples(st.integers(0, 10), st.integers(1, 10)), min_size=2, max_size=15))
# few: statsmodels collects garbage in every call, which is slow in a large process
@settings(max_examples=20, deadline=None)
def test_stand_out_is_holms_count(own: list[tuple[int, int]]) -> None:
    own = [(10, 10), *((min(x, n), n) for x, n in own)]
    p_values = [binom.sf(x - 1, n, 1 / 3) for x, n in own]
    names = tuple(f"p{i}" for i in range(len(own)))
    entry = judged(Tally("x", "triangle", 5, names, tuple(x for x, _ in own), tuple(n for _, n in own)))
    assert entry.stand_out == int(multipletests(p_values, 0.05, "holm")[0].sum()) >= 1


# --- several ages -------------------------------------------------------------------------------------------------


@given(st.lists(st.tuples(st.integers(0, 24), st.integers(1, 24)), min_size=1, max_size=6))
# few: statsmodels collects garbage in every call, which is slow in a large process
@settings(max_examples=20, deadline=None)
def test_without_a_primary_age_holm_over_all(counts: list[tuple[int, int]]) -> None:
    """statsmodels' Holm as the second route."""
    family = [tally(min(x, n), n, age=float(age)) for age, (x, n) in enumerate(counts)]
    entries = [e for e in judge_tallies(family, Rules()) if isinstance(e, Entry)]
    p_values = [binom.sf(sum(one.correct) - 1, sum(one.assessments), 1 / 3) for one in family]
    reject, adjusted, _, _ = multipletests(p_values, 0.05, "holm")
    assert [entry.p_family for entry in entries] == pytest.approx(adjusted.tolist())
    for entry, rejected in zip(entries, reject, strict=True):
        assert entry.verdict.startswith("noticed") == rejected
        reached = entry.minimum_correct is not None and entry.correct >= entry.minimum_correct
        assert reached == rejected, "noticed must always mean correct >= minimum_correct"
        assert entry.confirmatory
        assert entry.primary == (len(family) == 1)


def test_the_steps_of_holm_show_in_alpha_used() -> None:
    family = [tally(12, 12, age=5), tally(9, 12, age=30), tally(8, 12, age=60)]
    entries = judge_tallies(family, Rules())
    assert [e.alpha_used for e in entries] == pytest.approx([0.05 / 3, 0.05 / 2, 0.05])
    assert [e.verdict for e in entries] == ["noticed"] * 3  # p = 2e-6, .0039, .0188
    family[1] = tally(7, 12, age=30)
    entries = judge_tallies(family, Rules())  # p = 2e-6, .066, .0188: the middle step reaches 8 of 12
    assert [e.alpha_used for e in entries] == pytest.approx([0.05 / 3, 0.05, 0.05 / 2])
    assert [e.verdict for e in entries] == ["noticed", "undecided", "noticed"]


def test_after_a_failing_step_no_later_age_is_noticed() -> None:
    family = [tally(8, 12, age=5), tally(8, 12, age=30), tally(8, 12, age=60)]  # .0188 > .05 / 3
    assert {e.verdict for e in judge_tallies(family, Rules())} == {"undecided"}


def test_the_primary_age_keeps_full_alpha_and_opens_the_others() -> None:
    family = [tally(8, 12, age=5), tally(9, 12, age=30), tally(8, 12, age=60)]
    first, second, third = judge_tallies(family, Rules(primary_age=5))
    assert (first.primary, first.alpha_used, first.p_family, first.verdict) == (True, 0.05, first.p_value, "noticed")
    assert (second.alpha_used, second.verdict) == (0.025, "noticed")
    assert (third.alpha_used, third.verdict) == (0.05, "noticed")
    assert all(e.confirmatory for e in (first, second, third))


def test_others_are_exploratory_while_the_primary_is_not_noticed() -> None:
    family = [tally(7, 12, age=5), tally(12, 12, age=30)]
    first, second = judge_tallies(family, Rules(primary_age=5))
    assert (first.verdict, first.confirmatory) == ("undecided", True)
    assert (second.verdict, second.confirmatory, second.settle) == ("", False, None)  # a number and no word
    assert (second.correct, second.minimum_correct) == (12, 8)
    assert "exploratory" in second.notes


def test_few_noticers_may_be_claimed_at_an_exploratory_age() -> None:
    """Beta is not corrected over ages: "at no age" can be said."""
    entries = judge_tallies([tally(20, 60, age=5), tally(19, 60, age=30), tally(26, 60, age=60)], Rules(primary_age=5))
    assert [e.verdict for e in entries] == ["not noticed", "not noticed", ""]


def test_an_exploratory_preference_has_no_word() -> None:
    first, second = judge_tallies([votes(6, 6, age=5), votes(12, 0, age=30)], Rules(primary_age=5))
    assert (first.verdict, first.settle is None) == ("no preference shown", False)
    assert (second.verdict, second.settle, second.first) == ("", None, 12)


def test_some_age_says_noticed_in_at_most_alpha_of_sessions_where_nothing_is() -> None:
    """All counts of two ages of 18 triangles under guessing (scipy's binomial); words at any age gave .085."""
    law = binom.pmf(range(19), 18, 1 / 3)
    false = sum(
        law[one] * law[other]
        for one in range(19)
        for other in range(19)
        if any(
            e.verdict.startswith("noticed")
            for e in judge_tallies([tally(one, 18, age=5), tally(other, 18, age=60)], Rules(primary_age=5))
        )
    )
    assert false == pytest.approx(binom.sf(9, 18, 1 / 3))  # that of the primary age alone
    assert false <= 0.05


def test_a_comparison_without_its_primary_age_confirms_nothing() -> None:
    entries = judge_tallies([tally(12, 12, age=5), tally(12, 12, age=30, name="other")], Rules(primary_age=5))
    assert [(e.primary, e.confirmatory) for e in entries] == [(True, True), (False, False)]


def test_an_age_nobody_was_asked_at_cannot_be_primary() -> None:
    with pytest.raises(ArgumentError, match=r"primary_age must be one of the strip ages answered \(30\), not 5"):
        judge_tallies([tally(8, 12)], Rules(primary_age=5))


def test_comparisons_and_methods_are_families_of_their_own() -> None:
    mixed = [tally(8, 12), tally(8, 12, name="other"), tally(8, 12, "tetrad")]
    assert [e.alpha_used for e in judge_tallies(mixed, Rules())] == [0.05] * 3
    assert [e.verdict for e in judge_tallies(mixed, Rules())] == ["noticed"] * 3


# --- preferences --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("none", [0, 1, 2, 5])
@pytest.mark.parametrize("first", range(1, 11))
def test_preference_words_follow_the_exact_sign_test(first: int, none: int) -> None:
    """scipy's binomtest, two-sided at one half, as the second route; ties dropped, then split."""
    for second in range(11):
        entry, split = (preferred(votes(first, second, none), ties=rule) for rule in ("drop", "split"))
        lead = "first preferred" if first > second else "second preferred"
        p_value = binomtest(first, first + second, 0.5).pvalue
        assert entry.p_value == pytest.approx(p_value)
        assert entry.verdict == (lead if p_value <= 0.05 else "no preference shown")
        p_split = min(1.0, 2 * binom.sf(max(first, second) + none // 2 - 1, first + second + none, 0.5))
        assert split.p_value == pytest.approx(p_split)
        assert split.verdict == (lead if p_split <= 0.05 else "no preference shown")


@pytest.mark.parametrize(
    ("people", "needed"), [(5, None), (6, 6), (8, 8), (10, 9), (12, 10), (20, 15), (30, 21), (60, 39)]
)
def test_fewest_votes_that_show_a_preference(people: int, needed: int | None) -> None:
    """ISO 5495:2005 Table A.2 (from memory): 6:6 8:8 10:9 12:10 20:15 30:21 60:39."""
    assert preferred(votes(people, 0)).minimum_correct == needed


def test_replicates_give_one_vote_per_person() -> None:
    """8 people × 3 answers, 16 to 8: pooled this would be p = .15; as votes 8 to 0 it is p = .0078."""
    pooled = PreferenceTally("x", "preference", 5, tuple("abcdefgh"), (2,) * 8, (1,) * 8, (0,) * 8)
    entry = preferred(pooled)
    assert (entry.first, entry.second, entry.none) == (8, 0, 0)
    assert (entry.first_answers, entry.second_answers, entry.assessments) == (16, 8, 24)
    assert (entry.p_value, entry.verdict) == (pytest.approx(2 * 0.5**8), "first preferred")


def test_an_even_split_of_own_answers_is_no_preference() -> None:
    own = PreferenceTally("x", "preference", 5, tuple("abcd"), (1, 2, 0, 1), (1, 1, 3, 0), (0, 0, 0, 1))
    entry = preferred(own)
    assert (entry.first, entry.second, entry.none) == (1, 1, 2)


def test_a_panel_of_one_is_counted_in_answers() -> None:
    entry = preferred(PreferenceTally("x", "preference", 5, ("a",), (9,), (1,), (2,)))
    assert (entry.first, entry.second, entry.none, entry.speaks_for) == (9, 1, 2, "this nose")
    assert entry.p_value == pytest.approx(binomtest(9, 10, 0.5).pvalue)


def test_preferences_use_primary_and_holm_too() -> None:
    family = [votes(6, 0, age=5), votes(6, 0, age=30), votes(6, 0, age="overall")]
    with_primary = judge_tallies(family, Rules(primary_age="overall"))
    assert [e.verdict for e in with_primary] == ["no preference shown", "no preference shown", "first preferred"]
    assert [e.alpha_used for e in with_primary] == [0.025, 0.025, 0.05]  # p = .03125
    assert {e.verdict for e in judge_tallies(family, Rules())} == {"no preference shown"}


# --- properties ---------------------------------------------------------------------------------------------------


@given(st.lists(st.tuples(st.integers(0, 4), st.integers(1, 4)), min_size=1, max_size=30), st.randoms())
@settings(max_examples=80, deadline=None)
def test_relabelling_panelists_changes_nothing(own: list[tuple[int, int]], random: Any) -> None:
    own = [(min(x, n), n) for x, n in own]
    shuffled = random.sample(own, len(own))
    names = tuple(f"p{i}" for i in range(len(own)))
    others = tuple(f"someone {i}" for i in range(len(own)))
    one = Tally("x", "triangle", 5, names, tuple(x for x, _ in own), tuple(n for _, n in own))
    two = Tally("x", "triangle", 5, others, tuple(x for x, _ in shuffled), tuple(n for _, n in shuffled))
    assert replace(judged(one), own=()) == replace(judged(two), own=())
    assert sorted(judged(one).own) == sorted(judged(two).own)


@given(st.lists(st.tuples(*[st.integers(0, 3)] * 3), min_size=1, max_size=25), st.sampled_from(["drop", "split"]))
@settings(max_examples=80, deadline=None)
def test_swapping_the_trials_mirrors_a_preference(own: list[tuple[int, int, int]], ties: str) -> None:
    names = tuple(f"p{i}" for i in range(len(own)))
    first, second, none = (tuple(column) for column in zip(*own, strict=True))
    one = preferred(PreferenceTally("x", "preference", 5, names, first, second, none), ties=ties)
    two = preferred(PreferenceTally("x", "preference", 5, names, second, first, none), ties=ties)
    mirror = {"first preferred": "second preferred", "second preferred": "first preferred"}
    assert two.verdict == mirror.get(one.verdict, one.verdict)
    assert (two.first, two.second, two.p_value) == (one.second, one.first, one.p_value)
    if one.share_first is not None:
        assert two.share_first == pytest.approx(1 - one.share_first)
        assert two.share_low == pytest.approx(1 - one.share_high)


@given(st.integers(1, 150), st.data(), st.sampled_from(list(GUESSING)))
@settings(max_examples=150, deadline=None)
def test_one_more_correct_answer_never_turns_noticed_into_undecided(asked: int, data: Any, method: str) -> None:
    correct = data.draw(st.integers(0, asked - 1))
    before, after = judged(tally(correct, asked, method)), judged(tally(correct + 1, asked, method))
    assert after.p_value <= before.p_value
    if before.verdict.startswith("noticed"):
        assert after.verdict.startswith("noticed")
    if before.verdict == "noticed":
        assert after.verdict == "noticed"


# --- bad input ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("broken", "message"),
    [
        ({"method": "quadrangle"}, "method must be one of"),
        ({"correct": (2,)}, "correct must not be more than assessments"),
        ({"correct": (-1,)}, "counts must be 0 or more"),
        ({"assessments": (0,)}, "assessments must be 1 or more"),
        ({"people": ("a", "b")}, "one count per person"),
        ({"age_minutes": -5.0}, "age_minutes must be 0 or more"),
        ({"age_minutes": float("nan")}, "age_minutes must be a finite number"),
    ],
)
def test_a_tally_that_cannot_be_is_refused(broken: dict[str, Any], message: str) -> None:
    sound = {
        "comparison": "x",
        "method": "triangle",
        "age_minutes": 5.0,
        "people": ("a",),
        "correct": (1,),
        "assessments": (1,),
    }
    with pytest.raises(ArgumentError, match=message):
        Tally(**{**sound, **broken})


def test_a_person_is_named_once() -> None:
    with pytest.raises(ArgumentError, match="name each person once"):
        Tally("x", "triangle", 5, ("a", "a"), (1, 1), (1, 1))


@pytest.mark.parametrize("name", ["alpha", "beta", "pd"])
@pytest.mark.parametrize("value", [0.0, 1.0, -0.1, 2.0, float("nan")])
def test_risks_lie_inside_zero_and_one(name: str, value: float) -> None:
    with pytest.raises(ArgumentError, match=name):
        Rules(**{name: value})


def test_rules_of_the_wrong_kind_are_refused() -> None:
    with pytest.raises(ArgumentError, match="ties must be one of 'drop', 'split', not 'toss'"):
        Rules(ties="toss")
    with pytest.raises(KindError, match="primary_age must be a number"):
        Rules(primary_age="noon")


def test_an_age_comes_once_per_comparison() -> None:
    with pytest.raises(ArgumentError, match="strip ages of '7 against 8' must differ"):
        judge_tallies([tally(8, 12), tally(3, 12)], Rules())


def test_the_rules_of_a_plan_are_those_it_seals() -> None:
    sealed = plan(ages=ages(5, 30), primary=1800)
    assert rules_of(sealed) == Rules(float(sealed.alpha), float(sealed.beta), float(sealed.pd), 30.0, sealed.ties_rule)
    assert rules_of(replace(sealed, primary=None)).primary_age is None


def test_the_contract_fields_are_there() -> None:
    promised = {"p_value", "p_family", "alpha_used", "minimum_correct", "speaks_for", "verdict", "settle", "stand_out"}
    assert promised <= {field.name for field in fields(Entry)}
