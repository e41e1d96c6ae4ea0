"""Copies that still hold somebody who was erased, and a copy of now in their place."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from evaluation.clock import SteppedClock
from evaluation.errors import StateError
from evaluation.keeping import copies_of_people
from evaluation.store import Notebook
from evaluation.store.backup import form, kept_copies, making
from evaluation.store.backup.kept_copies import BEFORE, DAILY, SESSION, Copy
from tests.store.prepared import held, raw


@pytest.fixture
def kept(tmp_path: Path) -> Iterator[Notebook]:
    notebook = Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1))
    held(notebook)
    yield notebook
    notebook.close()


def copied(notebook: Notebook, why: str = DAILY) -> Copy:
    made = kept_copies.new_copy(str(notebook.where), notebook.clock.now(), why)
    with form.new_file(made.file) as out:
        making.make(notebook, out)
    return made


def erased(notebook: Notebook) -> None:
    with notebook.writing() as tx:
        tx.book.erase_panelist("person-1")


def test_copies_made_before_hold_them_and_copies_made_since_do_not(kept: Notebook) -> None:
    old = [copied(kept, why) for why in (DAILY, SESSION, BEFORE)]
    erased(kept)
    copied(kept)
    found = copies_of_people.holding(kept, ["person-1"])
    assert found == copies_of_people.Holding(tuple(reversed(old)), ())
    assert copies_of_people.holding(kept, []).holding == ()


def test_a_copy_of_now_takes_their_place(kept: Notebook) -> None:
    copied(kept)
    erased(kept)
    made = copies_of_people.replace_copies(kept, copies_of_people.holding(kept, ["person-1"]).holding)
    assert kept_copies.copies(str(kept.where)) == (made,)
    assert copies_of_people.holding(kept, ["person-1"]) == copies_of_people.Holding((), ())
    assert b"Nose 1" not in made.file.read_bytes()


def test_a_copy_that_cannot_be_read_is_told_apart(kept: Notebook) -> None:
    bad = copied(kept)
    bad.file.write_bytes(b"no zip")
    assert copies_of_people.holding(kept, ["person-1"]) == copies_of_people.Holding((), (bad,))


def test_no_good_copy_goes_for_a_broken_one(kept: Notebook) -> None:
    old = copied(kept)
    erased(kept)
    raw(kept, "UPDATE records SET body = replace(body, 'person-2', 'person-3')")
    with pytest.raises(StateError, match="may be the good ones"):
        copies_of_people.replace_copies(kept, [old])
    assert old.file.exists()


def test_only_copies_of_this_notebook_go(kept: Notebook, tmp_path: Path) -> None:
    other = Copy(tmp_path / "elsewhere.zip", 5, DAILY)
    other.file.write_bytes(b"mine")
    with pytest.raises(StateError, match="look again"):
        copies_of_people.replace_copies(kept, [other])
    assert other.file.exists()
