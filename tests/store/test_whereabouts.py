"""A notebook deleted, moved or replaced while the app runs (evaluation/store/whereabouts.py): nothing is acknowledged."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from evaluation.actions import ballot
from evaluation.clock import SteppedClock
from evaluation.errors import StoreError
from evaluation.store import Notebook, whereabouts
from tests.store.prepared import Held, held


@pytest.fixture
def made(tmp_path: Path) -> Iterator[Held]:
    found = held(Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1)))
    found.lock(found.answer(1))
    yield found
    found.notebook.close()


def file_of(made: Held) -> Path:
    return Path(str(made.notebook.where))


def _deleted(file: Path) -> None:
    file.unlink()


def _moved(file: Path) -> None:
    file.rename(file.with_name("elsewhere.sqlite"))


def _replaced(file: Path) -> None:
    shutil.copy(file, file.with_name("copy"))
    os.replace(file.with_name("copy"), file)


def _wal_deleted(file: Path) -> None:
    Path(f"{file}-wal").unlink()


def _wal_replaced(file: Path) -> None:
    _replaced(Path(f"{file}-wal"))


FAULTS = [_deleted, _moved, _replaced, _wal_deleted, _wal_replaced]


@pytest.mark.parametrize("fault", FAULTS)
def test_no_answer_is_acknowledged_into_a_file_that_is_gone(made: Held, fault: Callable[[Path], None]) -> None:
    fault(file_of(made))
    for _ in range(2):
        with pytest.raises(StoreError) as refused:
            made.lock(made.answer(2))
        assert str(refused.value) == whereabouts.GONE
    assert made.notebook.alarms == (whereabouts.GONE,)
    assert file_of(made).exists() is (fault in (_replaced, _wal_deleted, _wal_replaced))  # none is made anew


@pytest.mark.parametrize("fault", FAULTS)
def test_a_file_that_goes_between_beginning_and_commit_is_noticed_too(
    made: Held, fault: Callable[[Path], None]
) -> None:
    def answered() -> None:
        with made.notebook.writing() as tx:
            tx.log.append(made.id, "looked in", {})
            fault(file_of(made))

    with pytest.raises(StoreError, match="Nothing was stored"):
        answered()


def test_a_file_moved_and_put_back_is_the_same(made: Held) -> None:
    file = file_of(made)
    _moved(file)
    file.with_name("elsewhere.sqlite").rename(file)
    made.lock(made.answer(2))
    assert made.notebook.alarms == ()


def test_the_page_of_a_panelist_goes_on_reading(made: Held) -> None:
    """They see their question and the sentence, not a breakdown."""
    file_of(made).unlink()
    assert ballot.view(made.notebook, made.ballot_ids[1]).question is not None


def test_no_new_connection_makes_an_empty_file(made: Held) -> None:
    made.notebook._engine.pool.dispose()  # as if all were in use
    file_of(made).unlink()
    with pytest.raises(StoreError, match="Nothing was stored"), made.notebook.reading() as tx:
        tx.book.briefs()
    assert not file_of(made).exists()


def test_while_an_app_runs_its_write_ahead_file_is_watched_from_the_first_moment(tmp_path: Path) -> None:
    """Closing every other connection takes none of it away, so no restart of the pool is taken for a fault."""
    notebook = Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1))
    made = held(notebook)
    other = Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1))
    notebook._engine.pool.dispose()
    other.close()
    made.lock(made.answer(1))
    assert notebook.alarms == ()
    notebook.close()
