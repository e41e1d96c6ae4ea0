"""Whole notebooks as they stood on 2026-11-26 open, are brought to the present schema, and say what they said.

Sessions of every kind and state lie in them (tests/kept.py, tests/made_2026_11_26). What was sealed or half smelt then
goes on. ``tests/store/released/*.sql`` are one dump for each schema; these are many sessions of one.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Boolean, Date, Integer, MetaData, Table, create_engine, insert, text

from evaluation.actions import ballot, bench, findings, solo
from evaluation.clock import SteppedClock
from evaluation.sessions import SKIN, STATES, Session
from evaluation.store import Notebook, schema
from evaluation.store.engine import connect, locate, transaction
from tests import kept, scenes
from tests.postgres import own_schema

NAMES = [one.name.removesuffix(".sql.gz") for one in kept.dumps()]


@pytest.fixture(params=NAMES)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def told(name: str) -> Any:
    return kept.read(kept.DUMPS / f"{name}.facts.json")


@pytest.fixture
def kept_notebook(name: str, told: Any, tmp_path: Path) -> Iterator[Notebook]:
    """The dump, brought up to the schema of now; the clock goes on where it stood."""
    file = kept.unpack(kept.DUMPS / f"{name}.sql.gz", tmp_path / "n.sqlite")
    notebook = Notebook.open(file, SteppedClock(told["now"], step=1))
    yield notebook
    notebook.close()


@pytest.mark.postgres
def test_a_server_is_brought_up_the_same_way(tmp_path: Path) -> None:
    """The rows of one notebook in PostgreSQL, in the schema they were dumped with, then opened as they are now."""
    name = "skin"  # dates, decimals as text, yes and no, texts of every kind
    told = kept.read(kept.DUMPS / f"{name}.facts.json")
    file = kept.unpack(kept.DUMPS / f"{name}.sql.gz", tmp_path / "n.sqlite")
    with own_schema() as place:
        _laid_in(file, place, _steps_of(file, tmp_path))
        notebook = Notebook.open(place, SteppedClock(told["now"], step=1))
        facts, seen = kept.facts(notebook)
        before = {part: told[part] for part in ("sessions", "briefs")}
        assert kept.differences(kept.only_kept(facts, before), before) == []
        for title in ("skin, preference", "strip and skin, a stop"):
            numbers = kept.read(kept.EXPORTS / f"{told['exports'][title]}.numbers.json")
            assert kept.differences(kept.as_kept(seen[title].told, numbers), numbers) == [], title
        _with_a_panel(notebook, next(one for one in listed(notebook) if one.state == "smelling"))
        notebook.close()


def _steps_of(file: Path, folder: Path) -> schema.Steps:
    """The migrations up to the schema of a file."""
    with closing(sqlite3.connect(file)) as connection:
        (last,) = connection.execute(f"SELECT version_num FROM {schema.VERSION_TABLE}").fetchone()
    steps = schema.OURS.revisions[: schema.OURS.revisions.index(last) + 1]
    shutil.copytree(schema.OURS.folder, folder / "migrations", ignore=shutil.ignore_patterns("__pycache__"))
    for script in (folder / "migrations" / "versions").glob("0*.py"):
        if script.stem not in steps:
            script.unlink()
    return schema.Steps(folder / "migrations", steps)


def _laid_in(file: Path, place: str, steps: schema.Steps) -> None:
    """Every row of a SQLite file into an empty schema of the same age; both are read as they are, not as we know them."""
    source, target = create_engine(f"sqlite:///{file}"), connect(locate(place))
    schema.bring_up(target, locate(place), steps=steps)
    tables = MetaData()
    with source.connect() as old, transaction(target, "writing") as new:
        tables.reflect(new)
        for table in tables.sorted_tables:
            found = [dict(row._mapping) for row in old.execute(text(f"SELECT * FROM {table.name}"))]
            if found and table.name != schema.VERSION_TABLE:
                new.execute(insert(table), [_as_typed(table, row) for row in found])
            if "id" in table.c and isinstance(table.c.id.type, Integer):
                new.execute(text(f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), {len(found) + 1000})"))
    source.dispose()
    target.dispose()


def _as_typed(table: Table, row: dict[str, Any]) -> dict[str, Any]:
    """SQLite keeps a yes as 1 and a day as text."""
    kinds = {column.name: column.type for column in table.columns}
    return {
        name: value
        if value is None
        else bool(value)
        if isinstance(kinds[name], Boolean)
        else date.fromisoformat(value)
        if isinstance(kinds[name], Date)
        else value
        for name, value in row.items()
    }


def listed(notebook: Notebook) -> tuple[Session, ...]:
    with notebook.reading() as tx:
        return tuple(tx.sittings.sessions())


def test_every_method_and_state_is_there() -> None:
    everything = [one for name in NAMES for one in kept.read(kept.DUMPS / f"{name}.facts.json")["sessions"].values()]
    assert {one["state"] for one in everything} == set(STATES)
    assert len({one["method"] for one in everything}) == 10
    assert len(everything) > 100


def test_a_notebook_says_what_it_said(name: str, told: Any, kept_notebook: Notebook) -> None:
    sealed = [one for one in listed(kept_notebook) if one.state != "draft"]
    assert [one.plan.title for one in sealed if not kept.seals_stand(kept_notebook, one.id)] == []
    facts, seen = kept.facts(kept_notebook)
    before = {part: told[part] for part in ("sessions", "briefs")}
    assert kept.differences(kept.only_kept(facts, before), before) == []
    assert seen.keys() == told["exports"].keys()
    for title, slug in told["exports"].items():
        numbers = kept.read(kept.EXPORTS / f"{slug}.numbers.json")
        assert kept.differences(kept.as_kept(seen[title].told, numbers), numbers) == [], title


def test_what_was_not_over_goes_on(name: str, kept_notebook: Notebook) -> None:
    """In each an answer is locked or a set laid out, it is closed and opened, or its marks are entered; the logs hold.

    Not on skin: there a gate that has become stricter may stay shut. What is on skin already takes an answer.
    """
    waiting = [one for one in listed(kept_notebook) if one.state in ("sealed", "smelling", "closed")]
    for session in waiting:
        (_alone if session.plan.solo else _with_a_panel)(kept_notebook, session)
        with kept_notebook.reading() as tx:
            assert tx.log.verify(session.id), session.plan.title


def _with_a_panel(notebook: Notebook, session: Session) -> None:
    if session.state == "sealed" and SKIN in session.plan.media:
        bench.void(notebook, session.id, "Only kept.")
        return
    if session.state == "sealed":
        bench.start(notebook, session.id)
    if session.state != "closed":
        sitting = [
            one.id for one in scenes.ballots(notebook, session.id) if one.panelist_id and one.finished_at is None
        ]
        assert scenes.answer_all(notebook, sitting[0]), session.plan.title  # the first that is not done, to its end
        bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    assert kept.found(notebook, session.id).told["found"]


def _alone(notebook: Notebook, session: Session) -> None:
    """A set is laid out or answered; what is closed gets its marks and is opened."""
    step = solo.next_step(notebook, session.id)
    if session.state != "closed":
        before = len(bench.log(notebook, session.id))
        if step.kind == solo.ANSWER and step.question is not None:
            assert ballot.view(notebook, step.ballot_id).question is not None
            solo.answer(notebook, session.id, step.question.serving_id, step.question.name, step.question.options[0])
        elif step.kind in (solo.LAY_OUT, solo.REST):
            solo.laid_out(notebook, session.id, step.number, early=step.kind == solo.REST)
        elif step.kind == solo.PUT_AWAY:
            solo.put_away(notebook, session.id, step.number)
        elif step.kind == solo.MARKS:
            _enter(notebook, session, step)
        else:
            bench.close(notebook, session.id)
        assert len(bench.log(notebook, session.id)) > before
        return
    if step.kind == solo.MARKS:
        _enter(notebook, session, step)
    findings.open_session(notebook, session.id)
    assert kept.found(notebook, session.id).told["found"]


def _enter(notebook: Notebook, session: Session, step: solo.SoloStep) -> None:
    """Marks that can be: pairs of sets hold both compositions."""
    kinds = step.orders[:1] if len({"".join(sorted(one)) for one in step.orders}) == 1 else ("AAB", "ABB")
    solo.enter_marks(notebook, session.id, {one.place: kinds[one.place % len(kinds)] for one in step.due})
