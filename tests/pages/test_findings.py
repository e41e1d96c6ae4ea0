"""The findings page and its files: hidden until opened, then the verdict with all it rests on."""

from __future__ import annotations

import asyncio
import io
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pandas as pd
import pytest
from parts import house
from parts.doors import visitor
from parts.findings import downloads, facts_told, file_routes, report_links
from scipy import stats
from starlette.requests import Request
from starlette.responses import Response
from streamlit.testing.v1 import AppTest

from evaluation.actions import bench, findings, formulas, plan
from evaluation.actions.doors import BALLOT, CONDUCTOR, NO_VISITOR, Visitor
from evaluation.formulas import read_lines
from evaluation.serving.blinding import correct_value
from evaluation.sessions import Question
from tests import scenes

PAGES = Path(__file__).resolve().parents[2] / "pages"
WORDS = ("Noticed", "Not noticed", "Undecided", "preferred", "No preference shown")


@pytest.fixture
def app(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    """The entry page around a notebook in memory, seen by the conductor."""
    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    house.put(house.House(notebook, bytes(range(32))))
    yield AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
    house.put(None)


@pytest.fixture
def scene(notebook: Any) -> scenes.Scene:
    return scenes.scene(notebook, people=12)


def smelt(scene: scenes.Scene, right: int, **changes: Any) -> Any:
    """A session whose first ``right`` people answer every set right and the others wrong."""
    session = scene.smelling(**changes)
    orders = dict(scenes.key_of(scene.notebook, session.id).orders)
    for seat, one in enumerate(scenes.ballots(scene.notebook, session.id), start=1):

        def how(asked: Question, hit: bool = seat <= right) -> str:
            if asked.name != "choice":
                return asked.options[0]
            answer = correct_value(session.plan.method, orders[asked.serving_id], asked.codes, session.plan.expected)
            return answer if hit else next(other for other in asked.options if other != answer)

        scenes.answer_all(scene.notebook, one.id, how)
    return session


def voted(scene: scenes.Scene, first: int, **changes: Any) -> Any:
    """A preference session in which the first ``first`` people always choose the first trial, the others the second."""
    session = scene.smelling(method="preference", **changes)
    key = scenes.key_of(scene.notebook, session.id)
    served = {one.id: one for one in bench.servings(scene.notebook, session.id)}
    trial = {c: t for one, order in key.orders for c, t in zip(served[one].codes, order, strict=True)}
    for seat, one in enumerate(scenes.ballots(scene.notebook, session.id), start=1):

        def how(asked: Question, wanted: str = "A" if seat <= first else "B") -> str:
            hit = [option for option in asked.options if trial.get(option.split(" ")[0]) == wanted]
            return hit[0] if hit else asked.options[0]

        scenes.answer_all(scene.notebook, one.id, how)
    return session


def open_it(scene: scenes.Scene, session: Any) -> None:
    bench.close(scene.notebook, session.id)
    findings.open_session(scene.notebook, session.id)


def shown(app: AppTest) -> AppTest:
    app.switch_page("findings.py").run()
    assert not app.exception
    return app


def words(app: AppTest) -> str:
    """Everything the page says as text, HTML tags taken away."""
    told = [*app.markdown, *app.caption, *app.warning, *app.info, *app.success, *app.error, *app.header]
    html = [unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", one.proto.body, flags=re.S)) for one in app.get("html")]
    return re.sub(r"\s+", " ", "\n".join([*(one.value.replace("\\", "") for one in told), *html]))


# --- blindness ------------------------------------------------------------------------------------------------------


def test_before_opening_the_page_says_that_results_stay_hidden(app: AppTest, scene: scenes.Scene) -> None:
    session = smelt(scene, 12)
    for step in (lambda: None, lambda: bench.close(scene.notebook, session.id)):
        step()
        told = words(shown(app))
        assert "Results stay hidden until the session is closed and its key is opened" in told
        assert not any(word in told for word in WORDS)
        assert not app.get("vega_lite_chart")
        assert "/files/" not in told


def test_the_key_is_opened_from_the_page_only_when_closed(app: AppTest, scene: scenes.Scene) -> None:
    session = smelt(scene, 12)
    assert not [one for one in shown(app).button if one.label == "Open the key now"]
    bench.close(scene.notebook, session.id)
    shown(app)
    next(one for one in app.button if one.label == "Open the key now").click()
    app.run()
    assert plan.session(scene.notebook, session.id).state == "opened"
    assert "Noticed Trials 7 and 8" in words(app)
    assert "The key was opened." in words(app)


def test_a_void_session_shows_no_verdict(app: AppTest, scene: scenes.Scene) -> None:
    session = smelt(scene, 12)
    bench.void(scene.notebook, session.id, "mixed up")
    told = words(shown(app))
    assert "it yields no verdict" in told
    assert not any(word in told for word in WORDS)


# --- verdicts -------------------------------------------------------------------------------------------------------


def test_the_verdict_stands_first_with_everything_it_rests_on(app: AppTest, scene: scenes.Scene) -> None:
    """8 of 12 triangles right: p by scipy, 8 needed (ISO 4120 table A.1: n = 12 needs 8 at alpha .05)."""
    session = smelt(scene, 8)
    open_it(scene, session)
    told = words(shown(app))
    p_value = stats.binomtest(8, 12, 1 / 3, alternative="greater").pvalue
    assert "Noticed Trials 7 and 8 · Strip age 5 min" in told
    assert "Right answers 8 of 12, from 12 people" in told
    assert "Fewest right answers needed 8 of 12 at alpha .05" in told
    assert f"Exact p, one-sided p = {p_value:.3f}".replace("0.", ".") in told
    limits = stats.binomtest(8, 12).proportion_ci(0.90, "exact")
    low, high = (max(0.0, (limit - 1 / 3) / (2 / 3)) * 100 for limit in limits)
    assert f"50 %, from {round(low, 1):g} % to {round(high, 1):g} % (two-sided exact 90 % interval)" in told
    assert "Speaks for people like this panel" in told
    assert "Strips only" in told
    assert session.sealed_hash in told
    assert "every line stands as it was written" in told
    assert app.get("vega_lite_chart") or app.get("arrow_vega_lite_chart")


def test_undecided_says_what_would_settle_it_and_that_it_is_not_sameness(app: AppTest, scene: scenes.Scene) -> None:
    open_it(scene, smelt(scene, 5))
    told = words(shown(app))
    assert "Undecided Trials 7 and 8" in told
    assert "A fresh session of" in told
    assert "Not significant is not sameness" in told


def test_an_exploratory_age_is_marked_and_the_primary_one_leads(app: AppTest, scene: scenes.Scene) -> None:
    open_it(scene, smelt(scene, 5, minutes=(5, 60), primary=3600))
    told = words(shown(app))
    assert "Strip age 1 h, the primary one" in told
    assert "5 min, exploratory" in told
    assert "1 h, primary" in told
    assert "p, Holm" in told


def test_both_counts_are_shown_when_something_was_left_out(app: AppTest, scene: scenes.Scene) -> None:
    session = smelt(scene, 8)
    bench.note_deviation(scene.notebook, session.id, 1, "wrong strip", "dipped twice")
    open_it(scene, session)
    told = words(shown(app))
    assert "Right answers 7 of 11, from 11 people" in told
    assert "Nose 1 all wrong strip dipped twice left out" in told
    assert "5 min sealed Noticed 7 of 11" in told
    assert "5 min all Noticed 8 of 12" in told


def test_preferences_show_people_and_the_further_questions(app: AppTest, scene: scenes.Scene) -> None:
    open_it(scene, voted(scene, 11))
    told = words(shown(app))
    assert "Trial 7 preferred Trials 7 and 8" in told
    assert "For trial 7 11 people For trial 8 1 person No preference 0 people" in told
    assert "Fewest needed for one of them 10 of 12 at alpha .05" in told  # ISO 5495 table A.2, two-sided: 12 needs 10
    assert "Which is nearer to the brief" in told
    assert "Wearing and strength" in told
    assert "A preference says which one, not by how much." in told


def test_where_every_answer_came_late_the_headline_says_so(app: AppTest, scene: scenes.Scene) -> None:
    session = scene.smelling(left_out=("wrong strip", "ruined strip", "unblinded", "late"))
    for one in scenes.ballots(scene.notebook, session.id)[:3]:
        scenes.answer_all(scene.notebook, one.id)
        bench.note_deviation(scene.notebook, session.id, one.seat, "late", "the bus")
    open_it(scene, session)
    told = words(shown(app))
    assert "3 of 3 answers were smelt late (12 were planned), so none counts." in told
    assert "0 of 0, from 0 people" not in told  # no number of nothing
    assert "With so few answers" not in told


def test_what_people_wrote_is_never_read_as_markup(app: AppTest, scene: scenes.Scene) -> None:
    from evaluation.actions import ballot

    session = scene.smelling()
    first = scenes.ballots(scene.notebook, session.id)[0]
    asked = ballot.view(scene.notebook, first.id).question
    assert asked is not None
    ballot.lock(scene.notebook, first.id, asked.serving_id, asked.name, asked.options[0], "<b>iris</b> *now*")
    open_it(scene, session)
    shown(app)
    raw = "".join(one.proto.body for one in app.get("html"))
    assert "&lt;b&gt;iris&lt;/b&gt; *now*" in raw
    assert "<b>iris</b>" not in raw


def test_a_session_without_answers_still_opens_and_says_so(app: AppTest, scene: scenes.Scene) -> None:
    open_it(scene, scene.smelling())
    told = words(shown(app))
    assert "none of the 12 answers planned came in" in told.lower()
    assert not app.get("vega_lite_chart")


def test_a_broken_log_is_said_loudly(app: AppTest, scene: scenes.Scene, monkeypatch: pytest.MonkeyPatch) -> None:
    from evaluation.store.log import Log

    open_it(scene, smelt(scene, 8))
    monkeypatch.setattr(Log, "verify", lambda *_: False)
    assert "Do not rely on this verdict" in words(shown(app))


# --- words ------------------------------------------------------------------------------------------------------------


def test_shares_are_of_sets_where_one_nose_or_several_answers_stand_behind_them(scene: scenes.Scene) -> None:
    for changes in ({"people": 1, "replicates": 8}, {"people": 4, "replicates": 2}):
        session = smelt(scene, 4, **changes)
        open_it(scene, session)
        found = findings.findings(scene.notebook, session.id)
        labels = [name for name, _ in facts_told.facts(found.found[0].entries[0], found.context.names)]
        assert "Share of these sets told apart (pd)" in labels
        assert not any("notices" in name for name in labels)


# --- files --------------------------------------------------------------------------------------------------------------


class Browser:
    """Asks the download route for a path, without a server."""

    def get(self, path: str, query: str = "") -> Response:
        (route,) = file_routes.routes()
        scope = {"type": "http", "method": "GET", "path": path, "headers": [], "query_string": query.encode()}
        _, met = route.matches(scope)
        return asyncio.run(route.endpoint(Request(scope | met)))


@pytest.fixture
def client(app: AppTest, monkeypatch: pytest.MonkeyPatch) -> tuple[Browser, SimpleNamespace]:
    """The download route alone, and who comes to it."""
    who = SimpleNamespace(visitor=Visitor(CONDUCTOR))
    monkeypatch.setattr(visitor, "recognise", lambda *_: who.visitor)
    return Browser(), who


def test_files_are_handed_to_the_conductor_only(client: tuple[Browser, SimpleNamespace], scene: scenes.Scene) -> None:
    browser, who = client
    session = smelt(scene, 8)
    open_it(scene, session)
    for stranger in (NO_VISITOR, Visitor(BALLOT, "some ballot")):
        who.visitor = stranger
        assert browser.get(f"/files/{session.id}/answers.csv").status_code == 404
    who.visitor = Visitor(CONDUCTOR)
    answer = browser.get(f"/files/{session.id}/answers.csv")
    assert answer.status_code == 200
    assert answer.headers["content-disposition"].startswith("attachment;")
    assert browser.get(f"/files/{session.id}/other.csv").status_code == 404
    assert browser.get("/files/no-such-session/answers.csv").status_code == 404


def test_reports_and_the_file_of_everything_are_the_conductors(
    client: tuple[Browser, SimpleNamespace], scene: scenes.Scene
) -> None:
    """Nobody else gets them, and nobody before opening: the answer then is the sentence of the shut key."""
    browser, who = client
    session = smelt(scene, 8)
    kinds = {"report.html": b"<!doctype html>", "report.pdf": b"%PDF-", "everything.zip": b"PK"}
    for name in kinds:
        early = browser.get(f"/files/{session.id}/{name}")
        assert early.status_code == 404
        assert b"opened" in early.body
    open_it(scene, session)
    for name, begins in kinds.items():
        for stranger in (NO_VISITOR, Visitor(BALLOT, "some ballot")):
            who.visitor = stranger
            assert (browser.get(f"/files/{session.id}/{name}").body) == b"Not found."
        who.visitor = Visitor(CONDUCTOR)
        answer = browser.get(f"/files/{session.id}/{name}")
        assert answer.status_code == 200
        assert answer.body.startswith(begins)
    for name, begins in {"brief.html": b"<!doctype html>", "brief.pdf": b"%PDF-"}.items():
        assert browser.get(f"/files/{scene.brief_id}/{name}").body.startswith(begins)
        assert browser.get(f"/files/no-such-brief/{name}").status_code == 404
        who.visitor = Visitor(BALLOT, "some ballot")
        assert browser.get(f"/files/{scene.brief_id}/{name}").body == b"Not found."
        who.visitor = Visitor(CONDUCTOR)


def test_no_file_of_a_session_that_is_not_opened(client: tuple[Browser, SimpleNamespace], scene: scenes.Scene) -> None:
    browser, _ = client
    session = smelt(scene, 8)
    for name in downloads.FILES:
        answer = browser.get(f"/files/{session.id}/{name}")
        assert (answer.status_code, "Nose" in answer.body.decode()) == (404, False)


def test_the_counted_answers_file_gives_judge_the_same_verdict(
    client: tuple[Browser, SimpleNamespace], scene: scenes.Scene, tmp_path: Path
) -> None:
    from evaluation.judge import judge_file

    browser, _ = client
    session = smelt(scene, 8)
    open_it(scene, session)
    path = tmp_path / "answers.csv"
    path.write_bytes(browser.get(f"/files/{session.id}/answers-to-judge.csv").body)
    (judged,) = judge_file(path)
    (entry,) = findings.findings(scene.notebook, session.id).found[0].entries
    assert (judged.correct, judged.assessments, judged.p_value) == (entry.correct, entry.assessments, entry.p_value)
    assert judged.verdict == entry.verdict


def test_tables_and_pictures_are_what_they_say(client: tuple[Browser, SimpleNamespace], scene: scenes.Scene) -> None:
    browser, _ = client
    session = smelt(scene, 8)
    open_it(scene, session)
    table = browser.get(f"/files/{session.id}/verdict.csv")
    assert table.body.startswith(b"\xef\xbb\xbf")  # UTF-8 byte order mark, RFC 3629 section 6
    assert pd.read_csv(io.BytesIO(table.body))["right"].tolist() == [8]
    if downloads.can_draw():
        assert browser.get(f"/files/{session.id}/chart.png").body[:8] == b"\x89PNG\r\n\x1a\n"
        assert ">8 of 12 right<" in browser.get(f"/files/{session.id}/chart.svg").body.decode()


def test_only_a_ticked_address_gives_a_file_with_formulas(
    client: tuple[Browser, SimpleNamespace], scene: scenes.Scene
) -> None:
    """Reports and the file of everything; no other file has a tick, and its address changes nothing in it."""
    browser, who = client
    session = smelt(scene, 8)
    for trial_id in scene.trial_ids:
        formulas.write(scene.notebook, trial_id, read_lines("Zzyx marker oil; 4"), new_materials=True)
    open_it(scene, session)
    for name, about in (("report.html", session.id), ("brief.html", scene.brief_id)):
        plain, ticked = (browser.get(f"/files/{about}/{name}", query) for query in ("", "formulas=yes"))
        assert b"Zzyx" not in plain.body
        assert b"Zzyx" in ticked.body
        assert "with-formulas" in ticked.headers["content-disposition"]
        assert b"Zzyx" not in browser.get(f"/files/{about}/{name}", "formulas=").body
    answers = [browser.get(f"/files/{session.id}/answers.csv", query) for query in ("", "formulas=yes")]
    assert answers[0].body == answers[1].body
    assert "with-formulas" not in answers[1].headers["content-disposition"]
    who.visitor = NO_VISITOR
    assert browser.get(f"/files/{session.id}/report.html", "formulas=yes").body == b"Not found."


def test_the_tick_is_off_until_it_is_set(app: AppTest, scene: scenes.Scene) -> None:
    session = smelt(scene, 8)
    open_it(scene, session)
    page = shown(app)
    (box,) = [one for one in page.checkbox if one.label == report_links.TICK]
    assert box.value is False
    assert "formulas=yes" not in links(page)
    box.check()
    page.run()
    assert f"/files/{session.id}/report.html?formulas=yes" in links(page)
    assert "Report (PDF), with formulas" in links(page)
    assert f'/files/{session.id}/answers.csv"' in links(page)


def links(page: AppTest) -> str:
    return "".join(each.proto.body for each in page.get("html"))
