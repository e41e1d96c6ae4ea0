"""One screen for each step of a solo session."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Final

import streamlit as st
from parts import ballot_choice, bench_rows, frame, solo_marks, solo_rest, solo_words, state
from parts.house import House

from evaluation import wording
from evaluation.actions import bench, findings, solo
from evaluation.actions.solo import ANSWER, CLOSE, LAY_OUT, MARKS, OPEN, PUT_AWAY, REST, SoloStep

Screen = Callable[[House, SoloStep], None]
LAST_OF_A_SET: Final = "recognised"  # a remark belongs to the whole set


def show(here: House, step: SoloStep) -> None:
    """The step in hand, and no other."""
    if step.number:
        st.header(solo_words.where(step), anchor=False)
    if step.look:
        st.info(solo_words.look(step))
    _SCREENS[step.kind](here, step)


def _checked(step: SoloStep, lines: Sequence[str]) -> bool:
    """A box to tick for each line; True once all are."""
    name = f"solo {step.session.id} {step.kind in (LAY_OUT, REST)} {step.number}"
    ticked = [st.checkbox(frame.plain(line), key=f"{name} {at}") for at, line in enumerate(lines)]
    return all(ticked)


# --- a set ----------------------------------------------------------------------------------------------------------


def _lay_out(here: House, step: SoloStep) -> None:
    resting, early = step.kind == REST, False
    if resting:
        solo_rest.show(here, step)
        early = st.checkbox(
            "Go on before the rest is over. This is written down.", key=f"solo early {step.session.id} {step.number}"
        )
        st.markdown("You may prepare the next set meanwhile.")
    if step.anew:
        st.info(solo_words.anew(step))
    st.html(f'{bench_rows.STYLE}<p class="mo-table">Codes of this set: <b>{bench_rows.codes(step.codes)}</b></p>')
    ready = _checked(step, solo_words.laying_out(step))
    if st.button("The set is laid out", type="primary", disabled=not ready or (resting and not early)):
        with frame.one_sentence():
            solo.laid_out(here.notebook, step.session.id, step.number, early=early)
            st.rerun()
    if not ready:  # below the button, which stays where it is
        st.caption(solo_words.TICK_FIRST)
    elif resting and not early:
        st.caption(solo_words.RESTING)


def _answer(here: House, step: SoloStep) -> None:
    asked = step.question
    assert asked is not None
    text, below = wording.ballot_question(step.session.plan.method, asked.name, step.session.plan.descriptor)
    st.caption(solo_words.which_question(step))
    st.subheader(frame.plain(text), anchor=False)
    if below:
        st.markdown(frame.plain(below))
    if asked.name == "choice":
        st.markdown("\n".join(f"{number}. {line}" for number, line in enumerate(solo_words.how(step), start=1)))
    else:
        st.html(f"{bench_rows.STYLE}<p>{bench_rows.codes(step.codes)}</p>")
    value = ballot_choice.control(asked, step.asked, text)
    remark = ""
    if asked.name == LAST_OF_A_SET:
        remark = st.text_input("Remark (optional)", max_chars=1000, key=f"solo remark {step.asked}")
    if st.button("Lock this answer", type="primary", disabled=value is None, key=f"solo lock {step.asked}"):
        with frame.one_sentence():
            solo.answer(here.notebook, step.session.id, asked.serving_id, asked.name, value or "", remark)
            st.rerun()


def _put_away(here: House, step: SoloStep) -> None:
    st.markdown("The answer is stored. Put the strips away without looking at their marks.")
    ready = _checked(step, solo_words.putting_away(step))
    if st.button("The set is put away", type="primary", disabled=not ready):
        with frame.one_sentence():
            solo.put_away(here.notebook, step.session.id, step.number)
            st.rerun()
    if not ready:
        st.caption(solo_words.TICK_FIRST)


# --- the end --------------------------------------------------------------------------------------------------------


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
    LAY_OUT: _lay_out,
    REST: _lay_out,
    ANSWER: _answer,
    PUT_AWAY: _put_away,
    CLOSE: _close,
    MARKS: solo_marks.show,
    OPEN: _open,
}
