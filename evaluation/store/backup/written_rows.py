"""All rows of a database as the members of a backup, the keys of unopened sessions in a part of their own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from importlib.metadata import PackageNotFoundError, version
from itertools import islice
from types import MappingProxyType
from typing import Any, Final

from sqlalchemy import Connection, MetaData, Table, select

from evaluation.errors import Damaged
from evaluation.store import rows
from evaluation.store.backup import form, row_lines

AT_ONCE: Final = 500  # rows: little enough that a tap on a phone is not kept waiting
# What says which trial lies behind which code, and by which column a row belongs to a session.
KEYED: Final[Mapping[str, str]] = MappingProxyType(
    {"keys": "session_id", "key_orders": "serving_id", "marks": "serving_id", "groupings": "serving_id"}
)


def write(connection: Connection, writer: form.Writer) -> dict[str, tuple[str, ...]]:
    """Put the page about it, every table and the hidden keys into a backup; returns the columns of each table."""
    tables = reflected(connection)
    writer.add(form.README, iter((form.ABOUT.encode(),)))
    for table in tables:
        writer.add(form.table_member(table.name), _lines(_shown(connection, table, tables)))
    writer.add(form.SEALED_KEYS, _lines(_hidden(connection, tables)))
    return {one.name: tuple(one.columns.keys()) for one in tables}


def reflected(connection: Connection) -> list[Table]:
    """Our tables as they are in this database, those that others refer to first."""
    found = MetaData()
    found.reflect(connection, only=lambda name, _: name in rows.metadata.tables)
    return found.sorted_tables


def program_version() -> str:
    """The version of this program, for the manifest."""
    try:
        return version("mouillette")
    except PackageNotFoundError:
        return "not installed"


def _lines(found: Iterator[dict[str, Any]]) -> Iterator[bytes]:
    while some := list(islice(found, AT_ONCE)):
        try:
            yield b"".join(map(row_lines.line, some))
        except (TypeError, ValueError) as problem:  # written by no program of ours
            raise Damaged(f"This notebook is damaged: a row of it holds no text or number ({problem}).") from problem


def _rows(connection: Connection, table: Table) -> Iterator[dict[str, Any]]:
    query = select(table).order_by(*table.primary_key.columns)
    for row in connection.execute(query, execution_options={"yield_per": AT_ONCE}):
        yield dict(row._mapping)


def _shown(connection: Connection, table: Table, tables: list[Table]) -> Iterator[dict[str, Any]]:
    """The rows of a table without the keys of sessions that are not opened."""
    if table.name not in KEYED:
        return _rows(connection, table)
    opened, column = _opened(connection, tables, KEYED[table.name]), KEYED[table.name]
    return (row for row in _rows(connection, table) if row[column] in opened)


def _hidden(connection: Connection, tables: list[Table]) -> Iterator[dict[str, Any]]:
    for table in tables:
        if table.name in KEYED:
            opened, column = _opened(connection, tables, KEYED[table.name]), KEYED[table.name]
            for row in _rows(connection, table):
                if row[column] not in opened:
                    yield {"table": table.name, "row": row}


def _opened(connection: Connection, tables: list[Table], column: str) -> frozenset[str]:
    """Ids of opened sessions, or of their servings."""
    named = {one.name: one for one in tables}
    sessions = named["sessions"]
    query = select(sessions.c.id).where(sessions.c.state == "opened")
    if column == "serving_id":
        servings = named["servings"]
        query = select(servings.c.id).where(servings.c.session_id.in_(query))
    return frozenset(connection.execute(query).scalars())
