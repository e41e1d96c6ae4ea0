"""On the page Skin: a trial's strength on skin, its formula, each line against its limit, and what bars it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Final

import streamlit as st
from parts import frame, state, typed_values

from evaluation.actions import skin, skin_gate, skin_waiting
from evaluation.formulas import PURE
from evaluation.skin import BARRED, MOST_ON_SKIN_PERCENT, FormulaLine, Gate, exact, moment
from evaluation.store import Notebook
from evaluation.values.people import Panelist
from evaluation.values.trials import Trial

STRENGTH_HELP: Final = (
    f"At most {exact(MOST_ON_SKIN_PERCENT)} %, what a fine fragrance holds at most (common practice, no source). The "
    "patch is put on at this strength too."
)
NOBODY: Final = "In order as far as the formula goes; nobody was asked about skin: ask on the tab People."


def edit_trial_on_skin(notebook: Notebook, trials: Sequence[Trial], people: Sequence[Panelist]) -> None:
    """One trial at a time."""
    if not trials:
        frame.empty("This brief has no trial yet.", "briefs.py", "Open the trial book")
        return
    labels = {each.id: each.label for each in trials}
    picked = st.selectbox("Trial", list(labels), len(labels) - 1, format_func=labels.__getitem__, key="skin trial")
    trial = next(each for each in trials if each.id == picked)
    _strength(notebook, trial)
    _lines(notebook, trial)
    _standing(notebook, trial, people)
    _bars(notebook, trial)


def _strength(notebook: Notebook, trial: Trial) -> None:
    known = "" if trial.skin_strength_percent is None else exact(trial.skin_strength_percent)
    with st.form(f"strength {trial.id}", border=False):
        typed = st.text_input(
            "Strength of the solution put on skin, % w/w", known, help=STRENGTH_HELP, key=f"skin strength {trial.id}"
        )
        if st.form_submit_button("Save strength on skin"):
            with frame.one_sentence():
                changed = skin.set_strength(notebook, trial.id, typed_values.strength(typed))
                state.say(f"Strength on skin of trial {changed.label}: {_percent(changed.skin_strength_percent)}.")
                st.rerun()


def _percent(value: Decimal | None) -> str:
    return "none yet" if value is None else f"{exact(value)} %"


def _lines(notebook: Notebook, trial: Trial) -> None:
    """The formula as the trial book has it: it is entered there, once for strips and skin."""
    found = skin.lines(notebook, trial.id)
    if found:
        with st.expander(f"Formula: {len(found)} lines"):
            st.markdown("\n".join(f"- {frame.plain(one)}" for one in line_words(found)))
    frame.page_link("briefs.py", "Formula in the trial book")


def line_words(lines: Sequence[FormulaLine]) -> list[str]:
    """Each line as a share of the formula, accords opened."""
    return [
        f"{one.material.name}: {exact(one.share_percent)} %"
        + ("" if one.stock_percent == PURE else f", of a stock of {exact(one.stock_percent)} %")
        for one in lines
    ]


# --- what the gate says -------------------------------------------------------------------------------------------


def _standing(notebook: Notebook, trial: Trial, people: Sequence[Panelist]) -> None:
    """For whoever was asked about skin; who was not is no part of it yet."""
    asked = skin.facts(notebook, [one.id for one in people])
    of_whom = [one for one in people if one.id in asked]
    found = skin_gate.gate_of(notebook, trial.id, [one.id for one in of_whom], zone())
    st.subheader("What the gate says", anchor=False)
    whom = f"the {len(of_whom)} people who were asked about skin" if len(of_whom) != 1 else "the one person asked"
    tell_gate(found, f"Open for {whom}: plan a session on skin." if of_whom else NOBODY)
    if found.first_possible:
        when = moment(found.first_possible, zone())
        st.info(skin_waiting.first_date(f"of trial {frame.plain(trial.label)} for {whom}", when))


def tell_gate(found: Gate, opened: str) -> None:
    """Each material in a sentence, then what is missing, then the warnings."""
    if found.shares:
        st.markdown("\n".join(f"- {frame.plain(share.sentence)}" for share in found.shares))
    if found.open:
        st.success(opened)
    else:
        st.error("**Shut.**\n" + "\n".join(f"- {frame.plain(each)}" for each in skin_gate.sentences([found])))
    for warning in found.warnings:
        st.warning(frame.plain(warning))


def zone() -> str:
    """The time zone of this browser, UTC where it does not tell."""
    return st.context.timezone or "UTC"


# --- barred -------------------------------------------------------------------------------------------------------


def _bars(notebook: Notebook, trial: Trial) -> None:
    latest = skin.bars(notebook, [trial.id]).get(trial.id)
    barred = latest is not None and latest.kind == BARRED
    # Named after what it answers: a form shown before another reaction was written down is sent in vain.
    form = f"bar {trial.id} {latest.at if latest else 0}"
    title = "Let this trial return to skin" if barred else "Take this trial off skin"
    with st.expander(title, expanded=barred), st.form(state.form_key(form), border=False):
        asked = "Why may it return?" if barred else "Why?"
        reason = st.text_input(asked, max_chars=400, key=state.form_key(f"reason {form}"))
        if st.form_submit_button("Let it return" if barred else "Take it off"):
            with frame.one_sentence():
                (skin.let_back if barred else skin.take_off)(notebook, trial.id, reason)
                state.clear_form(form)
                state.clear_form(f"reason {form}")
                state.say(f"Trial {trial.label} {'may return to skin' if barred else 'is barred from skin'}.")
                st.rerun()
