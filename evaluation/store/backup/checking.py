"""Does a notebook stand as it was written: the file itself, what refers to what, every log, key and decision."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from itertools import islice, product
from typing import Final

from sqlalchemy import Connection, Table, func, select

from evaluation.errors import Damaged, MouilletteError, StoreError
from evaluation.ground.archives import DAMAGE
from evaluation.store import audit, readable, rows, schema
from evaluation.store.anchors.end_marks import Mark
from evaluation.store.backup.form import SessionLog
from evaluation.store.backup.written_rows import AT_ONCE
from evaluation.store.chain import NAMED
from evaluation.store.desk import Desk
from evaluation.store.engine import explained
from evaluation.store.kept_decisions import Decisions
from evaluation.store.kept_series import SeriesKept
from evaluation.store.key import Keys
from evaluation.store.notebook import Notebook
from evaluation.store.sittings import Sittings
from evaluation.store.translate import plan_of

# What reading altered rows may raise.
ALTERED = (MouilletteError, *DAMAGE)
MOST_TOLD: Final = 20  # rows that cannot be read, one by one
AS_LEFT: Final = (
    "The file is not as it was when the app was last stopped: it was altered, put there from elsewhere, or written by "
    "another program."
)


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check found. ``damage`` are sentences, none where all is well; the counts are for people to compare.

    ``unreadable`` where the file itself, or a table on a server, cannot be read: then nothing could be counted.
    """

    briefs: int
    sessions: int
    answers: int
    logs: tuple[SessionLog, ...]
    damage: tuple[str, ...]
    unreadable: bool = False
    lost: tuple[Mark, ...] = ()  # ends that logs had and have no more
    uncovered: int = 0  # logs from before labels, titles, groupings and instants of finishing were covered


def check(notebook: Notebook) -> Checked:
    """Look at everything; StoreError where there is nothing of ours to look at, or its schema is older."""
    try:
        with notebook.connected("reading") as connection:
            if schema.revision(connection) != schema.OURS.head:
                raise StoreError("The data has an older schema: start the app on it once, then check it.")
            damage = _of_the_file(connection)
            if damage:  # what lies in a damaged file cannot be counted
                return Checked(0, 0, 0, (), damage, unreadable=True)
            found = _counted(Desk(connection, notebook.clock))
        if notebook.anchor is None:
            return found
        return replace(found, damage=(*found.damage, *notebook.anchor.look()), lost=notebook.anchor.lost())
    except Damaged as problem:  # found by the reading itself
        return Checked(0, 0, 0, (), (str(problem),), unreadable=True)


def _counted(desk: Desk) -> Checked:
    found = logs(desk)
    damage = (*_of_sessions(desk, found), *_of_briefs(desk), *_of_rows(desk))
    briefs, sessions, answers = (_count(desk, table) for table in (rows.briefs, rows.sessions, rows.answers))
    return Checked(briefs, sessions, answers, found, damage, uncovered=_uncovered(desk))


def logs(desk: Desk) -> tuple[SessionLog, ...]:
    """How the log of each sealed session stands."""
    query = select(rows.sessions.c.id, rows.sessions.c.state, rows.heads.c.sequence, rows.heads.c.hash)
    query = query.join(rows.heads, rows.heads.c.session_id == rows.sessions.c.id)
    query = query.where(rows.sessions.c.state != "draft").order_by(rows.sessions.c.id)
    return tuple(
        SessionLog(one.id, one.state, one.sequence, one.hash, _holds(desk, one.id)) for one in desk.rows(query)
    )


def _holds(desk: Desk, session_id: str) -> bool:
    return _stands(lambda: audit.agrees(desk, session_id) and Keys(desk, Sittings(desk)).stands(session_id))


def _stands(look: Callable[[], bool]) -> bool:
    try:
        return look()
    except ALTERED:
        return False


def _of_the_file(connection: Connection) -> tuple[str, ...]:
    with explained():
        if connection.dialect.name != "sqlite":  # a server looks at a page when it reads it: all are read
            return _of_tables(connection)
        said = [str(one) for one in connection.exec_driver_sql("PRAGMA integrity_check(1)").scalars()]
        if said != ["ok"]:
            return (f"The file is damaged: {said[0].splitlines()[-1]}.",)
        broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    return () if broken is None else (f"A row of {broken[0]!r} refers to nothing.",)


def _of_tables(connection: Connection) -> tuple[str, ...]:
    for way in ("indexscan", "indexonlyscan", "bitmapscan"):  # the tables themselves are read, not what indexes say
        connection.exec_driver_sql(f"SET LOCAL enable_{way} = off")
    for table in rows.metadata.sorted_tables:
        for _ in connection.execute(select(table), execution_options={"yield_per": AT_ONCE}):
            pass
    orphaned = next((one for one in rows.metadata.sorted_tables if _refers_to_nothing(connection, one)), None)
    return () if orphaned is None else (f"A row of {orphaned.name!r} refers to nothing.",)


def _refers_to_nothing(connection: Connection, table: Table) -> bool:
    """A page of zeros is an empty one to a server: that rows are gone shows in those that name them."""
    for reference in table.foreign_keys:
        named = reference.column.table.alias()
        own, there = reference.parent, named.c[reference.column.name]
        joined = select(own).outerjoin(named, own == there).where(own.is_not(None), there.is_(None))
        if connection.execute(joined.limit(1)).first() is not None:
            return True
    return False


def _of_sessions(desk: Desk, found: tuple[SessionLog, ...]) -> tuple[str, ...]:
    """Which logs do not hold, and sealed sessions whose log is gone."""
    states = {one.id: one for one in desk.rows(select(rows.sessions))}
    bad = {one.id: "its log does not say what is stored" for one in found if not one.holds}
    gone = {name for name, one in states.items() if one.state != "draft"} - {one.id for one in found}
    bad |= dict.fromkeys(gone, "its log is gone")
    return tuple(f"Session {_title(states[name].plan)!r}: {words}." for name, words in bad.items())


def _title(plan: str) -> str:
    try:
        return plan_of(plan).title
    except ALTERED:
        return "whose plan cannot be read"


def _of_briefs(desk: Desk) -> Iterator[str]:
    """Briefs whose own chains do not hold: decisions, and series."""
    chains = {"decisions": Decisions(desk), "series": SeriesKept(desk)}
    for brief, (what, kept) in product(desk.rows(select(rows.briefs.c.id, rows.briefs.c.title)), chains.items()):
        if not _stands(partial(kept.verify, brief.id)):
            yield f"Brief {brief.title!r}: its {what} do not stand as they were written."


def _of_rows(desk: Desk) -> tuple[str, ...]:
    """Rows that no value can be made of: no screen would show them. Records are told of with their session."""
    told = readable.unreadable(desk, besides=(rows.records,))
    return tuple(f"A row cannot be read: {sentence}" for sentence in islice(told, MOST_TOLD))


def _uncovered(desk: Desk) -> int:
    """How many sealed logs hold no names: those written before names came under the hash."""
    records = rows.records
    sealed = select(func.count().label("logs")).select_from(records).where(records.c.kind == "seal")
    query = sealed.where(~records.c.body.contains(f'"{NAMED}":', autoescape=True))
    return int(desk.only_row(query, "log").logs)


def _count(desk: Desk, table: Table) -> int:
    return int(desk.connection.execute(select(func.count()).select_from(table)).scalar_one())
