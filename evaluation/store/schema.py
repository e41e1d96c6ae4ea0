"""Which schema a database has, and bringing it up to ours."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, create_mock_engine, inspect, text
from sqlalchemy.dialects import sqlite

from evaluation.clock import Clock
from evaluation.errors import StoreError
from evaluation.store.engine import Place, transaction
from evaluation.store.first_look import FOREIGN, VERSION_TABLE
from evaluation.store.rows import metadata

_ADVISORY_LOCK: Final = 0x6D6F75696C6C  # any number nobody else takes: "mouill"


@dataclass(frozen=True, slots=True)
class Steps:
    """Where the migration scripts lie, and their revisions, oldest first."""

    folder: Path
    revisions: tuple[str, ...]

    @property
    def head(self) -> str:
        """The newest revision: what a notebook is brought up to."""
        return self.revisions[-1]


OURS: Final = Steps(
    Path(__file__).resolve().parent / "migrations",
    (
        "0001_main_job",
        "0002_small_panels",
        "0003_dry_down",
        "0004_skin_speaks_of_materials",
        "0005_dips",
        "0006_formulas",
        "0007_bottles",
        "0008_series",
    ),
)


# Round a migration: yields what is called once it is known that one is due, with the revision that was found.
Before = Callable[[], AbstractContextManager[Callable[[str], None]]]


def bring_up(
    engine: Engine,
    place: Place,
    clock: Clock | None = None,
    *,
    allowed: bool = True,
    steps: Steps = OURS,
    before: Before = lambda: nullcontext(lambda _: None),
) -> None:
    """Leave the database at the last revision of ``steps`` or raise StoreError; several processes may try at once.

    ``clock`` dates what a step writes down of itself; a database without data needs none. ``before`` makes a copy of
    what was there.
    """
    if place.shown is None:
        _make_in_memory(engine, steps)
        return
    with transaction(engine, "reading") as connection:
        current = revision(connection, steps)
    if current == steps.head:
        return
    if not allowed:
        raise StoreError("The data has an older schema: start the app once without refusing to migrate it.")
    _migrate(engine, place, steps, clock, before)


def _make_in_memory(engine: Engine, steps: Steps) -> None:
    with transaction(engine, "writing") as connection:
        raw: Any = connection.connection.driver_connection
        for statement in _all_tables():
            raw.execute(statement)
        connection.execute(text(f"CREATE TABLE {VERSION_TABLE} (version_num VARCHAR(32) NOT NULL PRIMARY KEY)"))
        connection.execute(text(f"INSERT INTO {VERSION_TABLE} VALUES (:head)"), {"head": steps.head})


@cache
def _all_tables() -> tuple[str, ...]:
    """What SQLite is told to make all tables: to spell it takes longer than to do it."""
    said: list[str] = []
    engine = create_mock_engine(
        "sqlite://", lambda one, *_, **__: said.append(str(one.compile(dialect=sqlite.dialect())))
    )
    metadata.create_all(engine, checkfirst=False)
    return tuple(said)


def revision(connection: Connection, steps: Steps = OURS) -> str | None:
    """The revision found, None in an empty database; StoreError for one that is not ours, or newer."""
    tables = inspect(connection).get_table_names()
    if VERSION_TABLE not in tables:
        if tables:
            raise StoreError(FOREIGN)
        return None
    found = connection.execute(text(f"SELECT version_num FROM {VERSION_TABLE}")).scalar_one_or_none()
    if found is not None and found not in steps.revisions:
        raise StoreError(f"The data was written by a newer version (schema {found}): install that version.")
    return None if found is None else str(found)


def _migrate(engine: Engine, place: Place, steps: Steps, clock: Clock | None, before: Before) -> None:
    """Under a lock: look again, copy what was there, go up, check."""
    with before() as copy, transaction(engine, "migrating") as connection:
        if place.on_server:
            connection.execute(text(f"SELECT pg_advisory_xact_lock({_ADVISORY_LOCK})"))
        current = revision(connection, steps)
        if current == steps.head:
            return
        if current is not None:
            _hold_still(connection)
            copy(current)
        upgrade(connection, steps, 0 if clock is None else clock.now())
        if not place.on_server:
            check_references(connection)
    engine.dispose()  # connections that migrated have foreign keys switched off


def _hold_still(connection: Connection) -> None:
    """On a server an older app may be answering yet: nothing is written between the copy and the change."""
    if connection.dialect.name == "postgresql":
        there = sorted(set(inspect(connection).get_table_names()) & set(metadata.tables))
        connection.execute(text(f"LOCK TABLE {', '.join(there)} IN EXCLUSIVE MODE"))


def upgrade(connection: Connection, steps: Steps, moment: int, to: str = "head") -> None:
    """Run the scripts inside the caller's transaction; ``moment`` is when they say that something was done."""
    from alembic import command  # only where a schema changes: it costs more than all the rest
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(steps.folder).replace("%", "%%"))
    config.attributes.update(connection=connection, version_table=VERSION_TABLE, moment=moment)
    command.upgrade(config, to)


def check_references(connection: Connection) -> None:
    """Foreign keys as a whole, on SQLite, where they were switched off for a while."""
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    if broken is not None:
        raise StoreError(f"The data cannot be brought up to date: a row of {broken[0]!r} refers to nothing.")
