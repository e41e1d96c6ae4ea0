"""What makes a hostile case cheap: one notebook in memory that every case finds empty, in the place of a new one.

A new engine builds every query again, and a new file runs every migration: most of what a case cost. All that reads
what comes in, checks it and lays it in is the program's own; a share of the cases goes the whole way all the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from types import SimpleNamespace
from typing import Any

import pytest

from evaluation.clock import SteppedClock
from evaluation.report import export, profile, several_trials, two
from evaluation.store import Notebook, rows, schema
from evaluation.store import engine as engines
from evaluation.store.backup import restoring


class Again(Notebook):
    """A notebook in memory that whoever is done with it leaves as it is."""

    __slots__ = ()

    def close(self) -> None:
        """It is used again."""


class Undone(Exception):  # noqa: N818 - what takes back what was written
    """A case is over."""


class Tried:
    """A notebook in which nothing that was written stays: every case finds it as it was."""

    def __init__(self, notebook: Notebook) -> None:
        self._notebook = notebook
        self.clock = notebook.clock
        self.reading = notebook.reading

    @contextmanager
    def writing(self) -> Iterator[Any]:
        try:
            with self._notebook.writing() as tx:
                yield tx
                raise Undone
        except Undone:
            return

    def locked(self, session_id: str) -> int:
        """How many answers are stored."""
        with self._notebook.reading() as tx:
            return len(tx.ballots.session_answers(session_id))


class NoPictures:
    """In the place of charts: what would be drawn is worked out, and not drawn."""

    def __getattr__(self, name: str) -> Any:
        return lambda *_, **__: None


class Older(Exception):  # noqa: N818 - no error: such a case goes the whole way
    """A schema is asked for that only the migrations make."""


_TABLES = "".join(f"DELETE FROM {one.name};" for one in reversed(rows.metadata.sorted_tables))
_EMPTY = f"PRAGMA query_only=OFF;PRAGMA foreign_keys=OFF;BEGIN;{_TABLES}COMMIT;PRAGMA foreign_keys=ON;"


def emptied(notebook: Notebook) -> Notebook:
    """The same notebook in memory without a row; foreign keys are held to again, which a restore switches off."""
    with notebook._engine.connect() as connection:
        driver = connection.connection.driver_connection
        assert driver is not None
        driver.executescript(_EMPTY)
        connection.info.clear()  # what it was told of its mode holds no more
    return notebook


@contextmanager
def exports_in_one_notebook() -> Iterator[None]:
    """Exports are opened into the same notebook one after another; the charts of their reports are left out."""
    once = Again.open(None, SteppedClock(step=1))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(export, "Notebook", SimpleNamespace(open=lambda *_: emptied(once)))
        for module, name in ((two, "charts"), (profile, "drawn"), (several_trials, "drawn")):
            patched.setattr(module, name, NoPictures())
        yield
    Notebook.close(once)


@contextmanager
def backups_in_one_notebook() -> Iterator[None]:
    """Backups are laid out in the same notebook one after another; Older for one in another schema."""
    once = Again.open(None, SteppedClock(step=1))
    with once.connected("reading") as connection:
        tables = restoring.reflected(connection)
    kept = SimpleNamespace(dialect=once._engine.dialect, connect=once._engine.connect, dispose=lambda: None)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(restoring, "reflected", lambda _: tables)
        patched.setattr(restoring, "schema", SimpleNamespace(**vars(schema) | {"upgrade": _upgraded}))
        patched.setattr(
            restoring, "engines", SimpleNamespace(**vars(engines) | {"connect": lambda _: (emptied(once), kept)[1]})
        )
        patched.setattr(restoring, "Notebook", SimpleNamespace(open_unchanged=lambda *_: once))
        yield
    Notebook.close(once)


def _upgraded(connection: Any, steps: schema.Steps, moment: int, to: str = "head") -> None:
    if to not in ("head", steps.head):
        raise Older(to)
