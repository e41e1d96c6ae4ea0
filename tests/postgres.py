"""A PostgreSQL server for tests: each test gets a schema of its own in the database the environment names."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import create_engine, make_url, text

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
