"""On the ballot: when its owner is to smell next. It waits until called, and a tap ends the waiting at any time."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final
from zoneinfo import ZoneInfo

import streamlit as st
from parts import ballot_look as look
from parts import ballot_words as words
from parts import countdown

from evaluation.actions.ballot import BallotView
from evaluation.sessions import SKIN

WAIT: Final = "Wait until you are called"
NOW: Final = "Now"
CALLED: Final = "I was called: smell now"
OPEN: Final = "Keep this page open. Phones may stay silent: listen for your name."
FIRST: Final = "You smell first at {time}, by the timetable as it stands. Wait until you are called."
SOON_MS: Final = 2_000
_CALLED: Final = "ballot called"


def draw(view: BallotView) -> bool:
    """True while the set that comes next is to wait."""
    asked = view.question
    if asked is None or not asked.serving_id or not _waits(view, asked.serving_id):
        return False
    named = words.place(view.method, view.medium, view.set_number, view.sets, view.age_seconds)[0]
    st.html(look.ask(WAIT, f"{named}: smell at {clock(view)}. {OPEN}"))
    # A new turn rings again: when the time was moved, not at every run.
    countdown.draw("ballot-countdown", _what(view), view.smell_in, NOW, turn=(view.smell_at or 0) // 1000)
    st.button(CALLED, width="stretch", key="ballot-called", on_click=_called, args=(asked.serving_id,))
    return True


def _waits(view: BallotView, serving_id: str) -> bool:
    if view.smell_at is None or view.begun or view.smell_in <= SOON_MS:
        return False
    return bool(st.session_state.get(_CALLED) != serving_id)


def _what(view: BallotView) -> str:
    if view.medium == SKIN:
        return "Until you smell the places on your skin"
    return "Your strips are dipped" if view.dipped else "Until you smell"


def _called(serving_id: str) -> None:
    st.session_state[_CALLED] = serving_id


def clock(view: BallotView) -> str:
    """The time of day of the next smelling, on the clocks of the session."""
    at = datetime.fromtimestamp((view.smell_at or 0) / 1000, UTC).astimezone(ZoneInfo(view.zone))
    return f"{at:%H:%M:%S}" if at.second else f"{at:%H:%M}"


def first(view: BallotView) -> tuple[str, ...]:
    """A line for the waiting page; nothing where no time is known."""
    return () if view.smell_at is None else (FIRST.format(time=clock(view)),)
