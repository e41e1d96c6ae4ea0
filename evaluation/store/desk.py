"""What every verb works with: one connection in one transaction, and the clock."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from sqlalchemy import Column, Connection, Executable, Insert, Row, Select, Table, bindparam, insert, select
from sqlalchemy.exc import IntegrityError

from evaluation.clock import Clock
from evaluation.errors import MouilletteError, NotFound
from evaluation.store.engine import as_the_program_wrote


@dataclass(frozen=True, slots=True)
class End:
    """The newest record of a log: how many there are with it, its hash and its instant."""

    count: int
    hash: str
    at: int


@dataclass(frozen=True, slots=True)
class Desk:
    """One connection in one transaction; ``moved`` and ``erased`` tell afterwards what the anchor must learn."""

    connection: Connection
    clock: Clock
    moved: dict[str, End | None] = field(default_factory=dict)  # logs written to; None: asked of the rows
    answered: dict[str, set[str]] = field(default_factory=dict)  # by log: ballots that locked answers
    erased: set[str] = field(default_factory=set)  # people
    heads: dict[str, tuple[int, str]] = field(default_factory=dict)  # of logs held until the transaction ends

    def now(self) -> int:
        """The instant it is, by the clock of the notebook."""
        return self.clock.now()

    def rows(self, query: Select[Any], **asked: Any) -> Sequence[Row[Any]]:
        """All rows that were asked for, none of them included; ``asked`` fills the open places of a query made once."""
        with as_the_program_wrote():
            return self.connection.execute(query, asked or None).all()

    def maybe(self, query: Select[Any], **asked: Any) -> Row[Any] | None:
        """The one row asked for, or None; more than one is an error of ours."""
        with as_the_program_wrote():
            return self.connection.execute(query, asked or None).one_or_none()

    def only_row(self, query: Select[Any], what: str, **asked: Any) -> Row[Any]:
        """The one row asked for, or NotFound saying what there is none of."""
        row = self.maybe(query, **asked)
        if row is None:
            raise NotFound(f"No such {what}.")
        return row

    def add(self, table: Table, *rows: Mapping[str, Any]) -> None:
        """Insert rows into a table; nothing happens for none."""
        if rows:
            self.connection.execute(_insert(table), [dict(row) for row in rows])

    def change(self, statement: Executable, **asked: Any) -> int:
        """Carry out an update or delete; returns how many rows it met."""
        return int(self.connection.execute(statement, asked or None).rowcount)


# Building a statement and finding its text again costs three times what the database takes to answer it. What is asked
# at every tap of every phone is made once, when its file is imported.


def wanting(*columns: Column[Any]) -> Select[Any]:
    """The rows of one table whose ``columns`` hold what is given with each asking, by the name of the column."""
    return select(columns[0].table).where(*(column == bindparam(column.name) for column in columns))


@cache
def _insert(table: Table) -> Insert:
    return insert(table)


@contextmanager
def refused_as(error: MouilletteError) -> Iterator[None]:
    """Say ``error`` where a unique index refuses a row."""
    try:
        yield
    except IntegrityError as problem:
        raise error from problem
