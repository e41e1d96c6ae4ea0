"""Trial book: briefs, their trials in lineage order, and what besides the change could be smelt between two."""

from __future__ import annotations

from typing import Any, Final

import streamlit as st
from parts import frame, house, state, typed_values
from parts.book import bottle_list, change_told, lineage_shown, made_of, pickers
from parts.doors import visitor
from parts.keeping import last_copy

from evaluation import wording
from evaluation.actions import book, descent, plan
from evaluation.actions.doors import CONDUCTOR
from evaluation.deciding.claims import between
from evaluation.store import Notebook
from evaluation.values.briefs import Brief
from evaluation.values.trials import Trial
from evaluation.wording.of_claims import agreement_words

PARTS: Final = ("Trials", "Add a trial", "Formula", "Bottles", "Correct a trial", "Compare two")
PART: Final = "part of the trial book"  # which of them is open


def show_trial_book(notebook: Notebook) -> None:
    """The whole page: a form for a brief, then the chosen brief with its trials."""
    frame.page("Trial book", "Briefs, and the numbered trials made towards each.")
    last_copy.tell_alarms(house.current())
    chosen = pickers.brief(notebook)
    _add_brief(notebook, first=chosen is None)
    if chosen is not None:
        _of_brief(notebook, chosen)
    _kept()


def _kept() -> None:
    """When and where the last copy of all this was made."""
    st.divider()
    here = house.current()
    last_copy.hindrance(here)
    st.caption(frame.plain(last_copy.sentence(here)))
    frame.page_link("backup.py", "Keep a backup, check, or bring one back")


def _of_brief(notebook: Notebook, chosen: Brief) -> None:
    _correct_brief(notebook, chosen)
    if chosen.text:
        frame.quote(chosen.text)
    frame.page_link("descriptors.py", "Descriptors and targets of this brief")
    trials = sorted(book.trials(notebook, chosen.id), key=lambda trial: trial.made_at)
    listed, adding, formula, bottled, correcting, comparing = st.tabs(PARTS, key=PART, on_change="rerun")
    with listed:
        _list(notebook, chosen.id, trials)
    with adding:
        _add_trial(notebook, chosen.id, trials)
    if formula.open:  # its table is the dearest thing of the page, and most visits are for the trials
        with formula:
            st.fragment(_formulas)(notebook, trials)
    if bottled.open:
        with bottled:
            st.fragment(_bottles)(notebook, trials)
    with correcting:
        _correct_trial(notebook, trials)
    with comparing:
        st.fragment(_compare)(notebook, trials)


# --- briefs -----------------------------------------------------------------------------------------------------


def _add_brief(notebook: Notebook, *, first: bool) -> None:
    if first:
        frame.empty(
            "A brief says what the scent must be, in the words of whoever asked for it. Everything else hangs on it: "
            "first a brief, then its trials, then a blind session between two of them."
        )
    with (
        st.expander("Add a brief", expanded=first),
        st.form(state.form_key("brief"), border=False),
    ):
        title = st.text_input("Title", max_chars=120)
        text = st.text_area(
            "What the scent must be",
            max_chars=4000,
            help="Panelists read this text when they are asked for a preference: name no trial in it.",
        )
        if st.form_submit_button("Add brief"):
            with frame.one_sentence():
                added = book.add_brief(notebook, title, text)
                state.choose_brief(added.id)
                pickers.forget_brief()
                state.clear_form("brief")
                state.say(f"Brief “{added.title}” is in the book.")
                st.rerun()


def _correct_brief(notebook: Notebook, brief: Brief) -> None:
    with st.expander("Correct this brief"), st.form(f"correct {brief.id}", border=False):
        title = st.text_input("Title", brief.title, max_chars=120, key=f"title {brief.id}")
        text = st.text_area("What the scent must be", brief.text, max_chars=4000, key=f"text {brief.id}")
        if st.form_submit_button("Save brief"):
            with frame.one_sentence():
                changed = book.change_brief(notebook, brief.id, title, text)
                pickers.forget_brief()
                state.say(f"Brief “{changed.title}” is corrected.")
                st.rerun()


# --- trials -----------------------------------------------------------------------------------------------------


def _list(notebook: Notebook, brief_id: str, trials: list[Trial]) -> None:
    if not trials:
        frame.empty(
            "No trial yet. Add the first under “Add a trial”: its number, and the strength of the solution you smell. "
            "Later trials name the one they were made from and what was changed."
        )
        return
    facts = {trial.id: " · ".join(bottle_list.weighed(trial)) for trial in trials}
    lineage_shown.show_lineage(descent.of_brief(notebook, brief_id), facts)
    if len(trials) > 1:
        frame.page_link("plan.py", "Plan a blind session between two of them")
    frame.page_link("separate.py", "Separate changes: several at once, and which does what")


def _add_trial(notebook: Notebook, brief_id: str, trials: list[Trial]) -> None:
    name = state.form_key("trial")
    with st.form(name, border=False):
        typed = _fields(name, trials, None)
        if st.form_submit_button("Add trial"):
            with frame.one_sentence():
                added = book.add_trial(notebook, brief_id, **typed_values.weighing(typed))
                state.clear_form("trial")
                state.say(f"Trial {added.label} is in the book.")
                st.rerun()


def _correct_trial(notebook: Notebook, trials: list[Trial]) -> None:
    if not trials:
        st.markdown("There is no trial to correct yet.")
        return
    trial = st.selectbox("Trial to correct", trials, format_func=lambda each: each.label, key="trial to correct")
    with st.form(f"correct {trial.id}", border=False):
        typed = _fields(trial.id, [each for each in trials if each.id != trial.id], trial)
        if st.form_submit_button("Save corrections"):
            with frame.one_sentence():
                changed = book.change_trial(notebook, trial.id, **typed_values.weighing(typed))
                state.say(f"Trial {changed.label} is corrected.")
                st.rerun()


def _fields(name: str, parents: list[Trial], trial: Trial | None) -> dict[str, Any]:
    """The entry fields of one trial, filled from ``trial`` when there is one."""
    labels = {parent.id: parent.label for parent in parents}
    choices = [None, *labels]
    parent_id = trial.parent_id if trial else (parents[-1].id if parents else None)
    left, right = st.columns(2)
    typed: dict[str, Any] = {}
    typed["label"] = left.text_input(
        "Label, such as 7", trial.label if trial else "", max_chars=40, key=f"{name} label"
    )
    typed["parent_id"] = right.selectbox(
        "Made from",
        choices,
        index=choices.index(parent_id) if parent_id in choices else 0,
        format_func=lambda each: labels.get(each, "no earlier trial"),
        key=f"{name} parent",
    )
    typed["changed"] = st.text_area(
        "What changed", trial.changed if trial else "", max_chars=2000, height=80, key=f"{name} changed"
    )
    left, right = st.columns(2)
    known = "" if trial is None or trial.strength_percent is None else str(trial.strength_percent)
    typed["strength"] = left.text_input("Strength of the smelling solution, % w/w", known, key=f"{name} strength")
    typed["batch"] = right.text_input("Batch", trial.batch if trial else "", max_chars=80, key=f"{name} batch")
    typed["mixed_on"] = left.date_input("Date mixed", trial.mixed_on if trial else None, key=f"{name} mixed")
    typed["diluted_on"] = right.date_input("Date diluted", trial.diluted_on if trial else None, key=f"{name} diluted")
    return typed


# --- comparing --------------------------------------------------------------------------------------------------


def _formulas(notebook: Notebook, trials: list[Trial]) -> None:
    """A fragment: another trial is chosen without the rest of the book being drawn anew."""
    visitor.require(CONDUCTOR)
    made_of.show_formulas(notebook, trials)


def _bottles(notebook: Notebook, trials: list[Trial]) -> None:
    """A fragment, as formulas are."""
    visitor.require(CONDUCTOR)
    bottle_list.show_bottles(notebook, trials)


def _compare(notebook: Notebook, trials: list[Trial]) -> None:
    """A fragment, as formulas are."""
    visitor.require(CONDUCTOR)
    if len(trials) < 2:
        st.markdown("Comparing needs two trials. It shows what besides the change could be smelt.")
        return
    left, right = st.columns(2)
    first = left.selectbox("One trial", trials, index=len(trials) - 2, format_func=_label, key="compare one")
    second = right.selectbox("Another trial", trials, index=len(trials) - 1, format_func=_label, key="compare other")
    if first.id == second.id:
        frame.refuse("Choose two different trials to compare.")
        return
    change_told.show_change(notebook, (first.id, first.label), (second.id, second.label))
    found = plan.compare(notebook, first.id, second.id)
    agree = agreement_words(
        between({one.id: one.parent_id for one in trials}, first.id, second.id),
        found,
        {one.id: one.label for one in trials},
    )
    if agree:
        st.success(frame.plain(agree))
    for mismatch in found:
        st.warning(frame.plain(wording.mismatch(mismatch)))


def _label(trial: Trial) -> str:
    return trial.label


show_trial_book(house.current().notebook)
