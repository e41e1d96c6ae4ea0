"""Bottles that are in the trial book already: the weighing sheet, when all were mixed, and on to the plan."""

from __future__ import annotations

from typing import Final
from urllib.parse import urlencode

import streamlit as st
from parts import frame, small_tables, state, typed_values

from evaluation.actions import separating
from evaluation.errors import MouilletteError
from evaluation.sessions import Session
from evaluation.store import Notebook
from evaluation.wording.of_separations import made_words

NOW_OR_NEVER: Final = (
    "Write it before you seal: afterwards it cannot be written any more, and every report will say “not recorded”."
)

said: Final = small_tables.as_html


def show_mixed(notebook: Notebook, brief_id: str) -> None:
    """Every session of the brief that separates changes and is not smelt yet, the newest open."""
    found = separating.to_smell(notebook, brief_id)
    if found:
        st.header("Bottles to weigh and to smell", anchor=False)
    for place, one in enumerate(found):
        with st.expander(frame.plain(one.plan.title), expanded=place == 0):
            _one_session(notebook, one)


def _one_session(notebook: Notebook, session: Session) -> None:
    separation = separating.separation_of(session.plan)
    smelt = separating.bottles_of(notebook, session)
    rows = [
        (label, made_words(made, separation.changes), "" if mixed is None else mixed.isoformat())
        for (label, mixed), made in zip(smelt, separation.made, strict=True)
    ]
    small_tables.table(("Bottle", "Holds", "Mixed"), [[said(cell) for cell in row] for row in rows])
    _sheet(notebook, session)
    if session.state != "draft":
        st.markdown("The session is sealed: its days and strengths stay as they were served.")
        return
    _weighed(notebook, session)
    if st.button("Plan the session", type="primary", key=f"plan {session.id}"):
        state.choose_session(session.id, session.plan.brief_id)
        st.switch_page("plan.py")


def _sheet(notebook: Notebook, session: Session) -> None:
    st.subheader("1. Weigh by the sheet", anchor=False)
    left, right = st.columns(2)
    grams = left.text_input("Concentrate in each flask, g", "10", key=f"grams {session.id}")
    step = right.text_input("Step of the scale, g", "0.001", key=f"step {session.id}")
    _weighable(notebook, session, grams, step)
    links = []
    for form, words in (("pdf", "Weighing sheet (PDF)"), ("html", "to print from the browser")):
        address = f"/sheets/{session.id}/weighing?{urlencode({'form': form, 'grams': grams, 'step': step})}"
        links.append(f'<a href="{said(address)}" target="_blank">{said(words)}</a>')
    st.html(f"<p>{' · '.join(links)}</p>")
    st.caption("It tells what each flask holds: keep it from everybody who smells.")


def _weighable(notebook: Notebook, session: Session, grams: str, step: str) -> None:
    """From how many grams on this scale will do; the reason why no sheet is made where there is one."""
    from evaluation.sheets import printing  # the drawing behind it is heavy: only where bottles are to be weighed

    try:
        amounts = (typed_values.number("grams", grams, "10"), typed_values.number("step of the scale", step, "0.001"))
        for line in printing.weighable(notebook, session.id, *amounts):
            st.caption(frame.plain(line))
    except MouilletteError as refused:
        st.caption(frame.plain(str(refused)))


def _weighed(notebook: Notebook, session: Session) -> None:
    st.subheader("2. Write down when", anchor=False)
    with st.form(f"weighed {session.id}", border=False):
        left, middle, right = st.columns(3)
        mixed = left.date_input("All mixed on", None, key=f"mixed {session.id}")
        diluted = middle.date_input("All diluted on", None, key=f"diluted {session.id}")
        strength = right.text_input("Strength of all, % w/w", key=f"strength {session.id}")
        st.caption(NOW_OR_NEVER)
        if st.form_submit_button("Write down for all bottles"):
            with frame.one_sentence():
                separating.weighed(notebook, session.id, mixed, diluted, typed_values.strength(strength))
                state.say("The days and the strength stand with every bottle.")
                st.rerun()
    st.subheader("3. Smell them blind", anchor=False)
