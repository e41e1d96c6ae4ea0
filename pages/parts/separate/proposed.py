"""What is proposed to mix, what each bottle holds, and the press that writes the bottles into the trial book."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, small_tables, state
from parts.plan import exact_list
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
from evaluation.wording.of_separations import made_words, proposal_lines, solvent_line
from evaluation.wording.of_verdicts import count

WRITE: Final = "Write these bottles into the trial book"
WRITE_AGAIN: Final = "Write these bottles once more"
HEADS: Final = ("Mix", "Bottles", "Strips", "Sittings", "Finds")
HEADS_TOLD: Final = (
    "Strips: those of one nose in one sitting. Sittings: those of each nose. Finds: the smallest effect found among "
    "all that is tested, in scatters; a scatter is the standard deviation with which one person rates one bottle "
    "again. Smaller finds more."
)


def propose(room: Room, typed: Typed) -> None:
    """Every layout side by side, the chosen one in words, and the bottles it takes."""
    try:
        asked = asked_of(typed.design)
        found = proposals(asked)
    except MouilletteError as refused:
        frame.refuse(refused)
        return
    st.header("What to mix", anchor=False)
    small_tables.table(HEADS, map(_row, found))
    st.caption(HEADS_TOLD)
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
    if chosen.separation is not None:
        exact_list.show_exact_aliases(chosen.separation)
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
    fresh = separating.new_trials(room.notebook, wanted)
    st.caption(_to_write(fresh, chosen.bottles))
    words = WRITE if fresh else WRITE_AGAIN
    if st.button(words, type="primary" if fresh else "secondary", key="write bottles"):
        fields = fields_of(typed.design, chosen, room.brief, room.label(typed.base_id))
        kept = separating.write_bottles(room.notebook, wanted, fields)
        state.choose_session(kept.id)
        state.say(
            f"{chosen.bottles} bottles are in the trial book, {_as_trials(fresh)}, and “{kept.plan.title}” is kept as "
            "a draft: weigh by the sheet, then seal it on the page Plan."
        )
        st.rerun()


def _as_trials(fresh: int) -> str:
    return f"{count(fresh, 'new trial', 'new trials')} among them" if fresh else "no new trial among them"


def _to_write(fresh: int, bottles: int) -> str:
    if not fresh:
        return (
            "The trial book has all of these already: writing once more adds a further bottle of each, and another "
            "draft of the session."
        )
    rest = bottles - fresh
    more = f"; of trials there are already, {count(rest, 'further bottle', 'further bottles')}" if rest else ""
    return f"Writing puts {count(fresh, 'new trial', 'new trials')} into the trial book{more}. It is not taken back."


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
