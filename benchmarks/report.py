"""A report of 60 panelists at three ages: its page, its PDF with the chart as vectors, and its export read again.

Against the bare library writing as many pages with one line of text each.
"""

from __future__ import annotations

import io
import sys
from pathlib import Path
from time import perf_counter
from typing import Any

from benchmarks.rows import Row, compared
from benchmarks.sheets import _bare

ROOT = Path(__file__).resolve().parents[1]


def run() -> list[Row]:
    if str(ROOT) not in sys.path:
        sys.path.append(str(ROOT))
    from pypdf import PdfReader

    from evaluation.report import composing, export, print_out, web_page

    notebook, session_id = _played()
    report = composing.report(notebook, session_id)
    page, page_s = _timed(lambda: web_page.page(composing.report(notebook, session_id)))
    made, made_s = _timed(lambda: print_out.document(composing.report(notebook, session_id)))
    data, data_s = _timed(lambda: export.export(notebook, session_id))

    def again() -> str:
        with export.opened(data) as copy:
            return composing.report(copy.notebook, copy.session_id).numbers

    numbers, again_s = _timed(again)
    assert numbers == report.numbers
    notebook.close()
    pages = len(PdfReader(io.BytesIO(made)).pages)
    bare = _bare(pages)
    return [
        compared("report: page, 60 people × 3 sets", page_s, bare, f"{len(page) // 1000} kB; {pages} bare PDF pages"),
        compared("report: PDF, 60 people × 3 sets", made_s, bare, f"{pages} bare pages"),
        compared("report: export, 60 people × 3 sets", data_s, bare, f"{len(data) // 1000} kB; {pages} bare PDF pages"),
        compared("report: numbers from the export", again_s, bare, f"{pages} bare PDF pages"),
    ]


def _timed(make: Any) -> tuple[Any, float]:
    began = perf_counter()
    made = make()
    return made, perf_counter() - began


def _played() -> tuple[Any, str]:
    from evaluation.actions import bench, findings
    from evaluation.clock import SystemClock
    from evaluation.store import Notebook
    from tests import scenes

    notebook = Notebook.open(None, SystemClock())
    session = scenes.scene(notebook, people=60).smelling(minutes=(5, 60, 240), primary=300, confirmed=())
    for one in scenes.ballots(notebook, session.id):
        scenes.answer_all(notebook, one.id)
    bench.close(notebook, session.id)
    findings.open_session(notebook, session.id)
    return notebook, session.id
