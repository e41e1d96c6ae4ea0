"""Findings: nothing before the key is opened; then the verdict in one sentence, the numbers, and the caveats."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import streamlit as st
from parts import (
    bench_choose,
    bench_log,
    findings_ages,
    findings_before,
    findings_profile,
    findings_rounds,
    findings_two,
    frame,
    house,
)
from parts.house import House

from evaluation.kinds import ByKind
from evaluation.sessions import Session

OPENED: Final[ByKind[Callable[[House, Session], None]]] = ByKind(
    "findings to show",
    {
        "forced choice": findings_two.show,
        "preference": findings_two.show,
        "profile": findings_profile.show,
        "round": findings_rounds.show,
        "ranking": findings_rounds.show,
    },
)
STATES: Final = ("sealed", "smelling", "closed", "opened", "void")


def show(here: House) -> None:
    frame.page("Findings", "What a session found, once it is closed and its key is opened.", wide=True)
    session = bench_choose.pick(here.notebook, STATES, "findings session")
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
        findings_ages.show(here, session)
    elif session.state == "void":
        findings_before.void()
    else:
        findings_before.show(here, session)
    with st.expander("Log of this session"):
        bench_log.show(here, session)


show(house.current())
