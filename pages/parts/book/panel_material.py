"""On the panel page: does somebody miss a material? Asked of opened sessions; and the check with the material alone."""

from __future__ import annotations

import streamlit as st
from parts import frame

from evaluation.actions import anosmia, book
from evaluation.actions.anosmia import Comparison, Gaps
from evaluation.statistics import material_check
from evaluation.store import Notebook
from evaluation.wording import method_name, of_panels
from evaluation.wording.of_verdicts import count


def ask_who_misses_a_material(notebook: Notebook) -> None:
    """Folded away: the search in opened sessions, then how to check with the material alone."""
    with st.expander("Does somebody miss a material?"):
        st.markdown(
            "Some people cannot smell single materials. Who never notices a change that the others notice is a "
            "finding, not noise. This looks at opened sessions of one brief: those that changed the material, and the "
            "others of the same method."
        )
        _look(notebook)
        st.divider()
        _alone()


def _look(notebook: Notebook) -> None:
    briefs = [brief for brief in book.briefs(notebook) if anosmia.comparisons(notebook, brief.id)]
    if not briefs:
        st.markdown("No session with right and wrong answers has been opened yet.")
        return
    brief = st.selectbox("Brief", briefs, format_func=lambda one: one.title, key="material brief")
    given = anosmia.comparisons(notebook, brief.id)
    material = st.text_input("Material in question", max_chars=80, key="material in question")
    chosen = st.multiselect(
        "Sessions that changed it",
        given,
        default=anosmia.naming(given, material),
        format_func=_named,
        key=f"sessions of {brief.id} {material}",
        help="Those whose second trial’s change names the material are chosen for you; add or take away.",
    )
    if st.button("Look for a gap", disabled=not (material.strip() and chosen)):
        with frame.one_sentence():
            _gaps(anosmia.gaps(notebook, brief.id, material, [one.session_id for one in chosen]))


def _named(one: Comparison) -> str:
    return f"{one.title} ({method_name(one.method)}; {one.changed or 'no change written down'})"


def _gaps(found: Gaps) -> None:
    for alias, one in found.missed:
        st.warning(frame.plain(of_panels.missed_line(alias, found.material, one, found.alpha)))
    if found.missed:
        st.markdown("Offer the check with the material alone.")
    else:
        people, sessions = count(found.people, "person", "people"), count(found.touched, "session", "sessions")
        st.markdown(f"Nobody of {people} is shown to miss {frame.plain(found.material)} in {sessions}.")
    if not found.others:
        st.markdown("There is no other session of this method to compare with, so nobody can be named.")
    st.caption(of_panels.NO_CLEARANCE)


def _alone() -> None:
    st.markdown(of_panels.CHECK_ALONE)
    right = st.selectbox(
        "Right in the check, of three rounds",
        range(4),
        index=None,
        placeholder="Not yet",
        key="right in the check",
    )
    if right is not None:
        st.markdown(of_panels.check_words(material_check(right).says))
        st.caption("Nothing of this check is kept: write down what you need.")
