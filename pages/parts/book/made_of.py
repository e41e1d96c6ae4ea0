"""In the trial book: what a trial is made of, as a table to edit or to paste, with totals and a batch sheet."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any, Final

import streamlit as st
from parts import frame, small_tables, state, typed_values
from parts.book import change_told

from evaluation.actions import formulas, skin
from evaluation.errors import ArgumentError
from evaluation.formulas import (
    COLUMNS,
    MOST_OFF_PERCENT,
    RESOLUTION,
    Formula,
    TypedLines,
    batch,
    exact,
    opened,
    read_lines,
    rows_of_cells,
    sort_rows,
    table_of,
    written,
)
from evaluation.ground.tables_digits import percent, significant
from evaluation.store import Notebook
from evaluation.values.trials import Trial, trial_name
from evaluation.wording import of_formulas

TABLE: Final = "Table"
PASTE: Final = "Paste"
HEADS: Final = ("Material or accord", "Parts", "Stock, %", "Lot", "Belongs to accord")
HOW: Final = (
    "One line each: material; parts by weight; strength of its stock in %; lot; the accord it belongs to. Leave out "
    "what you do not know. A line that names an accord instead of a material says how many parts it is, and in which "
    "accord it lies. Cells between tabs, semicolons or commas, with a header or none."
)
EXAMPLE: Final = "Vetiver oil; 4; 10"
OUT_OF_HELP: Final = (
    "Such as 100 or 1000. A forgotten line shows by it, so skin asks for it. Leave it empty where your parts make "
    "nothing in particular."
)
PRIVATE: Final = (
    "Formulas are yours: no ballot or log carries one, and a report or export only where you tick it for that file. A "
    "backup carries all that is in this notebook, formulas too: keep it as you keep them."
)


def show_formulas(notebook: Notebook, trials: Sequence[Trial]) -> None:
    """One trial at a time, the latest first; a trial without a formula begins with that of its parent."""
    if not trials:
        frame.empty("A formula belongs to a trial: add the first trial, then what it is made of.")
        return
    labels = {one.id: one.label for one in trials}
    newest = f"formula trial {len(labels)}"  # one more trial: begin with it
    picked = st.selectbox("Trial", list(labels), len(labels) - 1, format_func=labels.__getitem__, key=newest)
    trial = next(one for one in trials if one.id == picked)
    own = formulas.formula(notebook, trial.id)
    start = None if own is not None else formulas.start_from(notebook, trial.id)
    if own is not None:
        _totals(own)
    elif start is not None:
        told = frame.plain(trial_name(start[0].label))
        st.info(f"Copied from {told} to start with: change what was changed. Nothing is kept until you save.")
    _entry(notebook, trial, own or (start[1] if start else None))
    if own is not None:
        _lines(own)
        _solvents(notebook, trial, own)
        if trial.parent_id in labels:
            change_told.show_change(notebook, (trial.parent_id, labels[trial.parent_id]), (trial.id, trial.label))
        _batch(trial, own)
        frame.page_link("off_note.py", "Trace an off-note in it")
        _take_off(notebook, trial)
    st.caption(PRIVATE)


# --- entering -------------------------------------------------------------------------------------------------------


def _entry(notebook: Notebook, trial: Trial, start: Formula | None) -> None:
    with st.expander("Enter or change the formula", expanded=True):
        ways = (TABLE, PASTE) if start is not None else (PASTE, TABLE)
        way = st.segmented_control(
            "Entered as", ways, default=ways[0], required=True, key=f"way {trial.id} {start is None}"
        )
        name = state.form_key(f"formula {trial.id} {way}")
        with st.form(name, border=False):
            cells = _table(name, start) if way == TABLE else _paste(name, start)
            out_of = st.text_input(
                "All parts together make",
                "" if start is None or start.out_of is None else exact(start.out_of),
                help=OUT_OF_HELP,
                key=f"{name} out of",
            )
            new = st.checkbox("Names that are new are new materials", key=f"{name} new")
            if st.form_submit_button("Save formula"):
                with frame.one_sentence():
                    _save(notebook, trial, _read(cells), out_of, new)


def _take_off(notebook: Notebook, trial: Trial) -> None:
    with st.expander("Take this formula off"), st.form(f"off {trial.id}", border=False):
        st.markdown("For one entered under the wrong trial. The trial stays; its formula is gone from this notebook.")
        sure = st.checkbox("Yes, it is to go", key=f"sure {trial.id}")
        if st.form_submit_button("Take it off"):
            with frame.one_sentence():
                if not sure:
                    raise ArgumentError("tick “Yes, it is to go” first: a formula that is gone cannot be brought back.")
                formulas.remove(notebook, trial.id)
                state.clear_form(f"formula {trial.id} {TABLE}")
                state.clear_form(f"formula {trial.id} {PASTE}")
                state.say(f"Trial {trial.label} has no formula now.")
                st.rerun()


def _table(name: str, start: Formula | None) -> Any:
    listed = [dict(zip(COLUMNS, cells, strict=True)) for cells in (table_of(start) if start is not None else ())]
    columns = {
        column: st.column_config.TextColumn(head, width="medium" if column == "material" else "small")
        for column, head in zip(COLUMNS, HEADS, strict=True)
    }
    return st.data_editor(
        listed or [dict.fromkeys(COLUMNS, "")],
        column_config=columns,
        column_order=COLUMNS,
        num_rows="dynamic",
        hide_index=True,
        width="stretch",
        key=f"{name} table",
    )


def _paste(name: str, start: Formula | None) -> str:
    text = st.text_area(
        "Formula, pasted or typed",
        "" if start is None else written(start),
        height=260,
        placeholder=EXAMPLE,
        key=f"{name} pasted",
    )
    st.caption(HOW)
    return str(text)


def _read(cells: Any) -> TypedLines:
    """What stands in the table, or was pasted."""
    if isinstance(cells, str):
        return read_lines(cells)
    return sort_rows(rows_of_cells([[str(row.get(one) or "") for one in COLUMNS] for row in cells]))


def _save(notebook: Notebook, trial: Trial, typed: TypedLines, out_of: str, new: bool) -> None:
    whole = typed_values.number("what all parts make", out_of, "100 or 1000") if out_of.strip() else None
    named = formulas.unknown(notebook, typed)
    if named and not new:
        raise ArgumentError(
            f"{', '.join(repr(one) for one in named)} {'is' if len(named) == 1 else 'are'} not among the materials: "
            "correct the name, or say below that new names are new materials."
        )
    entered = formulas.write(notebook, trial.id, typed, whole, new_materials=new)
    state.clear_form(f"formula {trial.id} {TABLE}")
    state.clear_form(f"formula {trial.id} {PASTE}")
    state.say(f"Formula of trial {trial.label} saved: {of_formulas.total_words(entered)}")
    st.rerun()


# --- shown ----------------------------------------------------------------------------------------------------------


def _totals(formula: Formula) -> None:
    st.markdown(f"**{frame.plain(of_formulas.total_words(formula))}**")
    lacking = of_formulas.lacking_words(formula)
    if lacking:
        st.warning(frame.plain(lacking))


def _lines(formula: Formula) -> None:
    with st.expander("Each line as a share of the whole"):
        small_tables.table(
            ("Material", "Accord", "% of the whole"),
            (
                (one.line.material.name, " › ".join(one.accords), significant(float(one.share * 100), 4))
                for one in opened(formula)
            ),
        )


def _solvents(notebook: Notebook, trial: Trial, formula: Formula) -> None:
    """Which materials only make up the rest: asked where they stand, kept with the material."""
    names = {one.material.id: one.material for one in formula.lines}
    marked = [one for one in names if names[one].solvent]
    with st.expander("Solvents and carriers in it"), st.form(f"solvents {trial.id}", border=False):
        st.markdown("They are no active matter, and making up the rest with one is not told as a change.")
        chosen = st.multiselect(
            "Solvents and carriers",
            list(names),
            marked,
            format_func=lambda one: names[one].name,
            key=f"solvents of {trial.id} {len(names)} {len(marked)}",
        )
        if st.form_submit_button("Save solvents"):
            with frame.one_sentence():
                for one in names:
                    if (one in chosen) != names[one].solvent:
                        skin.change_material(notebook, one, solvent=one in chosen)
                state.say("Solvents are kept with their materials.")
                st.rerun()


def _batch(trial: Trial, formula: Formula) -> None:
    with st.expander("Batch sheet: what the scale is to show"):
        left, middle, right = st.columns(3)
        grams = left.text_input("Batch, g", "10", key=f"batch {trial.id}")
        step = middle.text_input("Step of the scale, g", exact(RESOLUTION), key=f"step {trial.id}")
        off = right.text_input("A line may be off by, %", exact(MOST_OFF_PERCENT), key=f"off {trial.id}")
        with frame.one_sentence():
            _sheet(formula, *(_number(name, one) for name, one in (("batch", grams), ("step", step), ("off", off))))


def _number(name: str, text: str) -> Decimal:
    return typed_values.number(name, text, "10 or 0.001")


def _sheet(formula: Formula, grams: Decimal, step: Decimal, off: Decimal) -> None:
    found = batch(formula, grams, step, off)
    small_tables.table(
        ("Material", "Stock", "Accord", "Weigh, g", "Off by"),
        (
            (
                one.line.line.material.name,
                f"{exact(one.line.line.stock_percent)} %",
                " › ".join(one.line.accords),
                f"{one.grams:f}",
                f"{percent(float(one.off), 1)}{' – too far' if one.too_far else ''}",
            )
            for one in found.weigh_ins
        ),
        wide=True,
    )
    told = of_formulas.off_words(found)
    if told:
        st.warning(frame.plain(told))
    st.caption(
        f"On the scale together: {exact(found.grams)} g. Solvents and materials catch fire: ventilate, no flame."
    )
