"""A backup brought back, whole or not at all, into an empty place; a file or a server, wherever it came from.

The rows are first laid into a file of their own, in the schema they were taken from, brought up to ours and looked
over: logs, keys and references must stand as they stood. Only then does the place get its name, or its rows in one
transaction.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from types import MappingProxyType
from typing import IO, Any, Final

from sqlalchemy import Connection, Integer, Table, func, insert, select, text, update
from sqlalchemy.exc import DBAPIError, OperationalError

from evaluation.clock import Clock
from evaluation.errors import StoreError
from evaluation.ground.intake import on_one_line
from evaluation.store import engine as engines
from evaluation.store import rows, schema
from evaluation.store.backup import form, leftovers, row_lines
from evaluation.store.backup.checking import Checked, check
from evaluation.store.backup.form import Archive, Manifest
from evaluation.store.backup.written_rows import AT_ONCE, KEYED, reflected
from evaluation.store.notebook import Notebook, copy_named

LONGEST_SCHEMA: Final = 40  # letters of its name in a sentence
NOT_EMPTY: Final = "There is a notebook here already, and it stays as it is: restore into a new file or an empty place."
DOORS: Final = frozenset({"settings", "visits", "attempts"})  # a place where only doors were opened is still empty
Given = str | Path | IO[bytes]
# Of doors that were opened here, what stays before the same of the backup, and by which column it is the same.
_STAYS: Final[Mapping[str, str]] = MappingProxyType({"settings": "name", "visits": "token_hash"})
# Rows that name a row of their own table.
_UP: Final[Mapping[str, str]] = MappingProxyType({"trials": "parent_id", "decisions": "supersedes"})


@dataclass(frozen=True, slots=True)
class Restored:
    """What was brought back: what the backup says of itself, and what a check of it found."""

    manifest: Manifest
    checked: Checked
    secret: bytes | None = None  # the server's, where the backup carries it
    beyond: tuple[str, ...] = ()  # what the anchor of that place knew and the backup does not have, in sentences


def restore(given: Given, where: str | Path, clock: Clock, secret: bytes | None = None) -> Restored:
    """Bring a backup back into a new file, an empty notebook or an empty database; else StoreError, nothing written.

    ``secret`` is the server's at that place, if there is one already: links made with another one are no links there.
    """
    place = engines.locate(where)
    if place.shown is None:
        raise StoreError("A backup is restored into a file or a database: name one with --data.")
    if place.file is not None and not (place.file.exists() and place.file.stat().st_size):
        return _into_new_file(given, place.file, clock, secret)
    _check_empty_place(place)
    with form.opened(given) as archive, _staged_aside(archive, clock, secret) as (staged, checked):
        notebook = Notebook.open(where, clock)
        try:
            _pour(staged, notebook)
            return Restored(archive.manifest, checked, archive.secret(), _anchored_anew(notebook))
        finally:
            notebook.close()


def restore_into(given: Given, notebook: Notebook, secret: bytes | None = None) -> Restored:
    """Bring a backup back into an open notebook that is empty."""
    _check_empty(notebook)
    with form.opened(given) as archive, _staged_aside(archive, notebook.clock, secret) as (staged, checked):
        _pour(staged, notebook)
        return Restored(archive.manifest, checked, archive.secret(), _anchored_anew(notebook))


def look_over(given: Given, clock: Clock) -> Restored:
    """Lay a backup out as a restore would and check it, without keeping anything."""
    with form.opened(given) as archive, _staged_aside(archive, clock) as (_, checked):
        return Restored(archive.manifest, checked, archive.secret())


def _anchored_anew(notebook: Notebook) -> tuple[str, ...]:
    """Go on from what came back; what was known beyond it is told once."""
    return () if notebook.anchor is None else notebook.anchor.anew()


def is_empty(notebook: Notebook) -> bool:
    """True where nothing but doors was ever opened."""
    with notebook.connected("reading") as connection:
        return _empty(connection)


# --- places ---------------------------------------------------------------------------------------------------------


def _into_new_file(given: Given, file: Path, clock: Clock, secret: bytes | None) -> Restored:
    for left in (f"{file}-wal", f"{file}-journal"):
        if Path(left).exists():  # it would be played into the new file
            raise StoreError(f"{left!r} is left of another notebook of this name: move it away first.")
    if not file.parent.is_dir():
        raise StoreError(f"The folder {str(file.parent)!r} does not exist: make it first or choose another.")
    leftovers.sweep_restores(file)
    with (
        form.opened(given) as archive,
        leftovers.workroom(file) as folder,
        _staged(archive, folder / file.name, clock, secret) as (staged, checked),
    ):
        staged.close()  # the last one out writes all into the file
        unwritten = folder / f"{file.name}-wal"  # a full disk is no error of a close
        if unwritten.exists() and unwritten.stat().st_size:
            raise StoreError("The disk is full: make room and try again.")
        form.appear(folder / file.name, file)
        back = Notebook.open_unchanged(file, clock)
        try:
            return Restored(archive.manifest, checked, archive.secret(), _anchored_anew(back))
        finally:
            back.close()


def _check_empty_place(place: engines.Place) -> None:
    with copy_named(place.shown):
        engine = engines.connect(place)
    try:
        with engines.transaction(engine, "reading") as connection:
            if schema.revision(connection) is not None and not _empty(connection):
                raise StoreError(NOT_EMPTY)
    finally:
        engine.dispose()


def _check_empty(notebook: Notebook) -> None:
    if not is_empty(notebook):
        raise StoreError(NOT_EMPTY)


def _empty(connection: Connection) -> bool:
    tables = (one for one in reflected(connection) if one.name not in DOORS)
    return all(connection.execute(select(one).limit(1)).first() is None for one in tables)


# --- laid out aside -------------------------------------------------------------------------------------------------


@contextmanager
def _staged_aside(archive: Archive, clock: Clock, secret: bytes | None = None) -> Iterator[tuple[Notebook, Checked]]:
    leftovers.sweep_restores()
    with leftovers.workroom() as folder, _staged(archive, folder / "notebook.sqlite", clock, secret) as made:
        yield made


@contextmanager
def _staged(archive: Archive, file: Path, clock: Clock, secret: bytes | None) -> Iterator[tuple[Notebook, Checked]]:
    """The backup as a notebook of its own in a new file, looked over."""
    place = engines.locate(file)
    engine = engines.connect(place)
    try:
        with engines.transaction(engine, "migrating") as connection:
            _lay_out(connection, archive, clock.now())
            own = archive.secret()
            _begin_anew(connection, clock.now(), links=own is None or secret not in (None, own))
    finally:
        engine.dispose()
    notebook = Notebook.open_unchanged(file, clock)  # not opened to go on with: it is anchored where it comes to lie
    try:
        yield notebook, _as_it_stood(archive.manifest, check(notebook))
    finally:
        notebook.close()


def _lay_out(connection: Connection, archive: Archive, moment: int) -> None:
    told = archive.manifest
    if told.schema not in schema.OURS.revisions:
        newer = on_one_line(told.schema[:LONGEST_SCHEMA])
        raise StoreError(f"This backup was written by a newer version (schema {newer}): install that version.")
    schema.upgrade(connection, schema.OURS, moment, told.schema)
    tables = {one.name: one for one in reflected(connection)}
    expected = {form.table_member(name) for name in tables} | {form.README, form.SEALED_KEYS}
    if {name: set(one.columns.keys()) for name, one in tables.items()} != {
        name: set(some) for name, some in told.columns.items()
    } or told.members.keys() - {form.SECRET} != expected:
        raise StoreError("This backup was altered: its tables are not those of the schema it names.")
    for table in tables.values():
        member = form.table_member(table.name)
        _insert(connection, table, member, archive.rows(member))
    _insert_keys(connection, tables, archive.rows(form.SEALED_KEYS))
    try:
        schema.upgrade(connection, schema.OURS, moment)
    except form.DAMAGE as problem:  # a migration reads what lies in the rows
        if isinstance(problem, OSError):
            raise
        raise StoreError("This backup was altered: what it holds cannot be brought up to this version.") from problem
    try:
        schema.check_references(connection)
    except StoreError as problem:
        raise StoreError("This backup was altered: a row refers to one that is not in it.") from problem


def _insert(connection: Connection, table: Table, member: str, told: Iterator[Any], first: int = 1) -> None:
    number = first
    while some := list(islice(told, AT_ONCE)):
        for at, one in enumerate(some):
            with _as_altered(member, number + at):
                some[at] = row_lines.row(table, one)
        with _as_altered(member, number):
            connection.execute(insert(table), some)
        number += len(some)


def _insert_keys(connection: Connection, tables: Mapping[str, Table], told: Iterator[Any]) -> None:
    for number, one in enumerate(told, start=1):
        with _as_altered(form.SEALED_KEYS, number):
            if set(one) != {"table", "row"} or one["table"] not in KEYED:
                raise ValueError("no key")
            table = tables[one["table"]]
            connection.execute(insert(table), [row_lines.row(table, one["row"])])


@contextmanager
def _as_altered(member: str, number: int) -> Iterator[None]:
    try:
        yield
    except (*form.DAMAGE, DBAPIError) as problem:
        if isinstance(problem, OperationalError):  # a full disk is no altered backup
            raise
        raise form.altered(member, number) from problem


def _begin_anew(connection: Connection, moment: int, *, links: bool) -> None:
    """Who was in is out; links that no secret here can make any more are no links."""
    connection.execute(update(rows.visits).where(rows.visits.c.ended_at.is_(None)).values(ended_at=moment))
    if links:
        connection.execute(update(rows.ballots).values(token_hash=None))


def _as_it_stood(told: Manifest, checked: Checked) -> Checked:
    """Refuse a backup of which something holds no longer that held when it was made, or is not what it says."""
    if told.logs not in (None, checked.logs):  # a newer version that copied before a change of form could not read them
        raise StoreError("This backup was altered: the log of a session is not the one its manifest names.")
    return checked


# --- into what is there ---------------------------------------------------------------------------------------------


def _pour(staged: Notebook, notebook: Notebook) -> None:
    """All rows at once; settings and visits of here stay."""
    with staged.connected("reading") as source, notebook.connected("writing") as target:
        if target.dialect.name == "postgresql":
            listed = ", ".join(sorted(rows.metadata.tables))
            target.execute(text(f"LOCK TABLE {listed} IN EXCLUSIVE MODE"))
        if not _empty(target):
            raise StoreError(NOT_EMPTY)
        for table in rows.metadata.sorted_tables:
            for some in _in_order(source, table):
                _add(target, table, some)
        if target.dialect.name == "postgresql":
            _count_on(target)


def _add(target: Connection, table: Table, some: list[dict[str, Any]]) -> None:
    if table.name in _STAYS:
        own = table.c[_STAYS[table.name]]
        here = set(target.execute(select(own)).scalars())
        some = [one for one in some if one[own.name] not in here]
    if table is rows.attempts:  # nothing refers to their numbers, and some may be taken
        some = [{name: value for name, value in one.items() if name != "id"} for one in some]
    if some:
        target.execute(insert(table), some)


def _in_order(source: Connection, table: Table) -> Iterator[list[dict[str, Any]]]:
    """The rows of a table in portions, those first that others of it name."""
    query = select(table).order_by(*table.primary_key.columns)
    found: Iterator[dict[str, Any]]
    found = (dict(one._mapping) for one in source.execute(query, execution_options={"yield_per": AT_ONCE}))
    if table.name in _UP:
        found = iter(_named_first(list(found), _UP[table.name]))
    while some := list(islice(found, AT_ONCE)):
        yield some


def _named_first(found: Sequence[dict[str, Any]], up: str) -> list[dict[str, Any]]:
    """Families from the eldest down; one that goes round in a circle is left at the end, for the database to refuse."""
    below: dict[str | None, list[dict[str, Any]]] = {}
    for one in found:
        below.setdefault(one[up], []).append(one)
    ordered = list(below.pop(None, ()))
    for one in ordered:  # grows while it is walked
        ordered += below.pop(one["id"], ())
    return ordered + [one for some in below.values() for one in some]


def _count_on(target: Connection) -> None:
    """Numbers that the server gives go on after the highest that came."""
    for table in rows.metadata.sorted_tables:
        if table.autoincrement_column is not None and isinstance(table.autoincrement_column.type, Integer):
            column = table.autoincrement_column
            highest = target.execute(select(func.max(column))).scalar_one()
            if highest is not None:
                sequence = func.pg_get_serial_sequence(table.name, column.name)
                target.execute(select(func.setval(sequence, highest)))
