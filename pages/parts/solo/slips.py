"""Alone, what did not go by the plan: a set spoilt before its answer is made anew; anything else is noted as it was."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, state
from parts.bench import steps
from parts.house import House
from parts.solo import marks_entered

from evaluation import wording
from evaluation.actions import bench, solo, solo_slips
from evaluation.actions.solo import SoloStep
from evaluation.actions.solo_slips import SetSoFar, Slips

SEAT: Final = 1  # alone there is one
ALL_SETS: Final = "All sets"
TOO_LATE: Final = "Nothing can be noted now: no set is on the table whose marks are still covered."


def ask_for_slips(here: House, step: SoloStep) -> None:
    """Both forms, as far as there is a set for them; the set in hand comes first."""
    now = solo_slips.slips(here.notebook, step.session.id)
    if marks_entered.begun(step):
        st.markdown(TOO_LATE)
        return
    if now.anew:
        _spoilt(here, step, now)
    if now.sets:
        _note(here, step, now)
    elif not now.anew:
        st.markdown(TOO_LATE)


def _spoilt(here: House, step: SoloStep, now: Slips) -> None:
    one = f"Set {now.anew[0]}" if len(now.anew) == 1 else "A set"
    st.markdown(f"**{one} is spoilt before it is answered**")
    if not now.spare_codes:
        st.markdown(solo.NO_SPARE_CODES)
        return
    left = "one set" if now.spare_codes == 1 else f"{now.spare_codes} sets"
    st.markdown(
        f"It is made anew under other codes; the spoilt one stays in the log, with your reason, and counts nowhere. "
        f"Spare codes are left for {left}."
    )
    with st.form(state.form_key("solo spoilt"), border=False):
        place = now.anew[0]
        if len(now.anew) > 1:
            place = st.selectbox("Which set is spoilt", now.anew, format_func=lambda one: f"Set {one}")
        reason = st.text_input("What happened to it", max_chars=400)
        if st.form_submit_button("Make it anew" if len(now.anew) > 1 else f"Make set {place} anew"):
            with frame.one_sentence():
                solo.spoilt(here.notebook, step.session.id, place, reason)
                state.clear_form("solo spoilt")
                state.say(f"Set {place} is made anew, under other codes.")
                st.rerun()


def _note(here: House, step: SoloStep, now: Slips) -> None:
    st.markdown("**Something else happened**")
    kept_out = ", ".join(step.session.plan.set_apart)
    st.markdown(
        f"Note it before the marks of the set are uncovered. Sealed rule: these leave the main analysis: {kept_out}. "
        "The findings show the count both ways."
    )
    sets = {one.serving_id: one for one in now.sets}
    with st.form(state.form_key("solo slip"), border=False):
        picked = st.selectbox(
            "Which set",
            [*sets, *([ALL_SETS] if now.all_sets else [])],
            format_func=lambda one: _named(sets[one]) if one in sets else ALL_SETS,
        )
        kind = st.selectbox("What happened", solo_slips.KINDS, index=None, format_func=steps.HAPPENED.__getitem__)
        reason = st.text_input("Reason", max_chars=400)
        noted = st.form_submit_button("Write it down")
    if noted and not (kind and reason.strip()):
        frame.refuse("Choose what happened and give the reason: nothing is written down yet.")
    elif noted:
        with frame.one_sentence():
            serving_id = picked if picked in sets else ""
            bench.note_deviation(here.notebook, step.session.id, SEAT, kind or "", reason, serving_id)
            state.clear_form("solo slip")
            state.say(f"Noted for {f'set {sets[serving_id].place}' if serving_id else 'all sets'}: {kind}.")
            st.rerun()


def _named(one: SetSoFar) -> str:
    """A set by its place, its codes, and what was locked."""
    locked = f"locked {wording.option_label('choice', one.locked)}" if one.locked else "not answered yet"
    return f"Set {one.place} ({', '.join(one.codes)}): {locked}"
