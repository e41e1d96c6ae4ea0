"""A scale that only tests know, on the screens: offered for a word, tapped on a ballot, looked at and fetched as found."""

from __future__ import annotations

import asyncio
import io
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from parts import house
from parts.doors import visitor
from parts.findings import file_routes, profile_downloads
from parts.findings import profile_views as views
from starlette.requests import Request
from streamlit.testing.v1 import AppTest

from evaluation.actions import aims, ballot, bench, doors, findings
from evaluation.actions.doors import CONDUCTOR, Visitor
from evaluation.clock import SystemClock
from evaluation.store import Notebook
from tests import scenes
from tests.new_scales import STEPS, new_scales, rated
from tests.pages.test_findings import shown, words
from tests.pages.wire import ROOT, press, rate, rows, running

PAGES = ROOT / "pages"
# The server runs in a process of its own: that too must know the scales.
COMMAND = (
    f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
    "from tests.new_scales import new_scales\n"
    "from evaluation.__main__ import main\n"
    "with new_scales():\n"
    "    sys.exit(main())"
)


@pytest.fixture(autouse=True)
def known() -> Iterator[None]:
    with new_scales():
        yield


def test_a_ballot_draws_it_by_its_record_and_stores_what_is_tapped(tmp_path: Path) -> None:
    notebook = Notebook.open(tmp_path / "n.sqlite", SystemClock())
    here = scenes.scene(notebook)
    session = here.smelling(method="profile", descriptors=rated(), asks_strength=False)
    scenes.begun(notebook, session.id)
    mine = scenes.ballots(notebook, session.id)[0].id
    token = doors.links(notebook, doors.server_secret(tmp_path / "n.sqlite"), session.id)[mine]
    with (
        running("--data", str(tmp_path / "n.sqlite"), command=("-c", COMMAND), cwd=tmp_path) as server,
        server.open(server.get(f"/join/{token}").cookies) as tab,
    ):
        tab.run()
        drawn = rows(tab)["rows"]
        assert [(row["control"], row["columns"], row["title"]) for row in drawn] == [
            ("options", 3, "dry"),
            ("options", 3, "mossy"),
            ("options", 3, "nearest"),
        ]
        assert [row["options"] for row in drawn] == [[*STEPS], ["no", "yes", "unsure"], ["flower", "wood", "other"]]
        assert [row["out"] for row in drawn] == [["not smelt", "skip"], ["skip"], ["not smelt", "skip"]]
        rate(tab, "strong", "unsure", "wood")
        drafts = dict(ballot.view(notebook, mine).drafts)
        assert drafts == {"rate dry": "strong", "rate mossy": "unsure", "rate nearest": "wood"}
        press(tab, "Lock this strip")
        with notebook.reading() as tx:
            stored = [(one.question, one.value) for one in tx.ballots.answers(mine)]
        assert sorted(stored) == sorted(drafts.items())
    notebook.close()


# --- the conductor's screens ----------------------------------------------------------------------------------------


@pytest.fixture
def app(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    monkeypatch.setattr(visitor, "recognise", lambda *_: Visitor(CONDUCTOR))
    house.put(house.House(notebook, bytes(range(32))))
    yield AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
    house.put(None)


def test_a_word_is_put_on_it(app: AppTest, notebook: Any) -> None:
    here = scenes.scene(notebook)
    aims.save_descriptors(notebook, here.brief_id, rated())
    app.switch_page("descriptors.py").run()
    assert not app.exception
    told = words(app)
    assert [name for name in ("five steps", "yes, no or unsure", "flower, wood, other") if name not in told] == []
    (scale,) = [one for one in app.selectbox if one.label == "Scale"]
    assert scale.options[-3:] == ["Five steps", "Yes, no or unsure", "Flower, wood, other"]


def _rate(seat: int, letter: str, serving: Any, word: str) -> str:
    if word == "dry":
        return STEPS[3 if letter == "B" else 1]
    if word == "mossy":
        return "unsure" if seat == 1 else "yes" if letter == "B" else "no"
    return "flower" if letter == "A" else "wood"


def test_what_was_found_on_it_is_shown_and_fetched(app: AppTest, notebook: Any) -> None:
    session = scenes.scene(notebook).smelling(method="profile", descriptors=rated(), asks_strength=False)
    scenes.answer_profile(notebook, session.id, _rate)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    told = words(shown(app))
    assert "Trial 8 is more dry than trial 7 at 5 min (+5.0" in told
    assert "2 “unsure”" in told
    assert len(app.get("vega_lite_chart")) == 1  # five steps are points, and points are drawn
    app.session_state["view strip"] = views.WORDS
    told = words(shown(app))
    assert [one.value for one in app.subheader][:2] == ["Words checked", "What it is like"]
    assert "mossy, 5 min: 7 people only for trial 8, 0 only for trial 7 (of 7;" in told
    assert "nearest of trial 8: 8 said wood." in told
    assert list(profile_downloads.tables())[-4:] == ["words.csv", "levels.csv", "likeness.csv", "people.csv"]
    table = pd.read_csv(io.BytesIO(_fetch(session.id, "likeness.csv")), encoding="utf-8-sig")
    assert table["people"].tolist() == [8, 8]


def _fetch(session_id: str, name: str) -> bytes:
    (route,) = file_routes.routes()
    scope = {"type": "http", "method": "GET", "path": "/", "query_string": b"", "headers": []}
    scope["path_params"] = {"session_id": session_id, "name": name}
    return bytes(asyncio.run(route.endpoint(Request(scope))).body)  # type: ignore[arg-type]
