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
    findings_differences,
    findings_files,
    findings_looks,
    findings_places,
    findings_profile,
    findings_record,
    findings_rounds,
    findings_show,
    findings_words,
    frame,
    house,
    solo_words,
)
from parts.house import House

from evaluation.actions import bench
from evaluation.actions.two_findings import TwoFindings, two_findings
from evaluation.sessions import Session

# Findings of methods that compare several trials are pages of their own
SEVERAL: Final[dict[str, Callable[[House, Session], None]]] = {
    "profile": findings_profile.show,
    "round": findings_rounds.show,
    "ranking": findings_rounds.show,
}
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
    if session.state == "opened" and session.plan.method in SEVERAL:
        findings_ages.warn(here, session)
        SEVERAL[session.plan.method](here, session)
    elif session.state == "opened":
        _opened(here, two_findings(here.notebook, session.id))
    elif session.state == "void":
        findings_before.void()
    else:
        findings_before.show(here, session)
    if session.state == "opened":
        findings_ages.show(here, session)
    with st.expander("Log of this session"):
        bench_log.show(here, session)


def _opened(here: House, found: TwoFindings) -> None:
    findings_show.show(found, lambda: _warn(here, found))
    st.header("What this does not say, and what it rests on", anchor=False)
    lines = (
        *(line for part in found.found for line in findings_looks.caveats(part)),
        *findings_words.caveats(found),
        *_alone(here, found),
    )
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))
    findings_places.show(found)
    with st.expander("What was sealed"):
        findings_record.show(found.context)
    with st.expander("Files"):
        findings_files.show(found)


def _warn(here: House, found: TwoFindings) -> None:
    """What changes how the verdict is read stands beside it, not among the caveats."""
    session = found.context.session
    findings_ages.warn(here, session)
    leaks = (line for part in found.found for line in findings_words.leaks(part))
    for line in (*leaks, *findings_differences.lines(here, session)):
        st.warning(frame.plain(line))


def _alone(here: House, found: TwoFindings) -> tuple[str, ...]:
    """What a session smelt alone rests on, as the person and the log have it."""
    recognised = sum("recognised" in row.deviations for part in found.found for row in part.rows)
    return tuple(solo_words.caveats(found.plan, bench.log(here.notebook, found.context.session.id), recognised))


show(house.current())
