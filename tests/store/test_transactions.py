"""One block is one transaction (evaluation/store/notebook.py, engine.py)."""

from __future__ import annotations

import sqlite3
import threading
from contextlib import closing, suppress
from pathlib import Path

import pytest
from sqlalchemy import inspect, text

from evaluation.clock import SteppedClock
from evaluation.errors import StoreError
from evaluation.store import Notebook
from evaluation.store.engine import transaction
from evaluation.values.briefs import Brief
from tests.store.prepared import count, held, raw


class Spill(Exception):  # noqa: N818 - an accident made up for the test
    """Something goes wrong in the middle of a block."""


def test_a_block_that_fails_leaves_nothing(notebook: Notebook) -> None:
    with suppress(Spill), notebook.writing() as tx:
        tx.book.add_brief(Brief("b", "Salt", "", 1))
        assert len(tx.book.briefs()) == 1
        raise Spill
    with notebook.reading() as tx:
        assert tx.book.briefs() == ()


def test_not_even_a_new_table_survives_a_rollback(notebook: Notebook) -> None:
    """With the driver's own BEGIN, SQLite would have kept it."""
    with suppress(Spill), transaction(notebook._engine, "writing") as connection:
        connection.execute(text("CREATE TABLE extra (a INTEGER)"))
        connection.execute(text("INSERT INTO extra VALUES (1)"))
        raise Spill
    with transaction(notebook._engine, "reading") as connection:
        assert "extra" not in inspect(connection).get_table_names()


def test_a_reading_block_changes_nothing(notebook: Notebook) -> None:
    with pytest.raises(StoreError, match="read-only"), notebook.reading() as tx:
        tx.book.add_brief(Brief("b", "Salt", "", 1))
    assert count(notebook, "briefs") == 0
    with notebook.writing() as tx:
        tx.book.add_brief(Brief("b", "Salt", "", 1))
    assert count(notebook, "briefs") == 1


def test_a_block_inside_a_block_is_refused_and_the_outer_one_goes_on(notebook: Notebook) -> None:
    with notebook.writing() as tx:
        tx.book.add_brief(Brief("b", "Salt", "", 1))
        for block in (notebook.reading, notebook.writing):
            with pytest.raises(StoreError, match="open already"), block():
                raise AssertionError("the inner block must not begin")
    assert count(notebook, "briefs") == 1


def test_a_failed_block_does_not_keep_the_next_one_out(notebook: Notebook) -> None:
    for number in range(3):
        with suppress(Spill), notebook.writing() as tx:
            tx.book.add_brief(Brief(f"b{number}", "Salt", "", 1))
            if number != 1:
                raise Spill
    assert count(notebook, "briefs") == 1


ORPHANS = {
    "a trial of no brief": "INSERT INTO trials (id, brief_id, label, changed, made_at) VALUES ('t', 'x', '1', '', 1)",
    "a ballot of no session": "INSERT INTO ballots (id, session_id, seat, issue) VALUES ('b', 'x', 1, 1)",
    "a visit to no ballot": "INSERT INTO visits (token_hash, role, ballot_id, began_at, expires_at) VALUES ('h', 'ballot', 'x', 1, 2)",
    "a record of no session": "INSERT INTO records (session_id, sequence, at, kind, body, hash) VALUES ('x', 1, 1, 'k', '', '')",
    "a brief that is still used": "DELETE FROM briefs",
    "a panelist who sits": "DELETE FROM panelists WHERE id = 'person-1'",
    "a serving that was answered": "DELETE FROM servings",
    "an answer about another set than it says": "UPDATE answers SET serving_id = 'x'",
    "an answer without its record": "UPDATE answers SET sequence = 999",
}


@pytest.mark.parametrize("statement", ORPHANS.values(), ids=ORPHANS)
def test_a_row_that_refers_to_nothing_is_refused(notebook: Notebook, statement: str) -> None:
    made = held(notebook)
    made.lock(made.answer(1))
    with pytest.raises(StoreError, match="refers to something that is not there"):
        raw(notebook, statement)
    assert made.verifies()


def test_a_file_is_opened_as_decided(tmp_path: Path) -> None:
    """The rules (DEVELOPERS.md), store; read back from SQLite itself: 1 is WAL's "on" of foreign_keys, 2 is FULL."""
    notebook = Notebook.open(tmp_path / "n.sqlite", SteppedClock())
    wanted = {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 5000}
    with transaction(notebook._engine, "writing") as connection:
        found = {name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one() for name in wanted}
    assert found == wanted
    notebook.close()


@pytest.mark.postgres
@pytest.mark.parametrize("lasting", ["postgres"], indirect=True)
def test_a_server_is_written_to_as_decided(lasting: str) -> None:
    notebook = Notebook.open(lasting, SteppedClock())
    with transaction(notebook._engine, "writing") as connection:
        assert connection.exec_driver_sql("SHOW transaction_isolation").scalar_one() == "read committed"
    notebook.close()


def test_a_reader_sees_one_instant_while_others_write(lasting: str) -> None:
    reader, writer = (Notebook.open(lasting, SteppedClock()) for _ in range(2))
    with reader.reading() as tx:
        assert tx.book.briefs() == ()
        with writer.writing() as other:
            other.book.add_brief(Brief("b", "Salt", "", 1))
        assert tx.book.briefs() == ()
    assert count(reader, "briefs") == 1
    reader.close()
    writer.close()


def test_a_locked_file_is_said_to_be_busy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("evaluation.store.engine._PRAGMAS", ("busy_timeout=50", "foreign_keys=ON"))
    notebook = Notebook.open(tmp_path / "n.sqlite", SteppedClock())
    with closing(sqlite3.connect(tmp_path / "n.sqlite", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="busy"), notebook.writing() as tx:
            tx.book.add_brief(Brief("b", "Salt", "", 1))
    with notebook.writing() as tx:
        tx.book.add_brief(Brief("b", "Salt", "", 1))
    notebook.close()


@pytest.mark.usefixtures("patient")
def test_threads_in_one_process_take_turns(notebook: Notebook) -> None:
    start = threading.Barrier(8)

    def add(number: int) -> None:
        start.wait()
        for step in range(5):
            with notebook.writing() as tx:
                tx.book.add_brief(Brief(f"{number}-{step}", "Salt", "", 1))
            with notebook.reading() as tx:
                assert tx.book.brief(f"{number}-{step}").title == "Salt"

    threads = [threading.Thread(target=add, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert count(notebook, "briefs") == 40


@pytest.mark.parametrize("statement", ["SELECT nothing FROM nowhere", "SELECT 'unfinished"])
def test_what_the_database_refuses_is_not_called_unreachable(notebook: Notebook, statement: str) -> None:
    with pytest.raises(StoreError, match=r"^The database refused this: .*\.$"):
        raw(notebook, statement)
