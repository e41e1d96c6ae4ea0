"""In the trial book: the bottles of a trial, listed, added and corrected."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any, Final

import streamlit as st
from parts import frame, state, typed_values

from evaluation.actions import bottle_book
from evaluation.formulas import exact
from evaluation.store import Notebook
from evaluation.values.bottles import Bottle, next_mark
from evaluation.values.trials import LONGEST_MARK, STORED, Trial, Weighing, sentence_case, trial_name
from evaluation.wording.of_bottles import KEPT

WHAT: Final = (
    "A trial is a formula; a bottle is one weighing of it, and what is smelt. Every trial begins with one. A second "
    "weighing, an older one, one from a new lot, one kept in the warm or at another strength is a bottle of its own, "
    "and a session can hold it against the first."
)
MARK_HELP: Final = "What you write on the bottle, such as 2. Labels and sheets name the bottle by it."
LOTS_HELP: Final = "Such as: bergamot lot 12, from Lise. Panelists never see it, and no report or export carries it."


def show_bottles(notebook: Notebook, trials: Sequence[Trial]) -> None:
    """One trial at a time, the latest first."""
    st.markdown(WHAT)
    if not trials:
        frame.empty("A bottle belongs to a trial: add the first trial.")
        return
    labels = {one.id: one.label for one in trials}
    picked = st.selectbox(
        "Trial",
        list(labels),
        len(labels) - 1,
        format_func=labels.__getitem__,
        key=f"bottles of {len(labels)}",  # one more trial: begin with it
    )
    trial = next(one for one in trials if one.id == picked)
    found = bottle_book.bottles(notebook, trial.id)
    st.markdown("\n".join(_line(one) for one in found))
    _add(notebook, trial, found)
    _correct(notebook, trial, found)


def _line(bottle: Bottle) -> str:
    facts = " · ".join(frame.plain(one) for one in _facts(bottle))
    return f"- **Bottle {frame.plain(bottle.mark)}**  \n  :small[{facts}]"


def weighed(made: Weighing) -> list[str]:
    """What the book has of one weighing, and what it has not: strength, days and batch."""
    strength = made.strength_percent
    return [
        "strength not recorded" if strength is None else f"{exact(strength)} % w/w",
        f"mixed {_day(made.mixed_on)}" if made.mixed_on else "date mixed not recorded",
        f"diluted {_day(made.diluted_on)}" if made.diluted_on else "date diluted not recorded",
        f"batch {made.batch}" if made.batch else "batch not recorded",
    ]


def _facts(bottle: Bottle) -> list[str]:
    facts = weighed(bottle)
    facts += [f"lots: {bottle.lots}"] if bottle.lots else []
    facts += [f"kept {KEPT[bottle.stored]}"] if bottle.stored else []
    return facts


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def _add(notebook: Notebook, trial: Trial, found: tuple[Bottle, ...]) -> None:
    name = state.form_key(f"bottle {trial.id}")
    with st.expander("Add a bottle"), st.form(name, border=False):
        typed = _fields(name, None, next_mark(found), found[0].strength_percent)
        if st.form_submit_button("Add bottle"):
            with frame.one_sentence():
                added = bottle_book.add_bottle(notebook, trial.id, **typed_values.weighing(typed))
                state.clear_form(f"bottle {trial.id}")
                state.say(f"Bottle {added.mark} of {trial_name(trial.label)} is in the book.")
                st.rerun()


def _correct(notebook: Notebook, trial: Trial, found: tuple[Bottle, ...]) -> None:
    with st.expander("Correct a bottle"):
        marks = {one.id: one for one in found}
        picked = st.selectbox(
            "Bottle", list(marks), format_func=lambda one: marks[one].mark, key=f"correct bottle of {trial.id}"
        )
        bottle = marks[picked]
        with st.form(f"correct bottle {picked}", border=False):
            typed = _fields(picked, bottle, bottle.mark, bottle.strength_percent)
            if st.form_submit_button("Save bottle"):
                with frame.one_sentence():
                    changed = bottle_book.change_bottle(notebook, picked, **typed_values.weighing(typed))
                    said = f"{trial_name(trial.label)}, bottle {changed.mark}, is corrected."
                    state.say(sentence_case(said))
                    st.rerun()


def _fields(name: str, bottle: Bottle | None, mark: str, strength: Any) -> dict[str, Any]:
    """The entry fields of one bottle, filled from ``bottle`` when there is one."""
    left, right = st.columns(2)
    typed: dict[str, Any] = {}
    typed["mark"] = left.text_input(
        "Mark on the bottle",
        mark,
        max_chars=LONGEST_MARK,
        disabled=bottle is not None and bottle.first,
        help=MARK_HELP,
        key=f"{name} mark",
    )
    known = "" if strength is None else exact(strength)
    typed["strength"] = right.text_input("Strength of the smelling solution, % w/w", known, key=f"{name} solution")
    left, right = st.columns(2)  # a row of its own: on a phone fields follow one another as they belong together
    typed["mixed_on"] = left.date_input("Date mixed", bottle.mixed_on if bottle else None, key=f"{name} was mixed")
    typed["diluted_on"] = right.date_input(
        "Date diluted", bottle.diluted_on if bottle else None, key=f"{name} was diluted"
    )
    left, right = st.columns(2)
    typed["batch"] = left.text_input("Batch", bottle.batch if bottle else "", max_chars=80, key=f"{name} weighing")
    typed["stored"] = right.selectbox(
        "Kept",
        STORED,
        index=STORED.index(bottle.stored) if bottle else 0,
        format_func=KEPT.__getitem__,
        key=f"{name} kept",
    )
    typed["lots"] = st.text_input(
        "Lots, suppliers", bottle.lots if bottle else "", max_chars=400, help=LOTS_HELP, key=f"{name} lots"
    )
    return typed
