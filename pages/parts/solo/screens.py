"""One screen for each step of a solo session."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

import streamlit as st
from parts import frame, state
from parts.ballot import choice, receipts_kept
from parts.house import House
from parts.solo import marks_entered, steps_told, waits

from evaluation import wording
from evaluation.actions import bench, findings, solo
from evaluation.actions.solo import (
    ANSWER,
    CLOSE,
    LAY_OUT,
    MAKE,
    MARKS,
    NEEDED,
    OPEN,
    PUT_AWAY,
    REST,
    SMELL,
    WAIT,
    SoloStep,
)
from evaluation.actions.solo_table import Making
from evaluation.alone import ways
from evaluation.sessions import CLIPS, Question

Screen = Callable[[House, SoloStep], None]
_MAKING: Final = "solo making"
_RECEIPT: Final = "solo receipt"


def show_receipts() -> None:
    """What this browser keeps of the answers locked in it, the newest one too."""
    receipts_kept.show_box(steps_told.RECEIPTS, steps_told.RECEIPTS_TEXT, st.session_state.get(_RECEIPT, ""))


def show_step(here: House, step: SoloStep) -> None:
    """The step in hand, and no other."""
    step = _kept_making(step)
    if step.number:
        st.header(steps_told.which_sets(step), anchor=False)
    if step.look:
        st.info(steps_told.newest_look(step))
    first = steps_told.first_of_all(step)
    if first:
        st.info(frame.plain(first))
    _SCREENS[step.kind](here, step)
    if step.kind == SMELL:
        _dipped_meanwhile(here, step)


def _kept_making(step: SoloStep) -> SoloStep:
    """What hands have begun to make stays before them until it is dipped, or other strips are due."""
    if step.kind == MAKE:
        st.session_state[_MAKING] = step.number
    held = _held(step)
    if step.kind != WAIT or held is None:
        return step
    return replace(step, kind=MAKE, number=held.place, making=held, age_seconds=held.age_seconds, rest="")


def _held(step: SoloStep) -> Making | None:
    return next((one for one in step.may_make if one.place == st.session_state.get(_MAKING)), None)


def _dipped_meanwhile(here: House, step: SoloStep) -> None:
    """Other strips are due while hands are at a dip: its tap is not lost."""
    held = _held(step)
    if held is not None and st.button(steps_told.dipped_meanwhile(held), key=f"solo made {held.place}"):
        with frame.one_sentence():
            solo.dipped(here.notebook, step.session.id, held.place)
            st.rerun()


def _steps(lines: Sequence[str]) -> None:
    """What to do, one numbered line a step."""
    st.markdown("\n".join(f"{number}. {frame.plain(line)}" for number, line in enumerate(lines, start=1)))


def _things(lines: Sequence[str]) -> None:
    """What to have at hand."""
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in lines))


# --- made ready -------------------------------------------------------------------------------------------------------


def _needed(here: House, step: SoloStep) -> None:
    st.header(steps_told.NEEDED, anchor=False)
    _things(steps_told.needed(step))
    st.header(steps_told.FILL, anchor=False)
    _steps(steps_told.filling(step))
    if st.button(steps_told.FILLED, type="primary", key="solo ready"):
        with frame.one_sentence():
            solo.ready(here.notebook, step.session.id)
            st.rerun()


def _make(here: House, step: SoloStep) -> None:
    """Mark, dip, tap; or, where no dip is tapped, all of it until the strips lie under their codes."""
    resting, early = step.kind == REST, False
    if resting:
        early = waits.rest(step)
    if step.anew:
        st.info(frame.plain(steps_told.to_make_anew(step)))
    if step.first and step.session.plan.preparation == CLIPS:  # by vials it was told before they were filled
        st.subheader(steps_told.NEEDED, anchor=False)
        _things(steps_told.needed(step))
        st.subheader(steps_told.MAKE, anchor=False)
    _steps(steps_told.making(step))
    timed = ways.timed(step.session.plan)
    button, act = (steps_told.DIPPED, solo.dipped) if timed else (steps_told.laid_out(step), solo.laid_out)
    if st.button(button, type="primary", disabled=resting and not early, key=f"solo made {step.number}"):
        with frame.one_sentence():
            act(here.notebook, step.session.id, step.number, early=early)
            st.rerun()
    st.caption(steps_told.below_making(step, early=early))
    waits.waiting(step)


def _lay_out(here: House, step: SoloStep) -> None:
    if not ways.timed(step.session.plan):
        _make(here, step)
        return
    _steps(steps_told.laying(step))
    if st.button(steps_told.laid_out(step), type="primary", key=f"solo laid {step.number}"):
        with frame.one_sentence():
            solo.laid_out(here.notebook, step.session.id, step.number)
            st.rerun()
    waits.waiting(step)


# --- smelt ------------------------------------------------------------------------------------------------------------


def _answer(here: House, step: SoloStep) -> None:
    """All questions of a set on one screen, locked together."""
    if step.judged is not None and step.judged.word:
        st.warning(frame.plain(steps_told.off_age(step.judged)))
    st.html(steps_told.codes(step))
    _steps(steps_told.how_to_smell(step))
    values = {asked.name: _asked(step, number, asked) for number, asked in enumerate(step.asked)}
    remark = st.text_input("Remark (optional)", max_chars=1000, key=f"solo remark {_name(step)}")
    given = {name: value for name, value in values.items() if value is not None}
    ready = len(given) == len(values)
    if st.button("Lock this answer", type="primary", disabled=not ready, key=f"solo lock {_name(step)}"):
        with frame.one_sentence():
            told = solo.answer_set(here.notebook, step.session.id, step.asked[0].serving_id, given, remark)
            st.session_state[_RECEIPT] = told.receipt
            st.rerun()
    if not ready:
        st.caption(steps_told.ANSWER_ALL)


def _asked(step: SoloStep, number: int, asked: Question) -> str | None:
    plan = step.session.plan
    text, below = wording.ballot_question(plan.method, asked.name, plan.descriptor)
    st.subheader(frame.plain(text), anchor=False)
    if below:
        st.markdown(frame.plain(below))
    return choice.control(asked, 10 * _name(step) + number, text)


def _name(step: SoloStep) -> int:
    """A number of its own for each set, and for the same set made anew: names of controls hold nothing else."""
    return 20 * step.number + step.anew


def _put_away(here: House, step: SoloStep) -> None:
    st.markdown(steps_told.STORED)
    _steps(steps_told.putting_away(step))
    if st.button("The set is put away", type="primary", key=f"solo away {step.number}"):
        with frame.one_sentence():
            solo.put_away(here.notebook, step.session.id, step.number)
            st.rerun()
    waits.waiting(step)


# --- the end ----------------------------------------------------------------------------------------------------------


def _close(here: House, step: SoloStep) -> None:
    st.markdown(
        f"{step.put_away} of {step.sets} sets are smelt and put away. After closing no answer is added; then the marks "
        "are uncovered and entered."
    )
    if st.button("Close the session", type="primary", key="solo close"):
        close(here, step)


def close(here: House, step: SoloStep) -> None:
    """Take no more answers."""
    with frame.one_sentence():
        bench.close(here.notebook, step.session.id)
        state.say("The session is closed.")
        st.rerun()


def _open(here: House, step: SoloStep) -> None:
    st.markdown(
        "All marks are entered. Opening counts the answers and gives the verdict; nothing can be added afterwards."
    )
    if st.button("Open the session", type="primary", key="solo open"):
        with frame.one_sentence():
            findings.open_session(here.notebook, step.session.id)
            state.choose_session(step.session.id)
            state.say("The session is open.")
            st.switch_page("findings.py")


_SCREENS: Final[dict[str, Screen]] = {
    NEEDED: _needed,
    MAKE: _make,
    LAY_OUT: _lay_out,
    REST: _make,
    WAIT: waits.smell,
    SMELL: waits.smell,
    ANSWER: _answer,
    PUT_AWAY: _put_away,
    CLOSE: _close,
    MARKS: marks_entered.ask_for_marks,
    OPEN: _open,
}
