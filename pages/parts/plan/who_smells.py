"""The people of a plan: who smells, and seats that stay free."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import streamlit as st
from parts import frame
from parts.plan.filled_from import Room
from parts.plan.typed import Typed


def people(room: Room, typed: Typed) -> Typed:
    """Ask who of the panel smells; the way to the panel page where nobody is on it."""
    chosen = st.pills(
        "Panelists: tap to add or leave out",
        list(room.people),
        selection_mode="multi",
        wrap=True,
        default=[each for each in typed.people if each in room.people],
        format_func=lambda each: frame.plain(room.people[each].alias),
        **room.keyed("people"),
    )
    if not room.people:
        frame.page_link("panel.py", "Nobody is on the panel yet: add people there")
    return replace(typed, people=tuple(chosen))


def spares(room: Room, typed: Typed, where: Any) -> Typed:
    """How many seats stay free."""
    said = where.number_input(
        "Spare seats",
        0,
        20,
        typed.spares,
        help="Drawn in advance for somebody who joins late; nobody else can join after sealing.",
        **room.keyed("spares"),
    )
    return replace(typed, spares=int(said))
