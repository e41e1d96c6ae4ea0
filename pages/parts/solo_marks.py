"""Alone, the marks: typed as they are, read back in words, and only then entered for good."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import streamlit as st
from parts import frame, state
from parts.house import House

from evaluation import wording_solo
from evaluation.actions import solo, solo_marks
from evaluation.actions.solo import SoloStep

READ: Final = "Uncover the marks set by set, and read each strip by its own code, wherever it lies."
ACCEPTED: Final = (
    "One letter for each strip, in the order of the codes: A, B, or ? for a strip that is neither, is missing, or "
    "cannot be read. ABA, aba and a,b,a are the same. What was mixed up is entered as it is."
)


def show(here: House, step: SoloStep) -> None:
    """The form, or what was typed into it in words."""
    st.header("Enter the marks", anchor=False)
    typed: Mapping[int, str] = st.session_state.get(_key(step), {})
    if typed and st.session_state.get(_key(step, "read")):
        _read_back(here, step, typed)
    else:
        _form(step, typed)


def begun(step: SoloStep) -> bool:
    """True once marks were typed here: from then on they are known, and nothing is said of a set any more."""
    return bool(step.due) and bool(st.session_state.get(_key(step)))


def _key(step: SoloStep, what: str = "typed") -> str:
    return f"solo marks {what} {step.session.id} {step.due[0].place}"


def _form(step: SoloStep, typed: Mapping[int, str]) -> None:
    one, other = (frame.plain(label) for label in step.labels)
    st.markdown(f"{READ} A is trial {one}, B is trial {other}.")
    st.caption(ACCEPTED)
    with st.form(f"solo marks {step.due[0].place}"):
        given = {
            due.place: st.text_input(
                f"Set {due.place}: {', '.join(due.codes)}",
                typed.get(due.place, ""),
                max_chars=40,
                placeholder=f"such as {' '.join(step.orders[0])}",
                key=f"solo mark {step.session.id} {due.place}",
            )
            for due in step.due
        }
        entered = st.form_submit_button("Read these marks back", type="primary")
    if entered:
        with frame.one_sentence():
            solo_marks.read_back(step, given)
            st.session_state[_key(step)], st.session_state[_key(step, "read")] = given, True
            st.rerun()


def _read_back(here: House, step: SoloStep, typed: Mapping[int, str]) -> None:
    found = solo_marks.read_back(step, typed)
    st.markdown("Is this what the marks say? Once entered it stays.")
    said = (wording_solo.read_back(one.place, one.codes, one.order, wrong_strip=one.wrong_strip) for one in found)
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in said))
    doubtful = wording_solo.alike(solo_marks.alike(step, found))
    if doubtful:
        st.warning(frame.plain(doubtful))
    if st.button("Enter these marks for good", type="primary", key="solo marks enter"):
        with frame.one_sentence():
            solo.enter_marks(here.notebook, step.session.id, typed)
            state.say("The marks are entered.")
            st.rerun()
    if st.button("Correct them", key="solo marks correct"):
        st.session_state[_key(step, "read")] = False
        st.rerun()
