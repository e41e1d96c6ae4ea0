"""What somebody sees of a damaged notebook: on the terminal, on the pages, and on a panelist's phone."""

from __future__ import annotations

import random
import shutil
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
import serve
from parts import house
from parts.doors import visitor
from parts.house import House
from streamlit.testing.v1 import AppTest

from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.clock import SteppedClock
from evaluation.errors import FOR_PANELISTS, MouilletteError
from evaluation.keeping import at_start
from evaluation.keeping.own_copies import Keeper
from evaluation.store import Notebook, stop_mark
from evaluation.store.backup import kept_copies
from tests.keeping.test_damage import flips
from tests.pages.wire import ROOT, running
from tests.store.prepared import held, raw

PAGES = ("briefs", "bench", "findings", "panel", "decide")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A notebook that was closed, with an opened session and a copy beside it."""
    opened = at_start.open_notebook(tmp_path / "n.sqlite", SteppedClock(step=1))
    made = held(opened.notebook)
    for seat in (1, 2, 3):
        made.lock(made.answer(seat))
    made.step("close", "open")
    assert Keeper(opened.notebook).look() is not None
    at_start.close(opened)
    return tmp_path / "n.sqlite"


@pytest.fixture
def conducted(monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., AppTest]]:
    """Opens a page as the conductor; what goes wrong on it stands there as an exception."""
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))

    def open_page(notebook: Notebook, name: str, **more: Any) -> AppTest:
        house.put(House(notebook, bytes(32), **more))
        app = AppTest.from_file(str(ROOT / "pages" / "app.py"), default_timeout=120)
        return app.switch_page(f"{name}.py").run()

    yield open_page
    house.put(None)


def _zeroed(file: Path, table: str) -> None:
    """The page at the root of a table, of nothing but zeros."""
    with closing(sqlite3.connect(file)) as connection:
        (root,) = connection.execute("SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)).fetchone()
        (size,) = connection.execute("PRAGMA page_size").fetchone()
    whole = file.read_bytes()
    file.write_bytes(whole[: (root - 1) * size] + bytes(size) + whole[root * size :])


def test_the_app_does_not_start_on_a_damaged_file_and_says_which_copy_is_the_newest(file: Path) -> None:
    _zeroed(file, "answers")
    (copy,) = kept_copies.copies(file)
    done = subprocess.run(
        [sys.executable, "-m", "evaluation", "--data", str(file), "--port", "0"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
    )
    assert done.returncode == 2
    assert f"; the newest copy is {copy.file}, made 2025-12-31 " in done.stderr
    assert done.stderr.startswith("This notebook is damaged")
    assert done.stderr.count("\n") == 1
    assert "Open http" not in done.stdout


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="This system has no SIGKILL.")
def test_a_start_after_a_kill_looks_the_notebook_over_and_one_after_a_stop_does_not(tmp_path: Path) -> None:
    file = tmp_path / "n.sqlite"
    with running("--data", str(file)) as server:
        assert stop_mark.read(file) == "none"
        assert not any("looked over" in line for line in server.said)
    assert stop_mark.read(file) == "clean"
    with running("--data", str(file)) as server:
        assert not any("looked over" in line for line in server.said)
        server.process.send_signal(signal.SIGKILL)
        server.process.wait(60)
    assert stop_mark.read(file) == "none"
    with running("--data", str(file)) as server:
        assert "every log holds" in server.told("looked over")


def test_what_cannot_be_read_is_damage_on_a_page_too(file: Path, conducted: Callable[..., AppTest]) -> None:
    _zeroed(file, "briefs")
    notebook = Notebook.open(file, SteppedClock(step=1))
    (said,) = [one.message for one in conducted(notebook, "briefs").exception]
    assert said.startswith("This notebook is damaged; the newest copy is ")
    notebook.close()


@pytest.mark.parametrize("page", ["briefs", "backup"])
def test_what_was_found_at_the_start_stands_on_the_pages(
    page: str, file: Path, conducted: Callable[..., AppTest]
) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("UPDATE records SET at = at + 1 WHERE sequence = 2")
        connection.commit()
    opened = at_start.open_notebook(file, SteppedClock(step=1))
    app = conducted(opened.notebook, page, alarms=opened.alarms)
    said = "\n".join(one.value.replace("\\", "") for one in app.error)
    assert "not as it was when the app was last stopped" in said
    assert "its log does not say what is stored; the newest copy is " in said
    opened.notebook.close()


def test_an_exception_nobody_foresaw_is_damage_where_a_check_finds_some(
    notebook: Notebook, clock: SteppedClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    held(notebook, "opened")
    house.put(House(notebook, bytes(32)))
    monkeypatch.setattr(serve, "_LOOKED", [])
    assert serve.said_of(KeyError("serving"), conductor=True) == serve.WENT_WRONG
    raw(notebook, "UPDATE records SET at = at + 1 WHERE sequence = 2")
    assert serve.said_of(KeyError("serving"), conductor=True) == serve.WENT_WRONG  # looked at a moment ago
    clock.instant += serve.LOOK_AGAIN
    assert serve.said_of(KeyError("serving"), conductor=True).startswith("This notebook is damaged (Session ")
    assert serve.said_of(KeyError("serving"), conductor=False) == FOR_PANELISTS
    house.put(None)


def _shown(file: Path, tries: int, conducted: Callable[..., AppTest]) -> int:
    """Turned bits in a file that still opens: what stumbles over them on a page is damage, and is called so."""
    whole, opened = file.read_bytes(), 0
    chance = random.Random(1)
    for one in flips(whole, tries):
        for left in (*file.parent.glob("n.sqlite-*"), stop_mark.mark_of(file)):
            left.unlink(missing_ok=True)
        file.write_bytes(one)
        try:
            notebook = at_start.open_notebook(file, SteppedClock(step=1)).notebook
        except MouilletteError:
            continue
        opened += 1
        for problem in conducted(notebook, chance.choice(PAGES)).exception:
            assert "damaged" in problem.message or at_start.damage_in(notebook) is not None, problem
        notebook.close()
    return opened


def test_a_turned_bit_is_no_exception_on_a_page(file: Path, conducted: Callable[..., AppTest]) -> None:
    assert _shown(file, 12, conducted) > 0


@pytest.mark.slow
def test_three_hundred_turned_bits_are_no_exception_on_a_page(file: Path, conducted: Callable[..., AppTest]) -> None:
    assert _shown(file, 300, conducted) > 100


def test_the_copy_that_is_named_comes_back_by_the_command_that_is_named(file: Path, tmp_path: Path) -> None:
    _zeroed(file, "answers")
    with pytest.raises(MouilletteError) as refused:
        at_start.open_notebook(file, SteppedClock(step=1))
    words = str(refused.value).split("with python -m evaluation ")[1].rstrip(".").split()
    words[words.index("NEW_PLACE")] = str(tmp_path / "back.sqlite")
    done = subprocess.run(
        [sys.executable, "-m", "evaluation", *words], cwd=ROOT, capture_output=True, text=True, timeout=300
    )
    assert done.returncode == 0, done.stderr
    assert "3 answers; every log holds" in done.stdout
    shutil.rmtree(kept_copies.folder(file))
