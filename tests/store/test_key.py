"""The key and the groupings: who may read them, and when (evaluation/store/key.py)."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import evaluation
from evaluation.errors import NotFound, StateError, StillBlind, StoreError
from evaluation.serving.blinding import draw
from evaluation.store import Notebook, new_id, read_body
from tests.store.prepared import add_draft, fill, held, raw, sealed

PACKAGE = Path(next(iter(evaluation.__path__)))


@pytest.mark.parametrize("state", ["sealed", "smelling"])
def test_the_preparer_sees_the_key_and_that_is_logged(notebook: Notebook, state: str) -> None:
    made = held(notebook, state)
    with notebook.writing() as tx:
        assert tx.key.key_for_preparer(made.id, None) == made.drawn.key
    with notebook.reading() as tx:
        last = tx.log.records(made.id)[-1]
        assert (last.kind, read_body(last)) == ("key shown", {"panelist_id": ""})
        assert tx.sittings.deviations(made.id) == ()
    assert made.verifies()


@pytest.mark.parametrize("state", ["closed", "opened"])
def test_the_preparer_has_no_business_after_close(notebook: Notebook, state: str) -> None:
    made = held(notebook, state)
    with pytest.raises(StateError, match="for preparing strips"), notebook.writing() as tx:
        tx.key.key_for_preparer(made.id, None)


def test_a_panelist_who_sees_the_key_sits_unblinded_noted_once(notebook: Notebook) -> None:
    made = held(notebook, "sealed")
    for _ in range(2):
        with notebook.writing() as tx:
            tx.key.key_for_preparer(made.id, "person-2")
    with notebook.reading() as tx:
        noted = [(one.seat, one.kind, one.serving_id) for one in tx.sittings.deviations(made.id)]
        shown = [read_body(r)["panelist_id"] for r in tx.log.records(made.id) if r.kind == "key shown"]
    assert noted == [(2, "unblinded", "")]
    assert shown == ["person-2", "person-2"]
    assert made.verifies()


def test_who_saw_the_key_first_and_sits_down_later_is_unblinded_too(notebook: Notebook) -> None:
    made = held(notebook, "sealed", people=2, spare=2)
    with notebook.writing() as tx:
        tx.key.key_for_preparer(made.id, "person-3")
        tx.sittings.seat_person(made.id, 3, "person-4")
        tx.sittings.seat_person(made.id, 4, "person-3")
    with notebook.reading() as tx:
        assert [(one.seat, one.kind) for one in tx.sittings.deviations(made.id)] == [(4, "unblinded")]


def test_an_unknown_preparer_sees_nothing_and_leaves_no_record(notebook: Notebook) -> None:
    made = held(notebook, "sealed")
    with pytest.raises(NotFound, match="No such panelist"), notebook.writing() as tx:
        tx.key.key_for_preparer(made.id, "stranger")
    with notebook.reading() as tx:
        assert tx.log.last(made.id) == 1


def test_the_key_is_not_shown_in_a_block_that_cannot_log_it(notebook: Notebook) -> None:
    made = held(notebook, "sealed")
    with pytest.raises(StoreError, match="read-only"), notebook.reading() as tx:
        tx.key.key_for_preparer(made.id, None)


@pytest.mark.parametrize("state", ["sealed", "smelling", "closed"])
def test_the_key_stays_shut_until_the_session_is_opened(notebook: Notebook, state: str) -> None:
    made = held(notebook, state)
    with pytest.raises(StillBlind, match="stays shut"), notebook.reading() as tx:
        tx.key.open_key(made.id)
    made.step(*("start", "close", "open")[("sealed", "smelling", "closed").index(state) :])
    with notebook.reading() as tx:
        assert tx.key.open_key(made.id) == made.drawn.key


def test_a_void_session_and_a_draft_give_no_key(notebook: Notebook) -> None:
    made = held(notebook, "closed")
    made.step("void")
    add_draft(notebook, "draft")
    for session_id in (made.id, "draft"):
        with pytest.raises(StillBlind), notebook.reading() as tx:
            tx.key.open_key(session_id)
        with pytest.raises(StateError), notebook.writing() as tx:
            tx.key.key_for_preparer(session_id, None)
    with pytest.raises(NotFound, match="No such session"), notebook.reading() as tx:
        tx.key.open_key("nothing")


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE keys SET first_letter = second_letter, second_letter = first_letter",
        "UPDATE keys SET seed = 'ff'",
        "UPDATE key_orders SET trials = 'AAB' WHERE trials = 'ABB'",
        "DELETE FROM key_orders",
    ],
)
def test_an_altered_key_is_refused(notebook: Notebook, change: str) -> None:
    made = held(notebook, "opened", people=12)
    raw(notebook, change)
    with pytest.raises(StoreError, match="not the one that was sealed"), notebook.reading() as tx:
        tx.key.open_key(made.id)


def test_each_session_has_its_own_key(notebook: Notebook) -> None:
    first = held(notebook, "sealed")
    second = sealed(notebook, "second", add_draft(notebook, "second"), seed=bytes(32))
    with notebook.writing() as tx:
        assert tx.key.key_for_preparer(first.id, None) == first.drawn.key
        assert tx.key.key_for_preparer(second.id, None) == second.drawn.key != first.drawn.key


def test_no_trial_is_read_off_the_log_or_the_servings(notebook: Notebook) -> None:
    """The seal record must be the same whichever trial lies behind which code: only its commitment may differ."""
    fill(notebook)
    planned = add_draft(notebook)
    made = sealed(notebook, "session", planned)
    drawn = draw(planned, bytes(32), new_id)
    orders = {order for key in (made.drawn.key, drawn.key) for _, order in key.orders}
    with notebook.reading() as tx:
        body = tx.log.records("session")[0].body
    assert orders
    assert not [order for order in orders if order in body]
    assert made.drawn.key.seed not in body


def test_only_two_modules_name_the_tables_of_the_key() -> None:
    """The rules (DEVELOPERS.md), the key: no other query, log, export or page joins them. Sealing writes them, key.py reads them."""
    guarded = {
        "keys": {"key.py", "sealing.py"},
        "key_orders": {"key.py", "sealing.py"},
        "groupings": {"ballots.py", "sealing.py"},
        "marks": {"key.py", "strips.py", "audit.py"},  # strips.py asks which sets have marks, the audit if they stand
    }
    for file in sorted(PACKAGE.rglob("*.py")):
        if file.name == "rows.py" or "migrations" in file.parts:
            continue
        named = _tables_named(file)
        for table, allowed in guarded.items():
            assert file.name in allowed or table not in named, f"{file.name} names the table {table}"


def _tables_named(file: Path) -> set[str]:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    imported = {
        alias.name
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module == "evaluation.store.rows"
        for alias in node.names
    }
    reached = {
        node.attr
        for node in ast.walk(tree)
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "rows"
    }
    return imported | reached


# --- groupings ------------------------------------------------------------------------------------------------


def test_groups_are_told_only_after_the_choice_at_every_age(notebook: Notebook) -> None:
    made = held(notebook, method="preference", minutes=(5, 60))
    ballot_id = made.ballot_ids[0]
    for place in (1, 2):
        with pytest.raises(StateError, match="after the choice at every age"), notebook.reading() as tx:
            tx.ballots.groups_for(ballot_id)
        made.lock(made.answer(1, "sure", place, "guess"), made.answer(1, "choice", place))
    with notebook.reading() as tx:
        groups = tx.ballots.groups_for(ballot_id)
    assert sorted(map(sorted, groups)) == sorted(map(sorted, _by_trial(made, 1)))


def test_groups_follow_a_set_that_was_served_again(notebook: Notebook) -> None:
    made = held(notebook, method="preference", minutes=(5, 60))
    made.lock(made.answer(1, place=1), made.answer(1, place=2))
    void = made.servings(1)[0]
    with notebook.writing() as tx:
        tx.sittings.void_serving(void.id, "wrong vial")
    with pytest.raises(StateError, match="every age"), notebook.reading() as tx:
        tx.ballots.groups_for(made.ballot_ids[0])
    made.lock(made.answer(1, place=1))
    with notebook.reading() as tx:
        groups = tx.ballots.groups_for(made.ballot_ids[0])
    assert sorted(map(sorted, groups)) == sorted(map(sorted, _by_trial(made, 1)))
    assert not set(void.codes) & {code for group in groups for code in group}


def _by_trial(made: object, seat: int) -> list[list[str]]:
    """The codes now served at a seat, put together by trial with the key the test itself drew."""
    served = [s for s in made.servings(seat) if not s.void and not s.spare]  # type: ignore[attr-defined]
    order = made.drawn.key.order  # type: ignore[attr-defined]
    return [
        [code for s in served for code, trial in zip(s.codes, order(s.id), strict=True) if trial == wanted]
        for wanted in "AB"
    ]
