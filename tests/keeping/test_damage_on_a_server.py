"""Of damage on a database server: what the server says when it cannot read, in one sentence of ours."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, make_url, text

from evaluation.clock import SteppedClock
from evaluation.errors import Damaged
from evaluation.keeping import backup_commands
from evaluation.store import Notebook
from evaluation.store.backup import checking
from tests.postgres import own_schema
from tests.store.prepared import held

WORDS = "invalid page in block 0 of relation base/5/16402"


@pytest.fixture
def where() -> Iterator[str]:
    with own_schema() as url:
        held(Notebook.open(url, SteppedClock(step=1)), "opened").notebook.close()
        yield url


def _unreadable(url: str, table: str, code: str = "XX001") -> None:
    """From now on the server says of this table what it says of one with a page it cannot read."""
    engine = create_engine(make_url(url).set(drivername="postgresql+psycopg"))
    with engine.begin() as connection:
        connection.execute(text(f"ALTER TABLE {table} RENAME TO kept_{table}"))
        connection.execute(
            text(
                "CREATE FUNCTION broken() RETURNS boolean LANGUAGE plpgsql AS $$ BEGIN "
                f"RAISE EXCEPTION '{WORDS}' USING ERRCODE = '{code}'; END $$"
            )
        )
        connection.execute(text(f"CREATE VIEW {table} AS SELECT * FROM kept_{table} WHERE broken()"))
    engine.dispose()


@pytest.mark.postgres
@pytest.mark.parametrize("code", ["XX000", "XX001", "XX002", "58030", "58P01"])
def test_what_a_server_cannot_read_is_damage(where: str, code: str) -> None:
    _unreadable(where, "briefs", code)
    notebook = Notebook.open(where, SteppedClock(step=1))
    with pytest.raises(Damaged) as refused, notebook.reading() as tx:
        tx.book.briefs()
    said = str(refused.value)
    assert f"the database server cannot read a part of it ({WORDS})" in said
    assert "restore your newest backup into an empty database with python -m evaluation restore FILE.zip" in said
    assert "geheim" not in said
    notebook.close()


@pytest.mark.postgres
def test_a_check_reads_every_table_of_a_server(where: str, capsys: pytest.CaptureFixture[str]) -> None:
    notebook = Notebook.open(where, SteppedClock(step=1))
    assert checking.check(notebook).damage == ()
    notebook.close()
    _unreadable(where, "trials")  # no log is read from it
    assert backup_commands.main(["check", "--data", where], Path("unused")) == backup_commands.DAMAGED
    said = capsys.readouterr()
    assert WORDS in said.err
    assert said.err.count("\n") == 1
    assert "every log holds" not in said.out


@pytest.mark.postgres
def test_rows_that_are_gone_show_in_those_that_name_them(where: str) -> None:
    """A page of zeros is an empty one to the server, which says nothing of it."""
    engine = create_engine(make_url(where).set(drivername="postgresql+psycopg"))
    with engine.begin() as connection:
        connection.execute(text("SET LOCAL session_replication_role = replica"))  # no reference is looked at
        connection.execute(text("DELETE FROM trials"))
    engine.dispose()
    notebook = Notebook.open(where, SteppedClock(step=1))
    damage = checking.check(notebook).damage
    notebook.close()
    assert len(damage) == 1
    assert damage[0].endswith("refers to nothing.")
