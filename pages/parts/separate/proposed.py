"""What is proposed to mix, what each bottle holds, and the press that writes the bottles into the trial book."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, small_tables, state
from parts.separate.asked import Room, Typed
from parts.separate.typed_design import asked_of, fields_of

from evaluation.actions import separating
from evaluation.actions.separating import Wanted
from evaluation.errors import MouilletteError
from evaluation.formulas.separated import Bottles
from evaluation.ground.tables_digits import fixed
from evaluation.planning.layouts import Proposal, best, proposals
from evaluation.values.trials import sentence_case
from evaluation.wording import of_formulas
from evaluation.wording.of_separations import further_alias_lines, made_words, proposal_lines, solvent_line

HEADS: Final = ("Mix", "Bottles", "Strips a nose and sitting", "Sittings each", "Effect found, scatters")


def propose(room: Room, typed: Typed) -> None:
    """Every layout side by side, the chosen one in words, and the bottles it takes."""
    try:
        asked = asked_of(typed.design)
        found = proposals(asked)
    except MouilletteError as refused:
        frame.refuse(refused)
        return
    st.header("What to mix", anchor=False)
    small_tables.table(HEADS, map(_row, found), wide=True)
    for one in found:
        if one.refused:
            st.caption(frame.plain(f"{sentence_case(one.layout)}: {one.refused}"))
    takes, start = {one.layout: one for one in found if not one.refused}, best(found)
    if start is None:
        st.warning("None of these can be taken: ask more people, or separate fewer changes.")
        return
    names = list(takes)
    layout = st.radio("Mix", names, names.index(start.layout), format_func=sentence_case, key=f"separate mix {names}")
    chosen = takes[layout]
    st.markdown("\n".join(f"- {frame.plain(line)}" for line in proposal_lines(chosen, asked.people)))
    further = () if chosen.separation is None else further_alias_lines(chosen.separation)
    if further:
        with st.expander("What these bottles cannot tell of two or three changes together"):
            st.markdown("\n".join(f"- {frame.plain(line)}" for line in further))
    with frame.one_sentence():
        _write(room, typed, chosen)


def _row(one: Proposal) -> tuple[str, ...]:
    if one.refused or one.size is None:
        return sentence_case(one.layout), str(one.bottles), "not offered", "", ""
    size = one.size.among_all
    told = "described only" if size is None else fixed(size, 2)
    return sentence_case(one.layout), str(one.bottles), str(one.strips_a_sitting), str(one.sittings), told


def _write(room: Room, typed: Typed, chosen: Proposal) -> None:
    assert chosen.separation is not None  # it may be taken
    wanted = Wanted(typed.base_id, typed.design.changes, chosen.separation, typed.solvent)
    made = separating.formulas_of(room.notebook, wanted)
    with st.expander(f"The {chosen.bottles} bottles", expanded=made is None):
        _bottles(wanted, made)
    if st.button("Write these bottles into the trial book", type="primary", key="write bottles"):
        fields = fields_of(typed.design, chosen, room.brief, room.label(typed.base_id))
        kept = separating.write_bottles(room.notebook, wanted, fields)
        state.choose_session(kept.id)
        state.say(
            f"{chosen.bottles} bottles are in the trial book, and “{kept.plan.title}” is kept as a draft: weigh by the "
            "sheet, then seal it on the page Plan."
        )
        st.rerun()


def _bottles(wanted: Wanted, made: Bottles | None) -> None:
    separation = wanted.separation
    if made is None:
        rows = [(str(at), made_words(one, separation.changes)) for at, one in enumerate(separation.combinations, 1)]
        small_tables.table(("", "Holds"), rows)
        return
    st.markdown(frame.plain(solvent_line(made)))
    small_tables.table(
        ("Holds", f"{made.solvent.name} in the place of what is absent, parts", "In all"),
        [
            (made_words(one, separation.changes), of_formulas.amount(instead), of_formulas.total_words(formula))
            for one, instead, formula in zip(separation.combinations, made.in_place, made.formulas, strict=True)
        ],
        wide=True,
    )
