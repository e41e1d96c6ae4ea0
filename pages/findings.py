"""Findings: nothing before the key is opened; then the verdict in one sentence, the numbers, and the caveats."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import streamlit as st
from parts import frame, house
from parts.bench import choosing, log_lines
from parts.findings import before_opening, moved, one_pair, preferred, real_ages
from parts.house import House

from evaluation.kinds import ByKind
from evaluation.sessions import Session

OPENED: Final[ByKind[Callable[[House, Session], None]]] = ByKind(
    "findings to show",
    {
        "forced choice": one_pair.show_pair,
        "preference": one_pair.show_pair,
        "profile": moved.show_what_moved,
        "round": preferred.show_what_was_preferred,
        "ranking": preferred.show_what_was_preferred,
    },
)
STATES: Final = ("sealed", "smelling", "closed", "opened", "void")
TO_READ: Final = ("closed", "opened")


def show_findings(here: House) -> None:
    """The whole page for one session: what was found only where it is opened."""
    frame.page("Findings", "What a session found, once it is closed and its key is opened.", wide=True)
    session = choosing.pick(here.notebook, STATES, "findings session", rather=TO_READ)
    if session is None:
        frame.empty(
            "No session has been sealed yet. Its verdict comes here once it was smelt, closed and opened.",
            "plan.py",
            "Plan a session",
        )
        return
    st.header(frame.plain(session.plan.title), anchor=False)
    if session.state == "opened":
        OPENED.of(session.plan.method)(here, session)
        real_ages.show_real_ages(here, session)
    elif session.state == "void":
        before_opening.void()
    else:
        before_opening.offer_opening(here, session)
    with st.expander("Log of this session"):
        log_lines.show_log(here, session)


show_findings(house.current())
