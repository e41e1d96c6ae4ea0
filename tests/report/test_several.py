"""Reports of profiles and briefs: set as page and PDF, and the numbers of a profile from its file alone."""

from __future__ import annotations

import io
from html import unescape
from typing import Any

import pytest
from pypdf import PdfReader

from evaluation.actions import bench, book, decide, findings
from evaluation.report import brief, composing, export, print_out, web_page
from evaluation.sessions import Serving
from tests import scenes
from tests.report.test_export import played
from tests.report.test_report import Reader


def rate(seat: int, letter: str, serving: Serving, word: str) -> str:
    """The second trial is more woody for the first hour."""
    more = letter == "B" and word == "woody" and serving.age_seconds <= 3600
    return f"{3 + seat / 4 + (1 + seat % 3 if more else 0):.1f}"


def test_a_profile_is_set_and_its_numbers_come_out_of_the_file(notebook: Any) -> None:
    scene = scenes.scene(notebook, people=8)
    session = scene.smelling(method="profile", minutes=(5, 60, 240), primary=None)
    scenes.answer_profile(notebook, session.id, rate)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    report = composing.report(notebook, session.id)
    with export.opened(export.export(notebook, session.id)) as copy:
        again = composing.report(copy.notebook, copy.session_id)
    assert again.numbers == report.numbers
    page = web_page.page(report)
    assert web_page.page(again) == page
    read = Reader(page)
    assert read.tags.count("svg") == 1 + 4  # the map, and a curve for each of woody, smoky, green, strength
    assert "script" not in read.tags
    assert len(read.ids) == len(set(read.ids))
    assert "more woody" in unescape(page.decode())
    told = " ".join(
        " ".join(one.extract_text() for one in PdfReader(io.BytesIO(print_out.document(report))).pages).split()
    )
    assert "more woody" in told


@pytest.mark.parametrize("method", ["round", "ranking"])
def test_rounds_and_rankings_are_set(notebook: Any, method: str) -> None:
    scene = scenes.scene(notebook, people=8)
    session = scene.smelling(method=method, trials=3)
    scenes.answer_by_worth(notebook, session.id, lambda seat, letter: "CBA".index(letter) + (seat % 3) / 2)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    report = composing.report(notebook, session.id)
    with export.opened(export.export(notebook, session.id)) as copy:
        again = composing.report(copy.notebook, copy.session_id)
    assert again.numbers == report.numbers
    assert web_page.page(again) == web_page.page(report)
    assert Reader(web_page.page(report)).tags.count("svg") >= 1
    told = unescape(web_page.page(report).decode())
    assert "Trial 7 is preferred to trial 9" in told
    assert (
        method == "ranking" or "From best to last, trial 7 before trial 8 before trial 9:" in told
    )  # nobody preferred otherwise
    assert PdfReader(io.BytesIO(print_out.document(report))).pages


def test_a_brief_is_set_with_lineage_sessions_and_decisions(notebook: Any) -> None:
    scene, _ = played(notebook)
    decide.decide(notebook, scene.brief_id, scene.trial_ids[1], "keep", "It is the drier one.")
    shut = scene.smelling(title="A session that is not opened")
    report = brief.report(notebook, scene.brief_id)
    told = unescape(web_page.page(report).decode())
    for needed in (
        "vetiver 2 to 3",
        "Trial 7 against trial 8",
        "It is the drier one.",
        "1. Keep trial 8",
        "The record holds",
    ):
        assert needed in told, needed
    assert shut.plan.title not in told
    assert told.index("What was decided") < told.index("What the evidence alone proposes")  # a decision has answered it
    assert not any(one.alias in told for one in book.panelists(notebook))
    assert len(PdfReader(io.BytesIO(print_out.document(report))).pages) >= 1
