"""Separate changes: which bottles tell several changes of one base apart, into the trial book, and to the plan."""

from __future__ import annotations

import streamlit as st
from parts import frame, house
from parts.book import pickers
from parts.separate import asked, mixed, proposed

from evaluation.actions import aims, book, formulas
from evaluation.store import Notebook

LEAD = (
    "Several changes at once, and you want to know which of them does what: choose the base and the changes, see what "
    "to mix, weigh by the sheet, and plan one session that smells all bottles."
)


def show_separating(notebook: Notebook) -> None:
    """The whole page; before there is a trial to change, only the way to one."""
    frame.page("Separate changes", LEAD, wide=True, caution=True)
    chosen = pickers.brief(notebook)
    trials = book.trials(notebook, chosen.id) if chosen is not None else ()
    if chosen is None or not trials:
        frame.empty(
            "Changes are made to a trial: the base. Begin with the trial book.", "briefs.py", "Open the trial book"
        )
        return
    mixed.show_mixed(notebook, chosen.id)
    people = {one.id: one.alias for one in book.panelists(notebook)}
    room = asked.Room(
        notebook,
        chosen,
        tuple(sorted(trials, key=lambda one: one.made_at)),
        people,
        aims.descriptors(notebook, chosen.id),
        formulas.formulas(notebook, chosen.id),
    )
    st.header("What to separate", anchor=False)
    typed = asked.ask(room)
    if typed is not None:
        proposed.propose(room, typed)


show_separating(house.current().notebook)
