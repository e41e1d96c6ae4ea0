"""The page Backup, its line in the trial book, and the route of the download."""

from __future__ import annotations

import http.client
import io
import re
import sqlite3
import threading
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from parts.house import House
from parts.keeping import backup_routes
from streamlit.testing.v1 import AppTest

from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.clock import SteppedClock
from evaluation.keeping.own_copies import Keeper
from evaluation.store import Notebook
from evaluation.store.backup import checking, form, kept_copies, restoring
from tests.backups import altered, made_of
from tests.pages.wire import Running, running
from tests.store.prepared import held, raw, take_newest

PAGES = Path(__file__).resolve().parents[2] / "pages"
RELEASED = PAGES.parent / "tests" / "store" / "released"
Opening = Callable[..., AppTest]


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> Iterator[Opening]:
    """Opens a page of a house, as the conductor."""
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))

    def open_page(notebook: Notebook, name: str = "backup", **more: Any) -> AppTest:
        house.put(House(notebook, bytes(32), **more))
        app = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
        app.switch_page(f"{name}.py").run()
        assert not app.exception
        return app

    yield open_page
    house.put(None)


@pytest.fixture
def on_file(tmp_path: Path) -> Iterator[Notebook]:
    notebook = Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1))
    yield notebook
    notebook.close()


def words(app: AppTest) -> str:
    kinds = (app.markdown, app.caption, app.success, app.error, app.warning, app.info, app.code)
    return "\n".join(one.value.replace("\\", "") for kind in kinds for one in kind)


def press(app: AppTest, label: str) -> AppTest:
    (button,) = [one for one in app.button if one.label == label]
    app = button.click().run()
    assert not app.exception
    return app


@pytest.mark.parametrize("page", ["backup", "briefs"])
def test_when_and_where_the_last_copy_was_made_is_said(opened: Opening, on_file: Notebook, page: str) -> None:
    held(on_file, "closed")
    keeper = Keeper(on_file)
    assert "No copy has been made yet" in words(opened(on_file, page, keeper=keeper))
    copy = keeper.look()
    assert copy is not None
    said = words(opened(on_file, page, keeper=keeper))
    assert " Dec 2025, " in said
    assert "made after a session ended or a backup came back" in said
    assert str(copy.file) in said


@pytest.mark.parametrize("page", ["backup", "briefs"])
def test_a_copy_that_could_not_be_made_is_said_loudly(opened: Opening, on_file: Notebook, page: str) -> None:
    held(on_file)
    Path(f"{on_file.where}.copies").write_text("in the way")
    keeper = Keeper(on_file)
    keeper.look()
    assert any("could not be made" in one.value for one in opened(on_file, page, keeper=keeper).warning)


def test_the_demo_and_a_server_say_what_holds_there(opened: Opening, on_file: Notebook) -> None:
    assert "Nothing of this notebook is kept" in words(opened(on_file, demo=True))
    assert "keep a backup every day" in words(opened(on_file, database_server=True))


def test_the_copy_made_before_the_notebook_changed_its_form_is_said(opened: Opening, tmp_path: Path) -> None:
    file = tmp_path / "older.sqlite"
    with closing(sqlite3.connect(file)) as connection:
        connection.executescript((RELEASED / "0001.sql").read_text(encoding="utf-8"))
    notebook = Notebook.open(file, SteppedClock(step=1))
    (copy,) = kept_copies.copies(file)
    Keeper(notebook)._make(kept_copies.DAILY, 0)  # a newer one does not hide it
    for server in (False, True):
        said = words(opened(notebook, database_server=server))
        assert "changed the form of the notebook: 31 Dec 2025, " in said
        assert str(copy.file) in said
    assert str(copy.file) not in words(opened(notebook, demo=True))
    notebook.close()


def test_a_check_says_what_it_found(opened: Opening, notebook: Notebook) -> None:
    made = held(notebook, "opened")
    app = press(opened(notebook), "Check now")
    assert [one.value for one in app.success] == ["1 brief, 1 session, 0 answers; every log holds."]
    raw(notebook, "UPDATE records SET at = at + 1 WHERE sequence = 2")
    app = press(opened(notebook), "Check now")
    assert not app.success
    (error,) = [one.value.replace("\\", "") for one in app.error]
    assert made.plan.title in error


def test_a_notebook_that_is_not_empty_says_how_instead(opened: Opening, notebook: Notebook) -> None:
    assert "This notebook is empty" in words(opened(notebook))
    held(notebook, "opened")
    app = opened(notebook)
    assert "is not empty" in words(app)
    assert "python -m evaluation restore FILE.zip --data NEW_FILE" in words(app)


# --- the real server ------------------------------------------------------------------------------------------------


def test_the_conductor_downloads_a_backup_and_nobody_else_does(tmp_path: Path) -> None:
    notebook = Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1))
    held(notebook)
    with running("--data", str(tmp_path / "n.sqlite"), cwd=tmp_path) as server:
        line = http.client.HTTPConnection("127.0.0.1", server.port, timeout=90)
        line.request("GET", "/backup.zip", headers={"Host": f"localhost:{server.port}"})
        reply = line.getresponse()
        archive = reply.read()
        line.close()
        assert (reply.status, reply.getheader("Cache-Control")) == (200, "no-store")
        assert re.search(r'filename="mouillette-[\d-]+\.zip"', reply.getheader("Content-Disposition") or "")
        assert form.SECRET not in zipfile.ZipFile(io.BytesIO(archive)).namelist()
        found = restoring.look_over(io.BytesIO(archive), SteppedClock(step=1)).checked
        assert found == checking.check(notebook)
        assert server.get("/backup.zip", sec_fetch_site="cross-site").status == 404
        assert server.get("/backup.zip", x_forwarded_for="10.0.0.9").status == 404
        assert server.get("/backup.zip", {"mouillette_joined": "1"}).status == 404
        assert _copies(tmp_path)  # the app made one of its own at its start
    notebook.close()


def sent(server: Running, archive: bytes, **headers: str) -> tuple[int, str]:
    """A file sent as the form of the page sends it."""
    body = b'--xyz\r\nContent-Disposition: form-data; name="backup"; filename="b.zip"\r\n'
    body += b"Content-Type: application/zip\r\n\r\n" + archive + b"\r\n--xyz--\r\n"
    line = http.client.HTTPConnection("127.0.0.1", server.port, timeout=90)
    own = {"Host": f"localhost:{server.port}", "Origin": server.origin}
    kind = {"Content-Type": "multipart/form-data; boundary=xyz"}
    line.request("POST", backup_routes.BRING_BACK, body, own | kind | headers)
    reply = line.getresponse()
    text = reply.read().decode()
    line.close()
    return reply.status, text


def test_a_backup_comes_back_through_the_form_into_an_empty_notebook_only(tmp_path: Path, on_file: Notebook) -> None:
    held(on_file, "opened")
    good = made_of(on_file)
    bad = altered(good, lambda parts, manifest: manifest["logs"][0].update(holds=False))
    with running("--data", str(tmp_path / "new.sqlite"), cwd=tmp_path) as server:
        empty = Notebook.open(tmp_path / "new.sqlite", SteppedClock(step=1))
        for archive, reason in ((bad, "log of a session"), (b"", "cannot be read as a zip"), (good[:900], "as a zip")):
            status, text = sent(server, archive)
            assert (status, reason in text) == (400, True)
        assert sent(server, good, Origin="http://elsewhere.example")[0] == 403
        assert sent(server, good, Cookie="mouillette_joined=1")[0] == 404
        assert restoring.is_empty(empty)
        status, text = sent(server, good)
        assert (status, "1 brief, 1 session, 0 answers; every log holds." in text) == (200, True)
        assert "links are given out anew" in text
        assert checking.check(empty) == checking.check(on_file)
        assert sent(server, good)[0] == 400
        empty.close()


def test_what_is_too_large_for_a_form_is_refused_and_told_where_to_go(monkeypatch: pytest.MonkeyPatch) -> None:
    house.put(House(Notebook.open(None, SteppedClock()), bytes(32)))
    reply = backup_routes._brought_back(None)
    house.put(None)
    assert (reply.status_code, b"on the command line" in bytes(reply.body)) == (400, True)


def _copies(folder: Path) -> list[str]:
    """Those of the app, once there are any: it looks in a thread of its own."""
    for _ in range(900):
        found = [one.name for one in (folder / "n.sqlite.copies").glob("*.zip")]
        if found:
            return found
        threading.Event().wait(0.1)
    return []


# --- a lost end -------------------------------------------------------------------------------------------------------


def test_missing_answers_are_told_on_every_page_until_somebody_has_read_it(opened: Opening, on_file: Notebook) -> None:
    made = held(on_file)
    made.lock(made.answer(1))
    take_newest(on_file, 1)
    again = Notebook.open(str(on_file.where), SteppedClock(step=1))
    lost = "1 acknowledged answer is missing at the end of session 'Trial 7 against trial 8': 1 of Nose 1."
    for page in ("briefs", "panel", "backup"):
        assert lost in words(opened(again, page)), page
    app = press(opened(again), "I have read this; go on without it")
    assert lost not in words(app)
    assert lost not in words(opened(again, "briefs"))
    again.close()


def test_a_page_says_nothing_of_the_end_where_nothing_is_missing(opened: Opening, on_file: Notebook) -> None:
    held(on_file)
    assert "missing" not in words(opened(on_file))
