"""Profiles, rounds of pairs and rankings on the ballot (evaluation/actions/ballot.py) and what the bench counts."""

from __future__ import annotations

from itertools import count
from typing import Any

import pytest

from evaluation.actions import ballot, bench
from evaluation.actions.ballot import checked_value
from evaluation.errors import AlreadyAnswered, ArgumentError, StateError
from evaluation.serving.blinding import draw
from evaluation.sessions import Question
from evaluation.values.descriptors import Descriptor
from tests.scenes import (
    SEED,
    Scene,
    ages,
    answer_all,
    answer_by_worth,
    answer_profile,
    ballots,
    first_option,
    key_of,
    plan,
    scene,
)

MIXED = (
    Descriptor("woody"),
    Descriptor("sweet", "category"),
    Descriptor("green", "check"),
    Descriptor("dose", "level"),
)


@pytest.fixture
def here(notebook: Any) -> Scene:
    return scene(notebook)


def first_ballot(notebook: Any, session: Any, seat: int = 1) -> str:
    return str(ballots(notebook, session.id)[seat - 1].id)


def stored(notebook: Any, ballot_id: str) -> dict[str, str]:
    with notebook.reading() as tx:
        return {f"{one.serving_id} {one.question}": one.value for one in tx.ballots.answers(ballot_id)}


# --- what an answer may be ------------------------------------------------------------------------------------------


def question(kind: str, *options: str) -> Question:
    return Question("s", f"rate {kind}", ("482",), options, kind=kind)


OUT = ("not smelt", "skip")
LINE = question("line", *OUT)
CATEGORY = question("category", *"0123456789", *OUT)
LEVEL = question("level", "too weak", "right", "too strong", *OUT)
CHECK = question("check", "no", "yes")
RANKING = Question("s", "ranking", ("482", "155", "903"), ("482", "155", "903"), 3, "ranking")


@pytest.mark.parametrize(
    ("asked", "values"),
    [
        (LINE, ("0.0", "6.5", "9.9", "10.0", "not smelt", "skip")),
        (CATEGORY, ("0", "9", "not smelt", "skip")),
        (LEVEL, ("too weak", "right", "too strong", "skip")),
        (CHECK, ("yes", "no")),
        (RANKING, ("482>155>903", "903>482>155")),
    ],
)
def test_what_each_scale_takes_is_kept_as_it_is(asked: Question, values: tuple[str, ...]) -> None:
    assert [checked_value(asked, value) for value in values] == list(values)


@pytest.mark.parametrize(
    ("asked", "sentence", "values"),
    [
        (LINE, "Mark the line from 0.0 to 10.0, with one decimal", ("", "5", "10.1", "-0.1", "5.55", "5,5", "٥.٥", "5.0\n", "nan")),
        (CATEGORY, "Choose one of", ("10", "", "5.0", "-1", "9+8")),
        (LEVEL, "Choose one of", ("", "strong", "Right")),
        (CHECK, "Choose one of", ("", "skip", "not smelt", "true")),
        (RANKING, "in order once, the best first", ("", "482", "482>155", "482>155>155", "482>155>904", "482+155+903", "482>155>903>")),
    ],
)  # fmt: skip
def test_anything_else_is_refused_in_a_sentence(asked: Question, sentence: str, values: tuple[str, ...]) -> None:
    for value in values:
        with pytest.raises(ArgumentError, match=sentence) as refused:
            checked_value(asked, value)
        assert str(refused.value).count(".") - str(refused.value).count("0.0") <= 1, "one sentence"


# --- one strip, one screen ------------------------------------------------------------------------------------------


def test_a_screen_holds_every_rating_of_one_strip_and_strength_and_liking_last(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="profile", trials=3, descriptors=MIXED, asks_liking=True)
    mine = first_ballot(notebook, session)
    names = ["rate woody", "rate sweet", "rate green", "rate dose", "rate strength", "rate liking"]
    codes = []
    for strip in (1, 2, 3):
        view = ballot.view(notebook, mine)
        assert [asked.name for asked in view.screen] == names
        assert (view.set_number, view.sets, len({asked.serving_id for asked in view.screen})) == (strip, 3, 1)
        codes.append(view.screen[0].codes)
        ballot.lock_screen(notebook, mine, view.screen[0].serving_id, {q.name: first_option(q) for q in view.screen})
    assert len(set(codes)) == 3
    assert [asked.name for asked in ballot.view(notebook, mine).screen] == ["overheard"]


def test_a_drawn_order_of_descriptors_is_a_panelists_own_on_every_strip(notebook: Any, here: Scene) -> None:
    many = tuple(Descriptor(name) for name in ("citrus", "green", "floral", "woody", "smoky", "musky"))
    session = here.smelling(method="profile", descriptors=many, descriptor_order="drawn", asks_liking=True)
    orders = set()
    for seat in (1, 2, 3, 4):
        mine = first_ballot(notebook, session, seat)
        first = ballot.view(notebook, mine).screen
        ballot.lock_screen(notebook, mine, first[0].serving_id, {q.name: "5.0" for q in first})
        second = ballot.view(notebook, mine).screen
        assert [q.name for q in first] == [q.name for q in second]
        assert [q.name for q in first[-2:]] == ["rate strength", "rate liking"]
        orders.add(tuple(q.name for q in first))
    assert len(orders) > 1, "720 orders: four people alike would be no draw"


def test_a_strip_is_locked_whole_or_not_at_all(notebook: Any, here: Scene) -> None:
    mine = first_ballot(notebook, here.smelling(method="profile"))
    screen = ballot.view(notebook, mine).screen
    some = {asked.name: "5.0" for asked in screen[:2]}
    serving = screen[0].serving_id
    with pytest.raises(ArgumentError, match="Nothing was stored: green, strength have no answer yet"):
        ballot.lock_screen(notebook, mine, serving, some)
    whole = {asked.name: "5.0" for asked in screen}
    with pytest.raises(ArgumentError, match="Mark the line"):
        ballot.lock_screen(notebook, mine, serving, whole | {"rate green": "11"})
    with pytest.raises(StateError, match="Another question comes first"):
        ballot.lock_screen(notebook, mine, serving, whole | {"overheard": "no"})
    with pytest.raises(ArgumentError, match="have no answer yet"):
        ballot.lock(notebook, mine, serving, "rate woody", "5.0")
    with pytest.raises(StateError, match="Another question comes first"):
        ballot.lock_screen(notebook, mine, serving, {})
    assert stored(notebook, mine) == {}
    ballot.lock_screen(notebook, mine, serving, whole, "wet stone")
    assert stored(notebook, mine) == {f"{serving} {name}": "5.0" for name in whole} | {f"{serving} remark": "wet stone"}
    with pytest.raises(AlreadyAnswered, match="already answered; the answer stays"):
        ballot.lock_screen(notebook, mine, serving, whole | {"rate green": "6.0"})


def test_not_smelt_and_skip_are_answers_of_their_own(notebook: Any, here: Scene) -> None:
    mine = first_ballot(notebook, here.smelling(method="profile"))
    screen = ballot.view(notebook, mine).screen
    values = dict(zip([asked.name for asked in screen], ["0.0", "not smelt", "skip", "10.0"], strict=True))
    ballot.lock_screen(notebook, mine, screen[0].serving_id, values)
    assert list(stored(notebook, mine).values()) == ["0.0", "not smelt", "skip", "10.0"]


def test_the_warm_up_strip_comes_first_and_is_not_counted_as_a_strip(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="profile", warm_up=True)
    mine = first_ballot(notebook, session)
    view = ballot.view(notebook, mine)
    assert (view.warm_up, view.set_number, view.sets) == (True, 0, 2)
    ballot.lock_screen(notebook, mine, view.screen[0].serving_id, {q.name: "5.0" for q in view.screen})
    view = ballot.view(notebook, mine)
    assert (view.warm_up, view.set_number, view.sets) == (False, 1, 2)


def test_own_strips_come_back_under_their_code_and_are_rated_anew(notebook: Any, here: Scene) -> None:
    mine = first_ballot(notebook, here.smelling(method="profile", resmell=True, minutes=(5, 60)))
    codes, drafts = [], []
    while (view := ballot.view(notebook, mine)).screen[0].serving_id:
        codes.append(view.screen[0].codes[0])
        drafts.append(view.drafts)
        ballot.draft(notebook, mine, view.screen[0].serving_id, {"rate woody": "9.0"})
        ballot.lock_screen(notebook, mine, view.screen[0].serving_id, {q.name: "9.0" for q in view.screen})
    assert sorted(codes[:2]) == sorted(codes[2:])
    assert drafts == [{}] * 4, "what was said of a strip an hour ago is not shown"


# --- drafts ---------------------------------------------------------------------------------------------------------


def test_what_is_tapped_is_there_again_and_the_latest_counts(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="profile")
    mine = first_ballot(notebook, session)
    serving = ballot.view(notebook, mine).screen[0].serving_id
    before = bench.last_event(notebook, session.id)
    for value in ("5.0", "2.5", "skip", "7.1"):
        ballot.draft(notebook, mine, serving, {"rate woody": value})
    ballot.draft(notebook, mine, serving, {"rate smoky": "not smelt", "rate strength": "3.0"})
    assert ballot.view(notebook, mine).drafts == {
        "rate woody": "7.1",
        "rate smoky": "not smelt",
        "rate strength": "3.0",
    }
    assert ballot.view(notebook, first_ballot(notebook, session, 2)).drafts == {}
    assert stored(notebook, mine) == {}
    assert bench.progress(notebook, session.id)[0].answered == 0
    assert bench.last_event(notebook, session.id) == before, "a tap is no event of the log"
    with notebook.reading() as tx:
        assert tx.log.verify(session.id)


def test_a_draft_must_be_an_answer_to_the_strip_that_is_open(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="profile")
    mine = first_ballot(notebook, session)
    first = ballot.view(notebook, mine).screen
    with pytest.raises(ArgumentError, match="Mark the line"):
        ballot.draft(notebook, mine, first[0].serving_id, {"rate woody": "12"})
    for serving, name in ((first[0].serving_id, "overheard"), ("", "rate woody"), ("elsewhere", "rate woody")):
        with pytest.raises(StateError, match="locked already, or was replaced"):
            ballot.draft(notebook, mine, serving, {name: "5.0"})
    ballot.lock_screen(notebook, mine, first[0].serving_id, {q.name: "5.0" for q in first})
    with pytest.raises(StateError, match="locked already, or was replaced"):
        ballot.draft(notebook, mine, first[0].serving_id, {"rate woody": "6.0"})
    assert ballot.view(notebook, mine).drafts == {}
    bench.close(notebook, session.id)
    with pytest.raises(StateError, match="only while the session is running"):
        ballot.draft(notebook, mine, first[0].serving_id, {"rate woody": "6.0"})


def test_only_ratings_are_drafted(notebook: Any, here: Scene) -> None:
    mine = first_ballot(notebook, here.smelling())
    asked = ballot.view(notebook, mine).screen[0]
    with pytest.raises(StateError, match="locked already, or was replaced"):
        ballot.draft(notebook, mine, asked.serving_id, {"choice": asked.options[0]})


# --- rounds and rankings --------------------------------------------------------------------------------------------


def test_a_ranking_takes_every_code_once_best_first(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="ranking", trials=4)
    mine = first_ballot(notebook, session)
    (asked,) = ballot.view(notebook, mine).screen
    best_first = ">".join(reversed(asked.codes))
    ballot.lock(notebook, mine, asked.serving_id, "ranking", best_first)
    assert stored(notebook, mine) == {f"{asked.serving_id} ranking": best_first}
    assert bench.progress(notebook, session.id)[0].sets_done == 1


def test_a_round_asks_each_pair_like_a_preference_and_shows_the_brief(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="round", trials=3)
    mine = first_ballot(notebook, session)
    seen = []
    while (view := ballot.view(notebook, mine)).screen:
        seen.append((view.screen[0].name, view.set_number))
        assert len(view.screen) == 1
        assert view.brief_text == "Fig leaf after rain, no sugar."
        ballot.lock(notebook, mine, view.screen[0].serving_id, seen[-1][0], first_option(view.screen[0]))
    asked = ("choice", "sure", "nearer")
    assert seen == [(name, pair) for pair in (1, 2, 3) for name in asked] + [("overheard", 0)]


def test_the_bench_counts_strips_with_all_their_ratings(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="profile", trials=3, minutes=(5, 30), warm_up=True)
    mine = first_ballot(notebook, session)
    done = bench.progress(notebook, session.id)[0]
    assert (done.answered, done.total, done.sets_done, done.sets) == (0, 7 * 4 + 1, 0, 7)
    for strips in (1, 2):
        screen = ballot.view(notebook, mine).screen
        ballot.lock_screen(notebook, mine, screen[0].serving_id, {q.name: "5.0" for q in screen}, "a remark")
        done = bench.progress(notebook, session.id)[0]
        assert (done.answered, done.sets_done, done.finished) == (4 * strips, strips, False)
    assert answer_all(notebook, mine) == 5 * 4 + 1
    done = bench.progress(notebook, session.id)[0]
    assert (done.answered, done.sets_done, done.finished) == (29, 7, True)


# --- the makers of scenes -------------------------------------------------------------------------------------------


def test_a_profile_answered_by_rule_says_of_each_trial_what_the_rule_says(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="profile", trials=3, minutes=(5, 30), people=3)
    answer_profile(notebook, session.id, lambda seat, letter, serving, word: f"{seat + 'ABC'.index(letter)}.5")
    orders = dict(key_of(notebook, session.id).orders)
    with notebook.reading() as tx:
        rated = [one for one in tx.ballots.session_answers(session.id) if one.question.startswith("rate ")]
        seat_of = {one.id: one.seat for one in tx.ballots.ballots(session.id)}
    assert len(rated) == 3 * 3 * 2 * 4
    assert all(one.value == f"{seat_of[one.ballot_id] + 'ABC'.index(orders[one.serving_id])}.5" for one in rated)


def test_rounds_and_rankings_answered_by_worth_follow_it(notebook: Any, here: Scene) -> None:
    for method in ("round", "ranking"):
        session = here.smelling(method=method, trials=3, people=4)
        answer_by_worth(notebook, session.id, lambda seat, letter: "BCA".index(letter))
        orders = dict(key_of(notebook, session.id).orders)
        with notebook.reading() as tx:
            served = {one.id: one for one in tx.sittings.servings(session.id)}
            said = [one for one in tx.ballots.session_answers(session.id) if one.question in ("choice", "ranking")]
        assert said
        for one in said:
            trial = dict(zip(served[one.serving_id].codes, orders[one.serving_id], strict=True))
            best = one.value.split(">")
            assert trial[best[0]] == max(trial.values(), key="BCA".index)
            assert [trial[code] for code in best] == sorted((trial[c] for c in best), key="BCA".index, reverse=True)


@pytest.mark.parametrize("medium", ["skin", "strip and skin"])
def test_a_ranking_on_skin_is_drawn_on_skin(medium: str) -> None:
    numbers = count()
    minutes = ages(30) if medium != "skin" else ()
    drawn = draw(
        plan(8, method="ranking", other_trial_ids=("trial-9",), medium=medium, skin_ages=minutes),
        SEED,
        lambda: str(next(numbers)),
    )
    on_skin = [one for one in drawn.servings if one.medium == "skin"]
    assert len(on_skin) == 8
    assert len(drawn.servings) == (8 if medium == "skin" else 16)
    assert all(len(set(one.sites)) == len(one.codes) == 3 for one in on_skin)
    assert {one.sites for one in drawn.servings if one.medium == "strip"} <= {()}
