"""Progress of a running session: the store is asked every few seconds whether anything happened, and only then read."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import streamlit as st
from parts import frame, small_tables
from parts.doors import visitor
from parts.house import House

from evaluation.actions import bench, plan
from evaluation.actions.bench import SeatProgress
from evaluation.sessions import Session

Closing = Callable[[list[SeatProgress]], None]
EVERY: Final = "2.5s"
_KEPT: Final = "bench progress kept"
_ON_PAGE: Final = "bench state on page"


def show_progress(here: House, session: Session, closes: Closing | None = None) -> None:
    """Progress of every seat; it refreshes itself while answers may come in.

    ``closes`` is drawn below it from the same seats of the same instant, so that what it asks about who has not
    finished is what the line above says.
    """
    st.session_state[_ON_PAGE] = (session.id, session.state)
    every = EVERY if session.state in ("sealed", "smelling") else None
    st.fragment(_pulse, run_every=every)(here, session.id, every is None, closes)


def _pulse(here: House, session_id: str, over: bool, closes: Closing | None) -> None:
    visitor.require("conductor")
    seats = seats_of(here, session_id)
    people = [seat for seat in seats if seat.panelist_id is not None]
    finished = sum(seat.finished for seat in people)
    st.markdown(f"**{finished} of {len(people)} finished.** {_waiting(people, over)}")
    small_tables.table(("Person", "Answers", "So far", "Sets", "Last answer"), [_row(here, seat) for seat in people])
    free = len(seats) - len(people)
    if free:
        st.caption(f"Free spare seats: {free}.")
    if closes is not None:
        closes(people)


def seats_of(here: House, session_id: str) -> tuple[SeatProgress, ...]:
    """Progress as it was at the newest line of the log; asked again only when the log has grown."""
    newest = bench.last_event(here.notebook, session_id)
    kept = st.session_state.get(_KEPT)
    if kept is None or kept[:2] != (session_id, newest):
        kept = (session_id, newest, bench.progress(here.notebook, session_id))
        st.session_state[_KEPT] = kept
        _follow(here, session_id)
    seats: tuple[SeatProgress, ...] = kept[2]
    return seats


def _follow(here: House, session_id: str) -> None:
    """Run the whole page where another window has moved the session on."""
    on_page = st.session_state.get(_ON_PAGE)
    if on_page and on_page != (session_id, plan.session(here.notebook, session_id).state):
        st.rerun()


def _waiting(people: list[SeatProgress], over: bool) -> str:
    """Who has not finished, fewest answers first: the call list; after closing nobody is to come."""
    late = sorted((seat for seat in people if not seat.finished), key=lambda seat: (seat.answered, seat.seat))
    if not late:
        return "Everybody has finished." if over else "Everybody has finished: the session can be closed."
    shown = ", ".join(frame.plain(seat.alias) for seat in late[:6])
    more = f" and {len(late) - 6} more" if len(late) > 6 else ""
    return f"{'Did not finish' if over else 'Still to come'}: {shown}{more}."


def _row(here: House, seat: SeatProgress) -> tuple[str, ...]:
    return (
        seat.alias,
        "finished" if seat.finished else f"{seat.answered} of {seat.total}",
        small_tables.progress_bar(seat.answered, seat.total),
        f"{seat.sets_done} of {seat.sets}",
        _since(here.notebook.clock.now(), seat.last_at),
    )


def _since(now: int, at: int | None) -> str:
    if at is None:
        return "none yet"
    minutes = max(0, now - at) // 60_000
    return "just now" if minutes < 1 else f"{minutes} min ago" if minutes < 120 else f"{minutes // 60} h ago"
