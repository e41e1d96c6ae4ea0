"""Alone, what waits and when: a rest, strips that age, the tap that begins a smelling, and a tap that came late."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final
from zoneinfo import ZoneInfo

import streamlit as st
from parts import countdown, frame, state, typed_values
from parts.house import House
from parts.solo import steps_told

from evaluation.actions import solo
from evaluation.actions.solo import SMELL, SoloStep

SMELL_NOW: Final = "Smell now"
ANYWAY: Final = "Smell now anyway"
TAPPED_LATE: Final = "The tap “Dipped” came late"


def rest(step: SoloStep) -> bool:
    """A rest, counted in the browser; True where the person goes on before it is over."""
    label = steps_told.resting(step, clock(step, step.next_at))
    countdown.draw("solo-rest", label, step.rest_ms, "Rested", turn=step.next_at // 1000)
    st.caption(steps_told.why_to_rest(step))
    early = st.checkbox(steps_told.EARLY, key=f"solo early {step.session.id} {step.number}")
    st.markdown(steps_told.MEANWHILE)
    return early


def waiting(step: SoloStep) -> None:
    """All sets whose strips age, the next one with a countdown."""
    if not step.waiting:
        return
    first = step.waiting[0]
    st.divider()
    st.markdown("**Waiting**")
    left = max(0, first.due_at - step.moment)
    countdown.draw(
        "solo-waiting", steps_told.to_smell(first, clock(step, first.due_at)), left, "Now", turn=first.due_at // 1000
    )
    for one in step.waiting[1:]:
        st.markdown(f"- {frame.plain(steps_told.to_smell(one, clock(step, one.due_at)))}")


def smell(here: House, step: SoloStep) -> None:
    """Strips that age until they are due, and the tap that begins; a wrong age is asked about once."""
    first = next(one for one in step.waiting if one.place == step.number)
    st.html(steps_told.codes(step))
    label = steps_told.to_smell(first, clock(step, step.next_at or first.due_at))
    if step.kind == SMELL:
        st.markdown(f"**{frame.plain(steps_told.set_is_due(step))}**")
    else:
        countdown.draw("solo-waiting", label, step.rest_ms, "Now", turn=step.next_at // 1000)
    if step.rest:
        st.caption(steps_told.why_to_rest(step))
    _begin(here, step)
    for one in step.waiting:
        if one.place != step.number:
            st.markdown(f"- {frame.plain(steps_told.to_smell(one, clock(step, one.due_at)))}")
    _tapped_late(here, step)


def _begin(here: House, step: SoloStep) -> None:
    """The tap, or the question that comes before it."""
    key = f"solo ask {step.session.id} {step.number} {step.anew}"
    late = step.kind == SMELL and step.judged is not None and bool(step.judged.word)
    asked = step.judged.word if late and step.judged is not None else st.session_state.get(key, "")
    if asked:
        st.warning(frame.plain(steps_told.ask_back(step)))
    label = ANYWAY if asked else SMELL_NOW
    if st.button(label, type="primary" if step.kind == SMELL else "secondary", key=f"solo smell {step.number} {asked}"):
        with frame.one_sentence():
            st.session_state[key] = solo.smell(here.notebook, step.session.id, step.number, asked)
            st.rerun()


def _tapped_late(here: House, step: SoloStep) -> None:
    with st.expander(TAPPED_LATE), st.form(state.form_key("solo dip"), border=False):
        minutes = st.text_input("Minutes by which it was dipped before the tap", "1", max_chars=6)
        if st.form_submit_button("Correct it"):
            with frame.one_sentence():
                before = typed_values.number("minutes", minutes, "1 or 0.5")
                solo.dipped_before(here.notebook, step.session.id, step.number, before)
                state.clear_form("solo dip")
                state.say("The age counts from the time you gave; the log says so.")
                st.rerun()


def clock(step: SoloStep, instant: int) -> str:
    """A time of day where the session is held; with the day where that is another one."""
    zone = ZoneInfo(step.session.plan.zone)
    at = datetime.fromtimestamp(instant / 1000, UTC).astimezone(zone)
    today = datetime.fromtimestamp(step.moment / 1000, UTC).astimezone(zone).date()
    return f"{at:%H:%M}" if at.date() == today else f"{at:%d %b %H:%M}"
