"""Panel: the people who smell, under an alias and with as little else as can be."""

from __future__ import annotations

import streamlit as st
from parts import frame, house, state
from parts.book import kept_of_people, panel_material
from parts.house import House

from evaluation.actions import book
from evaluation.serving import cautions
from evaluation.store import Notebook
from evaluation.store.kept_book import ERASED_ALIAS
from evaluation.values.people import Panelist

PRIVACY = (
    "People are kept under an alias only: no name, no address, nothing that is not needed to run a session. "
    "Write nothing about health here, neither allergies nor illness nor medicines. "
    f"{cautions.ASK_BEFORE_STRIPS} Who is to have trials on skin is asked on the page Skin, which says what it keeps."
)


def show_panel(here: House) -> None:
    """The whole page: who smells, who left, who may miss a material, and what is kept of each."""
    notebook = here.notebook
    frame.page("Panel", "Who smells in your sessions. One person is enough to start with: your own nose.")
    st.info(PRIVACY)
    everybody = book.panelists(notebook, active_only=False)
    people = tuple(each for each in everybody if each.alias != ERASED_ALIAS)
    active = [each for each in people if each.active]
    away = [each for each in people if not each.active]
    _add(notebook)
    _list(notebook, active)
    _correct(notebook, people)
    panel_material.ask_who_misses_a_material(notebook)
    if away:
        with st.expander(f"Inactive ({len(away)})"):
            _rows(notebook, away)
    if everybody:
        kept_of_people.show_what_is_kept(here, everybody)


def _list(notebook: Notebook, active: list[Panelist]) -> None:
    if not active:
        frame.empty("Nobody is on the panel yet. Add people under an alias; the plan page offers those who are active.")
        return
    st.header(f"On the panel: {len(active)}", anchor=False)
    _rows(notebook, active)


def _rows(notebook: Notebook, people: list[Panelist]) -> None:
    for each in people:
        note = f"  \n:small[{frame.plain(each.note)}]" if each.note else ""
        with frame.row():
            st.markdown(f"**{frame.plain(each.alias)}**{note}", width="stretch")
            pressed = st.button("Set inactive" if each.active else "Set active", key=f"active {each.id}")
        if pressed:
            with frame.one_sentence():
                book.change_panelist(notebook, each.id, active=not each.active)
                state.say(f"{each.alias} is now {'inactive' if each.active else 'active'}.")
                st.rerun()


def _add(notebook: Notebook) -> None:
    st.subheader("Add a person", anchor=False)
    with st.form(state.form_key("panelist")):
        left, right = st.columns([2, 3])
        alias = left.text_input("Alias", max_chars=40, help="What the bench calls them by.")
        note = right.text_input("Note (no health details)", max_chars=400)
        if st.form_submit_button("Add to the panel"):
            with frame.one_sentence():
                added = book.add_panelist(notebook, alias, note)
                state.clear_form("panelist")
                state.say(f"{added.alias} is on the panel.")
                st.rerun()


def _correct(notebook: Notebook, people: tuple[Panelist, ...]) -> None:
    if not people:
        return
    with st.expander("Correct an alias or a note"):
        each = st.selectbox("Person", people, format_func=lambda one: one.alias, key="person to correct")
        with st.form(f"correct {each.id}", border=False):
            alias = st.text_input("Alias", each.alias, max_chars=40, key=f"alias {each.id}")
            note = st.text_input("Note (no health details)", each.note, max_chars=400, key=f"note {each.id}")
            if st.form_submit_button("Save"):
                with frame.one_sentence():
                    changed = book.change_panelist(notebook, each.id, alias=alias.strip(), note=note.strip())
                    state.say(f"{changed.alias} is corrected.")
                    st.rerun()


show_panel(house.current())
