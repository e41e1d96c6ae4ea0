"""The copies the app makes of itself: when, where, how many, whose, and what they hold."""

from __future__ import annotations

import stat
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from evaluation.actions import doors
from evaluation.clock import SteppedClock, SystemClock
from evaluation.errors import StoreError
from evaluation.keeping.own_copies import DAY, Keeper
from evaluation.store import Notebook
from evaluation.store.backup import form, kept_copies, restoring
from evaluation.store.backup.kept_copies import KEPT
from tests.backups import held_by, members
from tests.store.prepared import Held, add_draft, held, raw, sealed


@pytest.fixture
def made(tmp_path: Path, clock: SteppedClock) -> Iterator[Held]:
    found = held(Notebook.open(tmp_path / "n.sqlite", clock))
    yield found
    found.notebook.close()


def kept(made: Held) -> list[str]:
    """Why each copy that is there was made, newest first."""
    return [one.why for one in kept_copies.copies(str(made.notebook.where))]


def test_one_a_day_and_one_after_each_session_that_ends(made: Held, clock: SteppedClock) -> None:
    keeper = Keeper(made.notebook)
    assert keeper.look() is not None  # the first day
    assert [keeper.look() for _ in range(3)] == [None] * 3
    clock.instant += DAY - 1000
    assert keeper.look() is None
    clock.instant += 2000
    keeper.look()
    assert kept(made) == ["daily", "daily"]
    made.step("close")
    keeper.look()
    assert keeper.look() is None
    assert kept(made) == ["session", "daily", "daily"]
    made.step("open")  # it ended before
    assert keeper.look() is None
    other = sealed(made.notebook, "other", add_draft(made.notebook, "other"), seed=bytes(32))
    other.step("start", "void")
    keeper.look()
    assert kept(made)[:2] == ["session", "session"]


def test_what_ended_while_nobody_looked_is_kept_at_the_next_start(made: Held, clock: SteppedClock) -> None:
    Keeper(made.notebook).look()
    made.step("close")
    made.notebook.close()
    again = Notebook.open(str(made.notebook.where), clock)
    keeper = Keeper(again)
    assert keeper.look() is not None
    assert keeper.look() is None
    assert Keeper(again).look() is None
    assert kept(made) == ["session", "daily"]
    again.close()


def test_an_empty_notebook_is_not_copied(tmp_path: Path, clock: SteppedClock) -> None:
    notebook = Notebook.open(tmp_path / "n.sqlite", clock)
    assert Keeper(notebook).look() is None
    assert not kept_copies.folder(tmp_path / "n.sqlite").exists()
    notebook.close()


def test_the_stated_number_of_each_is_kept_and_nothing_else_is_touched(made: Held, clock: SteppedClock) -> None:
    keeper = Keeper(made.notebook)
    made.step("close")
    keeper.look()
    folder = kept_copies.folder(str(made.notebook.where))
    for name in ("20200101T000000000Z-mine.zip", "notes.txt", "20209999T000000000Z-daily.zip"):
        (folder / name).write_text("mine")
    for _ in range(KEPT + 3):
        clock.instant += DAY + 1
        keeper.look()
    assert kept(made) == ["daily"] * KEPT + ["session"]
    newest = [one.at for one in kept_copies.copies(str(made.notebook.where))]
    assert newest == sorted(newest, reverse=True)
    assert clock.instant - newest[0] < 100
    assert {one.name for one in folder.iterdir() if one.read_bytes() == b"mine"} == {
        "20200101T000000000Z-mine.zip",
        "notes.txt",
        "20209999T000000000Z-daily.zip",
    }


def test_what_was_cut_off_while_it_was_written_does_not_stay(made: Held, clock: SteppedClock) -> None:
    copy = Keeper(made.notebook).look()
    assert copy is not None
    begun = copy.file.with_name(f"{copy.file.name}.0a1b2c3d.part")  # as a kill leaves it
    others = [copy.file.with_name("mine.zip.0a1b2c3d.part"), copy.file.with_name(f"{copy.file.name}.part")]
    for one in (begun, *others):
        one.write_bytes(b"half of it")
    Keeper(made.notebook).look()
    assert begun.exists()  # another process may be at it
    clock.instant += kept_copies.HOUR
    Keeper(made.notebook).look()
    assert not begun.exists()
    assert all(one.exists() for one in (copy.file, *others))


def test_a_clock_that_was_set_back_makes_neither_many_nor_none(made: Held, clock: SteppedClock) -> None:
    keeper = Keeper(made.notebook)
    made.step("close")
    keeper.look()
    clock.instant -= 30 * DAY
    assert keeper.look() is not None  # the day is another
    assert [keeper.look() for _ in range(3)] == [None] * 3
    again = Keeper(made.notebook)
    assert [again.look() for _ in range(3)] == [None] * 3


def test_a_copy_is_its_owners_only_whole_and_without_the_secret(made: Held, tmp_path: Path) -> None:
    secret = doors.server_secret(tmp_path / "n.sqlite")
    made.lock(made.answer(1))
    copy = Keeper(made.notebook).look()
    assert copy is not None
    assert copy.file.parent == Path(f"{made.notebook.where}.copies")
    assert stat.S_IMODE(copy.file.stat().st_mode) == 0o600
    assert stat.S_IMODE(copy.file.parent.stat().st_mode) == 0o700
    parts = members(copy.file.read_bytes())
    assert form.SECRET not in parts
    assert all(secret.hex().encode() not in one and secret not in one for one in parts.values())
    restoring.restore(copy.file, tmp_path / "back.sqlite", SystemClock())
    assert held_by(str(tmp_path / "back.sqlite"))["answers"] == held_by(str(tmp_path / "n.sqlite"))["answers"]


def test_what_hinders_a_copy_is_told_once_and_tried_again(made: Held) -> None:
    told: list[str] = []
    keeper = Keeper(made.notebook, told.append)
    folder = kept_copies.folder(str(made.notebook.where))
    folder.write_text("in the way")
    assert [keeper.look(), keeper.look()] == [None, None]
    assert keeper.trouble
    assert len(told) == 1
    folder.unlink()
    assert keeper.look() is not None
    assert keeper.trouble == ""


def test_a_damaged_notebook_is_copied_and_no_good_copy_goes_for_it(made: Held, clock: SteppedClock) -> None:
    told: list[str] = []
    keeper = Keeper(made.notebook, told.append)
    good = keeper.look()
    assert good is not None
    raw(made.notebook, "UPDATE records SET at = at + 1 WHERE sequence = 2")
    for _ in range(KEPT + 2):
        clock.instant += DAY + 1
        assert keeper.look() is not None
        assert keeper.look() is None
        assert "check the notebook" in keeper.trouble
    assert good.file.exists()
    assert len(told) == 1
    raw(made.notebook, "UPDATE records SET at = at - 1 WHERE sequence = 2")
    clock.instant += DAY + 1
    keeper.look()
    assert keeper.trouble == ""
    assert not good.file.exists()


def test_copies_of_a_clock_that_was_ahead_neither_stop_others_nor_push_them_out(
    made: Held, clock: SteppedClock
) -> None:
    for _ in range(KEPT):
        clock.instant += 400 * DAY
        Keeper(made.notebook).look()
    clock.instant -= KEPT * 400 * DAY
    made.step("close")
    copy = Keeper(made.notebook).look()
    assert copy is not None
    assert copy.why == kept_copies.SESSION
    clock.instant += DAY + 1
    copy = Keeper(made.notebook).look()
    assert copy is not None
    assert copy.file.exists()
    assert [Keeper(made.notebook).look() for _ in range(2)] == [None] * 2


def test_a_row_no_program_of_ours_wrote_is_damage_and_ends_no_thread(made: Held) -> None:
    raw(made.notebook, "UPDATE sessions SET sealed_hash = X'00FF'")
    keeper = Keeper(made.notebook)
    assert keeper.look() is None
    assert "This notebook is damaged" in keeper.trouble
    assert kept(made) == []


def test_the_thread_makes_them_and_looks_a_last_time_when_it_is_stopped(made: Held) -> None:
    looked = threading.Event()
    keeper = Keeper(made.notebook)
    look = keeper.look

    def seen() -> kept_copies.Copy | None:
        found = look()
        looked.set()
        return found

    keeper.look = seen  # type: ignore[method-assign]
    keeper.start(every=600)
    assert looked.wait(120)
    assert kept(made) == ["daily"]
    made.step("close")  # the next look would be in ten minutes
    keeper.stop()
    assert kept(made) == ["session", "daily"]


@pytest.mark.parametrize("where", [None, "postgresql://somewhere/else"])
def test_only_a_file_has_copies_beside_it(where: str | None, notebook: Notebook) -> None:
    with pytest.raises(StoreError, match="in a file only"):
        Keeper(Notebook(where, notebook.clock, notebook._engine))
