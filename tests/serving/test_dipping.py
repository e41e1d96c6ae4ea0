"""When strips are to be smelt and how they are judged: worked by hand, and held together over random dips."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evaluation.serving.dipping import (
    UNKNOWN,
    Begun,
    Pace,
    Slot,
    begun_at,
    due_at,
    heard_at,
    judge,
    pace_of,
    set_age,
    slots,
    smell_at,
)
from evaluation.sessions import EARLY, LATE, Serving, StripAge

MINUTE = 60_000
FOUR_HOURS = StripAge(4 * 3600, 24 * 60)
FIVE = StripAge(300, 30)
PACE = Pace()


def triangle(age: StripAge = FIVE, replicate: int = 1) -> Serving:
    return Serving("s", 1, 1, age.seconds, replicate, ("482", "731", "905"))


# --- judging ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("after", "word"),
    # Three strips of 5 s: their mean is 7.5 s older than the tap. 4 h ± 24 min is from 3 h 36 min to 4 h 24 min.
    [
        (70 * MINUTE, EARLY),
        (216 * MINUTE - 7_501, EARLY),
        (216 * MINUTE - 7_500, ""),
        (264 * MINUTE - 7_500, ""),
        (264 * MINUTE - 7_499, LATE),
    ],
)
def test_a_set_is_early_or_late_to_the_millisecond(after: int, word: str) -> None:
    found = judge(triangle(FOUR_HOURS), FOUR_HOURS, 1_000, begun_at(1_000 + after), PACE)
    assert (found.word, found.real) == (word, after + 7_500)


def test_the_reason_says_both_ages_and_none_is_given_where_all_is_well() -> None:
    early = judge(triangle(FOUR_HOURS), FOUR_HOURS, 0, begun_at(70 * MINUTE), PACE)
    assert early.reason == "smelt at 1 h 10 min instead of 4 h ± 24 min"
    assert judge(triangle(), FIVE, 0, begun_at(5 * MINUTE), PACE).reason == ""


def test_nobody_tapped_dipped_or_only_afterwards() -> None:
    for dipped in (None, 5 * MINUTE + 1):
        found = judge(triangle(), FIVE, dipped, begun_at(5 * MINUTE), PACE)
        assert (found.word, found.real, found.reason) == (UNKNOWN, None, "")


def test_a_warm_up_strip_has_no_age_to_keep() -> None:
    for dipped in (None, 0):
        assert judge(triangle(replicate=0), FIVE, dipped, begun_at(99 * MINUTE), PACE).word == ""


@pytest.mark.parametrize(("after", "word"), [(262, EARLY), (263, ""), (412, ""), (413, LATE)])
def test_where_no_tap_told_it_smelling_began_up_to_90_seconds_before(after: int, word: str) -> None:
    """5 min ± 30 s: 270 to 330 s, and up to 90 s more at the first answer; the mean is 7.5 s older than the tap."""
    assert judge(triangle(), FIVE, 0, heard_at(1000 * after, PACE), PACE).word == word


def test_a_span_of_instants_is_judged_at_its_best() -> None:
    whole = Begun(0, 60 * MINUTE, 60 * MINUTE)
    assert judge(triangle(), FIVE, 0, whole, PACE).word == ""


def test_a_timetable_made_before_keeps_its_planned_seconds_as_slack() -> None:
    bench = {"seconds_per_dip": 5, "seconds_per_application": 60, "seconds_per_smell": 120}
    assert pace_of({"bench": bench}).slack == 120
    assert pace_of({"bench": bench, "slack": 90}) == Pace(5, 60, 120, 90)


# --- the clock --------------------------------------------------------------------------------------------------------


def test_slots_of_a_timetable_are_instants() -> None:
    line = ["s", "1", 0, 10, 25, 317, 472, 300]
    assert slots({"start": 5_000, "lines": [line]}) == {"s": Slot(30_000, 322_000)}
    assert slots(None) == {}


def test_a_call_counts_from_the_real_dip() -> None:
    slot = Slot(15_000, 307_000)  # three strips from 0 to 15 s, smelt 5 min after the middle, half a second down
    assert smell_at(triangle(), FIVE, slot, None, PACE) == 307_000
    assert smell_at(triangle(), FIVE, slot, 30_000, PACE) == 322_000
    assert smell_at(triangle(), FIVE, None, 30_000, PACE) == 322_500
    assert smell_at(triangle(), FIVE, None, None, PACE) is None
    assert smell_at(triangle(), None, None, 30_000, PACE) is None  # a spare set that replaced none


def test_a_call_is_never_before_the_strips_are_old_enough() -> None:
    early = Slot(15_000, 15_000 + 200_000)
    at = smell_at(triangle(), FIVE, early, 15_000, PACE)
    assert at == 15_000 + 270_000 - 7_500
    assert judge(triangle(), FIVE, 15_000, begun_at(at), PACE).word == ""


@given(
    st.integers(30, 7 * 86_400),
    st.data(),
    st.integers(0, 10**12),
    st.integers(-3_600_000, 3_600_000),
)
def test_whoever_begins_when_called_is_on_time(age: int, data: st.DataObject, dip: int, off: int) -> None:
    """The call and the judgement agree: a slot within the tolerance, moved with its dip, is within the tolerance."""
    planned = StripAge(age, data.draw(st.integers(5, age)))
    serving = triangle(planned)
    shift = data.draw(st.integers(-1000 * planned.tolerance_seconds, 1000 * planned.tolerance_seconds))
    slot = Slot(dip, due_at(serving, dip, PACE) + shift)
    at = smell_at(serving, planned, slot, dip + off, PACE)
    assert at is not None
    assert judge(serving, planned, dip + off, begun_at(at), PACE).word == ""
    assert set_age(serving, dip + off, at, PACE) == 1000 * age + shift
