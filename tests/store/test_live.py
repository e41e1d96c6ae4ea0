"""Timetables and dips: kept in order, in the chain, and any change behind its back is found (evaluation/store/kept_live.py)."""

from __future__ import annotations

from typing import Any

import pytest
from sqlalchemy import text

from evaluation.actions import bench
from evaluation.clock import SteppedClock
from evaluation.errors import ArgumentError, StateError
from evaluation.store import Notebook, read_body
from evaluation.store.engine import transaction
from tests.scenes import Scene, scene

BODY = {"start": 5_000, "lines": [["one", "1", 0, 0, 15, 300, 390, 293]]}


@pytest.fixture
def made(notebook: Notebook) -> Scene:
    return scene(notebook, people=3)


def behind(notebook: Notebook, statement: str) -> None:
    with transaction(notebook._engine, "writing") as connection:
        connection.execute(text(statement))


def holds(notebook: Notebook, session_id: str) -> bool:
    with notebook.reading() as tx:
        return bool(tx.log.verify(session_id))


def first_set(made: Scene, session_id: str) -> str:
    return bench.servings(made.notebook, session_id)[0].id


def test_every_revision_is_kept_and_the_latest_counts(made: Scene, clock: SteppedClock) -> None:
    session = made.sealed()
    with made.notebook.writing() as tx:
        assert tx.live.timetable(session.id) is None
        tx.live.add_timetable(session.id, BODY, 0)
    clock.forward(minutes=1)
    with made.notebook.writing() as tx:
        tx.live.add_timetable(session.id, BODY | {"start": 6_000}, 1)
        with pytest.raises(StateError, match="another window"):
            tx.live.add_timetable(session.id, BODY, 1)
    with made.notebook.reading() as tx:
        kept = tx.live.timetables(session.id)
        assert [one.number for one in kept] == [1, 2]
        assert kept[1].at - kept[0].at >= 60_000
        assert kept[0].body == BODY
        assert tx.live.timetable(session.id) == kept[1]
    assert holds(made.notebook, session.id)


def test_a_dip_is_corrected_only_with_a_reason_and_both_stay_in_the_log(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling()
    one, now = first_set(made, session.id), clock.now()
    clock.forward(minutes=1)
    with made.notebook.writing() as tx:
        tx.live.dip(one, now)
        with pytest.raises(StateError, match="needs a reason"):
            tx.live.dip(one, now - 30_000)
        with pytest.raises(ArgumentError, match="time of dipping"):
            tx.live.dip(one, clock.now() + 3_600_000, "tomorrow")
        tx.live.dip(one, now - 30_000, "tapped too late")
    with made.notebook.reading() as tx:
        assert [dip.dipped_at for dip in tx.live.dips(session.id)] == [now, now - 30_000]
        told = [read_body(record) for record in tx.log.records(session.id) if record.kind == "dip"]
        assert "tapped too late" in tx.log.texts(session.id).values()
    assert [body["dipped_at"] for body in told] == [now, now - 30_000]
    assert holds(made.notebook, session.id)


def test_an_erased_person_takes_the_reasons_of_their_dips_along(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling()
    serving = bench.servings(made.notebook, session.id)[0]
    with made.notebook.writing() as tx:
        tx.live.dip(serving.id, clock.now(), "Nose 1 came in late from the dentist")
        who = next(one.panelist_id for one in tx.ballots.ballots(session.id) if one.seat == serving.seat)
        assert who is not None
        tx.book.erase_panelist(who)
        assert not tx.log.texts(session.id)
    assert holds(made.notebook, session.id)


def test_nothing_is_written_once_a_session_is_closed(made: Scene, clock: SteppedClock) -> None:
    session = made.smelling()
    bench.close(made.notebook, session.id)
    with made.notebook.writing() as tx:
        with pytest.raises(StateError, match="this one is closed"):
            tx.live.dip(first_set_in(tx, session.id), clock.now())
        with pytest.raises(StateError, match="this one is closed"):
            tx.live.add_timetable(session.id, BODY, 0)


def first_set_in(tx: Any, session_id: str) -> str:
    return str(tx.sittings.servings(session_id)[0].id)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE timetables SET body = replace(body, '5000', '6000')",
        "UPDATE timetables SET revision = 7",
        "DELETE FROM timetables",
        "UPDATE dips SET dipped_at = dipped_at - 60000",
        "DELETE FROM dips",
        "INSERT INTO dips (session_id, serving_id, dipped_at, at, sequence) "
        "SELECT session_id, serving_id, dipped_at, at, sequence FROM dips",
    ],
)
def test_what_is_altered_behind_the_chain_is_found(made: Scene, clock: SteppedClock, statement: str) -> None:
    session = made.sealed()
    with made.notebook.writing() as tx:
        tx.live.add_timetable(session.id, BODY, 0)
        tx.live.dip(first_set_in(tx, session.id), clock.now())
    assert holds(made.notebook, session.id)
    behind(made.notebook, statement)
    assert not holds(made.notebook, session.id)
