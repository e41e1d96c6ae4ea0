"""Sessions, plans, seats, servings and deviations (evaluation/store/sittings.py)."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from itertools import product

import pytest

from evaluation.errors import ArgumentError, NotFound, StateError
from evaluation.sessions import STATES, TRANSITIONS, Deviation, Session
from evaluation.store import Notebook
from evaluation.values.briefs import Brief
from tests.scenes import plan
from tests.store.prepared import EVENTS, add_draft, count, fill, held, person, sealed, trial

# --- plan -----------------------------------------------------------------------------------------------------


def test_a_draft_comes_back_as_it_was_planned(notebook: Notebook) -> None:
    fill(notebook)
    planned = add_draft(notebook, minutes=(5, 60), alpha=Decimal("0.010"), confirmed=("not noticed",))
    with notebook.reading() as tx:
        assert tx.sittings.session("session") == Session("session", planned, "draft", 2000)
        assert tx.sittings.servings("session") == ()
        assert tx.ballots.ballots("session") == ()


def test_sessions_are_listed_oldest_first_and_by_brief(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.book.add_brief(Brief("other", "Salt", "", 901))
        tx.book.add_trial(trial("1", brief_id="other"))
        tx.book.add_trial(trial("2", brief_id="other"))
        elsewhere = plan(2, brief_id="other", first_trial_id="trial-1", second_trial_id="trial-2")
        tx.sittings.add_session(Session("late", plan(3), "draft", 30))
        tx.sittings.add_session(Session("early", plan(3), "draft", 10))
        tx.sittings.add_session(Session("apart", elsewhere, "draft", 20))
    with notebook.reading() as tx:
        assert [one.id for one in tx.sittings.sessions()] == ["early", "apart", "late"]
        assert [one.id for one in tx.sittings.sessions("brief")] == ["early", "late"]


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"brief_id": "nowhere"}, "No such brief."),
        ({"second_trial_id": "trial-99"}, "No such trial."),
        ({"people": 4}, "No such panelist."),
    ],
)
def test_a_plan_may_only_name_what_is_there(notebook: Notebook, changes: dict[str, object], sentence: str) -> None:
    fill(notebook)
    with pytest.raises(NotFound) as refused:
        add_draft(notebook, **changes)  # type: ignore[arg-type]
    assert str(refused.value) == sentence
    assert count(notebook, "sessions") == count(notebook, "heads") == 0


def test_a_plan_compares_trials_of_its_own_brief(notebook: Notebook) -> None:
    fill(notebook)
    with notebook.writing() as tx:
        tx.book.add_brief(Brief("other", "Salt", "", 901))
        tx.book.add_trial(trial("1", brief_id="other"))
    with pytest.raises(ArgumentError, match="belong to the brief"):
        add_draft(notebook, second_trial_id="trial-1")


def test_a_draft_can_be_changed_and_removed_but_nothing_later(notebook: Notebook) -> None:
    fill(notebook)
    add_draft(notebook)
    other = plan(2, title="Another question")
    with notebook.writing() as tx:
        assert tx.sittings.replace_plan("session", other).plan == other
        tx.sittings.remove_draft("session")
    assert count(notebook, "sessions") == count(notebook, "heads") == 0
    made = sealed(notebook, "session", add_draft(notebook))
    with pytest.raises(StateError, match="sealed cannot be changed"), notebook.writing() as tx:
        tx.sittings.replace_plan("session", other)
    with pytest.raises(StateError, match="sealed cannot be removed"), notebook.writing() as tx:
        tx.sittings.remove_draft("session")
    with notebook.reading() as tx:
        assert tx.sittings.session("session").plan == made.plan


def test_a_session_begins_as_a_draft(notebook: Notebook) -> None:
    fill(notebook)
    with pytest.raises(StateError, match="added as a draft"), notebook.writing() as tx:
        tx.sittings.add_session(Session("session", plan(3), "sealed", 1))


# --- states ---------------------------------------------------------------------------------------------------


def test_a_seal_lays_down_servings_ballots_and_one_record(notebook: Notebook) -> None:
    made = held(notebook, "sealed", people=3, spare=1)
    with notebook.reading() as tx:
        assert tx.sittings.session("session").state == "sealed"
        assert tx.sittings.servings("session") == made.drawn.servings
        seats = [(one.seat, one.panelist_id, one.issue) for one in tx.ballots.ballots("session")]
        assert [record.kind for record in tx.log.records("session")] == ["seal"]
    assert seats == [(1, "person-1", 1), (2, "person-2", 1), (3, "person-3", 1), (4, None, 1)]
    assert made.servings(2) == tuple(one for one in made.drawn.servings if one.seat == 2)


def test_a_second_seal_changes_nothing(notebook: Notebook) -> None:
    made = held(notebook, "sealed")
    with pytest.raises(StateError):
        sealed(notebook, "session", made.plan, seed=bytes(32))
    with notebook.reading() as tx:
        assert tx.sittings.servings("session") == made.drawn.servings
    assert made.verifies()


def test_a_seal_wants_everything_drawn(notebook: Notebook) -> None:
    fill(notebook)
    planned = add_draft(notebook)
    other = sealed(notebook, "other", add_draft(notebook, "other")).drawn
    with pytest.raises(ArgumentError, match="every serving"), notebook.writing() as tx:
        tx.sittings.seal("session", replace(other, groupings=()), "c", "h")
    with pytest.raises(ArgumentError, match="commitment"), notebook.writing() as tx:
        tx.sittings.seal("session", other, "c", "h")
    with notebook.reading() as tx:
        assert tx.sittings.session("session") == Session("session", planned, "draft", 2000)


@pytest.mark.parametrize("state", [one for one in STATES if one not in ("draft", "void")])
def test_only_the_steps_of_the_table_are_taken(notebook: Notebook, state: str) -> None:
    made = held(notebook, state)
    for event in ("start", "close", "open", "void", "seal", "nonsense"):
        if (state, event) in TRANSITIONS:
            continue
        with pytest.raises(StateError), notebook.writing() as tx:
            tx.sittings.advance(made.id, event, {"reason": "a reason"})
    with notebook.reading() as tx:
        assert tx.sittings.session(made.id).state == state
        assert [one.kind for one in tx.log.records(made.id)] == ["seal", *EVENTS[state]]


@pytest.mark.parametrize("state", ["sealed", "smelling", "closed"])
def test_voiding_keeps_everything_and_wants_a_reason(notebook: Notebook, state: str) -> None:
    made = held(notebook, state)
    with pytest.raises(ArgumentError, match="reason"), notebook.writing() as tx:
        tx.sittings.advance(made.id, "void")
    made.step("void")
    with notebook.reading() as tx:
        assert tx.sittings.session(made.id).state == "void"
        assert "spilt" in tx.log.texts(made.id).values()
        assert "spilt" not in tx.log.records(made.id)[-1].body
        assert tx.sittings.servings(made.id) == made.drawn.servings


def test_a_draft_is_not_sealed_by_a_mere_step(notebook: Notebook) -> None:
    fill(notebook)
    add_draft(notebook)
    with pytest.raises(StateError, match="sealed with what was drawn"), notebook.writing() as tx:
        tx.sittings.advance("session", "seal")


def test_no_such_session_is_said_by_every_verb(notebook: Notebook) -> None:
    calls = {
        "session": ("x",),
        "replace_plan": ("x", plan(3)),
        "remove_draft": ("x",),
        "advance": ("x", "start"),
        "seat_person": ("x", 1, "person-1"),
        "note_deviation": ("x", Deviation("", 1, "late", "the bus", 1)),
    }
    for verb, arguments in calls.items():
        with pytest.raises(NotFound, match=r"^No such session\.$"), notebook.writing() as tx:
            getattr(tx.sittings, verb)(*arguments)


# --- void servings --------------------------------------------------------------------------------------------


def test_a_void_set_is_replaced_by_the_spare_one_of_its_seat(notebook: Notebook) -> None:
    made = held(notebook, minutes=(5, 60))
    first, second, spare = made.servings(2)
    with notebook.writing() as tx:
        served = tx.sittings.void_serving(second.id, "fell on the floor")
    expected = replace(spare, spare=False, place=second.place, age_seconds=3600, replicate=1)
    assert served == expected
    assert made.servings(2) == (first, replace(second, void=True), expected)
    assert [one.spare for one in made.servings(1)] == [False, False, True]
    assert made.verifies()


def test_a_seat_has_one_spare_set(notebook: Notebook) -> None:
    made = held(notebook)
    only, spare = made.servings(1)
    with notebook.writing() as tx:
        tx.sittings.void_serving(only.id, "wet")
    for serving_id, sentence in ((only.id, "void already"), (spare.id, "no spare set left for seat 1")):
        with pytest.raises(StateError, match=sentence), notebook.writing() as tx:
            tx.sittings.void_serving(serving_id, "wet again")
    assert made.verifies()


def test_a_spare_set_is_not_voided_and_an_unknown_one_neither(notebook: Notebook) -> None:
    made = held(notebook)
    with pytest.raises(StateError, match="spare"), notebook.writing() as tx:
        tx.sittings.void_serving(made.drawn.servings[1].id, "wet")
    with pytest.raises(NotFound, match=r"^No such serving\.$"), notebook.writing() as tx:
        tx.sittings.void_serving("nothing", "wet")


@pytest.mark.parametrize("state", ["closed", "opened"])
def test_no_set_is_voided_after_close(notebook: Notebook, state: str) -> None:
    made = held(notebook, state)
    with pytest.raises(StateError, match="cannot be given new strips"), notebook.writing() as tx:
        tx.sittings.void_serving(made.drawn.servings[0].id, "too late")


def test_answers_to_a_void_set_stay_and_a_finished_ballot_is_open_again(notebook: Notebook) -> None:
    made = held(notebook)
    answer = made.answer(1)
    made.lock(answer)
    with notebook.writing() as tx:
        tx.ballots.finish(answer.ballot_id)
        served = tx.sittings.void_serving(answer.serving_id, "wrong vial")
    assert made.ballot(1).finished_at is None
    again = replace(answer, serving_id=served.id, value=served.codes[1])
    made.lock(again)
    with notebook.reading() as tx:
        assert tx.ballots.answers(answer.ballot_id) == (answer, again)
    with pytest.raises(StateError, match="withdrawn"):
        made.lock(replace(answer, question="sure", value="sure"))
    assert made.verifies()


def test_a_set_stays_once_the_closing_questions_named_its_codes(notebook: Notebook) -> None:
    made = held(notebook, method="preference")
    answer = made.answer(1)
    made.lock(answer, replace(answer, serving_id="", question=f"wear {answer.value}", value="yes"))
    with pytest.raises(StateError, match="closing questions"), notebook.writing() as tx:
        tx.sittings.void_serving(answer.serving_id, "wrong vial")
    assert made.verifies()


# --- seats ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("state", ["sealed", "smelling"])
def test_a_spare_seat_is_given_to_somebody_once(notebook: Notebook, state: str) -> None:
    made = held(notebook, state, people=3, spare=1)
    with notebook.writing() as tx:
        tx.sittings.seat_person(made.id, 4, "person-4")
    assert made.ballot(4).panelist_id == "person-4"
    assert made.verifies()
    for seat, who, sentence in ((4, "person-4", "taken"), (1, "person-4", "taken")):
        with pytest.raises(StateError, match=sentence), notebook.writing() as tx:
            tx.sittings.seat_person(made.id, seat, who)


def test_nobody_sits_twice_and_only_members_sit(notebook: Notebook) -> None:
    made = held(notebook, people=2, spare=2)
    with pytest.raises(StateError, match="sits in the session already"), notebook.writing() as tx:
        tx.sittings.seat_person(made.id, 3, "person-1")
    with pytest.raises(NotFound, match="No such panelist"), notebook.writing() as tx:
        tx.sittings.seat_person(made.id, 3, "stranger")
    with pytest.raises(NotFound, match="No such seat"), notebook.writing() as tx:
        tx.sittings.seat_person(made.id, 9, "person-3")
    with notebook.writing() as tx:
        tx.book.replace_panelist(person(3, active=False))
    with pytest.raises(StateError, match="not on the panel"), notebook.writing() as tx:
        tx.sittings.seat_person(made.id, 3, "person-3")
    assert made.ballot(3).panelist_id is None


@pytest.mark.parametrize("state", ["closed", "opened"])
def test_nobody_joins_after_close(notebook: Notebook, state: str) -> None:
    made = held(notebook, state)
    with pytest.raises(StateError, match="cannot be joined"), notebook.writing() as tx:
        tx.sittings.seat_person(made.id, 4, "person-4")


def test_codes_met_come_oldest_session_first_and_only_once_sealed(notebook: Notebook) -> None:
    first = held(notebook, "sealed")
    second = sealed(notebook, "second", add_draft(notebook, "second"), seed=bytes(32))
    add_draft(notebook, "third")
    with notebook.writing() as tx:
        tx.sittings.void_serving(second.drawn.servings[0].id, "wet")
    expected = [c for made in (first, second) for s in made.servings(1) if not s.spare for c in s.codes]
    with notebook.reading() as tx:
        assert tx.sittings.codes_met("person-1") == tuple(expected)
        assert len(expected) == 3 + 6  # one set, then a void one and the one served instead
        assert tx.sittings.codes_met("person-4") == ()


# --- deviations -----------------------------------------------------------------------------------------------


def test_deviations_come_back_in_the_order_they_were_noted(notebook: Notebook) -> None:
    made = held(notebook)
    noted = (
        Deviation(made.servings(2)[0].id, 2, "late", "the bus", 60),
        Deviation("", 1, "overheard", "somebody laughed", 50),
    )
    with notebook.writing() as tx:
        for one in noted:
            tx.sittings.note_deviation(made.id, one)
    with notebook.reading() as tx:
        assert tx.sittings.deviations(made.id) == noted
        assert [one.kind for one in tx.log.records(made.id)][-2:] == ["deviation", "deviation"]
        assert "the bus" not in "".join(one.body for one in tx.log.records(made.id))
    assert made.verifies()


def test_a_deviation_is_about_a_set_of_its_seat(notebook: Notebook) -> None:
    made = held(notebook)
    for seat, serving_id in product((2, 9), (made.servings(1)[0].id, "nothing")):
        with pytest.raises(NotFound), notebook.writing() as tx:
            tx.sittings.note_deviation(made.id, Deviation(serving_id, seat, "late", "the bus", 1))
    assert count(notebook, "deviations") == 0


def test_nobody_is_set_apart_after_opening(notebook: Notebook) -> None:
    made = held(notebook, "closed")
    late = Deviation("", 1, "late", "the bus", 1)
    with notebook.writing() as tx:
        tx.sittings.note_deviation(made.id, late)
    made.step("open")
    with pytest.raises(StateError, match="opened cannot be given a deviation"), notebook.writing() as tx:
        tx.sittings.note_deviation(made.id, late)
    assert count(notebook, "deviations") == 1
