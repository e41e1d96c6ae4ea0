"""Choosing a brief: the one selector that trial book and plan share."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import state

from evaluation.actions import book
from evaluation.store import Notebook
from evaluation.values.briefs import Brief

_KEY: Final = "brief selector"


def brief(notebook: Notebook) -> Brief | None:
    """The brief the conductor works on, with a selector where there are several; None where there is none."""
    found = {each.id: each for each in book.briefs(notebook)}
    if not found:
        return None
    chosen = state.chosen_brief()
    start = chosen if chosen in found else list(found)[-1]
    kept = st.session_state.get(_KEY)
    # written at every run: coming by a press inside a fragment the value is there, and the selector does not take it
    st.session_state[_KEY] = kept if kept in found else start
    picked = st.selectbox("Brief", list(found), format_func=lambda each: found[each].title, key=_KEY)
    state.choose_brief(picked)
    return found[picked]


def arriving() -> bool:
    """True in the first run after coming from a page without this selector."""
    return _KEY not in st.session_state


def forget_brief() -> None:
    """Let the selector start from the chosen brief again, in the next run."""
    st.session_state.pop(_KEY, None)
