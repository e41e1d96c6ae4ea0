"""Before a trial is kept: what a final on strips cannot show, a day on skin."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, state
from parts.decide import evidence_shown

from evaluation.actions import book, worn_a_day
from evaluation.store import Notebook

ASKED: Final = (
    "**Before you keep it: worn on skin for a day.** A final on strips cannot show how it stays, changes with warmth, "
    "or bears a day. Only through the skin gate: whoever wears it was asked, patched and read clear, and every "
    "material has its limit. Follow your local rules and licensed advice; this tool gives none."
)


def ask(notebook: Notebook, trial_id: str) -> None:
    """What was found so far, and a short record more."""
    st.markdown(ASKED)
    worn = worn_a_day.days_worn(notebook, trial_id)
    for one in worn:
        st.markdown(f"- {frame.plain(one.alias)}, {frame.plain(evidence_shown.local_day(one.at))}:")
        frame.quote(one.found)
    if not worn:
        st.markdown("Nobody has worn it for a day yet.")
    people = {one.id: one.alias for one in book.panelists(notebook)}
    with st.expander("Write down a day on skin"), st.form(state.form_key(f"worn {trial_id}"), border=False):
        who = st.selectbox("Who wore it", list(people), index=None, format_func=people.__getitem__)
        found = st.text_area("What was found over the day", max_chars=400)
        st.caption("A reaction is not written here: note it on the page Skin at once, it speaks of materials.")
        if st.form_submit_button("Write it down") and who is not None:
            with frame.one_sentence():
                worn_a_day.wear_for_a_day(notebook, trial_id, who, found, st.context.timezone or "UTC")
                state.clear_form(f"worn {trial_id}")
                state.say("The day on skin is written down.")
                st.rerun()
