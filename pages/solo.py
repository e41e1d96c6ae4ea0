"""Alone: one person prepares, smells and answers, led through blinding oneself step by step."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, house, small_tables
from parts.bench import choosing, log_lines, steps
from parts.book import pickers
from parts.decide import by_worth
from parts.house import House
from parts.solo import screens, slips, steps_told

from evaluation import wording
from evaluation.actions import book, solo
from evaluation.actions.solo import SoloStep

# Choices as tall as a thumb (WCAG 2.5.5 names 44 px) and codes that can be read from the table.
STYLE: Final = """<style>
[data-testid="stMain"] [data-testid="stButtonGroup"] [data-variant],
[data-testid="stMain"] [data-testid="stRadioOption"] {min-height: 44px; align-items: center;}
[data-testid="stMain"] [data-testid="stButtonGroup"] [data-variant] p {font-size: 1.2rem; font-weight: 600;
  font-variant-numeric: tabular-nums;}
[data-testid="stMain"] [data-testid="stCheckbox"] p {font-size: 1rem;}
</style>"""
PREPARING: Final = (solo.NEEDED, solo.MAKE, solo.LAY_OUT, solo.REST)
SMELLING: Final = (solo.WAIT, solo.SMELL, solo.ANSWER, solo.PUT_AWAY)
STATES: Final = ("sealed", "smelling", "closed")


def show_page_alone(here: House) -> None:
    """The whole page: the one step in hand, and what else may be done about the session."""
    frame.page("Alone", steps_told.LEAD, caution=True)
    session = choosing.pick(here.notebook, STATES, "solo session", solo=True)
    if session is None:
        frame.empty(
            "No session to be smelt alone is waiting. Plan one for a single person who prepares and smells, seal it, "
            "and its steps come here.",
            "plan.py",
            "Plan a session",
        )
        _next_pairs(here)
        return
    step = solo.next_step(here.notebook, session.id)
    if step.kind in PREPARING:
        st.caption(steps_told.CAUTIONS)
    _head(step)
    screens.show_step(here, step)
    if step.kind in SMELLING:  # read before dipping: now the step comes first
        st.caption(steps_told.CAUTIONS)
    _further(here, step)


def _next_pairs(here: House) -> None:
    """Which trials one nose would smell next, by their worth: where something to smell is looked for."""
    brief = pickers.brief(here.notebook)
    if brief is None or len(book.trials(here.notebook, brief.id)) < 2:
        return
    st.header("What to smell next with one nose", anchor=False)
    st.fragment(by_worth.propose)(here.notebook, brief.id, alone=True)


def _head(step: SoloStep) -> None:
    plan = step.session.plan
    named = f" · more {frame.plain(plan.descriptor)}" if plan.descriptor else ""
    st.markdown(f"**{frame.plain(plan.title)}** · {wording.method_name(plan.method)}{named}")
    st.html(f"{small_tables.STYLE}{STYLE}<p>{small_tables.progress_bar(step.put_away, step.sets)}</p>")


def _further(here: House, step: SoloStep) -> None:
    """What is not part of the way: a slip, stopping early, giving up, the log."""
    with st.expander("Something did not go by the plan"):
        slips.ask_for_slips(here, step)
    smelling = step.session.state == "smelling"
    with st.expander("Stop early" if smelling else "Give this session up"):
        if smelling:
            st.markdown("Sets not smelt stay missing; they are not counted as wrong. No answer is added afterwards.")
            if st.button("Close the session now", key="solo stop"):
                screens.close(here, step)
        steps.void(here, step.session)
    with st.expander("Log of this session"):
        log_lines.show_log(here, step.session)


show_page_alone(house.current())
screens.show_receipts()
