"""Which of two trials do people like better? Exact two-sided sign test, one vote per person."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from evaluation.errors import ArgumentError
from evaluation.ground.checks import choice, risk, whole
from evaluation.statistics.forced_choice.panel_power import RULES, safe_whole
from evaluation.statistics.laws.binomial import at_least, at_most, critical
from evaluation.statistics.laws.inputs import MOST_ASSESSMENTS, Floats, Ints, counts
from evaluation.statistics.laws.intervals import Interval, lower_limit, upper_limit
from evaluation.statistics.laws.sawtooth import Search

HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class PreferenceTest:
    """What :func:`preference_test` found; the first four fields echo its arguments.

    Attributes
    ----------
    votes : answers that entered the test: without the ties (``"drop"``) or with them (``"split"``).
    p_value : exact, two-sided, 0 … 1; 1.0 where no vote entered.
    share_first : share of the votes for the first, ties as halves under ``"split"``; None where no vote
    entered.
    """

    first: int
    second: int
    ties: int
    ties_rule: str
    votes: int
    p_value: float
    share_first: float | None

    def interval(self, level: float = 0.95) -> Interval:
        """Two-sided exact interval (Clopper & Pearson 1934) of the share preferring the first, 0 … 1.

        A half vote left by an odd number of split ties widens it to both sides. It leaves one half outside
        exactly where ``p_value`` < 1 − ``level``.
        """
        level = risk("level", level)
        if self.votes == 0:
            return Interval(0.0, 1.0, level, "share_first")
        halves = 2 * self.first + (self.ties if self.ties_rule == "split" else 0)
        tail = (1.0 - level) / 2.0
        low = lower_limit(halves // 2, self.votes, tail)
        return Interval(low, upper_limit((halves + 1) // 2, self.votes, tail), level, "share_first")


def _drop(first: int, second: int, ties: int) -> tuple[int, int]:
    return max(first, second), first + second


def _split(first: int, second: int, ties: int) -> tuple[int, int]:
    return max(first, second) + ties // 2, first + second + ties  # an odd tie rounds the leader down


# (first, second, ties) → votes of the leader, votes in all
TIES_RULES: MappingProxyType[str, Callable[[int, int, int], tuple[int, int]]] = MappingProxyType(
    {"drop": _drop, "split": _split}
)


def preference_test(first: int, second: int, ties: int = 0, ties_rule: str = "drop") -> PreferenceTest:
    """Is one of the two trials preferred?

    Parameters
    ----------
    first, second : int, 0 or more
        People who prefer the first, the second.
    ties : int, 0 or more
        People without a preference.
    ties_rule : {"drop", "split"}
        ``"drop"``: ties are left out. ``"split"``: half to each side, an odd one rounds the leader down.
        Choose before the votes are known.

    Returns
    -------
    PreferenceTest

    Raises
    ------
    ArgumentError, KindError
        Counts negative, fractional or NaN; nobody answered; unknown rule.

    Notes
    -----
    One vote per person. A large p does not say that the trials are liked alike, and ties are not evidence for
    it.

    References
    ----------
    Exact binomial at 1/2, both tails: ISO 5495:2005 Table A.2. Ties: Lawless & Heymann 2010, ch. 13.

    Examples
    --------
    >>> found = preference_test(9, 1)
    >>> round(found.p_value, 4), found.share_first
    (0.0215, 0.9)
    """
    one, two, none = whole("first", first), whole("second", second), whole("ties", ties)
    if not 1 <= one + two + none <= MOST_ASSESSMENTS:
        raise ArgumentError(
            f"first, second and ties must add up to a number from 1 to {MOST_ASSESSMENTS}, not {one + two + none}."
        )
    leader, votes = TIES_RULES[choice("ties_rule", ties_rule, tuple(TIES_RULES))](one, two, none)
    halves = one + (none / 2 if ties_rule == "split" else 0)
    return PreferenceTest(
        first=one,
        second=two,
        ties=none,
        ties_rule=ties_rule,
        votes=votes,
        p_value=min(1.0, 2.0 * float(at_least(leader, votes, 0.5))),
        share_first=halves / votes if votes else None,
    )


def preference_critical(people: int, alpha: float) -> int | None:
    """How many of ``people`` must prefer the same trial, at least, to speak of a preference?

    Parameters
    ----------
    people : int, 1 or more
        Votes that enter the test.
    alpha : float, between 0 and 1
        Two-sided risk.

    Returns
    -------
    int, more than half of ``people``; None where even all are not enough.

    Raises
    ------
    ArgumentError, KindError
        A count negative, fractional or NaN; alpha outside (0, 1).

    Notes
    -----
    Ties that are dropped make ``people`` smaller than the panel.

    References
    ----------
    Roessler, Pangborn, Sidel & Stone 1978; ISO 5495:2005 Table A.2 (both from memory): the same exact rule.

    Examples
    --------
    >>> [preference_critical(people, 0.05) for people in (5, 6, 8, 10, 12)]
    [None, 6, 8, 9, 10]
    """
    asked = counts("people", whole("people", people, 1, MOST_ASSESSMENTS))
    needed = critical(asked, HALF, risk("alpha", alpha) / 2.0)
    return int(needed[0]) if needed[0] <= asked[0] else None


def preference_power(people: int, alpha: float, share: float) -> float:
    """How likely is a preference to show, if a ``share`` of people like the first better?

    Parameters
    ----------
    people : int, 1 or more
    alpha : float, between 0 and 1
        Two-sided risk.
    share : float, between 0 and 1
        True share that prefers the first.

    Returns
    -------
    float, 0 … 1: exact probability that the test reaches alpha, in either direction.

    Raises
    ------
    ArgumentError, KindError
        A value outside its range.

    Notes
    -----
    Assumes that everybody votes. Near one half a part of it is the wrong direction.

    References
    ----------
    Exact binomial, both tails.

    Examples
    --------
    >>> round(preference_power(12, 0.05, 0.9), 3)
    0.889
    """
    asked = counts("people", whole("people", people, 1, MOST_ASSESSMENTS))
    needed = critical(asked, HALF, risk("alpha", alpha) / 2.0)
    share = risk("share", share)
    return float((at_least(needed, asked, share) + at_most(asked - needed, asked, share))[0])


def preference_panel_size(alpha: float, beta: float, share: float, rule: str = "first") -> int:
    """How many people show a preference of this ``share`` with power 1 − ``beta``?

    Parameters
    ----------
    alpha : float, between 0 and 1
        Two-sided risk.
    beta : float, between 0 and 1
    share : float, between 0 and 1, not 1/2
        True share that prefers one of the two.
    rule : {"first", "stays"}
        As in :func:`panel_size`.

    Returns
    -------
    int, 1 or more.

    Raises
    ------
    ArgumentError, KindError
        A value outside its range; a share too near one half; unknown rule.

    Notes
    -----
    Counts votes: add the people expected to have no preference.

    References
    ----------
    Convention of ISO 5495 Table A.5 with share = (1 + pd) / 2 (from memory).

    Examples
    --------
    >>> preference_panel_size(0.05, 0.20, 0.75), preference_panel_size(0.05, 0.20, 0.75, rule="stays")
    (30, 35)
    """
    tail, beta, share = risk("alpha", alpha) / 2.0, risk("beta", beta), risk("share", share)
    search_by = RULES[choice("rule", rule, tuple(RULES))]
    larger = max(share, 1.0 - share)

    def needed(people: Ints) -> Ints:
        return critical(people, HALF, tail)

    def miss(least: Ints, people: Ints) -> Floats:
        # neither tail: both tails grow with people at a fixed critical number, as sawtooth.py asks
        return at_most(least - 1, people, larger) - at_most(people - least, people, larger)

    return search_by(Search(needed, miss, beta, safe_whole(0.5, larger, tail, beta, "share")))
