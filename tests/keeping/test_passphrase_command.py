"""``python -m evaluation passphrase``: the way in from the machine itself, on both stores, while the app runs or not."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import pytest
from argon2 import PasswordHasher

from evaluation.__main__ import main
from evaluation.actions import doors, recovery
from evaluation.clock import SystemClock
from evaluation.errors import Refused
from evaluation.keeping import at_start
from evaluation.store import Notebook, stop_mark
from tests.postgres import bring_up, own_schema, postgres


@pytest.fixture(autouse=True)
def quick_hashes(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a hash costs on purpose is what test_doors.py has."""
    monkeypatch.setattr(doors, "_HASHER", PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))


@pytest.fixture(params=["file", postgres])
def kept(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[tuple[str, Notebook]]:
    """Where a notebook lies, and the notebook as the running app has it open."""
    with own_schema() if request.param == "postgres" else nullcontext(str(tmp_path / "n.sqlite")) as where:
        if request.param == "postgres":
            bring_up(where)
        notebook = Notebook.open(where, SystemClock())
        yield where, notebook
        notebook.close()


OLD = "violets in the rain"
NEW = "moss on the north side"


def run(
    monkeypatch: pytest.MonkeyPatch, capsys: Any, where: object, *words: str, typed: str = f"{NEW}\n{NEW}\n"
) -> Any:
    """Exit code, what was said and what was complained of."""
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    code = main(["passphrase", "--data", str(where), *words])
    told = capsys.readouterr()
    return code, told.out, told.err


def code_in(said: str) -> str:
    return re.search(r"type ([A-Z2-9]{4}-[A-Z2-9]{4}-[A-Z2-9]{4}) there", said)[1]  # type: ignore[index]


def shut(notebook: Notebook) -> None:
    for _ in range(6):
        with pytest.raises(Refused):
            doors.attempt(notebook, doors.CONDUCTOR, lambda: False, "no")


def test_a_forgotten_passphrase_is_replaced_while_the_app_runs(
    kept: tuple[object, Notebook], monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    where, notebook = kept
    doors.set_passphrase(notebook, OLD)
    visit = doors.sign_in(notebook, OLD)
    shut(notebook)
    code, said, wrong = run(monkeypatch, capsys, where)
    assert (code, wrong) == (0, "")
    assert doors.who(notebook, visit) == doors.NO_VISITOR
    assert doors.who(notebook, recovery.enter_with_code(notebook, code_in(said))).role == doors.CONDUCTOR
    assert NEW not in said


def test_with_only_code_the_passphrase_stays(
    kept: tuple[object, Notebook], monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    where, notebook = kept
    doors.set_passphrase(notebook, OLD)
    visit = doors.sign_in(notebook, OLD)
    code, said, _ = run(monkeypatch, capsys, where, "--only-code", typed="")
    assert code == 0
    assert recovery.enter_with_code(notebook, code_in(said))
    assert doors.who(notebook, visit).role == doors.CONDUCTOR
    assert doors.sign_in(notebook, OLD)


@pytest.mark.parametrize(
    ("typed", "says"), [(f"{NEW}\n{OLD}\n", "differ"), ("short\nshort\n", "at least 8"), ("", "at least 8")]
)
def test_what_is_refused_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any, typed: str, says: str
) -> None:
    notebook = Notebook.open(tmp_path / "n.sqlite", SystemClock())
    doors.set_passphrase(notebook, OLD)
    code, said, wrong = run(monkeypatch, capsys, tmp_path / "n.sqlite", typed=typed)
    assert (code, said) == (2, "")
    assert says in wrong
    assert wrong.count("\n") == 1
    assert doors.sign_in(notebook, OLD)
    notebook.close()


def test_where_there_is_no_notebook_none_is_made(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any) -> None:
    code, _, wrong = run(monkeypatch, capsys, tmp_path / "none.sqlite")
    assert code == 2
    assert "no notebook" in wrong
    assert not list(tmp_path.iterdir())


def test_without_a_passphrase_there_is_nothing_to_let_in_by(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    Notebook.open(tmp_path / "n.sqlite", SystemClock()).close()
    code, _, wrong = run(monkeypatch, capsys, tmp_path / "n.sqlite", "--only-code")
    assert code == 2
    assert "choose one now" in wrong


def test_a_notebook_that_was_closed_well_is_still_closed_well(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    file = tmp_path / "n.sqlite"
    at_start.close(at_start.open_notebook(file, SystemClock()))
    assert stop_mark.read(file) == "clean"
    assert run(monkeypatch, capsys, file)[0] == 0
    assert stop_mark.read(file) == "clean"
    opened = at_start.open_notebook(file, SystemClock())
    assert (opened.told, opened.alarms) == ((), ())
    assert run(monkeypatch, capsys, file)[0] == 0  # the app runs now: no mark is laid behind its back
    assert stop_mark.read(file) == "none"
    at_start.close(opened)
