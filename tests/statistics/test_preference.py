"""Preference: the sign test against scipy and statsmodels, ties, and what may not change it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest
from statsmodels.stats.proportion import proportion_confint

from evaluation.statistics import preference_critical, preference_test

votes = st.integers(0, 80)
rules = st.sampled_from(["drop", "split"])


@given(votes, votes, votes)
def test_dropped_ties_leave_the_sign_test_of_scipy(first: int, second: int, ties: int) -> None:
    if first + second == 0:
        return
    found = preference_test(first, second, ties)
    assert found.p_value == pytest.approx(binomtest(first, first + second).pvalue, rel=1e-10)
    assert found.votes == first + second
    interval = found.interval(0.9)
    expected = proportion_confint(first, first + second, alpha=0.1, method="beta")
    assert (interval.low, interval.high) == pytest.approx(expected, rel=1e-9, abs=1e-12)


@given(votes, votes, votes)
def test_split_ties_give_each_side_half_and_round_the_leader_down(first: int, second: int, ties: int) -> None:
    total = first + second + ties
    if total == 0:
        return
    found = preference_test(first, second, ties, "split")
    leader = max(first, second) + ties // 2
    expected = binomtest(max(leader, total - leader), total).pvalue
    assert found.p_value == pytest.approx(expected, rel=1e-10)
    assert found.share_first == (first + ties / 2) / total


@given(votes, votes, votes, rules, st.sampled_from([0.8, 0.95]))
def test_swapping_the_two_trials_changes_nothing(a: int, b: int, ties: int, rule: str, level: float) -> None:
    if a + b + ties == 0:
        return
    one, other = preference_test(a, b, ties, rule), preference_test(b, a, ties, rule)
    assert one.p_value == other.p_value
    mirrored = other.interval(level)
    assert one.interval(level).low == pytest.approx(1 - mirrored.high, abs=1e-12)
    assert one.interval(level).high == pytest.approx(1 - mirrored.low, abs=1e-12)
    if one.share_first is not None and other.share_first is not None:
        assert one.share_first == pytest.approx(1 - other.share_first)


@given(votes, votes, votes, rules)
def test_interval_holds_the_share_widens_and_agrees_with_p(a: int, b: int, ties: int, rule: str) -> None:
    if a + b + ties == 0:
        return
    found = preference_test(a, b, ties, rule)
    narrow, wide = found.interval(0.8), found.interval(0.95)
    assert wide.low <= narrow.low <= narrow.high <= wide.high
    if found.share_first is not None:
        assert narrow.low <= found.share_first <= narrow.high
    assert (not wide.low <= 0.5 <= wide.high) == (found.p_value < 0.05)


@given(st.integers(1, 150), st.sampled_from([0.2, 0.1, 0.05, 0.01, 0.001]))
def test_critical_is_the_fewest_that_reach_alpha(people: int, alpha: float) -> None:
    needed = preference_critical(people, alpha)
    if needed is None:
        assert preference_test(people, 0).p_value > alpha
        return
    assert 2 * needed > people
    assert preference_test(needed, people - needed).p_value <= alpha
    assert preference_test(needed - 1, people - needed + 1).p_value > alpha


def test_small_panels_as_the_plan_page_says() -> None:
    """6 of 6, 8 of 8, 9 of 10, 10 of 12; five people can never reach .05 (binomial by hand: 2/32 = .0625)."""
    assert [preference_critical(n, 0.05) for n in (4, 5, 6, 8, 10, 12)] == [None, None, 6, 8, 9, 10]
    assert preference_test(5, 0).p_value == 2 / 32


def test_nobody_has_a_preference() -> None:
    dropped, split = preference_test(0, 0, 5), preference_test(0, 0, 5, "split")
    assert (dropped.p_value, dropped.share_first, dropped.votes) == (1.0, None, 0)
    assert (dropped.interval().low, dropped.interval().high) == (0.0, 1.0)
    assert (split.p_value, split.share_first, split.votes) == (1.0, 0.5, 5)
