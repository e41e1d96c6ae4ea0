"""The anchor of a notebook on a database server: a table in a schema of its own that refuses everything but new rows.

It shows rows that were removed or changed by somebody who works on the notebook's tables. It cannot show that the whole
database was put back to an earlier state, nor stop its owner, who may drop what refuses.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import Final

from sqlalchemy import Connection, Engine, text

from evaluation.store.anchors.end_marks import Known, Line, known_of
from evaluation.store.engine import transaction

LONG: Final = 2000  # lines, after which the newest marks are written down together and reading begins there
_LOCK: Final = 0x616E63686F72  # any number nobody else takes: "anchor"
_MAKE: Final = (
    "CREATE SCHEMA {schema}",
    "CREATE TABLE {schema}.lines (id BIGINT GENERATED ALWAYS AS IDENTITY PRIMARY KEY, begins BOOLEAN NOT NULL, "
    "line TEXT NOT NULL, written_at TIMESTAMPTZ NOT NULL DEFAULT now())",
    "CREATE INDEX ON {schema}.lines (id) WHERE begins",
    "CREATE FUNCTION {schema}.refuse() RETURNS trigger LANGUAGE plpgsql AS "
    "$$ BEGIN RAISE EXCEPTION 'The anchor of a notebook takes new lines only.'; END $$",
    "CREATE TRIGGER new_lines_only BEFORE UPDATE OR DELETE OR TRUNCATE ON {schema}.lines "
    "FOR EACH STATEMENT EXECUTE FUNCTION {schema}.refuse()",
    "REVOKE UPDATE, DELETE, TRUNCATE ON {schema}.lines FROM PUBLIC, CURRENT_USER",
)


class ServerTable:
    """Reads and appends, each in a transaction of its own."""

    def __init__(self, engine: Engine, now: Callable[[], int]) -> None:
        self._engine = engine
        self._now = now
        self._since_whole = 0

    def known(self) -> Known:
        """What it says now; nothing at all where it is not there."""
        with transaction(self._engine, "reading") as connection:
            schema = _schema(connection)
            if not _there(connection, schema):
                return Known()
            found = connection.execute(
                text(
                    f"SELECT line FROM {schema}.lines WHERE id >= "
                    f"coalesce((SELECT max(id) FROM {schema}.lines WHERE begins), 0) ORDER BY id"
                )
            ).scalars()
            lines = [json.loads(one) for one in found]
        self._since_whole = len(lines)
        return known_of(lines)

    def append(self, lines: Sequence[Line]) -> None:
        """Write these down in one transaction; the table is made where it is not there."""
        with transaction(self._engine, "writing") as connection:
            schema = _schema(connection)
            if self._since_whole == 0 and not _there(connection, schema):
                _make(connection, schema)
                _insert(connection, schema, [{"anew": self._now()}])
            _insert(connection, schema, lines)
        self._since_whole += len(lines)
        if self._since_whole > LONG:
            self.rewrite()

    def rewrite(self, change: Callable[[Known], None] = lambda _: None) -> None:
        """Write the newest marks down together; what was written before stays and is read no more."""
        known = self.known()
        change(known)
        lines = list(known.lines(self._now()))
        with transaction(self._engine, "writing") as connection:
            _insert(connection, _schema(connection), lines)
        self._since_whole = len(lines)

    def close(self) -> None:
        """Nothing is held open."""


def _schema(connection: Connection) -> str:
    name = connection.execute(text("SELECT current_schema()")).scalar_one()
    return str(connection.dialect.identifier_preparer.quote(f"{name}_anchor"))


def _there(connection: Connection, schema: str) -> bool:
    return connection.execute(text("SELECT to_regclass(:name)"), {"name": f"{schema}.lines"}).scalar_one() is not None


def _make(connection: Connection, schema: str) -> None:
    connection.execute(text(f"SELECT pg_advisory_xact_lock({_LOCK})"))
    if not _there(connection, schema):
        for statement in _MAKE:
            connection.exec_driver_sql(statement.format(schema=schema))


def _insert(connection: Connection, schema: str, lines: Sequence[Line]) -> None:
    if not lines:
        return
    rows = [{"begins": "anew" in line, "line": json.dumps(line, ensure_ascii=False, sort_keys=True)} for line in lines]
    connection.execute(text(f"INSERT INTO {schema}.lines (begins, line) VALUES (:begins, :line)"), rows)
