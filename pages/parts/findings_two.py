"""Findings of a session about two trials: the verdict, its numbers, what it does not say, what was sealed, files."""

from __future__ import annotations

import streamlit as st
from parts import (
    findings_ages,
    findings_differences,
    findings_files,
    findings_looks,
    findings_places,
    findings_record,
    findings_show,
    findings_words,
    frame,
    solo_words,
)
from parts.house import House

from evaluation.actions import bench
from evaluation.actions.two_findings import TwoFindings, two_findings
from evaluation.sessions import Session


def show(here: House, session: Session) -> None:
    """Everything of one opened session; what changes how a verdict is read stands beside it."""
    found = two_findings(here.notebook, session.id)
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
