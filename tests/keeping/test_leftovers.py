"""What a kill leaves of a backup or a restore is swept by the next; what another process is at stays as it is."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from evaluation.clock import SteppedClock
from evaluation.ground import file_locks
from evaluation.keeping import at_start, backup_commands
from evaluation.store import Notebook, stop_mark
from evaluation.store.backup import form, leftovers
from tests.backups import backup_of, inside
from tests.store.prepared import held

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.skipif(not file_locks.available(), reason="This system has no Unix file locks.")

# Stands still in the middle of a backup or a restore, where a kill may meet it, and says so.
STANDING = """
import sys
from pathlib import Path
from evaluation.clock import SteppedClock
from evaluation.store import Notebook
from evaluation.store.backup import form, making, restoring

def stand(*_):
    print("there", flush=True)
    sys.stdin.read()

what, given, made = sys.argv[1:]
if what == "backup":
    form.appear = stand
    with form.new_file(Path(made)) as out:
        making.make(Notebook.open_unchanged(given, SteppedClock(step=1)), out)
else:
    restoring.check = stand
    restoring.restore(given, made, SteppedClock(step=1))
"""


def standing(what: str, given: Path, made: Path) -> subprocess.Popen[str]:
    words = [sys.executable, "-c", STANDING, what, str(given), str(made)]
    child = subprocess.Popen(words, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert child.stdout is not None
    assert child.stdout.readline() == "there\n"
    return child


def command(*words: object) -> int:
    return backup_commands.main([str(one) for one in words], Path("unused"))


def killed(child: subprocess.Popen[str]) -> None:
    child.send_signal(signal.SIGKILL)
    child.communicate()


@pytest.fixture
def notebook(tmp_path: Path) -> Path:
    file = tmp_path / "n.sqlite"
    held(Notebook.open(file, SteppedClock(step=1))).notebook.close()
    return file


@pytest.fixture
def backup(notebook: Path, tmp_path: Path) -> Path:
    file = tmp_path / "kept.zip"
    file.write_bytes(backup_of(str(notebook)))
    return file


@pytest.fixture
def place(tmp_path: Path) -> Path:
    folder = tmp_path / "place"
    folder.mkdir()
    return folder


def hidden(folder: Path) -> list[str]:
    return [one for one in inside(folder) if one.startswith(".") and "/" not in one]


def test_a_killed_backup_is_swept_by_the_next_and_one_going_on_is_not(notebook: Path, place: Path) -> None:
    first = standing("backup", notebook, place / "monday.zip")
    (left,) = inside(place)
    assert left.startswith("monday.zip.")
    assert command("backup", place / "tuesday.zip", "--data", notebook) == 0
    assert inside(place) == [left, "tuesday.zip"]  # it is going on
    killed(first)
    assert command("backup", place / "wednesday.zip", "--data", notebook) == 0
    assert inside(place) == ["tuesday.zip", "wednesday.zip"]


def test_files_of_others_that_are_called_alike_stay(place: Path) -> None:
    for name, data in (("a.zip.0a1b2c3d.part", b"PK\x03\x04 of another"), ("b.iso.0a1b2c3d.part", b"half of it")):
        (place / name).write_bytes(data)
    (place / "c.zip.0a1b2c3d.part").mkdir()
    for name in ("empty.zip.0a1b2c3d.part", "empty.iso.0a1b2c3d.part"):
        (place / name).touch()
    leftovers.sweep_backups(place)
    kept = ["a.zip.0a1b2c3d.part", "b.iso.0a1b2c3d.part", "c.zip.0a1b2c3d.part", "empty.iso.0a1b2c3d.part"]
    assert inside(place) == kept


def test_a_killed_restore_is_swept_by_the_next_start_and_one_going_on_is_not(backup: Path, place: Path) -> None:
    child = standing("restore", backup, place / "new.sqlite")
    (folder,) = hidden(place)
    assert folder.startswith(".new.sqlite.")
    leftovers.sweep_restores(place / "new.sqlite")
    assert hidden(place) == [folder]  # it is going on
    killed(child)
    assert hidden(place) == [folder]
    at_start.close(at_start.open_notebook(place / "new.sqlite", SteppedClock(step=1)))
    assert hidden(place) == []


def test_a_restore_sweeps_what_the_last_one_left_and_nothing_of_another_notebook(backup: Path, place: Path) -> None:
    killed(standing("restore", backup, place / "new.sqlite"))
    other = place / ".other.sqlite.abc.restoring"
    other.mkdir()
    assert command("restore", backup, "--data", place / "new.sqlite") == 0
    assert hidden(place) == [other.name]


def test_a_half_written_mark_of_a_clean_stop_goes_at_the_next_start(notebook: Path) -> None:
    left = Path(f"{stop_mark.mark_of(notebook)}.0a1b2c3d.part")
    left.write_bytes(b"closed si")
    at_start.close(at_start.open_notebook(notebook, SteppedClock(step=1)))
    assert not left.exists()
    assert stop_mark.read(notebook) == "clean"


def test_what_is_swept_before_it_is_locked_is_begun_again(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody sweeps in the instant between the making of a file and its lock."""
    locked, swept = file_locks.lock_now, []

    def first_swept(handle: int) -> file_locks.Tried:
        if not swept:
            swept.extend(place.glob("*.part"))
            swept[0].unlink()
        return locked(handle)

    monkeypatch.setattr(file_locks, "lock_now", first_swept)
    with form.new_file(place / "b.zip") as out:
        out.write(b"whole")
    assert (place / "b.zip").read_bytes() == b"whole"
    assert len(swept) == 1
    assert inside(place) == ["b.zip"]


def test_on_a_disk_that_knows_no_locks_it_works_and_nothing_is_swept(
    notebook: Path, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(file_locks, "lock_now", lambda _: "cannot")
    left = place / "a.zip.0a1b2c3d.part"
    left.touch()
    assert command("backup", place / "b.zip", "--data", notebook) == 0
    assert command("restore", place / "b.zip", "--data", place / "new.sqlite") == 0
    assert left.exists()
    assert hidden(place) == []


def test_without_file_locks_that_is_said_nothing_is_swept_and_the_rest_works(
    notebook: Path, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(file_locks, "fcntl", None)
    left = place / "b.zip.0a1b2c3d.part"
    left.touch()
    opened = at_start.open_notebook(notebook, SteppedClock(step=1))
    assert file_locks.ONE_APP in opened.told
    assert opened.alarms == ()
    at_start.close(opened)
    with form.new_file(place / "b.zip") as out:
        out.write(b"whole")
    leftovers.sweep_backups(place)
    assert inside(place) == ["b.zip", left.name]


def test_a_folder_swept_before_it_was_opened_is_made_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two restores at once: one sweeps what the other has made just now. Met while backups were fuzzed."""
    made: list[str] = []
    before = leftovers.tempfile.mkdtemp

    def swept(**words: Any) -> str:
        made.append(before(**words))
        if len(made) == 1:
            Path(made[0]).rmdir()
        return made[-1]

    monkeypatch.setattr(leftovers.tempfile, "mkdtemp", swept)
    with leftovers.workroom() as folder:
        assert folder.is_dir()
        assert str(folder) == made[1]
