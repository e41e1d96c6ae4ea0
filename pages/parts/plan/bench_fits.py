"""On the plan page, before sealing: whether the bench could keep these times, and what a tolerance is about."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame

from evaluation.actions import would_fit
from evaluation.actions.would_fit import Way
from evaluation.serving.dipping import span
from evaluation.serving.smelling import PAUSE_SECONDS, STRIP_SECONDS, seconds_of
from evaluation.sessions import STRIP, Plan

LEAD: Final = "The bench would find no timetable for this plan with its usual settings, not even for one nose."
NO_WAY: Final = "No single change of an age or a tolerance was found that would do."
KNOWN: Final = "I know that the bench may find no timetable for this plan, and that its times are then kept by hand."
REFUSED: Final = "Before sealing, change the plan or confirm that its times are kept by hand."
WAYS: Final = {
    "ages": "strip ages in minutes: {after}",
    "tolerance": "tolerance: {after} % of the age",
    "resmell": "fresh strips at every age in place of smelling the same ones again",
}


def what_ages_are_about(plan: Plan) -> tuple[str, ...]:
    """What the sealed ages and tolerances are about, where a set takes a good part of its age to smell."""
    if plan.solo or STRIP not in plan.media or plan.codes_a_set == 1:
        return ()
    apart = (plan.codes_a_set - 1) * (STRIP_SECONDS + PAUSE_SECONDS)
    young = plan.ages[0]
    if 10 * apart <= young.seconds:
        return ()
    return (
        f"One set takes about {span(seconds_of(plan))} to smell. {span(young.seconds)} ± "
        f"{span(young.tolerance_seconds)} is the age at its first strip; with the pauses the last is smelt about "
        f"{span(apart)} later.",
    )


def what_would_fit(plan: Plan) -> str:
    """One sentence that names the fields to change and what would stand in them; "" where the bench finds room."""
    if not would_fit.refused(plan):
        return ""
    found = would_fit.ways(plan)
    return f"{LEAD} {_any(found) if found else NO_WAY}"


def _any(found: tuple[Way, ...]) -> str:
    named = "; or ".join(WAYS[one.field].format(after=one.after) for one in found[:3])
    return f"This would do: {named}."


def confirmed(plan: Plan, key: str) -> bool:
    """Draw what is to be known before sealing; False while the conductor has not confirmed it in words."""
    for line in what_ages_are_about(plan):
        st.caption(frame.plain(line))
    sentence = what_would_fit(plan)
    if not sentence:
        return True
    st.subheader("No timetable", anchor=False)
    st.warning(frame.plain(sentence))
    return st.checkbox(KNOWN, key=f"{key} no timetable")
