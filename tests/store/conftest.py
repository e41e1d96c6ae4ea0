"""Each test of the store runs in memory, on a file and on PostgreSQL (in a schema of its own)."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import create_engine, make_url, text

from evaluation.clock import SteppedClock
from evaluation.store import Notebook

SERVER = "MOUILLETTE_TEST_POSTGRES"
postgres = pytest.param("postgres", marks=pytest.mark.postgres)


def _own_schema() -> Iterator[str]:
    given = os.environ.get(SERVER)
    if not given:
        pytest.skip(f"No PostgreSQL server: set {SERVER} to its URL to run this test.")
    url, name = make_url(given).set(drivername="postgresql+psycopg"), f"test_{secrets.token_hex(6)}"
    engine = create_engine(url, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(f"CREATE SCHEMA {name}"))
    own = url.set(drivername="postgresql").update_query_dict({"options": f"-csearch_path={name}"})
    yield own.render_as_string(hide_password=False)
    with engine.connect() as connection:
        connection.execute(text(f"DROP SCHEMA {name} CASCADE"))
    engine.dispose()


def _place(kind: str, folder: Path) -> Iterator[str | None]:
    if kind == "postgres":
        yield from _own_schema()
    else:
        yield None if kind == "memory" else str(folder / "notebook.sqlite")


@pytest.fixture(params=["memory", "file", postgres])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str | None]:
    """A data location, not opened yet."""
    yield from _place(request.param, tmp_path)


@pytest.fixture(params=["file", postgres])
def lasting(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A location that several notebooks and processes can open."""
    for place in _place(request.param, tmp_path):
        assert place is not None
        yield place


@pytest.fixture
def notebook(where: str | None, clock: SteppedClock) -> Iterator[Notebook]:
    opened = Notebook.open(where, clock)
    yield opened
    opened.close()
