"""``python -m evaluation backup``, ``restore`` and ``check`` as somebody at a terminal meets them."""

from __future__ import annotations

import io
import os
import stat
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pytest

from evaluation.__main__ import main
from evaluation.actions import doors
from evaluation.clock import SteppedClock
from evaluation.store import Notebook
from evaluation.store.backup import form
from tests.backups import altered, held_by, inside, members
from tests.postgres import own_schema, postgres
from tests.store.prepared import Held, held, raw, take_newest

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Done:
    """What a command left behind."""

    returncode: int
    stdout: str
    stderr: str


def run(*words: str | Path, **variables: str) -> Done:
    """One command, in this process: starting Python 60 times costs more than all they do. One test starts it truly."""
    out, err = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patched, redirect_stdout(out), redirect_stderr(err):
        patched.delenv(doors.SECRET_VARIABLE, raising=False)  # the secret is that of the test only
        for name, value in variables.items():
            patched.setenv(name, value)
        code = _ended(words)
    return Done(code, out.getvalue(), err.getvalue())


def _ended(words: Sequence[str | Path]) -> int:
    try:
        return main([str(word) for word in words])
    except SystemExit as end:  # after --help
        return int(end.code or 0)


def started(*words: str | Path) -> Done:
    """The same as a process of its own."""
    environment = {name: value for name, value in os.environ.items() if name != doors.SECRET_VARIABLE}
    environment |= {"PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "evaluation", *map(str, words)]
    ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=300, env=environment)
    return Done(ended.returncode, ended.stdout, ended.stderr)


def refused(*words: str | Path, **variables: str) -> str:
    """The one sentence on standard error of a command that could do nothing."""
    done = run(*words, **variables)
    assert (done.returncode, done.stdout) == (2, "")
    (sentence,) = done.stderr.splitlines()
    return sentence


@pytest.fixture
def made(tmp_path: Path) -> Iterator[Held]:
    """A session half smelt in a file, with its secret beside it; open, as by an app that runs."""
    folder = tmp_path / "own"
    folder.mkdir()
    notebook = Notebook.open(folder / "n.sqlite", SteppedClock(step=1))
    found = held(notebook)
    doors.server_secret(folder / "n.sqlite")
    yield found
    notebook.close()


def _file(made: Held) -> Path:
    return Path(str(made.notebook.where))


# Locks an answer for every seat, says so, and stays: the answers lie in the write-ahead file only.
APP = """
import sys
from evaluation.clock import SystemClock
from evaluation.store import Notebook
from tests.store.prepared import Held, held

made = held(Notebook.open(sys.argv[1], SystemClock()), people=12, spare=0)
for seat in range(1, 13):
    made.lock(made.answer(seat))
print("acknowledged", flush=True)
sys.stdin.read()
"""


@contextmanager
def app_on(file: Path) -> Iterator[None]:
    with subprocess.Popen(
        [sys.executable, "-c", APP, str(file)], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == "acknowledged\n"
        yield
        child.kill()


@pytest.mark.parametrize("kind", ["file", postgres])
def test_all_that_a_running_app_acknowledged_is_brought_back(kind: str, tmp_path: Path) -> None:
    with app_on(tmp_path / "n.sqlite"):
        assert (tmp_path / "n.sqlite-wal").stat().st_size
        done = started("backup", tmp_path / "b.zip", "--data", tmp_path / "n.sqlite")
        assert done.returncode == 0, done.stderr
        _brought_back(kind, tmp_path)


def _brought_back(kind: str, folder: Path) -> None:
    place = own_schema() if kind == "postgres" else _new_file(folder)
    with place as where:
        told = run("restore", folder / "b.zip", "--data", where)
        assert told.returncode == 0, told.stderr
        assert "1 brief, 1 session, 12 answers; every log holds" in told.stdout
        assert held_by(where)["answers"] == held_by(str(folder / "n.sqlite"))["answers"]
        looked = run("check", "--data", where)
        assert (looked.returncode, looked.stdout, looked.stderr) == (
            0,
            "1 brief, 1 session, 12 answers; every log holds.\n",
            "",
        )
        again = run("backup", folder / "again.zip", "--data", where)  # and out of there once more
        assert again.returncode == 0, again.stderr
        assert run("check", folder / "again.zip").stdout == looked.stdout


@contextmanager
def _new_file(folder: Path) -> Iterator[str]:
    yield str(folder / "back.sqlite")


def test_a_backup_is_its_owners_only_and_says_what_is_in_it(made: Held, tmp_path: Path) -> None:
    done = run("backup", tmp_path / "b.zip", "--data", _file(made))
    assert stat.S_IMODE((tmp_path / "b.zip").stat().st_mode) == 0o600
    assert form.SEALED_KEYS in done.stdout
    assert "links are given out anew" in done.stdout
    assert form.SECRET not in members((tmp_path / "b.zip").read_bytes())


def test_the_secret_goes_along_only_when_asked_for(made: Held, tmp_path: Path) -> None:
    secret = doors.server_secret(_file(made))
    token = doors.links(made.notebook, secret, made.id)[made.ballot_ids[0]]
    done = run("backup", tmp_path / "b.zip", "--data", _file(made), "--with-secret")
    assert "can answer in anybody's name" in done.stdout
    told = run("restore", tmp_path / "b.zip", "--data", tmp_path / "back.sqlite")
    assert "links stay valid" in told.stdout
    beside = tmp_path / "back.sqlite.secret"
    assert beside.read_bytes() == secret
    assert stat.S_IMODE(beside.stat().st_mode) == 0o600
    back = Notebook.open(tmp_path / "back.sqlite", SteppedClock())
    assert doors.check_link(back, token).id == made.ballot_ids[0]
    back.close()


def test_a_secret_that_lies_there_already_stays(made: Held, tmp_path: Path) -> None:
    run("backup", tmp_path / "b.zip", "--data", _file(made), "--with-secret")
    (tmp_path / "back.sqlite.secret").write_bytes(b"7" * 32)
    told = run("restore", tmp_path / "b.zip", "--data", tmp_path / "back.sqlite")
    assert "links are given out anew" in told.stdout
    assert (tmp_path / "back.sqlite.secret").read_bytes() == b"7" * 32


def test_the_secret_of_the_environment_is_the_one_in_force(made: Held, tmp_path: Path) -> None:
    run("backup", tmp_path / "b.zip", "--data", _file(made), "--with-secret", MOUILLETTE_SECRET="ab" * 32)
    assert members((tmp_path / "b.zip").read_bytes())[form.SECRET] == b"ab" * 32 + b"\n"


def test_no_secret_is_drawn_for_a_backup(made: Held, tmp_path: Path) -> None:
    Path(f"{_file(made)}.secret").unlink()
    assert "no secret to back up" in refused("backup", tmp_path / "b.zip", "--data", _file(made), "--with-secret")
    assert not Path(f"{_file(made)}.secret").exists()
    assert not (tmp_path / "b.zip").exists()


@pytest.mark.postgres
def test_a_server_is_told_which_secret_to_set(made: Held, tmp_path: Path) -> None:
    run("backup", tmp_path / "b.zip", "--data", _file(made), "--with-secret")
    with own_schema() as where:
        told = run("restore", tmp_path / "b.zip", "--data", where)
        assert f"once {doors.SECRET_VARIABLE} is set to what {form.SECRET}" in told.stdout
        password = where.split("@")[0].split(":")[-1]
        assert password not in told.stdout


def test_without_data_the_default_file_is_meant(made: Held, tmp_path: Path) -> None:
    home = tmp_path / "home"
    variables = {"XDG_DATA_HOME": str(home), "APPDATA": str(home), "HOME": str(home)}
    assert "no notebook at" in refused("backup", tmp_path / "b.zip", **variables)
    assert "no notebook at" in refused("check", **variables)
    assert not home.exists()
    run("backup", tmp_path / "b.zip", "--data", _file(made))
    assert run("restore", tmp_path / "b.zip", **variables).returncode == 0
    assert run("check", **variables).stdout.startswith("1 brief, 1 session")


def test_what_is_there_already_is_never_written_over(made: Held, tmp_path: Path) -> None:
    (tmp_path / "taken.zip").write_text("mine")
    assert "there already" in refused("backup", tmp_path / "taken.zip", "--data", _file(made))
    assert (tmp_path / "taken.zip").read_text() == "mine"
    run("backup", tmp_path / "b.zip", "--data", _file(made))
    before = held_by(str(_file(made)))
    assert "stays as it is" in refused("restore", tmp_path / "b.zip", "--data", _file(made))
    assert held_by(str(_file(made))) == before


def test_what_cannot_be_used_is_refused_in_one_sentence(made: Held, tmp_path: Path) -> None:
    own = _file(made)
    assert "folder" in refused("backup", tmp_path, "--data", own)
    assert "cannot be written" in refused("backup", tmp_path / "no" / "b.zip", "--data", own)
    assert "cannot be read" in refused("restore", tmp_path / "nothing.zip", "--data", tmp_path / "new")
    assert "cannot be read as a zip" in refused("restore", own, "--data", tmp_path / "new")
    assert "cannot be read as a zip" in refused("check", own)
    assert "no notebook at" in refused("backup", tmp_path / "b.zip", "--data", tmp_path / "nothing.sqlite")
    (tmp_path / "other.txt").write_text("no notebook at all, " * 400)
    assert "not a Mouillette notebook" in refused("check", "--data", tmp_path / "other.txt")
    assert "required: FILE" in refused("backup")
    assert "unrecognized" in refused("backup", tmp_path / "b.zip", "--everything")
    assert inside(tmp_path) == ["other.txt", "own", *(f"own/{name}" for name in inside(own.parent))]


def test_an_altered_backup_is_refused_and_nothing_written(made: Held, tmp_path: Path) -> None:
    run("backup", tmp_path / "b.zip", "--data", _file(made))
    bad = altered((tmp_path / "b.zip").read_bytes(), lambda parts, manifest: manifest["logs"][0].update(holds=False))
    (tmp_path / "bad.zip").write_bytes(bad)
    place = tmp_path / "place"
    place.mkdir()
    assert "log of a session" in refused("restore", tmp_path / "bad.zip", "--data", place / "n.sqlite")
    assert "log of a session" in refused("check", tmp_path / "bad.zip")
    assert inside(place) == []


def test_damage_is_named_and_the_exit_code_tells(made: Held, tmp_path: Path) -> None:
    raw(made.notebook, "UPDATE records SET at = at + 1 WHERE sequence = 2")
    looked = run("check", "--data", _file(made))
    assert (looked.returncode, looked.stdout) == (1, "1 brief, 1 session, 0 answers; 0 of 1 logs hold.\n")
    log, newest = looked.stderr.splitlines()
    assert log == f"Session {made.plan.title!r}: its log does not say what is stored."
    assert newest.startswith("This notebook is damaged; no copy lies in")
    assert "restore your newest backup" in newest
    done = run("backup", tmp_path / "b.zip", "--data", _file(made))  # kept as it is, and said
    assert (done.returncode, done.stderr.count("did not hold")) == (1, 1)
    assert run("check", tmp_path / "b.zip").returncode == 1


def test_a_check_of_an_older_schema_says_how(tmp_path: Path) -> None:
    from tests.store.test_opening import _dumped

    _dumped(tmp_path / "older.sqlite", "0001.sql")
    assert "start the app on it once" in refused("check", "--data", tmp_path / "older.sqlite")


@pytest.mark.parametrize("name", ["backup", "restore", "check"])
def test_the_help_says_what_belongs_together(name: str) -> None:
    said = run(name, "--help").stdout
    assert all(word in said for word in ("-wal", ".secret", "never copy the file", "--with-secret", "--data"))
    assert name in run("--help").stdout


# --- a lost end -------------------------------------------------------------------------------------------------------

LOST = "2 acknowledged answers are missing at the end of session 'Trial 7 against trial 8': 1 of Nose 2, 1 of Nose 3."


@pytest.fixture
def cut_short(made: Held) -> Path:
    for seat in (1, 2, 3):
        made.lock(made.answer(seat))
    take_newest(made.notebook, 2)
    return _file(made)


def test_a_check_names_what_is_missing_at_the_end_and_exits_with_1(cut_short: Path, tmp_path: Path) -> None:
    done = run("check", "--data", cut_short)
    verdict = "1 brief, 1 session, 1 answer; every log holds as far as it goes, and the end of 1 log is missing.\n"
    assert (done.returncode, done.stdout) == (1, verdict)
    assert done.stderr.startswith(LOST)
    assert "This notebook lacks what it had; no copy lies in" in done.stderr
    assert "is damaged" not in done.stderr
    done = run("backup", tmp_path / "n.zip", "--data", cut_short)
    assert done.returncode == 1
    assert done.stderr.startswith(LOST)
    assert run("check", tmp_path / "n.zip").returncode == 0  # a backup has no end of its own to lose


def test_the_terminal_says_at_the_start_what_is_missing(cut_short: Path) -> None:
    command = [sys.executable, "-m", "evaluation", "--data", str(cut_short), "--port", "0"]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        assert "is running" in child.stdout.readline()
        child.terminate()
        assert child.stderr is not None
        said = child.stderr.read()
    assert said.count(LOST) == 1  # once, and the way out beside it
    assert "is damaged" not in said
    assert "restore your newest backup into a new file" in said


def test_rows_that_do_not_stand_are_no_log_that_holds_alone(made: Held) -> None:
    """What is said on the one channel does not say the contrary of what is said on the other."""
    raw(made.notebook, "UPDATE panelists SET alias = '' WHERE id = 'person-1'")
    done = run("check", "--data", _file(made))
    assert done.stdout.endswith("; every log holds, and yet not everything stands as it was written.\n")
    assert "A row cannot be read" in done.stderr
    assert done.returncode == 1


def test_a_restore_says_what_the_place_knew_beyond_the_backup(made: Held, tmp_path: Path) -> None:
    made.lock(made.answer(1))
    assert run("backup", tmp_path / "n.zip", "--data", _file(made)).returncode == 0
    made.lock(made.answer(2))
    made.notebook.close()
    _file(made).unlink()
    done = run("restore", tmp_path / "n.zip", "--data", _file(made))
    assert "Known here before, and not in the backup: 1 acknowledged answer is missing" in done.stdout
    assert run("check", "--data", _file(made)).returncode == 0
