"""The findings page of a profile: hidden until opened, the sentence first, every view, and the files."""

from __future__ import annotations

import asyncio
import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from parts import house
from parts.bench import log_lines
from parts.doors import visitor
from parts.findings import file_routes, profile_downloads
from parts.findings import profile_views as views
from starlette.requests import Request
from starlette.responses import Response
from streamlit.testing.v1 import AppTest

from evaluation.actions import bench, findings
from evaluation.actions.doors import BALLOT, CONDUCTOR, Visitor
from evaluation.sessions import Serving
from evaluation.values.descriptors import Descriptor
from tests import scenes
from tests.pages.test_findings import shown, words

PAGES = Path(__file__).resolve().parents[2] / "pages"
MINUTES = (5, 60, 240)
WORDS = (*scenes.RATED, Descriptor("=2+2", "check"), Descriptor("sweetness", "level"))


@pytest.fixture
def app(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    """The entry page around a notebook in memory, seen by the conductor."""
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    house.put(house.House(notebook, bytes(range(32))))
    yield AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
    house.put(None)


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=8)


def rate(seat: int, letter: str, serving: Serving, word: str) -> str:
    """The second trial is more woody for an hour, by 2 points and a little of one's own; two people cannot smell it."""
    if word == "=2+2":
        return "yes" if letter == "B" else "no"
    if word == "sweetness":
        return "right" if letter == "A" else "too strong"
    if word == "green" and seat == 1:
        return "not smelt"
    more = 2 + seat / 10 if letter == "B" and word == "woody" and serving.age_seconds <= 3600 else 0
    return f"{3 + seat / 10 + more:.1f}"


def smelt(scene: scenes.Scene, *, close: bool = True, **changes: Any) -> str:
    fields = {"method": "profile", "ages": scenes.ages(*MINUTES), "minutes": MINUTES, "primary": None}
    session = scene.smelling(**(fields | {"descriptors": WORDS} | changes))
    scenes.answer_profile(scene.notebook, session.id, rate)
    if close:
        bench.close(scene.notebook, session.id)
    return str(session.id)


def opened(scene: scenes.Scene, **changes: Any) -> str:
    session_id = smelt(scene, **changes)
    findings.open_session(scene.notebook, session_id)
    return session_id


def fetch(session_id: str, name: str) -> Response:
    (route,) = file_routes.routes()
    scope = {"type": "http", "method": "GET", "path": "/", "query_string": b"", "headers": []}
    scope["path_params"] = {"session_id": session_id, "name": name}
    return asyncio.run(route.endpoint(Request(scope)))  # type: ignore[arg-type]


def test_nothing_is_shown_before_the_key_is_open(app: AppTest, scene: scenes.Scene) -> None:
    session_id = smelt(scene)
    told = words(shown(app))
    assert "Results stay hidden until the session is closed and its key is opened" in told
    assert "woody" not in told
    assert not app.get("vega_lite_chart")
    house.put(house.House(scene.notebook, bytes(range(32))))
    for name in ("moved.csv", "ratings.csv", "strip-map-0.svg"):
        assert fetch(session_id, name).status_code == 404


def test_the_sentence_stands_first_and_the_first_view_below(app: AppTest, scene: scenes.Scene) -> None:
    opened(scene)
    told = words(shown(app))
    assert "Trial 8 is more woody than trial 7 at 5 min and 1 h (+2." in told  # 2 + the mean of .1 … .8
    assert "5 min: 16 of 16 strips rated; 94 answers, 2 “not smelt”, 0 skipped." in told  # 16 × 6 − 2
    assert "“Not smelt” and skipped answers are missing, never 0" in told
    assert "What was not shown to move is not shown to be the same" in told
    assert "The log was checked just now" in told
    assert "Rated to check if they apply: =2+2." in told
    assert len(app.get("vega_lite_chart")) == 1


@pytest.mark.parametrize(
    ("view", "said", "charts"),
    [
        (views.MOVED, "A ring and full colour: the family shows it.", 1),
        (views.AT_ONE_AGE, "The brief has no target for this age.", 1),
        (views.STRENGTH, "The threshold is yours, not sealed.", 1),
        (views.WORDS, "sweetness of trial 8, 5 min: 0 too weak, 0 right, 8 too strong, of 8.", 0),
        (views.PEOPLE, "To talk over and to train, not to rank", 1),
        (views.NUMBERS, "Mixed model", 0),
    ],
)
def test_every_view(app: AppTest, scene: scenes.Scene, view: str, said: str, charts: int) -> None:
    opened(scene)
    app.session_state["view strip"] = view
    told = words(shown(app)) + " ".join(one.value for one in app.subheader)
    assert said in told
    assert len(app.get("vega_lite_chart")) == charts


def test_three_trials_choose_a_pair(app: AppTest, scene: scenes.Scene) -> None:
    opened(scene, trials=3, descriptors=scenes.RATED)
    app.session_state["view strip"] = views.MOVED
    assert "Trial 8 is more woody than trial 7" in words(shown(app))
    (pair,) = [one for one in app.selectbox if one.label == "Trials"]
    assert len(pair.options) == 3


def test_an_empty_session_says_so(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.smelling(method="profile")
    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)
    assert "Nobody's ratings came in that count." in words(shown(app))


# --- files ----------------------------------------------------------------------------------------------------------


@pytest.fixture
def files(app: AppTest, scene: scenes.Scene, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setattr(visitor, "recognise", lambda *_: Visitor(CONDUCTOR))
    return opened(scene)


def test_tables_parse_and_hold_no_formula(files: str) -> None:
    read = {
        name: pd.read_csv(io.BytesIO(fetch(files, f"{name}.csv").body), encoding="utf-8-sig")
        for name in ("moved", "ratings", "model", "strength", "words", "levels", "people")
    }
    assert len(read["moved"]) == 4 * len(MINUTES)
    assert len(read["ratings"]) == 8 * 2 * len(MINUTES) * 6
    assert set(read["words"]["descriptor"]) == {"'=2+2"}
    woody = read["moved"].query("descriptor == 'woody'")
    assert woody["difference"].tolist() == [2.45, 2.45, 0.0]
    assert (read["ratings"]["said"] == "not smelt").sum() == 2 * len(MINUTES)


def test_a_file_is_offered_exactly_where_its_table_holds_something(scene: scenes.Scene) -> None:
    """The page does not build the tables to list them: what it says instead must agree with them."""
    from evaluation.actions.profile_findings import profile_findings

    whole = profile_findings(scene.notebook, opened(scene)).found[0]
    bare = profile_findings(scene.notebook, opened(scene, descriptors=scenes.RATED[:1], asks_strength=False)).found[0]
    for part in (whole, bare):
        offered = {name: there(part) for name, (_, _, there) in profile_downloads.tables().items()}
        assert offered == {name: len(build(part)) > 0 for name, (_, build, _) in profile_downloads.tables().items()}
    assert not all(offered.values())


@pytest.mark.parametrize("name", ["strip-curve-0", "strip-map-0", "strip-profile-1", "strip-strength-0"])
def test_pictures_are_pictures(files: str, name: str) -> None:
    pytest.importorskip("vl_convert", reason="vl-convert is optional: pictures cannot be drawn without it")
    svg, png = fetch(files, f"{name}.svg"), fetch(files, f"{name}.png")
    assert svg.body.startswith(b"<svg")
    assert png.body.startswith(b"\x89PNG")
    assert svg.media_type == "image/svg+xml"


@pytest.mark.parametrize(
    "name", ["strip-map-7.svg", "skin-map-0.svg", "strip-map-0.pdf", "verdict.csv", "../moved.csv"]
)
def test_no_other_file(files: str, name: str) -> None:
    assert fetch(files, name).status_code == 404


def test_panelists_get_no_file(app: AppTest, scene: scenes.Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    session_id = opened(scene)
    monkeypatch.setattr(visitor, "recognise", lambda *_: Visitor(BALLOT))
    assert fetch(session_id, "moved.csv").status_code == 404


def test_a_long_log_comes_page_by_page(app: AppTest, scene: scenes.Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(log_lines, "PAGE", 50)

    def lines() -> list[int]:
        told = "".join(one.proto.body for one in page.get("html") if "<th>No.</th>" in one.proto.body)
        return [int(one) for one in re.findall(r"<tr><td>(\d+)</td>", told)]

    last = len(bench.log(scene.notebook, opened(scene)))
    begin = (last - 1) // 50 * 50 + 1
    page = shown(app)
    assert lines() == list(range(last, last - log_lines.SHOWN, -1))
    page.toggle(key="whole log").set_value(True).run()
    assert lines() == list(range(last, begin - 1, -1))
    page.selectbox(key="page of log").set_value(1).run()
    assert lines() == list(range(50, 0, -1))
    assert not page.exception
