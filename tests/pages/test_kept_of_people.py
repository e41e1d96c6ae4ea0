"""The panel page tells what is kept of a person and where, strikes a name from texts, erases, and looks into copies."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from parts import house
from parts.doors import visitor
from parts.house import House
from streamlit.testing.v1 import AppTest

from evaluation.actions import bench, book, findings
from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.clock import SteppedClock
from evaluation.keeping import own_copies
from evaluation.store import Notebook
from evaluation.store.backup import kept_copies
from tests.scenes import answer_all, ballots, scene

PAGES = Path(__file__).resolve().parents[2] / "pages"
Open = Callable[[], AppTest]


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Notebook, str]]:
    """A notebook in a file with an opened session; one person said something, others said something of them."""
    notebook = Notebook.open(tmp_path / "n.sqlite", SteppedClock(step=1))
    made = scene(notebook)
    session = made.smelling()
    for one in ballots(notebook, session.id):
        answer_all(notebook, one.id)
    book.change_panelist(notebook, made.panelist_ids[0], alias="Wren", note="left-handed")
    book.change_panelist(notebook, made.panelist_ids[1], note="comes with Wren")
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    house.put(House(notebook, bytes(32)))
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    yield notebook, session.id
    house.put(None)
    notebook.close()


def panel() -> AppTest:
    app = AppTest.from_file(str(PAGES / "app.py"), default_timeout=120).run()
    app.switch_page("panel.py").run()
    assert not app.exception
    return app


def labelled(widgets: Any, label: str) -> Any:
    return next(each for each in widgets if each.label == label)


def everything(app: AppTest) -> str:
    assert not app.exception, app.exception
    said = [one.value for kind in ("markdown", "caption", "success", "error", "html") for one in app.get(kind)]
    return "\n".join(said).replace("\\", "").replace("\u2060", "")


def test_a_person_is_looked_at_struck_from_texts_erased_and_gone_from_copies(
    kept: tuple[Notebook, str],
) -> None:
    notebook, session_id = kept
    old = own_copies.Keeper(notebook).look()
    assert old is not None
    app = panel()
    assert "When erased" not in everything(app), "nothing is looked up before a person is chosen"
    wren = next(one for one in book.panelists(notebook) if one.alias == "Wren")
    labelled(app.selectbox, "Person to look at").set_value(wren)
    app.run()
    told = everything(app)
    assert "n.sqlite.anchor" in told
    assert "Answers that were locked" in told
    assert "Note on a person" in told
    labelled(app.button, "Strike the name").click()
    app.run()
    assert book.panelists(notebook)[1].note == "comes with …"
    assert "No text names Wren" in everything(app)
    labelled(app.button, "Erase for good").click()
    app.run()
    assert next(one.alias for one in book.panelists(notebook, active_only=False)) == "erased person"
    labelled(app.toggle, "Look into the copies of this notebook").set_value(True)
    app.run()
    assert old.file.name in everything(app)
    labelled(app.button, "Take this copy away").click()
    app.run()
    (new,) = kept_copies.copies(str(notebook.where))
    assert new != old
    assert "No copy that the app made" in everything(app)
    with notebook.reading() as tx:
        assert tx.log.verify(session_id)
