"""Series are sealed and ended in a chain of their own, sittings name them, and what was altered shows."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import text

from evaluation.errors import ArgumentError, NotFound, StateError
from evaluation.series import Final, SealedSeries, SearchSeries, Series
from evaluation.sessions import Session
from evaluation.store import Notebook
from evaluation.store.backup import checking
from evaluation.store.engine import transaction
from tests.scenes import plan
from tests.store.prepared import Held, fill, raw, sealed


def a_series(notebook: Notebook, people: int = 3, **changes: Any) -> SealedSeries:
    with notebook.writing() as tx:
        return tx.series.seal(Series(plan=plan(people, **changes), design=SearchSeries()))


def a_sitting(notebook: Notebook, found: SealedSeries, name: str = "session", *people: str) -> Held:
    planned = found.sitting(f"Sitting {name}", people or found.series.people)
    with notebook.writing() as tx:
        tx.sittings.add_session(Session(name, planned, "draft", 2000))
    return sealed(notebook, name, planned)


def test_series_are_kept_in_order_and_ended_with_a_reason(notebook: Notebook) -> None:
    fill(notebook)
    first = a_series(notebook)
    with notebook.writing() as tx:
        final = Final(question="preferred", challenger="second", cap=40)
        second = tx.series.seal(Series(plan=plan(3, method="preference"), design=final, makers=("person-1",)))
        tx.series.end(first.id, "the bottle broke")
    with notebook.reading() as tx:
        assert [one.id for one in tx.series.listed("brief")] == [first.id, second.id]
        assert [one.number for one in tx.series.listed("brief")] == [1, 2]
        ended = tx.series.series(first.id).ended
        assert ended is not None
        assert ended.reason == "the bottle broke"
        assert tx.series.series(second.id) == second
        assert tx.series.verify("brief")
    with pytest.raises(StateError, match="ended already"), notebook.writing() as tx:
        tx.series.end(first.id, "the bottle broke")


def test_a_series_of_what_is_not_there_is_refused(notebook: Notebook) -> None:
    fill(notebook)
    with pytest.raises(NotFound), notebook.writing() as tx:
        tx.series.seal(Series(plan=plan(4), design=SearchSeries()))
    with pytest.raises(NotFound), notebook.writing() as tx:
        tx.series.seal(Series(plan=plan(3, second_trial_id="trial-99"), design=SearchSeries()))
    with notebook.reading() as tx:
        assert tx.series.listed("brief") == ()


def test_sittings_are_sessions_that_name_their_series(notebook: Notebook) -> None:
    fill(notebook)
    found = a_series(notebook)
    made = a_sitting(notebook, found)
    with notebook.reading() as tx:
        assert [one.id for one in tx.series.sittings(found.id)] == [made.id]
        assert tx.sittings.session(made.id).plan.series_id == found.id
        assert tx.log.verify(made.id)
        assert tx.series.verify("brief")


def test_a_sitting_that_does_not_keep_to_its_series_is_not_stored(notebook: Notebook) -> None:
    fill(notebook, 4)
    found = a_series(notebook)
    for wrong in (
        found.sitting("One more", ("person-4",)),
        found.sitting("Twice", ("person-1",)).changed(pd=plan().beta),
    ):
        with pytest.raises(ArgumentError), notebook.writing() as tx:
            tx.sittings.add_session(Session("wrong", wrong, "draft", 2000))
    with notebook.reading() as tx:
        assert tx.sittings.sessions() == ()


def test_nobody_sits_twice_where_everybody_is_fresh(notebook: Notebook) -> None:
    fill(notebook, 4)
    with notebook.writing() as tx:
        found = tx.series.seal(Series(plan=plan(2), design=SearchSeries(), open_panel=True))
    a_sitting(notebook, found, "one", "person-1", "person-2")
    a_sitting(notebook, found, "two", "person-3")
    with pytest.raises(ArgumentError, match="must be fresh"):
        a_sitting(notebook, found, "three", "person-4", "person-2")


ALTERED = {
    "a number": "UPDATE series SET body = replace(body, '\"0.05\"', '\"0.25\"')",
    "a hash": "UPDATE series SET hash = 'another'",
    "a line": "UPDATE series_log SET body = replace(body, 'sealed', 'ended') || ' '",
    "the last line": "DELETE FROM series_log",
    "whose sitting it is": "UPDATE sessions SET series_id = NULL",
}


@pytest.mark.parametrize("what", ALTERED)
def test_what_was_altered_is_found(notebook: Notebook, what: str) -> None:
    fill(notebook)
    a_sitting(notebook, a_series(notebook))
    raw(notebook, ALTERED[what])
    with notebook.reading() as tx:
        whole = tx.log.verify("session") and tx.series.verify("brief")
    assert not whole


def test_the_check_of_a_notebook_names_the_brief(clock: Any, tmp_path: Any) -> None:
    notebook = Notebook.open(tmp_path / "n.sqlite", clock)
    fill(notebook)
    a_series(notebook)
    assert checking.check(notebook).damage == ()
    with transaction(notebook._engine, "writing") as connection:
        connection.execute(text("UPDATE series_log SET at = at + 1"))
    assert checking.check(notebook).damage == ("Brief 'A dry garden': its series do not stand as they were written.",)
    notebook.close()
