"""The descriptor list of a brief: words to begin with, own words, and everything a panel is told about each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Final

import streamlit as st
from parts import frame, state

from evaluation.actions import aims
from evaluation.errors import ArgumentError
from evaluation.store import Notebook
from evaluation.values.briefs import Brief
from evaluation.values.descriptors import STARTER, Descriptor
from evaluation.values.scales import scale_names, scale_of
from evaluation.wording import of_profiles

FAMILIES: Final = MappingProxyType({"top": "Top", "heart": "Heart", "base": "Base", "faults": "Faults"})
TEACHING: Final = (
    "No descriptor yet. Tick the few words that matter to this brief, or write your own: what a panel does not rate "
    "cannot move, and every word more makes all of them harder to find."
)
SEALED: Final = "Sealed plans keep the words they were sealed with, whatever is changed here."
NEW: Final = "A new word"


def edit_descriptors(notebook: Notebook, brief: Brief) -> None:
    """The list as it stands, words to begin with, one word at a time, and their order."""
    listed = aims.descriptors(notebook, brief.id)
    _listed(listed)
    _starter(notebook, brief, listed)
    _edit_word(notebook, brief, listed)
    if len(listed) > 1:
        _order(notebook, brief, listed)


def _listed(listed: Sequence[Descriptor]) -> None:
    if not listed:
        frame.empty(TEACHING)
        return
    st.markdown("\n".join(line(one) for one in listed))
    st.caption(SEALED)
    frame.page_link("plan.py", "Plan a session that rates them")


def line(one: Descriptor) -> str:
    """One word with what a panel is told about it."""
    ends = f"{one.low or 'none'} to {one.high or 'very'}" if scale_of(one.scale).ends else ""
    facts = [_scale_name(one.scale).lower(), ends, one.definition, one.reference and f"train with {one.reference}"]
    family = f" ({frame.plain(one.family)})" if one.family else ""
    told = " · ".join(frame.plain(fact) for fact in facts if fact)
    return f"- **{frame.plain(one.name)}**{family}  \n  :small[{told}]"


def _scale_name(scale: str) -> str:
    return of_profiles.SCALES.of(scale).name


# --- words to begin with ----------------------------------------------------------------------------------------


def _starter(notebook: Notebook, brief: Brief, listed: Sequence[Descriptor]) -> None:
    known = {one.name.casefold() for one in listed}
    name = state.form_key(f"starter {brief.id}")
    with st.expander("Words to begin with", expanded=not listed), st.form(name, border=False):
        chosen: list[Descriptor] = []
        for family, words in STARTER.items():
            free = [word for word in words if word not in known]
            if free:
                tapped = st.pills(FAMILIES[family], free, selection_mode="multi", wrap=True, key=f"{name} {family}")
                chosen += [Descriptor(word, family=family) for word in tapped]
        if st.form_submit_button("Add to the list"):
            with frame.one_sentence():
                if not chosen:
                    raise ArgumentError("choose one or more words to add.")
                told = ", ".join(one.name for one in chosen)
                _save(notebook, brief, (*listed, *chosen), f"On the list: {told}.", f"starter {brief.id}")


# --- one word ---------------------------------------------------------------------------------------------------


def _edit_word(notebook: Notebook, brief: Brief, listed: Sequence[Descriptor]) -> None:
    """A word of one's own, or one of the list changed or taken off."""
    with st.expander("A word of your own, or one to change"):
        names = {one.name: one for one in listed}
        picked = st.selectbox("Write or change", [NEW, *names], key=f"word of {brief.id} {len(listed)}")
        old = names.get(picked)
        name = state.form_key(f"word {brief.id} {'' if old is None else old.name}")
        with st.form(name, border=False):
            typed = _fields(name, old)
            with st.container(horizontal=True):
                saved = st.form_submit_button("Add word" if old is None else "Save word")
                removed = old is not None and st.form_submit_button("Take off the list")
        if saved or removed:
            with frame.one_sentence():
                said = f"“{typed['name'].strip() if saved else picked}” is {'on' if saved else 'off'} the list."
                made = [_typed(typed)] if saved else []
                changed = _put(listed, old, made)
                _save(notebook, brief, changed, said, f"word {brief.id} {'' if old is None else old.name}")


def _fields(name: str, old: Descriptor | None) -> dict[str, str]:
    """The fields of one word, filled from ``old`` when there is one."""
    start = old or Descriptor("-")
    left, right = st.columns(2)
    typed = {
        "name": left.text_input("Word", "" if old is None else old.name, max_chars=40, key=f"{name} name"),
        "family": right.text_input("Family", start.family, max_chars=40, key=f"{name} family"),
    }
    typed["scale"] = st.selectbox(
        "Scale",
        scale_names(),
        index=scale_names().index(start.scale),
        format_func=_scale_name,
        help=of_profiles.what_is_tested(),
        key=f"{name} scale",
    )
    typed["definition"] = st.text_area(
        "What it means here", start.definition, max_chars=400, height=80, key=f"{name} definition"
    )
    left, right = st.columns(2)
    typed["low"] = left.text_input(
        "Word at the low end", start.low, max_chars=30, placeholder="none", key=f"{name} low"
    )
    typed["high"] = right.text_input(
        "Word at the high end", start.high, max_chars=30, placeholder="very", key=f"{name} high"
    )
    typed["reference"] = st.text_input(
        "Reference to smell in training", start.reference, max_chars=200, key=f"{name} reference"
    )
    return typed


def _typed(fields: Mapping[str, str]) -> Descriptor:
    plain = {key: value.strip() for key, value in fields.items() if key != "scale"}
    return Descriptor(scale=scale_of(fields["scale"]).name, **plain)


def _put(listed: Sequence[Descriptor], old: Descriptor | None, made: list[Descriptor]) -> tuple[Descriptor, ...]:
    """The list with ``made`` in the place of ``old``, or last."""
    if old is None:
        return (*listed, *made)
    at = list(listed).index(old)
    return (*listed[:at], *made, *listed[at + 1 :])


# --- order ------------------------------------------------------------------------------------------------------


def _order(notebook: Notebook, brief: Brief, listed: Sequence[Descriptor]) -> None:
    """Which word is asked first."""
    with st.expander("Order of the list"), st.form(f"order {brief.id}", border=False):
        names = {one.name: one for one in listed}
        first = st.multiselect(
            "Asked first, in this order; the others follow as they are",
            list(names),
            key=f"order of {brief.id} {'|'.join(names)}",
        )
        if st.form_submit_button("Save order"):
            with frame.one_sentence():
                order = (*first, *(name for name in names if name not in first))
                _save(notebook, brief, (names[name] for name in order), "The order is saved.", "")


def _save(notebook: Notebook, brief: Brief, listed: Iterable[Descriptor], said: str, form: str) -> None:
    aims.save_descriptors(notebook, brief.id, tuple(listed))
    state.clear_form(form)
    state.say(said)
    st.rerun()
