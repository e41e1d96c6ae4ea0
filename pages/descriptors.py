"""Descriptors: the words a panel rates for a brief, and the targets the brief aims at."""

from __future__ import annotations

import streamlit as st
from parts import frame, house
from parts.book import descriptor_list, pickers, target_list

from evaluation.store import Notebook


def show_descriptors_page(notebook: Notebook) -> None:
    """The whole page; before there is a brief, only the way to one."""
    frame.page("Descriptors", "The words a panel rates for a brief, and how strong each is to be.")
    chosen = pickers.brief(notebook)
    if chosen is None:
        frame.empty(
            "Descriptors and targets belong to a brief. Begin with the trial book.", "briefs.py", "Open the trial book"
        )
        return
    words, targets = st.tabs(["Descriptors", "Targets"])
    with words:
        descriptor_list.edit_descriptors(notebook, chosen)
    with targets:
        target_list.edit_targets(notebook, chosen)


show_descriptors_page(house.current().notebook)
