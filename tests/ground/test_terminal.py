"""A full device, a reader that went away and a folder nobody may write to: one sentence, code 2, no half file."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from evaluation.errors import StoreError
from evaluation.ground import terminal
from tests import kept

FULL = Path("/dev/full")
EXPORT = kept.EXPORTS / "one-nose.zip"
ANSWERS = "comparison,method,panelist,replicate,age_minutes,correct\na,triangle,Ann,1,5,1\n"
REPORT, JUDGE = ["report", str(EXPORT), "--numbers"], ["judge", "-"]
on_linux = pytest.mark.skipif(not FULL.exists(), reason="there is no device that is always full here")


def started(words: list[str], **given: object) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "evaluation", *words], stdin=subprocess.PIPE, stderr=subprocess.PIPE, **given
    )  # type: ignore[call-overload, no-any-return]


@on_linux
@pytest.mark.parametrize("words", [REPORT, JUDGE], ids=" ".join)
def test_a_full_device_is_one_sentence(words: list[str]) -> None:
    with FULL.open("wb") as full, started(words, stdout=full) as command:
        _, said = command.communicate(ANSWERS.encode())
    assert (command.returncode, said.decode()) == (2, "Standard output cannot be written: No space left on device.\n")


@on_linux
def test_where_nothing_can_be_said_the_code_says_it() -> None:
    with (
        FULL.open("wb") as full,
        subprocess.Popen([sys.executable, "-m", "evaluation", "judge", "nowhere"], stderr=full) as one,
    ):
        pass
    assert one.returncode == 2


def test_a_reader_that_went_away_is_one_sentence() -> None:
    with started(REPORT, stdout=subprocess.PIPE) as command:
        assert command.stdout is not None
        command.stdout.close()
        _, said = command.communicate()
    assert (command.returncode, said.decode()) == (2, "Standard output cannot be written: Broken pipe.\n")


def test_letters_a_terminal_does_not_know_are_written_as_escapes(tmp_path: Path) -> None:
    file = tmp_path / "answers.csv"
    file.write_text(ANSWERS.replace("\na,", "\n“é😀”,"), encoding="utf-8")
    command = [sys.executable, "-m", "evaluation", "judge", str(file)]
    done = subprocess.run(command, capture_output=True, check=False, env={"PYTHONIOENCODING": "ascii"})
    assert done.returncode == 0
    assert rb"\u201c\xe9\U0001f600\u201d" in done.stdout


# --- files ------------------------------------------------------------------------------------------------------------


def test_a_file_is_written_whole_or_stays_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "report.html"
    terminal.write_file(file, b"before")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(terminal.os, "replace", full)
    with pytest.raises(StoreError, match="cannot be written: No space left on device"):
        terminal.write_file(file, b"after")
    assert [one.name for one in tmp_path.iterdir()] == ["report.html"]
    assert file.read_bytes() == b"before"


def test_a_link_stays_a_link_and_rights_stay_as_they_were(tmp_path: Path) -> None:
    (tmp_path / "there").write_bytes(b"before")
    (tmp_path / "there").chmod(0o600)
    (tmp_path / "link").symlink_to(tmp_path / "there")
    terminal.write_file(tmp_path / "link", b"after")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "there").read_bytes() == b"after"
    assert (tmp_path / "there").stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("name", ["no/such/folder/r.html", "", "a\x00b", "r" * 300])
def test_a_place_where_nothing_can_be_written_is_one_sentence(tmp_path: Path, name: str) -> None:
    with pytest.raises(StoreError, match="cannot be written") as refused:
        terminal.write_file(tmp_path / name, b"after")
    assert "\n" not in str(refused.value)
    assert list(tmp_path.iterdir()) == []


@on_linux
def test_a_device_takes_bytes_as_they_come() -> None:
    terminal.write_file(Path("/dev/null"), b"gone")
    with pytest.raises(StoreError, match="No space left"):
        terminal.write_file(FULL, b"x" * 100_000)
