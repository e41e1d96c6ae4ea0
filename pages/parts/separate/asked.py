"""The form: base, changes and what they weigh, who smells, and what is held likely."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

import streamlit as st
from parts import frame
from parts.separate.typed_design import TypedDesign

from evaluation.actions import skin
from evaluation.errors import MouilletteError
from evaluation.formulas import Formula, Material, difference, name_key
from evaluation.formulas.separated import EXAMPLE, TO_TELL, NamedChange, changes_between, own_solvent, read_changes
from evaluation.kinds.separation import MOST_CHANGES, together
from evaluation.store import Notebook
from evaluation.values.briefs import Brief
from evaluation.values.descriptors import Descriptor
from evaluation.values.trials import Trial, trial_name
from evaluation.wording import of_formulas

BETWEEN: Final = "From another trial"
BY_NAME: Final = "Typed"
TYPED_HELP: Final = (
    "One line each: name; material; parts more or fewer, of the base’s parts; strength of its stock in %. Lines of one "
    "name are one change. A name alone is a change without amounts: then no formula and no weighing sheet is made."
)


@dataclass(frozen=True, slots=True)
class Room:
    """What the form is filled from."""

    notebook: Notebook
    brief: Brief
    trials: tuple[Trial, ...]
    people: Mapping[str, str]  # id → alias
    descriptors: tuple[Descriptor, ...]
    formulas: Mapping[str, Formula]

    def label(self, trial_id: str) -> str:
        """How a trial is called."""
        return next(one.label for one in self.trials if one.id == trial_id)

    def mixed_for_this(self, trial_id: str) -> bool:
        """Whether a trial was only written to tell changes apart."""
        return next(one.changed for one in self.trials if one.id == trial_id).startswith(TO_TELL)


@dataclass(frozen=True, slots=True)
class Typed:
    """Everything that was typed."""

    base_id: str
    solvent: Material | None
    design: TypedDesign


def ask(room: Room) -> Typed | None:
    """What was typed; None while the changes cannot be read, which is told."""
    ids = [one.id for one in room.trials]
    base = st.selectbox("Base: the trial the changes are made to", ids, format_func=room.label, key="separate base")
    try:
        changes = _changes(room, base)
    except MouilletteError as refused:
        frame.refuse(refused)
        return None
    if not changes:
        return None
    solvent = _solvent(room, base, changes)
    return Typed(base, solvent, _others(room, changes))


# --- changes ----------------------------------------------------------------------------------------------------------


def _changes(room: Room, base: str) -> tuple[NamedChange, ...]:
    others = [one.id for one in room.trials if one.id != base and one.id in room.formulas]
    ways = (BETWEEN, BY_NAME) if others and base in room.formulas else (BY_NAME,)
    way = st.segmented_control("Changes", ways, default=ways[0], required=True, key=f"separate way {len(ways)}")
    return _of_difference(room, base, others) if way == BETWEEN else _typed(room)


def _of_difference(room: Room, base: str, others: list[str]) -> tuple[NamedChange, ...]:
    start = max((at for at, one in enumerate(others) if not room.mixed_for_this(one)), default=0)
    other = st.selectbox(
        "The trial that has all changes", others, start, format_func=room.label, key=f"separate other {base}"
    )
    found = difference(room.formulas[base], room.formulas[other])
    if not found.changes:
        st.info(f"{frame.plain(of_formulas.counted(found))}: choose another trial, or type the changes.")
        return ()
    every = changes_between(room.formulas[base], room.formulas[other])
    told = of_formulas.change_lines(found)
    kept = []
    for place, one in enumerate(every):
        key = f"separate {base} {other} {place}"
        if st.checkbox(frame.plain(told[place]), place < MOST_CHANGES, key=f"{key} tick"):
            label = f"What it is called in the findings ({frame.plain(told[place])})"
            called = st.text_input(label, one.name[:60], max_chars=60, key=f"{key} name")
            kept.append(replace(one, name=called.strip()))
    return tuple(kept)


def _typed(room: Room) -> tuple[NamedChange, ...]:
    text = st.text_area(
        "Changes by name", key="separate typed", placeholder=f"{EXAMPLE}\nless vetiver; Vetiver oil; -1", height=120
    )
    st.caption(TYPED_HELP)
    known = {name_key(one.name): one for one in skin.materials(room.notebook)}
    return read_changes(text, known)


def _solvent(room: Room, base: str, changes: tuple[NamedChange, ...]) -> Material | None:
    """What an absent change is replaced by; nothing to ask where no formula is made."""
    if base not in room.formulas:
        st.info(
            "The base has no formula in the trial book, so no bottle gets one: what each holds is written in words. "
            "Enter the formula first to have a weighing sheet."
        )
        return None
    if not all(one.amounts for one in changes):
        st.info("A change without amounts: no formulas and no weighing sheet are made.")
        return None
    solvents = {one.id: one for one in skin.materials(room.notebook) if one.solvent}
    own = own_solvent(room.formulas[base])
    if not solvents:
        st.warning(
            "No material is marked as solvent, so an absent change cannot be replaced by its weight of it: mark the "
            "concentrate’s solvent in the trial book, under Formula, and no formulas are made until then."
        )
        return None
    start = list(solvents).index(own.id) if own is not None else 0
    picked = st.selectbox(
        "An absent change is replaced by its weight of",
        list(solvents),
        start,
        format_func=lambda one: solvents[one].name,
        key=f"separate solvent {base}",
        help="The concentrate’s own solvent: so no other line’s share rises where a change is left out.",
    )
    return solvents[picked]


# --- the session ------------------------------------------------------------------------------------------------------


def _others(room: Room, changes: tuple[NamedChange, ...]) -> TypedDesign:
    people = st.pills(
        "Who smells: tap to add or leave out", list(room.people), selection_mode="multi", default=list(room.people),
        format_func=lambda one: frame.plain(room.people[one]), key=f"separate people {len(room.people)}", wrap=True,
    )  # fmt: skip
    if not room.people:
        frame.page_link("panel.py", "Nobody is on the panel yet: add people there")
    left, right = st.columns(2)
    ages = left.text_input("Strip ages, minutes", "5, 60", key="separate ages")
    tolerance = right.text_input("Tolerance, % of the age", "10", key="separate tolerance")
    again = left.checkbox("Smell each strip again at the later ages", True, key="separate again")
    strength = right.checkbox("Ask for strength too", True, key="separate strength")
    rounds = left.number_input("How often each nose smells each combination", 1, 4, 1, key="separate rounds")
    second = right.checkbox("Weigh every combination a second time", False, key="separate second")
    pairs = _pairs(changes)
    likely = st.multiselect(
        "Held likely to work together", list(pairs), format_func=pairs.__getitem__,
        key=f"separate likely {list(pairs)}",
        help="A fraction that cannot tell a change from two of these together is refused.",
    )  # fmt: skip
    two = st.checkbox("Test two changes together as well, where the bottles tell it", False, key="separate two")
    with st.expander("Risks"):
        alpha = st.text_input("Alpha: chance that any effect is shown where none is", "0.05", key="separate alpha")
        beta = st.text_input("Beta: chance to miss an effect of the size told below", "0.20", key="separate beta")
    _descriptors(room)
    return TypedDesign(
        changes, tuple(people), room.descriptors, ages, tolerance, strength, again, int(rounds), tuple(likely), two,
        second, alpha, beta, zone=st.context.timezone or "UTC",
    )  # fmt: skip


def _pairs(changes: tuple[NamedChange, ...]) -> dict[str, str]:
    named = (f"{one.name.strip()}:{two.name.strip()}" for one, two in combinations(changes, 2))
    return {one: together(one) for one in named}


def _descriptors(room: Room) -> None:
    words = ", ".join(one.name for one in room.descriptors)
    told = f"Rated: {words}." if words else f"The brief of {trial_name(room.trials[0].label)} has no descriptors yet."
    st.caption(frame.plain(told))
    frame.page_link("descriptors.py", "Descriptors of this brief")
