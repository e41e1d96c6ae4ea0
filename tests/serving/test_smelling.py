"""How a set is smelt: the seconds it takes, the words in order, what a plan seals of it, and one source of it all.

Facts of hand and nose (which end is held, how far, how many sniffs, pauses): common practice or our proposal, no
published source; seconds are counted here by hand.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import Any

import pytest

from evaluation.actions import ballot
from evaluation.actions import plan as planning
from evaluation.errors import ArgumentError
from evaluation.ground.canonical import canonical
from evaluation.serving import smelling
from evaluation.serving.smelling import Way
from evaluation.sessions import GO_BACK_ONCE, GOING_BACK, NO_GOING_BACK, SKIN, STRIP, Plan
from evaluation.sheets import printing
from evaluation.sheets.printing import Wish
from evaluation.store.translate import plan_of, plan_text
from tests import scenes
from tests.methods import ALL_METHODS
from tests.sheets.test_sheets import text_of, timing

ROOT = Path(__file__).resolve().parents[2]
WRONG_END = re.compile(r"smell[^.]{0,40}(dry|undipped) end", re.IGNORECASE)  # smelling bare paper


@pytest.mark.parametrize(
    ("strips", "by_hand"),
    [
        (1, 5 + 20),
        (2, 5 + 60 + 5 + 20),
        (3, 5 + 60 + 5 + 60 + 5 + 20),
        (5, 5 * 5 + 4 * 60 + 20),
    ],
)
def test_a_set_takes_its_sniffs_its_pauses_and_the_answer(strips: int, by_hand: int) -> None:
    assert smelling.set_seconds(strips) == by_hand


def test_three_strips_need_clearly_more_than_ninety_seconds() -> None:
    assert smelling.set_seconds(3) >= 90 + 60


def test_going_back_once_smells_every_strip_twice_with_all_pauses() -> None:
    assert smelling.set_seconds(2, rounds=2) == 4 * 5 + 3 * 60 + 20


def test_each_further_rating_takes_its_seconds() -> None:
    assert smelling.set_seconds(1, ratings=9) == 5 + 20 + 8 * 4


@pytest.mark.parametrize(
    "bad", [{"strips": 0}, {"strips": 13}, {"strips": 2, "rounds": 3}, {"strips": 2, "ratings": 0}]
)
def test_what_no_set_can_be_is_refused_with_the_range(bad: dict[str, int]) -> None:
    with pytest.raises(ArgumentError, match="must be"):
        smelling.set_seconds(**bad)


def test_a_plan_counts_its_strips_its_ratings_and_the_way_back() -> None:
    assert smelling.seconds_of(scenes.plan()) == 155
    assert smelling.seconds_of(scenes.plan(going_back=NO_GOING_BACK)) == 155
    assert smelling.seconds_of(scenes.plan(going_back=GO_BACK_ONCE)) == 6 * 5 + 5 * 60 + 20
    rated = scenes.plan(method="profile", descriptors=scenes.RATED, asks_liking=True)  # three words, strength, liking
    assert smelling.seconds_of(rated) == 5 + 20 + 4 * 4


# --- words ------------------------------------------------------------------------------------------------------------


def every_way() -> Iterator[Way]:
    for strips, medium, back in product(range(1, 7), (STRIP, SKIN), ("", *GOING_BACK)):
        if medium == STRIP or strips <= 4:
            yield Way(strips, medium, back, reference=strips == 3)
            yield Way(strips, medium, back, kept=strips == 1, alone=strips > 1 and medium == STRIP)


@pytest.mark.parametrize("how", tuple(every_way()), ids=str)
def test_hands_and_nose_are_told_what_to_do_in_the_order_of_doing(how: Way) -> None:
    lines = smelling.lines(how)
    told = " ".join(lines)
    assert 4 <= len(lines) <= 6
    assert all(len(line) <= 130 for line in lines), "a line on a phone is short"
    steps = [
        "Smell the",
        "Bring",
        "1 to 3 cm",
        "Two or three short sniffs, about 3 seconds",
        "wait a minute in clean air",
    ]
    steps = ["Hold " if step == "Bring" and how.medium == STRIP else step for step in steps]
    places = [told.index(step) for step in steps]
    assert places == sorted(places)
    if how.medium == STRIP:
        held, brought = told.index("by its dry end"), told.index("Bring the dipped end 1 to 3 cm under your nose")
        assert held < brought < told.index("Put it back, its dipped end touching nothing")
        assert "touches neither nose nor skin" in told
    else:
        assert "strip" not in told
        assert "Do not touch it, rub it or blow on it." in told
    assert not WRONG_END.search(told)
    assert not WRONG_END.search(f"{smelling.reminder(how)} {smelling.rest(how)} {smelling.paragraph(how)}")


@pytest.mark.parametrize(
    ("how", "first"),
    [
        (Way(1), "Smell the strip whose code is shown, and no other."),
        (Way(2), "Smell the two strips left to right, in the order of the codes shown."),
        (Way(5), "Smell the five strips left to right, in the order of the codes shown."),
        (Way(3, reference=True), "Smell the reference first: it is the left strip. Then the others, left to right."),
    ],
)
def test_each_method_says_which_is_first(how: Way, first: str) -> None:
    assert smelling.lines(how)[0] == first


@pytest.mark.parametrize("strips", [1, 3])
@pytest.mark.parametrize("medium", [STRIP, SKIN])
def test_what_is_sealed_about_going_back_is_told_once_and_nothing_where_it_is_not_said(
    strips: int, medium: str
) -> None:
    said = {back: " ".join(smelling.lines(Way(strips, medium, back))) for back in ("", *GOING_BACK)}
    assert re.search("Do not go back|do not smell it again", said[NO_GOING_BACK])
    assert "once more" in said[GO_BACK_ONCE]
    assert not re.search("back to|once more|again", said[""])


def test_the_way_of_a_plan_is_read_from_it() -> None:
    assert smelling.way(scenes.plan(method="duo-trio")).reference
    assert smelling.way(scenes.plan(method="tetrad", going_back="once")) == Way(4, going_back="once")
    assert smelling.way(scenes.plan(people=1, solo=True, replicates=2)).alone
    again = {"resmell": True, "minutes": (5, 60), "primary": None, "descriptors": scenes.RATED}
    assert smelling.way(scenes.plan(method="profile", **again)).kept


# --- where they are read ----------------------------------------------------------------------------------------------


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize("method", ["triangle", "2-afc", "duo-trio", "two-out-of-five", "profile", "ranking", "round"])
def test_cards_and_times_tell_the_same_steps_in_the_same_order(notebook: Any, method: str) -> None:
    session = scenes.scene(notebook).smelling(method=method, going_back=smelling.going_back_of(method))
    wanted = smelling.paragraph(smelling.way(session.plan), session.plan.sets_per_nose)
    assert ("Rest three minutes" in wanted) == (method == "round")  # single strips tell it themselves
    assert wanted in flat(text_of(printing.open_sheet(notebook, session.id, "times", Wish()).content))
    card = flat(text_of(printing.open_sheet(notebook, session.id, "ballots", Wish()).content))
    assert card.count(wanted) == 8 * session.plan.sets_per_nose, "each set, and not the questions at the end"
    assert wanted in printing.open_sheet(notebook, session.id, "ballots", Wish(form="html")).content.decode()


def test_the_calendar_reminds_in_one_line(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(printing, "timing_of", timing)
    session = scenes.scene(notebook).smelling(going_back="no")
    told = printing.calendar(notebook, session.id, Wish()).content.decode().replace("\r\n ", "").replace("\\,", ",")
    assert smelling.reminder(smelling.way(session.plan)) in told


def test_nothing_in_the_house_sends_the_nose_to_the_wrong_end() -> None:
    """The mistake stood on ballot and cards, and a test pinned it."""
    read = [*ROOT.glob("*.md"), *(ROOT / "pages").rglob("*.py"), *(ROOT / "evaluation").rglob("*.py")]
    found = [path.name for path in read if WRONG_END.search(re.sub(r'"\s*\n\s*f?"', "", path.read_text("utf-8")))]
    assert found == []


# --- what a plan seals ------------------------------------------------------------------------------------------------


def test_a_plan_that_does_not_say_keeps_the_spelling_it_had_before() -> None:
    told = json.loads(canonical(scenes.plan()))["value"]
    assert "going_back" not in told
    old = plan_text(scenes.plan())
    assert plan_of(old).going_back == ""
    assert plan_text(plan_of(old)) == old


@pytest.mark.parametrize("back", GOING_BACK)
def test_what_a_plan_says_of_going_back_is_sealed_and_read_back(notebook: Any, back: str) -> None:
    session = scenes.scene(notebook).sealed(going_back=back)
    assert planning.session(notebook, session.id).plan.going_back == back
    assert f'"going_back":"{back}"' in plan_text(session.plan)
    assert session.sealed_hash != scenes.scene(notebook).sealed(going_back="").sealed_hash


def test_another_way_back_is_refused_in_one_sentence() -> None:
    with pytest.raises(ArgumentError, match="going back must be one of '', 'no', 'once', not 'twice'") as refused:
        scenes.plan(going_back="twice")
    assert str(refused.value).count(".") == 1


@pytest.mark.parametrize("method", ALL_METHODS)
def test_a_new_plan_begins_with_a_way_that_can_be_sealed(method: str) -> None:
    """Our choice: one smelling carries a choice, and neither a list of words nor an order of several."""
    assert smelling.going_back_of(method) == ("once" if method in {"profile", "ranking"} else "no")


# --- the rest between two sets ----------------------------------------------------------------------------------------


def test_the_rest_between_two_sets_is_shown_and_holds_nobody(notebook: Any) -> None:
    session = scenes.scene(notebook).smelling(minutes=(5, 90), primary=300)
    mine = scenes.ballots(notebook, session.id)[0].id
    assert ballot.view(notebook, mine).rest_in is None, "no set came before"
    while ballot.view(notebook, mine).set_number == 1:
        asked = ballot.view(notebook, mine).question
        assert asked is not None
        ballot.lock(notebook, mine, asked.serving_id, asked.name, scenes.first_option(asked))
    rest = ballot.view(notebook, mine).rest_in
    assert rest is not None
    assert 179_000 < rest <= 180_000
    asked = ballot.view(notebook, mine).question
    assert asked is not None
    ballot.lock(notebook, mine, asked.serving_id, asked.name, scenes.first_option(asked))  # at once, and it is taken


def test_single_strips_follow_each_other_after_a_minute() -> None:
    assert [Way(strips).rest_seconds for strips in (1, 2, 5)] == [60, 180, 180]


def test_every_medium_of_a_plan_has_its_way() -> None:
    from tests.skin_scene import on_both

    plan: Plan = scenes.plan(**on_both(), method="2-afc")
    assert [(one.medium, one.strips) for one in smelling.ways(plan)] == [(STRIP, 2), (SKIN, 2)]
    beside = smelling.beside_strips(smelling.way(plan, SKIN))
    assert len(beside) == 3
    assert beside[-1].endswith("as with the strips.")
