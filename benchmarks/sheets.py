"""Sheets for 60 panelists with three sets each: all cards, all labels, and the preparation sheet.

Against the bare library writing as many pages with one line of text each: the price of fonts and pages alone.
"""

from __future__ import annotations

import sys
from pathlib import Path
from time import perf_counter

from benchmarks.rows import Row, compared

ROOT = Path(__file__).resolve().parents[1]


def run() -> list[Row]:
    if str(ROOT) not in sys.path:
        sys.path.append(str(ROOT))
    from evaluation.clock import SystemClock
    from evaluation.sheets import printing
    from evaluation.sheets.printing import Wish
    from evaluation.store import Notebook
    from tests.scenes import scene

    notebook = Notebook.open(None, SystemClock())
    session = scene(notebook, people=60).sealed(minutes=(5, 60, 240), primary=300)
    rows = []
    for name in ("ballots", "strip-labels", "preparation"):
        began = perf_counter()
        if name in printing.OPEN:
            made = printing.open_sheet(notebook, session.id, name, Wish())
        else:
            made = printing.keyed_sheet(notebook, session.id, name, Wish(), None)
        ours = perf_counter() - began
        pages = made.content.count(b"/Type /Page\n")
        rows.append(compared(f"sheets: {name}, 60 people × 3 sets", ours, _bare(pages), f"{pages} bare pages"))
    notebook.close()
    return rows


def _bare(pages: int) -> float:
    from fpdf import FPDF

    from evaluation.sheets import fonts

    began = perf_counter()
    pdf = FPDF()
    pdf.add_font("one", "", fonts.REGULAR)
    pdf.add_font("one", "B", fonts.BOLD)
    for page in range(pages):
        pdf.add_page()
        for style in ("", "B"):
            pdf.set_font("one", style, 10)
            pdf.text(20, 20, f"page {page}")
    pdf.output()
    return perf_counter() - began
