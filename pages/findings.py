"""Findings: nothing before the key is opened; then the verdict in one sentence, the numbers, and the caveats."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import (
    bench_choose,
    bench_log,
    findings_before,
    findings_files,
    findings_looks,
    findings_record,
    findings_show,
    findings_words,
    frame,
    house,
    solo_words,
)
from parts.house import House

from evaluation.actions import bench, book, findings, plan
from evaluation.actions.findings import Findings
from evaluation.sessions import SKIN, STRIP, Session
from evaluation.wording import mismatch as difference_words

STATES: Final = ("sealed", "smelling", "closed", "opened", "void")
SMELT: Final = ("strength", "batch")  # how old a solution was counts on the day of smelling, not today


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
        _opened(here, findings.findings(here.notebook, session.id))
    elif session.state == "void":
        findings_before.void()
    else:
        findings_before.show(here, session)
    with st.expander("Log of this session"):
        bench_log.show(here, session)


def _opened(here: House, found: Findings) -> None:
    findings_show.show(found)
    st.header("What this does not say, and what it rests on", anchor=False)
    lines = (
        *findings_looks.caveats(found),
        *findings_words.caveats(found),
        *_alone(here, found),
        *_differences(here, found.session),
    )
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))
    with st.expander("What was sealed"):
        findings_record.show(found)
    with st.expander("Files"):
        findings_files.show(found)


def _alone(here: House, found: Findings) -> tuple[str, ...]:
    """What a session smelt alone rests on, as the person and the log have it."""
    recognised = sum("recognised" in row.deviations for row in found.rows)
    return tuple(solo_words.caveats(found.session.plan, bench.log(here.notebook, found.session.id), recognised))


def _differences(here: House, session: Session) -> tuple[str, ...]:
    """What besides the change could be smelt, as the trial book has it."""
    sealed = session.plan
    differing = plan.compare(here.notebook, sealed.first_trial_id, sealed.second_trial_id, sealed.zone)
    told = [difference_words(one) for one in differing if one.kind in SMELT and one.kind in _on(sealed.media)]
    if SKIN in sealed.media:
        first, second = (book.trial(here.notebook, one) for one in (sealed.first_trial_id, sealed.second_trial_id))
        if first.skin_strength_percent != second.skin_strength_percent:
            told.append("The two were on skin at different strengths: what is smelt may be that.")
    return tuple(told)


def _on(media: tuple[str, ...]) -> tuple[str, ...]:
    """The strength smelt on strips says nothing about skin."""
    return SMELT if STRIP in media else tuple(kind for kind in SMELT if kind != "strength")


show(house.current())
