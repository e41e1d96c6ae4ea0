"""Skin: everything the gate asks for before a trial touches anybody, and what it says at this moment."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, house
from parts.book import pickers
from parts.skin import limits_entered, on_skin, patch_tests, people_asked, reactions_told, what_waits

from evaluation.actions import book, bottle_book
from evaluation.store import Notebook

SKIN_CAUTION: Final = (
    "Nothing goes on skin undiluted, and nothing while the gate is shut. The limits are yours to enter from current "
    "safety documents: none is built in, and an open gate says only that what you entered holds together. Follow "
    "current safety standards, your local rules and licensed advice; this tool gives none."
)


def show_skin_page(notebook: Notebook) -> None:
    """The whole page; what waits comes first, then everything the gate asks for."""
    frame.page("Skin", "What must be known before a trial is put on skin. The gate opens when all of it is there.")
    st.caption(f"**Safety.** {SKIN_CAUTION}")
    chosen = pickers.brief(notebook)
    if chosen is None:
        frame.empty("A trial comes before its safety. Begin with the trial book.", "briefs.py", "Open the trial book")
        return
    trials = list(bottle_book.smelt(notebook, chosen.id))
    people = list(book.panelists(notebook))
    what_waits.tell_what_waits(notebook, trials)
    of_trials, of_materials, of_people, of_patches, of_reactions = st.tabs(
        ["Trials", "Materials and limits", "People", "Patch tests", "Reactions"]
    )
    with of_trials:
        on_skin.edit_trial_on_skin(notebook, trials, people)
    with of_materials:
        limits_entered.edit_limits(notebook)
    with of_people:
        people_asked.ask_people(notebook, people)
    with of_patches:
        patch_tests.show_patch_tests(notebook, trials, people)
    with of_reactions:
        reactions_told.show_reactions(notebook, trials, people)


show_skin_page(house.current().notebook)
