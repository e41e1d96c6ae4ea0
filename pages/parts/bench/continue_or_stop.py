"""Sequential sessions: continue or stop, and nothing about how many answers were right. The panel never sees it."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame
from parts.bench.progress import EVERY
from parts.doors import visitor
from parts.house import House

from evaluation.actions import bench, looks
from evaluation.actions.looks import LookStatus
from evaluation.errors import StateError
from evaluation.judging.sequences import CONTINUE
from evaluation.sessions import Session
from evaluation.wording import of_looks

_KEPT: Final = "look kept"


def show_newest_look(here: House, session: Session) -> None:
    """The state of the newest look; refreshes itself while answers may come in. Nothing where all is judged once."""
    if not session.plan.look_every:
        return
    every = EVERY if session.state == "smelling" else None
    st.fragment(_pulse, run_every=every)(here, session)


def _pulse(here: House, session: Session) -> None:
    visitor.require("conductor")
    try:
        now = _status(here, session.id)
    except StateError as error:  # opened, or given up, in another window: this page follows at once
        frame.refuse(error)
        return
    words = f"**{of_looks.state_words(now.state)}.** "
    words += of_looks.progress_words(now.assessments, now.next_at, now.planned_end)
    if now.state == CONTINUE:
        st.info(words)
        st.caption(of_looks.NOTE_FIRST)
        return
    st.success(words)
    if session.state == "smelling":
        st.markdown(of_looks.CLOSE_NOW)


def _status(here: House, session_id: str) -> LookStatus:
    """The status at the newest line of the log; asked again only when the log has grown."""
    newest = bench.last_event(here.notebook, session_id)
    kept = st.session_state.get(_KEPT)
    if kept is None or kept[:2] != (session_id, newest):
        kept = (session_id, newest, looks.status(here.notebook, session_id))
        st.session_state[_KEPT] = kept
    status: LookStatus = kept[2]
    return status
