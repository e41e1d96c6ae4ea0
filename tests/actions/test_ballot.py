"""What a panelist sees and locks (evaluation/actions/ballot.py)."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import fields
from typing import Any

import pytest
from sqlalchemy import event

from evaluation.actions import ballot, bench
from evaluation.actions.ballot import checked_value
from evaluation.errors import AlreadyAnswered, ArgumentError, NotFound, StateError
from evaluation.sessions import Question
from tests.methods import METHODS
from tests.scenes import Scene, answer_all, ballots, begun, key_of, scene


@pytest.fixture
def here(notebook: Any) -> Scene:
    return scene(notebook)


def first_ballot(notebook: Any, session: Any) -> str:
    return str(ballots(notebook, session.id)[0].id)


def test_questions_come_one_at_a_time_and_the_view_counts_them(notebook: Any, here: Scene) -> None:
    mine = first_ballot(notebook, here.smelling(minutes=(5, 60)))
    seen = []
    while (view := ballot.view(notebook, mine)).question is not None:
        asked = view.question
        seen.append((asked.name, view.number, view.set_number, view.age_seconds))
        assert (view.total, view.sets) == (5, 2)
        ballot.lock(notebook, mine, asked.serving_id, asked.name, asked.options[0])
    assert seen == [
        ("choice", 1, 1, 300), ("sure", 2, 1, 300), ("choice", 3, 2, 3600), ("sure", 4, 2, 3600), ("overheard", 5, 0, 0),
    ]  # fmt: skip
    assert view.ballot.finished_at is not None


def test_nothing_is_asked_before_the_start_and_after_the_close(notebook: Any, here: Scene) -> None:
    session = here.sealed()
    mine = first_ballot(notebook, session)
    assert (ballot.view(notebook, mine).state, ballot.view(notebook, mine).question) == ("sealed", None)
    bench.start(notebook, session.id)
    asked = ballot.view(notebook, mine).question
    assert asked is not None
    bench.close(notebook, session.id)
    assert (ballot.view(notebook, mine).state, ballot.view(notebook, mine).question) == ("closed", None)
    with pytest.raises(StateError, match="only while the session is running"):
        ballot.lock(notebook, mine, asked.serving_id, asked.name, asked.options[0])


def test_a_locked_answer_is_final(notebook: Any, here: Scene) -> None:
    """Two tabs on one question: the second is told so, and the first answer stays."""
    mine = first_ballot(notebook, here.smelling())
    asked = ballot.view(notebook, mine).question
    assert asked is not None
    ballot.lock(notebook, mine, asked.serving_id, "choice", asked.options[0])
    with pytest.raises(AlreadyAnswered, match="already answered; the answer stays as it was"):
        ballot.lock(notebook, mine, asked.serving_id, "choice", asked.options[1])
    with notebook.reading() as tx:
        assert [one.value for one in tx.ballots.answers(mine)] == [asked.options[0]]


def test_only_the_question_shown_can_be_answered(notebook: Any, here: Scene) -> None:
    mine = first_ballot(notebook, here.smelling())
    asked = ballot.view(notebook, mine).question
    assert asked is not None
    for serving_id, name in [(asked.serving_id, "sure"), ("", "overheard"), ("elsewhere", "choice")]:
        with pytest.raises(StateError, match="Another question comes first"):
            ballot.lock(notebook, mine, serving_id, name, "guess")
    with notebook.reading() as tx:
        assert tx.ballots.answers(mine) == ()


def test_an_answer_that_was_not_offered_is_refused(notebook: Any, here: Scene) -> None:
    mine = first_ballot(notebook, here.smelling())
    asked = ballot.view(notebook, mine).question
    assert asked is not None
    for value in ("000", "", asked.options[0] + " ", "+".join(asked.options[:2])):
        with pytest.raises(ArgumentError, match="Choose one of"):
            ballot.lock(notebook, mine, asked.serving_id, "choice", value)
    assert ballot.view(notebook, mine).question == asked


def test_several_picks_are_wanted_exactly_and_kept_in_tray_order() -> None:
    asked = Question("s", "choice", ("482", "915", "306"), ("482", "915", "306"), pick=2)
    assert checked_value(asked, "306+482") == "482+306"
    for value in ("482", "482+482", "482+915+306", "482+000"):
        with pytest.raises(ArgumentError, match="Choose exactly 2 of"):
            checked_value(asked, value)


def test_a_remark_is_kept_beside_the_answer(notebook: Any, here: Scene) -> None:
    mine = first_ballot(notebook, here.smelling())
    asked = ballot.view(notebook, mine).question
    assert asked is not None
    ballot.lock(notebook, mine, asked.serving_id, "choice", asked.options[0], "  green, like stems ")
    with notebook.reading() as tx:
        assert [(a.question, a.value) for a in tx.ballots.answers(mine)] == [
            ("choice", asked.options[0]),
            ("remark", "green, like stems"),
        ]
    assert ballot.view(notebook, mine).number == 2


def test_a_second_remark_on_one_set_is_refused_in_its_own_words(notebook: Any, here: Scene) -> None:
    """Not as "already answered": the question is open, and locking it without a remark goes on."""
    mine = first_ballot(notebook, here.smelling())
    asked = ballot.view(notebook, mine).question
    assert asked is not None
    ballot.lock(notebook, mine, asked.serving_id, "choice", asked.options[0], "green")
    with pytest.raises(StateError, match="A remark was left here already") as refused:
        ballot.lock(notebook, mine, asked.serving_id, "sure", "guess", "and wet")
    assert not isinstance(refused.value, AlreadyAnswered)
    ballot.lock(notebook, mine, asked.serving_id, "sure", "guess")
    assert ballot.view(notebook, mine).number == 3


def test_a_remark_that_is_too_long_locks_nothing(notebook: Any, here: Scene) -> None:
    mine = first_ballot(notebook, here.smelling())
    asked = ballot.view(notebook, mine).question
    assert asked is not None
    with pytest.raises(ArgumentError, match="remark may have at most 1000 characters"):
        ballot.lock(notebook, mine, asked.serving_id, "choice", asked.options[0], "x" * 1001)
    with notebook.reading() as tx:
        assert tx.ballots.answers(mine) == ()


def test_having_heard_another_is_written_down_for_the_findings(notebook: Any, here: Scene) -> None:
    session = here.smelling()
    one, two = ballots(notebook, session.id)[:2]
    answer_all(notebook, one.id, lambda asked: "yes" if asked.name == "overheard" else asked.options[0])
    answer_all(notebook, two.id)
    with notebook.reading() as tx:
        found = tx.sittings.deviations(session.id)
    assert [(each.seat, each.kind) for each in found] == [(1, "overheard")]


def test_an_unknown_ballot_is_not_there(notebook: Any) -> None:
    with pytest.raises(NotFound):
        ballot.view(notebook, "nobody's")


def test_the_view_holds_nothing_of_the_trial_or_of_others(notebook: Any, here: Scene) -> None:
    """Every text in a view, at every step, for every method: no trial, change, alias, seed, order or letter."""
    secrets = {*here.trial_ids, "vetiver 2 to 3", "Nose 2", "Trial 7 against trial 8"}
    for method in METHODS:
        extra = {"descriptor": "smokier", "expected": "second"} if "afc" in method else {}
        session = here.smelling(method=method, confirmed=("noticed", "not noticed"), **extra)
        key = key_of(notebook, session.id)
        hidden = secrets | {key.seed, *(order for _, order in key.orders)}
        mine = first_ballot(notebook, session)
        while (view := ballot.view(notebook, mine)).question is not None:
            shown = {str(getattr(view, one.name)) for one in fields(view)}
            assert not any(secret in text for secret in hidden for text in shown)
            asked = view.question
            ballot.lock(notebook, mine, asked.serving_id, asked.name, "+".join(asked.options[: asked.pick]))


def test_the_brief_is_shown_for_preferences_only(notebook: Any, here: Scene) -> None:
    triangle = first_ballot(notebook, here.smelling())
    preference = first_ballot(notebook, here.smelling(method="preference", confirmed=()))
    assert ballot.view(notebook, triangle).brief_text == ""
    assert ballot.view(notebook, preference).brief_text == "Fig leaf after rain, no sugar."


def test_the_overall_choice_is_between_the_codes_of_each_trial(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="preference", minutes=(5, 60), primary="overall", confirmed=())
    key = key_of(notebook, session.id)
    order = dict(key.orders)
    with notebook.reading() as tx:
        served = tx.sittings.servings(session.id)
    for mine in ballots(notebook, session.id):
        while (view := ballot.view(notebook, mine.id)).question.name != "overall":  # type: ignore[union-attr]
            asked = view.question
            assert asked is not None
            ballot.lock(notebook, mine.id, asked.serving_id, asked.name, asked.options[0])
        offered = view.question.options  # type: ignore[union-attr]
        by_trial: dict[str, list[str]] = {"A": [], "B": []}
        for one in (s for s in served if s.seat == mine.seat and not s.spare):
            for trial, code in zip(order[one.id], one.codes, strict=True):
                by_trial[trial].append(code)
        assert set(offered) == {" ".join(by_trial["A"]), " ".join(by_trial["B"]), "none"}
        assert answer_all(notebook, mine.id) == 6  # overall, wear and strength of each trial, overheard


def test_groups_are_not_told_before_every_age_has_its_choice(notebook: Any, here: Scene) -> None:
    session = here.smelling(method="preference", minutes=(5, 60), primary="overall", confirmed=())
    mine = first_ballot(notebook, session)
    with notebook.reading() as tx, pytest.raises(StateError, match="after the choice at every age is locked"):
        tx.ballots.groups_for(mine)
    asked = ballot.view(notebook, mine).question
    assert asked is not None
    ballot.lock(notebook, mine, asked.serving_id, asked.name, asked.options[0])
    with notebook.reading() as tx, pytest.raises(StateError, match="after the choice at every age is locked"):
        tx.ballots.groups_for(mine)


def test_a_spare_seat_nobody_sits_on_takes_no_answers(notebook: Any) -> None:
    session = scene(notebook).smelling(spare=1)
    free = next(one for one in ballots(notebook, session.id) if one.panelist_id is None)
    asked = ballot.view(notebook, free.id).question
    assert asked is not None
    with pytest.raises(StateError, match="Nobody sits on this seat yet"):
        ballot.lock(notebook, free.id, asked.serving_id, asked.name, asked.options[0])
    with notebook.reading() as tx:
        assert tx.ballots.answers(free.id) == ()


# --- what a tap costs --------------------------------------------------------------------------------------------


def statements(notebook: Any, act: Callable[[], object]) -> list[str]:
    """What is said to the database meanwhile."""
    said: list[str] = []

    def hear(connection: Any, cursor: Any, statement: str, *_: Any) -> None:
        said.append(statement)

    event.listen(notebook._engine, "before_cursor_execute", hear)
    try:
        act()
    finally:
        event.remove(notebook._engine, "before_cursor_execute", hear)
    return said


def test_nothing_is_read_twice_between_look_and_lock(notebook: Any) -> None:
    """Ballot, head, session and sets are read once each by a lock: until 2026-11-27 ballot 4 times, head 3 times."""
    session = scene(notebook).smelling()
    ballot_id = ballots(notebook, session.id)[0].id
    asked = ballot.view(notebook, ballot_id).question
    assert asked is not None
    said = statements(notebook, lambda: ballot.lock(notebook, ballot_id, asked.serving_id, "choice", asked.options[0]))
    read = Counter(one.split("FROM ")[1].split()[0] for one in said if one.startswith("SELECT"))
    assert read["ballots"] <= 2, "once to know which head to hold, once more when it is held"
    assert read["heads"] == read["sessions"] == read["servings"] == 1
    assert len(said) <= 15


def test_a_screen_of_ratings_is_locked_in_one_go(notebook: Any) -> None:
    """Records and answers go in together and the head moves once, however many descriptors there are."""
    session = scene(notebook).smelling(method="profile")
    ballot_id = ballots(notebook, session.id)[0].id
    screen = ballot.view(notebook, ballot_id).screen
    assert len(screen) > 3
    values = {one.name: "5.0" for one in screen}
    said = statements(notebook, lambda: ballot.lock_screen(notebook, ballot_id, screen[0].serving_id, values))
    written = Counter(" ".join(one.split()[:3]) for one in said if one.startswith(("INSERT", "UPDATE")))
    assert written["INSERT INTO records"] == written["INSERT INTO answers"] == written["UPDATE heads SET"] == 1
    with notebook.reading() as tx:
        assert len(tx.ballots.answers(ballot_id)) == len(screen)
        assert tx.log.verify(session.id)


def test_dips_of_others_are_not_read_at_a_tap(notebook: Any) -> None:
    session = scene(notebook).smelling()
    begun(notebook, session.id)
    with notebook.reading() as tx:
        served = {one.id for one in tx.sittings.servings(session.id, 2)}
        assert {one.serving_id for one in tx.live.dips(session.id, 2)} <= served
        assert [one for one in tx.live.dips(session.id) if one.serving_id in served] == list(
            tx.live.dips(session.id, 2)
        )
