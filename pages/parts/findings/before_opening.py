"""Before the key is opened: that results stay hidden, and the one way to open it."""

from __future__ import annotations

import streamlit as st
from parts import frame, state
from parts.bench import progress
from parts.house import House

from evaluation.actions import findings
from evaluation.sessions import Session

HIDDEN = "Results stay hidden until the session is closed and its key is opened. Both are written to the log."


def offer_opening(here: House, session: Session) -> None:
    """What still has to happen; the button only when it can."""
    st.info(HIDDEN)
    if session.plan.solo:
        frame.page_link("solo.py", "Go to the page Alone")
        return
    if session.state != "closed":
        frame.page_link("bench.py", "Go to the bench")
        return
    people = [seat for seat in progress.seats_of(here, session.id) if seat.panelist_id is not None]
    finished = sum(seat.finished for seat in people)
    st.markdown(f"{finished} of {len(people)} people finished their ballots.")
    with st.popover("Open the key", type="primary"):
        st.markdown(
            "Once the key is open the results are seen: no answer is added to this session, no set is put aside and "
            "nobody is set apart any more. Note every deviation on the bench first. This cannot be taken back."
        )
        if st.button("Open the key now", type="primary", key="open the key"):
            with frame.one_sentence():
                findings.open_session(here.notebook, session.id)
                state.say("The key is open.")
                st.rerun()


def void() -> None:
    """A void session yields no verdict."""
    st.info("This session was declared void. Everything in it is kept; it yields no verdict.")
