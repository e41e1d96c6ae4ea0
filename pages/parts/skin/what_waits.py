"""On the page Skin, first of all: what waits for what, and when; and the way there where nothing has begun."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import streamlit as st
from parts import frame
from parts.skin.on_skin import zone

from evaluation.actions import skin_waiting
from evaluation.skin import APART_HOURS, FIRST_HOURS, SECOND_HOURS
from evaluation.store import Notebook
from evaluation.values.trials import Trial

WAY: Final = (
    "The way to skin: each material with its limit (tab Materials and limits), each trial’s formula (trial "
    "book) and strength (Trials), each person’s answers (People), then patches, put on and read twice (Patch tests): "
    f"first {FIRST_HOURS[0]} to {FIRST_HOURS[1]} hours later, again from {SECOND_HOURS} hours on, at least "
    f"{APART_HOURS} hours after the first. Then a session on skin can be planned."
)


def tell_what_waits(notebook: Notebook, trials: Sequence[Trial]) -> None:
    """One sentence for each thing; what can be done now comes first."""
    found = skin_waiting.waits(notebook, [one.id for one in trials], zone())
    st.subheader("What waits", anchor=False)
    now = [one.told for one in found if one.since == skin_waiting.NOW]
    later = [one.told for one in found if one.since != skin_waiting.NOW]
    with st.container():
        if now:
            st.warning("**Now**\n" + _listed(now))
        if later:
            st.info("**Later**\n" + _listed(later))
        following = "" if now else skin_waiting.next_step(notebook, [one.id for one in trials])
        if following:
            st.markdown(f"**{following}**")
        elif not found:
            st.markdown("Nothing waits: what the gate says of each trial stands on the tab Trials.")
    st.caption(WAY)


def _listed(told: Sequence[str]) -> str:
    return "\n".join(f"- {frame.plain(each)}" for each in told)
