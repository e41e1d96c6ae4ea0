"""The plan on skin: which medium, when after application, and what the gate says of these people and trials."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import Final

import streamlit as st
from parts import frame
from parts.plan.filled_from import Room
from parts.plan.typed import Typed, on_skin
from parts.skin.on_skin import tell_gate

from evaluation.actions import plan as planning
from evaluation.actions import skin_gate, skin_waiting
from evaluation.kinds import kind_of
from evaluation.serving import cautions
from evaluation.sessions import MEDIA, SITES, SKIN, STRIP, Plan
from evaluation.skin import moment
from evaluation.store import Notebook
from evaluation.values.trials import sentence_case

MEDIUM_NAMES: Final = MappingProxyType({STRIP: "Smelling strip", SKIN: "Skin", "strip and skin": "Strip and skin"})
NOTE: Final = (
    f"On skin each code has its own place on the inner forearms, {len(SITES)} at most. Two arms suit a pair; skin is "
    "warmer than a strip, so that times pass faster. Strip and skin are judged each by itself, never together. Nothing "
    "is sealed while the skin gate is shut."
)
STRIPS_ONLY: Final = "Medium: smelling strip."
STRIPS_FOR_PAIRS: Final = (
    "Medium: smelling strip. A round of pairs needs more skin than there is; on skin compare two trials at a time."
)
STRIPS_FOR_FANS: Final = "Medium: smelling strip. A fan is of paper, and nothing of a candidate goes on skin."
SKIN_TIMES: Final = "Times on skin in minutes"
TIMES_HELP: Final = "Minutes since application. A choice on skin has one time; a profile may have several."
SHUT: Final = "Skin gate: shut. This plan cannot be sealed, and nothing here confirms that away."
UNLIKE: Final = "{named} are put on skin at different strengths: that alone can be smelt."
OPEN: Final = "Skin gate: open for everybody planned. It is asked again when smelling starts."


def ask_for_medium(room: Room, typed: Typed) -> Typed:
    """Which medium; alone, and for a round of pairs, there are strips only."""
    if typed.solo or typed.fan or kind_of(typed.method).pairs:
        st.markdown(STRIPS_ONLY if typed.solo else STRIPS_FOR_FANS if typed.fan else STRIPS_FOR_PAIRS)
        return replace(typed, medium=STRIP)
    medium = st.radio(
        "Medium",
        MEDIA,
        index=MEDIA.index(typed.medium),
        format_func=MEDIUM_NAMES.__getitem__,
        horizontal=True,
        **room.keyed("medium"),
    )
    typed = replace(typed, medium=medium)
    if on_skin(typed):
        st.caption(NOTE)
    return typed


def times(room: Room, typed: Typed) -> Typed:
    """The times on skin where strips have ages of their own."""
    if typed.medium != "strip and skin":
        return typed
    said = st.text_input(SKIN_TIMES, typed.skin_ages, help=TIMES_HELP, **room.keyed("skin ages"))
    return replace(typed, skin_ages=said)


def show_gate(notebook: Notebook, plan: Plan) -> None:
    """What keeps this plan off skin, trial by trial; before strips, whom scents may harm."""
    if STRIP in plan.media:
        st.caption(cautions.ASK_BEFORE_STRIPS)
    if SKIN in plan.media:
        st.caption(f"{cautions.SKIN_RULE} {cautions.ASK_ON_THE_DAY}")
    for caution in skin_gate.strip_cautions(notebook, plan):
        st.warning(frame.plain(caution))
    for named in planning.worn_unlike(notebook, plan):
        st.warning(frame.plain(UNLIKE.format(named=sentence_case(named))))
    shown = skin_gate.gates(notebook, plan)
    if not shown:
        return
    st.subheader("Skin gate", anchor=False)
    if all(one.open for one in shown):
        st.success(OPEN)
    else:
        st.error("\n".join([f"**{SHUT}**", *(f"- {frame.plain(each)}" for each in skin_gate.sentences(shown))]))
        first = skin_gate.first_possible(shown)
        if first:
            st.info(skin_waiting.first_date("", moment(first, plan.zone)))
        frame.page_link("skin.py", "Open the page Skin")
    for one in shown:
        with st.expander(f"Trial {frame.plain(one.label)}: each material on skin"):
            tell_gate(one, "Nothing blocks this trial.")
