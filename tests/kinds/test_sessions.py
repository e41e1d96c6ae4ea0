"""Plans, states and what a ballot asks (evaluation/sessions.py)."""

from __future__ import annotations

import re
from dataclasses import FrozenInstanceError
from decimal import Decimal
from itertools import combinations, product
from typing import Any

import pytest

from evaluation import sessions
from evaluation.errors import ArgumentError, KindError, StateError
from evaluation.serving.asking import questions
from evaluation.sessions import Deviation, Question, Seat, Serving, StripAge, next_state
from tests import methods
from tests.scenes import ages, plan, seats

# The rules (DEVELOPERS.md): five states and the sixth, void, which needs a seal to give up. Written out by hand here, so
# that a step slipped into the program's table is noticed.
ALLOWED = {
    ("draft", "seal"): "sealed",
    ("sealed", "start"): "smelling",
    ("smelling", "close"): "closed",
    ("closed", "open"): "opened",
    ("sealed", "void"): "void",
    ("smelling", "void"): "void",
    ("closed", "void"): "void",
}
EVENTS = ("seal", "start", "close", "open", "void", "draft", "")


@pytest.mark.parametrize(("state", "event"), list(product(sessions.STATES, EVENTS)))
def test_every_pair_of_state_and_event_is_decided(state: str, event: str) -> None:
    if (state, event) in ALLOWED:
        assert next_state(state, event) == ALLOWED[state, event]
    else:
        with pytest.raises(StateError, match=f"A session that is {state} cannot"):
            next_state(state, event)


def test_a_refused_step_says_what_is_possible() -> None:
    with pytest.raises(StateError, match=re.escape("A session that is opened cannot void; it can: nothing more.")):
        next_state("opened", "void")
    with pytest.raises(StateError, match=re.escape("it can: close, void.")):
        next_state("smelling", "open")


# --- plans ------------------------------------------------------------------------------------------------------------

REFUSED: list[tuple[dict[str, Any], str]] = [
    ({"title": " "}, "title must not be empty."),
    ({"title": "x" * 121}, "title may have at most 120 characters, not 121."),
    ({"method": "hexad"}, "method must be one of 'triangle', 'duo-trio'"),
    ({"medium": "paper"}, "medium must be one of 'strip', 'skin', 'strip and skin', not 'paper'."),
    ({"second_trial_id": "trial-7"}, "a trial cannot be told from itself"),
    ({"replicates": 0}, "replicates must be from 1 to 60, not 0."),
    ({"replicates": 61}, "replicates must be from 1 to 60, not 61."),
    ({"solo": True, "seats": seats(2)}, "panel of a solo session must be one person, without spare seats."),
    ({"solo": True, "seats": seats(1, 1)}, "panel of a solo session must be one person, without spare seats."),
    ({"solo": True, "seats": seats(1), "replicates": 5}, "replicates of a solo triangle must be even"),
    ({"solo": True, "seats": seats(1), "method": "duo-trio"}, "method of a solo session must be one of"),
    ({"solo": True, "seats": seats(1), "method": "preference"}, "method of a solo session must be one of"),
    ({"solo": True, "seats": seats(1), "replicates": 8, "null_sets": 1}, "null sets must be 0"),
    (
        {"solo": True, "seats": seats(1), "replicates": 8, "look_every": 3},
        "look every must be even for a solo triangle",
    ),
    ({"look_every": 9}, "look every must be at most 8, the assessments planned."),
    ({"look_every": 12, "replicates": 2}, "look every must be a multiple of 8"),
    (
        {"look_every": 3},
        "look every must divide the 8 answers planned, not be 3: the last look comes after all of them.",
    ),
    ({"look_every": 16, "replicates": 3}, "look every must divide the 24 answers planned, not be 16"),
    (
        {"solo": True, "seats": seats(1), "replicates": 10, "look_every": 4},
        "look every must divide the 10 answers planned, not be 4",
    ),
    ({"look_every": 4, "ages": ages(5, 60)}, "look every must be 0 for preferences and for several strip ages"),
    ({"null_sets": 5}, "null sets must be from 0 to 4, not 5."),
    ({"prior": "mine"}, "prior must be one of"),
    ({"alpha": Decimal(0)}, "alpha must lie between 0 and 1, both excluded, not 0."),
    ({"alpha": Decimal(1)}, "alpha must lie between 0 and 1"),
    ({"alpha": Decimal("NaN")}, "alpha must lie between 0 and 1"),
    ({"alpha": 0.05}, "alpha must lie between 0 and 1"),  # a float has no one spelling to seal
    ({"beta": Decimal(-1)}, "beta must lie between 0 and 1"),
    ({"pd": Decimal("1.5")}, "pd must lie between 0 and 1"),
    ({"ages": ()}, "strip ages must be one or more different times, youngest first."),
    ({"ages": ages(5, 5)}, "strip ages must be one or more different times"),
    ({"ages": ages(60, 5)}, "youngest first"),
    ({"ages": ages(*range(1, 102))}, "strip ages must be at most 100, not 101."),
    ({"primary": 60}, "primary must be one of None, 300, not 60."),
    ({"primary": None}, "primary must be the strip age itself where there is only one."),
    ({"primary": "overall"}, "primary must be one of"),
    ({"ages": ages(5, 60), "primary": "overall"}, "primary must be one of None, 300, 3600"),
    ({"seats": ()}, "panel must have at least one person."),
    ({"seats": (Seat(1, None),)}, "panel must have at least one person."),
    ({"seats": (Seat(1, "p"), Seat(2, "p"))}, "panel must name each person once."),
    ({"seats": (Seat(1, "p"), Seat(3, "q"))}, "seats must be numbered from 1"),
    ({"seats": seats(81)}, "be at most 80."),
    ({"descriptor": "smokier"}, "descriptor and expected direction belong to 2-afc and 3-afc, not to triangle."),
    ({"method": "2-afc", "descriptor": ""}, "descriptor must not be empty."),
    ({"method": "3-afc", "expected": ""}, "expected must be one of 'first', 'second', not ''."),
    ({"method": "preference", "replicates": 2}, "replicates must be 1 for preferences"),
    ({"ties_rule": "ignore"}, "ties rule must be one of 'drop', 'split', not 'ignore'."),
    ({"left_out": ("late",)}, "left out must include wrong strip, ruined strip, unblinded."),
    ({"left_out": (*sessions.ALWAYS_OUT, "rain")}, "left out must be one of"),
]


@pytest.mark.parametrize(("changes", "sentence"), REFUSED, ids=[sentence[:40] for _, sentence in REFUSED])
def test_a_plan_that_cannot_be_held_says_why(changes: dict[str, Any], sentence: str) -> None:
    with pytest.raises((ArgumentError, KindError), match=re.escape(sentence)):
        plan(**changes)


def test_a_plan_counts_people_assessments_and_strips() -> None:
    planned = plan(people=8, spare=2, minutes=(5, 60), replicates=3)
    assert (planned.people, planned.assessments) == (8, 24)  # spare seats are nobody yet
    assert planned.strips == 8 * 3 * 2 * 3  # people x replicates x ages x strips of a triangle


def test_a_preference_may_name_the_overall_choice_as_primary() -> None:
    assert plan(method="preference", ages=ages(5, 60), primary="overall").primary == "overall"
    assert plan(ages=ages(5, 60), primary=None).primary is None


@pytest.mark.parametrize(("seconds", "tolerance"), [(29, 5), (604_801, 5), (300, 4), (300, 301), (-1, 5)])
def test_a_strip_age_outside_what_we_serve_is_refused(seconds: int, tolerance: int) -> None:
    with pytest.raises(ArgumentError, match="in seconds must be from"):
        StripAge(seconds, tolerance)


def test_values_are_frozen() -> None:
    with pytest.raises(FrozenInstanceError):
        plan().title = "another"  # type: ignore[misc]


def test_a_deviation_is_of_a_known_kind_and_has_a_reason() -> None:
    with pytest.raises(ArgumentError, match="kind must be one of"):
        Deviation("", 1, "rain", "it rained", 0)
    with pytest.raises(ArgumentError, match="reason must not be empty"):
        Deviation("", 1, "late", "  ", 0)


# --- what a ballot asks -------------------------------------------------------------------------------------------------


def serving(place: int, codes: tuple[str, ...], **changes: Any) -> Serving:
    fields = {"seat": 1, "age_seconds": 300, "replicate": 1} | changes
    return Serving(f"serving-{place}", place=place, codes=codes, **fields)


def asked_for(method: str, codes: tuple[str, ...], **changes: Any) -> list[Question]:
    return list(questions(plan(method=method, **changes), (serving(1, codes),)))


def test_a_triangle_asks_which_how_sure_and_at_the_end_what_was_heard() -> None:
    choice, sure, heard = asked_for("triangle", ("482", "915", "306"))
    assert (choice.name, choice.options, choice.pick) == ("choice", ("482", "915", "306"), 1)
    assert (sure.name, sure.options) == ("sure", ("guess", "unsure", "fairly sure", "sure"))
    assert (heard.serving_id, heard.name, heard.options) == ("", "overheard", ("no", "yes"))


def test_a_duo_trio_never_offers_its_reference() -> None:
    assert asked_for("duo-trio", ("482", "915", "306"))[0].options == ("915", "306")


def test_a_tetrad_offers_each_way_to_make_two_pairs_once() -> None:
    offered = asked_for("tetrad", ("1a", "2b", "3c", "4d"))[0].options
    ways = [frozenset(frozenset(half.split("+")) for half in way.split("|")) for way in offered]
    by_hand = {
        frozenset({frozenset(two), frozenset({"1a", "2b", "3c", "4d"} - set(two))})
        for two in combinations(["1a", "2b", "3c", "4d"], 2)
    }
    assert len(ways) == 3  # so that guessing is right once in three, as the method's statistics say
    assert set(ways) == by_hand


def test_two_out_of_five_wants_two() -> None:
    choice = asked_for("two-out-of-five", ("1a", "2b", "3c", "4d", "5e"))[0]
    assert (choice.pick, len(choice.options)) == (2, 5)


@pytest.mark.parametrize("allowed", [True, False])
def test_a_preference_offers_no_preference_only_where_the_plan_says_so(allowed: bool) -> None:
    listed = asked_for("preference", ("482", "915"), ties_allowed=allowed)
    assert ("none" in listed[0].options) is allowed


@pytest.mark.parametrize("nearer", [True, False])
def test_a_preference_asks_about_the_brief_where_the_plan_says_so_and_about_each_trial_at_the_end(nearer: bool) -> None:
    names = [q.name for q in asked_for("preference", ("482", "915"), asks_nearer=nearer)]
    asked_first = ["choice", "sure", "nearer"] if nearer else ["choice", "sure"]
    assert names == [*asked_first, "wear 482", "strength 482", "wear 915", "strength 915", "overheard"]


def test_the_overall_choice_is_between_groups_of_codes_and_names_no_trial() -> None:
    planned = plan(method="preference", ages=ages(5, 60), primary="overall")
    served = (serving(1, ("482", "915")), serving(2, ("306", "671"), age_seconds=3600))
    overall = next(q for q in questions(planned, served, (("482", "671"), ("915", "306"))) if q.name == "overall")
    assert overall.options == ("482 671", "915 306", "none")


def test_void_and_unused_spare_sets_are_not_asked() -> None:
    served = (
        serving(1, ("a", "b", "c"), void=True),
        serving(2, ("d", "e", "f")),
        serving(3, ("g", "h", "i"), spare=True),
    )
    assert [q.serving_id for q in questions(plan(), served)] == ["serving-2", "serving-2", ""]


def test_questions_come_in_the_order_of_places_not_of_rows() -> None:
    served = (serving(2, ("d", "e", "f")), serving(1, ("a", "b", "c")))
    assert [q.serving_id for q in questions(plan(), served)][:4:2] == ["serving-1", "serving-2"]


def test_the_number_of_strips_is_what_an_order_of_the_method_holds() -> None:
    from evaluation.serving.blinding import orders

    for method, strips in methods.STRIPS.items():
        assert {len(tray) for tray in orders(method, "first")} == {strips}
