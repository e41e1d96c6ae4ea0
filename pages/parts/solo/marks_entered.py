"""Alone, the marks: given as they are, read back in words at once, and only then entered for good."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import streamlit as st
from parts import frame, state
from parts.house import House
from parts.solo import hands

from evaluation.actions import solo, solo_marks
from evaluation.actions.solo import SoloStep
from evaluation.actions.solo_table import Due
from evaluation.errors import ArgumentError
from evaluation.values.trials import trial_name
from evaluation.wording import of_solo

READ: Final = "Read each strip by its own code, wherever it lies."
OTHER: Final = "other"
NULLS: Final = "Small letters mark the strips of a null set: a is the first trial again, b the second."
ACCEPTED: Final = (
    "One letter for each strip, in the order of the codes: A, B, or ? for a strip that is neither, is missing, or "
    "cannot be read. ABA, aba and a,b,a are the same. What was mixed up is entered as it is."
)


def ask_for_marks(here: House, step: SoloStep) -> None:
    """One tap a set for what it can be, letters for anything else; each reading in words as soon as it is given."""
    st.header("Enter the marks", anchor=False)
    one, other = (frame.plain(trial_name(label)) for label in step.labels)
    st.markdown(f"{hands.reading(step.session.plan)} {READ} A is {one}, B is {other}.")
    if step.session.plan.null_sets:
        st.caption(NULLS)
    given = {due.place: _marks_of_set(step, due) for due in step.due}
    typed = {place: order for place, order in given.items() if order}
    _doubt(step, typed)
    st.markdown("Once entered they stay.")
    if st.button("Enter these marks for good", type="primary", key="solo marks enter"):
        with frame.one_sentence():
            solo.enter_marks(here.notebook, step.session.id, given)
            state.say("The marks are entered.")
            st.rerun()


def begun(step: SoloStep) -> bool:
    """True once a mark was given here: from then on they are known, and nothing is said of a set any more."""
    return bool(step.due) and bool(st.session_state.get(_known(step)))


def _known(step: SoloStep) -> str:
    return f"solo marks known {step.session.id} {step.due[0].place}"


def _marks_of_set(step: SoloStep, due: Due) -> str:
    """The marks of one set as they are given so far; "" for none."""
    name = f"solo mark {step.session.id} {due.place}"
    told = st.pills(f"Set {due.place}: {', '.join(due.codes)}", [*step.orders, OTHER], key=name, format_func=_spaced)
    order = str(told or "")
    if order == OTHER:
        order = st.text_input(f"Set {due.place}, letter by letter", max_chars=40, help=ACCEPTED, key=f"{name} other")
        st.caption(ACCEPTED)
    if order:
        st.session_state[_known(step)] = True
        _read(step, due, order)
    return order


def _read(step: SoloStep, due: Due, order: str) -> None:
    """Say in words what was given, or what would be accepted."""
    with frame.one_sentence():
        found = solo_marks.read_one(step, due, order)
        told = of_solo.read_back(due.place, due.codes, found.order, wrong_strip=found.wrong_strip)
        st.markdown(frame.plain(told))


def _doubt(step: SoloStep, typed: Mapping[int, str]) -> None:
    """Once all can be read: what cannot be as it was made."""
    try:
        found = solo_marks.read_back(step, typed)
    except ArgumentError:
        return  # said beside the set
    for doubtful in (
        of_solo.alike(solo_marks.alike(step, found)),
        of_solo.nulls_off(*solo_marks.nulls(step, found)),
    ):
        if doubtful:
            st.warning(frame.plain(doubtful))


def _spaced(order: str) -> str:
    return order if order == OTHER else hands.spaced(order)
