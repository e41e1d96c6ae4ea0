"""Medium, strip ages and their tolerance, and the primary age."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import Final

import streamlit as st
from parts import typed_values
from parts.plan import filled_form, skin_medium
from parts.plan.filled_from import Room
from parts.plan.typed import Typed

from evaluation.errors import MouilletteError
from evaluation.kinds import kind_of
from evaluation.serving.smelling import SOURCES, going_back_of
from evaluation.sessions import GO_BACK_ONCE, GOING_BACK, NO_GOING_BACK, OVERALL, SKIN, GoingBack

FRESH: Final = "Minutes since dipping, such as 5, 60, 360. Fresh strips under new codes are dipped for every age."
AGES_HELP: Final = MappingProxyType(
    {
        "profile": "Minutes since dipping, such as 5, 60, 360: the dry-down is seen at these.",
        "round": "Minutes since dipping, such as 60: all pairs are smelt at this age.",
        "ranking": "Minutes since dipping, such as 60: all strips are smelt at this age.",
    }
)


BACK: Final = "May one go back to a strip (or a place on skin) already smelt?"
BACK_NAMES: Final = MappingProxyType(
    {
        NO_GOING_BACK: "No: each is smelt once, then answered",
        GO_BACK_ONCE: "Once: after the last one each may be smelt once more, with the same pauses",
    }
)
BACK_HELP: Final = (
    "Ballot and cards say it; nothing enforces it. Going back helps the memory, but the strips are older by then, each "
    "sniff tires the nose, and a set takes about twice as long. Guessing stays chance either way."
)


def label(typed: Typed) -> str:
    """What stands over the ages."""
    return "Strip age in minutes" if kind_of(typed.method).one_age else "Strip ages in minutes"


def times(room: Room, typed: Typed) -> Typed:
    """Medium, strip ages, their tolerance, and which of them is primary."""
    st.subheader("Strips and strip ages", anchor=False)
    typed = skin_medium.ask_for_medium(room, typed)
    left, right = st.columns([2, 1])
    ages = left.text_input(
        skin_medium.SKIN_TIMES if typed.medium == SKIN else label(typed),
        typed.ages,
        help=skin_medium.TIMES_HELP if typed.medium == SKIN else AGES_HELP.get(typed.method, FRESH),
        **room.keyed("ages"),
    )
    tolerance = right.text_input(
        "Tolerance, % of the age",
        typed.tolerance,
        help="How far off a strip may be before the answer counts as early or late. 10 % is our rule.",
        **room.keyed("tolerance"),
    )
    typed = skin_medium.times(room, replace(typed, ages=ages, tolerance=tolerance))
    typed = replace(typed, primary=primary(room, typed))
    return replace(typed, going_back=going_back(room, typed))


def going_back(room: Room, typed: Typed) -> GoingBack:
    """Whether what was smelt may be smelt again before the answer: told to everybody, and sealed."""
    return st.radio(
        BACK,
        GOING_BACK,
        index=GOING_BACK.index(typed.going_back or going_back_of(typed.method)),
        format_func=BACK_NAMES.__getitem__,
        help=f"{BACK_HELP} {SOURCES}",
        **room.keyed(f"going back {typed.method}"),
    )


def primary(room: Room, typed: Typed) -> int | str | None:
    """The age that gives the session its verdict, asked where there are several; of several trials all count alike."""
    if kind_of(typed.method).several:
        return None
    try:
        ages = typed_values.strip_ages(typed.ages, typed.tolerance)
    except MouilletteError:
        return None  # said where the whole plan is built
    if len(ages) == 1:
        return ages[0].seconds
    choices = filled_form.primary_choices(ages, typed.method)
    place = st.selectbox(
        "Primary age: gives the session its verdict",
        range(len(choices)),
        index=choices.index(typed.primary) if typed.primary in choices else 0,
        format_func=lambda each: _primary_name(choices[each]),
        help="The other ages are corrected among themselves and count only if the primary one shows something.",
        key=f"{room.key} primary {kind_of(typed.method).votes} {typed.ages}",
        persist_state="session",
    )
    return choices[place]


def _primary_name(choice: int | str | None) -> str:
    if choice is None:
        return "None: every age counts alike, corrected over all (Holm)"
    return "The choice over all ages" if choice == OVERALL else typed_values.age_name(int(choice))
