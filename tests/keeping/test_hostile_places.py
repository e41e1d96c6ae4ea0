"""Places and files that are none: each command says one sentence, with code 2, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from evaluation.__main__ import main
from tests import kept

PLACES = (
    "postgresql://h:port/db", "postgresql://[::1/db", "sqlite:///a\x00b", "a\x00b", "mysql://x/y", "://", "a" * 5000,
    "/" + "a" * 300, "sqlite:///" + "a" * 5000, "\ud800", "~nobody-of-this-name/x", "/dev/null", "no/such/folder/n.sqlite",
)  # fmt: skip
FILES = ("a\x00b", "a" * 5000, "\ud800", "/", "/dev/zero", "/dev/null", "no/such/folder/n.zip")
EXPORT = str(kept.EXPORTS / "one-nose.zip")


def one_sentence(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(words) == 2
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
