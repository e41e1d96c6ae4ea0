"""The targets of a brief: how strong a descriptor is to be, and when; every change keeps what was aimed at before."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

import streamlit as st
from parts import frame, state, typed_values

from evaluation.actions import aims
from evaluation.actions.aims import Aims
from evaluation.skin import moment
from evaluation.store import Notebook
from evaluation.values.briefs import HEAVIEST, TARGET_KINDS, Brief, Target
from evaluation.values.descriptors import Descriptor
from evaluation.values.scales import scale_of

TEACHING: Final = (
    "No target yet. A target says how strong a descriptor is to be rated, from 0 to 10, at one strip age or over the "
    "whole dry-down. Findings then show how near each trial comes. Write them before the panel smells: targets "
    "written after a session was opened are shown as such."
)
FIRST_WORDS: Final = "Targets are about descriptors rated in numbers: write the list first."
ALWAYS: Final = ("strength", "liking")  # questions of their own that may be aimed at too


def edit_targets(notebook: Notebook, brief: Brief) -> None:
    """What is aimed at now, adding and taking off, and everything aimed at before."""
    kept = aims.targets(notebook, brief.id)
    targets = kept.targets if kept is not None else ()
    words = may_aim_at(aims.descriptors(notebook, brief.id))
    _listed(notebook, brief, kept)
    _add(notebook, brief, targets, words)
    if targets:
        _take_off(notebook, brief, targets)
    _history(notebook, brief)


def may_aim_at(listed: Sequence[Descriptor]) -> tuple[str, ...]:
    """Words that are rated in numbers, then strength and liking."""
    return (*(one.name for one in listed if scale_of(one.scale).on_points), *ALWAYS)


def _listed(notebook: Notebook, brief: Brief, kept: Aims | None) -> None:
    if kept is None or not kept.targets:
        frame.empty(TEACHING)
        return
    st.markdown("\n".join(f"- {frame.plain(line(one))}" for one in kept.targets))
    st.caption(f"Written {moment(kept.written_at, zone())}.")
    late = aims.opened_before(notebook, brief.id, kept.written_at)
    if late:
        told = ", ".join(f"“{one.title}” ({moment(one.opened_at, zone())})" for one in late)
        st.warning(frame.plain(f"These targets were written after sessions of this brief were opened: {told}."))


def line(target: Target) -> str:
    """ "woody at least 6.5 at 60 min, weight 2" """
    at = "over the whole dry-down" if target.minutes is None else f"at {target.minutes:f} min"
    weight = "" if target.weight == 1 else f", weight {target.weight:f}"
    return f"{target.descriptor}: {target.kind} {target.value:f} {at}{weight}"


# --- changes ----------------------------------------------------------------------------------------------------


def _add(notebook: Notebook, brief: Brief, targets: tuple[Target, ...], words: tuple[str, ...]) -> None:
    if len(words) == len(ALWAYS):
        st.markdown(FIRST_WORDS)
    name = state.form_key(f"target {brief.id}")
    st.subheader("Add a target", anchor=False)
    with st.form(name):
        left, right = st.columns(2)
        word = left.selectbox("Descriptor", words, key=f"{name} word {'|'.join(words)}")
        kind = right.selectbox("Is to be", TARGET_KINDS, key=f"{name} kind")
        one, two, three = st.columns(3)
        value = one.text_input("Value, 0 to 10", key=f"{name} value")
        minutes = two.text_input(
            "Strip age in minutes", placeholder="whole dry-down", help=_MINUTES, key=f"{name} minutes"
        )
        weight = three.text_input("Weight", "1", help=f"From 0.1 to {HEAVIEST}; 1 is usual.", key=f"{name} weight")
        if st.form_submit_button("Add target"):
            with frame.one_sentence():
                added = target_as_typed(word, kind, value, minutes, weight)
                _save(notebook, brief, (*targets, added), f"Aimed at: {line(added)}.", f"target {brief.id}")


_MINUTES: Final = "Leave it empty to aim over the whole dry-down."


def target_as_typed(word: str, kind: str, value: str, minutes: str, weight: str) -> Target:
    """A target as it was typed; each refusal is one sentence."""
    at: Decimal | None = typed_values.number("strip age", minutes, "60") if minutes.strip() else None
    return Target(
        word,
        kind,
        typed_values.number("value", value, "6.5"),
        at,
        typed_values.number("weight", weight, "1"),
    )


def _take_off(notebook: Notebook, brief: Brief, targets: tuple[Target, ...]) -> None:
    with st.expander("Take targets off"), st.form(f"targets off {brief.id}", border=False):
        gone = st.multiselect(
            "Targets to take off",
            range(len(targets)),
            format_func=lambda each: line(targets[each]) if each < len(targets) else "",
            key=f"gone {brief.id} {len(targets)}",
        )
        if st.form_submit_button("Take off"):
            with frame.one_sentence():
                left = tuple(one for place, one in enumerate(targets) if place not in gone)
                _save(notebook, brief, left, "The targets are changed.", "")


def _save(notebook: Notebook, brief: Brief, targets: tuple[Target, ...], said: str, form: str) -> None:
    aims.save_targets(notebook, brief.id, targets)
    state.clear_form(form)
    state.say(said)
    st.rerun()


def _history(notebook: Notebook, brief: Brief) -> None:
    """What was aimed at before."""
    before = aims.history(notebook, brief.id)[:-1]
    if not before:
        return
    with st.expander(f"What was aimed at before ({len(before)})"):
        for each in reversed(before):
            told = "; ".join(line(one) for one in each.targets) or "nothing"
            st.markdown(f"**{moment(each.written_at, zone())}** {frame.plain(told)}")


def zone() -> str:
    """Where the conductor is."""
    return st.context.timezone or "UTC"
