"""What every verb works with: one connection in one transaction, and the clock."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Executable, Row, Select, Table, insert
from sqlalchemy.exc import IntegrityError

from evaluation.clock import Clock
from evaluation.errors import MouilletteError, NotFound


@dataclass(frozen=True, slots=True)
class Desk:
    connection: Connection
    clock: Clock

    def now(self) -> int:
        """The instant it is, by the clock of the notebook."""
        return self.clock.now()

    def rows(self, query: Select[Any]) -> Sequence[Row[Any]]:
        """All rows that were asked for, none of them included."""
        return self.connection.execute(query).all()

    def maybe(self, query: Select[Any]) -> Row[Any] | None:
        """The one row asked for, or None; more than one is an error of ours."""
        return self.connection.execute(query).one_or_none()

    def only_row(self, query: Select[Any], what: str) -> Row[Any]:
        """The one row asked for, or NotFound saying what there is none of."""
        row = self.maybe(query)
        if row is None:
            raise NotFound(f"No such {what}.")
        return row

    def add(self, table: Table, *rows: Mapping[str, Any]) -> None:
        """Insert rows into a table; nothing happens for none."""
        if rows:
            self.connection.execute(insert(table), [dict(row) for row in rows])

    def change(self, statement: Executable) -> int:
        """Carry out an update or delete; returns how many rows it met."""
        return int(self.connection.execute(statement).rowcount)


@contextmanager
def refused_as(error: MouilletteError) -> Iterator[None]:
    """Say ``error`` where a unique index refuses a row."""
    try:
        yield
    except IntegrityError as problem:
        raise error from problem
