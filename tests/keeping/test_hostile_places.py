"""Places and files that are none: each command says one sentence, with code 2, and nothing else."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from evaluation.__main__ import main
from evaluation.clock import SteppedClock
from evaluation.ground import intake
from evaluation.store import Notebook
from tests import kept
from tests.backups import made_of

PLACES = (
    "postgresql://h:port/db", "postgresql://[::1/db", "sqlite:///a\x00b", "a\x00b", "mysql://x/y", "://", "a" * 5000,
    "/" + "a" * 300, "sqlite:///" + "a" * 5000, "\ud800", "~nobody-of-this-name/x", "/dev/null", "no/such/folder/n.sqlite",
)  # fmt: skip
FILES = ("a\x00b", "a" * 5000, "\ud800", "/", "/dev/zero", "/dev/null", "no/such/folder/n.zip")
EXPORT = str(kept.EXPORTS / "one-nose.zip")


def one_sentence(words: list[str], capsys: pytest.CaptureFixture[str], code: int = 2) -> None:
    assert main(words) == code
    out, said = capsys.readouterr()
    assert (out, said.count("\n")) == ("", 1)
    assert len(said) < 12_000  # a name may be long, and is told


@pytest.mark.parametrize("where", PLACES, ids=[repr(one)[:30] for one in PLACES])
@pytest.mark.parametrize("command", ["check", "backup", "restore"])
def test_a_place_that_is_none_is_one_sentence(
    command: str, where: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    file = {"check": [], "backup": [str(tmp_path / "b.zip")], "restore": [EXPORT]}[command]
    one_sentence([command, *file, "--data", where], capsys)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("file", FILES, ids=[repr(one)[:30] for one in FILES])
@pytest.mark.parametrize("command", ["check", "backup", "restore", "report", "judge"])
def test_a_file_that_is_none_is_one_sentence(
    command: str, file: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    where = ["--data", str(tmp_path / "n.sqlite")] if command in ("backup", "restore") else []
    one_sentence([command, file, *where], capsys)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("where", ["a\x00b", "a" * 5000, "~nobody-of-this-name/x", "postgresql://h:port/db"])
def test_the_app_does_not_start_on_a_place_that_is_none(where: str, capsys: pytest.CaptureFixture[str]) -> None:
    one_sentence(["--data", where], capsys)


# --- files that are no files ------------------------------------------------------------------------------------------

ANSWERS = b"comparison,method,panelist,replicate,age_minutes,correct\na,triangle,Ann,1,5,1\n"
READERS = ("check", "restore", "report", "judge")
SPARSE = 5 << 30


def _pipe(file: Path) -> None:
    os.mkfifo(file)


def _loop(file: Path) -> None:
    file.symlink_to(file.with_name("back"))
    file.with_name("back").symlink_to(file)


def _sparse(file: Path) -> None:
    with file.open("wb") as made:
        made.truncate(SPARSE)


def _folder(file: Path) -> None:
    file.mkdir()


def _socket(file: Path) -> None:
    import socket

    with socket.socket(socket.AF_UNIX) as made:
        made.bind(os.path.relpath(file))


ODD = (_pipe, _loop, _sparse, _folder, _socket)
NAMES = ("two\nlines", os.fsdecode(b"\xff\xfe"), "\x1b[2J", "\u2028 and \x85", "%s {0} \\n", "-", "w" * 200)


@pytest.fixture
def backup(tmp_path: Path) -> Path:
    """A sound backup of an empty notebook."""
    notebook = Notebook.open(None, SteppedClock(step=1))
    (tmp_path / "sound.zip").write_bytes(made_of(notebook))
    notebook.close()
    return tmp_path / "sound.zip"


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Nobody comes to write into a pipe: it is not waited for."""
    monkeypatch.setattr(intake, "PIPE_MILLISECONDS", 0)
    monkeypatch.chdir(tmp_path)  # a socket's name must be short


@pytest.mark.usefixtures("at_once")
@pytest.mark.parametrize("make", ODD, ids=lambda one: one.__name__)
@pytest.mark.parametrize("command", READERS)
def test_what_is_no_file_to_read_is_one_sentence(
    command: str, make: Callable[[Path], None], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make(tmp_path / "odd")
    where = ["--data", str(tmp_path / "n.sqlite")] if command == "restore" else []
    one_sentence([command, str(tmp_path / "odd"), *where], capsys)
    assert not (tmp_path / "n.sqlite").exists()


@pytest.mark.usefixtures("at_once")
@pytest.mark.parametrize("make", ODD, ids=lambda one: one.__name__)
@pytest.mark.parametrize("command", ["check", "backup", "restore", "start"])
def test_what_is_no_file_to_keep_data_in_is_one_sentence_and_stays(
    command: str, make: Callable[[Path], None], backup: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make(tmp_path / "odd")
    before = os.lstat(tmp_path / "odd")
    given = {"backup": [str(tmp_path / "new.zip")], "restore": [str(backup)]}.get(command, [])
    words = [*([] if command == "start" else [command]), *given, "--data", str(tmp_path / "odd")]
    one_sentence(words, capsys, 1 if make is _sparse and command != "start" else 2)  # zeros are a damaged notebook
    after = os.lstat(tmp_path / "odd")
    assert (before.st_ino, before.st_mode, before.st_size) == (after.st_ino, after.st_mode, after.st_size)
    assert not (tmp_path / "new.zip").exists()


@pytest.mark.usefixtures("at_once")
@pytest.mark.parametrize("make", [_pipe, _loop], ids=lambda one: one.__name__)
def test_a_backup_takes_nothing_elses_place(
    make: Callable[[Path], None], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1)).close()
    make(tmp_path / "odd")
    before = os.lstat(tmp_path / "odd").st_ino
    one_sentence(["backup", str(tmp_path / "odd"), "--data", str(tmp_path / "n.sqlite")], capsys)
    assert os.lstat(tmp_path / "odd").st_ino == before


def test_a_table_may_come_through_a_pipe(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As a shell gives it with <(…): somebody writes into it."""
    os.mkfifo(tmp_path / "pipe")
    writer = threading.Thread(target=(tmp_path / "pipe").write_bytes, args=(ANSWERS,))
    writer.start()
    assert main(["judge", str(tmp_path / "pipe")]) == 0
    writer.join()
    assert "triangle" in capsys.readouterr().out


# --- names ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES, ids=ascii)
@pytest.mark.parametrize("command", READERS)
def test_a_name_that_breaks_lines_is_told_on_one(
    command: str, name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    file = f"./{name}"
    where = ["--data", str(tmp_path / "n.sqlite")] if command == "restore" else []
    one_sentence([command, file, *where], capsys)  # it is not there …
    Path(file).write_bytes(b"nothing of ours")
    one_sentence([command, file, *where], capsys)  # … and it is nothing


@pytest.mark.parametrize(
    "words", [["two\nlines"], ["--data", "no\nfolder/\x00"], ["--port", "8\n5"], ["\x1b[2J" * 9000]]
)
def test_words_the_app_does_not_know_are_told_on_one_line(
    words: list[str], capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    one_sentence(words, capsys)
    monkeypatch.setattr(sys, "stderr", None)
    assert main(words) == 2


@pytest.mark.parametrize("name", NAMES, ids=ascii)
def test_a_notebook_may_have_any_name(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Backup, restore and check say a line or two, whatever it is called."""
    first, copy, second = (str(tmp_path / f"{name}{end}") for end in (".sqlite", ".zip", ".two"))
    Notebook.open(first, SteppedClock(step=1)).close()
    for words in (["backup", copy, "--data", first], ["restore", copy, "--data", second], ["check", "--data", second]):
        assert main(words) == 0
        out, said = capsys.readouterr()
        assert said == ""
        assert out.count("\n") == len(out.splitlines()) <= 3


# --- places that cannot be read, and nothing that can be written ------------------------------------------------------


@contextmanager
def _nobody() -> Iterator[None]:
    """Without the rights of whoever runs the tests, who may read everything where it is root."""
    if os.geteuid():
        yield
        return
    os.seteuid(65_534)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.mark.parametrize("command", ["backup", *READERS])
def test_a_folder_nobody_may_enter_is_one_sentence(
    command: str, backup: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shut = tmp_path / "shut"
    shut.mkdir()
    backup.rename(shut / "there")
    shut.chmod(0)
    try:
        with _nobody():
            where = [] if command in ("check", "report", "judge") else ["--data", str(shut / "n.sqlite")]
            one_sentence([command, str(shut / "there"), *where], capsys)
    finally:
        shut.chmod(0o700)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no device that is always full here")
@pytest.mark.parametrize("command", ["backup", "check", "restore"])
def test_a_full_device_to_print_to_is_one_sentence(
    command: str, backup: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as patched, Path("/dev/full").open("w", encoding="utf-8") as full:
        patched.setattr(sys, "stdout", full)
        assert main(_sound(command, backup, tmp_path)) == 2
    assert capsys.readouterr().err == "Standard output cannot be written: No space left on device.\n"


@pytest.mark.parametrize("command", ["backup", "check", "restore", "report", "judge"])
def test_output_that_is_closed_is_one_sentence(
    command: str, backup: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a shell gives it with >&-: there is no standard output at all."""
    with monkeypatch.context() as patched:
        patched.setattr(sys, "stdout", None)
        assert main(_sound(command, backup, tmp_path)) == 2
        assert capsys.readouterr().err == "Standard output cannot be written: It is closed.\n"
        patched.setattr(sys, "stderr", None)
        assert main([command, "nowhere", "--no-such-option"]) == 2


def test_input_that_is_closed_is_one_sentence(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", None)
    one_sentence(["judge", "-"], capsys)


def _sound(command: str, backup: Path, folder: Path) -> list[str]:
    """A command that could do what it is asked."""
    Notebook.open(folder / "n.sqlite", SteppedClock(step=1)).close()
    (folder / "answers.csv").write_bytes(ANSWERS)
    return {
        "backup": ["backup", str(folder / "new.zip"), "--data", str(folder / "n.sqlite")],
        "check": ["check", str(backup)],
        "restore": ["restore", str(backup), "--data", str(folder / "two.sqlite")],
        "report": ["report", EXPORT],
        "judge": ["judge", str(folder / "answers.csv")],
    }[command]
