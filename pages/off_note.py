"""Off-note: from which material of a trial a note comes, asked blind of one bottle without each suspect."""

from __future__ import annotations

import streamlit as st
from parts import frame, house
from parts.adding import sitting_fields, sums_shown, suspects_asked
from parts.book import pickers

from evaluation.actions import book, tracing
from evaluation.actions.series_sittings import SeriesFound
from evaluation.store import Notebook
from evaluation.wording import of_suspects


def show_trace_page(notebook: Notebook) -> None:
    """The series of this brief that trace a note, then the form of another."""
    frame.page(
        "Trace an off-note", "Something in a trial smells wrong: from which material does it come?", caution=True
    )
    brief = pickers.brief(notebook)
    if brief is None:
        frame.empty("A note is traced in a trial. Begin with the trial book.", "briefs.py", "Open the trial book")
        return
    for one in tracing.traces(notebook, brief.id):
        _one_trace(notebook, one)
    st.header("Suspect materials of a trial", anchor=False)
    st.markdown(of_suspects.HOW)
    trials = tracing.traceable(notebook, brief.id)
    people = book.panelists(notebook)
    if not trials:
        frame.empty("No trial of this brief has a formula: enter it first.", "briefs.py", "Enter a formula")
    elif not people:
        frame.empty("Nobody is on the panel yet.", "panel.py", "Open the panel")
    else:
        suspects_asked.ask(notebook, trials, people)


def _one_trace(notebook: Notebook, found: SeriesFound) -> None:
    sums_shown.show_series(notebook, found)
    if not found.over:
        suspects_asked.offer_next(notebook, found)
        sitting_fields.offer_end(notebook, found)
    st.divider()


show_trace_page(house.current().notebook)
