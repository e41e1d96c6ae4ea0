"""Marks of a solo session: entered once, after the answers, and found out if altered (evaluation/store/key.py)."""

from __future__ import annotations

import pytest

from evaluation.errors import ArgumentError, StateError, StillBlind
from evaluation.sessions import Deviation
from evaluation.store import Notebook, read_body
from tests.store.prepared import Held, alone, count, fill, held, marked, raw


def _alone(notebook: Notebook, state: str = "closed") -> Held:
    fill(notebook, 1)
    return alone(notebook, "session", state)


def test_nothing_is_drawn_for_a_solo_session_but_codes(notebook: Notebook) -> None:
    """Two sets, and codes of four more for sets that are spoilt: none of them has an order."""
    made = _alone(notebook, "sealed")
    assert [order for _, order in made.drawn.key.orders] == [""] * 6
    assert [(len(one.codes), one.spare) for one in made.servings(1)] == [(3, False)] * 2 + [(3, True)] * 4
    assert made.verifies()


def test_a_spoilt_set_takes_spare_codes_and_the_log_holds(notebook: Notebook) -> None:
    made = _alone(notebook, "smelling")
    first = made.servings(1)[0]
    with notebook.writing() as tx:
        instead = tx.sittings.void_serving(first.id, "fell on the floor")
    assert (instead.place, instead.age_seconds, instead.spare) == (first.place, first.age_seconds, False)
    made.lock(made.answer(1, "choice", 1))
    with pytest.raises(StateError, match="answered already"), notebook.writing() as tx:
        tx.sittings.void_serving(instead.id, "and again")
    assert made.verifies()


@pytest.mark.parametrize("order", ["AB", "ABC", "", "aab", "AABB"])
def test_what_is_no_mark_is_refused(notebook: Notebook, order: str) -> None:
    made = _alone(notebook)
    with pytest.raises(ArgumentError, match="marks must be 3 of A, B"):
        marked(made, order)
    assert count(notebook, "marks") == 0


def test_marks_that_were_mixed_up_are_kept_as_they_are(notebook: Notebook) -> None:
    made = _alone(notebook)
    marked(made, "AAA", "B?A")
    made.step("open")
    with notebook.reading() as tx:
        assert [order for _, order in tx.key.open_key(made.id).orders if order] == ["AAA", "B?A"]
    assert made.verifies()


def test_marks_become_the_key_once_the_session_is_opened(notebook: Notebook) -> None:
    made = _alone(notebook)
    marked(made, "ABA", "BBA")
    with pytest.raises(StillBlind), notebook.reading() as tx:
        tx.key.open_key(made.id)
    made.step("open")
    by_place = {one.id: one.place for one in made.servings(1)}
    with notebook.reading() as tx:
        orders = {by_place[one]: order for one, order in tx.key.open_key(made.id).orders if order}
        last = [record for record in tx.log.records(made.id) if record.kind == "marks"]
    assert orders == {1: "ABA", 2: "BBA"}
    assert [sorted(read_body(one)["orders"].values()) for one in last] == [["ABA", "BBA"]]
    assert made.verifies()


def test_opening_wants_the_marks_of_every_answered_set(notebook: Notebook) -> None:
    made = _alone(notebook)
    with pytest.raises(StateError, match="Enter the marks of sets 1, 2 first"):
        made.step("open")
    marked(made, "ABA")
    with pytest.raises(StateError, match="Enter the marks of set 2 first"):
        made.step("open")
    with notebook.reading() as tx:
        assert tx.sittings.session(made.id).state == "closed"
    assert made.verifies()


def test_a_set_that_was_never_answered_needs_no_marks_and_takes_none(notebook: Notebook) -> None:
    made = _alone(notebook, "smelling")
    made.lock(made.answer(1, "choice", 1))
    made.step("close")
    with pytest.raises(StateError, match="after the answer is locked"):
        marked(made, "ABA", "BBA")
    marked(made, "ABA")
    made.step("open")
    assert made.verifies()


def test_marks_are_entered_once_for_all(notebook: Notebook) -> None:
    made = _alone(notebook)
    marked(made, "ABA", "BBA")
    with pytest.raises(StateError, match="entered already"):
        marked(made, "AAB", "BBA")
    assert count(notebook, "marks") == 2
    made.step("open")
    with notebook.reading() as tx:
        assert sorted(one for _, one in tx.key.open_key(made.id).orders if one) == ["ABA", "BBA"]
    assert made.verifies()


@pytest.mark.parametrize("state", ["sealed", "opened"])
def test_marks_are_not_entered_in_another_state(notebook: Notebook, state: str) -> None:
    made = _alone(notebook, "sealed" if state == "sealed" else "closed")
    if state == "opened":
        marked(made, "ABA", "BBA")
        made.step("open")
    with pytest.raises(StateError, match=f"the session is {state}"):
        marked(made, "ABA", "BBA")


def test_a_void_session_takes_no_marks(notebook: Notebook) -> None:
    made = _alone(notebook)
    made.step("void")
    with pytest.raises(StateError, match="the session is void"):
        marked(made, "ABA", "BBA")


def test_marks_of_strange_sets_and_of_a_panel_are_refused(notebook: Notebook) -> None:
    made = _alone(notebook)
    with pytest.raises(ArgumentError, match="sets of this session"), notebook.writing() as tx:
        tx.key.enter_marks(made.id, {"stranger": "ABA"})
    assert count(notebook, "marks") == 0


def test_a_panel_has_no_marks(notebook: Notebook) -> None:
    made = held(notebook, "closed")
    serving_id = made.servings(1)[0].id
    with pytest.raises(StateError, match="Only the sets of a solo session"), notebook.writing() as tx:
        tx.key.enter_marks(made.id, {serving_id: "ABA"})


@pytest.mark.parametrize("state", ["sealed", "smelling"])
def test_nothing_is_prepared_from_a_key(notebook: Notebook, state: str) -> None:
    made = _alone(notebook, state)
    with pytest.raises(StateError, match="the shuffle is the draw"), notebook.writing() as tx:
        tx.key.key_for_preparer(made.id, None)
    with notebook.reading() as tx:
        assert not [record for record in tx.log.records(made.id) if record.kind == "key shown"]


def test_a_set_whose_marks_are_known_is_not_set_apart_any_more(notebook: Notebook) -> None:
    made = _alone(notebook)
    first, second, *_ = sorted(made.servings(1), key=lambda one: one.place)
    marked(made, "ABA")
    with notebook.writing() as tx:
        tx.sittings.note_deviation(made.id, Deviation(second.id, 1, "recognised", "a bent strip", 5000))
    for serving_id in (first.id, ""):
        with pytest.raises(StateError, match="marks are entered already"), notebook.writing() as tx:
            tx.sittings.note_deviation(made.id, Deviation(serving_id, 1, "ruined strip", "wet", 5000))
    assert made.verifies()


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE marks SET trials = 'AAB' WHERE trials = 'ABA'",
        "UPDATE marks SET at = at + 1",
        "DELETE FROM marks WHERE trials = 'ABA'",
    ],
)
def test_marks_altered_behind_the_programs_back_are_found(notebook: Notebook, change: str) -> None:
    made = _alone(notebook)
    marked(made, "ABA", "BBA")
    made.step("open")
    assert made.verifies()
    raw(notebook, change)
    assert not made.verifies()


def test_marks_slipped_in_behind_the_programs_back_are_found(notebook: Notebook) -> None:
    made = _alone(notebook)
    marked(made, "ABA")
    second = next(one for one in made.servings(1) if one.place == 2)
    raw(notebook, "INSERT INTO marks (serving_id, trials, at, sequence) VALUES (:id, 'ABB', 1, 1)", id=second.id)
    assert not made.verifies()
