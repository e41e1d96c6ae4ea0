"""Evidence, proposals and what to smell next, case by case; no store."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from evaluation import statistics
from evaluation.briefs import Target
from evaluation.evidence import (
    CAMPS,
    DISTANCE,
    FIRST,
    MOVED,
    NEITHER,
    NOTICE,
    PREFERENCE,
    SECOND,
    SPLIT,
    Distance,
    Evidence,
    Point,
    SessionShown,
    TrialShown,
    exact,
    frozen,
    thawed,
)
from evaluation.next_smellings import next_smellings
from evaluation.proposals import proposal, standings
from evaluation.wording_decisions import beside, headline, next_words, would_change

TRIALS = (
    TrialShown("t7", "7", None, "", 1),
    TrialShown("t8", "8", "t7", "vetiver 2 to 3", 2),
    TrialShown("t9", "9", "t8", "no amber", 3),
)


def point(topic: str, outcome: str, pair: str = "78", **more: Any) -> Point:
    first, second = (f"t{one}" for one in pair)
    fields = {"medium": "strip", "minutes": Decimal(5), "weighs": True, "sentence": "As told."}
    return Point(topic, first, second, outcome=outcome, **(fields | more))


def session(*points: Point, method: str = "preference", holds: bool = True, number: int = 1) -> SessionShown:
    risks = (Decimal("0.05"), Decimal("0.2"), Decimal("0.3"))
    return SessionShown(
        f"s{number}", "One", method, "strip", number, ("t7", "t8"), *risks, "hash", holds, False, points
    )


def evidence(*sessions: SessionShown, waiting: int = 0) -> Evidence:
    return Evidence("brief", TRIALS, (), None, sessions, waiting)


LIKES_8 = point(PREFERENCE, SECOND, for_first=4, for_second=14, people=18)
CASES: tuple[tuple[tuple[Point, ...], str, str, str], ...] = (
    ((), "nothing shown", "", ""),
    ((LIKES_8,), "one leads", "keep", "t8"),
    ((LIKES_8, point(NOTICE, "noticed"), point(DISTANCE, SECOND)), "one leads", "keep", "t8"),
    ((point(DISTANCE, FIRST),), "one leads", "keep", "t7"),
    ((LIKES_8, point(NOTICE, "noticed, but small")), "one leads", "keep", "t8"),
    ((LIKES_8, point(PREFERENCE, FIRST)), "sessions disagree", "smell again", "t8"),
    ((LIKES_8, point(NOTICE, "not noticed")), "sessions disagree", "smell again", "t8"),
    ((point(NOTICE, "noticed"), point(NOTICE, "not noticed")), "sessions disagree", "smell again", "t8"),
    # noticed early and not late, or on the strip and not on skin, is no contradiction
    (
        (point(NOTICE, "noticed"), point(NOTICE, "not noticed", minutes=Decimal(60))),
        "told apart, no better one",
        "smell again",
        "t8",
    ),
    (
        (point(NOTICE, "noticed"), point(NOTICE, "not noticed", medium="skin")),
        "told apart, no better one",
        "smell again",
        "t8",
    ),
    ((LIKES_8, point(DISTANCE, FIRST)), "liked one way, nearer the other", "rework", "t8"),
    ((LIKES_8, point(CAMPS, SPLIT)), "opposite camps", "", ""),
    ((point(NOTICE, "not noticed"),), "simpler stands", "keep", "t7"),
    ((point(NOTICE, "noticed, but small"),), "simpler stands", "keep", "t7"),
    ((point(NOTICE, "not noticed"), point(NOTICE, "not noticed", "89")), "simpler stands", "keep", "t7"),
    ((point(NOTICE, "noticed"),), "told apart, no better one", "smell again", "t8"),
    ((point(NOTICE, "undecided"),), "undecided", "smell again", "t8"),
    ((point(PREFERENCE, NEITHER),), "undecided", "smell again", "t8"),
    ((LIKES_8, point(PREFERENCE, SECOND, "79")), "several lead", "smell again", "t9"),
    ((LIKES_8, point(PREFERENCE, SECOND, "89")), "one leads", "keep", "t9"),
    (
        (LIKES_8, point(PREFERENCE, SECOND, "89"), point(PREFERENCE, FIRST, "79")),
        "circle",
        "smell again",
        "t8",
    ),
    # what does not weigh, and what only describes, proposes nothing
    ((point(PREFERENCE, SECOND, weighs=False),), "nothing shown", "", ""),
    ((point(MOVED, SECOND),), "nothing shown", "", ""),
)


@pytest.mark.parametrize(("points", "rule", "word", "trial"), CASES)
def test_each_case_gets_its_rule(points: tuple[Point, ...], rule: str, word: str, trial: str) -> None:
    seen = evidence(session(*points))
    found = proposal(seen)
    assert (found.rule, found.word, found.trial_id) == (rule, word, trial)
    assert headline(found, seen)
    assert all(would_change(found, seen))


@pytest.mark.parametrize(("points", "rule", "word", "trial"), CASES)
def test_neither_the_order_of_points_nor_their_side_nor_their_sessions_matter(
    points: tuple[Point, ...], rule: str, word: str, trial: str
) -> None:
    turned = tuple(one.seen_from(one.second_id) for one in reversed(points))
    apart = tuple(session(one, number=number) for number, one in enumerate(turned, 1)) or (session(),)
    found = proposal(evidence(*apart))
    assert (found.rule, found.word) == (rule, word)
    if rule != "circle":
        assert found.trial_id == trial


def test_nothing_is_proposed_before_anything_is_opened_or_where_a_log_was_altered() -> None:
    bare, broken = evidence(waiting=2), evidence(session(LIKES_8, holds=False))
    assert headline(proposal(bare), bare).startswith("Nothing opened yet")
    assert "2 sessions of this brief sealed and not opened yet" in " ".join(would_change(proposal(bare), bare))
    assert proposal(broken).word == ""
    assert "log of a session no longer holds" in headline(proposal(broken), broken)


def test_the_reason_is_told_in_words() -> None:
    seen = evidence(
        session(LIKES_8, point(NOTICE, "noticed"), point(DISTANCE, SECOND)),
        session(point(NOTICE, "not noticed", "89"), number=2),
    )
    found = proposal(seen)
    assert headline(found, seen) == (
        "Keep 8: against 7, noticed, preferred by 14 of 18 people, nearer the targets of the brief; "
        "9 is not told apart from it within the limit you set, so the simpler one stands."
    )
    assert beside(found, seen) == (
        "Drop 7: 8 does better: noticed, preferred by 14 of 18 people, nearer the targets of the brief.",
        "Drop 9: 8 is not told apart from it within the limit you set, and 8 is the simpler one.",
    )


def test_votes_of_two_sessions_are_told_apart_never_added() -> None:
    more = point(PREFERENCE, SECOND, for_first=1, for_second=9, people=10)
    seen = evidence(session(LIKES_8), session(more, number=2))
    assert "preferred by 14 of 18 people and by 9 of 10 people" in headline(proposal(seen), seen)
    assert len(standings(seen)[0].points) == 2


# --- frozen -----------------------------------------------------------------------------------------------------------


def test_frozen_evidence_comes_back_as_it_was() -> None:
    far = Distance("t8", "strip", Decimal("1.25"), None, Decimal("2.5"), Decimal("87.5"), "woody")
    told = replace(session(LIKES_8, point(CAMPS, NEITHER, minutes=None)), distances=(far,), gaps=("None read.",))
    seen = replace(evidence(told, waiting=1), targets=(Target("woody", "at least", Decimal("6.5"), Decimal(60)),))
    seen = replace(seen, targets_written_at=5)
    assert thawed(frozen(seen)) == seen
    assert frozen(thawed(frozen(seen))) == frozen(seen)


def test_a_float_reads_back_exactly_and_what_is_no_number_is_none() -> None:
    assert float(exact(0.1 + 0.2) or 0) == 0.1 + 0.2
    assert [exact(one) for one in (None, float("nan"), float("inf"))] == [None, None, None]


# --- next -------------------------------------------------------------------------------------------------------------


def test_before_anything_is_opened_the_newest_trial_is_set_against_its_parent() -> None:
    seen = evidence()
    found = next_smellings(seen, 12)
    assert [(one.first_id, one.second_id, one.method) for one in found] == [
        ("t8", "t9", "tetrad"),
        ("t7", "t8", "tetrad"),
    ]
    assert all(all(next_words(one, seen)) for one in found)


def test_what_it_takes_is_what_the_statistics_say() -> None:
    seen = evidence(session(point(NOTICE, "undecided"), method="triangle"))
    again, unsmelt = next_smellings(seen, 12)[:2]
    assert (again.why, again.method) == ("undecided", "triangle")
    assert again.assessments == statistics.panel_size("triangle", 0.05, 0.2, 0.3, rule="stays")
    assert again.strips == 3 * again.assessments
    assert again.replicates * 12 >= again.assessments > (again.replicates - 1) * 12
    power = statistics.power(unsmelt.assessments, "tetrad", 0.05, d_prime=statistics.d_prime((1 + 0.6) / 3, "triangle"))
    assert power >= 0.8
    assert unsmelt.assessments < again.assessments  # the tetrad finds the same distance with fewer


def test_told_apart_asks_which_is_wanted_and_says_what_the_panel_can_show() -> None:
    seen = evidence(session(point(NOTICE, "noticed"), method="triangle"))
    asked = next_smellings(seen, 10)[0]
    assert asked.method == "preference"
    assert asked.needed == 9  # of 10, two-sided .05: binomial tail 11/1024 on each side
    assert "9 of 10 would have to prefer the same one" in next_words(asked, seen)[2]


def test_a_better_trial_that_was_never_rated_is_to_be_rated() -> None:
    seen = evidence(session(LIKES_8, point(PREFERENCE, SECOND, "89")))
    assert {one.why for one in next_smellings(seen, 12)} == {"which way"}
    rated = evidence(
        session(LIKES_8, point(PREFERENCE, SECOND, "89"), point(MOVED, SECOND), point(MOVED, SECOND, "89"))
    )
    assert next_smellings(rated, 12) == ()


def test_a_beaten_trial_is_not_asked_about_again() -> None:
    """8 beats 7 and is undecided against 9: what 7 is to 9 decides nothing any more."""
    seen = evidence(
        session(LIKES_8, point(MOVED, SECOND), *(point(PREFERENCE, NEITHER, pair) for pair in ("79", "89")))
    )
    assert proposal(seen).trial_id == "t8"
    assert [(one.first_id, one.second_id) for one in next_smellings(seen, 12)] == [("t8", "t9")]
