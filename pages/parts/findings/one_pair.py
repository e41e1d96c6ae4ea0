"""Findings of a session about two trials: the verdict, its numbers, what it does not say, what was sealed, files."""

from __future__ import annotations

import streamlit as st
from parts import frame
from parts.book import change_told, pinned_on
from parts.findings import (
    downloads,
    facts_told,
    path_of_looks,
    places_chosen,
    real_ages,
    smelt_besides,
    verdict_first,
    what_was_sealed,
)
from parts.house import House
from parts.solo import steps_told

from evaluation.actions import bench
from evaluation.actions.two_findings import TwoFindings, two_findings
from evaluation.sessions import Session


def show_pair(here: House, session: Session) -> None:
    """Everything of one opened session; what changes how a verdict is read stands beside it."""
    found = two_findings(here.notebook, session.id)
    verdict_first.show_verdicts(found, lambda: _warn(here, found))
    if found.context.series:
        st.markdown(frame.plain(found.context.series))
        frame.page_link("series.py", "See what the series says")
    st.header("What this does not say, and what it rests on", anchor=False)
    lines = (
        *(line for part in found.found for line in path_of_looks.caveats(part)),
        *facts_told.caveats(found),
        *_alone(here, found),
    )
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))
    places_chosen.show_places_chosen(found)
    change_told.show_changes_of(here.notebook, found.context.session.plan, found.context.names)
    with st.expander("What was sealed"):
        what_was_sealed.show_seal(found.context)
    with st.expander("Files"):
        downloads.list_files(found)


def _warn(here: House, found: TwoFindings) -> None:
    """What changes how the verdict is read stands beside it, not among the caveats."""
    session = found.context.session
    real_ages.warn(here, session)
    leaks = (line for part in found.found for line in facts_told.leaks(part))
    for line in (*leaks, *smelt_besides.other_differences(here, session)):
        st.warning(frame.plain(line))
    pinned_on.tell_pinned(here.notebook, found)


def _alone(here: House, found: TwoFindings) -> tuple[str, ...]:
    """What a session smelt alone rests on, as the person and the log have it."""
    recognised = sum("recognised" in row.deviations for part in found.found for row in part.rows)
    return tuple(steps_told.caveats(found.plan, bench.log(here.notebook, found.context.session.id), recognised))
