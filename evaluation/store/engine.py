"""Where the data lies and how a transaction begins there."""

from __future__ import annotations

import os
import sqlite3
import stat
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from sqlalchemy import URL, Connection, Engine, StaticPool, create_engine, event, make_url
from sqlalchemy.exc import ArgumentError as BadUrl
from sqlalchemy.exc import DBAPIError, IntegrityError, MultipleResultsFound, OperationalError
from sqlalchemy.exc import TimeoutError as PoolEmpty

from evaluation.errors import Damaged, MouilletteError, StoreError
from evaluation.ground.intake import shortened
from evaluation.store import first_look

MODE: Final = "mouillette_mode"  # execution option: "reading", "writing" or "migrating"
BUSY_MILLISECONDS: Final = 5000
_WAL_TRIES: Final = 100

_PRAGMAS: Final = (f"busy_timeout={BUSY_MILLISECONDS}", "synchronous=FULL", "foreign_keys=ON", "secure_delete=ON")

# The driver would let CREATE TABLE survive a rollback, so every BEGIN is ours. Rebuilding a table (a migration in
# batch mode) drops it, which foreign keys would refuse: they are checked as a whole before that commit instead.
_BEGIN: Final = MappingProxyType(
    {
        "reading": ("PRAGMA query_only=ON", "BEGIN"),
        "writing": ("PRAGMA query_only=OFF", "BEGIN IMMEDIATE"),
        "migrating": ("PRAGMA query_only=OFF", "PRAGMA foreign_keys=OFF", "BEGIN IMMEDIATE"),
    }
)

# A reader sees one instant of the database, as on SQLite; writers are READ COMMITTED and lock what they decide on.
_SERVER_OPTIONS: Final[MappingProxyType[str, dict[str, Any]]] = MappingProxyType(
    {
        "reading": {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True},
        "writing": {"isolation_level": "READ COMMITTED", "postgresql_readonly": False},
        "migrating": {"isolation_level": "READ COMMITTED", "postgresql_readonly": False},
    }
)


@dataclass(frozen=True, slots=True)
class Place:
    """A data location: ``shown`` may be printed (no password), ``file`` is set for SQLite files only."""

    url: URL
    shown: str | None
    file: Path | None

    @property
    def on_server(self) -> bool:
        """True for PostgreSQL, False for a file or memory."""
        return self.url.get_backend_name() == "postgresql"


def locate(where: str | Path | None) -> Place:
    """The place meant by a file path, a ``sqlite:///`` or ``postgresql://`` URL, or None for memory."""
    if where is None:
        return Place(URL.create("sqlite"), None, None)
    if isinstance(where, Path) or "://" not in where:
        return _file_place(Path(where))
    try:
        url = make_url(where)
    except (BadUrl, ValueError):  # ValueError: a port that is no number
        raise StoreError("This is not a data location: give a file path or a database URL.") from None
    if url.drivername == "sqlite":
        return locate(None) if url.database in (None, "", ":memory:") else _file_place(Path(str(url.database)))
    if url.drivername in ("postgresql", "postgresql+psycopg"):
        return Place(url.set(drivername="postgresql+psycopg"), url.render_as_string(hide_password=True), None)
    raise StoreError(f"Data cannot be kept in {url.drivername!r}: give a file path, sqlite:///FILE or postgresql://…")


def _file_place(named: Path) -> Place:
    try:
        file = named.expanduser()
        odd = not _may_hold_data(file)
    except (OSError, ValueError, RuntimeError) as problem:  # too long, a zero byte, the home of nobody
        told = str(getattr(problem, "strerror", None) or problem).rstrip(".")
        raise StoreError(f"{shortened(str(named))} cannot name a file: {told}.") from None
    if odd:  # it would be waited for, or put out of its place
        raise StoreError(f"{str(file)!r} is a device or a pipe: name a file.")
    return Place(URL.create("sqlite", database=str(file)), str(file), file)


def _may_hold_data(file: Path) -> bool:
    """False for devices, pipes and the like; a folder is told of later. OSError where links lead round in a circle."""
    try:
        mode = os.stat(file).st_mode
    except (FileNotFoundError, NotADirectoryError):
        return True
    return stat.S_ISREG(mode) or stat.S_ISDIR(mode)


def connect(place: Place) -> Engine:
    """An engine for ``place``; a new file is its owner's only, a foreign or damaged one stays as it is."""
    if place.on_server:
        return _server_engine(place.url)
    if place.file is not None:
        _make_private(place.file)
    return _sqlite_engine(place)


def _make_private(file: Path) -> None:
    if not file.parent.is_dir():
        raise StoreError(f"The folder {str(file.parent)!r} does not exist: make it first or choose another.")
    if file.is_dir():
        raise StoreError(f"{str(file)!r} is a folder: name a file in it.")
    try:
        found = first_look.kind_of(file)
    except OSError as problem:
        raise StoreError(f"The file {str(file)!r} cannot be read: {problem.strerror}.") from problem
    if found == "damaged":
        raise Damaged(DAMAGED)
    try:
        os.close(os.open(file, os.O_CREAT | os.O_RDWR, 0o600))
    except OSError as problem:
        raise StoreError(f"The file {str(file)!r} cannot be written: {problem.strerror}.") from problem


def _sqlite_engine(place: Place) -> Engine:
    pool: dict[str, Any] = {"poolclass": StaticPool} if place.file is None else {"pool_size": 20}
    engine = create_engine(place.url, connect_args={"check_same_thread": False}, **pool)
    event.listen(engine, "connect", _prepare_sqlite)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _prepare_sqlite(connection: sqlite3.Connection, record: object) -> None:
    connection.isolation_level = None  # the driver begins nothing by itself
    for pragma in _PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")
    _write_ahead(connection)


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Turn on write-ahead logging; two programs making one new file clash here without SQLite waiting by itself."""
    for left in reversed(range(_WAL_TRIES)):
        try:
            connection.execute("PRAGMA journal_mode=WAL")
            return
        except sqlite3.OperationalError as problem:
            if not left or "locked" not in str(problem):
                raise
            threading.Event().wait(0.02)


def _begin_sqlite(connection: Connection) -> None:
    """What a connection was told of its mode holds until it is told another: it is said once, not at every tap."""
    mode = connection.get_execution_options().get(MODE, "reading")
    told = connection.info.pop(MODE, None) == mode  # gone until it has begun: it may be refused half told
    for statement in _BEGIN[mode][-1:] if told else _BEGIN[mode]:
        connection.exec_driver_sql(statement)
    connection.info[MODE] = mode


def _server_engine(url: URL) -> Engine:
    try:
        engine = create_engine(url, pool_size=20, pool_pre_ping=True, connect_args={"connect_timeout": 10})
    except ModuleNotFoundError:
        raise StoreError("PostgreSQL needs its driver: install mouillette[postgres].") from None
    event.listen(engine, "connect", _prepare_server)
    return engine


def _prepare_server(connection: Any, record: object) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"SET lock_timeout = {BUSY_MILLISECONDS}")
    connection.commit()


@contextmanager
def transaction(engine: Engine, mode: str) -> Iterator[Connection]:
    """One transaction: committed if the block ends well, else nothing of it stays."""
    server = engine.dialect.name == "postgresql"
    options = _SERVER_OPTIONS[mode] if server else {}
    with explained(), engine.connect() as connection:
        connection = connection.execution_options(**{MODE: mode}, **options)
        with connection.begin():
            yield connection


# --- errors ---------------------------------------------------------------------------------------------------

DAMAGED: Final = "This notebook is damaged."
_ON_A_SERVER: Final = (
    "This notebook is damaged: the database server cannot read a part of it ({}); leave the server's files as they are."
)
_SENTENCES: Final = (
    (("locked", "lock timeout", "deadlock", "QueuePool"), "The data is busy: another program holds it. Try again."),
    (("readonly", "read-only"), "The data cannot be written: the file or this transaction is read-only."),
    (("full",), "The disk is full: make room and try again."),
    (("unable to open",), "The data file cannot be opened: check the path and who may read it."),
)
# What SQLite says of pages, schemas and texts that it cannot read; a file is looked at before, so that it is ours.
_BROKEN: Final = (
    "malformed",
    "not a database",
    "decode to UTF-8",
    "unsupported file format",
    "no such ",
    "has no column",
)
_UNREAD: Final = "This notebook cannot be read from its disk: one of the two is damaged."
# Data or index corrupted, an internal fault (a value with a length that cannot be), a file that is gone or unreadable.
_BROKEN_ON_A_SERVER: Final = frozenset({"XX000", "XX001", "XX002", "58030", "58P01"})
_UNREACHABLE: Final = "The database cannot be reached: check the address, the name and that it is running."
_TWICE: Final = "The store refused this: it is there already."
_INCONSISTENT: Final = "The store refused this: it refers to something that is not there."


# What reading altered rows may raise, beside what the driver says.
ALTERED: Final = (KeyError, TypeError, ValueError, AttributeError, IndexError, ArithmeticError, RecursionError)
NOT_OURS: Final = "This notebook is damaged: a row of it holds what the program never wrote."


@contextmanager
def as_the_program_wrote() -> Iterator[None]:
    """Rows that cannot be read as what they should be are damage, whatever the reading raises; round nothing else."""
    try:
        yield
    except MouilletteError:  # a sentence already
        raise
    except (MultipleResultsFound, *ALTERED) as problem:
        raise Damaged(NOT_OURS) from problem


@contextmanager
def explained() -> Iterator[None]:
    """Turn what a driver says into one sentence of ours."""
    try:
        yield
    except IntegrityError as problem:
        raise StoreError(_TWICE if "unique" in str(problem.orig).lower() else _INCONSISTENT) from problem
    except (DBAPIError, PoolEmpty, sqlite3.Error) as problem:
        raise _told(problem) from problem
    except UnicodeDecodeError as problem:  # SQLite says what is malformed, in letters that are none
        raise Damaged(DAMAGED) from problem


def _told(problem: Exception) -> StoreError:
    cause = getattr(problem, "orig", None) or problem
    said = str(cause)
    if isinstance(cause, sqlite3.Error) and any(sign in said for sign in _BROKEN):
        return Damaged(DAMAGED)
    if isinstance(cause, sqlite3.Error) and "disk I/O" in said:
        return Damaged(_UNREAD)
    if getattr(cause, "sqlstate", None) in _BROKEN_ON_A_SERVER:
        return Damaged(_ON_A_SERVER.format(said.splitlines()[0].rstrip(".")))
    return StoreError(_sentence(problem, cause, said))


def _sentence(problem: Exception, cause: BaseException, said: str) -> str:
    for signs, sentence in _SENTENCES:
        if any(sign in said for sign in signs):
            return sentence
    if isinstance(problem, OperationalError) and not isinstance(cause, sqlite3.Error):
        return _UNREACHABLE
    return f"The database refused this: {said.splitlines()[0] if said else type(cause).__name__}."
