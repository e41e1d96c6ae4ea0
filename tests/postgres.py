"""A PostgreSQL server for tests: each test gets a schema of its own in the database the environment names."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager
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
