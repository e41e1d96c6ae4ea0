"""Series: answers that add up over sittings, and finals; what each says so far, and its next sitting."""

from __future__ import annotations

import streamlit as st
from parts import frame, house
from parts.adding import final_fields, sitting_fields, sums_shown
from parts.book import pickers

from evaluation.actions import book, bottle_book, series_sittings
from evaluation.actions.series_sittings import SeriesFound
from evaluation.store import Notebook
from evaluation.values.briefs import Brief

LEAD = (
    "Answers of several sittings count together only where that was sealed before the first of them: as a series while "
    "you search, or as a final before you keep a trial."
)


def show_series_page(notebook: Notebook) -> None:
    """The whole page: every series of a brief with what it says so far, then the form of a final."""
    frame.page("Series and finals", LEAD, caution=True)
    brief = pickers.brief(notebook)
    if brief is None:
        frame.empty("A series belongs to a brief. Begin with the trial book.", "briefs.py", "Open the trial book")
        return
    found = series_sittings.series_of(notebook, brief.id)
    if not found:
        st.markdown(
            "No series yet. A series of a pair is sealed on the page Plan, below its plan; a final is sealed here."
        )
        frame.page_link("plan.py", "Plan a series")
    for one in reversed(found):
        _one_series(notebook, one)
    _final(notebook, brief)


def _one_series(notebook: Notebook, found: SeriesFound) -> None:
    sums_shown.show_series(notebook, found)
    if not found.over:
        sitting_fields.ask(notebook, found)
        sitting_fields.offer_end(notebook, found)
    st.divider()


def _final(notebook: Notebook, brief: Brief) -> None:
    trials = [one for one in bottle_book.smelt(notebook, brief.id) if not one.bottle_of]
    people = book.panelists(notebook)
    st.header("Seal a final", anchor=False)
    if len(trials) < 2 or not people:
        frame.empty("A final needs two trials of this brief and somebody on the panel.")
        return
    final_fields.ask(notebook, brief, trials, people)


show_series_page(house.current().notebook)
