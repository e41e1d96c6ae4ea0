"""On the bench: a warning for each person who stopped, and in an emergency, at one tap, what they have on the skin."""

from __future__ import annotations

from typing import Final

import streamlit as st
from parts import frame, small_tables
from parts.bench import progress
from parts.bench.log_lines import local_time
from parts.doors import visitor
from parts.house import House

from evaluation.actions import skin
from evaluation.actions.skin import BeforeSeat, SeatStop
from evaluation.sessions import SKIN, Session
from evaluation.skin import exact

FIRST_AID: Final = (
    "Go there now. Wash the place with plain soap and water; keep the person company. Swelling elsewhere, dizziness "
    "or trouble breathing: call for medical help at once. This tool gives no medical advice."
)
OTHERS: Final = (
    "From now on nothing that shares a material with these trials goes on anybody, until you decide on the page Skin, "
    "tab Reactions. Others have them on too: look at their skin, and let them wash it off if in doubt."
)
UNWELL: Final = (
    "Go there now, take the strips away, and bring the person into fresh air. Before this person has anything on skin "
    "again, write down what it was: page Skin, tab Reactions."
)
ABOUT: Final = (
    "Safety beats blinding: one tap shows what one person has on the skin and before them, with the materials. The "
    "look is logged, and only that person’s answers leave the main analysis, as unblinded."
)
EVERY: Final = "2.5s"
_SHOWN: Final = "emergency shown"


def show_stops(here: House, session: Session) -> None:
    """Every stop as soon as it is stored: asked for every few seconds, in any state."""
    st.fragment(_alerts, run_every=EVERY)(here, session)


def _alerts(here: House, session: Session) -> None:
    """Newest first, and beside each the tap that shows what that person has been given."""
    visitor.require("conductor")
    offered: set[int] = set()  # a person may stop more than once
    for stop in skin.stops(here.notebook, session.id):
        st.error(f"**{frame.plain(stop.alias)} stopped: {_why(stop, session)}**", icon=":material/front_hand:")
        if stop.seat not in offered:
            reveal(here, session, stop.seat, stop.alias, where="alert")
        offered.add(stop.seat)


def _why(stop: SeatStop, session: Session) -> str:
    at = local_time(stop.at, session.plan.zone)
    if stop.kind == SKIN:
        return f"the skin reacts ({at}). {FIRST_AID} {OTHERS}"
    return f"feels unwell ({at}). {UNWELL}"


def reveal(here: House, session: Session, seat: int, alias: str, *, where: str) -> None:
    """One tap, logged; what it showed stays on the page until it is hidden."""
    if st.button(f"Show what {alias} has been given", key=f"reveal {where} {session.id} {seat}"):
        with frame.one_sentence():
            st.session_state[_SHOWN] = (session.id, seat, skin.emergency(here.notebook, session.id, seat))
    kept = st.session_state.get(_SHOWN)
    if kept and kept[:2] == (session.id, seat):
        small_tables.table(
            ("Code", "Where", "Trial", "Materials, % of what was applied"), [_row(one) for one in kept[2]]
        )


def _row(one: BeforeSeat) -> tuple[str, ...]:
    made_of = ", ".join(name if share is None else f"{name} {exact(share)} %" for name, share in one.materials)
    strength = "strength not recorded" if one.strength_percent is None else f"at {exact(one.strength_percent)} %"
    cells = (one.site or "strip", f"{one.trial}, {strength}", made_of or "formula not entered")
    return (small_tables.codes((one.code,)), *cells)


def emergency(here: House, session: Session) -> None:
    """Anybody of this session, also without a stop."""
    st.markdown(ABOUT)
    seats = {one.seat: one.alias for one in progress.seats_of(here, session.id) if one.panelist_id is not None}
    seat = st.selectbox("Person", list(seats), index=None, format_func=seats.__getitem__, key="emergency seat")
    if seat is not None:
        reveal(here, session, seat, seats[seat], where="expander")
