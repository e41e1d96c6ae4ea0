"""A sequential session on the bench and on the findings page, through the app's own entry page."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from parts.findings import downloads, path_of_looks
from streamlit.testing.v1 import AppTest

from evaluation import charts
from evaluation.actions import ballot, findings, looks
from evaluation.tables import results
from tests import scenes
from tests.actions.test_looks import HALF, Table

PAGES = Path(__file__).resolve().parents[2] / "pages"


@pytest.fixture
def app(notebook: Any, monkeypatch: pytest.MonkeyPatch) -> Iterator[AppTest]:
    """The entry page around a notebook in memory, seen by the conductor."""
    from parts import house
    from parts.doors import visitor

    from evaluation.actions.doors import CONDUCTOR, Visitor

    monkeypatch.setattr(visitor, "current", lambda: Visitor(CONDUCTOR))
    house.put(house.House(notebook, bytes(range(32))))
    yield AppTest.from_file(str(PAGES / "app.py"), default_timeout=120)
    house.put(None)


@pytest.fixture
def table(notebook: Any) -> Table:
    return Table(scenes.scene(notebook, people=24))


def shown(app: AppTest, page: str) -> str:
    """Everything a page says as text."""
    app.switch_page(page).run()
    return said(app)


def said(app: AppTest) -> str:
    assert not app.exception
    told = [*app.markdown, *app.caption, *app.warning, *app.info, *app.success, *app.error, *app.header]
    html = [unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", one.proto.body, flags=re.S)) for one in app.get("html")]
    return re.sub(r"\s+", " ", "\n".join([*(one.value.replace("\\", "") for one in told), *html]))


def test_the_bench_says_continue_then_stop_and_asks_to_close(app: AppTest, table: Table) -> None:
    table.all_smell(HALF)
    told = shown(app, "bench.py")
    assert "**Continue.** Looked at after 6 answers; the next look is after 12, the last one after 24." in told
    assert "Close the session now" not in told
    assert "Looked at after 6 answers: continue." in shown(app, "bench.py"), "the log says so too"
    table.all_smell([True] * 6, first=7)
    told = shown(app, "bench.py")
    assert "**Stop: noticed.** Looked at after 12 answers." in told
    assert "Close the session now." in told
    assert not re.search(r"\d right|right answers|correct", told), "no count of right answers"


def test_a_bench_left_behind_by_another_window_follows_it(
    app: AppTest, table: Table, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Closed and opened elsewhere between drawing the page and asking for the look."""
    asked = looks.status

    def too_late(notebook: Any, session_id: str) -> looks.LookStatus:
        table.found()
        return asked(notebook, session_id)

    monkeypatch.setattr(looks, "status", too_late)
    assert "No sealed session is waiting." in shown(app, "bench.py")


def test_a_session_judged_once_says_nothing_of_looks(app: AppTest, notebook: Any) -> None:
    Table(scenes.scene(notebook), look_every=0)
    told = shown(app, "bench.py")
    assert "Looked at" not in told
    assert "Continue." not in told


def test_a_ballot_page_says_nothing_of_looks(
    app: AppTest, table: Table, monkeypatch: pytest.MonkeyPatch, notebook: Any
) -> None:
    from parts.doors import visitor

    from evaluation.actions.doors import BALLOT, Visitor

    monkeypatch.setattr(visitor, "current", lambda: Visitor(BALLOT, table.ballots[7]))
    monkeypatch.setattr(visitor, "ballot_in", lambda tx: table.ballots[7])
    app.run()
    next(one for one in app.button if one.label == "Smell now anyway").click()  # nobody tapped at the dip
    before = said(app.run())
    assert "Which one is the odd one out?" in before
    table.all_smell([True] * 6)
    assert table.status().state == "stop: noticed"
    assert said(app.run()) == before
    assert not re.search(r"\blook|noticed|continue", before, flags=re.I)
    assert ballot.view(notebook, table.ballots[7]).question is not None


def test_findings_give_exact_risks_in_place_of_p(app: AppTest, table: Table) -> None:
    table.all_smell((*HALF, *[True] * 6, *[False] * 3))
    entry = table.found()
    told = shown(app, "findings.py")
    assert "Noticed Trials 7 and 8" in told
    assert "9 of 12 answers right at look 2 (noticed from 9, lower limit 3)." in told
    assert "3 answers that came in after it do not enter the verdict." in told
    assert "p, share that notices, d-prime not valid after stopping" in told
    assert f"{entry.alpha_exact:.4f}".removeprefix("0") + " (sealed: .05)" in told
    assert "Exact p, one-sided" not in told
    assert "interval)" not in told
    assert "people like this panel" in told
    assert "A second opinion, never the verdict" in told
    assert "Probability that more than 50 % notice" in told
    assert len(app.get("vega_lite_chart")) == 1


def test_files_hold_the_looks_and_nothing_to_judge_again(table: Table) -> None:
    table.all_smell([True] * 6)
    table.found()
    found = findings.findings(table.notebook, table.id)
    verdict = downloads.FILES["verdict.csv"][2](found)
    assert verdict is not None
    told = verdict.decode("utf-8-sig")
    assert "not valid after stopping" in told
    assert "share noticing" not in told
    assert downloads.FILES[downloads.TO_JUDGE][2](found) is None
    assert downloads.FILES["answers.csv"][2](found) is not None


@pytest.mark.parametrize("right", [HALF, [True] * 6, [True, *[False] * 5] * 2])
def test_the_chart_plots_the_path_and_the_limits(table: Table, right: Any) -> None:
    table.all_smell(right)
    entry = table.found()
    rows = results.look_rows(entry)
    drawn = charts.path_within_limits(rows, width=560).to_dict()["datasets"].values()
    assert {(row["assessments"], row["correct"]) for data in drawn for row in data if "correct" in row} == {
        (0, 0),
        *((look.assessments, look.correct) for look in entry.looks),
    }
    for column, place in (("lower", 1), ("upper", 2)):
        limits = {(one[0], one[place]) for one in entry.limits if one[place] is not None}
        assert {(row["assessments"], row[column]) for data in drawn for row in data if column in row} == limits
    assert path_of_looks.picture(findings.findings(table.notebook, table.id).found[0], dark=True) is not None


def test_no_look_no_chart(table: Table) -> None:
    table.found()
    assert path_of_looks.picture(findings.findings(table.notebook, table.id).found[0]) is None
