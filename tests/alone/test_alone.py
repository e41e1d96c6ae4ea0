"""Alone: what is prepared in one go, the lotteries of the page enumerated, and the order of a session played through."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, datetime
from itertools import pairwise, permutations
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binom

from evaluation.alone import course, ways
from evaluation.alone.course import Standing
from evaluation.alone.foreseen import Day, _Played, foreseen
from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical, digest
from evaluation.serving.blinding import correct_value, orders
from evaluation.sessions import Plan, StripAge
from tests.scenes import plan

HOUR = 3_600_000
MINUTE = 60_000


def alone(preparation: str = "vials", **changes: Any) -> Plan:
    """Twelve triangles for one person, unless told otherwise."""
    return plan(people=1, **({"solo": True, "replicates": 12, "preparation": preparation} | changes))


# --- what is prepared in one go -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("method", "clips", "vials"),
    [
        ("triangle", ("AAB", "ABB"), (("AAB", 6), ("ABB", 6))),
        ("tetrad", ("AABB",), (("AABB", 12),)),
        ("2-afc", ("AB",), (("AB", 12),)),
        ("3-afc", ("AAB",), (("AAB", 12),)),  # the second trial is expected to stand out
    ],
)
def test_each_method_has_its_own_groups(method: str, clips: Any, vials: Any) -> None:
    """Both kinds of a triangle come from one dip where marks are seen; by vials each set is dipped for itself."""
    by_clips = ways.batches(alone("clips", method=method))
    assert {one.groups for one in by_clips} == {clips}
    assert [len(one.places) for one in by_clips] == [len(clips)] * (12 // len(clips))
    assert [place for one in by_clips for place in one.places] == list(range(1, 13))
    by_vials = alone(method=method)
    assert [one.places for one in ways.batches(by_vials)] == [(place,) for place in range(1, 13)]
    assert ways.bags(by_vials, 300) == vials


def test_null_groups_are_of_one_trial_and_look_like_the_others() -> None:
    made = alone("clips", null_sets=3, minutes=(60, 240), primary=3600)
    assert ways.null_groups(made) == ("AAa", "BBb", "AAa")
    at_an_hour = [one for one in ways.batches(made) if one.age_seconds == 3600]
    assert sum(len(one.places) for one in at_an_hour) == 15
    assert sorted(group for one in at_an_hour for group in one.groups) == sorted(
        [*["AAB", "ABB"] * 6, "AAa", "AAa", "BBb"]
    )
    assert max(len(one.groups) for one in at_an_hour) == 3, "never two null groups where there is room for one each"
    assert all(len(one.places) == 2 for one in ways.batches(made) if one.age_seconds == 14_400)
    assert ways.bags(alone(null_sets=3), 300) == (("AAB", 6), ("ABB", 6), ("AAa", 2), ("BBb", 1))


@pytest.mark.parametrize(
    ("method", "nulls"), [("2-afc", ("Aa", "Bb")), ("3-afc", ("AAa", "Bbb")), ("tetrad", ("AAaa", "BBbb"))]
)
def test_null_groups_of_the_other_methods(method: str, nulls: tuple[str, str]) -> None:
    made = alone(method=method, null_sets=2)
    assert tuple(map(sorted, ways.null_groups(made))) == tuple(map(sorted, nulls))


@pytest.mark.parametrize("groups", [("AAB", "ABB"), ("AAB", "ABB", "AAa"), ("AB",), ("AABB",), ("AAB",), ("AAaa",)])
def test_dips_alternate_within_each_group_and_hold_what_they_should(groups: tuple[str, ...]) -> None:
    for number in range(50):
        dipped = ways.dipping_order(groups, f"set {number}")
        assert sorted(map(sorted, dipped)) == sorted(map(sorted, groups))
        assert all(one != other for group in dipped for one, other in pairwise(group))


def test_which_group_and_which_trial_comes_first_is_as_good_as_drawn() -> None:
    """Over 400 names of sets either comes first about as often: the central 99.99 % of a fair coin, by scipy."""
    low, high = binom.interval(0.9999, 400, 0.5)
    names = [digest(canonical(number)) for number in range(400)]
    assert low <= sum(ways.dipping_order(("AAB", "ABB"), one)[0] == "ABA" for one in names) <= high
    assert low <= sum(ways.dipping_order(("AABB",), one)[0] == "ABAB" for one in names) <= high
    assert low <= sum(ways.dipping_order(("AB",), one)[0] == "AB" for one in names) <= high


# --- the lotteries, as the page describes them ------------------------------------------------------------------------


def turned(round_the_plate: str) -> list[str]:
    """Every way a plate can stop: the one nearest comes first, then clockwise."""
    return [round_the_plate[at:] + round_the_plate[:at] for at in range(len(round_the_plate))]


def by_plate(group: str) -> list[str]:
    """The order a group gets: two or three by one turn; of four the nearest is first, the rest are turned again."""
    if len(group) < 4:
        return turned(group)
    return [one[0] + rest for one in turned(group) for rest in turned(one[1:])]


@pytest.mark.parametrize("group", ["AB", "AAB", "ABB", "AABB", "ABAB", "AAa", "AaAa"])
def test_turning_a_plate_makes_every_order_of_a_group_equally_likely(group: str) -> None:
    """However the clips were laid round the plate: enumerated."""
    for laid in set(permutations(group)):
        found = Counter(by_plate("".join(laid)))
        assert found.keys() == {"".join(one) for one in permutations(group)}
        assert len(set(found.values())) == 1


@pytest.mark.parametrize("method", ["triangle", "2-afc", "3-afc", "tetrad"])
def test_whoever_knows_the_composition_still_guesses_at_chance(method: str) -> None:
    """By plate and by bag, each answer is right in the same share of the orders of each composition."""
    expected = "second" if method == "3-afc" or method == "2-afc" else ""
    codes = ("482", "517", "903", "264")[: len(orders(method, expected)[0])]
    for group in {"".join(sorted(one)) for one in orders(method, expected)}:
        for lottery in (by_plate(group), ["".join(one) for one in permutations(group)]):  # out of a shaken bag
            rights = Counter(correct_value(method, order, codes, expected) for order in lottery)
            assert len(set(rights.values())) == 1
            assert len(rights) == {"triangle": 3, "tetrad": 3, "3-afc": 3, "2-afc": 2}[method]


@pytest.mark.parametrize("groups", [("AAB", "ABB"), ("AAB", "ABB", "AAa"), ("AB", "Aa")])
def test_turning_the_plate_hides_which_group_is_which(groups: tuple[str, ...]) -> None:
    """The groups lie round the plate; each is the first set equally often."""
    stops = [groups[at:] + groups[:at] for at in range(len(groups))]
    for place in range(len(groups)):
        assert Counter(one[place] for one in stops) == Counter(groups)


# --- room in the plan -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({}, "strip age must be at least 6 minutes with clips, not 5 min, because 2 sets come from one dip"),
        ({"minutes": (10,)}, "tolerance must be at least 30 percent at a strip age of 10 min with clips"),
        ({"minutes": (50,), "null_sets": 1}, "3 sets come from one dip and are smelt 5 min 55 s apart"),
        ({"method": "2-afc", "minutes": (1,)}, "the strips are clipped, shuffled and coded first"),
    ],
)
def test_a_plan_whose_second_set_cannot_have_its_age_is_refused(changes: Any, sentence: str) -> None:
    """A dip of both kinds is smelt 5 min 55 s apart: 155 s of smelling, 20 s of putting away, 180 s of rest."""
    with pytest.raises(ArgumentError, match=sentence):
        ways.check(alone("clips", **changes))


def test_plans_with_room_are_taken() -> None:
    wide = (StripAge(600, 200),)
    for made in (
        alone(),
        alone(minutes=(0.5,)),
        alone("clips", minutes=(30, 240), primary=1800),
        alone("clips", minutes=(60,), null_sets=2),
        alone("clips", ages=wide, primary=600),
        alone("clips", method="tetrad"),
        alone(""),
        plan(),
    ):
        ways.check(made)


def test_the_sets_of_one_dip_are_smelt_round_the_planned_age() -> None:
    made = alone("clips", minutes=(60,), null_sets=1)
    for batch in ways.batches(made):
        lags = [ways.lag_seconds(made, batch, place) for place in batch.places]
        assert abs(sum(lags)) <= 1
        assert all(later - one >= 355 - 1 for one, later in pairwise(lags))


# --- what comes next --------------------------------------------------------------------------------------------------


def played(made: Plan) -> tuple[_Played, list[course.Next]]:
    person, steps = _Played(made), []
    while (step := course.next_of(made, person.sets, person.moment)).kind != course.OVER:
        steps.append(step)
        person.take(step)
    return person, steps


def test_while_one_age_waits_another_is_smelt() -> None:
    """Four-hour strips are made first, one between two five-minute sets, and each is smelt when it is due."""
    made = alone(replicates=4, minutes=(5, 240), primary=300)
    _, steps = played(made)
    done = [(one.kind, one.places[0]) for one in steps if one.kind in (course.MAKE, course.SMELL)]
    assert done[:4] == [("make", 5), ("make", 1), ("make", 6), ("smell", 1)]
    assert [place for kind, place in done if kind == "smell"] == [1, 2, 3, 4, 5, 6, 7, 8]
    assert done.index(("make", 8)) < done.index(("smell", 4)), "all are made before the last young one is smelt"


def standing(*sets: Standing) -> list[Standing]:
    return [*sets, *(Standing(place) for place in range(len(sets) + 1, 13))]


def smelt_until(made: Plan, at: int, count: int) -> list[Standing]:
    """``count`` sets put away, the last one at ``at``, ten minutes apart."""
    done = [
        Standing(n, due_at=1, laid=True, begun=True, answered=True, away_at=at - (count - n) * 10 * MINUTE)
        for n in range(1, count + 1)
    ]
    return standing(*done)


@pytest.mark.parametrize(
    ("zone", "last", "go_on"),
    [
        ("UTC", "2026-11-26 23:40", "2026-11-27 07:40"),  # eight hours, not the midnight after
        ("UTC", "2026-11-26 10:00", "2026-11-27 07:00"),  # nobody is proposed to go on at midnight
        ("UTC", "2026-11-27 01:30", "2026-11-27 09:30"),  # who smells at night has a day that ends at four
        ("Asia/Tokyo", "2026-11-26 23:40", "2026-11-27 07:40"),
        ("Europe/Paris", "2026-10-24 22:00", "2026-10-25 07:00"),  # the clocks go back: ten hours lie between
        ("Europe/Paris", "2026-03-28 23:30", "2026-03-29 08:30"),  # and forward: eight hours are eight hours
    ],
)
def test_tomorrow_is_another_day_and_at_least_eight_hours_later(zone: str, last: str, go_on: str) -> None:
    made = alone(zone=zone)
    at = int(datetime.fromisoformat(last).replace(tzinfo=ZoneInfo(zone)).timestamp()) * 1000
    why, until = course.rest_before(made, smelt_until(made, at, 8), 9)
    assert why == course.NEXT_DAY
    assert datetime.fromtimestamp(until / 1000, UTC).astimezone(ZoneInfo(zone)).isoformat(" ")[:16] == go_on
    assert until - at >= 8 * HOUR


def test_rests_between_sets_and_sittings() -> None:
    """Common practice, no source: 3 min between sets, a long break after 4 triads; its 10 min are our proposal."""
    made, at = alone(), 1_767_603_600_000
    assert course.rest_before(made, standing(), 1) == ("", 0)
    assert course.rest_before(made, smelt_until(made, at, 1), 2) == (course.BETWEEN_SETS, at + 3 * MINUTE)
    assert course.rest_before(made, smelt_until(made, at, 4), 5) == (course.BETWEEN_SITTINGS, at + 10 * MINUTE)


def test_ageing_strips_rest_the_nose_meanwhile() -> None:
    """After a set the next strips are made at once: their five minutes are longer than the three of the rest."""
    made, at = alone(), 1_767_603_600_000
    assert course.next_of(made, smelt_until(made, at, 1), at).kind == course.MAKE
    after_four = course.next_of(made, smelt_until(made, at, 4), at)
    assert (after_four.kind, after_four.why) == (course.REST, course.BETWEEN_SITTINGS)
    assert after_four.until == at + 10 * MINUTE - 1000 * (3 * 15 + 20 + 300), "made so that they are due when it ends"


def test_what_is_due_waits_for_the_rest_only_within_its_tolerance() -> None:
    made, at = alone(), 1_767_603_600_000
    waiting = Standing(2, due_at=at + MINUTE, until=at + 2 * MINUTE, laid=True)
    one = smelt_until(made, at, 1)[0]
    assert course.next_of(made, standing(one, waiting), at + MINUTE) == course.Next(course.SMELL, (2,))
    patient = Standing(2, due_at=at + MINUTE, until=at + 9 * MINUTE, laid=True)
    told = course.next_of(made, standing(one, patient), at + MINUTE)
    assert (told.kind, told.until, told.why) == (course.WAIT, at + 3 * MINUTE, course.BETWEEN_SETS)


def test_strips_that_need_hours_are_not_made_for_the_night() -> None:
    made = alone(replicates=4, minutes=(5, 240), primary=300)
    evening = int(datetime(2026, 11, 26, 21, 0, tzinfo=UTC).timestamp()) * 1000
    sets = [Standing(place) for place in range(1, 9)]
    assert course.next_of(made, sets, evening).places == (1,), "four hours later it is one in the morning"
    assert course.next_of(made, sets, evening - 3 * HOUR).places == (5,)


PLANS = st.builds(
    lambda preparation, method, pairs, minutes, nulls: alone(
        preparation,
        method=method,
        replicates=2 * pairs,
        ages=tuple(StripAge(m * 60, m * 60 // 2) for m in sorted(minutes)),
        primary=min(minutes) * 60,
        null_sets=nulls,
    ),
    st.sampled_from(["clips", "vials"]),
    st.sampled_from(["triangle", "tetrad", "2-afc", "3-afc"]),
    st.integers(1, 8),
    st.sets(st.sampled_from([40, 60, 240, 600, 1440, 2880]), min_size=1, max_size=3),
    st.integers(0, 2),
)


@settings(max_examples=60, deadline=None)
@given(PLANS)
def test_whoever_keeps_to_the_proposals_smells_everything_at_its_age(made: Plan) -> None:
    """Every set is smelt once, within its tolerance, apart from the others, and no day holds more than two sittings."""
    ways.check(made)
    person = _Played(made)
    smelt: dict[int, tuple[int, int, int]] = {}
    while (step := course.next_of(made, person.sets, person.moment)).kind != course.OVER:
        if step.kind == course.SMELL:
            one = person.sets[step.places[0] - 1]
            smelt[one.place] = (person.moment, one.due_at or 0, one.until or 0)
        person.take(step)
    assert sorted(smelt) == [one.place for one in person.sets]
    assert all(due <= at <= until for at, due, until in smelt.values())
    begun = sorted(at for at, _, _ in smelt.values())
    assert all(later - one >= 1000 * ways.gap_seconds(made) for one, later in pairwise(begun))
    days = foreseen(made)
    assert sum(one.sets for one in days.days) == made.sets_per_nose
    most = 2 * course.sets_a_sitting(made.method)
    assert max(one.sets for one in days.days) <= max(most, *(len(one.places) for one in ways.batches(made)))


# --- how long -----------------------------------------------------------------------------------------------------------


def test_twelve_sets_by_vials_take_two_days() -> None:
    """By hand. 36 vials × 25 s; a set 3 × 15 s + 20 s, five minutes, 155 s and 20 s, so 540 s; 235 s more after four.

    Day one: 900 + 8 × 540 + 235 = 5455 s, so 91 min. Day two: 2160 s, so 36 min.
    """
    found = foreseen(alone())
    assert (found.sittings, [(one.sets, one.minutes) for one in found.days]) == (3, [(8, 91), (4, 36)])


def test_sets_of_two_ages_share_the_hours_they_wait() -> None:
    """Four sets at 5 min and four at 4 h take little longer than four hours, and eight of each two such days."""
    short = foreseen(alone(replicates=4, minutes=(5, 240), primary=300))
    assert [one.sets for one in short.days] == [8]
    assert 240 < short.days[0].minutes < 300
    assert short.days[0].busy < 60
    long = foreseen(alone(replicates=8, minutes=(5, 240), primary=300))
    assert [one.sets for one in long.days] == [8, 8]


def test_a_plan_sealed_before_is_foreseen_without_ages() -> None:
    assert [one.sets for one in foreseen(alone("")).days] == [8, 4]
    assert isinstance(foreseen(alone("")).days[0], Day)


@pytest.mark.parametrize("preparation", ["", "clips", "vials"])
def test_the_largest_plans_are_foreseen(preparation: str) -> None:
    made = alone(preparation, replicates=60, minutes=(60, 10_080), primary=3600)
    assert sum(one.sets for one in foreseen(made).days) == 120


# --- the plan -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"preparation": "envelopes"}, "preparation must be one of"),
        ({"preparation": "", "null_sets": 1}, "null sets must be 0 alone where no way of preparing is named"),
        ({"null_sets": 1, "look_every": 4}, "and where looks are planned"),
        ({"null_sets": 5}, "null sets must be from 0 to 4"),
    ],
)
def test_what_a_plan_alone_cannot_be(changes: Any, sentence: str) -> None:
    with pytest.raises(ArgumentError, match=sentence):
        alone(**changes)


def test_a_panel_has_no_way_of_preparing_alone() -> None:
    with pytest.raises(ArgumentError, match="preparation must be one of ''"):
        plan(preparation="vials")


def test_an_old_plan_keeps_its_spelling() -> None:
    """What was sealed before says nothing of a preparation, and still does."""
    assert b"preparation" not in canonical(plan(people=1, solo=True, replicates=2))
    assert b'"preparation":"clips"' in canonical(alone("clips"))
