"""The report of an opened session and the file with everything in it, of any method; light until one is asked for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import streamlit as st
from parts import small_tables
from parts.house import House

HTML: Final = "report.html"
PDF: Final = "report.pdf"
EXPORT: Final = "everything.zip"
FILES: Final = {
    HTML: ("Report, one page to read and print (HTML)", "text/html; charset=utf-8"),
    PDF: ("Report (PDF)", "application/pdf"),
    EXPORT: ("Everything of this session, key and log included (ZIP)", "application/zip"),
}

# Of a brief, under its own id; sessions that are not opened tell nothing there
BRIEF_FILES: Final = {
    "brief.html": ("Report of this brief, one page to read and print (HTML)", "text/html; charset=utf-8"),
    "brief.pdf": ("Report of this brief (PDF)", "application/pdf"),
}


CAN_CARRY: Final = frozenset((*FILES, *BRIEF_FILES))
WITH_FORMULAS: Final = "formulas"  # what the address of a ticked file asks for
TICK: Final = "Put formulas and what was changed into reports"
TICK_HELP: Final = (
    "And into the file of everything, where there is one. Off until you tick it, and never kept. Whoever has such a "
    "file can read what the trials are made of; a line in it says so."
)


def ticked_links(about_id: str, files: Mapping[str, tuple[str, str]] = FILES) -> str:
    """List items for the files of a session; with ``BRIEF_FILES`` of a brief. Draws the tick for formulas above them,
    which is off until somebody sets it.
    """
    formulas = st.checkbox(TICK, key=f"formulas into files of {about_id}", help=TICK_HELP)
    asked, told = (f"?{WITH_FORMULAS}=yes", ", with formulas") if formulas else ("", "")
    return "".join(
        f'<li><a href="/files/{small_tables.as_html(about_id)}/{name}{asked}" download target="_self">'
        f"{small_tables.as_html(words)}{told}</a></li>"
        for name, (words, _) in files.items()
    )


def file(here: House, session_id: str, name: str, *, formulas: bool = False) -> tuple[str, bytes]:
    """Media type and content; StillBlind for a session that is not opened."""
    from evaluation.report import composing, export, print_out, web_page

    _, kind = FILES[name]
    if name == EXPORT:
        return kind, export.export(here.notebook, session_id, formulas=formulas)
    report = composing.report(here.notebook, session_id, formulas=formulas)
    return kind, web_page.page(report) if name == HTML else print_out.document(report)


def brief_file(here: House, brief_id: str, name: str, *, formulas: bool = False) -> tuple[str, bytes]:
    """Media type and content of a file of a brief."""
    from evaluation.report import brief, print_out, web_page

    _, kind = BRIEF_FILES[name]
    report = brief.report(here.notebook, brief_id, formulas=formulas)
    return kind, web_page.page(report) if name.endswith(".html") else print_out.document(report)
