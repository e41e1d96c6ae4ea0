"""A PostgreSQL server for tests: each test gets a schema of its own in the database the environment names.

A test that stops its server has one of its own.
"""

from __future__ import annotations

import os
import secrets
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine, event, make_url, text

from evaluation.store import schema
from evaluation.store.engine import connect, locate

SERVER = "MOUILLETTE_TEST_POSTGRES"
postgres = pytest.param("postgres", marks=pytest.mark.postgres)


@contextmanager
def own_schema() -> Iterator[str]:
    """The URL of an empty schema, dropped afterwards; skips without a server."""
    given = os.environ.get(SERVER)
    if not given:
        pytest.skip(f"No PostgreSQL server: set {SERVER} to its URL to run this test.")
    url, name = make_url(given).set(drivername="postgresql+psycopg"), f"test_{secrets.token_hex(6)}"
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(f"CREATE SCHEMA {name}"))
    own = url.set(drivername="postgresql").update_query_dict({"options": f"-csearch_path={name}"})
    try:
        yield own.render_as_string(hide_password=False)
    finally:
        with engine.connect() as connection:
            connection.execute(text(f"DROP SCHEMA {name} CASCADE"))
            connection.execute(text(f"DROP SCHEMA IF EXISTS {name}_anchor CASCADE"))
        engine.dispose()


def migrate(where: str | Path, listener: Callable[..., None] | None = None) -> None:
    """Bring a new file or an empty schema up to date and do nothing else; ``listener`` hears what is said to it."""
    place = locate(where)
    engine = connect(place)
    if listener is not None:
        event.listen(engine, "before_cursor_execute", listener)
    schema.bring_up(engine, place)
    engine.dispose()


def bring_up(place: str) -> None:
    """Make of an empty schema what opening a notebook there makes of it, by the same statements and all at once.

    The migrations run once in a process, and what they said to the server is said again: test_opening.py has migrating
    itself.
    """
    import psycopg

    with psycopg.connect(place) as connection:
        connection.execute(_said_by_the_migrations().encode())


@cache
def _said_by_the_migrations() -> str:
    said: list[str] = []

    def keep(connection: Any, cursor: Any, statement: str, parameters: Any, context: Any, many: bool) -> None:
        if statement.split()[0] in ("CREATE", "ALTER", "DROP", "INSERT", "UPDATE", "DELETE"):
            assert not parameters, f"this statement is not whole: {statement}"
            said.append(statement)

    with own_schema() as url:
        migrate(url, keep)
    return ";\n".join(said)


# --- a server of a test's own ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class OwnServer:
    """A database server that a test may stop and start: its data lie in a folder that goes with it."""

    folder: Path
    port: int

    @property
    def url(self) -> str:
        """The database that is there from the beginning."""
        return f"postgresql://tests@127.0.0.1:{self.port}/postgres"

    def start(self) -> None:
        """Begin to listen; returns once it answers."""
        options = f"-p {self.port} -k {self.folder} -c listen_addresses=127.0.0.1"
        self._controlled("--wait", f"--log={self.folder / 'log'}", f"--options={options}", "start")

    def stop(self, mode: str) -> None:
        """ "fast" ends by the book, "immediate" at once: then the next start has to recover."""
        self._controlled("--wait", f"--mode={mode}", "stop")

    def restart(self, mode: str) -> None:
        """Stop and start again."""
        self.stop(mode)
        self.start()

    def _controlled(self, *words: str) -> None:
        _as_owner("pg_ctl", f"--pgdata={self.folder / 'data'}", "--silent", *words)


@contextmanager
def own_server() -> Iterator[OwnServer]:
    """A server that listens on this machine alone; skips where none is installed or none may be started."""
    if _binaries() is None:
        pytest.skip("No PostgreSQL server is installed here (Debian: apt install postgresql).")
    # Not in pytest's folder: Debian's user for it could not get there.
    with tempfile.TemporaryDirectory(prefix="mouillette-server-", ignore_cleanup_errors=True) as made:
        folder = Path(made)
        if _root():
            shutil.chown(folder, "postgres")
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            server = OwnServer(folder, free.getsockname()[1])
        about = ("--username=tests", "--auth=trust", "--encoding=UTF8", "--locale=C.UTF-8", "--no-sync")
        _as_owner("initdb", f"--pgdata={folder / 'data'}", *about)
        server.start()
        try:
            yield server
        finally:
            server.stop("immediate")


def _binaries() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda one: float(one.parts[-3]))
    named = shutil.which("initdb")
    return found[-1].parent if found else Path(named).parent if named else None


def _root() -> bool:
    return hasattr(os, "geteuid") and os.geteuid() == 0


def _as_owner(name: str, *words: str) -> None:
    """Run one of the server's own programs; it refuses root, so that root hands over to Debian's user for it."""
    command = [f"{_binaries()}/{name}", *words]
    done = subprocess.run(
        ["runuser", "-u", "postgres", "--", *command] if _root() else command,
        cwd="/", stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, f"{name} {' '.join(words)}: {done.stderr}"
