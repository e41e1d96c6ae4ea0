"""Each test of the store runs in memory, on a file and on PostgreSQL (in a schema of its own)."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from evaluation.clock import SteppedClock
from evaluation.store import Notebook
from tests.postgres import bring_up, migrate, own_schema, postgres


def _place(kind: str, folder: Path) -> Iterator[str | None]:
    if kind == "postgres":
        with own_schema() as place:
            yield place
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
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever waits for others is refused after a minute, not after five seconds: the machine may be busy."""
    from evaluation.store import engine

    once = tuple(one for one in engine._PRAGMAS if not one.startswith("busy_timeout"))
    monkeypatch.setattr(engine, "_PRAGMAS", ("busy_timeout=60000", *once))
    monkeypatch.setattr(engine, "BUSY_MILLISECONDS", 60_000)
    monkeypatch.setattr(engine, "_WAL_TRIES", 3000)


@pytest.fixture(scope="session")
def migrated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file whose schema is up to date and which was never opened as a notebook."""
    file = tmp_path_factory.mktemp("migrated") / "notebook.sqlite"
    migrate(file)
    return file


@pytest.fixture
def notebook(where: str | None, clock: SteppedClock, migrated: Path) -> Iterator[Notebook]:
    """A new notebook at each place, brought up to date beforehand: test_opening.py has what migrating does."""
    if where is not None and "://" in where:
        bring_up(where)
    elif where is not None:
        shutil.copy(migrated, where)
    opened = Notebook.open(where, clock)
    yield opened
    opened.close()
